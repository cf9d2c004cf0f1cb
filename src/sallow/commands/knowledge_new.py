"""'sallow knowledge new': asks a few questions and writes a commented, valid file in the right place."""

from __future__ import annotations

import argparse
import re
from collections.abc import Callable, Collection
from pathlib import Path

from sallow.commands.knowledge_templates import TEMPLATES, Answers, Asked
from sallow.commands.numbered import NumberedQuestions, asked_with_back
from sallow.environment import Environment
from sallow.errors import BadInput
from sallow.interview.keep import write_atomically
from sallow.knowledge.access import folders_for
from sallow.knowledge.conditions import nearest
from sallow.knowledge.document import unsafe_characters
from sallow.knowledge.gather import Gathered
from sallow.knowledge.load import load, load_linked
from sallow.knowledge.locate import shipped_folder
from sallow.knowledge.model import Knowledge
from sallow.status import ExitStatus

FOLDER = {
    "cause": "causes",
    "sign": "signs",
    "finding": "findings",
    "check": "checks",
    "source": "sources",
    "case": "cases",
}
SCHEMA = {
    "cause": "cause",
    "sign": "signs",
    "finding": "findings",
    "check": "checks",
    "source": "sources",
    "case": "cases",
}
_ID = re.compile(r"[a-z][a-z0-9_]{0,59}")


def run(arguments: argparse.Namespace, environment: Environment) -> ExitStatus:
    """Ask, write the file, and say what to do next."""
    folder = target_folder(arguments.into, environment)
    extra = [arguments.into] if arguments.into and folder.is_dir() and any(folder.rglob("*.yaml")) else []
    if arguments.like:
        found, _ = load_linked(folders_for(environment, extra))
        path, text = copied(arguments.kind, arguments.like, found, folder)
    else:
        knowledge = load(folders_for(environment, extra), with_cases=True)
        path, text = asked(arguments.kind, knowledge, folder, environment)
    if path.exists():
        raise BadInput(f"{path} is there already; nothing was changed. Remove it or give another id.")
    write_atomically(path, text)
    environment.say("")
    environment.say(f"Written: {path}")
    environment.say(
        f"Open it, mend what the comments point at, then: sallow knowledge check {arguments.into or ''}".rstrip()
    )
    return ExitStatus.OK


def target_folder(into: str | None, environment: Environment) -> Path:
    """Where new entries go: the folder named, or the person's own knowledge folder."""
    if into:
        return Path(into).expanduser()
    if environment.user_knowledge is None:
        raise BadInput("there is no home folder to keep your own knowledge in; name one with --into DIR")
    return environment.user_knowledge


def copied(kind: str, identifier: str, found: Gathered, folder: Path) -> tuple[Path, str]:
    """A shipped cause as a file of its own, to be mended. BadInput for other kinds or an unknown id."""
    known = found.of(kind)
    if identifier not in known:
        close = nearest(identifier, known)
        raise BadInput(f"there is no {kind} '{identifier}'." + (f" Did you mean '{close}'?" if close else ""))
    if kind != "cause":
        raise BadInput("--like copies causes; signs and the other kinds are better begun anew")
    document, _, _ = known[identifier]
    shipped = shipped_folder("knowledge")
    origin = Path(document.file)
    origin = shipped / origin.relative_to(shipped.name) if document.layer == 0 else origin
    lines = origin.read_text(encoding="utf-8").splitlines(keepends=True)
    body = "".join(line for line in lines if not line.startswith("# yaml-language-server"))
    head = f"{schema_line(kind)}# This replaces the shipped cause '{identifier}'; remove the file to have that back.\n"
    return folder / FOLDER[kind] / f"{identifier}.yaml", head + body


def asked(kind: str, knowledge: Knowledge, folder: Path, environment: Environment) -> tuple[Path, str]:
    """The path and text of a new entry made from a person's answers."""
    environment.say(f"A new {kind}. A few questions; everything can be changed in the file afterwards.")
    questions, write = TEMPLATES[kind]
    taken = ids_of(kind, knowledge)

    def ask(asker: NumberedQuestions) -> dict[str, str]:
        words = f"A short id for the {kind}: small letters and underscores"
        answers = {"id": _needed(asker, words, new_id(kind, taken))}
        for question in questions(knowledge):
            answers[question.key] = _put(asker, question)
        return answers

    answers = asked_with_back(environment, ask, "nothing was written.")
    path = folder / FOLDER[kind] / f"{answers['id']}.yaml"
    return path, schema_line(kind) + write(Answers(answers), knowledge)


def ids_of(kind: str, knowledge: Knowledge) -> Collection[str]:
    """The ids that are taken."""
    if kind == "case":
        return {case.id for case in knowledge.cases}
    known: Collection[str] = getattr(knowledge, f"{kind}s")
    return known


def schema_line(kind: str) -> str:
    """The first line that tells editors which schema the file answers to."""
    schema = (shipped_folder("knowledge") / "schema" / f"{SCHEMA[kind]}.json").resolve()
    return f"# yaml-language-server: $schema={schema.as_uri()}\n"


def new_id(kind: str, taken: Collection[str]) -> Callable[[str], str]:
    """A reader of ids that refuses what is no id, or is taken already."""

    def read(text: str) -> str:
        word = text.strip().lower().replace(" ", "_").replace("-", "_")
        if not _ID.fullmatch(word):
            raise BadInput("An id is made of small letters, digits and underscores, and begins with a letter.")
        if word in taken:
            raise BadInput(
                f"There is a {kind} '{word}' already; to change it, use: sallow knowledge new {kind} --like {word}"
            )
        return word

    return read


def _put(asker: NumberedQuestions, question: Asked) -> str:
    if question.signs:
        return _pair(asker, question)
    if question.options:
        picked = asker.choose(question.ask, question.options)
        return picked if picked is not None else question.otherwise
    if question.otherwise:
        typed = asker.value(f"{question.ask} (Enter: {question.otherwise})", _reader(question))
        return typed if typed is not None else question.otherwise
    return _needed(asker, question.ask, _reader(question))


def _pair(asker: NumberedQuestions, question: Asked) -> str:
    """A sign and one of its answers, as 'sign=answer'."""
    signs = [(each.id, f"{each.id}: {each.ask}") for each in question.signs]
    picked = asker.needed(lambda: asker.choose(question.ask, signs))
    sign = next(each for each in question.signs if each.id == picked)
    said = [(each.id, each.say) for each in sign.answers.values()]
    answer = asker.needed(lambda: asker.choose("Which answer?", said))
    return f"{sign.id}={answer}"


def _needed(asker: NumberedQuestions, ask: str, read: Callable[[str], str]) -> str:
    return asker.needed(lambda: asker.value(ask, read))


def _reader(question: Asked) -> Callable[[str], str]:
    def read(text: str) -> str:
        if unsafe_characters(text):
            raise BadInput("That holds a character that is not plain text; type it anew.")
        if len(text) > question.longest:
            raise BadInput(f"At most {question.longest} characters, please; this has {len(text)}.")
        if question.known:
            words = [word.strip() for word in text.split(",") if word.strip()]
            for word in words:
                if word not in question.known:
                    close = nearest(word, question.known)
                    raise BadInput(f"'{word}' is not known." + (f" Did you mean '{close}'?" if close else ""))
            return ", ".join(words)
        return text

    return read
