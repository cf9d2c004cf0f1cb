"""Results of tests in a note: found by plain words, so that the next look knows them and does not ask again."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from sallow.commands._trees_shared import join_names
from sallow.environment import Environment

if TYPE_CHECKING:
    from sallow.knowledge.model import Check, Knowledge
    from sallow.trees.book import Book
    from sallow.trees.model import Event, Look, PendingCheck, Tree
    from sallow.trees.notes import Draft

TAKEN = "The next look takes it in."
_PLAIN_KINDS = ("text", "dug_or_paved")
_MOST_ANSWERS = 8


def as_result(book: Book, tree: Tree, draft: Draft, typed: str, environment: Environment) -> Draft:
    """The note as the result of a test where its words tell one, else as it was, with a remark how to tell one."""
    from sallow.knowledge.access import open_knowledge
    from sallow.plain_results import result_told

    told = result_told(typed)
    if draft.event.what in _PLAIN_KINDS and told is not None:
        knowledge = open_knowledge(environment, ())
        return _plainly_told(knowledge, draft, typed, told.sign, told.answer, _waiting(book, tree))
    if draft.event.what != "test_result":
        return draft
    return _tested(open_knowledge(environment, ()), book, tree, draft, typed)


def _plainly_told(
    knowledge: Knowledge, draft: Draft, typed: str, sign: str, answer: str, waiting: list[PendingCheck]
) -> Draft:
    name = _name_for(knowledge, sign, waiting)
    if not answer:
        return replace(draft, remark=f"Kept in your own words. {_how_to_tell(knowledge, sign, name)}")
    say = knowledge.signs[sign].answers[answer].say
    event = replace(draft.event, what="test_result", subject=name, result=say, words=typed)
    return replace(draft, event=event, remark=f"{TAKEN} If you meant something else: sallow trees undo")


def _tested(knowledge: Knowledge, book: Book, tree: Tree, draft: Draft, typed: str) -> Draft:
    """A note that says it is a result, under the name of its test, with the answer that its words mean."""
    from sallow.plain_results import answer_meant, result_told
    from sallow.tree_looks import sign_named

    waiting = _waiting(book, tree)
    told = result_told(typed)
    if told is not None and told.answer and ":" not in typed:  # without a colon only the first word would name the test
        said = f"{draft.event.subject} {draft.event.result}"
        return _plainly_told(knowledge, draft, said, told.sign, told.answer, waiting)
    check, event = _check_of(knowledge, book, tree, draft, waiting)
    name = check.name if check else event.subject
    sign = check.gives if check else sign_named(knowledge, event.subject)
    if sign is None and told is not None and told.answer:
        said = f"{event.subject}: {event.result}"
        return _plainly_told(knowledge, replace(draft, event=event), said, told.sign, told.answer, waiting)
    if sign is None:
        return replace(draft, remark=_names_of(waiting))
    if check is None:
        name = _name_for(knowledge, sign, waiting)
    event = replace(event, subject=name)
    if knowledge.signs[sign].of_symptom:
        return replace(draft, event=event, remark="")
    answer = answer_meant(knowledge.signs[sign], event.result)
    if answer is None:
        return replace(draft, event=event, remark=f"Kept in your own words. {_how_to_tell(knowledge, sign, name)}")
    found = knowledge.signs[sign].answers.get(answer)
    if found is None or event.result.lower().rstrip(".") in (found.say.lower(), answer, answer.replace("_", " ")):
        return replace(draft, event=event, remark=TAKEN)
    return replace(draft, event=replace(event, result=found.say, words=event.result), remark=TAKEN)


def _check_of(
    knowledge: Knowledge, book: Book, tree: Tree, draft: Draft, waiting: list[PendingCheck]
) -> tuple[Check | None, Event]:
    """The test that a note names, first among those the last look told of; and the note under the test's name."""
    from sallow.trees.model import PendingCheck
    from sallow.trees.pending import test_meant, tests_named

    event = draft.event
    said = f"{event.subject}: {event.result}"
    for check in knowledge.checks.values():
        if said.lower().startswith(f"{check.name.lower()}:"):
            return check, replace(event, subject=check.name, result=said[len(check.name) + 1 :].strip())
    looks = _looks(book, tree)
    found = test_meant(event.subject, waiting) or (test_meant(event.subject, tests_named(looks[-1])) if looks else None)
    if found is None:
        found = test_meant(event.subject, [PendingCheck(check.id, check.name) for check in knowledge.checks.values()])
    if found is None:
        return None, event
    return knowledge.checks.get(found.check), replace(event, subject=found.name or found.check.replace("_", " "))


def _looks(book: Book, tree: Tree) -> tuple[Look, ...]:
    from sallow.trees.shelf import looks_of

    return looks_of(book, [tree.uid])[tree.uid]


def _waiting(book: Book, tree: Tree) -> list[PendingCheck]:
    from sallow.trees.pending import open_tests
    from sallow.trees.shelf import events_of

    looks = _looks(book, tree)
    return open_tests(looks[-1], events_of(book, [tree.uid])[tree.uid]) if looks else []


def _name_for(knowledge: Knowledge, sign: str, waiting: list[PendingCheck]) -> str:
    """The name of the test that gives the sign, one that is waited for before others; the sign's own without one."""
    giving = [check for check in knowledge.checks.values() if check.gives == sign]
    wanted = {test.check for test in waiting}
    return next((check.name for check in sorted(giving, key=lambda check: check.id not in wanted)), sign)


def _how_to_tell(knowledge: Knowledge, sign: str, name: str) -> str:
    answers = [f'"{answer.say}"' for answer in knowledge.signs[sign].answers.values()][:_MOST_ANSWERS]
    if not answers:
        return "The next look asks for it."
    some = f"{', '.join(answers[:-1])} or {answers[-1]}" if len(answers) > 1 else answers[0]
    return f"The next look asks for it, unless you note it in words that it knows: {name}: {some}."


def _names_of(waiting: list[PendingCheck]) -> str:
    if not waiting:
        return "Kept in your own words; no test goes by this name, so the next look does not take it in."
    names = join_names(f"'{test.name or test.check}'" for test in waiting)
    return f"Kept in your own words. None of the tests still to be read goes by this name; they are: {names}."
