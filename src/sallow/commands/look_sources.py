"""What a look takes from files besides the person's own answers: --weather, and --with (laboratory, water)."""

from __future__ import annotations

import argparse
from collections.abc import Callable, Mapping, Sequence
from typing import TYPE_CHECKING, Any

from sallow.commands.weather_option import add_weather_options

if TYPE_CHECKING:
    from sallow.brought import Brought
    from sallow.environment import Environment
    from sallow.knowledge.model import Knowledge
    from sallow.looks import Look

    Source = Callable[[Look], Look]

_MOST_BYTES = 2_000_000


def add_source_options(parser: argparse.ArgumentParser) -> None:
    """Add --weather, --weather-units and --with."""
    add_weather_options(parser)
    parser.add_argument(
        "--with",
        dest="with_results",
        metavar="FILE.json",
        action="append",
        default=[],
        help="take in the results that 'sallow lab' or 'sallow water' saved with --save-answers (repeatable); "
        "what you answer yourself goes before them",
    )


def sources_for(arguments: argparse.Namespace, knowledge: Knowledge, environment: Environment) -> Source:
    """A function that fills a look from the files named; BadInput when one cannot be read."""
    if arguments.weather is None and not arguments.with_results:
        return lambda look: look
    from sallow.brought import from_weather, with_brought

    files = [read_results(name, knowledge, environment) for name in arguments.with_results]
    days: Sequence[Any] = ()
    if arguments.weather is not None:
        from sallow.weather_file import read_weather_file

        found = read_weather_file(arguments.weather, arguments.weather_units)
        days = found.days
        for note in found.notes:
            environment.complain(f"{arguments.weather.name}: {note}")

    def fill(look: Look) -> Look:
        for brought in files:
            look = with_brought(look, brought)
        return with_brought(look, from_weather(days, look.date, knowledge)) if days else look

    return fill


def read_results(name: str, knowledge: Knowledge, environment: Environment) -> Brought:
    """The answers and events of a results file; what no sign of the knowledge takes is named and left out."""
    from sallow.answers import look_from
    from sallow.brought import LONGEST_ORIGIN, Brought, latest_of_each_kind
    from sallow.errors import BadInput

    data = _read_json(name)
    answers, left = {}, []
    for sign, value in _mapping(data, "answers", name).items():
        try:
            look_from({"answers": {sign: value}}, name, knowledge, environment.today)
            answers[sign] = value
        except BadInput:
            left.append(str(sign))
    if left:
        environment.complain(f"{name}: not asked in a look, so left out: {', '.join(left)}")
    events = [
        {key: item[key] for key in ("what", "when", "within", "note") if key in item}
        for item in data.get("events", ())
        if isinstance(item, dict)
    ]
    look = look_from({"answers": answers, "events": events}, name, knowledge, environment.today)
    told = _mapping(data, "origins", name)
    plain = f"from {_NAMES.get(str(data.get('command')), name)}"
    keys = [*look.answers, *(f"event.{event.what}" for event in look.events)]
    origins = {key: str(told.get(key, plain))[:LONGEST_ORIGIN] for key in keys}
    if not keys:
        raise BadInput(f"{name}: there is no result in it that a look could use. See sallow questions.")
    return Brought(look.answers, latest_of_each_kind(look.events), origins)


_NAMES = {"lab": "the laboratory report", "water": "the water reckoning"}


def results_text(command: str, data: Mapping[str, Any]) -> str:
    """What --save-answers writes: the signs, the events, and where they come from."""
    import json

    kept = {key: data[key] for key in ("answers", "events", "origins") if data.get(key)}
    return json.dumps({"command": command, **kept}, indent=1, ensure_ascii=False) + "\n"


def save_results(path: str, command: str, text: str, environment: Environment) -> None:
    """Write the results file from a report's JSON; BadInput when there is nothing in it for a look."""
    import json
    from pathlib import Path

    from sallow.errors import BadInput
    from sallow.interview.keep import write_atomically

    data = json.loads(text)
    if not data.get("answers") and not data.get("events"):
        raise BadInput("nothing in this result is asked in a look, so no file was written.")
    target = Path(path).expanduser()
    write_atomically(target, results_text(command, data))
    environment.complain(f"Saved for the look: {target} (use it with: sallow look --with {target})")


def _read_json(name: str) -> dict[str, Any]:
    import json
    from pathlib import Path

    from sallow.errors import BadInput
    from sallow.knowledge.files import read_text

    path = Path(name)
    if path.is_file() and path.stat().st_size > _MOST_BYTES:
        raise BadInput(f"{name}: the file is larger than any results file (2 MB at most)")
    try:
        data = json.loads(read_text(path))
    except ValueError as error:
        raise BadInput(f"{name}: this is not JSON ({error}); give a file written with --save-answers.") from None
    if not isinstance(data, dict):
        raise BadInput(f"{name}: expected the results of 'sallow lab' or 'sallow water', saved with --save-answers.")
    return data


def _mapping(data: Mapping[str, Any], key: str, name: str) -> Mapping[str, Any]:
    from sallow.errors import BadInput

    value = data.get(key, {})
    if not isinstance(value, dict):
        raise BadInput(f"{name}: '{key}' should hold names with their values; give a file from --save-answers.")
    return value
