"""Red flags, confirming tests, steps with their amounts, and cautions."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence

from sallow.diagnosis.place_words import for_tree
from sallow.diagnosis.placing import place_of, treatable, upstream_first
from sallow.diagnosis.plans import harms
from sallow.knowledge.conditions import findings_in, tests_in
from sallow.knowledge.model import Check, Knowledge, Result, Step
from sallow.looks import SILENT, Look
from sallow.phrases import capital
from sallow.reasoning.ask import Asker
from sallow.reasoning.chain import holds
from sallow.reasoning.weigh import Scales, Weighed
from sallow.report_model import Flag, RankedCause, StepLine, TestLine
from sallow.steps_amounts import amount_for
from sallow.values import replace

COSTS = ("free", "low", "medium", "high")
MOST_TESTS = 5
MOST_RESULTS = 4
IN_FAVOUR = 0
# A look that cannot tell says so of the whole tree, with a day of its own.
LEAVE_IT = "Leave it alone"
# Evidence against that names more answers than this at once says only that the cause looks otherwise.
A_LONG_LIST = 6
# Amounts that are a chore in themselves: two causes that name one ask for the same thing to be done.
ONE_CHORE = ("mulch_ring", "emitter_check")


def flags(scales: Scales, weighed: Weighed) -> tuple[Flag, ...]:
    """Red flags that are raised, 'report now' first."""
    found: dict[str, Flag] = {}
    for candidate in scales.base.candidates:
        for flag in candidate.brief.red_flag:
            scopes: list[int | None] = [*range(len(weighed.facts.symptoms)), None]
            if any(holds(flag.when, weighed.facts, weighed.conclusions, scope) for scope in scopes):
                current = found.get(candidate.id)
                if current is None or (current.tier != "report_now" and flag.tier == "report_now"):
                    found[candidate.id] = Flag(candidate.id, candidate.cause.name, flag.tier, flag.say)
    return tuple(
        sorted(
            found.values(),
            key=lambda flag: (flag.tier != "report_now", -weighed.belief(flag.cause), flag.cause),
        )
    )


def tests(
    scales: Scales, look: Look, weighed: Weighed, ranked: Sequence[RankedCause], most: int = MOST_TESTS
) -> tuple[TestLine, ...]:
    """The confirming tests of the shown causes that have not been done: those that are expected to tell most for
    their cost and wait first."""
    knowledge = scales.base.knowledge
    wanted: dict[str, list[str]] = {}
    for cause in ranked:
        if cause.confirmed:
            continue
        for check in knowledge.causes[cause.id].checks:
            wanted.setdefault(check, []).append(cause.id)
    checks = [knowledge.checks[c] for c in wanted if not done(knowledge.checks[c], look)]
    spoken: dict[tuple[str, str], int] = {}
    for cause in ranked:
        for pair, breadth in spoken_of(knowledge, cause.id).items():
            spoken[pair] = min(spoken.get(pair, breadth), breadth)
    open_checks = [
        c for c in checks if makes_sense(knowledge, c, weighed) and telling(c, spoken, {r.id for r in ranked})
    ]
    first = {check: position for position, check in enumerate(wanted)}
    asker = Asker(scales, weighed, ())
    worth = {c.id: expected_bits(asker, c.gives) / burden(c) for c in open_checks}
    open_checks.sort(key=lambda c: (-worth[c.id], COSTS.index(c.cost), c.days, first[c.id]))
    names = {cause.id: cause.name for cause in ranked}
    crop = knowledge.crops.get(weighed.facts.context.get("crop", ""))
    group = "" if crop is None or crop.id == "other" else crop.group or crop.id
    kind = weighed.facts.context.get("grown_in", ""), group
    return tuple(
        test_line(
            knowledge,
            check,
            [names[c] for c in wanted[check.id]],
            offered(knowledge, look, check, results),
            kind,
        )
        for check in open_checks[:most]
        for results in (telling(check, spoken, set(names)),)
    )


def offered(knowledge: Knowledge, look: Look, check: Check, results: list[Result]) -> list[Result]:
    """The results whose answers can be given for this crop at all; every one if the crop is not known."""
    crop = knowledge.crops.get(str(look.tree.get("crop", "")))
    sign = knowledge.signs.get(check.gives)
    if crop is None or sign is None:
        return results
    kinds = {crop.id, crop.group}
    only = {name: set(answer.only_on) for name, answer in sign.answers.items() if answer.only_on}
    return [result for result in results if kinds & only.get(result.answer, kinds)]


def expected_bits(asker: Asker, sign: str) -> float:
    """What the result of a test is expected to tell about the causes, in bits (of the symptom it tells most about)."""
    return max(sum(asker.gain(scope, name) for name in asker.names(scope, sign)) for scope in asker.scopes())


def burden(check: Check) -> float:
    """What a test costs a person: a dearer class, or a week of waiting, counts as much again as the doing."""
    return 1.0 + COSTS.index(check.cost) + check.days / 7


def spoken_of(knowledge: Knowledge, cause: str) -> dict[tuple[str, str], int]:
    """Every (variable, value) that the evidence of a cause tests, findings followed to their signs: IN_FAVOUR where
    evidence for the cause tests it, else how many values the shortest piece against it names at once."""
    found: dict[tuple[str, str], int] = {}
    followed: set[tuple[str, bool]] = set()
    conditions = [(evidence.when, evidence.decibans > 0) for evidence in knowledge.causes[cause].evidence]
    while conditions:
        condition, favours = conditions.pop()
        for test in tests_in(condition):
            breadth = IN_FAVOUR if favours else len(test.values)
            for value in test.values:
                found[test.variable, value] = min(found.get((test.variable, value), breadth), breadth)
        for finding in findings_in(condition):
            if (finding, favours) not in followed:
                followed.add((finding, favours))
                conditions += [(rule.when, favours and rule.concludes) for rule in knowledge.findings[finding].rules]
    return found


def telling(check: Check, spoken: Mapping[tuple[str, str], int], causes: set[str]) -> list[Result]:
    """The results of a check that say something about the shown causes: settling ones first, then those in favour, then
    those against. Answers that speak against only as part of a long list are left out if there is anything else."""
    settled = [r for r in check.results if causes & {*r.settles, *r.refutes}]
    others = [(breadth, r) for r in check.results if (breadth := breadth_of(check, r, spoken)) is not None]
    others = sorted((pair for pair in others if pair[1] not in settled), key=lambda pair: pair[0])
    pointed = [result for breadth, result in others if breadth <= A_LONG_LIST]
    return [*settled, *pointed] or [result for _, result in others]


def breadth_of(check: Check, result: Result, spoken: Mapping[tuple[str, str], int]) -> int | None:
    """How pointedly a result speaks of the shown causes (see ``spoken_of``); None if it says nothing about any."""
    pairs = ((check.gives, result.answer), (f"{check.gives}.{result.answer}", "yes"))
    return min((spoken[pair] for pair in pairs if pair in spoken), default=None)


def done(check: Check, look: Look) -> bool:
    """Whether the sign that a check gives has been answered already, for the tree or for an odd thing."""
    values = [scope.get(check.gives) for scope in (look.answers, *look.symptoms)]
    return any(value is not None and not (isinstance(value, str) and value in SILENT) for value in values)


def makes_sense(knowledge: Knowledge, check: Check, weighed: Weighed) -> bool:
    """Whether a check can be done at this tree at all (no hole for a pot, no limp leaves where none hangs).

    A trial, which does something to the tree, wants what it is tried for to be seen, not only possible; flowers can be
    opened in spring, or where something odd was told of them.
    """
    sign = knowledge.signs.get(check.gives)
    if sign is None:
        return True
    facts, conclusions = weighed.facts, weighed.conclusions
    in_bloom = facts.context.get("season") in (None, "spring")
    if sign.part == "flower" and not in_bloom and all(own.get("part_is") != "flower" for own in facts.symptoms):
        return False
    if sign.not_if is not None and holds(sign.not_if, facts, conclusions, None) is True:
        return False
    scopes: list[int | None] = [*range(len(facts.symptoms))] if sign.of_symptom else [None]
    told = [None if sign.ask_when is None else holds(sign.ask_when, facts, conclusions, j) for j in scopes]
    return sign.ask_when is None or True in told or (None in told and not sign.result_of)


def test_line(
    knowledge: Knowledge, check: Check, causes: list[str], telling_results: list[Result], kind: tuple[str, str]
) -> TestLine:
    """A check as a line of the report, with the results that speak of the shown causes; ``kind``: where the tree stands
    and the group of its crop."""
    sign = knowledge.signs.get(check.gives)
    results = tuple(
        f'"{capital(sign.answers[r.answer].say) if sign and r.answer in sign.answers else r.answer}": {r.means}'
        for r in telling_results[:MOST_RESULTS]
    )
    return TestLine(
        check.id,
        check.name,
        for_tree(check.how, *kind),
        " ".join(for_tree([check.need], *kind)),
        check.cost,
        check.effort,
        check.days,
        results,
        check.misleads,
        tuple(causes),
        tuple(knowledge.cautions[c] for c in check.caution),
    )


def steps(
    knowledge: Knowledge,
    look: Look,
    weighed: Weighed,
    ranked: Sequence[RankedCause],
    shown_before: Collection[str] = (),
    can_tell: bool = True,
) -> dict[str, tuple[StepLine, ...]]:
    """The steps of the shown causes: now, if confirmed, if refuted, and what not to do; upstream causes first.

    ``shown_before`` are the causes that were shown before the later answers of a follow-up. Unless the look
    ``can_tell``, no step treats the tree.

    A step that amounts to a plan which would do harm now is withheld, and the report says why, once for each plan, or
    on top where it answers what the person was about to do.
    """
    result: dict[str, list[StepLine]] = {"now": [], "confirmed": [], "refuted": [], "not_to_do": []}
    treated = treatable(ranked) if can_tell else frozenset()
    said: set[str] = set()
    for cause in upstream_first(knowledge, ranked):
        for step in knowledge.causes[cause.id].steps:
            place = place_of(step, cause, cause.id in treated, can_tell)
            if place is None or (step.not_if and holds(step.not_if, weighed.facts, weighed.conclusions, None)):
                continue
            key, line = line_for(knowledge, look, weighed, cause, step)
            told_on_top = key == f"plan:{look.about_to}" or (not can_tell and line.do.startswith(LEAVE_IT))
            if key not in said and not told_on_top:
                said.add(key)
                result[place].append(line)
    # What a test has spoken against comes after what is to be done for the causes that are left.
    result["now"] += refuted_steps(knowledge, look, shown_before)
    for lines in result.values():
        lines[:] = amounts_once(lines)
    return {place: tuple(lines) for place, lines in result.items()}


def line_for(
    knowledge: Knowledge, look: Look, weighed: Weighed, cause: RankedCause, step: Step
) -> tuple[str, StepLine]:
    """A step as a line, or what is said in its place when its plan is withheld; with what makes it the same chore."""
    because = harms(knowledge, knowledge.intentions[step.plan], weighed) if step.plan else []
    if because:
        words = f"Not now: {knowledge.intentions[step.plan].say}. {capital('; and '.join(because[:2]))}."
        return f"plan:{step.plan}", StepLine(cause.name, step.when, words, (), (), (), ())
    amount = amount_for(step.amount, knowledge, look) if step.amount else None
    line = StepLine(
        cause.name,
        step.when,
        step.do,
        amount.lines if amount else (),
        amount.lacks if amount else (),
        amount.working if amount else (),
        (*texts(knowledge, step), *(amount.cautions if amount else ())),
        amount.facts if amount else (),
        amount.command if amount else "",
    )
    return (step.amount if step.amount in ONE_CHORE else step.do), line


def amounts_once(lines: Sequence[StepLine]) -> list[StepLine]:
    """The lines with the same amount told only where it comes first."""
    told: set[tuple[tuple[str, ...], tuple[str, ...]]] = set()
    kept = []
    for line in lines:
        amount = (line.amount, line.amount_lacks)
        again = amount in told and bool(line.amount or line.amount_lacks)
        told.add(amount)
        bare = replace(line, amount=(), amount_lacks=(), working=(), amount_facts=(), command="")
        kept.append(bare if again else line)
    return kept


def refuted_steps(knowledge: Knowledge, look: Look, shown_before: Collection[str]) -> list[StepLine]:
    """What to do once a test has spoken against a cause that had been shown."""
    return [
        StepLine(knowledge.causes[cause].name, "refuted", step.do, (), (), (), texts(knowledge, step))
        for check in knowledge.checks.values()
        for result in check.results
        if check.gives in look.dated and look.answers.get(check.gives) == result.answer
        for cause in result.refutes
        if cause in shown_before
        for step in knowledge.causes[cause].steps
        if step.when == "refuted"
    ]


def texts(knowledge: Knowledge, step: Step) -> tuple[str, ...]:
    """The cautions of a step in words."""
    return tuple(knowledge.cautions[caution] for caution in step.caution)


def cautions(
    knowledge: Knowledge,
    test_lines: Sequence[TestLine],
    step_lines: Mapping[str, Sequence[StepLine]],
    raised: Sequence[Flag],
    ranked: Sequence[RankedCause],
) -> tuple[str, ...]:
    """Every caution the report must carry, each once."""
    regulated = any(flag.tier == "report_now" for flag in raised) or any(cause.regulated for cause in ranked)
    withheld = set() if regulated else {knowledge.cautions.get("quarantine", ""), knowledge.cautions.get("report", "")}
    found = [knowledge.cautions[key] for key in ("quarantine", "report") if regulated and key in knowledge.cautions]
    found += [
        text for place in ("now", "confirmed") for line in step_lines[place] for text in line.cautions
    ]
    found += [text for line in test_lines for text in line.cautions]
    return tuple(text for text in dict.fromkeys(found) if text not in withheld)
