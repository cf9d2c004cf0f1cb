"""Belief with one symptom and no discount beside exact inference in a Bayesian network (pyAgrum), unknowns included.

The network's tables are worked out here from the stated weights by the published rule of the reasoning: a stated answer
has P0 times its likelihood ratio, all stated ones together at most 0.8, and the others share what is left.
"""

from __future__ import annotations

from collections.abc import Mapping

import pytest
from tests.support.bases import Maker

from sallow.knowledge.conditions import Test as Says
from sallow.knowledge.model import Cause
from sallow.reasoning.compile import SHARE_OF_SOMETHING_ELSE, Base, compile_base
from sallow.reasoning.facts import OVERLOOKED, Facts
from sallow.reasoning.variables import PART_BASE
from sallow.reasoning.weigh import TAU, Scales

gum = pytest.importorskip("pyagrum", reason="pyAgrum is a dev extra")

BASES, LOOKS = 60, 8
CLOSE = 1e-9
STATED_AT_MOST = 0.8

pytestmark = pytest.mark.proof


def table_of(cause: Cause, name: str, base: Mapping[str, float]) -> list[float]:
    """P(value | cause) for each value of a sign, from the cause's evidence on that sign alone."""
    weight = {}
    for value in base:
        told = [
            e.decibans
            for e in cause.evidence
            if isinstance(e.when, Says) and e.when.variable == name
            if value in e.when.values
        ]
        weight[value] = max([0.0, *told]) + min([0.0, *told])
    stated = {value: base[value] * 10 ** (decibans / 10) for value, decibans in weight.items() if decibans}
    total = sum(stated.values())
    silent = sum(share for value, share in base.items() if value not in stated)
    if not silent:
        return [stated[value] / total for value in base]
    scale = min(1.0, STATED_AT_MOST / total) if stated else 1.0
    rest = (1 - scale * total) / silent
    return [scale * stated[value] if value in stated else rest * share for value, share in base.items()]


def something_else(name: str, base: Base) -> list[float]:
    """P(value | something not in this knowledge base): odd answers to a symptom's signs are likelier than usual."""
    variable = base.variables[name]
    shares = list(variable.base.values())
    if not variable.of_symptom or "." in name:
        return shares
    return [(1 - TAU) * share + TAU / len(shares) for share in shares]


def network(base: Base) -> gum.BayesNet:
    """Cause -> every sign that some cause speaks of, and the plant part."""
    net = gum.BayesNet()
    causes = [candidate.cause for candidate in base.candidates]
    net.add(gum.LabelizedVariable("cause", "", [*(cause.id for cause in causes), "something_else"]))
    net.cpt("cause")[:] = [*(candidate.prior for candidate in base.candidates), SHARE_OF_SOMETHING_ELSE]
    spoken = sorted({e.when.variable for cause in causes for e in cause.evidence if isinstance(e.when, Says)})
    for name in spoken:
        rates = base.variables[name].base
        net.add(gum.LabelizedVariable(name, "", list(rates)))
        net.addArc("cause", name)
        rows = [*(table_of(cause, name, rates) for cause in causes), something_else(name, base)]
        for place, row in enumerate(rows):
            net.cpt(name)[{"cause": place}] = row
    net.add(gum.LabelizedVariable("part", "", list(PART_BASE)))
    net.addArc("cause", "part")
    for place, candidate in enumerate(base.candidates):
        ratios = candidate.brief.part_ratio
        net.cpt("part")[{"cause": place}] = [share * ratios[part] for part, share in PART_BASE.items()]
    net.cpt("part")[{"cause": len(causes)}] = list(PART_BASE.values())
    return net


def posterior(net: gum.BayesNet, base: Base, facts: Facts) -> list[float]:
    """Exact belief in each cause; 'none that I noticed' is likely under 'none', and under the rest if overlooked."""
    inference = gum.LazyPropagation(net)
    inference.addEvidence("part", "leaf")
    for name, value in {**facts.tree, **facts.symptoms[0]}.items():
        if name == "part_is" or name not in net.names():
            continue
        variable = base.variables[name]
        if value == OVERLOOKED:
            likely = [1.0 if option in variable.none_values else variable.miss for option in variable.base]
            inference.addEvidence(name, likely)
        else:
            inference.addEvidence(name, value)
    inference.makeInference()
    return [float(share) for share in inference.posterior("cause").toarray()]


def test_belief_equals_the_exact_posterior_on_random_bases() -> None:
    compared, overlooked, unknown = 0, 0, 0
    for seed in range(BASES):
        maker = Maker(seed, causes=2 + seed % 9, single=True)
        base = compile_base(maker.knowledge, {})
        scales, net = Scales(base, rho=0.0), network(base)
        for number in range(LOOKS):
            facts = maker.facts(1, share=number / (LOOKS - 1))
            weighed = scales.weigh(facts)
            assert weighed.discount == 1.0
            assert list(weighed.beliefs.member) == pytest.approx(posterior(net, base, facts), abs=CLOSE)
            compared += 1
            told = {**facts.tree, **facts.symptoms[0]}
            overlooked += OVERLOOKED in told.values()
            unknown += any(name not in told for name in net.names() - {"cause", "part"})
    assert (compared, overlooked > 50, unknown > 100) == (BASES * LOOKS, True, True)
