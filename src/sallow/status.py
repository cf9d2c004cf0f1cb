"""The exit codes of the command, in one place."""

from enum import IntEnum


class ExitStatus(IntEnum):
    """What the process hands back to the shell."""

    OK = 0
    COMPLAINTS = 1
    BAD_INPUT = 2
    BUG = 70
    INTERRUPTED = 130
