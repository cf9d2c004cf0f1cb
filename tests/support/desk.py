"""A desk at which commands are run one after another, in one folder, and a person who answers by the question."""

from __future__ import annotations

import io
import json
from collections.abc import Mapping
from datetime import date, timedelta
from pathlib import Path

import yaml

from sallow.cli import main
from sallow.environment import Environment
from sallow.status import ExitStatus

DAY = date(2026, 5, 20)
PALE_TIPS = {
    "date": str(DAY),
    "tree": {"crop": "lemon", "climate": "dry_summer", "hemisphere": "south", "grown_in": "ground"},
    "symptoms": [{"part": "leaf", "leaf_change": ["colour"], "leaf_age": "newest", "colour_pattern": "fine_net"}],
    "answers": {"looks_well": "fair", "soil_at_depth": "moist"},
}
# lemon; four years; open ground; place not sure; southern; today; no plan; it looks well; nothing looks odd
TO_NOTHING_ODD = "lemon\n4\n1\nn\nn\n2\n\n1\n1\n8\n"
USUAL = {
    "Which day": "", "What were you about to do": "1", "how does the tree look": "1", "What looks odd?": "8",
    "last question": "", "Type a name for the tree": "", "Save this report": "", "amounts for this tree need": "",
}  # fmt: skip


class Person(io.StringIO):
    """Answers a question by words in it, and with 'n' (not sure) where nothing fits."""

    def __init__(self, output: io.StringIO, answers: Mapping[str, str]) -> None:
        super().__init__()
        self.output, self.read_to, self.answers = output, 0, {**answers, **USUAL}

    def readline(self, size: int | None = -1, /) -> str:  # noqa: ARG002
        asked = " ".join(self.output.getvalue()[self.read_to :].split())
        self.read_to = len(self.output.getvalue())
        return next((reply for words, reply in self.answers.items() if words in asked), "n") + "\n"


class Desk:
    """Runs commands in one folder with one tree book; every run has its own day and typed input."""

    def __init__(self, folder: Path, cache: Path) -> None:
        self.folder, self.cache = folder, cache

    def run(
        self, *words: str, typed: str = "", answers: Mapping[str, str] | None = None, today: date = DAY
    ) -> tuple[int, str, str]:
        output = io.StringIO()
        surroundings = Environment(
            stdin=io.StringIO(typed) if answers is None else Person(output, answers), stdout=output,
            stderr=io.StringIO(), today=today, data_folder=self.folder / "data", cache_folder=self.cache,
        )  # fmt: skip
        status = main(words, surroundings)
        return status, surroundings.stdout.getvalue(), surroundings.stderr.getvalue()

    def ok(self, *words: str, typed: str = "", today: date = DAY) -> str:
        status, out, err = self.run(*words, typed=typed, today=today)
        assert status == ExitStatus.OK, err
        return " ".join(out.split())

    def file(self, name: str, data: object) -> str:
        path = self.folder / name
        text = data if isinstance(data, str) else json.dumps(data) if name.endswith("json") else yaml.safe_dump(data)
        path.write_text(text, encoding="utf-8")
        return str(path)

    def weather(self, frost: date | None = None, heat: date | None = None, rain_mm: float = 0.0) -> str:
        """A year of daily weather to the day of the look: 8 to 22 °C but for one frost night and one hot day."""
        lines = ["date,tmax_c,tmin_c,rain_mm"]
        for back in range(364, -1, -1):
            day = DAY - timedelta(days=back)
            lines.append(f"{day},{39 if day == heat else 22},{-2 if day == frost else 8},{rain_mm}")
        return self.file("days.csv", "\n".join(lines) + "\n")
