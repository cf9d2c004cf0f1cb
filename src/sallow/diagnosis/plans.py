"""What the person was about to do: whether it fits, does harm, or comes at the wrong time."""

from __future__ import annotations

from collections.abc import Sequence

from sallow.diagnosis.headline import degree
from sallow.knowledge.model import Intention, Knowledge
from sallow.looks import Look
from sallow.phrases import lower_first
from sallow.reasoning.weigh import Weighed
from sallow.reasoning.words import at_least
from sallow.report_model import RankedCause, TestLine


def about_to(
    knowledge: Knowledge,
    look: Look,
    weighed: Weighed,
    ranked: Sequence[RankedCause],
    tests: Sequence[TestLine] = (),
    can_tell: bool = True,
) -> str:
    """The answer to what the person was about to do, in one or two sentences."""
    intention = knowledge.intentions.get(look.about_to)
    if intention is None or intention.id == "nothing":
        return ""
    reasons = harms(knowledge, intention, weighed)
    if reasons:
        verdict = f"Hold off, because {'; and '.join(reasons[:2])}."
    else:
        verdict = fit(knowledge, intention, ranked, tests, can_tell)
    return f"You were about to: {intention.say}. {verdict}"


def harms(knowledge: Knowledge, intention: Intention, weighed: Weighed) -> list[str]:
    """Why a plan would do harm now: findings told true and causes that are likely."""
    return [
        harm.because
        for harm in intention.harms
        if (harm.condition in knowledge.findings and weighed.conclusions.told(harm.condition)[0])
        or (harm.condition in knowledge.causes and at_least(weighed.belief(harm.condition), "likely"))
    ]


def fit(
    knowledge: Knowledge,
    intention: Intention,
    ranked: Sequence[RankedCause],
    tests: Sequence[TestLine],
    can_tell: bool,
) -> str:
    """Whether a plan fits the ranking, in a sentence."""
    too_late = {late.cause: late.because for late in intention.not_now}
    late = next((cause for cause in ranked if cause.id in too_late), None)
    if late is not None:
        first = ", which comes first here," if late is ranked[0] else ""
        return (
            f"Hold off now: for {lower_first(late.name)} ({degree(late)}){first} that is the right kind of thing at "
            f"the wrong time: {too_late[late.id]}."
        )
    fitting = [cause for cause in ranked if cause.id in intention.fits]
    if fitting:
        name = lower_first(fitting[0].name)
        if fitting[0].confirmed:
            return f"That fits what was confirmed ({name}); follow the steps and cautions below."
        test = deciding(knowledge, fitting[0], tests)
        if at_least(fitting[0].belief, "likely"):
            first = f"do the free test below first: {lower_first(test)}" if test else "first do what is told below"
            return f"That may turn out right ({name} is {fitting[0].word}), but {first}."
        first = f" Do the free test below first: {lower_first(test)}." if test else ""
        return f"Hold off for now: {name}, which it would help, is only {fitting[0].word}.{first}"
    if not ranked:
        return (
            "Nothing you told speaks for it. How the tree does is the best guide; one that looks well may need nothing."
        )
    if ranked[0].kind == "normal":
        return f"Hold off: {lower_first(ranked[0].name)} ({degree(ranked[0])}) needs no treatment."
    if not can_tell:
        return "Hold off: what it would help against is not known yet."
    return (
        f"Hold off: what comes first here is {lower_first(ranked[0].name)} ({degree(ranked[0])}), "
        "and nothing known here says that this would help it. The steps below say what may, and when."
    )


def deciding(knowledge: Knowledge, cause: RankedCause, tests: Sequence[TestLine]) -> str:
    """The name of the first free test among those shown that can settle or refute a cause, else ''."""
    for test in tests:
        results = knowledge.checks[test.id].results
        if test.cost == "free" and any(cause.id in (*result.settles, *result.refutes) for result in results):
            return test.name
    return ""
