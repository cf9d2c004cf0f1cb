"""The questions that a new knowledge entry asks, and the commented file it becomes."""

from __future__ import annotations

import json
from collections.abc import Callable, Collection
from dataclasses import dataclass

from sallow.knowledge.model import FREQUENCIES, PARTS, Knowledge, Sign

KIND_WORDS = (
    ("nutrient", "hunger or surplus of a nutrient"),
    ("water_and_roots", "water or roots"),
    ("weather", "weather"),
    ("planting_and_injury", "planting or injury"),
    ("salt_and_chemical", "salt or a chemical"),
    ("pest", "a pest"),
    ("disease", "a disease"),
    ("normal", "something normal that needs nothing"),
)


MOST_EFFORT = 3.0


def quoted(text: str) -> str:
    """A text in double quotes, as YAML and JSON both read it."""
    return json.dumps(text, ensure_ascii=False)


@dataclass(frozen=True, slots=True)
class Asked:
    """One question: a list to pick from, a sign and one of its answers (``signs``), or a text.

    ``known`` words are checked; ``otherwise`` stands for Enter.
    """

    key: str
    ask: str
    options: tuple[tuple[str, str], ...] = ()
    known: Collection[str] = ()
    otherwise: str = ""
    longest: int = 200
    signs: tuple[Sign, ...] = ()


class Answers:
    """The answers by key, ready to be written as YAML."""

    def __init__(self, given: dict[str, str]) -> None:
        self.given = given

    def word(self, key: str) -> str:
        """An id or a list of ids as it was typed."""
        return self.given[key]

    def text(self, key: str) -> str:
        """A text in quotes, so that no character of it means anything to the reader."""
        return quoted(self.given[key])

    def test(self, key: str) -> str:
        """'sign=answer' as a condition."""
        sign, _, answer = self.given[key].partition("=")
        return f"{{{sign}: {answer}}}"


def signs_of(knowledge: Knowledge, parts: Collection[str]) -> tuple[Sign, ...]:
    """The signs of these parts that have a list of answers and take no trial or laboratory."""
    return tuple(
        sign
        for sign in knowledge.signs.values()
        if sign.kind in ("one", "several", "yes_no") and sign.part in parts and sign.effort <= MOST_EFFORT
    )


def _sentence(key: str, ask: str) -> Asked:
    return Asked(key, ask, longest=600)


def cause_questions(knowledge: Knowledge) -> list[Asked]:
    """What a new cause needs to be told."""
    leaf = signs_of(knowledge, ("leaf", "any"))
    crops = [*knowledge.crops, *knowledge.crop_groups, "any"]
    return [
        Asked("name", "Its plain name, as a gardener would say it"),
        Asked("kind", "What kind of cause is it?", KIND_WORDS, otherwise="pest"),
        _sentence("summary", "One plain sentence that says what it is and does"),
        Asked("crops", "Which crops? Ids with commas between, or any", known=crops, otherwise="any"),
        Asked("common", "How common is it where it can occur?", tuple((w, w.replace("_", " ")) for w in FREQUENCIES)
              , otherwise="uncommon"),
        Asked("shows", "What do the leaves show of it? The sign that tells most", signs=leaf),
        _sentence("shows_why", "Why does that speak for it? One sentence"),
        Asked("never", "And what do they practically never show of it?", signs=leaf),
        _sentence("never_why", "Why does that speak against it? One sentence"),
        Asked("check", "Which confirming test? An id ('sallow knowledge show look_again' shows one)",
              known=tuple(knowledge.checks), otherwise="look_again"),
        Asked("alike", "Which cause looks most like it? An id", known=tuple(knowledge.causes)),
        _sentence("apart", "How do you tell the two apart? One sentence"),
        Asked("source", "The source: an id from sources/, or common_practice or from_memory",
              known=tuple(knowledge.sources), otherwise="from_memory"),
    ]  # fmt: skip


