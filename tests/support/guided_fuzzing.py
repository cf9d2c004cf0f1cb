"""A child process that lets coverage guide the spoiling: ``python -m tests.support.guided_fuzzing KIND RUNS SECONDS``.

The files go through the doors of ``tests.support.fuzzing``. Ends at once with the file that broke it, printed as a
Python literal, on any exception but sallow's own, a reading longer than the limit, or a refusal without words.
"""

from __future__ import annotations

import importlib
import os
import pkgutil
import signal
import sys
import tempfile
import traceback
from pathlib import Path
from random import Random

import atheris

from tests.support import fuzzing

# Instrumented code runs several times slower; the plain run holds the two seconds.
LIMIT_S = 5 * fuzzing.LIMIT_S
LONGEST = 1 << 16


def import_instrumented() -> None:
    """Import all of sallow with its branches watched, since much of it is imported late."""
    with atheris.instrument_imports(include=["sallow"]):
        package = importlib.import_module("sallow")
        for module in pkgutil.walk_packages(package.__path__, "sallow."):
            if module.name != "sallow.__main__":
                importlib.import_module(module.name)


def mutated(data: bytes, longest: int, seed: int) -> bytes:
    """Half of the time a file spoiled as in the plain run, else as the library's own mutator would."""
    random = Random(seed)
    if random.random() < 0.5:
        return (data[:1] + fuzzing.spoiled(data[1:], random))[:longest]
    return bytes(atheris.Mutate(data, longest))


class Door:
    """Takes one input after another: the first byte says which file it was, the rest is the spoiled file."""

    def __init__(self, kind: str, folder: Path) -> None:
        self.originals, self.read = fuzzing.KINDS[kind]()
        self.folder = folder
        self.count = self.refused = 0

    def seeds(self, folder: Path) -> None:
        """Write the sound files, each with the byte that names it."""
        for number, data in enumerate(dict.fromkeys(self.originals)):
            place = self.originals.index(data) % 256
            (folder / f"{number:03}").write_bytes(bytes([place]) + data)

    def __call__(self, data: bytes) -> None:
        if not data:
            return
        self.count += 1
        original = self.originals[data[0] % len(self.originals)]
        try:
            signal.setitimer(signal.ITIMER_REAL, LIMIT_S)
            self.read(data[1:], self.folder, original)
        except fuzzing.SallowError as error:
            self.refused += 1
            if not isinstance(error, fuzzing.BadInput | fuzzing.KnowledgeError | fuzzing.BookError) or not str(error):
                self.broken(data, f"a refusal that says nothing: {error!r}")
        except (Exception, fuzzing.TooLong):
            self.broken(data, traceback.format_exc())
        finally:
            signal.setitimer(signal.ITIMER_REAL, 0)

    def broken(self, data: bytes, why: str) -> None:
        print(f"{why}\n{data[1:]!r}", flush=True)
        os._exit(1)


def main(kind: str, runs: int, seconds: int) -> None:
    import_instrumented()
    signal.signal(signal.SIGALRM, fuzzing._ring)
    with tempfile.TemporaryDirectory() as place:
        seeds, work = Path(place, "seeds"), Path(place, "work")
        seeds.mkdir()
        work.mkdir()
        door = Door(kind, work)
        door.seeds(seeds)
        # The library's timer would take the alarm from ours.
        options = [f"-runs={runs}", f"-max_total_time={seconds}", f"-max_len={LONGEST}", "-timeout=0", "-seed=1"]
        atheris.Setup([sys.argv[0], *options, "-rss_limit_mb=1500", str(seeds)], door, custom_mutator=mutated)
        atheris.Fuzz()


if __name__ == "__main__":
    main(sys.argv[1], int(sys.argv[2]), int(sys.argv[3]))
