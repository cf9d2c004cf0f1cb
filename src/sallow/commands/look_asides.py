"""What-if, why and why-not: looks into the reasoning of one look."""

from __future__ import annotations

import argparse
from collections.abc import Sequence

from sallow.answers import read_value
from sallow.diagnosis import weigh_look
from sallow.environment import Environment
from sallow.errors import BadInput
from sallow.knowledge.conditions import nearest
from sallow.knowledge.model import Knowledge
from sallow.looks import Look
from sallow.phrases import answered, lower_first, value_words
from sallow.reasoning.compile import SOMETHING_ELSE
from sallow.reasoning.explain import (
    FindingSupport,
    Reason,
    Support,
    effective_decibans,
    missing,
    reasons,
    support,
    unknown,
)
from sallow.reasoning.weigh import Scales, Weighed
from sallow.reasoning.words import word_for
from sallow.render.wrap import wrapped
from sallow.status import ExitStatus


def run_asides(arguments: argparse.Namespace, knowledge: Knowledge, look: Look, environment: Environment) -> ExitStatus:
    """Print what was asked for: --what-if, --why, --why-not."""
    lines: list[str] = []
    if arguments.what_if:
        lines += what_if_lines(knowledge, look, arguments.what_if, environment)
    if arguments.why:
        lines += why_lines(knowledge, look, known_cause(knowledge, arguments.why))
    if arguments.why_not:
        lines += why_not_lines(knowledge, look, known_cause(knowledge, arguments.why_not))
    for line in lines:
        indent = len(line) - len(line.lstrip(" "))
        for number, piece in enumerate(wrapped(line.strip(), environment.width - indent - 2) or [""]):
            environment.say(" " * indent + ("  " if number else "") + piece)
    return ExitStatus.OK


def known_cause(knowledge: Knowledge, word: str) -> str:
    """The cause an id or name stands for; BadInput with the nearest one."""
    plain = word.strip().lower()
    for cause in knowledge.causes.values():
        if plain in (cause.id, cause.name.lower(), *(name.lower() for name in cause.also_called)):
            return cause.id
    close = nearest(plain.replace(" ", "_"), knowledge.causes)
    raise BadInput(f"there is no cause '{word[:60]}'." + (f" Did you mean '{close}'?" if close else ""))


# -- what if -------------------------------------------------------------------------------------------------------


def what_if_lines(knowledge: Knowledge, look: Look, changes: Sequence[str], environment: Environment) -> list[str]:
    """The ranking before and after other answers."""
    changed = look
    said = []
    for change in changes:
        symptom, sign, raw = split_change(knowledge, look, change)
        value = read_value(knowledge, sign, raw, environment.today)
        changed = changed.with_answer(symptom, sign, value)
        said.append(f"{knowledge.signs[sign].ask} {value_words(knowledge.signs[sign], value)}")
    _, before = weigh_look(knowledge, look)
    _, after = weigh_look(knowledge, changed)
    top = dict.fromkeys([name for name, _ in before.ranking()[:5]] + [name for name, _ in after.ranking()[:5]])
    lines = ["What if:", *(f"  {line}" for line in said), ""]
    for name in sorted(top, key=lambda n: (-after.belief(n), n)):
        old, new = before.belief(name), after.belief(name)
        title = "something not in this knowledge base" if name == SOMETHING_ELSE else knowledge.causes[name].name
        move = "unchanged" if abs(old - new) < 0.005 else "up" if new > old else "down"
        lines.append(f"  {title}: {word_for(old)} -> {word_for(new)} ({old:.0%} -> {new:.0%}, {move})")
    return [*lines, ""]


def split_change(knowledge: Knowledge, look: Look, change: str) -> tuple[int | None, str, str]:
    """'2.leaf_age=oldest' as (symptom index, sign, value); the symptom defaults to the first one of the sign's part."""
    left, equals, raw = change.partition("=")
    number, dot, name = left.strip().rpartition(".")
    if not equals or not raw.strip():
        raise BadInput(
            f"'{change[:60]}' is not of the form SIGN=VALUE, for instance soil_at_depth=dry or 2.leaf_age=oldest"
        )
    if name not in knowledge.signs:
        close = nearest(name, knowledge.signs)
        raise BadInput(f"there is no sign '{name[:40]}'." + (f" Did you mean '{close}'?" if close else ""))
    sign = knowledge.signs[name]
    if not sign.of_symptom:
        return None, name, raw.strip()
    fitting = [j for j, symptom in enumerate(look.symptoms) if sign.part in ("any", symptom.get("part"))]
    wanted = int(number) - 1 if dot and number.isdecimal() else (fitting[0] if fitting else -1)
    if wanted not in fitting:
        raise BadInput(
            f"'{name}' belongs to an odd thing of the {sign.part} kind, and the look has none with that number"
        )
    return wanted, name, raw.strip()