def write_cause(a: Answers, knowledge: Knowledge) -> str:
    """A cause with one piece of evidence for and one against, to be filled up."""
    sign, _, answer = a.word("shows").partition("=")
    weight = "slight" if a.word("source") in ("from_memory", "judgement") else "moderate"
    several = knowledge.signs[sign].kind == "several"
    crop = next((c for c in a.word("crops").split(", ") if c in knowledge.crops), "lemon")
    given = f"{sign}: [{answer}]" if several else f"{sign}: {answer}"
    alike = a.word("alike")
    return f"""# A cause. One file each; the words that may stand here are in the README of the knowledge folder.
cause: {a.word("id")}
name: {a.text("name")}
kind: {a.word("kind")}
summary: {a.text("summary")}
crops: [{a.word("crops")}]
# The parts of the tree whose odd looks it can explain: {", ".join(PARTS)}.
parts: [leaf]
# rare, uncommon, occasional, common or very_common; add keys for climates, crops, seasons, pot or ground.
how_common: {{default: {a.word("common")}}}
evidence:
  # Weights: slight, moderate, strong, near_proof. Six to ten pieces are usual; add more below.
  - when: {a.test("shows")}
    weight: {weight}
    about: look
    because: {a.text("shows_why")}
    source: [{a.word("source")}]
  - when: {a.test("never")}
    weight: {weight}
    speaks: against
    about: look
    because: {a.text("never_why")}
    source: [{a.word("source")}]
checks: [{a.word("check")}]
look_alikes:
  - {{cause: {alike}, tell_apart: {a.text("apart")}}}
steps:
  # now: cheap and gentle; with while_unsure: safe only if it changes nothing about how the tree is treated.
  # likely: hedged. confirmed: begins with its condition.
  - {{when: now, while_unsure: safe, do: "Look again in two weeks, and note whether it spreads."}}
  - {{when: confirmed, do: "If the test speaks for it, ask a local adviser what is usual where you live."}}
  - {{when: not_to_do, do: "Do not feed or spray before the cause is known."}}
# A look in which this cause should come first. 'sallow knowledge check' weighs it.
typical:
  tree: {{crop: {crop}}}
  symptoms: [{{part: leaf, {given}}}]
# A similar look in which another cause should come first.
near_miss:
  first: {alike}
{_near_miss(alike, knowledge)}sources: [{a.word("source")}]
"""


def _near_miss(cause: str, knowledge: Knowledge) -> str:
    """The typical look of the look-alike, as lines."""
    look = {key: value for key, value in knowledge.causes[cause].typical.items() if key != "name"}
    return "".join(f"  {key}: {json.dumps(value, ensure_ascii=False)}\n" for key, value in look.items())


def sign_questions(_: Knowledge) -> list[Asked]:
    """What a new sign needs to be told."""
    parts = tuple((part, part) for part in (*PARTS, "any", "tree"))
    return [
        Asked("part", "Which part of the tree does it belong to?", parts, otherwise="leaf"),
        _sentence("ask", "The question, as you would ask it at the tree"),
        _sentence("how", "How does one tell? One sentence"),
        Asked("yes", "The answer that tells something, in a few words"),
        Asked("no", "The ordinary answer, in a few words"),
    ]


def write_sign(a: Answers, _: Knowledge) -> str:
    """A sign with two answers."""
    return f"""# Signs of our own. Base rates: how often each answer is given in some unknown trouble. They add up to 1.
signs:
  - sign: {a.word("id")}
    part: {a.word("part")}
    kind: one
    ask: {a.text("ask")}
    how_to_tell: {a.text("how")}
    # 0 known, 1 a glance, 2 a closer look, 3 dig or cut, 4-5 a small job, 6 and more a trial or a laboratory.
    effort: 1
    answers:
      shown: {{say: {a.text("yes")}, base: 0.1}}
      not_shown: {{say: {a.text("no")}, base: 0.9, none: true}}
"""


def finding_questions(knowledge: Knowledge) -> list[Asked]:
    """What a new finding needs to be told."""
    return [
        Asked("name", "Its name in a few words"),
        Asked("says", "Complete the sentence: It seems that ..."),
        Asked("when", "What tells it true?", signs=signs_of(knowledge, ("tree",))),
        _sentence("because", "Why? One sentence"),
        Asked("source", "The source", known=tuple(knowledge.sources), otherwise="from_memory"),
    ]


