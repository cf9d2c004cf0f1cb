"""One look from answers to a Diagnosis value; pure, so that it can be mapped over many looks."""

from __future__ import annotations

from collections.abc import Collection
from datetime import date, timedelta
from functools import lru_cache

from sallow.care.season import season_of
from sallow.diagnosis.causes import family, minor, ranked_cause, shown_by_test, upstream
from sallow.diagnosis.headline import headline, title
from sallow.diagnosis.placing import treatable, waiting
from sallow.diagnosis.plans import about_to
from sallow.diagnosis.small_print import change_lines, honest_lines, marks_used, sources_used
from sallow.diagnosis.steps import MOST_TESTS, cautions, flags, steps, tests
from sallow.diagnosis.told import answered_pairs, contradictions, seen, to_look, unexplained
from sallow.diagnosis.walk_round import walk_round
from sallow.knowledge.model import Knowledge
from sallow.look_facts import context_of, facts_of
from sallow.looks import Look, look_as_data
from sallow.reasoning.compile import SOMETHING_ELSE, compile_base
from sallow.reasoning.likelihood import Memory
from sallow.reasoning.weigh import Scales, Weighed
from sallow.reasoning.words import BANDS, at_least, word_for
from sallow.report_model import Diagnosis, RankedCause
from sallow.values import replace

# Below this belief in its leading cause a look says that it cannot tell.
CANNOT_TELL_BELOW = 0.35
MOST_CAUSES = 5
# However long a tree takes to recover, someone should look at it again within this many days.
LATEST_LOOK = 42
# So many contexts (crop, climate, season ...) are kept ready; the oldest goes when another comes.
MOST_CONTEXTS = 64
_scales: dict[tuple[int, tuple[tuple[str, str], ...]], Scales] = {}


@lru_cache(maxsize=2)
def _memory(_: int) -> Memory:
    """What the scales of one knowledge remember together."""
    return Memory()


def scales_for(knowledge: Knowledge, look: Look) -> Scales:
    """The scales for a look's context, kept for the next look of the same kind."""
    context = context_of(look, knowledge)
    key = (id(knowledge), tuple(sorted(context.items())))
    if key not in _scales:
        if len(_scales) >= MOST_CONTEXTS:
            del _scales[next(iter(_scales))]
        # Stored evidence is the same object in every context that it reads alike: worked out once.
        memory = _memory(id(knowledge)) if knowledge.stored else None
        _scales[key] = Scales(compile_base(knowledge, context), memory=memory)
    return _scales[key]


def weigh_look(knowledge: Knowledge, look: Look) -> tuple[Scales, Weighed]:
    """The scales of a look and the weighed look."""
    scales = scales_for(knowledge, look)
    return scales, scales.weigh(facts_of(look, knowledge))


def diagnose(knowledge: Knowledge, look: Look, asked: Collection[tuple[int | None, str]] = ()) -> Diagnosis:
    """Everything a report shows, worked out from one look. Same knowledge and look, same result."""
    scales, weighed = weigh_look(knowledge, look)
    ranked = ranked_causes(knowledge, look, scales, weighed)
    result = result_of(knowledge, look, weighed, ranked)
    raised = flags(scales, weighed)
    shown = [cause for cause in ranked if result != "nothing_odd"]
    can_tell = result != "cannot_tell"
    asked_for = shown if can_tell else worth_testing(knowledge, look, scales, weighed)
    test_lines = tests(scales, look, weighed, asked_for, 2 if result == "leave_alone" else MOST_TESTS)
    step_lines = steps(knowledge, look, weighed, shown, shown_before(knowledge, look), can_tell)
    if result in ("causes", "cannot_tell") and not (can_tell and treatable(shown)):
        step_lines["now"] = (waiting(can_tell, bool(test_lines)), *step_lines["now"])
    if result in ("leave_alone", "cannot_tell"):
        step_lines["confirmed"] = ()
    again, again_because = look_again(knowledge, look, ranked, result)
    if any(flag.tier == "report_now" for flag in raised):
        again, again_because = look.date + timedelta(days=7), "whether the plant-health office has answered"
    used = sources_used(knowledge, shown)
    all_asked = frozenset(asked) | frozenset(answered_pairs(look))
    return Diagnosis(
        result=result,
        headline=headline(knowledge, look, ranked, result),
        about_to=about_to(knowledge, look, weighed, ranked, test_lines, result != "cannot_tell"),
        title=title(knowledge, look),
        date=look.date.isoformat(),
        seen=seen(knowledge, look),
        flags=raised,
        causes=tuple(shown),
        minor=minor(knowledge, weighed, shown),
        upstream=upstream(shown),
        findings=tuple((name, knowledge.findings[name].says) for name in weighed.conclusions.true_findings()),
        tests=test_lines,
        steps_now=walk_round(knowledge, look, weighed) if result == "nothing_odd" else step_lines["now"],
        steps_if_confirmed=step_lines["confirmed"],
        steps_if_refuted=step_lines["refuted"],
        not_to_do=step_lines["not_to_do"],
        cautions=cautions(knowledge, test_lines, step_lines, raised, shown),
        unexplained=unexplained(look, weighed),
        changes=change_lines(knowledge, scales, weighed, all_asked) if look.symptoms else (),
        contradictions=contradictions(knowledge, look, scales, weighed),
        to_look=to_look(knowledge, look),
        look_again=again.isoformat() if again else "",
        look_again_because=again_because,
        sources=used,
        marks=marks_used(shown),
        honest=honest_lines(),
        bands=BANDS,
        something_else=weighed.belief(SOMETHING_ELSE),
        answers=weighed.answers,
        discount=weighed.discount,
        knowledge_version=knowledge.version,
        overlays=knowledge.overlays,
        look=look_as_data(look),
    )


