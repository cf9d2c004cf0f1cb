"""One typed line in answer to a short offer; end of input and Ctrl-C count as no answer."""

from __future__ import annotations

from sallow.environment import Environment
from sallow.render.wrap import wrapped


def typed_line(environment: Environment, question: str) -> str:
    """The line typed after a question, without blanks and control characters; '' for none."""
    for line in wrapped(question, environment.width):
        environment.say(line)
    environment.stdout.write("> ")
    environment.stdout.flush()
    try:
        line = environment.stdin.readline()
    except KeyboardInterrupt:
        line = ""
    if not line.endswith("\n"):
        environment.say("")
    return "".join(character for character in line if character.isprintable()).strip()
