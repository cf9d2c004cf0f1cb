"""The interview by numbered prompts on plain streams: for screen readers, pipes and scripts."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

from sallow.environment import Environment
from sallow.errors import BadInput, Interrupted
from sallow.interview.asides import change_my_mind_lines, given_words, so_far_lines, why_lines
from sallow.interview.letters import (
    ALWAYS_GOOD,
    ANSWER_BY,
    COMMANDS,
    FIRST_QUESTION,
    LAST_QUESTION,
    MANY_UNSURE,
    offers,
)
from sallow.interview.session import Key, Prompt, Session, State
from sallow.looks import GO_LOOK, NONE_LOOKED, NONE_NOTICED, NOT_APPLICABLE, NOT_SURE, Value
from sallow.render.wrap import wrapped

# One letter for each answer besides the list, and for each thing one can do instead of answering.
ANSWER_LETTERS = {"n": NOT_SURE, "l": GO_LOOK, "a": NOT_APPLICABLE, "o": NONE_NOTICED, "z": NONE_LOOKED}
STOPPED = "Stopped. What you answered is kept; 'sallow look --resume' takes it up again."


class PlainInterview:
    """Puts a session's prompts to streams. ``keep`` is called with every new state so that nothing is lost.

    ``picture`` gives terminal art for a prompt, or ''; without it the prompt tells where the pictures are, since
    drawn characters are noise to a screen reader.
    """

    def __init__(
        self,
        session: Session,
        environment: Environment,
        keep: Callable[[State], None],
        picture: Callable[[Prompt], str] | None = None,
    ) -> None:
        self.session = session
        self.environment = environment
        self.keep = keep
        self.picture = picture
        self.heading = ""
        self.unsure = 0

    def run(self, state: State) -> State:
        """Ask until the look is complete; Interrupted at end of input or Ctrl-C, with the state kept."""
        self.introduce()
        while True:
            while (prompt := self.session.next_prompt(state)) is not None:
                state = self.put(prompt, state)
                self.keep(state)
            again = None if state.done else self.last_word(state)
            if again is None:
                return state
            state = again
            self.keep(state)

    def last_word(self, state: State) -> State | None:
        """Before the report: a chance to go back or to change an answer; None goes on to the report."""
        self.say("")
        self.say(LAST_QUESTION)
        while True:
            self.environment.stdout.write("> ")
            self.environment.stdout.flush()
            word = self.environment.stdin.readline().strip().lower()
            if word == "b" and state.history:
                return self.session.back(state)
            if word == "c":
                try:
                    return self.correct(state)
                except BadInput as error:
                    self.say(f"  {error}")
                    continue
            if word in ("", "f", "y", "yes"):
                return None
            self.say("  Please press Enter, or type b or c.")

    def introduce(self) -> None:
        """The few words that explain the letters."""
        self.say(ANSWER_BY)
        self.say(offers())
        self.say(f"{ALWAYS_GOOD} Ctrl-C stops and keeps everything.")

    def put(self, prompt: Prompt, state: State) -> State:
        """Put one prompt until it is answered; returns the new state."""
        self.show(prompt)
        suggested = ""
        while True:
            reply = self.read()
            word = suggested if suggested and reply.strip().lower() in ("y", "yes") else reply.strip()
            suggested = ""
            try:
                done = self.command(word.lower(), prompt, state)
                if done is not None:
                    return done
                if word.lower() in COMMANDS:
                    continue
                value = self.value(word, prompt)
                answered = self.session.answer(state, prompt.key, value)
            except BadInput as error:
                self.say(f"  {error}")
                suggested = error.suggestion
                continue
            for line in self.remarks(prompt, value, answered):
                self.say(f"  ({line})")
            return answered

    def remarks(self, prompt: Prompt, value: Value, state: State) -> list[str]:
        """What to say after an answer: how a tree's name was taken, and a way out after many 'not sure'."""
        self.unsure = self.unsure + 1 if value == NOT_SURE else 0
        lines = self.session.taken_as(prompt.key, value, state)
        if self.unsure and self.unsure % 3 == 0:
            lines.append(MANY_UNSURE)
        return lines

    # -- commands -------------------------------------------------------------------------------------------------

    def command(self, word: str, prompt: Prompt, state: State) -> State | None:
        """Carry out a command letter; a State when it moves the interview, None when the prompt stays."""
        if word == "b":
            if not state.history:
                raise BadInput(FIRST_QUESTION)
            return self.session.back(state)
        if word == "f":
            return self.session.finish(state)
        if word == "c":
            return self.correct(state)
        asides: dict[str, Callable[[], list[str]]] = {
            "w": lambda: why_lines(self.session, state, prompt.key),
            "s": lambda: so_far_lines(self.session, state),
            "m": lambda: change_my_mind_lines(self.session, state),
        }
        if word in asides:
            for line in asides[word]():
                self.say(f"    {line}")
        return None

    def correct(self, state: State) -> State:
        """Let the person pick an earlier answer and give it anew."""
        keys = self.session.given(state)
        if not keys:
            raise BadInput("There is no earlier answer yet.")
        self.say("Which answer do you want to change? (Enter: none)")
        for number, key in enumerate(keys, 1):
            self.say(f"  {number:2} {given_words(self.session, state, key)}")
        reply = self.read().strip()
        if not reply:
            return state
        if not reply.isdecimal() or not 1 <= int(reply) <= len(keys):
            raise BadInput(f"Type a number from 1 to {len(keys)}, or Enter.")
        return self.again(keys[int(reply) - 1], state)

    def again(self, key: Key, state: State) -> State:
        """Put an earlier prompt once more."""
        prompt = self.session.prompt(key, state)
        self.show(prompt)
        while True:
            try:
                return self.session.answer(state, key, self.value(self.read().strip(), prompt))
            except BadInput as error:
                self.say(f"  {error}")

    # -- reading and showing --------------------------------------------------------------------------------------

    def value(self, word: str, prompt: Prompt) -> Value:
        """The value a typed word stands for; BadInput with what was expected."""
        extras = dict(prompt.extras)
        letter = ANSWER_LETTERS.get(word.lower())
        if letter in extras:
            return letter
        if prompt.kind == "several":
            return self.several(word, prompt)
        if prompt.kind in ("text", "number", "date"):
            if not word and prompt.default:
                return prompt.default
            if not word:
                raise BadInput("Please type an answer" + (", or n for not sure." if NOT_SURE in extras else "."))
            return word
        return self.pick(word, prompt)

    def pick(self, word: str, prompt: Prompt) -> str:
        """The option a number, an id or the words themselves stand for."""
        options = prompt.options
        if word.isdecimal() and 1 <= int(word) <= len(options):
            return options[int(word) - 1][0]
        for identifier, words in options:
            if word.lower() in (identifier, words.lower()):
                return identifier
        letters = [letter for letter, answer in ANSWER_LETTERS.items() if answer in dict(prompt.extras)]
        besides = f", or {', '.join(letters)}" if letters else ""
        raise BadInput(f"Please type a number from 1 to {len(options)}{besides} (or {', '.join(COMMANDS)}).")

    def several(self, word: str, prompt: Prompt) -> tuple[str, ...]:
        """Several options, typed as numbers with commas or blanks between."""
        words = word.replace(",", " ").split()
        if not words:
            raise BadInput("Please type one or more numbers with commas between, for instance 1,3.")
        return tuple(dict.fromkeys(self.pick(item, prompt) for item in words))

    def show(self, prompt: Prompt) -> None:
        """Print a prompt: heading when it changes, question, help, numbered lines, letters."""
        self.say("")
        if prompt.heading != self.heading:
            self.heading = prompt.heading
            self.say(f"-- {prompt.heading} --")
        several = " (one or more numbers, with commas)" if prompt.kind == "several" else ""
        self.say(prompt.ask + several)
        if prompt.help:
            self.say(prompt.help)
        art = self.picture(prompt) if self.picture is not None else ""
        if art:
            self.environment.say(art)
        elif prompt.picture_sign in self.session.pictured():
            self.say(f"(Pictures in another window: sallow leaves {prompt.picture_sign})")
        for number, (_, words) in enumerate(prompt.options, 1):
            self.hang(f"  {number:2} ", words)
        letters = [
            f"{letter} {words}"
            for letter, answer in ANSWER_LETTERS.items()
            for extra, words in prompt.extras
            if extra == answer
        ]
        if letters:
            self.say("   " + "; ".join(letters))

    def hang(self, lead: str, words: str) -> None:
        """Print a numbered line with its continuation lines indented."""
        lines = wrapped(words, self.environment.width - len(lead))
        for index, line in enumerate(lines):
            self.environment.say((lead if index == 0 else " " * len(lead)) + line)

    def say(self, text: str) -> None:
        """Print text wrapped to the width, keeping its indent."""
        indent = len(text) - len(text.lstrip(" "))
        for line in wrapped(text.strip(), self.environment.width - indent) or [""]:
            self.environment.say(" " * indent + line)

    def read(self) -> str:
        """One line of input; Interrupted at the end of it."""
        self.environment.stdout.write("> ")
        self.environment.stdout.flush()
        try:
            line = self.environment.stdin.readline()
        except KeyboardInterrupt:
            raise Interrupted(STOPPED) from None
        if not line:
            self.environment.say("")
            raise Interrupted(STOPPED)
        return "".join(character for character in line if character.isprintable())


def replay(session: Session, state: State, answers: Sequence[tuple[Key, Value]]) -> State:
    """Run recorded answers through the session, in order."""
    for key, value in answers:
        state = session.answer(state, key, value)
    return replace(state, done=True)