def write_finding(a: Answers, _: Knowledge) -> str:
    """A finding with one rule."""
    return f"""# Findings are concluded, never asked. A cause uses one as evidence: when: {{{a.word("id")}: true}}
findings:
  - finding: {a.word("id")}
    name: {a.text("name")}
    says: {a.text("says")}
    rules:
      - when: {a.test("when")}
        because: {a.text("because")}
        source: [{a.word("source")}]
"""


def check_questions(knowledge: Knowledge) -> list[Asked]:
    """What a new confirming test needs to be told."""
    asked = [sign.id for sign in knowledge.signs.values() if sign.kind in ("one", "yes_no") and len(sign.answers) > 1]
    return [
        Asked("name", "What is done, in a few words"),
        _sentence("how", "How is it done? One sentence; more lines can be added in the file"),
        Asked("need", "What is needed for it?", otherwise="nothing"),
        Asked("effort", "How long does it take?", otherwise="a few minutes"),
        Asked("gives", "Which sign does it answer? An id", known=asked),
        Asked("source", "The source", known=tuple(knowledge.sources), otherwise="common_practice"),
    ]


def write_check(a: Answers, knowledge: Knowledge) -> str:
    """A confirming test with a line for each answer of its sign."""
    sign = knowledge.signs[a.word("gives")]
    results = "".join(
        f"      - {{answer: {json.dumps(answer.id)}, means: {quoted(f'Found: {answer.say}.')}}}\n"
        for answer in sign.answers.values()
    )
    return f"""# Confirming tests of our own. Name them under checks: in a cause.
checks:
  - check: {a.word("id")}
    name: {a.text("name")}
    how:
      - {a.text("how")}
    need: {a.text("need")}
    # free, low, medium or high
    cost: free
    effort: {a.text("effort")}
    # Days until the result is known.
    days: 0
    gives: {a.word("gives")}
    # Say what each result means; add settles: [cause] or refutes: [cause] where it does.
    results:
{results}    source: [{a.word("source")}]
"""


def source_questions(_: Knowledge) -> list[Asked]:
    """What a new source needs to be told."""
    return [
        Asked("cite", "Author, title and year", longest=500),
        Asked("address", "Where it can be read (a web address), or Enter", otherwise="not on the web"),
    ]


def write_source(a: Answers, _: Knowledge) -> str:
    """A source."""
    address = "" if a.word("address") == "not on the web" else f"  address: {a.text('address')}\n"
    return f"""# Sources of our own. Add second_hand: true where you read it in another work only.
{a.word("id")}:
  cite: {a.text("cite")}
{address}"""


def case_questions(knowledge: Knowledge) -> list[Asked]:
    """What a new case needs to be told."""
    leaf = signs_of(knowledge, ("leaf", "any"))
    return [
        Asked("crop", "Which crop? An id", known=tuple(knowledge.crops), otherwise="lemon"),
        Asked("shows", "What did the leaves show?", signs=leaf),
        Asked("first", "What did it turn out to be? The id of a cause", known=tuple(knowledge.causes)),
        Asked("source", "Where is it told?", known=tuple(knowledge.sources), otherwise="common_practice"),
        _sentence("note", "One sentence on the case"),
    ]


def write_case(a: Answers, knowledge: Knowledge) -> str:
    """A case with one symptom."""
    sign, _, answer = a.word("shows").partition("=")
    given = f"{sign}: [{answer}]" if knowledge.signs[sign].kind == "several" else f"{sign}: {answer}"
    return f"""# Cases of our own: a look as it was told, and what it turned out to be. Run by: sallow knowledge cases
cases:
  - case: {a.word("id")}
    look:
      tree: {{crop: {a.word("crop")}}}
      symptoms: [{{part: leaf, {given}}}]
    expect: {{first: {a.word("first")}}}
    source: [{a.word("source")}]
    # individual: one tree, seen; description: told of such trees in general.
    basis: individual
    note: {a.text("note")}
"""


Template = tuple[Callable[[Knowledge], list[Asked]], Callable[[Answers, Knowledge], str]]
TEMPLATES: dict[str, Template] = {
    "cause": (cause_questions, write_cause),
    "sign": (sign_questions, write_sign),
    "finding": (finding_questions, write_finding),
    "check": (check_questions, write_check),
    "source": (source_questions, write_source),
    "case": (case_questions, write_case),
}
