"""The interview by numbered prompts on plain streams: for screen readers, pipes and scripts."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

from sallow.environment import Environment
from sallow.errors import BadInput, Interrupted
from sallow.interview.asides import change_my_mind_lines, given_words, so_far_lines, why_lines
from sallow.interview.echo import understood
from sallow.interview.letters import (
    ALWAYS_GOOD,
    ANSWER_BY,
    COMMANDS,
    FIRST_QUESTION,
    HELP,
    LAST_QUESTION,
    LEAVE,
    LEFT,
    LOOK,
    MANY_UNSURE,
    SPELLED_OUT,
    STOPPED_EARLY,
    Manner,
    offers,
)
from sallow.interview.session import NOTHING, Key, Prompt, Session, State
from sallow.looks import GO_LOOK, NONE_LOOKED, NONE_NOTICED, NOT_APPLICABLE, NOT_SURE, Value
from sallow.render.wrap import wrapped

# One letter for each answer besides the list, and for each thing one can do instead of answering.
ANSWER_LETTERS = {"n": NOT_SURE, "l": GO_LOOK, "a": NOT_APPLICABLE, "o": NONE_NOTICED, "z": NONE_LOOKED}
UNSURE = ("not sure", "unsure", "don't know", "dont know")
LEAVE_ALL_THE_SAME = "Leave all the same? Type y to leave, or n to go on."


class Left(Interrupted):
    """The person left on purpose, by a letter; the end of the input or Ctrl-C is another matter."""


class PlainInterview:
    """Puts a session's prompts to streams. ``keep`` is called with every new state so that nothing is lost;
    ``at_risk`` says what leaving now would lose, or ''.

    ``picture`` gives terminal art for a prompt, or ''; without it the prompt tells where the pictures are, since
    drawn characters are noise to a screen reader.
    """

    def __init__(
        self,
        session: Session,
        environment: Environment,
        keep: Callable[[State], None],
        at_risk: Callable[[State], str] = lambda _: "",
        manner: Manner = LOOK,
        picture: Callable[[Prompt], str] | None = None,
    ) -> None:
        self.session = session
        self.session.set_today(environment.today)
        self.environment = environment
        self.keep = keep
        self.picture = picture
        self.at_risk = at_risk
        self.manner = manner
        self.heading = ""
        self.unsure = 0

    def run(self, state: State) -> State:
        """Ask until the look is complete; Interrupted at end of input or Ctrl-C, with the state kept."""
        try:
            return self.asked(state)
        except KeyboardInterrupt:
            raise Interrupted(self.manner.stopped) from None

    def asked(self, state: State) -> State:
        """The state once all is asked."""
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
            typed = self.read(at_end="").strip().lower()
            word = SPELLED_OUT.get(typed, typed)
            if word == "b" and state.history:
                return self.session.back(state)
            if word in ("", "f", "y", "yes"):
                return None
            try:
                if word == "c":
                    return self.correct(state)
                if word in LEAVE:
                    self.leave(state)
                elif word in ("s", "m"):
                    self.tell(word, None, state)
                elif word in HELP:
                    self.remind()
                else:
                    self.say("  There is no question left to answer.")
            except BadInput as error:
                self.say(f"  {error}")
            self.say(LAST_QUESTION)

    def introduce(self) -> None:
        """The few words that explain the letters."""
        self.say(ANSWER_BY)
        self.say(offers())
        self.say(f"{ALWAYS_GOOD} {self.manner.besides}")

    def remind(self) -> None:
        """The letters once more."""
        self.say(offers())
        self.say(self.manner.besides)

    def put(self, prompt: Prompt, state: State, changing: bool = False) -> State:
        """Put one prompt until it is answered; returns the new state. When ``changing`` an earlier answer, b leaves
        it as it was."""
        self.show(prompt)
        suggested = ""
        while True:
            typed = self.read().strip()
            word = suggested if suggested and typed.lower() in ("y", "yes") else typed
            suggested = ""
            letter = SPELLED_OUT.get(word.lower(), word.lower())
            try:
                if letter == "b" and changing:
                    return state
                moved = self.command(letter, prompt, state)
                if moved is not None:
                    return moved
                if letter in (*COMMANDS, *HELP, *LEAVE) or (not word and not prompt.default):
                    self.show(prompt)
                    continue
                value = self.value(word, prompt)
                answered = self.session.answer(state, prompt.key, value)
            except BadInput as error:
                self.say(f"  {error}")
                suggested = error.suggestion
                continue
            for line in self.remarks(prompt, word, value, answered):
                self.say(f"  ({line})")
            return answered

    def remarks(self, prompt: Prompt, typed: str, value: Value, state: State) -> list[str]:
        """What to say after an answer: how it was taken, and a way out after many 'not sure'."""
        self.unsure = self.unsure + 1 if value == NOT_SURE else 0
        lines = understood(self.session, prompt, typed, value, state)
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
        if word in HELP:
            self.remind()
        elif word in LEAVE:
            self.leave(state)
        elif word in ("w", "s", "m"):
            self.tell(word, prompt.key, state)
        return None

    def tell(self, word: str, key: Key | None, state: State) -> None:
        """Say why a question is asked, what is thought so far, or what would change that."""
        asides: dict[str, Callable[[], list[str]]] = {
            "w": lambda: why_lines(self.session, state, key) if key is not None else [],
            "s": lambda: so_far_lines(self.session, state),
            "m": lambda: change_my_mind_lines(self.session, state),
        }
        for line in asides[word]():
            self.say(f"    {line}")

    def leave(self, state: State) -> None:
        """Stop at once where nothing is lost by it, else after a plain yes; Interrupted when it stops."""
        risk = self.at_risk(state)
        if risk:
            self.say(f"  {risk} {LEAVE_ALL_THE_SAME}")
            if self.read().strip().lower() not in ("y", "yes", *LEAVE):
                return
            raise Left(LEFT)
        raise Left(self.manner.stopped if state.look.tree.get("crop") else STOPPED_EARLY)

    def correct(self, state: State) -> State:
        """Let the person pick an earlier answer and give it anew; a bad reply leaves the list up."""
        keys = self.session.given(state)
        if not keys:
            raise BadInput("There is no earlier answer yet.")
        self.list_given(keys, state)
        while True:
            reply = self.read().strip().lower()
            if reply in ("", "b", "back", "n", "no", "none"):
                return state
            if reply.isdecimal() and 1 <= int(reply) <= len(keys):
                return self.put(self.session.prompt(keys[int(reply) - 1], state), state, changing=True)
            if reply in LEAVE:
                self.leave(state)
            if reply in (*HELP, *LEAVE):
                self.list_given(keys, state)
            else:
                self.say(
                    f"  Type a number from 1 to {len(keys)} to change that answer, Enter to change none, or ? to see "
                    "the list again."
                )

    def list_given(self, keys: Sequence[Key], state: State) -> None:
        """The answers that can be changed, numbered."""
        self.say("Which answer do you want to change? (Enter: none)")
        for number, key in enumerate(keys, 1):
            self.hang(f"  {number:2} ", given_words(self.session, state, key))

    # -- reading and showing --------------------------------------------------------------------------------------

    def value(self, word: str, prompt: Prompt) -> Value:
        """The value a typed word stands for; BadInput with what was expected."""
        extras = dict(prompt.extras)
        letter = ANSWER_LETTERS.get(word.lower())
        if letter in extras:
            return letter
        if word.lower() in UNSURE and NOT_SURE in extras:
            return NOT_SURE
        if prompt.key.kind == "part" and word.lower() in ("no", "none", "nothing", "n"):
            return self.nothing_odd(word.lower(), prompt)
        if prompt.kind == "several":
            return self.several(word, prompt)
        if prompt.kind in ("text", "number", "date"):
            if not word and prompt.default:
                return prompt.default
            if not word:
                raise BadInput("Please type an answer" + (", or n for not sure." if NOT_SURE in extras else "."))
            return word
        return self.pick(word, prompt)

    def nothing_odd(self, word: str, prompt: Prompt) -> str:
        """'No' to 'is anything else odd?'; at the first such question it is not plain enough."""
        if prompt.key.symptom or word in ("none", "nothing"):
            return NOTHING
        raise BadInput(f"If nothing looks odd, type {len(prompt.options)}; else the number of what does.")

    def pick(self, word: str, prompt: Prompt) -> str:
        """The option that a number, an id, the words themselves or their beginning stand for."""
        options = prompt.options
        if word.isdecimal() and 1 <= int(word) <= len(options):
            return options[int(word) - 1][0]
        said = word.lower()
        for identifier, words in options:
            if said in (identifier, words.lower()):
                return identifier
        begun = [identifier for identifier, words in options if words.lower().startswith(said)]
        if len(begun) == 1 and (len(said) > 2 or said in ("y", "no")):
            return begun[0]
        letters = [letter for letter, answer in ANSWER_LETTERS.items() if answer in dict(prompt.extras)]
        besides = f", or {', '.join(letters)}" if letters else ""
        raise BadInput(f"Please type a number from 1 to {len(options)}{besides} (or {', '.join(COMMANDS)}, ?).")

    def several(self, word: str, prompt: Prompt) -> tuple[str, ...]:
        """Several options, typed as numbers with commas or blanks between."""
        words = [part for part in word.replace(",", " ").split() if part.lower() not in ("and", "&")]
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

    def read(self, at_end: str | None = None) -> str:
        """One line of input; at the end of it ``at_end``, or Interrupted where that is None."""
        self.environment.stdout.write("> ")
        self.environment.stdout.flush()
        line = self.environment.stdin.readline()
        if not line:
            self.environment.say("")
            if at_end is None:
                raise Interrupted(self.manner.stopped)
            return at_end
        return "".join(character for character in line if character.isprintable())


def replay(session: Session, state: State, answers: Sequence[tuple[Key, Value]]) -> State:
    """Run recorded answers through the session, in order."""
    for key, value in answers:
        state = session.answer(state, key, value)
    return replace(state, done=True)
