"""The frame of a printable page and the escaping of its text; shared by the report and the field sheet."""

from __future__ import annotations

import re
from collections.abc import Sequence
from html import escape
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from sallow.photos import Photo

_ADDRESS = re.compile(r"https?://[^\s<>\"']+[^\s<>\"'.,;)]")

STYLE = """
@page { margin: 14mm 15mm; }
* { box-sizing: border-box; }
body { font: 11pt/1.45 Georgia, 'Times New Roman', serif; color: #1b1b1b; background: #fff; margin: 0; }
main { max-width: 50rem; margin: 0 auto; padding: 1rem; overflow-wrap: anywhere; }
h1, h2, h3, th, caption, figcaption, .box, .write { font-family: system-ui, 'Segoe UI', Helvetica, Arial, sans-serif; }
h1 { font-size: 1.5rem; line-height: 1.25; margin: 0 0 .2rem; }
h2 { font-size: 1.15rem; margin: 1.3rem 0 .4rem; padding-bottom: .1rem; border-bottom: 2px solid #2f6b2f; }
h3 { font-size: 1rem; margin: .9rem 0 .2rem; }
h1, h2, h3, caption { break-after: avoid; }
p { margin: .35rem 0; }
.day, .quiet, .sources, .hint { color: #444; }
.quiet, .sources { font-size: .85rem; }
.alert { border: 2px solid #8a1c1c; color: #8a1c1c; padding: .5rem .7rem; }
ul { margin: .3rem 0; padding-left: 1.3rem; }
ul.ticks { list-style: none; padding-left: 0; }
ul.ticks > li { break-inside: avoid; margin: .5rem 0; padding-left: 1.7rem; text-indent: -1.7rem; }
ul.ticks > li > * { text-indent: 0; }
li, figure, tr { break-inside: avoid; }
.box { display: inline-block; width: 1rem; height: 1rem; border: 1.5px solid #1b1b1b; margin-right: .7rem;
  vertical-align: -.15rem; }
.write { display: flex; gap: 1rem; margin-top: .9rem; color: #444; font-size: .8rem; }
.write span { border-bottom: 1px solid #555; padding-right: 5rem; height: 1.3rem; }
.write .wide { flex: 1; }
.figures { display: flex; flex-wrap: wrap; gap: .8rem; margin: .8rem 0; }
figure { margin: 0; width: 11.5rem; }
figure svg { display: block; width: 100%; height: auto; }
.photos { display: flex; flex-wrap: wrap; gap: .8rem; margin: .8rem 0; }
.photos figure { width: 48%; }
.photos img { display: block; max-width: 100%; max-height: 7.5cm; }
figcaption { font-size: .8rem; line-height: 1.3; color: #333; }
table { border-collapse: collapse; width: 100%; margin: .6rem 0; font-size: .95rem; }
.ranking { break-inside: avoid; }
.ranking th[scope=col] { overflow-wrap: normal; }
caption { text-align: left; font-weight: 600; padding: .2rem 0; }
th, td { border: 1px solid #777; padding: .25rem .5rem; text-align: left; vertical-align: top; }
thead th { background: #eef3ea; }
a { color: #14508a; }
@media print { main { max-width: none; padding: 0; } a { color: inherit; text-decoration: none; } }
""".strip()


def safe(text: str) -> str:
    """The text for HTML: escaped, and without control characters."""
    return escape("".join(character for character in text if character.isprintable() or character == "\n"))


def linked(text: str) -> str:
    """The text for HTML, with web addresses as links."""
    parts, last = [], 0
    for match in _ADDRESS.finditer(text):
        parts.append(safe(text[last : match.start()]))
        parts.append(f'<a href="{safe(match.group())}">{safe(match.group())}</a>')
        last = match.end()
    return "".join(parts) + safe(text[last:])


def photo_figures(photos: Sequence[Photo]) -> str:
    """The photos as figures with their names; '' for none. They stand in the page itself, nothing is fetched."""
    figures = "".join(
        f'<figure><img src="{safe(photo.address)}" alt="Photo {safe(photo.name)}">'
        f"<figcaption>{safe(photo.name)}{safe(photo.note)}</figcaption></figure>"
        for photo in photos
    )
    return f'<div class="photos">{figures}</div>' if figures else ""


def document(title: str, body: str, style: str = "", photos: bool = False) -> str:
    """A whole page: no scripts, and a policy that lets nothing be fetched; ``photos`` allows those in the page."""
    policy = "default-src 'none'; style-src 'unsafe-inline'" + ("; img-src data:" if photos else "")
    return (
        f'<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        f'<meta http-equiv="Content-Security-Policy" content="{policy}">\n'
        f'<meta name="viewport" content="width=device-width, initial-scale=1">\n<title>{safe(title)}</title>\n'
        f"<style>\n{STYLE}\n{style}</style>\n</head>\n<body>\n{body}\n</body>\n</html>\n"
    )
