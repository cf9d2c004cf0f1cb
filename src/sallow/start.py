"""Where the program starts: answers ``--version`` at once and loads the rest only when it is wanted."""

import sys

TYPE_CHECKING = False
if TYPE_CHECKING:
    from typing import NoReturn


def entry() -> "NoReturn":
    """The console script."""
    try:
        _begin()
    except KeyboardInterrupt:
        # Stopped while the program was still being loaded; nothing had been asked or written.
        sys.stderr.write("Stopped.\n")
        sys.exit(130)


def _begin() -> "NoReturn":
    if sys.argv[1:] == ["--version"]:
        from sallow import __version__

        print(f"sallow {__version__}")
        sys.exit(0)
    import gc

    # A run is short and most of what it loads lasts to its end; looking for rubbish early only costs time.
    gc.set_threshold(100_000, 20, 20)
    from sallow.cli import entry as command_line

    command_line()
