"""The story of a tree saved as a page: 'sallow trees show NAME --save story.html'."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from sallow.environment import Environment
from sallow.errors import BadInput

if TYPE_CHECKING:
    from sallow.photos import Photo
    from sallow.trees.model import Event, Look, Tree
    from sallow.trees.rounds import Due


def check_ending(name: str) -> None:
    """BadInput for a name that does not end in .html."""
    if Path(name).suffix.lower() != ".html":
        raise BadInput(f"'{name}' does not end in .html; the story of a tree is saved as a page.")


def save_story(
    name: str,
    tree: Tree,
    events: Sequence[Event],
    looks: Sequence[Look],
    due: Sequence[Due],
    facts: Sequence[str],
    environment: Environment,
) -> None:
    """Write the whole story of a tree as one page, with its charts and its photos."""
    from sallow.interview.keep import write_atomically
    from sallow.render.tree_page import TreePage, tree_page
    from sallow.trees import story
    from sallow.trees.rounds import say_span

    page = TreePage(
        name=tree.name,
        facts=facts,
        story=story.entries(events, looks),
        charts=story.series(events),
        photos=_photos(tree, looks, environment),
        next_up=[f"{item.name} ({say_span(item, environment.today)})" for item in due],
        day=environment.today,
    )
    target = Path(name).expanduser()
    write_atomically(target, tree_page(page))
    environment.complain(f"Saved: {target}")


def _photos(tree: Tree, looks: Sequence[Look], environment: Environment) -> tuple[Photo, ...]:
    """The photos noted with the looks, newest first, as far as the person named them on this computer."""
    from sallow.photos import load_photos, named_here
    from sallow.trees.dates import say_date
    from sallow.trees.words import plain

    noted = [(path, f", {say_date(look.day)}") for look in reversed(looks) for path in look.photos]
    own = named_here(environment.data_folder)

    def complain(words: str) -> None:
        environment.complain(plain(words))

    for path in dict.fromkeys(path for path, _ in noted if path not in own):
        complain(
            f"Not shown in the page: {path}: the book notes it, but it was not named on this computer, so it is not "
            f'opened. If it is yours: sallow trees note "{tree.name}" photo "{path}"'
        )
    return load_photos((photo for photo in noted if photo[0] in own), complain)
