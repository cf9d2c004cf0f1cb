"""The letters a person may type instead of an answer, the same in every guided command."""

from __future__ import annotations

from sallow.values import dataclass

COMMANDS = {
    "w": "why do you ask",
    "b": "back",
    "s": "what do you think so far",
    "m": "what would change your mind",
    "c": "change an earlier answer",
    "f": "finish with what you have",
}
HELP = ("?", "help")
LEAVE = ("q", "quit", "exit")
SPELLED_OUT = {"why": "w", "back": "b", "change": "c", "finish": "f"}
ANSWER_BY = "Answer with the number of a line, or with a letter."
ALWAYS_GOOD = "'Not sure' is always a good answer."
LAST_QUESTION = "That was the last question. Enter shows the report; b goes back; c changes an earlier answer."
AND_BESIDES = "? shows the question again with these letters; q (or Ctrl-C) stops and keeps everything."
STOPPED = "Stopped. What you answered is kept; 'sallow look --resume' takes it up again."
STOPPED_EARLY = "Stopped; nothing was answered yet."
LEFT = "Stopped; nothing was kept."
FIRST_QUESTION = "This is the first question; there is nothing to go back to."
MANY_UNSURE = "Several times not sure: f finishes with what you have."


@dataclass(frozen=True, slots=True)
class Manner:
    """How an interview is left: what is said of it at the beginning, and when the person leaves."""

    besides: str
    stopped: str


LOOK = Manner(AND_BESIDES, STOPPED)
FOLLOW_UP = Manner("? shows the question again with these letters; q leaves without a report.", LEFT)


def offers(letters: str = "".join(COMMANDS)) -> str:
    """'At any question: w why do you ask; b back; ...', for those of the letters that a command has."""
    return "At any question: " + "; ".join(f"{key} {words}" for key, words in COMMANDS.items() if key in letters) + "."
