"""Ranked causes: reasons, chains, look-alikes, what accounts for what."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence

from sallow.knowledge.conditions import tests_in, variables_in
from sallow.knowledge.model import Knowledge
from sallow.looks import Look
from sallow.phrases import capital, lower_first
from sallow.reasoning.compile import SOMETHING_ELSE
from sallow.reasoning.explain import Reason, answers_behind, effective_decibans, finding_support, missing, reasons
from sallow.reasoning.facts import OVERLOOKED
from sallow.reasoning.weigh import Scales, Weighed
from sallow.reasoning.words import at_least, word_for
from sallow.report_model import Ground, RankedCause

MOST_GROUNDS = 3
# The decibans from which evidence is called strong.
STRONG = 10
# A cause accounts for a symptom from this share on, and from a smaller one where no other known cause has a larger.
ACCOUNTS_FROM, LEADS_FROM = 0.3, 0.1
# Kinds of causes that a person might treat.
TREATED = frozenset(("disease", "pest", "nutrient", "water_and_roots"))


def ranked_cause(
    knowledge: Knowledge, look: Look, scales: Scales, weighed: Weighed, cause_id: str, belief: float
) -> RankedCause:
    """One cause with its reasons, its chain and the look-alike it was told apart from."""
    cause = knowledge.causes[cause_id]
    found = [reason for reason in reasons(scales, weighed, cause_id) if not belied(knowledge, weighed, reason)]
    # What a later day has shown is what a follow-up is read for.
    found.sort(key=lambda reason: not set(look.dated) & set(variables_in(reason.evidence.when)))
    index = weighed.causes.index(cause_id)
    settled = confirmed(knowledge, look, weighed, cause_id)
    explains = tuple(j for j, row in enumerate(weighed.beliefs.of_symptom) if accounts(row, index))
    return RankedCause(
        id=cause_id,
        name=cause.name,
        also_called=cause.also_called,
        kind=cause.kind,
        summary=cause.summary,
        belief=belief,
        word=word_for(belief),
        decibans=effective_decibans(weighed, cause_id),
        confirmed=settled,
        regulated=cause.regulated,
        explains=explains if look.symptoms else (),
        grounds_for=grounds(r for r in found if r.decibans > 0),
        grounds_against=grounds(r for r in found if r.decibans < 0),
        missing=tuple(ground(r) for r in missing(scales, weighed, cause_id))[:2],
        look_alike=look_alike(knowledge, weighed, cause_id),
        chain=chain(knowledge, weighed, cause_id),
        explained_away="" if settled else explained_away(knowledge, weighed, cause_id),
        note=cause.note,
    )


def shown_by_test(
    knowledge: Knowledge, scales: Scales, weighed: Weighed, cause: str, downstream: Collection[str]
) -> bool:
    """Whether one of its own tests has shown a state of things (ground that does not drain) that may have brought on
    one of the causes ``downstream``, whatever share of the odd things is put down to it alone."""
    if not any(cause in knowledge.causes[other].brought_on_by for other in downstream):
        return False
    tested = {knowledge.checks[check].gives for check in knowledge.causes[cause].checks}
    tested &= {n for e in knowledge.causes[cause].evidence if e.decibans >= STRONG for n in variables_in(e.when)}
    return any(
        variable.split(".")[0] in tested
        for finding in knowledge.causes[cause].brought_on_by
        if finding in knowledge.findings and weighed.conclusions.told(finding)[0]
        for item in finding_support(scales, weighed, finding, True)
        for _, variable in answers_behind(item.support)
    )


def belied(knowledge: Knowledge, weighed: Weighed, reason: Reason) -> bool:
    """Whether a reason rests on a sound look of one odd thing ('the colour is as usual') that another one belies."""
    for test in tests_in(reason.evidence.when):
        sign = knowledge.signs.get(test.variable)
        sound = {answer.id for answer in sign.answers.values() if answer.none} if sign else set()
        told = {symptom.get(test.variable) for symptom in weighed.facts.symptoms} - {None, OVERLOOKED}
        if sound and set(test.values) <= sound and told - sound:
            return True
    return False


def grounds(found: Iterable[Reason]) -> tuple[Ground, ...]:
    """The weightiest reasons as data, each in its words once: two odd things may speak by the same evidence."""
    told: dict[str, Ground] = {}
    for reason in found:
        told.setdefault(reason.evidence.because, ground(reason))
    return tuple(told.values())[:MOST_GROUNDS]


def ground(reason: Reason) -> Ground:
    """A reason as data."""
    evidence = reason.evidence
    return Ground(evidence.because, round(reason.decibans, 1), evidence.mark, evidence.source, reason.symptom)


def confirmed(knowledge: Knowledge, look: Look, weighed: Weighed, cause_id: str) -> bool:
    """Whether a check that settles has been done with a settling result (for a regulated disease: only officially).

    A result that fits several causes settles only the one believed most among them, and none that is not possible.
    """
    if not at_least(weighed.belief(cause_id), "possible"):
        return False
    for check in knowledge.checks.values():
        if knowledge.causes[cause_id].regulated and check.id != "official_sample":
            continue
        for result in check.results:
            if cause_id in result.settles and answered(look, check.gives, result.answer):
                rivals = [cause for cause in result.settles if cause in weighed.causes]
                best = max(rivals, key=lambda c: (weighed.belief(c), c), default="")
                return best == cause_id
    return False


def answered(look: Look, sign: str, answer: str) -> bool:
    """Whether an answer was given for the tree or for one of the odd things."""
    told = [scope.get(sign) for scope in (look.answers, *look.symptoms)]
    return any(value == answer or (isinstance(value, tuple | list | frozenset) and answer in value) for value in told)


def look_alike(knowledge: Knowledge, weighed: Weighed, cause_id: str) -> str:
    """The strongest other cause among the look-alikes, and the sign that tells the two apart."""
    alikes = [alike for alike in knowledge.causes[cause_id].look_alikes if alike.cause in weighed.causes]
    if not alikes:
        return ""
    nearest = max(alikes, key=lambda alike: weighed.belief(alike.cause))
    return f"Looks similar: {knowledge.causes[nearest.cause].name}. To tell apart: {nearest.tell_apart}"


def accounts(shares: Sequence[float], index: int) -> bool:
    """Whether a cause is said to be behind a symptom; ``shares``: how likely each is, 'something else' last."""
    own = shares[index]
    return own >= ACCOUNTS_FROM or (own >= LEADS_FROM and own == max(shares[:-1]))


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
    if (
        leader == cause_id
        or not at_least(weighed.belief(leader), "likely")
        or at_least(weighed.belief(cause_id), "likely")
        or cause_id in above(knowledge, leader)
    ):
        return ""
    related = {alike.cause for alike in knowledge.causes[cause_id].look_alikes} | set(
        knowledge.causes[cause_id].brought_on_by
    )
    if leader not in related and cause_id not in {alike.cause for alike in knowledge.causes[leader].look_alikes}:
        return ""
    name = lower_first(knowledge.causes[cause_id].name)
    return (
        f"{knowledge.causes[leader].name} already accounts for much of this; "
        f"{_extra(knowledge.causes[cause_id].kind, name)} unless its own test speaks for it."
    )


def _extra(kind: str, name: str) -> str:
    """What acting on a further cause would be worth; weather, injuries and the normal course cannot be treated."""
    return f"treating for {name} would add little" if kind in TREATED else f"nothing need be done for {name}"


def above(knowledge: Knowledge, cause_id: str) -> set[str]:
    """The causes and findings that may have brought a cause on, however far upstream: what treats the root of it."""
    found: set[str] = set()
    waiting = [cause_id]
    while waiting:
        new = set(knowledge.causes[waiting.pop()].brought_on_by) - found
        found |= new
        waiting += sorted(new & set(knowledge.causes))
    return found


def family(knowledge: Knowledge, ranked: Sequence[RankedCause], cause: RankedCause) -> list[RankedCause]:
    """A cause with the shown causes that brought it on or that it brings on: one chain, not rivals; upstream first."""
    direct = set(knowledge.causes[cause.id].brought_on_by)
    kin = [c for c in ranked if c.id in direct or c is cause or cause.id in knowledge.causes[c.id].brought_on_by]
    ids = {c.id for c in kin}
    return sorted(kin, key=lambda c: (len(ids & above(knowledge, c.id)), ranked.index(c)))


def upstream(ranked: Sequence[RankedCause]) -> tuple[str, ...]:
    """The chains of the leading causes, each as one line, upstream first."""
    possible = [cause for cause in ranked if cause.chain and at_least(cause.belief, "possible")]
    lines = [" -> ".join((*cause.chain, cause.name)) for cause in possible]
    return tuple(dict.fromkeys(lines))


def minor(knowledge: Knowledge, weighed: Weighed, shown: Sequence[RankedCause]) -> tuple[tuple[str, str, float], ...]:
    """Causes that were weighed and found unlikely: name, word and belief."""
    names = {cause.id for cause in shown}
    rest = [(c, b) for c, b in weighed.ranking() if c not in names and c != SOMETHING_ELSE and b >= 0.02]
    return tuple((knowledge.causes[c].name, word_for(b), b) for c, b in rest[:6]) if weighed.facts.symptoms else ()
