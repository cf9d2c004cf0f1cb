"""The field sheet for paper: as plain text, and as a printable page with the leaf pictures."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import groupby

from sallow.environment import Environment
from sallow.knowledge.model import Knowledge
from sallow.render.leaf.strip import outline_for, strip_for
from sallow.render.leaf.svg import leaf_svg
from sallow.render.markup import document, safe
from sallow.render.wrap import wrapped
from sallow.sheet_code import Item, Sheet

HOW = (
    "Tick what you see; leave a question blank when you are not sure or it does not fit. "
    "Several boxes may be ticked where it says so.",
    "At home, type the mark of this sheet and the number and letter of every ticked box in one line, for instance:",
    "If there is a second kind of odd leaf, write 'next' behind the first one's answers and then the second one's.",
)
STYLE = """
@page { margin: 11mm 12mm; }
body { font-size: 9pt; line-height: 1.25; }
main { max-width: 56rem; }
h1 { font-size: 1.5em; }
h2 { font-size: 1.2em; margin: 1em 0 .3em; }
.cols { columns: 3; column-gap: 1.4em; break-before: avoid; }
.item { break-inside: avoid; margin: 0 0 .8em; }
.item.pictured, .item.long { break-inside: auto; }
.item h3 { font-size: 1em; margin: 0 0 .15em; }
.hint { font-size: .9em; margin: .1em 0 .25em; break-after: avoid; }
.options { list-style: none; padding: 0; margin: 0; }
.options li { padding-left: 2.9em; text-indent: -2.9em; margin: .18em 0; }
.options.leaves { display: grid; grid-template-columns: repeat(7, 1fr); gap: .4em .6em; }
.options.leaves li { padding: 0; text-indent: 0; font-size: .9em; line-height: 1.2; }
.options.leaves svg { display: block; width: 100%; height: auto; }
.options.short { display: flex; flex-wrap: wrap; gap: 0 1.2em; }
.options.short li { padding: 0; text-indent: 0; }
.box { width: 1em; height: 1em; margin-right: .35em; text-indent: 0; }
.letter { display: inline-block; min-width: 1.4em; text-indent: 0; font-weight: 700; }
.blank { display: inline-block; width: 14em; border-bottom: 1px solid #555; height: 1.5em; }
.code p { border-bottom: 1px solid #555; height: 2.2em; }
"""


def example(sheet: Sheet) -> str:
    """A code as it would be typed: the first lettered questions of the sheet."""
    lettered = [item for item in sheet.items().values() if not item.free][:3]
    return " ".join([sheet.mark, *(f"{item.number}{item.options[-1][0]}" for item in lettered)])


def title(sheet: Sheet, knowledge: Knowledge) -> str:
    """The head of the sheet."""
    return f"Field sheet: {knowledge.crops[sheet.crop].name}" if sheet.crop else "Field sheet: any fruit tree"


# -- plain text ------------------------------------------------------------------------------------------------------


def sheet_lines(sheet: Sheet, knowledge: Knowledge, environment: Environment) -> Iterator[str]:
    """The sheet as lines of plain text."""
    width = environment.width
    yield from wrapped(f"{title(sheet, knowledge)} (sheet {sheet.mark})", width)
    yield "=" * min(width, len(f"{title(sheet, knowledge)} (sheet {sheet.mark})"))
    yield from wrapped(HOW[0], width)
    yield from wrapped(HOW[1], width)
    yield f"  sallow look --sheet '{example(sheet)}'"
    yield from wrapped(HOW[2], width)
    for stop in sheet.stops:
        yield ""
        yield stop.name
        yield "-" * len(stop.name)
        yield from wrapped(stop.hint, width) if stop.hint else ()
        for item in stop.items:
            yield ""
            yield from _item_lines(item, sheet, knowledge, environment)
    yield ""
    yield "My code:"
    yield from ["", "_" * min(width, 78)] * 3


def _item_lines(item: Item, sheet: Sheet, knowledge: Knowledge, environment: Environment) -> Iterator[str]:
    width = environment.width
    lead = f"{item.number:3}. "
    yield from _hung(lead, _asked(item), width)
    art = strip_for(item.prompt, knowledge, sheet.crop, environment, [mark for mark, _, _ in item.options])
    yield from art.splitlines()
    if item.free:
        yield "     " + "_" * 30
        return
    for mark, _, words in item.options:
        yield from _hung(f"     [ ] {mark} ", words, width)


def _asked(item: Item) -> str:
    return item.prompt.ask + (" (more than one may be ticked)" if item.several else "")


def _hung(lead: str, words: str, width: int) -> Iterator[str]:
    for index, line in enumerate(wrapped(words, width - len(lead))):
        yield (lead if index == 0 else " " * len(lead)) + line


# -- the page --------------------------------------------------------------------------------------------------------


def sheet_page(sheet: Sheet, knowledge: Knowledge) -> str:
    """The sheet as a printable page."""
    return document(title(sheet, knowledge), "\n".join(_page(sheet, knowledge)), STYLE)


def _page(sheet: Sheet, knowledge: Knowledge) -> Iterator[str]:
    yield f"<main><header><h1>{safe(title(sheet, knowledge))}</h1>"
    yield f"<p>{safe(HOW[0])}</p><p>{safe(HOW[1])} <code>sallow look --sheet '{safe(example(sheet))}'</code></p>"
    yield f"<p>{safe(HOW[2])} Mark of this sheet: <strong>{safe(sheet.mark)}</strong></p></header>"
    for number, stop in enumerate(sheet.stops, 1):
        yield f'<section class="stop" aria-labelledby="stop-{number}"><h2 id="stop-{number}">{safe(stop.name)}</h2>'
        if stop.hint:
            yield f'<p class="hint">{safe(stop.hint)}</p>'
        for pictured, items in groupby(stop.items, lambda item: _pictured(item, knowledge)):
            yield "" if pictured else '<div class="cols">'
            for item in items:
                yield from _page_item(item, sheet, knowledge)
            yield "" if pictured else "</div>"
        yield "</section>"
    yield f'<section class="code"><h2>My code</h2><p>{safe(sheet.mark)}</p><p></p><p></p></section></main>'


def _pictured(item: Item, knowledge: Knowledge) -> bool:
    return any(knowledge.pictures.get(item.key.id, answer) for _, answer, _ in item.options)


def _page_item(item: Item, sheet: Sheet, knowledge: Knowledge) -> Iterator[str]:
    pictured = _pictured(item, knowledge)
    style = " pictured" if pictured else " long" if len(item.options) > 8 else ""
    yield f'<div class="item{style}"><h3>{item.number}. {safe(_asked(item))}</h3>'
    if item.prompt.help and item.key.kind == "sign":
        yield f'<p class="hint">{safe(item.prompt.help)}</p>'
    if item.free:
        yield '<span class="blank"></span></div>'
        return
    short = not pictured and sum(len(words) + 6 for _, _, words in item.options) < 46
    yield f'<ul class="options{" leaves" if pictured else " short" if short else ""}">'
    outline = outline_for(knowledge, sheet.crop)
    for mark, answer, words in item.options:
        picture = knowledge.pictures.get(item.key.id, answer)
        key = f"q{item.number}-{mark}"
        art = leaf_svg(knowledge.pictures, picture, outline, f"Drawing of a leaf: {words}", key) if picture else ""
        yield (
            f'<li>{art}<span class="box" role="img" aria-label="box to tick"></span>'
            f'<span class="letter">{mark}</span>{safe(words)}</li>'
        )
    yield "</ul></div>"
