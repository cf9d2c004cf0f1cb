"""The prompt for what is to be asked: its words, help, answers to choose from, and the answers besides them."""

from __future__ import annotations

from sallow.interview.state import EXTRA_WORDS, NOT_CLOSELY, NOTHING, Key, Prompt, State
from sallow.knowledge.conditions import event_value
from sallow.knowledge.model import Answer, Knowledge, Sign
from sallow.looks import GO_LOOK, NONE_LOOKED, NONE_NOTICED, NOT_APPLICABLE, NOT_SURE, Look
from sallow.phrases import PART_WORDS, day_words, window_words

# From this effort on a sign has to be looked at; below it a person knows or remembers.
LEAST_LOOKING = 1


class Prompts:
    """The prompts of one knowledge base."""

    def __init__(self, knowledge: Knowledge) -> None:
        self.knowledge = knowledge

    def prompt(self, key: Key, state: State) -> Prompt:
        """The prompt for a key."""
        return getattr(self, f"_{key.kind}")(key, state)  # type: ignore[no-any-return]

    def _crop(self, key: Key, _: State) -> Prompt:
        names = ", ".join(crop.name for crop in self.knowledge.crops.values())
        unsure = ((NOT_SURE, "not sure, or another fruit tree"),)
        return Prompt(
            key, "text", "What kind of tree is it?", f"Type a name: {names}.", extras=unsure, heading="The tree"
        )

    def _date(self, key: Key, state: State) -> Prompt:
        today = day_words(state.look.date)
        return Prompt(
            key,
            "date",
            f"Which day did you look at it? (Enter for {today})",
            "Type for instance: today, yesterday, 4 May, or 2026-05-04; roughly will do (last week, early May).",
            heading="The tree",
            default=state.look.date.isoformat(),
        )

    def _word(self, key: Key, _: State) -> Prompt:
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
            # Never asked of itself: an answers file or a saved look may name the kind of climate.
            "climate": (
                "Which kind of climate comes nearest?",
                tuple((climate.id, climate.name) for climate in self.knowledge.climates.values()),
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

    def _intention(self, key: Key, _: State) -> Prompt:
        options = tuple((item.id, item.say) for item in self.knowledge.intentions.values())
        return Prompt(
            key,
            "one",
            "What were you about to do or buy?",
            "The report answers this first.",
            options,
            ((NOT_SURE, EXTRA_WORDS[NOT_SURE]),),
            heading="Your plan",
        )

    def _part(self, key: Key, state: State) -> Prompt:
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

    def _sign(self, key: Key, state: State) -> Prompt:
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
        to_be_seen = sign.effort >= LEAST_LOOKING
        wanted = [NOT_SURE, GO_LOOK] if to_be_seen else [NOT_SURE]
        words = EXTRA_WORDS
        if sign.kind == "several" and sign.unticked == "overlooked":
            wanted += [NONE_NOTICED, NONE_LOOKED]
        elif sign.kind == "yes_no" and to_be_seen:
            wanted.append(NONE_NOTICED)
            words = EXTRA_WORDS | {NONE_NOTICED: NOT_CLOSELY}
        if not sign.of_symptom and sign.effort >= 2:
            wanted.append(NOT_APPLICABLE)
        return tuple((extra, words[extra]) for extra in wanted)

    def _event(self, key: Key, _: State) -> Prompt:
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
