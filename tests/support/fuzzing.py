"""A child process that spoils one kind of file many times: ``python -m tests.support.fuzzing KIND N SEED``.

Prints the number of files refused and the most memory used (MB). Any exception but sallow's own, any reading longer
than two seconds, and any refusal that names no place ends it with the spoiled file printed.
"""

from __future__ import annotations

import io
import json
import re
import shutil
import signal
import sys
import tempfile
import traceback
from collections.abc import Callable, Iterator
from datetime import date
from pathlib import Path
from random import Random
from types import FrameType

from sallow.cli import main
from sallow.environment import Environment
from sallow.errors import BadInput, BookError, KnowledgeError, SallowError

TODAY = date(2026, 5, 20)
LIMIT_S = 2.0
LIMIT_MB = 300
BASE = Path(__file__).parents[1] / "lint_samples" / "base"
NASTY = [
    b"&a ", b"*a", b"<<: *a", b"!!python/object/apply:os.system ['true']", b"!x ", b"\x1b[31m", b"\\e[2J",
    b"[[[[[[", b"{{{{", b"]]", b"}}", b"9" * 400, b"-1", b"1e999", b".nan", b".inf", b"NaN", b"0x1F", b"1_000",
    b"[bold red]", b"<b>", b"\x00", b"\xef\xbb\xbf", b"\xff\xfe", b"\xc3", b"null", b"~", b"- ", b": ", b"\t",
    b"'", b'"', b"|", b">", b"%YAML 9.9\n", b"---\n", b"...\n", b"? ", b"2026-13-45", b"9999-99-99",
    b"\xe2\x80\xae", b"\xe2\x80\xa8", b"\xf0\x9f\x98\x80" * 30, b",", b",,,,,,", b";", b"\r", b"\n", b"\n\n  ",
    b"#", b"true", b"yes", b"--1", b"1,5", b"1.2.3", b"a" * 5000, b"../../../etc/passwd", b"{}", b"[]", b'""',
    b"\\u202e", b"*" * 50, b"[" * 3000,
]  # fmt: skip


_WORD = re.compile(rb"[A-Za-z_][A-Za-z_]{2,}")
_NUMBER = re.compile(rb"\d+(?:\.\d+)?")
NUMBERS = [b"0", b"-3", b"1", b"7.5", b"400", b"99999", b"1e9", b"0.0001", b"2026", b"13"]


def spoiled(data: bytes, random: Random) -> bytes:
    """The bytes with a word or number taken for another, or (half of the time) roughly handled in some places."""
    if random.random() < 0.5:
        return _reworded(data, random)
    for _ in range(random.randint(1, 4)):
        start = random.randrange(len(data) + 1)
        end = min(len(data), start + random.choice([1, 1, 3, 10, 60, 400]))
        kind = random.randrange(7)
        if kind == 0:
            data = data[:start] + data[end:]
        elif kind == 1:
            data = data[:end] + data[start:end] * random.choice([1, 1, 2, 20]) + data[end:]
        elif kind == 2 and data:
            place = min(start, len(data) - 1)
            data = data[:place] + bytes([data[place] ^ (1 << random.randrange(8))]) + data[place + 1 :]
        elif kind == 3:
            data = data[:start]
        elif kind == 4:
            words = data.split(b" ")
            words[random.randrange(len(words))] = random.choice(words)
            data = b" ".join(words)
        else:
            data = data[:start] + random.choice(NASTY) + data[start:]
    return data


def _reworded(data: bytes, random: Random) -> bytes:
    """One word of the file in the place of another, or a number in the place of a number: still well formed."""
    for _ in range(random.randint(1, 2)):
        pattern = random.choice([_WORD, _WORD, _NUMBER])
        found = list(pattern.finditer(data))
        if found:
            match = random.choice(found)
            other = random.choice(NUMBERS) if pattern is _NUMBER else random.choice(found).group()
            data = data[: match.start()] + other + data[match.end() :]
    return data


# -- one reading of each kind: nothing is returned, refusals are raised ------------------------------------------------

# (the spoiled file, a folder to put it in, the file as it was)
Read = Callable[[bytes, Path, bytes], None]
Kind = tuple[list[bytes], Read]


