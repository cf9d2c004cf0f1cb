"""A look in a real pseudo-terminal: by keys, with back, why, Ctrl-C and resume; the same by --plain and --answers."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pexpect
import pyte
import pytest

from sallow.answers import read_look
from sallow.commands.look_parts import OFFER
from sallow.diagnosis import diagnose
from sallow.interview.letters import COMMANDS
from sallow.knowledge.load import read_text
from sallow.knowledge.locate import shipped_folder
from sallow.knowledge.model import Knowledge
from sallow.looks import Look, look_as_data
from sallow.render.first_screen import first_screen
from sallow.render.outline import outline, the_rest
from sallow.render.terminal import plain_text

from .recorded import DOWN, ENTER, Walk, keys, typed

RECORDED = "young_avocado_on_heavy_ground"
COLUMNS, ROWS = 100, 60


@pytest.fixture
def look(knowledge: Knowledge) -> Look:
    path = shipped_folder("transcripts_demo") / f"{RECORDED}.yaml"
    from datetime import date

    return read_look(read_text(path), path.name, knowledge, date(2026, 4, 18))


def variables(folder: Path) -> dict[str, str]:
    return {
        **{name: value for name, value in os.environ.items() if name not in ("FORCE_COLOR", "COLORTERM")},
        "SALLOW_DATA": str(folder / "data"),
        "SALLOW_CACHE": str(folder / "cache"),
        "SALLOW_KNOWLEDGE": str(folder / "none"),
        "SALLOW_TODAY": "2026-04-18",
        "NO_COLOR": "1",
        "TERM": "xterm-256color",
        "PROMPT_TOOLKIT_NO_CPR": "1",
    }


class Terminal:
    """A pseudo-terminal with a screen that can be read."""

    def __init__(self, words: list[str], folder: Path, today: str = "2026-04-18") -> None:
        self.screen = pyte.HistoryScreen(COLUMNS, ROWS, history=5000)
        self.stream = pyte.Stream(self.screen)
        self.child = pexpect.spawn(
            sys.executable,
            ["-m", "sallow", *words],
            env=variables(folder) | {"SALLOW_TODAY": today},
            dimensions=(ROWS, COLUMNS),
            encoding="utf-8",
            timeout=20,
        )
        self.raw = ""

    def wait_for(self, text: str) -> None:
        """Read until the text has been shown (line breaks and blanks do not matter)."""
        wanted = "".join(text.split())
        for _ in range(400):
            if wanted in "".join(self.text().split()):
                return
            try:
                self.feed(self.child.read_nonblocking(4096, timeout=0.05))
            except pexpect.TIMEOUT:
                continue
            except pexpect.EOF:
                break
        assert wanted in "".join(self.text().split()), f"waited for {text!r}; the screen shows:\n{self.text()}"

    def feed(self, data: str) -> None:
        self.raw += data
        self.stream.feed(data)

    def text(self) -> str:
        """Everything shown so far, scrolled-off lines included."""
        above = ["".join(line[x].data for x in range(COLUMNS)) for line in self.screen.history.top]
        return "\n".join([*above, *self.screen.display])

    def press(self, sent: str) -> None:
        self.child.send(sent)

    def end(self) -> int:
        """Read to the end and return the exit status."""
        while True:
            try:
                self.feed(self.child.read_nonblocking(4096, timeout=10))
            except pexpect.EOF:
                break
        self.child.close()
        return int(self.child.exitstatus if self.child.exitstatus is not None else -1)


def walk_by_keys(terminal: Terminal, walk: Walk, most: int = 200) -> int:
    """Answer up to ``most`` prompts; returns how many were answered."""
    for count in range(most):
        prompt = walk.prompt()
        if prompt is None:
            return count
        terminal.wait_for(prompt.ask)
        value = walk.value(prompt)
        terminal.press(keys(prompt, value))
        walk.answer(prompt, value)
        terminal.screen.reset()
        terminal.screen.history.top.clear()
    return most


def report_text(knowledge: Knowledge, look: Look, width: int) -> str:
    return plain_text(outline(diagnose(knowledge, look), full=False), width)


def report_parts(knowledge: Knowledge, look: Look, width: int) -> tuple[str, str]:
    diagnosis = diagnose(knowledge, look)
    first = first_screen(diagnosis, numbers=False, working=False, full=False)
    return plain_text(list(first), width), plain_text(list(the_rest(diagnosis, full=False)), width)


def squeezed(text: str) -> str:
    return " ".join(text.split())


def test_a_look_by_keys_with_a_wrong_turn_why_ctrl_c_and_resume(
    tmp_path: Path, knowledge: Knowledge, look: Look
) -> None:
    walk = Walk(knowledge, look)
    terminal = Terminal(["look"], tmp_path)
    walk_by_keys(terminal, walk, most=3)

    # A wrong turn: answer 'not sure', then go back and answer it rightly.
    prompt = walk.prompt()
    assert prompt is not None and prompt.key.id == "winters"
    terminal.wait_for(prompt.ask)
    terminal.press(keys(prompt, "not_sure"))
    mirror = Walk(knowledge, look)
    mirror.state = walk.session.answer(walk.state, prompt.key, "not_sure")
    after = mirror.prompt()
    assert after is not None
    terminal.wait_for(after.ask)
    commands = ["w", "b"]
    first_command = len(after.options) + len(after.extras)
    terminal.press(DOWN * (first_command + commands.index("w")) + ENTER)  # why do you ask
    terminal.wait_for("kind of climate")
    terminal.press(DOWN * (first_command + commands.index("b")) + ENTER)  # back
    terminal.screen.reset()
    terminal.wait_for(prompt.ask)

    # Ctrl-C keeps what was answered.
    terminal.press("\x03")
    assert terminal.end() == 130
    assert "sallow look --resume" in squeezed(terminal.text())

    again = Terminal(["look", "--resume"], tmp_path)
    walk_by_keys(again, walk)
    again.wait_for("That was the last question.")
    again.press(ENTER)
    again.wait_for(OFFER)
    first, rest = (squeezed(part) for part in report_parts(knowledge, walk.state.look, COLUMNS))
    assert first in squeezed(again.text()) and "How far to trust this" not in again.text()
    again.press("r\r")
    again.wait_for("Enter for no")
    again.press("\r\r\r")  # no to filling in amounts, to the tree book, to saving
    assert again.end() == 0
    shown = squeezed(again.text())
    assert first in shown and rest in shown


def test_the_same_look_by_plain_prompts_and_by_answers_file_gives_the_same_report(
    tmp_path: Path, knowledge: Knowledge, look: Look
) -> None:
    import json

    walk = Walk(knowledge, look)
    lines = []
    while (prompt := walk.prompt()) is not None:
        value = walk.value(prompt)
        lines.append(typed(prompt, value))
        walk.answer(prompt, value)
    plain = subprocess.run(
        [sys.executable, "-m", "sallow", "look", "--plain"],
        input="\n".join([*lines, "", ""]) + "\n",
        capture_output=True,
        text=True,
        env=variables(tmp_path),
        check=True,
    )
    answers = tmp_path / "answers.json"
    answers.write_text(json.dumps(look_as_data(walk.state.look)), encoding="utf-8")
    by_file = subprocess.run(
        [sys.executable, "-m", "sallow", "look", "--answers", str(answers)],
        capture_output=True,
        text=True,
        env=variables(tmp_path),
        check=True,
    )
    assert by_file.stdout == report_text(knowledge, walk.state.look, 80)
    assert by_file.stdout in plain.stdout


def test_end_of_input_keeps_the_look(tmp_path: Path) -> None:
    stopped = subprocess.run(
        [sys.executable, "-m", "sallow", "look", "--plain"],
        input="lemon\n6\n1\n",
        capture_output=True,
        text=True,
        env=variables(tmp_path),
        check=False,
    )
    assert stopped.returncode == 130
    assert "--resume" in stopped.stderr
    resumed = subprocess.run(
        [sys.executable, "-m", "sallow", "look", "--plain", "--resume"],
        input="2\n",
        capture_output=True,
        text=True,
        env=variables(tmp_path),
        check=False,
    )
    assert resumed.returncode == 130
    assert "What kind of tree is it?" not in resumed.stdout
    assert "What are winters like" in resumed.stdout


def press_and_wait(terminal: Terminal, sent: str, text: str) -> None:
    """Press keys on an emptied screen and wait for what they bring."""
    terminal.screen.reset()
    terminal.screen.history.top.clear()
    terminal.press(sent)
    terminal.wait_for(text)


def test_a_follow_up_by_keys_counts_a_changed_answer_and_ends_with_the_offer_to_save(
    tmp_path: Path, knowledge: Knowledge, look: Look
) -> None:
    import json
    from datetime import date

    from sallow.follow_up import wanted_questions
    from sallow.interview.follow import FollowSession
    from sallow.interview.session import Key, State, start
    from sallow.later_day import moved_on

    saved = tmp_path / "look.json"
    saved.write_text(json.dumps({"look": look_as_data(look)}), encoding="utf-8")
    day = date(2026, 5, 30)
    session = FollowSession(knowledge, look, wanted_questions(knowledge, look, day))
    begun = start(day, moved_on(look, day))

    def command(letter: str, state: State) -> str:
        prompt = session.next_prompt(state)
        assert prompt is not None
        return DOWN * (len(prompt.options) + len(prompt.extras) + list(COMMANDS).index(letter)) + ENTER

    up = "\x1b[A"
    terminal = Terminal(["look", "--follow-up", str(saved)], tmp_path, today=day.isoformat())
    terminal.wait_for("Which day is this follow-up of? (Enter for 30 May 2026)")
    terminal.press("\r")
    terminal.wait_for("(stop here)")
    press_and_wait(terminal, command("c", begun), "none, go on")
    press_and_wait(terminal, up + ENTER, "(stop here)")  # the last line of the list: none, go on
    press_and_wait(terminal, command("c", begun), "none, go on")
    press_and_wait(terminal, ENTER, "What kind of tree is it?")
    press_and_wait(terminal, "lemon" + ENTER, "(stop here)")
    changed = session.answer(begun, Key("crop"), "lemon")
    press_and_wait(terminal, command("f", changed), OFFER)
    assert "The tree: lemon." in squeezed(terminal.text())
    press_and_wait(terminal, "\r", "how wide the canopy is")
    press_and_wait(terminal, "\r", "Keep this look in your tree book?")
    assert "How far to trust this" not in terminal.text()
    press_and_wait(terminal, "n\r", "Save this report?")
    terminal.press(str(tmp_path / "again.json") + "\r")
    assert terminal.end() == 0
    again = json.loads((tmp_path / "again.json").read_text(encoding="utf-8"))
    assert again["date"] == day.isoformat() and again["look"]["tree"]["crop"] == "lemon"


def test_stopping_by_keys_keeps_the_look_and_a_new_one_leaves_it_kept(tmp_path: Path) -> None:
    first = Terminal(["look"], tmp_path)
    first.wait_for("What kind of tree is it?")
    first.press("fig" + ENTER)
    first.wait_for("About how many years ago")
    first.press("q" + ENTER)
    assert first.end() == 130 and "sallow look --resume" in squeezed(first.text())

    second = Terminal(["look"], tmp_path)
    second.wait_for("An unfinished look is kept: fig, 18 April 2026, 1 answer.")
    second.wait_for("What kind of tree is it?")
    second.press("pear" + ENTER)
    second.wait_for("About how many years ago")
    second.press("quit" + ENTER)
    assert second.end() == 130

    third = Terminal(["look", "--resume"], tmp_path)
    third.wait_for("Which unfinished look do you want to go on with?")
    third.press("2\r")
    third.wait_for("Going on with: fig, 18 April 2026, 1 answer.")
    third.wait_for("About how many years ago")
    third.press("\x03")
    assert third.end() == 130
