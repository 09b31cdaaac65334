"""A layout applied: files as the firm has them become flat tables of the contract, before the usual checks.

Each row keeps the number that it has in its own file. What cannot be read as the layout says goes on as it came, so
that the check refuses it with its reason; a private column's content goes nowhere.
"""

from __future__ import annotations

import hashlib
from collections import Counter
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pyarrow as pa

from etl import contract
from etl.errors import SourceError
from etl.layout.cells import Converter
from etl.layout.implied import ImpliedPasses
from etl.layout.model import Layout, Table
from etl.layout.people import common_words
from etl.layout.rows import Cells, Joined, Rows, rows_of
from etl.layout.tables import JSON, Labeled, from_documents, from_grid, plain
from etl.private import MASKED_COLUMNS, Names, coded, masked
from etl.readers.flat import Broken, Flat, few_labels
from etl.readers.grid import read_grids
from etl.readers.sources import Source


@dataclass
class _Read:
    """What one source gave: its tables, or why it was refused."""

    source: Source
    tables: list[Labeled] = field(default_factory=list)
    problem: str | None = None
    flats: list[Flat] = field(default_factory=list)


class Applied:
    """A layout applied to the files of a load.

    Parameters
    ----------
    layout
        The layout, all of it settled.
    sources
        The files.
    scratch
        A folder for temporary files.
    """

    def __init__(self, layout: Layout, sources: list[Source], scratch: Path) -> None:
        self.layout, self.scratch = layout, scratch
        self.names = Names(common_words())
        self.numbers: Counter[tuple[str, ...]] = Counter()
        self.numbered: dict[tuple[str | None, ...], int] = {}
        self.reads = [self._opened(source) for source in sources]
        self.joined = [Joined.of(table, self._labeled(table)) for table in layout.joined]
        self.implied = ImpliedPasses(layout.covered_topics) if layout.passes == "implied" else None
        for read in self.reads:
            try:
                self._take(read, [table for table in read.tables if not table.table.join])
            except SourceError as error:
                read.problem = str(error)
        if self.implied is not None:
            self._imply(self.implied)
        self.by_source = {id(read.source): read for read in self.reads}

    def read(self, source: Source) -> list[Flat]:
        """The flat tables of a source, as :func:`etl.readers.read` gives them.

        Raises
        ------
        SourceError
            Where the whole file cannot be read, or is not one that the layout is for.
        """
        read = self.by_source[id(source)]
        if read.problem is not None:
            raise SourceError(read.problem)
        return read.flats

    # ---- reading -----------------------------------------------------------------------------------------------

    def _opened(self, source: Source) -> _Read:
        read = _Read(source, problem=source.problem)
        if source.path is None or read.problem:
            read.problem = read.problem or "it cannot be read"
            return read
        name = Path(source.name).name
        tables = [table for table in self.layout.tables if table.is_for(name, None)]
        try:
            if not tables:
                raise SourceError("no table of the layout is for a file of this name")
            read.tables = self._tables(tables, name, source.path)
            if not read.tables:
                raise SourceError("it has no sheet that the layout names")
        except SourceError as error:
            read.problem = str(error)
        except OSError as error:
            read.problem = f"it cannot be opened ({error.strerror})"
        if self.layout.private_file_names:
            source.name = _without_name(source)
        return read

    def _tables(self, tables: list[Table], name: str, path: Path) -> list[Labeled]:
        if path.suffix.lower() in JSON:
            return [from_documents(table, name, path) for table in tables]
        first = tables[0]
        grids = read_grids(path, self.scratch, first.encoding, first.delimiter)
        found = []
        for grid in grids:
            fitting = [table for table in tables if table.is_for(name, grid.sheet)]
            # Rows are read once, by the first table of rows that is for them.
            rows = [table for table in fitting if not table.join][:1]
            found += [from_grid(table, name, grid) for table in (*rows, *(table for table in fitting if table.join))]
        return found

    def _labeled(self, table: Table) -> list[Labeled]:
        return [each for read in self.reads for each in read.tables if each.table is table]

    # ---- rows --------------------------------------------------------------------------------------------------

    def _take(self, read: _Read, tables: list[Labeled]) -> None:
        """Make flat tables of the rows of a file; what is joined to rows gives none of its own."""
        for table in tables:
            for rows in rows_of(self.layout, table, self.joined):
                flat = self._flat(rows, read.flats)
                if flat is not None:
                    read.flats.append(flat)

    def _flat(self, rows: Rows, home: list[Flat]) -> Flat | None:
        """The rows as a flat table; wide rows and split texts have become rows of their own already."""
        converter = Converter(self.layout, rows)
        columns, places = converter.columns(), rows.places
        self._mask(rows, columns)
        keep = [not skipped for skipped in converter.skipped]
        if self.implied is not None:
            self.implied.see(home, columns, places, converter.bare, converter.refused)
            keep = [kept and not bare for kept, bare in zip(keep, converter.bare, strict=True)]
            columns["passes"] = ["implied"] * len(places)
        columns = {name: _kept(cells, keep) for name, cells in columns.items()}
        skipped = sum(converter.skipped)
        self._number(rows, columns, sum(keep))
        told = [problem or refused for problem, refused in zip(rows.problems, converter.refused, strict=True)]
        return self._sorted_out(rows, columns, _kept(places, keep), _kept(told, keep), skipped)

    def _mask(self, rows: Rows, columns: dict[str, Cells]) -> None:
        """Cells without what is private: in a known form, or because a private column of the row holds it.

        Besides sentences, what could not be read as its column's kind: a day may say ``ask Ada Fenwick, 555-0142``.
        """
        columns_of_people = [cells for label in self.layout.private for cells in rows.private(label)]
        own = [tuple(value for value in values if value) for values in zip(*columns_of_people, strict=True)]
        own = own or [()] * len(rows.index)
        said = [cells for name in MASKED_COLUMNS if (cells := columns.get(name))]
        self.names.learn((cell, own[place]) for cells in said for place, cell in enumerate(cells) if cell)
        for name, cells in columns.items():
            rule = contract.columns()[name].rule
            if rule.kind == "text" and name not in MASKED_COLUMNS:
                continue
            for place, cell in enumerate(cells):
                # A number, a day, a size and a word of a list hold no name: they are too short, or listed.
                if cell is not None and (rule.kind == "text" or (len(cell) > 6 and cell not in rule.choices)):
                    cells[place] = self.names.mask(masked(cell), own[place])

    def _number(self, rows: Rows, columns: dict[str, Cells], count: int) -> None:
        """Number the observations of each report: by topic in wide rows, else in their order.

        A row that stands there twice gets one number: it is then read once, and counts as unchanged.
        """
        layout = rows.columns.get("observation_no")
        if layout is not None and not layout.numbered:
            return
        numbers: Cells = []
        reports, topics = columns.get("report_id", [None] * count), columns.get("topic", [None] * count)
        contents = zip(*columns.values(), strict=True)
        for report, topic, content in zip(reports, topics, contents, strict=True):
            named = topic if rows.wide and topic else ""
            times = self.numbered.get(content)
            if times is None:
                self.numbers[report or "", named] += 1
                times = self.numbered[content] = self.numbers[report or "", named]
            numbers.append(str(times) if not named else named if times == 1 else f"{named}-{times}")
        columns["observation_no"] = numbers

    def _sorted_out(
        self, rows: Rows, columns: dict[str, Cells], places: list[int], reasons: list[str | None], skipped: int
    ) -> Flat:
        """The rows that go to the check, and beside them those that could not be joined, with what they are."""
        good = [reason is None for reason in reasons]
        broken = [
            Broken(place, reason, {name: cells[i] or "" for name, cells in columns.items() if cells[i] is not None})
            for i, (place, reason) in enumerate(zip(places, reasons, strict=True))
            if reason is not None
        ]
        table = rows.table
        notices = _notices(rows, skipped)
        arrays = {name: pa.array(_kept(cells, good), pa.string()) for name, cells in columns.items()}
        return Flat(
            list(columns),
            _unknown(self.layout, rows),
            pa.table({"row_no": pa.array(_kept(places, good), pa.int64()), **arrays}),
            broken=[*table.broken, *broken],
            notices=notices,
            part=None if self.layout.private_file_names or table.sheet is None else coded(table.sheet),
        )

    # ---- what reports do not mention ---------------------------------------------------------------------------

    def _imply(self, implied: ImpliedPasses) -> None:
        """Add a pass for each covered topic that a report does not mention, to the file in which it first stands."""
        for read in self.reads:
            for table in read.tables:
                for each in self.joined:
                    if each.table is table.table and read.problem is None:
                        self._take(read, [each.without_rows(table, each.used)])
        implied.add()


def _kept(cells: list[Any], keep: list[bool]) -> list[Any]:
    return cells if all(keep) else [cell for cell, kept in zip(cells, keep, strict=True) if kept]


def _notices(rows: Rows, skipped: int) -> list[str]:
    left_out = rows.table.skipped * rows.is_first + skipped
    what = "row is" if left_out == 1 else "rows are"
    return [f"{left_out} {what} no observation, as the layout says"] if left_out else []


def _unknown(layout: Layout, rows: Rows) -> list[str]:
    """The columns of its tables that the layout neither takes nor leaves by name."""
    named = {plain(label) for label in (*layout.private, *layout.ignored, *layout.labels)}
    left = [label for label in rows.labels() if plain(label) not in named and not label.startswith("(column ")]
    return few_labels(left)


def _without_name(source: Source) -> str:
    """A name for a file whose own one tells of people: its folder, and the first figures of its digest."""
    path = Path(source.name)
    digest = source.digest()[:10] or hashlib.sha256(source.name.encode()).hexdigest()[:10]
    return str(path.parent / f"file-{digest}{path.suffix}")