def knowledge_kind() -> Kind:
    """Single knowledge files, read and held against their schema; one in twelve is reviewed as an overlay."""
    from sallow.knowledge.checking import check_folders
    from sallow.knowledge.files import knowledge_files, read_text
    from sallow.knowledge.load import check_schema
    from sallow.knowledge.locate import shipped_folder
    from sallow.knowledge.review.codes import FAULT, grade_of
    from sallow.knowledge.yaml_reader import read_yaml

    kinds: dict[bytes, str] = {}
    small: list[bytes] = []
    for folder, step in ((BASE, 1), (shipped_folder("knowledge"), 12)):
        for kind, path in knowledge_files(folder, with_cases=True)[::step]:
            kinds[path.read_bytes()] = kind
            if folder == BASE:
                small.append(path.read_bytes())
    causes = [data for data in small if kinds[data] == "cause"]
    counter = iter(range(10**9))

    def read(data: bytes, folder: Path, original: bytes) -> None:
        if next(counter) % 12 == 0:
            target = folder / "overlay"
            shutil.rmtree(target, ignore_errors=True)
            (target / "causes").mkdir(parents=True)
            (target / "causes" / "x.yaml").write_bytes(spoiled(causes[0], Random(data)))
            checked = check_folders([BASE, target])
            for complaint in checked.complaints:
                assert complaint.file and complaint.line >= 1 and complaint.column >= 1
            if any(grade_of(complaint.code) == FAULT for complaint in checked.complaints):
                raise KnowledgeError(checked.complaints)
            return
        path = folder / "x.yaml"
        path.write_bytes(data)
        document = read_yaml(read_text(path), "x.yaml")
        if not document.complaints:
            check_schema(document, kinds[original])
        if document.complaints:
            raise KnowledgeError(document.complaints)

    return list(kinds), read


def answers_kind() -> Kind:
    """Answers files, YAML and JSON; those that can be read are weighed and told."""
    from sallow.answers import read_look
    from sallow.diagnosis import diagnose
    from sallow.knowledge.files import read_text
    from sallow.knowledge.load import load
    from sallow.knowledge.locate import shipped_folder
    from sallow.reasoning.stored import remembering
    from sallow.render.outline import outline
    from sallow.render.terminal import plain_text
    from sallow.values import replace

    knowledge = load([shipped_folder("knowledge")], with_cases=True)
    knowledge = replace(knowledge, stored=remembering(knowledge))
    looks = [dict(case.look) for case in knowledge.cases[::6]]
    corpus = [json.dumps(look, ensure_ascii=False).encode() for look in looks]
    corpus += [
        b"date: 2026-05-20\ntree: {crop: lemon, climate: dry_summer, grown_in: pot, age_years: 4}\n"
        b"events: [{what: fed, within: 3 weeks}, {what: frost, when: 2026-05-01}]\n"
        b"symptoms:\n  - part: leaf\n    leaf_change: [colour]\n    leaf_age: newest\n    colour_pattern: even_pale\n"
        b"answers: {soil_at_depth: wet, soil_ph: 7.9, looks_well: fair}\n"
    ] * 12
    counter = iter(range(10**9))

    def read(data: bytes, folder: Path, _: bytes) -> None:
        path = folder / "answers.yaml"
        path.write_bytes(data)
        look = read_look(read_text(path), str(path), knowledge, TODAY)
        if next(counter) % 40 == 0:
            told = plain_text(outline(diagnose(knowledge, look)), 80)
            assert "\x1b" not in told and "\u202e" not in told

    return corpus, read


def run_command(words: list[str], path: Path, folder: Path) -> None:
    """Run a command on a spoiled file; a refusal must have status 2 and say what is wrong."""
    out, err = io.StringIO(), io.StringIO()
    environment = Environment(
        io.StringIO(""), out, err, TODAY, data_folder=folder / "data", cache_folder=folder / "cache"
    )
    status = main(["--traceback", *words], environment)
    assert status in (0, 1, 2), (status, err.getvalue())
    assert "\x1b" not in out.getvalue() + err.getvalue()
    if status == 2:
        assert path.name in err.getvalue(), err.getvalue()
        raise BadInput(err.getvalue())


def weather_kind() -> Kind:
    """Weather files, read by 'sallow water'."""
    days = [f"2026-{4 + day // 31:02}-{day % 30 + 1:02}" for day in range(60)]
    rows = "".join(f"{day},{20 + number % 7},{8 + number % 5},{number % 3}\n" for number, day in enumerate(days))
    metric = ("date,tmax_c,tmin_c,rain_mm\n" + rows).encode()
    station = b'"STATION","DATE","TMAX","TMIN","PRCP","LATITUDE"\n' + b"".join(
        b'"X1","2026-05-%02d","2%02d","%02d","%d","-34.1"\n' % (day, day, day + 50, day) for day in range(1, 20)
    )

    def read(data: bytes, folder: Path, _: bytes) -> None:
        from sallow.weather_file import read_weather_file

        path = folder / "weather.csv"
        path.write_bytes(data)
        read_weather_file(path)

    return [metric, station], read


