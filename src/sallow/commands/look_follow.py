"""The follow-up of a look: later answers from a file or asked one by one, then what changed and the new report."""

from __future__ import annotations

import argparse
from pathlib import Path

from sallow.answers import read_look
from sallow.environment import Environment
from sallow.errors import Interrupted
from sallow.follow_up import change_lines, earlier_look, later, open_questions, with_date
from sallow.interview.plain import PlainInterview
from sallow.interview.session import Key, Session, start
from sallow.knowledge.files import read_text
from sallow.knowledge.model import Knowledge
from sallow.looks import NOT_SURE, Look


def follow_up(arguments: argparse.Namespace, knowledge: Knowledge, environment: Environment) -> Look:
    """The earlier look with what is known now; prints what changed."""
    name = arguments.follow_up
    before = earlier_look(read_text(Path(name)), name, knowledge, environment.today)
    if arguments.answers:
        new = read_look(read_text(Path(arguments.answers)), arguments.answers, knowledge, environment.today)
        after = later(before, new, new.date)
        day = new.date
    else:
        after = asked(before, knowledge, environment)
        day = environment.today
    if arguments.format == "text":
        for line in change_lines(knowledge, before, after, day):
            environment.say(line)
        environment.say("")
    return after


def asked(before: Look, knowledge: Knowledge, environment: Environment) -> Look:
    """Ask for test results and new signs one by one; 'not sure' leaves the earlier answer as it was."""
    session = Session(knowledge)
    interview = PlainInterview(session, environment, lambda _: None)
    interview.say("What have you seen or tested since? 'Not sure' (n) leaves a thing as it was; f finishes.")
    look = before
    for key in open_questions(knowledge, before):
        try:
            state = interview.put(session.prompt(key, start(environment.today, look)), start(environment.today, look))
        except Interrupted:
            break
        if state.done:
            break
        look = merged(look, state.look, key, environment)
    return look


def merged(look: Look, answered: Look, key: Key, environment: Environment) -> Look:
    """The look with one later answer taken over, unless the person was not sure."""
    value = answered.answer(key.symptom, key.id)
    if value is None or value == NOT_SURE or value == look.answer(key.symptom, key.id):
        return look
    return with_date(look.with_answer(key.symptom, key.id, value), key.id, environment.today)
