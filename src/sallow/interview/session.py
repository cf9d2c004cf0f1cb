"""The session behind every interview: which prompt comes next, and what an answer makes of the look."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date

from sallow.answers import find_crop, parse_number
from sallow.diagnosis import scales_for
from sallow.diagnosis.told import answered_pairs
from sallow.errors import BadInput
from sallow.knowledge.conditions import Condition, event_value, nearest
from sallow.knowledge.model import Answer, Knowledge, Sign
from sallow.look_facts import climate_from, facts_of
from sallow.looks import GO_LOOK, NONE_LOOKED, NONE_NOTICED, NOT_APPLICABLE, NOT_SURE, Event, Look, Value
from sallow.phrases import PART_WORDS, day_words, window_words
from sallow.reasoning.ask import Asker, Question
from sallow.reasoning.chain import holds
from sallow.reasoning.following import fill_implied
from sallow.reasoning.weigh import Weighed

MOST_SYMPTOMS = 3
# A second or third odd thing is asked its looks and its place; its extent and course only when that is useful.
CORE_OF_LATER_SYMPTOMS = 7
NOTHING = "nothing"
TREE_WORDS = ("grown_in", "winters", "summers", "heat", "climate", "hemisphere")
NEVER = "never"
ROUND_SIGNS = ("shoot_growth", "watering_how", "emitters", "root_flare", "ground_cover", "crop_load")


@dataclass(frozen=True, slots=True)
class Key:
    """What a prompt is about: kind (crop, date, word, intention, part, sign, event), its id, and the symptom."""

    kind: str
    id: str = ""
    symptom: int | None = None


@dataclass(frozen=True, slots=True)
class Prompt:
    """One question as data. ``kind`` is one, several, number, date or text; ``options`` are (id, words);
    ``extras`` the answers besides the list; ``heading`` says which symptom or topic it belongs to."""

    key: Key
    kind: str
    ask: str
    help: str = ""
    options: tuple[tuple[str, str], ...] = ()
    extras: tuple[tuple[str, str], ...] = ()
    heading: str = ""
    default: str = ""
    picture_sign: str = ""


@dataclass(frozen=True, slots=True)
class State:
    """Where a session stands. Immutable; an answer gives a new state, and taking it back gives the old one."""

    look: Look
    date_asked: bool = False
    done: bool = False
    history: tuple[State, ...] = field(default=(), repr=False)
    log: tuple[tuple[Key, Value], ...] = field(default=(), repr=False)


EXTRA_WORDS = {
    NOT_SURE: "not sure",
    GO_LOOK: "I'll go and look later",
    NOT_APPLICABLE: "does not apply",
    NONE_NOTICED: "none that I noticed",
    NONE_LOOKED: "I looked closely: none",
}


def start(day: date, look: Look | None = None) -> State:
    """A fresh session, or one that goes on with a look that was begun."""
    return State(look or Look(date=day, no_more_symptoms=False), date_asked=look is not None)


class Session:
    """Prompts and answers over one knowledge base. ``first`` are signs to ask before the rest; ``fill`` adds to a
    look what need not be asked once its date is known."""

    def __init__(
        self, knowledge: Knowledge, first: Sequence[str] = (), fill: Callable[[Look], Look] = lambda look: look
    ) -> None:
        self.knowledge, self.first, self.fill = knowledge, tuple(first), fill
        self._last: tuple[Look, Weighed] | None = None

    def pictured(self) -> tuple[str, ...]:
        """The signs whose answers have leaf pictures."""
        return self.knowledge.pictures.signs()

    # -- which prompt comes next --------------------------------------------------------------------------------

    def next_prompt(self, state: State) -> Prompt | None:
        """The next prompt, or None when the look is complete."""
        if state.done:
            return None
        key = self.opening(state) or self.symptoms(state.look) or self.useful(state.look)
        return None if key is None else self.prompt(key, state)

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
        """The next plain question about the place, as long as the climate kind is not settled."""
        if climate_from(tree, self.knowledge) is not None:
            return None
        for question in self.knowledge.climate_questions:
            key = str(question["question"])
            if tree.get(key) == NOT_SURE:
                return None
            if key not in tree:
                return key
        return None

    def symptoms(self, look: Look) -> Key | None:
        """The core signs of each symptom, then whether there is another odd thing."""
        facts = fill_implied(self.knowledge, facts_of(look, self.knowledge))
        for number, symptom in enumerate(look.symptoms):
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
        return Key("sign", question.sign, question.symptom)

    def question(self, look: Look) -> Question | None:
        """The reasoning's next question."""
        return self.asker(look).next()

    def asker(self, look: Look) -> Asker:
        """The chooser of questions for a look."""
        return Asker(scales_for(self.knowledge, look), self.weighed(look), tuple(answered_pairs(look)))

    def weighed(self, look: Look) -> Weighed:
        """The look weighed; the last one is remembered, since one prompt asks for it several times."""
        if self._last is None or self._last[0] is not look:
            self._last = look, scales_for(self.knowledge, look).weigh(facts_of(look, self.knowledge))
        return self._last[1]

    # -- prompts ------------------------------------------------------------------------------------------------

    def prompt(self, key: Key, state: State) -> Prompt:
        """The prompt for a key."""
        return getattr(self, f"_{key.kind}_prompt")(key, state)  # type: ignore[no-any-return]

    def _crop_prompt(self, key: Key, _: State) -> Prompt:
        names = ", ".join(crop.name for crop in self.knowledge.crops.values())
        return Prompt(key, "text", "What kind of tree is it?", f"Type a name: {names}.", heading="The tree")

    def _date_prompt(self, key: Key, state: State) -> Prompt:
        today = day_words(state.look.date)
        return Prompt(
            key,
            "date",
            f"Which day did you look at it? (Enter for {today})",
            "Type year-month-day, for instance 2026-05-20.",
            heading="The tree",
            default=state.look.date.isoformat(),
        )

    def _word_prompt(self, key: Key, _: State) -> Prompt:
        fixed = {
            "grown_in": (
                "Where does it stand?",
                (("ground", "in open ground"), ("pot", "in a pot, tub or barrel"), ("lawn", "in a lawn")),
            ),
            "hemisphere": (
                "Which are your cold months?",
                (
                    ("north", "December to February (north of the equator)"),
                    ("south", "June to August (south of the equator)"),
                ),
            ),
        }
        if key.id in fixed:
            ask, options = fixed[key.id]
        else:
            question = next(q for q in self.knowledge.climate_questions if q["question"] == key.id)
            ask, options = (
                str(question["ask"]),
                tuple((answer, words["say"]) for answer, words in question["answers"].items()),
            )
        return Prompt(
            key,
            "one",
            ask,
            options=tuple(options),
            extras=((NOT_SURE, EXTRA_WORDS[NOT_SURE]),),
            heading="The tree",
        )

    def _intention_prompt(self, key: Key, _: State) -> Prompt:
        options = tuple((item.id, item.say) for item in self.knowledge.intentions.values())
        return Prompt(
            key,
            "one",
            "What were you about to do or buy?",
            "The report answers this first.",
            options,
            heading="Your plan",
        )

    def _part_prompt(self, key: Key, state: State) -> Prompt:
        first = not state.look.symptoms
        options = [(part, words) for part, words in PART_WORDS.items()]
        again = key.symptom is not None and key.symptom < len(state.look.symptoms)
        options.append(
            (NOTHING, "take this odd thing out" if again else "nothing looks odd" if first else "nothing more")
        )
        ask = (
            "What looks odd? Begin with the leaves if they do."
            if first
            else "Is anything else odd, of another kind or on another part?"
        )
        return Prompt(
            key,
            "one",
            ask,
            "One kind of odd thing at a time; you can name up to three.",
            tuple(options),
            heading="What is odd",
        )

    def _sign_prompt(self, key: Key, state: State) -> Prompt:
        sign = self.knowledge.signs[key.id]
        heading = "The tree" if sign.id == "age_years" else "The tree and its place"
        if key.symptom is not None:
            part = str(state.look.symptoms[key.symptom]["part"])
            heading = f"Odd thing {key.symptom + 1}: {PART_WORDS[part]}"
        offered = self.offered(sign, state.look) if sign.kind != "number" else []
        options = tuple((answer.id, answer.say) for answer in offered)
        kind = "one" if sign.kind == "yes_no" else sign.kind
        ask = f"{sign.ask} ({sign.unit})" if sign.kind == "number" and sign.unit not in sign.ask else sign.ask
        return Prompt(key, kind, ask, sign.how_to_tell, options, self.extras(sign), heading, picture_sign=sign.id)

    def offered(self, sign: Sign, look: Look) -> list[Answer]:
        """The answers of a sign that can be seen on this kind of tree."""
        crop = self.knowledge.crops.get(str(look.tree.get("crop", "")))
        if crop is None or crop.id == "other":
            return list(sign.answers.values())
        kinds = {crop.id, crop.group}
        return [answer for answer in sign.answers.values() if not answer.only_on or kinds & set(answer.only_on)]

    def extras(self, sign: Sign) -> tuple[tuple[str, str], ...]:
        """The answers besides the list that make sense for a sign."""
        wanted = [NOT_SURE, GO_LOOK]
        if sign.kind == "several" and sign.unticked == "overlooked":
            wanted += [NONE_NOTICED, NONE_LOOKED]
        elif sign.kind == "yes_no":
            wanted.append(NONE_NOTICED)
        if not sign.of_symptom and sign.effort >= 2:
            wanted.append(NOT_APPLICABLE)
        return tuple((extra, EXTRA_WORDS[extra]) for extra in wanted)

    def _event_prompt(self, key: Key, _: State) -> Prompt:
        kind = self.knowledge.events[key.id]
        options = tuple(
            (event_value(index), window_words(self.knowledge, key.id, index)) for index in range(len(kind.windows) + 1)
        )
        return Prompt(
            key,
            "one",
            kind.ask,
            options=options,
            extras=((NOT_SURE, EXTRA_WORDS[NOT_SURE]),),
            heading="What happened",
        )

    # -- answers ------------------------------------------------------------------------------------------------

    def answer(self, state: State, key: Key, value: Value) -> State:
        """The state after an answer; BadInput, with what was expected, when it cannot be used."""
        changed: State = getattr(self, f"_{key.kind}_answer")(state, key, value)
        return replace(changed, history=(*state.history, replace(state, history=())), log=(*state.log, (key, value)))

    def back(self, state: State) -> State:
        """The state before the last answer (the same state when there is none)."""
        if not state.history:
            return state
        return replace(state.history[-1], history=state.history[:-1])

    def finish(self, state: State) -> State:
        """Stop asking and use what there is; BadInput when nothing odd has been told yet."""
        if not state.look.symptoms and not state.look.no_more_symptoms:
            raise BadInput(
                "You have not told yet what is odd, so there is nothing to finish. (Ctrl-C stops and keeps it.)"
            )
        look = replace(state.look, no_more_symptoms=state.look.no_more_symptoms or bool(state.look.symptoms))
        return replace(state, look=look, done=True, history=(*state.history, replace(state, history=())))

    def _crop_answer(self, state: State, _: Key, value: Value) -> State:
        if str(value).strip().lower() in ("", NOT_SURE, "not sure"):
            return replace(state, look=state.look.with_tree("crop", "other"))
        found = find_crop(str(value), self.knowledge)
        if found is None:
            names = [name for crop in self.knowledge.crops.values() for name in (crop.name, *crop.also_called)]
            close = nearest(str(value).strip().lower(), names)
            hint = f" Did you mean '{close}' (y)?" if close else ""
            raise BadInput(
                f"'{str(value)[:40]}' is not a tree I know.{hint} For another fruit tree type: other.", close
            )
        return replace(state, look=state.look.with_tree("crop", found))

    def taken_as(self, key: Key, value: Value, state: State) -> list[str]:
        """How a tree's name was taken, when the person typed another one."""
        crop = self.knowledge.crops.get(str(state.look.tree.get("crop", "")))
        typed = str(value).strip().lower()
        if key.kind != "crop" or crop is None or typed.rstrip("s") in (crop.id, crop.name):
            return []
        if crop.id == "other":
            return ["Taken as another fruit tree: only what troubles many kinds of trees is weighed."]
        return [f"'{typed[:40]}' is treated here as: {crop.name}. What is special to {typed[:40]} is not known here."]

    def _date_answer(self, state: State, _: Key, value: Value) -> State:
        text = str(value).strip()
        try:
            day = date.fromisoformat(text) if text else state.look.date
        except ValueError:
            raise BadInput(f"'{text[:40]}' is not a date; type year-month-day, for instance 2026-05-20.") from None
        return replace(state, look=self.fill(replace(state.look, date=day)), date_asked=True)

    def _word_answer(self, state: State, key: Key, value: Value) -> State:
        return replace(state, look=state.look.with_tree(key.id, value))

    def _intention_answer(self, state: State, _: Key, value: Value) -> State:
        return replace(state, look=replace(state.look, about_to=str(value)))

    def _part_answer(self, state: State, key: Key, value: Value) -> State:
        if key.symptom is not None and key.symptom < len(state.look.symptoms):
            others = [*state.look.symptoms]
            if value == NOTHING:
                del others[key.symptom]
            elif value != others[key.symptom]["part"]:
                others[key.symptom] = {"part": value}
            return replace(state, look=replace(state.look, symptoms=tuple(others)))
        if value == NOTHING:
            return replace(state, look=replace(state.look, no_more_symptoms=True))
        symptoms = (*state.look.symptoms, {"part": value})
        return replace(state, look=replace(state.look, symptoms=symptoms))

    def _sign_answer(self, state: State, key: Key, value: Value) -> State:
        sign = self.knowledge.signs[key.id]
        if sign.kind == "number" and isinstance(value, str) and value not in EXTRA_WORDS:
            number = parse_number(value, sign)
            if number is None:
                limits = f"from {sign.least or 0:g} to {sign.most or 0:g}"
                raise BadInput(f"'{value[:40]}' is not a likely value; type a number {limits}.")
            value = number
        if sign.kind == "date" and isinstance(value, str) and value not in EXTRA_WORDS:
            try:
                value = date.fromisoformat(value.strip()).isoformat()
            except ValueError:
                raise BadInput(f"'{value[:40]}' is not a date; type year-month-day.") from None
        return replace(state, look=self.pruned(state.look.with_answer(key.symptom, key.id, value), key.symptom))

    def pruned(self, look: Look, symptom: int | None) -> Look:
        """The look without answers to questions that no longer make sense after a correction."""
        answers = look.answers if symptom is None else look.symptoms[symptom]
        for name in answers:
            sign = self.knowledge.signs.get(name)
            if sign is None or sign.ask_when is None:
                continue
            weighed = self.weighed(look)
            if holds(sign.ask_when, weighed.facts, weighed.conclusions, symptom) is False:
                look = look.with_answer(symptom, name, None)
        return look

    def _event_answer(self, state: State, key: Key, value: Value) -> State:
        kind = self.knowledge.events[key.id]
        if value == NOT_SURE:
            return replace(state, look=state.look.with_event(Event(key.id), key.id))
        index = int(str(value)[1:])
        within = NEVER if index >= len(kind.labels) else kind.labels[index]
        return replace(state, look=state.look.with_event(Event(key.id, within=within), key.id))

    # -- looking back -------------------------------------------------------------------------------------------

    def given(self, state: State) -> Sequence[Key]:
        """Every answer given so far that can be changed, always in the same order."""
        look = state.look
        keys = [Key("crop")] if look.tree.get("crop") else []
        keys += [Key("word", key) for key in TREE_WORDS if key in look.tree]
        keys += [Key("intention")] if look.about_to else []
        order = list(self.knowledge.signs)
        for number, symptom in enumerate(look.symptoms):
            keys.append(Key("part", symptom=number))
            keys += [Key("sign", key, number) for key in order if key in symptom]
        keys += [Key("sign", key) for key in order if key in look.answers]
        return [*keys, *(Key("event", event.what) for event in sorted(look.events, key=lambda e: e.what))]