def lab_kind() -> Kind:
    """Laboratory files, read by 'sallow lab'."""
    long = b"name,value,unit\nN,2.1,%\nP,0.12,%\nK,1.0,%\nFe,45,ppm\nZn,12,ppm\nB,40,mg/kg\nCl,0.3,%\n"
    wide = b"sample,N %,P %,K %,Fe ppm,Zn ppm\ntree 1,2.1,0.12,1.0,45,12\ntree 2,2.5,0.14,1.2,60,20\n"

    def read(data: bytes, folder: Path, _: bytes) -> None:
        path = folder / "report.csv"
        path.write_bytes(data)
        run_command(["lab", "leaf", "--crop", "orange", "--table", "florida", "--csv", str(path)], path, folder)

    return [long, wide], read


def book_kind() -> Kind:
    """Exports of the tree book, and the book itself with bytes gone bad."""
    from sallow.trees import exchange, shelf
    from sallow.trees.book import open_book

    with tempfile.TemporaryDirectory() as made:
        where = Path(made)
        data = where / "data"
        for words in (
            ["trees", "add", "lemon by the wall", "--crop", "lemon", "--planted", "2019"],
            ["trees", "add", "young avocado", "--crop", "avocado", "--grown", "ground"],
            ["trees", "note", "all", "fed", "200 g", "yesterday"],
        ):
            streams = [io.StringIO(), io.StringIO(), io.StringIO()]
            environment = Environment(*streams, TODAY, data_folder=data, cache_folder=None)
            assert main(words, environment) == 0, streams[2].getvalue()
        book = next(path for path in data.rglob("*") if path.is_file() and path.suffix not in (".json", ".lock"))
        with open_book(book) as opened:
            exchange.export(exchange.all_tables(opened), where / "export.json")
        corpus = [(where / "export.json").read_bytes(), book.read_bytes()]

    def read(data: bytes, folder: Path, _: bytes) -> None:
        if data.startswith(b"SQLite"):
            path = folder / "book.sqlite"
            for old in folder.glob("book.sqlite*"):
                old.unlink()
            path.write_bytes(data)
            with open_book(path) as opened:
                shelf.list_lines(opened)
                exchange.all_tables(opened)
            return
        path = folder / "export.json"
        path.write_bytes(data)
        exchange.read_export(path)

    return corpus, read


KINDS: dict[str, Callable[[], Kind]] = {
    "knowledge": knowledge_kind,
    "answers": answers_kind,
    "weather": weather_kind,
    "lab": lab_kind,
    "books": book_kind,
}


class TooLong(BaseException):
    """A reading took longer than two seconds."""


def _ring(_: int, __: FrameType | None) -> None:
    raise TooLong


def items(corpus: list[bytes], count: int, seed: int) -> Iterator[tuple[bytes, bytes]]:
    """Each spoiled file with the one it was, the same for the same seed."""
    random = Random(seed)
    for _ in range(count):
        original = random.choice(corpus)
        yield spoiled(original, random), original


def fuzz(kind: str, count: int, seed: int) -> tuple[int, bytes, str]:
    """(refused, the file that broke it, why) after ``count`` files; the last two are empty when all went well."""
    corpus, read = KINDS[kind]()
    refused = 0
    signal.signal(signal.SIGALRM, _ring)
    with tempfile.TemporaryDirectory() as folder:
        for data, original in items(corpus, count, seed):
            try:
                signal.setitimer(signal.ITIMER_REAL, LIMIT_S)
                read(data, Path(folder), original)
            except SallowError as error:
                refused += 1
                if not isinstance(error, BadInput | KnowledgeError | BookError) or not str(error).strip():
                    return refused, data, f"a refusal that says nothing: {error!r}"
            except (Exception, TooLong):
                return refused, data, traceback.format_exc()
            finally:
                signal.setitimer(signal.ITIMER_REAL, 0)
    return refused, b"", ""


def _most_memory_mb() -> float:
    import resource

    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


if __name__ == "__main__":
    refused_files, broken, why = fuzz(sys.argv[1], int(sys.argv[2]), int(sys.argv[3]))
    told = {"refused": refused_files, "mb": round(_most_memory_mb()), "why": why, "file": repr(broken)[:3000]}
    print(json.dumps(told))
    sys.exit(1 if why else 0)
