"""Which prompt comes next: the opening, the core of each odd thing, then what the reasoning finds most useful."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from sallow.diagnosis import scales_for
from sallow.diagnosis.told import answered_pairs
from sallow.interview.state import Key, State
from sallow.knowledge.conditions import Condition
from sallow.knowledge.model import Knowledge, Sign
from sallow.look_facts import climate_from, facts_of
from sallow.looks import NOT_SURE, SILENT, Look, Value
from sallow.reasoning.ask import Asker, Question
from sallow.reasoning.chain import holds
from sallow.reasoning.following import fill_implied
from sallow.reasoning.weigh import Weighed

MOST_SYMPTOMS = 3
# A second or third odd thing is asked its looks and its place; its extent and course only when that is useful.
CORE_OF_LATER_SYMPTOMS = 7
ROUND_SIGNS = ("shoot_growth", "watering_how", "emitters", "root_flare", "ground_cover", "crop_load")

# Asked before another question, which has no sense after some of its answers: a tree that only rain waters.
ASKED_BEFORE = {"watering_every": "watering_how"}

# In a pot the ball need not be felt once its bottom third was; in the ground it can be dry in wet soil.
BALL, BOTTOM_OF_POT = "ball_wetness", "soil_at_depth"


class Course:
    """The course of an interview over one knowledge base. ``first`` are signs to ask before the rest."""

    def __init__(self, knowledge: Knowledge, first: Sequence[str]) -> None:
        self.knowledge, self.first = knowledge, tuple(first)
        self._last: tuple[Look, Weighed] | None = None

    def next_key(self, state: State) -> Key | None:
        """What to ask next, or None when the look is complete."""
        return self.opening(state) or self.symptoms(state.look) or self.useful(state.look)

    def opening(self, state: State) -> Key | None:
        """The questions every look begins with."""
        tree = state.look.tree
        if not tree.get("crop"):
            return Key("crop")
        for key in ("age_years",):
            if key not in state.look.answers:
                return Key("sign", key)
        if "grown_in" not in tree:
            return Key("word", "grown_in")
        if "climate" not in tree:
            place = self.climate_key(tree)
            if place:
                return Key("word", place)
        if "hemisphere" not in tree:
            return Key("word", "hemisphere")
        if not state.date_asked:
            return Key("date")
        for key in self.first:
            if key not in state.look.answers and not self.knowledge.signs[key].of_symptom:
                return Key("sign", key)
        if not state.look.about_to:
            return Key("intention")
        if "looks_well" not in state.look.answers:
            return Key("sign", "looks_well")
        return None

    def climate_key(self, tree: Mapping[str, Value]) -> str | None:
        """The next plain question about the place, as long as the climate kind is not settled and the answer could
        matter; 'not sure' of the winters leaves the others worth asking."""
        if climate_from(tree, self.knowledge) is not None:
            return None
        told = {key: value for key, value in tree.items() if value != NOT_SURE}
        ways = [way for climate in self.knowledge.climates.values() for way in climate.reached_by]
        open_ways = [way for way in ways if all(way.get(key, told[key]) == told[key] for key in told)]
        for number, question in enumerate(self.knowledge.climate_questions):
            key = str(question["question"])
            if number and tree.get(key) == NOT_SURE:
                return None
            if key not in tree:
                return key if any(key in way for way in open_ways) else None
        return None

    def symptoms(self, look: Look, first: int = 0) -> Key | None:
        """The core signs of each symptom from the ``first`` on, then whether there is another odd thing."""
        facts = fill_implied(self.knowledge, facts_of(look, self.knowledge))
        for number, symptom in list(enumerate(look.symptoms))[first:]:
            core = sorted(
                (
                    s
                    for s in self.knowledge.signs.values()
                    if (s.core or (s.of_symptom and s.id in self.first)) and s.part in ("any", symptom["part"])
                ),
                key=lambda s: (s.core or 99, s.id),
            )
            for sign in core:
                if sign.id in symptom or sign.id in facts.symptoms[number] or not self.gate(sign, look, number):
                    continue
                if number and sign.core > CORE_OF_LATER_SYMPTOMS:
                    continue
                if sign.core_when is not None and not self.true_of(sign.core_when, look, number):
                    continue
                return Key("sign", sign.id, number)
        if not look.no_more_symptoms and len(look.symptoms) < MOST_SYMPTOMS:
            return Key("part", symptom=len(look.symptoms))
        return None

    def gate(self, sign: Sign, look: Look, symptom: int | None) -> bool:
        """Whether a sign's ``ask_when`` holds."""
        return sign.ask_when is None or self.true_of(sign.ask_when, look, symptom)

    def true_of(self, condition: Condition, look: Look, symptom: int | None) -> bool:
        """Whether a condition is known to be true in a look, seen from a symptom or the tree."""
        weighed = self.weighed(look)
        return holds(condition, weighed.facts, weighed.conclusions, symptom) is True

    def useful(self, look: Look) -> Key | None:
        """What the reasoning finds most useful to ask; without a symptom, the signs of the walk-round."""
        if not look.symptoms:
            for key in ROUND_SIGNS:
                if key not in look.answers and self.gate(self.knowledge.signs[key], look, None):
                    return Key("sign", key)
            return None if any(event.what == "fed" for event in look.events) else Key("event", "fed")
        question = self.question(look)
        if question is None:
            return None
        if question.sign.startswith("event."):
            return Key("event", question.sign.split(".", 1)[1])
        before = ASKED_BEFORE.get(question.sign)
        if before is not None and before not in look.answers:
            return Key("sign", before)
        return Key("sign", question.sign, question.symptom)

    def question(self, look: Look) -> Question | None:
        """The reasoning's next question."""
        return self.asker(look).next()

    def asker(self, look: Look) -> Asker:
        """The chooser of questions for a look."""
        told = look.answers.get(BOTTOM_OF_POT, NOT_SURE)
        spared = [(None, BALL)] if look.tree.get("grown_in") == "pot" and told not in SILENT else []
        return Asker(scales_for(self.knowledge, look), self.weighed(look), (*answered_pairs(look), *spared))

    def weighed(self, look: Look) -> Weighed:
        """The look weighed; the last one is remembered, since one prompt asks for it several times."""
        if self._last is None or self._last[0] is not look:
            self._last = look, scales_for(self.knowledge, look).weigh(facts_of(look, self.knowledge))
        return self._last[1]
