"""Published numbers as data: a table is rows of named cells, each row with its source and mark."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import TYPE_CHECKING, Any

from sallow.errors import BadInput
from sallow.values import dataclass

if TYPE_CHECKING:
    from pathlib import Path

Cell = str | float | bool | None
MARKS = ("published", "second_hand", "common_practice", "memory", "judgement", "computed")


@dataclass(frozen=True, slots=True)
class Row:
    """One line of a table: its cells by column name, where it comes from and how sure that is."""

    cells: Mapping[str, Cell]
    source: tuple[str, ...]
    mark: str

    def __getitem__(self, column: str) -> Cell:
        return self.cells[column]

    def number(self, column: str) -> float:
        """The cell as a number; BadInput when the cell is empty or text."""
        value = self.cells.get(column)
        if isinstance(value, bool) or not isinstance(value, int | float):
            raise BadInput(f"table cell '{column}' should hold a number, found {value!r}")
        return float(value)


@dataclass(frozen=True, slots=True)
class Table:
    """A published table. ``units`` gives the unit of each numeric column that has one."""

    id: str
    title: str
    columns: tuple[str, ...]
    units: Mapping[str, str]
    rows: tuple[Row, ...]
    note: str = ""

    def where(self, **wanted: Cell) -> tuple[Row, ...]:
        """The rows whose cells equal all of ``wanted``."""
        return tuple(row for row in self.rows if all(row.cells.get(key) == value for key, value in wanted.items()))


def build_table(raw: Mapping[str, Any]) -> Table:
    """A Table from one checked document of ``knowledge/tables``."""
    columns = tuple(raw["columns"])
    rows = tuple(
        Row(
            cells=MappingProxyType({column: line.get(column) for column in columns}),
            source=tuple(line.get("source", raw.get("source", ()))),
            mark=line.get("mark", raw.get("mark", "published")),
        )
        for line in raw["rows"]
    )
    return Table(
        id=raw["table"],
        title=raw["title"],
        columns=columns,
        units=MappingProxyType(dict(raw.get("units", {}))),
        rows=rows,
        note=raw.get("note", ""),
    )


def load_tables(folder: Path) -> Mapping[str, Table]:
    """All tables of a knowledge folder by id, for commands that need no other knowledge."""
    import yaml

    loader = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
    tables = {}
    for path in sorted((folder / "tables").glob("*.yaml")):
        document = yaml.load(path.read_text(encoding="utf-8"), Loader=loader)
        table = build_table(document)
        tables[table.id] = table
    return MappingProxyType(tables)