# -- why -----------------------------------------------------------------------------------------------------------


def why_lines(knowledge: Knowledge, look: Look, cause: str) -> list[str]:
    """The chain of reasons for a cause, down to the answers, with weights, marks and sources."""
    scales, weighed = weigh_look(knowledge, look)
    lines = [head(knowledge, weighed, cause)]
    if cause not in weighed.causes:
        return [*lines, "  It does not occur on this kind of tree.", ""]
    if cause in weighed.out:
        lines.append(f"  Set aside: {out_reason(weighed, cause)}")
    for reason in reasons(scales, weighed, cause):
        lines += reason_lines(knowledge, look, scales, weighed, reason)
    index = weighed.causes.index(cause)
    lines.append(
        f"  Together: {effective_decibans(weighed, cause):+.1f} dB on a prior share of {scales.priors[index]:.1%}."
    )
    return [*lines, ""]


def head(knowledge: Knowledge, weighed: Weighed, cause: str) -> str:
    """'Why iron shortage: likely (56 %)'."""
    belief = weighed.belief(cause)
    return f"{knowledge.causes[cause].name}: {word_for(belief)} ({belief:.0%})"


def reason_lines(knowledge: Knowledge, look: Look, scales: Scales, weighed: Weighed, reason: Reason) -> list[str]:
    """One reason with what it rests on."""
    evidence = reason.evidence
    side = "for" if reason.decibans > 0 else "against"
    where = f", odd thing {reason.symptom + 1}" if reason.symptom is not None and len(look.symptoms) > 1 else ""
    sources = ", ".join(evidence.source)
    mark = f"{evidence.mark.replace('_', ' ')}: {sources}"
    lines = [f"  {side} {reason.decibans:+.1f} dB{where}: {evidence.because} [{mark}]"]
    below = support(scales, weighed, evidence.when, reason.symptom)
    return lines + support_lines(knowledge, look, below, 4)


def support_lines(knowledge: Knowledge, look: Look, below: Support, indent: int) -> list[str]:
    """Answers and findings below a reason, indented."""
    pad = " " * indent
    lines = [f"{pad}you said: {answered(look, knowledge, symptom, variable)}" for symptom, variable in below.answers]
    for finding in below.findings:
        lines += finding_lines(knowledge, look, finding, indent)
    return lines


def finding_lines(knowledge: Knowledge, look: Look, finding: FindingSupport, indent: int) -> list[str]:
    """A finding with the rule behind it, and what that rests on."""
    entry = knowledge.findings[finding.finding]
    says = entry.says if finding.concludes else entry.says_not or f"not: {entry.says}"
    mark = f"{finding.mark.replace('_', ' ')}: {', '.join(finding.source)}"
    line = f"{' ' * indent}so {says}, because: {lower_first(finding.because)} [{mark}]"
    return [line, *support_lines(knowledge, look, finding.support, indent + 2)]


def why_not_lines(knowledge: Knowledge, look: Look, cause: str) -> list[str]:
    """What is missing, what speaks against, and what is not known yet."""
    scales, weighed = weigh_look(knowledge, look)
    lines = ["Why not more: " + head(knowledge, weighed, cause)]
    if cause not in weighed.causes:
        return [*lines, "  It does not occur on this kind of tree.", ""]
    if cause in weighed.out:
        lines.append(f"  Set aside: {out_reason(weighed, cause)}")
    for reason in reasons(scales, weighed, cause):
        if reason.decibans < 0:
            lines += reason_lines(knowledge, look, scales, weighed, reason)
    lines += [f"  missing: {item.evidence.because}" for item in missing(scales, weighed, cause)]
    lines += [f"  not known yet: {item.evidence.because}" for item in unknown(scales, weighed, cause)[:6]]
    rival = next(name for name, _ in weighed.ranking() if name != cause)
    if rival != SOMETHING_ELSE and weighed.belief(rival) > weighed.belief(cause):
        better = f"{lower_first(knowledge.causes[rival].name)} ({word_for(weighed.belief(rival))})"
        lines.append(f"  What explains it better so far: {better}.")
    return [*lines, ""]


def out_reason(weighed: Weighed, cause: str) -> str:
    """Why a cause was set aside."""
    evidence = weighed.out.get(cause)
    return evidence.because if evidence is not None else "a test spoke against it."
