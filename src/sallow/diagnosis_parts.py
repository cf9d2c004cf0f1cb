"""The parts of a diagnosis: each function works out one section of the report as data."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from sallow.answers import GO_LOOK, SILENT, Look
from sallow.knowledge.model import Check, Knowledge, Step
from sallow.phrases import PART_WORDS, answered, capital, event_words, value_words
from sallow.reasoning.chain import holds
from sallow.reasoning.compile import SOMETHING_ELSE
from sallow.reasoning.explain import Reason, answers_behind, changes, effective_decibans, finding_support, missing, reasons
from sallow.reasoning.weigh import Scales, Weighed
from sallow.reasoning.words import at_least, word_for
from sallow.report_model import Flag, Ground, RankedCause, SourceLine, StepLine, TestLine

COSTS = ("free", "low", "medium", "high")
MOST_GROUNDS = 3
MARK_WORDS = {
    "published": "published",
    "second_hand": "read in a copy or digest of the source",
    "common_practice": "common practice, no single source",
    "memory": "from memory, not yet checked",
    "judgement": "our judgement",
    "computed": "worked out here",
}


def ranked_cause(knowledge: Knowledge, look: Look, scales: Scales, weighed: Weighed, cause_id: str, belief: float) -> RankedCause:
    """One cause with its reasons, its chain and the look-alike it was told apart from."""
    cause = knowledge.causes[cause_id]
    found = reasons(scales, weighed, cause_id)
    index = weighed.causes.index(cause_id)
    explains = tuple(j for j, row in enumerate(weighed.beliefs.of_symptom) if row[index] >= 0.3)
    return RankedCause(
        id=cause_id,
        name=cause.name,
        also_called=cause.also_called,
        kind=cause.kind,
        summary=cause.summary,
        belief=belief,
        word=word_for(belief),
        decibans=effective_decibans(scales, weighed, cause_id),
        confirmed=confirmed(knowledge, look, cause_id),
        regulated=cause.regulated,
        explains=explains if look.symptoms else (),
        grounds_for=tuple(ground(r) for r in found if r.decibans > 0)[:MOST_GROUNDS],
        grounds_against=tuple(ground(r) for r in found if r.decibans < 0)[:MOST_GROUNDS],
        missing=tuple(ground(r) for r in missing(scales, weighed, cause_id))[:2],
        look_alike=look_alike(knowledge, weighed, cause_id),
        chain=chain(knowledge, weighed, cause_id),
        explained_away=explained_away(knowledge, weighed, cause_id),
        note=cause.note,
    )


def ground(reason: Reason) -> Ground:
    """A reason as data."""
    evidence = reason.evidence
    return Ground(evidence.because, round(reason.decibans, 1), evidence.mark, evidence.source, reason.symptom)


def confirmed(knowledge: Knowledge, look: Look, cause_id: str) -> bool:
    """Whether a check that settles has been done with a settling result (for a regulated disease: only officially)."""
    for check in knowledge.checks.values():
        if knowledge.causes[cause_id].regulated and check.id != "official_sample":
            continue
        for result in check.results:
            if cause_id in result.settles and look.answers.get(check.gives) == result.answer:
                return True
    return False


def look_alike(knowledge: Knowledge, weighed: Weighed, cause_id: str) -> str:
    """The strongest other cause among the look-alikes, and the sign that tells the two apart."""
    alikes = [alike for alike in knowledge.causes[cause_id].look_alikes if alike.cause in weighed.causes]
    if not alikes:
        return ""
    nearest = max(alikes, key=lambda alike: weighed.belief(alike.cause))
    return f"Looks similar: {knowledge.causes[nearest.cause].name}. To tell apart: {nearest.tell_apart}"


def chain(knowledge: Knowledge, weighed: Weighed, cause_id: str) -> tuple[str, ...]:
    """What brought a cause on, upstream first: findings told true and causes that are likely."""
    lines: list[str] = []
    seen: set[str] = set()

    def climb(identifier: str) -> None:
        for upstream in knowledge.causes[identifier].brought_on_by if identifier in knowledge.causes else ():
            if upstream in seen:
                continue
            seen.add(upstream)
            if upstream in knowledge.findings:
                if weighed.conclusions.told(upstream)[0]:
                    lines.append(capital(knowledge.findings[upstream].says))
            elif at_least(weighed.belief(upstream), "possible"):
                climb(upstream)
                lines.append(knowledge.causes[upstream].name)

    climb(cause_id)
    return tuple(lines)


def explained_away(knowledge: Knowledge, weighed: Weighed, cause_id: str) -> str:
    """For a cause that is not leading: what already accounts for the signs it shares with the leader."""
    leader = next((name for name, _ in weighed.ranking() if name != SOMETHING_ELSE), cause_id)
    if leader == cause_id or not at_least(weighed.belief(leader), "likely") or at_least(weighed.belief(cause_id), "likely"):
        return ""
    related = {alike.cause for alike in knowledge.causes[cause_id].look_alikes} | set(knowledge.causes[cause_id].brought_on_by)
    if leader not in related and cause_id not in {alike.cause for alike in knowledge.causes[leader].look_alikes}:
        return ""
    return (
        f"{knowledge.causes[leader].name} already accounts for much of this; "
        f"treating for {knowledge.causes[cause_id].name.lower()} would add little unless its own test speaks for it."
    )


def upstream(knowledge: Knowledge, weighed: Weighed, ranked: Sequence[RankedCause]) -> tuple[str, ...]:
    """The chains of the leading causes, each as one line, upstream first."""
    lines = [" -> ".join((*cause.chain, cause.name)) for cause in ranked if cause.chain and at_least(cause.belief, "possible")]
    return tuple(dict.fromkeys(lines))


def minor(knowledge: Knowledge, weighed: Weighed, shown: Sequence[RankedCause]) -> tuple[tuple[str, str, float], ...]:
    """Causes that were weighed and found unlikely: name, word and belief."""
    names = {cause.id for cause in shown}
    rest = [(c, b) for c, b in weighed.ranking() if c not in names and c != SOMETHING_ELSE and b >= 0.02]
    return tuple((knowledge.causes[c].name, word_for(b), b) for c, b in rest[:6]) if weighed.facts.symptoms else ()


# -- what was seen -------------------------------------------------------------------------------------------------


def seen(knowledge: Knowledge, look: Look) -> tuple[tuple[str, tuple[str, ...]], ...]:
    """What was told, in groups: each odd thing, the tree, what happened."""
    groups: list[tuple[str, tuple[str, ...]]] = []
    for number, symptom in enumerate(look.symptoms, 1):
        lines = [
            f"{knowledge.signs[key].ask} {capital(value_words(knowledge.signs[key], value))}."
            for key, value in symptom.items()
            if key != "part" and not (isinstance(value, str) and value in SILENT)
        ]
        groups.append((f"Odd thing {number}: {PART_WORDS[str(symptom.get('part', 'leaf'))]}", tuple(lines)))
    tree = [
        f"{knowledge.signs[key].ask} {capital(value_words(knowledge.signs[key], value))}."
        for key, value in look.answers.items()
        if not (isinstance(value, str) and value in SILENT)
    ]
    if tree:
        groups.append(("The tree and its place", tuple(tree)))
    happened = [f"{knowledge.events[e.what].ask} {capital(event_words(e, knowledge))}." for e in look.events]
    if happened:
        groups.append(("What happened", tuple(happened)))
    return tuple(groups)


def to_look(knowledge: Knowledge, look: Look) -> tuple[str, ...]:
    """The parked questions: to be looked at and taken up later."""
    scopes: list[Mapping[str, object]] = [*look.symptoms, look.answers]
    return tuple(
        f"{knowledge.signs[key].ask} {knowledge.signs[key].how_to_tell}".strip()
        for scope in scopes for key, value in scope.items() if value == GO_LOOK and key in knowledge.signs
    )


def answered_pairs(look: Look) -> Iterable[tuple[int | None, str]]:
    """Every (symptom, sign) that has been answered in any way."""
    for number, symptom in enumerate(look.symptoms):
        yield from ((number, key) for key in symptom if key != "part")
    yield from ((None, key) for key in look.answers)
    yield from ((None, f"event.{event.what}") for event in look.events)


def unexplained(look: Look, weighed: Weighed) -> tuple[str, ...]:
    """Symptoms for which 'something not in this knowledge base' leads or comes close."""
    if len(look.symptoms) < 2:
        return ()
    lines = []
    for number, row in enumerate(weighed.beliefs.of_symptom):
        if row[-1] >= max(row) * 0.999 or row[-1] > 0.4:
            part = PART_WORDS[str(look.symptoms[number].get("part", "leaf"))]
            lines.append(f"Nothing in this knowledge base explains odd thing {number + 1} ({part}) well.")
    return tuple(lines)


# -- the intention -------------------------------------------------------------------------------------------------


def about_to(knowledge: Knowledge, look: Look, weighed: Weighed, ranked: Sequence[RankedCause]) -> str:
    """The answer to what the person was about to do, in one or two sentences."""
    intention = knowledge.intentions.get(look.about_to)
    if intention is None or intention.id == "nothing":
        return ""
    harms = [
        harm.because for harm in intention.harms
        if (harm.condition in knowledge.findings and weighed.conclusions.told(harm.condition)[0])
        or (harm.condition in knowledge.causes and at_least(weighed.belief(harm.condition), "likely"))
    ]
    plan = f"You were about to: {intention.say}."
    fitting = [cause for cause in ranked if cause.id in intention.fits]
    if harms:
        return f"{plan} Hold off, because {'; and '.join(harms[:2])}."
    if fitting and fitting[0].confirmed:
        return f"{plan} That fits what was confirmed ({fitting[0].name.lower()}); follow the steps and cautions below."
    if fitting and at_least(fitting[0].belief, "likely"):
        return f"{plan} That may turn out right ({fitting[0].name.lower()} is {fitting[0].word}), but do the cheap test below first."
    if fitting:
        return f"{plan} Hold off for now: {fitting[0].name.lower()}, which it would help, is only {fitting[0].word}. Test first."
    if not ranked:
        return f"{plan} Nothing you told speaks for it. How the tree does is the best guide; one that looks well may need nothing."
    return f"{plan} Hold off: nothing you told points to a cause it would help. What comes first here is {ranked[0].name.lower()} ({ranked[0].word})."


# -- flags ---------------------------------------------------------------------------------------------------------


def flags(scales: Scales, weighed: Weighed) -> tuple[Flag, ...]:
    """Red flags that are raised, 'report now' first."""
    found: dict[str, Flag] = {}
    for candidate in scales.base.candidates:
        cause = candidate.cause
        for flag in cause.red_flag:
            scopes: list[int | None] = [*range(len(weighed.facts.symptoms)), None]
            if any(holds(flag.when, weighed.facts, weighed.conclusions, scope) for scope in scopes):
                current = found.get(cause.id)
                if current is None or (current.tier != "report_now" and flag.tier == "report_now"):
                    found[cause.id] = Flag(cause.id, cause.name, flag.tier, flag.say)
    return tuple(sorted(found.values(), key=lambda flag: (flag.tier != "report_now", -weighed.belief(flag.cause), flag.cause)))


# -- tests and steps -----------------------------------------------------------------------------------------------


def tests(knowledge: Knowledge, look: Look, ranked: Sequence[RankedCause]) -> tuple[TestLine, ...]:
    """The confirming tests of the shown causes that have not been done, cheapest and quickest first."""
    wanted: dict[str, list[str]] = {}
    for cause in ranked:
        if cause.confirmed:
            continue
        for check in knowledge.causes[cause.id].checks:
            wanted.setdefault(check, []).append(cause.id)
    open_checks = [knowledge.checks[c] for c in wanted if not done(knowledge.checks[c], look)]
    first = {check: position for position, check in enumerate(wanted)}
    open_checks.sort(key=lambda c: (COSTS.index(c.cost), c.days, first[c.id]))
    names = {cause.id: cause.name for cause in ranked}
    return tuple(test_line(knowledge, check, [names[c] for c in wanted[check.id]], set(wanted[check.id])) for check in open_checks[:7])


def done(check: Check, look: Look) -> bool:
    """Whether the sign that a check gives has been answered already (the close looks are worth repeating)."""
    value = look.answers.get(check.gives)
    return value is not None and not (isinstance(value, str) and value in SILENT)


def test_line(knowledge: Knowledge, check: Check, causes: list[str], ids: set[str]) -> TestLine:
    """A check as a line of the report; results that speak of the shown causes come first."""
    sign = knowledge.signs.get(check.gives)
    ordered = sorted(check.results, key=lambda r: not (ids & {*r.settles, *r.refutes}))
    results = tuple(
        f"{capital(sign.answers[r.answer].say) if sign and r.answer in sign.answers else r.answer}: {r.means}" for r in ordered[:5]
    )
    return TestLine(
        check.id, check.name, check.how, check.need, check.cost, check.effort, check.days, results, check.misleads, tuple(causes),
        tuple(knowledge.cautions[c] for c in check.caution),
    )


def steps(knowledge: Knowledge, look: Look, scales: Scales, weighed: Weighed, ranked: Sequence[RankedCause]) -> dict[str, tuple[StepLine, ...]]:
    """The steps of the shown causes: now, if confirmed, if refuted, and what not to do; upstream causes first."""
    from sallow.steps_amounts import amount_for

    result: dict[str, list[StepLine]] = {"now": [], "confirmed": [], "refuted": [], "not_to_do": []}
    said: set[str] = set()
    for cause in upstream_first(knowledge, ranked):
        for step in knowledge.causes[cause.id].steps:
            place = place_of(step, cause)
            if place is None or step.do in said or (step.not_if and holds(step.not_if, weighed.facts, weighed.conclusions, None)):
                continue
            said.add(step.do)
            amount = amount_for(step.amount, knowledge, look) if step.amount else None
            result[place].append(
                StepLine(
                    cause.name, step.when, step.do,
                    amount.lines if amount else (), amount.lacks if amount else (), amount.working if amount else (),
                    tuple(knowledge.cautions[c] for c in step.caution),
                )
            )
    return {place: tuple(lines) for place, lines in result.items()}


def upstream_first(knowledge: Knowledge, ranked: Sequence[RankedCause]) -> list[RankedCause]:
    """The shown causes (the likely ones, else the first two), each after those that brought it on."""
    leading = [c for c in ranked if c.confirmed or at_least(c.belief, "likely")] or list(ranked[:2])
    ids = {cause.id for cause in leading}
    return sorted(leading, key=lambda c: (bool(ids & set(knowledge.causes[c.id].brought_on_by)), ranked.index(c)))


def place_of(step: Step, cause: RankedCause) -> str | None:
    """Where a step belongs, given how sure its cause is."""
    if step.when in ("now", "not_to_do"):
        return step.when
    if step.when == "confirmed":
        return "now" if cause.confirmed else "confirmed"
    if step.when == "likely":
        return "now" if cause.confirmed or at_least(cause.belief, "likely") else "confirmed"
    return None if cause.confirmed else "refuted"


def cautions(knowledge: Knowledge, test_lines: Sequence[TestLine], step_lines: Mapping[str, Sequence[StepLine]], raised: Sequence[Flag]) -> tuple[str, ...]:
    """Every caution the report must carry, each once."""
    found = [text for flag in raised for text in (knowledge.cautions.get("quarantine", ""), knowledge.cautions.get("report", "")) if flag.tier == "report_now" and text]
    found += [text for place in ("now", "confirmed", "not_to_do") for line in step_lines[place] for text in line.cautions]
    found += [text for line in test_lines for text in line.cautions]
    return tuple(dict.fromkeys(found))


# -- the small print -----------------------------------------------------------------------------------------------


def change_lines(knowledge: Knowledge, scales: Scales, weighed: Weighed, asked: frozenset[tuple[int | None, str]]) -> tuple[str, ...]:
    """What would change the order, each as one sentence."""
    lines = []
    for change in changes(scales, weighed, asked):
        question, value = change.answers[0]
        lines.append(f"{question_words(knowledge, question.sign)} If the answer is '{answer_words(knowledge, question.sign, value)}', {knowledge.causes[change.cause].name.lower()} would come first.")
    return tuple(lines)


def question_words(knowledge: Knowledge, sign: str) -> str:
    """The question behind a sign or event."""
    return knowledge.events[sign.split(".", 1)[1]].ask if sign.startswith("event.") else knowledge.signs[sign].ask


def answer_words(knowledge: Knowledge, sign: str, value: str) -> str:
    """The words of one answer to a sign or event."""
    from sallow.phrases import window_words

    if sign.startswith("event."):
        return window_words(knowledge, sign.split(".", 1)[1], int(value[1:]))
    return knowledge.signs[sign].answers[value].say


def contradictions(knowledge: Knowledge, look: Look, scales: Scales, weighed: Weighed) -> tuple[str, ...]:
    """Findings told both true and false, in plain words with the answers to check on either side."""
    lines = []
    for name in weighed.conclusions.contradictions():
        finding = knowledge.findings[name]
        sides = []
        for concludes in (True, False):
            supports = finding_support(scales, weighed, name, concludes)
            behind = dict.fromkeys(pair for item in supports for pair in answers_behind(item.support))
            sides.append(" ".join(answered(look, knowledge, symptom, variable) for symptom, variable in behind))
        lines.append(
            f"Two of your answers do not fit together: one says that {finding.says} ({sides[0]}), another that "
            f"{finding.says_not or 'it is not so'} ({sides[1]}). Please check both; nothing was dropped."
        )
    return tuple(lines)


def sources_used(knowledge: Knowledge, shown: Sequence[RankedCause], weighed: Weighed) -> tuple[SourceLine, ...]:
    """The sources behind the shown causes and their reasons."""
    ids: dict[str, None] = {}
    for cause in shown:
        for item in (*cause.grounds_for, *cause.grounds_against, *cause.missing):
            ids.update(dict.fromkeys(item.source))
        ids.update(dict.fromkeys(knowledge.causes[cause.id].sources))
    lines = [knowledge.sources[key] for key in ids if key in knowledge.sources]
    return tuple(SourceLine(s.id, s.cite, s.address, s.second_hand) for s in lines if s.id not in ("common_practice", "judgement", "from_memory"))


def marks_used(shown: Sequence[RankedCause]) -> tuple[str, ...]:
    """The marks other than 'published' that the shown reasons carry, explained."""
    marks = {item.mark for cause in shown for item in (*cause.grounds_for, *cause.grounds_against, *cause.missing)}
    return tuple(f"{mark}: {MARK_WORDS[mark]}" for mark in MARK_WORDS if mark in marks and mark != "published")


def honest_lines(knowledge: Knowledge, look: Look) -> tuple[str, ...]:
    """What this result rests on, said plainly."""
    return (
        "Worked out from your words, not seen. A person who can look at the tree, touch it and smell the soil sees more.",
        "Sources were mostly read in part; labels, local rules and licensed people come first.",
    )
