"""Fits, inside the training rows, how far each column of the soybean data counts beside the others.

Columns depend on one another, so naive weights add up to too much. Each column gets one factor for all its weights:
they are found by gradient descent on the log loss of rows held out in turn, each weighed by what the other folds
taught. Smoothing and the discount rho are chosen by the same held-out rows, answered in full and after the five
questions that tell most.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import log
from typing import Any

import numpy as np

from sallow.knowledge.model import FREQUENCIES
from sallow.reasoning.compile import SHARE_OF_SOMETHING_ELSE
from sallow.reasoning.likelihood import discount
from tests.support.soybean import Row, base_rates, counted, decibans, frequency_word

Array = Any
FOLDS = 5
ROUNDS = 60
RATE = 0.01
# Draws factors towards 1; the most a factor may be.
PULL = 3.0
MOST_FACTOR = 1.6
UNKNOWN = -1
PSEUDO_COUNTS = (0.1, 0.25)
RHOS = (0.0, 0.02, 0.04)


@dataclass(frozen=True, slots=True)
class Fold:
    """Held-out rows with what the other rows taught: base rates, weights (nats), log priors; answers by column."""

    base: Array
    weights: Array
    priors: Array
    answers: Array
    truth: Array


@dataclass(frozen=True, slots=True)
class Fit:
    """What was fitted, and the held-out log loss of full looks and of looks of five questions."""

    pseudo: float
    rho: float
    factors: Mapping[str, float]
    full: float
    short: float


def fold_of(training: Sequence[Row], held: Sequence[Row], everything: Sequence[Row], pseudo: float) -> Fold:
    """What the training rows teach about the held-out ones."""
    counts = counted(training, everything)
    base = base_rates(counts, pseudo)
    names, causes = list(counts.domains), sorted(counts.classes)
    widest = max(len(domain) for domain in counts.domains.values())
    rates, weights = np.zeros((len(names), widest)), np.zeros((len(causes), len(names), widest))
    for j, name in enumerate(names):
        rates[j, : len(base[name])] = list(base[name].values())
        for i, cause in enumerate(causes):
            weights[i, j, : len(base[name])] = np.array(decibans(counts, base, pseudo, cause, name)) * log(10) / 10
    typical = min(counts.classes.values())
    common = np.array([FREQUENCIES[frequency_word(counts.classes[cause], typical)] for cause in causes])
    priors = np.log([*((1 - SHARE_OF_SOMETHING_ELSE) * common / common.sum()), SHARE_OF_SOMETHING_ELSE])
    answers = np.array(
        [[counts.domains[n].index(row.values[n]) if n in row.values else UNKNOWN for n in names] for row in held]
    )
    return Fold(rates, weights, priors, answers, np.array([causes.index(row.cause) for row in held]))


def tables(fold: Fold, factors: Array, lam: float) -> tuple[Array, Array]:
    """Log likelihood ratios of every value, each column's table summing to 1 over P0; and the tables themselves."""
    scaled = (factors * lam)[None, :, None] * fold.weights
    raw = np.exp(scaled) * fold.base[None]
    total = raw.sum(2, keepdims=True)
    return scaled - np.log(total), raw / total


def beliefs(fold: Fold, ratios: Array, answers: Array) -> Array:
    """Beliefs in the causes and 'something else' for one row."""
    known = np.where(answers != UNKNOWN)[0]
    score = np.append(ratios[:, known, answers[known]].sum(1), 0.0) + fold.priors
    raw = np.exp(score - score.max())
    return raw / raw.sum()


def loss_and_slope(folds: Sequence[Fold], factors: Array, rho: float) -> tuple[float, Array]:
    """Log loss over all held-out rows, and its slope by each factor."""
    loss, slope = 0.0, np.zeros(len(factors))
    for fold in folds:
        numbers = (fold.answers != UNKNOWN).sum(1)
        for number in np.unique(numbers):
            lam = discount(int(number), rho)
            ratios, table = tables(fold, factors, lam)
            mean = (table * fold.weights).sum(2)
            for row in np.where(numbers == number)[0]:
                answers, truth = fold.answers[row], fold.truth[row]
                known = np.where(answers != UNKNOWN)[0]
                belief = beliefs(fold, ratios, answers)
                loss -= log(max(belief[truth], 1e-12))
                rise = lam * (fold.weights[:, known, answers[known]] - mean[:, known])
                slope[known] += (belief[:-1, None] * rise).sum(0) - rise[truth]
    return loss, slope


def five_questions(fold: Fold, factors: Array, rho: float, questions: int = 5) -> Fold:
    """The fold with only the answers to the questions of greatest expected information, asked one after another."""
    told = np.full_like(fold.answers, UNKNOWN)
    by_number = [tables(fold, factors, discount(number, rho)) for number in range(questions)]
    for row, answers in enumerate(fold.answers):
        asked: list[int] = []
        for ratios, table in by_number:
            belief = beliefs(fold, ratios, told[row])
            everyone = np.concatenate([table, fold.base[None]])
            mixed = np.einsum("c,cnk->nk", belief, everyone)
            gain = entropy(mixed) - np.einsum("c,cn->n", belief, entropy(everyone))
            gain[asked] = -1.0
            asked.append(int(gain.argmax()))
            told[row, asked[-1]] = answers[asked[-1]]
    return Fold(fold.base, fold.weights, fold.priors, told, fold.truth)


def entropy(shares: Array) -> Array:
    """Entropy over the last axis."""
    return -(shares * np.log(np.where(shares > 0, shares, 1.0))).sum(-1)


def fit(training: Sequence[Row], everything: Sequence[Row]) -> list[Fit]:
    """Every combination tried, the best one (by held-out log loss, full and short added) first."""
    names = list(counted(training, everything).domains)
    tried = []
    for pseudo in PSEUDO_COUNTS:
        folds = [
            fold_of([row for i, row in enumerate(training) if i % FOLDS != k], training[k::FOLDS], everything, pseudo)
            for k in range(FOLDS)
        ]
        for rho in RHOS:
            factors = np.ones(len(names))
            for _ in range(ROUNDS):
                _, slope = loss_and_slope(folds, factors, rho)
                factors = np.clip(factors - RATE * (slope + PULL * (factors - 1)), 0.0, MOST_FACTOR)
            full, _ = loss_and_slope(folds, factors, rho)
            short, _ = loss_and_slope([five_questions(fold, factors, rho) for fold in folds], factors, rho)
            found = {name: float(factor) for name, factor in zip(names, factors, strict=True)}
            tried.append(Fit(pseudo, rho, found, full / len(training), short / len(training)))
    return sorted(tried, key=lambda one: one.full + one.short)
