"""Photos in pages: pictures of a fair size stand in the page itself, all else is refused, foreign paths left alone."""

from __future__ import annotations

import base64
import os
import re
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.support.desk import PALE_TIPS, Desk

from sallow.errors import BadInput
from sallow.photos import MOST_BYTES, load_photo, load_photos, named_here, remember_named
from sallow.render.markup import document, photo_figures
from sallow.status import ExitStatus

# The signatures are those of the format specifications: JPEG (ITU-T T.81, SOI marker), PNG (RFC 2083), GIF87a and
# GIF89a, WebP (RFC 9649). The pixel of the PNG is a whole picture.
PIXEL = base64.b64decode(
    "iVBORw0KGgoAAAANSUhEUgAAAAEAAAABCAYAAAAfFcSJAAAADUlEQVR42mNkYPhfDwAChwGA60e6kgAAAABJRU5ErkJggg=="
)
PICTURES = {
    "image/png": PIXEL,
    "image/jpeg": b"\xff\xd8\xff\xe0\x00\x10JFIF\x00rest",
    "image/gif": b"GIF89a\x01\x00\x01\x00",
    "image/webp": b"RIFF\x1a\x00\x00\x00WEBPVP8 ",
}


@pytest.fixture
def desk(tmp_path: Path, compiled_folder: Path) -> Desk:
    return Desk(tmp_path, compiled_folder)


def photo(folder: Path, name: str = "leaf.png", data: bytes = PIXEL) -> str:
    """A picture file, by its path."""
    path = folder / name
    path.write_bytes(data)
    return str(path)


def addresses(page: str) -> list[str]:
    """The address of every picture in a page."""
    return re.findall(r'<img src="([^"]*)"', page)


@pytest.mark.parametrize("kind", PICTURES)
def test_a_picture_stands_in_the_page_whole_whatever_its_name_ends_in(kind: str, tmp_path: Path) -> None:
    found = load_photo(Path(photo(tmp_path, "leaf.txt", PICTURES[kind])))
    head, data = found.address.split(",", 1)
    assert head == f"data:{kind};base64" and base64.b64decode(data) == PICTURES[kind]
    assert found.name == "leaf.txt"


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"<svg xmlns='http://www.w3.org/2000/svg'><script/></svg>", "no JPEG, PNG, WebP or GIF"),
        (b"\x00\x00\x00\x18ftypheic", "no JPEG, PNG, WebP or GIF"),
        (b"RIFF\x00\x00\x00\x00WAVEfmt ", "no JPEG, PNG, WebP or GIF"),
        (b"", "no JPEG, PNG, WebP or GIF"),
        (PIXEL + b"\x00" * MOST_BYTES, "larger than 8 MB"),
    ],
)
def test_what_is_no_picture_or_too_large_is_refused_in_words(data: bytes, words: str, tmp_path: Path) -> None:
    with pytest.raises(BadInput, match=words):
        load_photo(Path(photo(tmp_path, "leaf.jpg", data)))