def shown_before(knowledge: Knowledge, look: Look) -> frozenset[str]:
    """The causes that a look showed without the answers given on a later day; none where there are no such answers."""
    if not look.dated:
        return frozenset()
    answers = {key: value for key, value in look.answers.items() if key not in look.dated}
    own = tuple({k: v for k, v in symptom.items() if k not in look.dated} for symptom in look.symptoms)
    earlier = replace(look, answers=answers, symptoms=own, dated={})
    scales, weighed = weigh_look(knowledge, earlier)
    return frozenset(cause.id for cause in ranked_causes(knowledge, earlier, scales, weighed))


def ranked_causes(knowledge: Knowledge, look: Look, scales: Scales, weighed: Weighed) -> list[RankedCause]:
    """The causes worth showing, those confirmed first: all that are possible, and the first one whatever it is."""
    if not look.symptoms:
        return []
    known = ((cause, belief, word_for(belief)) for cause, belief in known_causes(weighed))
    kept = possible_causes(knowledge, scales, weighed) or [item for item in known if item[1] > 0][:2]
    shown = [
        replace(ranked_cause(knowledge, look, scales, weighed, cause, belief), word=word)
        for cause, belief, word in kept
    ]
    # What a test has settled comes before what is only believed.
    return sorted(shown, key=lambda cause: not cause.confirmed)


def known_causes(weighed: Weighed) -> list[tuple[str, float]]:
    """The causes of the knowledge with their beliefs, best first."""
    return [(cause, belief) for cause, belief in weighed.ranking() if cause != SOMETHING_ELSE]


def possible_causes(knowledge: Knowledge, scales: Scales, weighed: Weighed) -> list[tuple[str, float, str]]:
    """The causes that are possible, each with its belief and word, best first.

    Also those, called possible, that a test has shown and that may have brought one of the others on: their own share
    is small only because each odd thing is put down to one cause.
    """
    ranking = [(cause, belief) for cause, belief in known_causes(weighed) if belief > 0]
    kept = [(cause, belief, word_for(belief)) for cause, belief in ranking if at_least(belief, "possible")]
    kept = kept[:MOST_CAUSES]
    names = [cause for cause, _, _ in kept]
    shown = [(cause, belief) for cause, belief in ranking if not at_least(belief, "possible")]
    return kept + [(c, b, "possible") for c, b in shown if shown_by_test(knowledge, scales, weighed, c, names)]


def worth_testing(knowledge: Knowledge, look: Look, scales: Scales, weighed: Weighed) -> list[RankedCause]:
    """The causes to be told apart by tests where none stands out: the first few that are not as good as out."""
    known = known_causes(weighed)
    first = [pair for pair in known if at_least(pair[1], "unlikely")][:MOST_CAUSES] or known[:2]
    return [ranked_cause(knowledge, look, scales, weighed, cause, belief) for cause, belief in first]


def result_of(knowledge: Knowledge, look: Look, weighed: Weighed, ranked: list[RankedCause]) -> str:
    """Which of the four results this is."""
    if not look.symptoms:
        return "nothing_odd"
    together = sum(cause.belief for cause in family(knowledge, ranked, ranked[0])) if ranked else 0.0
    unsure = together < CANNOT_TELL_BELOW or weighed.belief(SOMETHING_ELSE) > together
    if not ranked or (unsure and not ranked[0].confirmed):
        return "cannot_tell"
    normal = sum(cause.belief for cause in ranked if cause.kind == "normal")
    others = [
        cause for cause in ranked if cause.kind != "normal" and (cause.confirmed or at_least(cause.belief, "likely"))
    ]
    if ranked[0].kind == "normal" and at_least(normal, "likely") and not others:
        return "leave_alone"
    return "causes"


def look_again(knowledge: Knowledge, look: Look, ranked: list[RankedCause], result: str) -> tuple[date | None, str]:
    """When to look again, counted from the latest answer, and what for."""
    latest = max([look.date, *(date.fromisoformat(day) for day in look.dated.values())])
    if result == "nothing_odd":
        return latest + timedelta(days=90), "for the next seasonal walk-round"
    if result == "cannot_tell" or (result == "causes" and not treatable(ranked)):
        return latest + timedelta(days=14), "with the test results, to see whether it spreads"
    days = min(knowledge.causes[ranked[0].id].recovery_days or LATEST_LOOK, LATEST_LOOK)
    again = latest + timedelta(days=days)
    buds = bare_until(look, knowledge, again)
    if buds is not None:
        return buds, "when the buds open, to see whether the new leaves come clean; until then the tree is bare"
    return again, to_see({str(symptom["part"]) for symptom in look.symptoms})


def to_see(parts: Collection[str]) -> str:
    """What the next look is for, by the parts that look odd."""
    if "leaf" in parts or "shoot" in parts:
        return "to see whether new growth comes clean"
    if "bark" in parts:
        return "to see whether the bark is worse and new shoots are strong"
    if parts == {"fruit"}:
        return "to see whether the fruit that comes next is sound"
    return "to see whether new growth is strong"


def bare_until(look: Look, knowledge: Knowledge, day: date) -> date | None:
    """The first of spring for a tree that stands without leaves on a day in winter, else None."""
    context = context_of(look, knowledge)
    hemisphere = context.get("hemisphere", "")
    if context.get("evergreen") != "no" or hemisphere not in ("north", "south") or context.get("climate") == "tropical":
        return None
    south = hemisphere == "south"
    if season_of(day, "south" if south else "north") != "winter":
        return None
    spring = date(day.year, 9 if south else 3, 1)
    return spring if spring > day else date(day.year + 1, 3, 1)
