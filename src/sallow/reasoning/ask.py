"""The next question: the one that is expected to tell most for its effort, as long as it can change the next step."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from itertools import chain, combinations
from typing import NamedTuple

from sallow.knowledge.conditions import variables_in
from sallow.knowledge.model import Knowledge, Sign
from sallow.reasoning.chain import holds
from sallow.reasoning.compile import SOMETHING_ELSE, Candidate
from sallow.reasoning.facts import OVERLOOKED
from sallow.reasoning.outlook import Outlook
from sallow.reasoning.weigh import Scales, Weighed
from sallow.reasoning.words import word_for

# Gains under this many bits, or changes less likely than this, are not worth a person's time.
LEAST_GAIN = 0.002
LEAST_CHANCE = 0.05
# A person's patience: beyond so many questions, each further one must be likelier to change something.
PATIENCE = 8
IMPATIENCE = 0.03
TRIED_SINGLY = 16
SHOWN_CAUSES = 4
TRIED_IN_PAIRS = 5
SURE_WORDS = ("likely", "very likely")
WORTH_RULING_OUT = 0.01
TRIAL_EFFORT = 5.0
EVENT_EFFORT = 0.5
# Questions of more effort than this mean work: patience with them runs out sooner than with a glance or a memory.
EASY = 2.0
IMPATIENCE_WITH_WORK = 0.05
# A leading cause that is called likely should rest on at least so many things told of the tree and its place, as far
# as questions up to this effort can tell.
LEAST_CLUES = 2
MOST_IN_VAIN = 5
BEARING_EFFORT = 3.0


class Question(NamedTuple):
    """A sign to ask, of a symptom (its number) or of the tree (None), with its expected gain in bits.

    ``reason`` is 'change' when an answer can change the next step, 'together' when it can with the answer to one more,
    'due' when a look of this kind should not do without it, 'flag' when it can rule out a red flag.
    """

    symptom: int | None
    sign: str
    gain: float
    effort: float
    reason: str = "change"


class Asker(Outlook):
    """Chooses questions for one weighed look. ``asked`` holds the (symptom, sign) pairs already put to the person."""

    def __init__(
        self,
        scales: Scales,
        weighed: Weighed,
        asked: Collection[tuple[int | None, str]],
        hardest: float = TRIAL_EFFORT,
    ) -> None:
        super().__init__(scales, weighed)
        self.asked = frozenset(asked)
        self.hardest = hardest
        self.least_chance = LEAST_CHANCE + IMPATIENCE * max(len(self.asked) - PATIENCE, 0)
        self.least_for_work = LEAST_CHANCE + IMPATIENCE_WITH_WORK * max(len(self.asked) - PATIENCE, 0)
        self.knowledge: Knowledge = scales.base.knowledge
        self._orders: dict[int | None, list[int]] = {}

    # -- candidates -------------------------------------------------------------------------------------------

    def askable(self, symptom: int | None, sign: Sign) -> bool:
        """Whether a sign belongs to the scope and its ``ask_when`` holds."""
        if (symptom is None) == sign.of_symptom or (symptom, sign.id) in self.asked or sign.kind == "date":
            return False
        facts, conclusions = self.weighed.facts, self.weighed.conclusions
        if symptom is not None and sign.part not in ("any", facts.symptoms[symptom].get("part_is", "leaf")):
            return False
        if sign.not_if is not None and holds(sign.not_if, facts, conclusions, symptom) is True:
            return False
        return sign.ask_when is None or holds(sign.ask_when, facts, conclusions, symptom) is True

    def candidates(self) -> list[Question]:
        """Every question that may be asked now, by expected information for its effort, best first."""
        found: list[Question] = []
        for symptom in self.scopes():
            for sign in self.scales.signs[symptom is not None]:
                names = self.names(symptom, sign)
                effort = self.effort(symptom, sign) if names else None
                if effort is not None:
                    gain = sum(self.gain(symptom, name) for name in names)
                    if gain >= LEAST_GAIN:
                        found.append(Question(symptom, sign, gain, effort))
        return sorted(found, key=lambda q: (-q.gain / (q.effort + 1.0), q.sign, -1 if q.symptom is None else q.symptom))

    def effort(self, symptom: int | None, sign_id: str) -> float | None:
        """The effort of a sign or event that may be asked now, else None."""
        if sign_id.startswith("event."):
            return EVENT_EFFORT if symptom is None and self.may_have_happened(sign_id) else None
        sign = self.knowledge.signs[sign_id]
        return sign.effort if sign.effort <= self.hardest and self.askable(symptom, sign) else None

    def may_have_happened(self, event: str) -> bool:
        """Whether an event (``event.KIND``) has not been asked and can have happened to this tree."""
        kind = self.knowledge.events[event.split(".", 1)[1]]
        if (None, event) in self.asked:
            return False
        return kind.not_if is None or holds(kind.not_if, self.weighed.facts, self.weighed.conclusions, None) is not True

    # -- what an answer would change --------------------------------------------------------------------------

    def order(self, symptom: int | None) -> list[int]:
        """The causes by their belief in this scope, best first."""
        if symptom not in self._orders:
            shares = self.shares(symptom)
            self._orders[symptom] = sorted(range(len(shares)), key=lambda i: (-shares[i], i))
        return self._orders[symptom]

    def decision(self, leader: int, belief: float) -> tuple[object, str]:
        """What the person would be told to do first: the first steps of the leading cause, and how sure the word is."""
        return self.scales.first_steps[leader], word_for(belief)

    def decided(self, symptom: int | None) -> tuple[object, str]:
        """The decision as things stand."""
        leader = self.order(symptom)[0]
        return self.decision(leader, self.shares(symptom)[leader])

    def can_change(self, question: Question) -> bool:
        """Whether some answer, likely enough for what the question costs, would change the decision."""
        symptom = question.symptom
        before, changed = self.decided(symptom), 0.0
        least = self.least_chance if question.effort <= EASY else self.least_for_work
        for name in self.names(symptom, question.sign):
            for lead in self.leads(symptom, name, self.shares(symptom), self.order(symptom)):
                if self.decision(lead.cause, lead.belief) != before:
                    changed += lead.chance
                    if changed >= least:
                        return True
        return False

    def changes_the_report(self, question: Question) -> bool:
        """Whether the answers lead to different causes in front, or different words for them.

        With one symptom its decision is the report's; with several an answer that decides one symptom may change
        nothing of what is said of the tree, so each is weighed.
        """
        if len(self.weighed.symptoms) == 1:
            return True
        symptom, told = question.symptom, self.weighed.told
        shown = set()
        for name in self.names(symptom, question.sign):
            for value in self.base(symptom, name):
                facts = told.with_tree(name, value) if symptom is None else told.with_symptom(symptom, name, value)
                first = self.scales.weigh(facts, self.refuted, self.weighed.answers).ranking()[:SHOWN_CAUSES]
                shown.add(tuple((cause, word_for(belief)) for cause, belief in first if cause != SOMETHING_ELSE))
                if len(shown) > 1:
                    return True
        return False

    def pair_can_change(self, first: Question, second: Question) -> bool:
        """Whether two answers together, likely enough, would change the decision."""
        if first.symptom != second.symptom:
            return False
        symptom = first.symptom
        before, changed = self.decided(symptom), 0.0
        others = self.names(symptom, second.sign)[:3]
        for one in self.names(symptom, first.sign)[:3]:
            for prospect in self.prospects_alone(symptom, one):
                beliefs = prospect.beliefs
                order = sorted(range(len(beliefs)), key=lambda i: (-beliefs[i], i))
                for other in others:
                    changed += prospect.chance * sum(
                        lead.chance
                        for lead in self.leads(symptom, other, beliefs, order)
                        if self.decision(lead.cause, lead.belief) != before
                    )
        return changed >= self.least_chance

    # -- the choice --------------------------------------------------------------------------------------------

    def flag_questions(self) -> Iterator[Question]:
        """Signs that could raise or rule out a red flag that has not been settled yet."""
        for i, candidate in enumerate(self.scales.base.candidates):
            if self.weighed.beliefs.member[i] < WORTH_RULING_OUT:
                continue
            for flag in candidate.brief.red_flag:
                for symptom in self.scopes():
                    if holds(flag.when, self.weighed.facts, self.weighed.conclusions, symptom) is not None:
                        continue
                    for name in sorted(variables_in(flag.when)):
                        variable = self.scales.base.variables.get(name)
                        if variable is None or self.weighed.facts.known(symptom, name) not in (
                            None,
                            OVERLOOKED,
                        ):
                            continue
                        effort = self.effort(symptom, variable.sign)
                        if effort is not None and effort <= 3:
                            yield Question(symptom, variable.sign, 0.0, effort, "flag")

    def due(self) -> Iterator[Question]:
        """Signs that a look of this kind should not end without (``core_when`` without ``core``), easiest first."""
        facts, conclusions = self.weighed.facts, self.weighed.conclusions
        for sign in sorted(self.knowledge.signs.values(), key=lambda s: (s.effort, s.id)):
            if sign.core_when is None or sign.core:
                continue
            for symptom in self.scopes():
                effort = self.effort(symptom, sign.id) if self.names(symptom, sign.id) else None
                if effort is not None and holds(sign.core_when, facts, conclusions, symptom):
                    yield Question(symptom, sign.id, 0.0, effort, "due")

    @property
    def likely_leader(self) -> Candidate | None:
        """The leading cause of the look, if it is called likely."""
        member = self.weighed.beliefs.member
        leader = max(range(len(member)), key=lambda i: (member[i], -i))
        known = leader < len(self.scales.base.candidates) and word_for(member[leader]) in SURE_WORDS
        return self.scales.base.candidates[leader] if known else None

    def bearing(self, ranked: Sequence[Question]) -> Iterator[Question]:
        """What could speak for or against a leading cause that hangs on the look of the odd thing alone."""
        leader = self.likely_leader
        if leader is None:
            return
        spoken = {n for c in leader.components if not c.of_symptom for n in c.diagram.variables}
        signs = {self.scales.base.variables[name].sign for name in spoken} - {""}
        told = {self.scales.base.variables[name].sign for name in spoken if self.weighed.facts.known(None, name)}
        in_vain = {sign for scope, sign in self.asked if scope is None} - told
        if len(signs & told) < LEAST_CLUES and len(signs & in_vain) < MOST_IN_VAIN:
            of_tree = (q for q in ranked if q.symptom is None and q.sign in signs and q.effort <= BEARING_EFFORT)
            yield from (question._replace(reason="due") for question in of_tree)

    def next(self) -> Question | None:
        """The next question, or None when nothing left to ask could change the next step."""
        ranked = self.candidates()
        for question in ranked[:TRIED_SINGLY]:
            if self.can_change(question) and self.changes_the_report(question):
                return question
        for first, second in combinations(ranked[:TRIED_IN_PAIRS], 2):
            if self.pair_can_change(first, second):
                return first._replace(reason="together")
        harmless = self.likely_leader is not None and self.likely_leader.cause.kind == "normal"
        bearing = () if harmless else self.bearing(ranked)
        return next(chain(self.due(), bearing, self.flag_questions()), None)
