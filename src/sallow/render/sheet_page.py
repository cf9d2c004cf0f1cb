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
from sallow.sheet_code import Item, Sheet, Stop

HOW = (
    "Tick what you see; leave a question blank when you are not sure or it does not fit. "
    "Several boxes may be ticked where it says so.",
    "At home, type the mark of this sheet and the number and letter of every ticked box in one line, for instance:",
    "If there is a second kind of odd leaf, write 'next' behind the first one's answers and then the second one's.",
)
APPENDIX = "Appendix: rarely needed"
APPENDIX_HINT = "It begins a page of its own and need not be printed or filled in."
_CODE = '<section class="code"><h2>My code</h2><p>{}</p><p></p></section>'
STYLE = """
@page { margin: 7mm 9mm; }
body { font-size: 8.3pt; line-height: 1.15; }
main { max-width: 60rem; }
header p { margin: .2em 0; }
h1 { font-size: 1.5em; }
h2, h3.stop-name { font-size: 1.15em; margin: .5em 0 .2em; border-bottom: 1px solid #2f6b2f;
  break-inside: avoid; break-after: avoid; }
.cols > section:first-child > .stop-name { margin-top: 0; }
.stop-name .hint { font-weight: 400; font-size: .85em; margin-left: .8em; }
.appendix { break-before: page; font-size: .97em; }
.cols { columns: 2; column-gap: 1.6em; margin-bottom: .4em; }
.item { break-inside: avoid; margin: 0 0 .25em; }
.item.pictured, .item.long { break-inside: auto; }
.item h3, .item h4 { font: 600 1em/1.15 system-ui, 'Segoe UI', Helvetica, Arial, sans-serif; margin: 0;
  break-after: avoid; }
.item .hint { font-size: .88em; margin: 0; break-after: avoid; }
.options { list-style: none; padding: 0; margin: 0; display: flex; flex-wrap: wrap; gap: 0 1em; }
.options li { margin: .04em 0; padding-left: 2.6em; text-indent: -2.6em; }
.options.leaves { display: grid; grid-template-columns: repeat(10, 1fr); gap: .2em .6em; }
.options.leaves li { padding: 0; text-indent: 0; font-size: .86em; line-height: 1.12; }
.options.leaves svg { display: block; width: 100%; height: auto; }
.box { width: .95em; height: .95em; margin-right: .3em; text-indent: 0; border-width: 1px; vertical-align: -.12em; }
.letter { display: inline-block; min-width: 1.3em; text-indent: 0; font-weight: 700; }
.blank { display: inline-block; width: 9em; border-bottom: 1px solid #555; height: 1.3em; }
.code p { border-bottom: 1px solid #555; height: 1.9em; }
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
    for appendix, stops in groupby(sheet.stops, lambda stop: stop.appendix):
        if appendix:
            yield from ["", "", APPENDIX, "=" * len(APPENDIX), *wrapped(APPENDIX_HINT, width)]
        for stop in stops:
            yield from _stop_lines(stop, sheet, knowledge, environment)
        if not appendix:
            yield from ["", "My code:", *(["", "_" * min(width, 78)] * 3)]


def _stop_lines(stop: Stop, sheet: Sheet, knowledge: Knowledge, environment: Environment) -> Iterator[str]:
    yield from ["", stop.name, "-" * len(stop.name)]
    yield from wrapped(stop.hint, environment.width) if stop.hint else ()
    for item in stop.items:
        yield ""
        yield from _item_lines(item, sheet, knowledge, environment)


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
    yield f"<p>{safe(HOW[0])} {safe(HOW[1])} <code>sallow look --sheet '{safe(example(sheet))}'</code></p>"
    yield f"<p>{safe(HOW[2])} Mark of this sheet: <strong>{safe(sheet.mark)}</strong></p></header>"
    for appendix, stops in groupby(enumerate(sheet.stops, 1), lambda numbered: numbered[1].appendix):
        if appendix:
            yield f'<div class="appendix"><h2>{APPENDIX} ({safe(sheet.mark)})</h2><p class="hint">{APPENDIX_HINT}</p>'
        for drawn, run in groupby(stops, lambda numbered: any(_pictured(i, knowledge) for i in numbered[1].items)):
            yield "" if drawn else '<div class="cols">'
            for number, stop in run:
                yield from _page_stop(number, stop, sheet, knowledge, drawn)
            yield "" if drawn else "</div>"
        yield "</div>" if appendix else _CODE.format(safe(sheet.mark))
    yield "</main>"


def _page_stop(number: int, stop: Stop, sheet: Sheet, knowledge: Knowledge, drawn: bool) -> Iterator[str]:
    hint = f' <span class="hint">{safe(stop.hint)}</span>' if stop.hint else ""
    level = 3 if stop.appendix else 2
    yield f'<section class="stop" aria-labelledby="stop-{number}">'
    yield f'<h{level} class="stop-name" id="stop-{number}">{safe(stop.name)}{hint}</h{level}>'
    for pictured, items in groupby(stop.items, lambda item: _pictured(item, knowledge)):
        in_columns = drawn and not pictured
        yield '<div class="cols">' if in_columns else ""
        for item in items:
            yield from _page_item(item, sheet, knowledge, level + 1)
        yield "</div>" if in_columns else ""
    yield "</section>"


def _pictured(item: Item, knowledge: Knowledge) -> bool:
    return any(knowledge.pictures.get(item.key.id, answer) for _, answer, _ in item.options)


def _page_item(item: Item, sheet: Sheet, knowledge: Knowledge, level: int) -> Iterator[str]:
    pictured = _pictured(item, knowledge)
    blank = ' <span class="blank"></span>' if item.free else ""
    heading = f"<h{level}>{item.number}. {safe(_asked(item))}{blank}</h{level}>"
    style = " pictured" if pictured else " long" if len(item.options) > 8 else ""
    yield f'<div class="item{style}">{heading}'
    if item.prompt.help and item.key.kind == "sign":
        yield f'<p class="hint">{safe(item.prompt.help)}</p>'
    if item.free:
        yield "</div>"
        return
    yield f'<ul class="options{" leaves" if pictured else ""}">'
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
