"""What nothing uses: signs, answers, findings, checks, events, sources and cautions that nothing names."""

from __future__ import annotations

from collections.abc import Iterator

from sallow.knowledge.conditions import All, Any_, Condition, Finds, Not, Some, Test
from sallow.knowledge.review.subject import Path, Subject

# Sources that are stand-ins, and what the program itself names in its calculations.
KEPT_SOURCES = frozenset(("common_practice", "judgement", "from_memory"))
NAMED_BY_PROGRAM = frozenset(("ucanr_inm", "ucanr_nitrate"))
# A look begun from the tree book asks it, and the book keeps it as what came of the look before.
SIGNS_READ_BY_PROGRAM = frozenset(("since_last_look",))
_UNREFERENCED = "unreferenced-answer"


def review(subject: Subject) -> None:
    """Count what every entry is used for."""
    tests, findings = _read(subject)
    _signs(subject, tests)
    _answers(subject, tests)
    knowledge = subject.knowledge
    upstream = {name for cause in knowledge.causes.values() for name in cause.brought_on_by}
    harmed = {harm.condition for intention in knowledge.intentions.values() for harm in intention.harms}
    _unused(subject, "finding", findings | upstream | harmed)
    named = {check for cause in knowledge.causes.values() for check in cause.checks}
    settling = {c.id for c in knowledge.checks.values() if any(r.settles or r.refutes for r in c.results)}
    _unused(subject, "check", named | settling)
    _unused(subject, "event", {name.removeprefix("event.") for name, _ in tests if name.startswith("event.")})
    _sources_unused(subject)
    cautions = {caution for cause in knowledge.causes.values() for step in cause.steps for caution in step.caution}
    _unused(subject, "caution", cautions | {word for check in knowledge.checks.values() for word in check.caution})


def conditions(subject: Subject) -> Iterator[Condition]:
    """Every condition of the knowledge whose truth changes something."""
    for cause in subject.knowledge.causes.values():
        yield from (evidence.when for evidence in cause.evidence)
        yield from (flag.when for flag in cause.red_flag)
        yield from (step.not_if for step in cause.steps if step.not_if is not None)
    for _, _, rule in subject.rules():
        yield rule.when


def _read(subject: Subject) -> tuple[set[tuple[str, str]], set[str]]:
    """The (variable, value) pairs that some condition sets apart, and the findings that some condition reads."""
    tests: set[tuple[str, str]] = set()
    findings: set[str] = set()
    for condition in conditions(subject):
        _walk(condition, tests, findings)
    for sign in subject.knowledge.signs.values():
        for rule in sign.implied:
            _walk(rule.when, tests, findings)
        for asked in (sign.ask_when, sign.core_when, sign.not_if):
            if asked is not None:
                _walk(asked, tests, findings)
    for event in subject.knowledge.events.values():
        for rule in event.implied:
            _walk(rule.when, tests, findings)
        if event.not_if is not None:
            _walk(event.not_if, tests, findings)
    return tests, findings


def _walk(condition: Condition, tests: set[tuple[str, str]], findings: set[str]) -> None:
    match condition:
        case Test(variable, values):
            tests |= {(variable, value) for value in values}
        case Finds(finding):
            findings.add(finding)
        case Not(inner) | Some(inner):
            _walk(inner, tests, findings)
        case All(parts) | Any_(parts):
            for part in parts:
                _walk(part, tests, findings)


def _signs(subject: Subject, tests: set[tuple[str, str]]) -> None:
    read = {name.split(".")[0] for name, _ in tests} | SIGNS_READ_BY_PROGRAM
    given = {check.gives for check in subject.knowledge.checks.values()}
    for sign in subject.knowledge.signs.values():
        if sign.id not in read and sign.id not in given and sign.kind != "date" and not sign.opening:
            message = f"nothing reads the sign '{sign.id}'"
            subject.say("sign", sign.id, ("sign",), "question-never-helps", message)


def _answers(subject: Subject, tests: set[tuple[str, str]]) -> None:
    read = {name.split(".")[0] for name, _ in tests}
    meant = {(c.gives, result.answer) for c in subject.knowledge.checks.values() for result in c.results}
    for sign in subject.knowledge.signs.values():
        if sign.id not in read or sign.kind in ("yes_no", "number"):
            continue
        unnamed = [
            answer
            for answer in sign.answers.values()
            if ((f"{sign.id}.{answer.id}", "yes") if sign.kind == "several" else (sign.id, answer.id)) not in tests
            and (sign.id, answer.id) not in meant
        ]
        # One answer that nothing names still speaks: against what the named ones speak for. Two of them are one.
        alike = [answer.id for answer in unnamed if not (answer.none and (sign.defines or sign.kind == "several"))]
        if sign.kind == "several":
            for name in alike:
                subject.say("sign", sign.id, ("answers", name), _UNREFERENCED, f"nothing names '{name}' of '{sign.id}'")
        elif len(alike) > 1:
            names = " and ".join(f"'{name}'" for name in alike)
            place = next((name for name in alike if not sign.answers[name].none), alike[0])
            told = f"nothing tells {names} of '{sign.id}' apart"
            subject.say("sign", sign.id, ("answers", place), _UNREFERENCED, told)


def _sources_unused(subject: Subject) -> None:
    """One complaint a file, however many of its sources nothing cites."""
    used = _sources(subject) | KEPT_SOURCES | NAMED_BY_PROGRAM
    by_file: dict[str, list[str]] = {}
    for identifier, (document, _, _) in subject.found.of("source").items():
        if identifier not in used:
            by_file.setdefault(document.file, []).append(identifier)
    for first, *more in by_file.values():
        others = "".join(f", nor '{name}'" for name in more)
        subject.say("source", first, (), "unused", f"nothing uses the source '{first}'{others}")


def _unused(subject: Subject, kind: str, used: set[str] | frozenset[str]) -> None:
    for identifier in subject.found.of(kind):
        if identifier not in used:
            path: Path = () if kind == "caution" else (kind,)
            subject.say(kind, identifier, path, "unused", f"nothing uses the {kind} '{identifier}'")


def _sources(subject: Subject) -> set[str]:
    """Every source key that some entry cites."""
    found: set[str] = set()

    def walk(raw: object, key: str) -> None:
        if isinstance(raw, dict):
            for name, value in raw.items():
                walk(value, name)
        elif isinstance(raw, list):
            if key in ("source", "sources"):
                found.update(word for word in raw if isinstance(word, str))
            else:
                for value in raw:
                    walk(value, key)

    for kind in ("sign", "finding", "check", "cause", "case", "table", "crop"):
        for _, _, raw in subject.found.of(kind).values():
            walk(raw, "")
    return found
