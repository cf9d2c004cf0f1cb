"""The interview by arrow keys in a terminal."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from sallow.environment import Environment
from sallow.errors import BadInput, Interrupted
from sallow.interview.asides import change_my_mind_lines, given_words, so_far_lines, why_lines
from sallow.interview.echo import understood
from sallow.interview.letters import COMMANDS, HELP, LEAVE, LEFT, LOOK, STOPPED_EARLY, Manner
from sallow.interview.plain import Left
from sallow.interview.session import Key, Prompt, Session, State
from sallow.looks import NOT_SURE
from sallow.render.wrap import wrapped

Picture = Callable[[Prompt], str]
LEAST_LIST = 7
NONE = "none"
LEAVE_WORDS = "(stop here)"


class KeyInterview:
    """Puts a session's prompts through the prompt library. ``picture`` gives terminal art for a prompt, or ''."""

    def __init__(
        self,
        session: Session,
        environment: Environment,
        keep: Callable[[State], None],
        picture: Picture | None = None,
        at_risk: Callable[[State], str] = lambda _: "",
        manner: Manner = LOOK,
    ) -> None:
        self.session = session
        self.session.set_today(environment.today)
        self.at_risk = at_risk
        self.manner = manner
        self.environment = environment
        self.keep = keep
        self.picture = picture
        self.art_rows = 0
        self.heading = ""

    def run(self, state: State) -> State:
        """Ask until the look is complete; Interrupted on Ctrl-C or end of input, with the state kept."""
        try:
            return self.asked(state)
        except KeyboardInterrupt:
            raise Interrupted(self.manner.stopped) from None

    def asked(self, state: State) -> State:
        """The state once all is asked."""
        self.say("Choose with the arrow keys and Enter. 'Not sure' is always a good answer.")
        if self.manner is LOOK:
            self.say("Ctrl-C stops and keeps everything.")
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
        import questionary

        choices: list[Any] = [
            questionary.Choice("show the report", value="report"),
            questionary.Choice("(back)", value="b"),
            questionary.Choice("(change an earlier answer)", value="c"),
            questionary.Choice("(what do you think so far)", value="s"),
            questionary.Choice("(what would change your mind)", value="m"),
            questionary.Choice(LEAVE_WORDS, value="q"),
        ]
        while True:
            picked = self.through(
                questionary.select("That was the last question.", choices=choices, use_jk_keys=False, instruction=" ")
            )
            if picked == "b":
                return self.session.back(state)
            if picked == "report":
                return None
            changed = self.command(picked, None, state)
            if changed is not None:
                return changed

    def put(self, prompt: Prompt, state: State, changing: bool = False) -> State:
        """Put one prompt until it is answered; returns the new state. When ``changing`` an earlier answer, back leaves
        it as it was."""
        self.show_heading(prompt)
        while True:
            reply = self.ask(prompt)
            try:
                if isinstance(reply, tuple) and len(reply) == 2 and reply[0] == "command":
                    moved = state if changing and reply[1] == "b" else self.command(reply[1], prompt, state)
                    if moved is not None:
                        return moved
                    continue
                answered = self.session.answer(state, prompt.key, reply)
            except BadInput as error:
                self.say(str(error))
                continue
            for line in understood(self.session, prompt, str(reply), reply, answered):
                self.say(f"({line})")
            return answered

    def show_heading(self, prompt: Prompt) -> None:
        """Print the heading when it changes, the picture and the help of a prompt."""
        self.environment.say("")
        if prompt.heading != self.heading:
            self.heading = prompt.heading
            self.say(f"-- {prompt.heading} --")
        if prompt.help:
            self.say(prompt.help)
        art = self.picture(prompt) if self.picture is not None else ""
        self.art_rows = len(art.splitlines())
        if art:
            self.environment.say(art)

    # -- one question through the library ---------------------------------------------------------------------------

    def ask(self, prompt: Prompt) -> Any:
        """The raw reply: a value, or ('command', letter)."""
        if prompt.kind in ("text", "number", "date"):
            return self.typed(prompt)
        return self.several(prompt) if prompt.kind == "several" else self.one(prompt)

    def one(self, prompt: Prompt) -> Any:
        """One option from a list, with the extras and commands below it."""
        import questionary

        choices: list[Any] = self.option_choices(prompt)
        choices += [questionary.Separator(" "), *self.extra_choices(prompt), *self.command_choices()]
        return self.through(
            questionary.select(
                prompt.ask,
                choices=choices,
                use_shortcuts=False,
                use_jk_keys=False,
                use_search_filter=False,
                instruction=" ",
            )
        )

    def several(self, prompt: Prompt) -> Any:
        """Several options by space bar; the extras and commands are offered when nothing is ticked."""
        import questionary

        choices = self.option_choices(prompt)
        ticked = self.through(
            questionary.checkbox(
                prompt.ask,
                choices=choices,
                use_jk_keys=False,
                instruction="(space ticks, Enter goes on; tick nothing for other answers)",
            )
        )
        if ticked:
            return tuple(ticked)
        more: list[Any] = [
            *self.extra_choices(prompt),
            questionary.Choice("show the list again", value=("command", "again")),
            *self.command_choices(),
        ]
        return self.through(questionary.select("Nothing ticked:", choices=more, use_jk_keys=False, instruction=" "))

    def typed(self, prompt: Prompt) -> Any:
        """A typed answer; 'n' stands for not sure where that is offered, and '?' opens the commands."""
        import questionary

        hints = ["n: not sure"] if NOT_SURE in dict(prompt.extras) else []
        text = self.through(
            questionary.text(prompt.ask, default="", instruction=f"({', '.join([*hints, '?: more'])}) ")
        )
        word = text.strip()
        if word.lower() in HELP:
            more: list[Any] = [
                *self.extra_choices(prompt),
                questionary.Choice("answer after all", value=("command", "again")),
                *self.command_choices(),
            ]
            return self.through(
                questionary.select("Instead of an answer:", choices=more, use_jk_keys=False, instruction=" ")
            )
        if word.lower() in LEAVE:
            return "command", "q"
        if word.lower() == "n" and hints:
            return NOT_SURE
        if not word and prompt.default:
            return prompt.default
        if not word:
            self.say("Please type an answer.")
            return "command", "again"
        return word

    def option_choices(self, prompt: Prompt) -> list[Any]:
        """The listed answers, numbered like the pictures above them where there are any."""
        import questionary

        lead = 5 if prompt.kind == "several" else 3
        return [
            questionary.Choice(self.listed(words, lead, f"{number:2} " if self.art_rows else ""), value=identifier)
            for number, (identifier, words) in enumerate(prompt.options, 1)
        ]

    def listed(self, words: str, lead: int, label: str = "") -> str:
        """The words of a list entry, in lines that end before the screen does; ``lead`` is the pointer's room."""
        indent = lead + len(label)
        return label + ("\n" + " " * indent).join(wrapped(words, self.environment.width - indent))

    def extra_choices(self, prompt: Prompt) -> list[Any]:
        import questionary

        return [questionary.Choice(words, value=identifier) for identifier, words in prompt.extras]

    def command_choices(self) -> list[Any]:
        import questionary

        choices = [questionary.Choice(f"({words})", value=("command", letter)) for letter, words in COMMANDS.items()]
        return [*choices, questionary.Choice(LEAVE_WORDS, value=("command", "q"))]

    def through(self, question: Any) -> Any:
        """Run one library question; Ctrl-C and end of input become Interrupted."""
        if self.art_rows:
            leave_room(question, self.art_rows)
        try:
            return question.unsafe_ask()
        except (KeyboardInterrupt, EOFError):
            raise Interrupted(self.manner.stopped) from None

    # -- commands ---------------------------------------------------------------------------------------------------

    def command(self, letter: str, prompt: Prompt | None, state: State) -> State | None:
        """Carry out a command; a State when it moves the interview."""
        if letter == "b":
            return self.session.back(state)
        if letter == "f":
            return self.session.finish(state)
        if letter == "c":
            return self.correct(state)
        if letter == "q":
            self.leave(state)
        lines = {
            "w": lambda: why_lines(self.session, state, prompt.key) if prompt is not None else [],
            "s": lambda: so_far_lines(self.session, state),
            "m": lambda: change_my_mind_lines(self.session, state),
        }.get(letter)
        for line in lines() if lines else ():
            self.say(f"    {line}")
        return None

    def leave(self, state: State) -> None:
        """Stop at once where nothing is lost by it, else after a plain yes; Interrupted when it stops."""
        import questionary

        risk = self.at_risk(state)
        if not risk:
            raise Left(self.manner.stopped if state.look.tree.get("crop") else STOPPED_EARLY)
        choices: list[Any] = [questionary.Choice("go on", value=False), questionary.Choice("leave", value=True)]
        if self.through(questionary.select(risk, choices=choices, use_jk_keys=False, instruction=" ")):
            raise Left(LEFT)

    def correct(self, state: State) -> State | None:
        """Let the person pick an earlier answer and give it anew."""
        import questionary

        keys = self.session.given(state)
        if not keys:
            self.say("There is no earlier answer yet.")
            return None
        choices: list[Any] = [
            questionary.Choice(self.listed(given_words(self.session, state, key), 3), value=key) for key in keys
        ]
        choices.append(questionary.Choice("none, go on", value=NONE))
        picked: Key | str = self.through(
            questionary.select(
                "Which answer do you want to change?", choices=choices, use_jk_keys=False, instruction=" "
            )
        )
        if not isinstance(picked, Key):
            return None
        return self.put(self.session.prompt(picked, state), state, changing=True)

    def say(self, text: str) -> None:
        """Print text wrapped to the width, keeping its indent."""
        indent = len(text) - len(text.lstrip(" "))
        for line in wrapped(text.strip(), self.environment.width - indent) or [""]:
            self.environment.say(" " * indent + line)


def leave_room(question: Any, rows: int) -> None:
    """Let the list of a library question scroll in what the pictures above it leave of the screen."""
    from prompt_toolkit.layout import Dimension
    from questionary.prompts.common import InquirerControl

    for window in question.application.layout.find_all_windows():
        if isinstance(window.content, InquirerControl):
            screen = question.application.output.get_size().rows
            window.height = Dimension(max=max(LEAST_LIST, screen - rows - 4))
