"""Fills in the amounts that steps name, from what a look knows of the tree."""

from __future__ import annotations

from importlib import import_module

from sallow.knowledge.model import Knowledge
from sallow.look_facts import context_of
from sallow.looks import Look
from sallow.steps_commands import command_line
from sallow.values import dataclass


@dataclass(frozen=True, slots=True)
class WorkedAmount:
    """An amount in words, its reckoning, the questions still open, the facts they ask for, cautions, and the command
    that works it out or narrows it.

    The cautions of a feeding are not among them: its step has the knowledge's own, and ``sallow feed`` tells the rest.
    """

    lines: tuple[str, ...]
    working: tuple[str, ...]
    lacks: tuple[str, ...]
    facts: tuple[str, ...]
    cautions: tuple[str, ...]
    command: str = ""


def amount_for(name: str, knowledge: Knowledge, look: Look) -> WorkedAmount | None:
    """The named amount for this tree, or None when there is no such calculation."""
    amounts = import_module("sallow.care.amounts")
    work_out = amounts.AMOUNTS.get(name)
    if work_out is None:
        return None
    known = known_of(look, knowledge)
    amount = work_out(known, knowledge.tables)
    command = ""
    if amount.command and (amount.lacks or amount.adds):
        lead = "Work it out with" if amount.lacks else amount.adds
        command = f"{lead}: {command_line(amount.command, known)}"
    cautions = () if amount.command == "sallow feed" else amount.cautions
    return WorkedAmount(amount.lines, amount.working, amount.lacks, amount.facts, cautions, command)


def known_of(look: Look, knowledge: Knowledge) -> dict[str, object]:
    """What a look knows that calculations may use."""
    known: dict[str, object] = {key: value for key, value in look.tree.items() if value not in ("", None)}
    known |= context_of(look, knowledge)
    known |= {key: value for key, value in look.answers.items() if isinstance(value, int | float | str)}
    crop = knowledge.crops.get(str(known.get("crop", "")))
    if crop is not None:
        known["crop_group"] = crop.group or crop.id
    known["date"] = look.date
    fed = next((event.when for event in look.events if event.what == "fed" and event.when), None)
    if fed:
        known["last_fed"] = fed
    return known
