"""The rows that observations are made from: those of a table, with what is joined to them, cut where a text is."""

from __future__ import annotations

import re
from dataclasses import dataclass, field, replace
from functools import cached_property

from etl.layout.model import ABOVE, FILE, PART, ROW, SHEET, ColumnLayout, Layout, Split, Table, Wide
from etl.layout.tables import Labeled, demanded, plain

Cells = list[str | None]

_CUTS = {
    "lines": re.compile(r"\r?\n"),
    "semicolons": re.compile(r";"),
    # A sentence ends where white space and a capital follow, not after an abbreviation of a unit or of a word.
    "sentences": re.compile(r"(?<=[.!?])(?<!\bin\.)(?<!\bft\.)(?<!\bapprox\.)(?<!\bNo\.)\s+(?=[A-Z0-9\"“(])"),
    "numbers": re.compile(r"(?:^|\s)\(?\d{1,3}[.)]\s+"),
}
_BULLET = re.compile(r"^\s*(?:[-–•*·]|\(?\d{1,3}[.)])\s+")


def parts_of(text: str, at: str) -> list[str]:
    """The parts of a text, without bullets and numbers before them; blank ones left out."""
    found = (_BULLET.sub("", part).strip(" \t\r\n;") for part in _CUTS[at].split(text))
    return [part for part in found if part]


#: In place of a joined row: a row of which nothing was read has all of its readings blank.
NOTHING_READ = -1


def spread_out(table: Labeled) -> Labeled:
    """A table with a reading a row as one with a column for each thing that was read, a row for each key.

    Two readings of one thing give two rows, which differ: that key is then joined twice.
    """
    spread = table.table.spread
    assert spread is not None
    keys = [demanded(table, label) for label in table.table.join]
    things, values = demanded(table, spread.by), demanded(table, spread.value)
    units = demanded(table, spread.unit) if spread.unit else [None] * len(values)
    rows: dict[tuple[str | None, ...], list[dict[str, str | None]]] = {}
    places: dict[tuple[str | None, ...], int] = {}
    for place, key, thing, value, unit in zip(
        table.places, zip(*keys, strict=True), things, values, units, strict=True
    ):
        own = rows.setdefault(key, [])
        places.setdefault(key, place)
        row = next((row for row in own if thing not in row), None)
        if row is None:
            own.append(row := {})
        if thing is not None:
            row |= {thing: value, f"{thing} unit": unit}
    every = [(key, row) for key, own in rows.items() for row in own]
    columns: dict[str, Cells] = {label: [key[n] for key, _ in every] for n, label in enumerate(table.table.join)}
    for thing in dict.fromkeys(thing for _, row in every for thing in row):
        columns[thing] = [row.get(thing) for _, row in every]
    return replace(table, places=[places[key] for key, _ in every], columns=columns)