def test_a_folder_a_pipe_and_a_missing_file_are_refused_at_once(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe.jpg")
    for name, words in (("pipe.jpg", "this is no file"), ("", "this is no file"), ("gone.jpg", "cannot be read")):
        with pytest.raises(BadInput, match=words):
            load_photo(tmp_path / name)
    with pytest.raises(BadInput, match="cannot be read"):
        load_photo(Path("nul\x00byte.jpg"))


@given(st.binary(max_size=40) | st.sampled_from(list(PICTURES.values())).map(lambda head: head + b"more"))
def test_only_bytes_with_a_known_signature_are_taken(data: bytes) -> None:
    with TemporaryDirectory() as folder:
        try:
            found = load_photo(Path(photo(Path(folder), "x.png", data)))
        except BadInput:
            assert not data.startswith((b"\xff\xd8\xff", b"\x89PNG\r\n\x1a\n", b"GIF87a", b"GIF89a"))
        else:
            assert base64.b64decode(found.address.split(",", 1)[1]) == data


def test_the_name_is_caption_and_alt_text_and_cannot_break_out_of_the_page(tmp_path: Path) -> None:
    said: list[str] = []
    path = photo(tmp_path, 'a"><b>\u202e\x1b.png')
    html = photo_figures(load_photos([(path, ", 20 May")], said.append))
    assert 'alt="Photo a&quot;&gt;&lt;b&gt;.png"' in html
    assert "<figcaption>a&quot;&gt;&lt;b&gt;.png, 20 May</figcaption>" in html
    assert len(said) == 1 and "place where they were taken" in said[0]
    assert "img-src data:" in document("t", html, photos=True) and "img-src" not in document("t", "")


def test_a_page_takes_only_so_much(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("sallow.photos.MOST_TOGETHER", 2 * len(PIXEL))
    said: list[str] = []
    found = load_photos([(photo(tmp_path, f"{number}.png"), "") for number in range(3)], said.append)
    assert [each.name for each in found] == ["0.png", "1.png"] and "of pictures in all" in said[0]


def test_the_saved_look_shows_the_photos_named_with_it(desk: Desk) -> None:
    answers, good, bad = desk.file("a.yaml", PALE_TIPS), photo(desk.folder), photo(desk.folder, "notes.jpg", b"text")
    page = str(desk.folder / "look.html")
    status, _, err = desk.run("look", "--answers", answers, "--photo", good, "--photo", bad, "--save", page)
    assert status == ExitStatus.OK and "notes.jpg: this is no JPEG" in err
    text = Path(page).read_text(encoding="utf-8")
    assert addresses(text) == [f"data:image/png;base64,{base64.b64encode(PIXEL).decode()}"]
    assert "<figcaption>leaf.png</figcaption>" in text and good not in text
    assert not (desk.folder / "data" / "book.sqlite").exists()


def test_the_story_shows_the_photos_of_the_book_until_they_are_taken_back(desk: Desk) -> None:
    page = desk.folder / "story.html"
    desk.ok("trees", "add", "Wall lemon", "--crop", "lemon", "--grown", "ground", "--hemisphere", "south")
    desk.ok("look", "--answers", desk.file("a.yaml", PALE_TIPS), "--tree", "wall", "--photo", photo(desk.folder))
    desk.ok("trees", "note", "wall", "photo", photo(desk.folder, "twig.png"))
    desk.ok("trees", "show", "wall", "--save", str(page))
    text = page.read_text(encoding="utf-8")
    assert len(addresses(text)) == 2 and "leaf.png, 20 May 2026" in text and "twig.png, 20 May 2026" in text
    assert str(desk.folder) not in text
    desk.ok("trees", "undo")
    desk.ok("trees", "show", "wall", "--save", str(page))
    assert "twig.png" not in page.read_text(encoding="utf-8")


def test_a_path_from_an_imported_book_is_not_followed_until_it_is_named_here(desk: Desk, compiled_folder: Path) -> None:
    desk.ok("trees", "add", "Wall lemon", "--crop", "lemon", "--grown", "ground", "--hemisphere", "south")
    path = photo(desk.folder)
    desk.ok("look", "--answers", desk.file("a.yaml", PALE_TIPS), "--tree", "wall", "--photo", path)
    handed_on = str(desk.folder / "book.json")
    desk.ok("trees", "export", handed_on)
    (desk.folder / "other").mkdir()
    other = Desk(desk.folder / "other", compiled_folder)
    other.ok("trees", "import", handed_on)
    page = other.folder / "story.html"
    status, _, err = other.run("trees", "show", "wall", "--save", str(page))
    assert status == ExitStatus.OK and "was not named on this computer, so it is not opened" in err
    assert addresses(page.read_text(encoding="utf-8")) == []
    assert "Noted already for Wall lemon" in other.ok("trees", "note", "wall", "photo", path)
    status, _, err = other.run("trees", "show", "wall", "--save", str(page))
    assert len(addresses(page.read_text(encoding="utf-8"))) == 1 and "not named" not in err


def test_the_list_of_named_paths_keeps_odd_names_and_passes_over_spoiled_lines(tmp_path: Path) -> None:
    assert named_here(tmp_path) == frozenset()
    odd = ["/a b/\u00e9\n.png", '/"quoted".jpg']
    remember_named(odd[:1], tmp_path)
    with (tmp_path / "own_photos.txt").open("ab") as stream:
        stream.write(b"{spoiled\n[1]\n5\n\xff\n")
    remember_named(odd[1:], tmp_path)
    assert named_here(tmp_path) == frozenset(odd)


def test_the_story_is_saved_as_a_page_only(desk: Desk) -> None:
    desk.ok("trees", "add", "Wall lemon", "--crop", "lemon", "--grown", "ground", "--hemisphere", "south")
    status, _, err = desk.run("trees", "show", "wall", "--save", "story.pdf")
    assert status == ExitStatus.BAD_INPUT and "does not end in .html" in err