@dataclass
class Joined:
    """A table that is joined to the rows by its key: all files of it together."""

    table: Table
    columns: dict[str, Cells]
    index: dict[tuple[str, ...], list[int]]
    used: set[tuple[str, ...]] = field(default_factory=set)

    @classmethod
    def of(cls, table: Table, found: list[Labeled]) -> Joined:
        """Put the tables of all files together and find each row by its key.

        Raises
        ------
        SourceError
            Where a key column is missing.
        """
        found = [spread_out(each) for each in found] if table.spread else found
        labels = dict.fromkeys(plain(label) for each in found for label in each.columns)
        columns: dict[str, Cells] = {label: [] for label in labels}
        for each in found:
            own = {plain(label): cells for label, cells in each.columns.items()}
            for label in labels:
                columns[label] += own.get(label) or [None] * len(each.places)
        index: dict[tuple[str, ...], list[int]] = {}
        row = 0
        for each in found:
            for key in _keys([demanded(each, label) for label in table.join], len(each.places)):
                if key is not None:
                    index.setdefault(key, []).append(row)
                row += 1
        return cls(table, columns, index)

    def find(self, key: tuple[str, ...] | None) -> int | str:
        """The row of a key, or why there is none."""
        names = " and ".join(self.table.join.values())
        if key is None:
            return f"not_joined: {names} is blank, by which the table {self.table.name} is joined"
        self.used.add(key)
        found = self.index.get(key)
        if not found and self.table.spread:
            return NOTHING_READ
        if not found:
            return f"not_joined: no row of the table {self.table.name} has its {names}"
        first = {name: cells[found[0]] for name, cells in self.columns.items()}
        if any(cells[row] != first[name] for row in found[1:] for name, cells in self.columns.items()):
            return f"joined_twice: rows of the table {self.table.name} with its {names} differ; keep the right one"
        return found[0]

    def without_rows(self, table: Labeled, found: set[tuple[str, ...]]) -> Labeled:
        """The rows of one of its files that no row was joined to, as rows with nothing but their key."""
        keys = _keys([demanded(table, label) for label in self.table.join], len(table.places))
        left = [i for i, key in enumerate(keys) if key is not None and key not in found]
        columns: dict[str, Cells] = {
            own: [demanded(table, label)[i] for i in left] for label, own in self.table.join.items()
        }
        places = [table.places[i] for i in left]
        return Labeled(self.table, table.file, table.sheet, places, columns, table.above, is_document=True)


def _keys(columns: list[Cells], count: int) -> list[tuple[str, ...] | None]:
    cells = zip(*columns, strict=True) if columns else [() for _ in range(count)]
    return [None if None in key else tuple(plain(part or "") for part in key) for key in cells]


@dataclass
class Rows:
    """Rows from which observations are made, one each.

    Attributes
    ----------
    index
        The row of ``table`` that each is made from.
    found
        Of each joined table, by its name, the row that belongs to each row of ``table``, or why none does.
    parts
        The part of a split text that each is made from.
    wide
        The observation of a wide row that they are.
    is_first
        Whether they are the first that are made from their table: what is told of it is told once.
    """

    layout: Layout
    table: Labeled
    index: list[int]
    found: dict[str, tuple[Joined, list[int | str]]] = field(default_factory=dict)
    parts: list[str] | None = None
    wide: Wide | None = None
    is_first: bool = True

    @cached_property
    def columns(self) -> dict[str, ColumnLayout]:
        """Where each column of the contract comes from, in these rows."""
        own = self.layout.columns | (self.wide.columns if self.wide else {})
        if self.wide and "topic" not in self.wide.columns:
            own = own | {"topic": ColumnLayout(default=self.wide.topic)}
        if self.layout.split and "comment" not in own:
            own = own | {"comment": ColumnLayout(source=PART)}
        return own

    @property
    def places(self) -> list[int]:
        return [self.table.places[i] for i in self.index]

    @property
    def problems(self) -> list[str | None]:
        """Why each row could not be joined; None where it was."""
        told: list[str | None] = [None] * len(self.table.places)
        for _, rows in reversed(self.found.values()):
            told = [row if isinstance(row, str) else before for row, before in zip(rows, told, strict=True)]
        return [told[i] for i in self.index]

    def labels(self) -> list[str]:
        """The labels of the table's columns, and of those that are joined to it."""
        return [*self.table.columns, *(label for joined, _ in self.found.values() for label in joined.columns)]

    def cells(self, source: str, table: str | None = None, optional: bool = False) -> Cells:
        """What stands under a source in each row; blank where it is optional and not there.

        Raises
        ------
        SourceError
            Where the table has no such column.
        """
        count = len(self.index)
        if source == FILE:
            return [self.table.file.rsplit(".", 1)[0]] * count
        if source == SHEET:
            return [self.table.sheet] * count
        if source == ROW:
            return [str(place) for place in self.places]
        if source == PART:
            return [*self.parts] if self.parts is not None else [None] * count
        if match := ABOVE.fullmatch(source):
            return [self.table.above.get(plain(match[1]))] * count
        if table is not None:
            joined, rows = self.found[table]
            if joined.table.spread and plain(source) not in joined.columns:
                return [None] * count  # nobody read it
            column = joined.columns.get(plain(source)) or demanded(self.table, f"{source}' of the table '{table}")
            return [_at(column, rows[i]) for i in self.index]
        if optional and self.table.column(source) is None:
            return [None] * count
        column = demanded(self.table, source)
        return [column[i] for i in self.index]

    def private(self, label: str) -> list[Cells]:
        """What a private label holds in each row, wherever it stands: in the table, above it, or joined to it."""
        found: list[Cells] = []
        if (cells := self.table.column(label)) is not None:
            found.append([cells[i] for i in self.index])
        if value := self.table.above.get(plain(label)):
            found.append([value] * len(self.index))
        for joined, rows in self.found.values():
            if column := joined.columns.get(plain(label)):
                found.append([_at(column, rows[i]) for i in self.index])
        return found


def _at(column: Cells, row: int | str) -> str | None:
    return column[row] if isinstance(row, int) and row != NOTHING_READ else None


def rows_of(layout: Layout, table: Labeled, joined: list[Joined]) -> list[Rows]:
    """The rows that observations are made from, in a table: all, or one set for each observation of its wide rows.

    Raises
    ------
    SourceError
        Where a column that the layout names is missing.
    """
    rows = Rows(layout, table, list(range(len(table.places))))
    for each in joined:
        rows.found[each.table.name] = (each, _matches(each, rows))
    rows.index = _kept(rows)
    if layout.split:
        return [_split(rows, layout.split)]
    if not layout.wide:
        return [rows]
    return [_wide(rows, wide, is_first=place == 0) for place, wide in enumerate(layout.wide)]


def _kept(rows: Rows) -> list[int]:
    """The rows that are observations by what stands in the tables that are joined to them."""
    kept = rows.index
    for skip in rows.table.table.skip:
        if skip.table is not None and skip.column is not None:
            cells = rows.cells(skip.column, skip.table)
            left_out = {i for i, cell in zip(rows.index, cells, strict=True) if skip.fits(cell)}
            kept = [i for i in kept if i not in left_out]
    rows.table.skipped += len(rows.index) - len(kept)
    return kept


def _matches(joined: Joined, rows: Rows) -> list[int | str]:
    """The joined row of each row; the key can stand in the rows, or in a table that is joined already."""
    columns = []
    for own in joined.table.join.values():
        cells = rows.table.column(own)
        earlier = (name for name, (table, _) in rows.found.items() if plain(own) in table.columns)
        if cells is None and (name := next(earlier, None)):
            columns.append(rows.cells(own, name))
        else:
            columns.append(demanded(rows.table, own))
    return [joined.find(key) for key in _keys(columns, len(rows.table.places))]


def _wide(rows: Rows, wide: Wide, is_first: bool) -> Rows:
    found = Rows(rows.layout, rows.table, rows.index, rows.found, wide=wide, is_first=is_first)
    return replace(found, index=[place for place, filled in enumerate(_filled(found)) if filled])


def _filled(rows: Rows) -> list[bool]:
    """Whether a wide row says anything of the observation: else there is none."""
    assert rows.wide is not None
    sources = [
        rows.cells(source, column.table, column.optional)
        for column in rows.wide.columns.values()
        for source in column.sources
    ]
    return [any(cells[i] is not None for cells in sources) for i in range(len(rows.index))]


def _split(rows: Rows, split: Split) -> Rows:
    """A row for each part of the text; where it is blank, one that says nothing, and is refused for that."""
    index: list[int] = []
    parts: list[str] = []
    for i, text in enumerate(rows.cells(split.source)):
        for part in parts_of(text or "", split.at) or [""]:
            index.append(i)
            parts.append(part)
    return Rows(rows.layout, rows.table, index, rows.found, parts)
