"""What is found in files: tables with a header, which of them hold the rows, and how the others are joined to them."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path

from etl import contract
from etl.errors import SourceError
from etl.layout.aliases import column_like, is_private, like
from etl.layout.headers import Header, find_header
from etl.layout.model import Table
from etl.layout.profile import Profile
from etl.layout.tables import JSON, Labeled, from_documents, from_grid, paths_of, plain
from etl.readers.documents import Documents, documents_of
from etl.readers.grid import Grid, read_grids
from etl.readers.sources import Source

#: The share of keys that must be found in a table that is joined.
_OVERLAP = 0.5
_LEAST_KEYS = 3
#: Beside a table of so many times its rows a table holds codes, or reports, rather than observations.
_SHORT = 0.15
#: Each label is compared with all that are known.
_MOST_LABELS = 1_000


@dataclass
class Shape:
    """Tables with the same labels, wherever they stand.

    Attributes
    ----------
    tables
        The tables with their rows.
    header
        Of the first; None for documents.
    join
        Where it is joined to the rows: its key columns, each with the column that it must equal.
    notes, asks
        What a person should know of it, and what has to be confirmed.
    """

    tables: list[Labeled]
    header: Header | None
    grids: list[Grid]
    name: str = "rows"
    join: dict[str, str] = field(default_factory=dict)
    join_sure: bool = True
    notes: list[str] = field(default_factory=list)
    asks: list[str] = field(default_factory=list)

    @property
    def labels(self) -> list[str]:
        return list(dict.fromkeys(label for table in self.tables for label in table.columns))

    def cells(self, label: str) -> list[str | None]:
        """A column over all of its tables."""
        found: list[str | None] = []
        for table in self.tables:
            found += table.column(label) or [None] * len(table.places)
        return found

    def place_of(self, label: str) -> int | None:
        """Where a column stands in its table, where that is the same in each table that has it."""
        found = {list(table.columns).index(label) for table in self.tables if label in table.columns}
        return found.pop() if len(found) == 1 else None

    def profile(self, label: str) -> Profile:
        return Profile.of(label, self.cells(label))

    def lacks(self, label: str) -> bool:
        """Whether some of its tables have no such column."""
        return any(table.column(label) is None for table in self.tables)

    @property
    def n_rows(self) -> int:
        return sum(len(table.places) for table in self.tables)


def shapes_of(sources: list[Source], scratch: Path) -> tuple[list[Shape], list[str]]:
    """The tables of files, those with the same labels together, and what was passed over with the reason."""
    found: dict[object, Shape] = {}
    passed_over: list[str] = []
    for source in sources:
        try:
            if source.path is None or source.problem:
                raise SourceError(source.problem or "it cannot be read")
            tables = _tables(source.path, Path(source.name).name, scratch, passed_over)
        except (SourceError, OSError) as error:
            passed_over.append(f"{Path(source.name).name}: {error}")
            continue
        for table, header, grid in tables:
            shape = found.setdefault(_key(table, header), Shape([], header, []))
            shape.tables.append(table)
            shape.grids += [grid] if grid else []
    return _alike(list(found.values())), passed_over


#: Tables that share this much of their labels are of one form that changed over the years.
_ALIKE = 0.6
#: Of sheets of one width, this share of columns that stand in the same place must mean the same.
_IN_PLACE = 0.4
_LEAST_WIDTH = 6


def _alike(shapes: list[Shape]) -> list[Shape]:
    """Tables that share most of their labels are one shape: of a column that some lack, these rows are blank."""
    merged: list[Shape] = []
    for shape in sorted(shapes, key=lambda shape: -len(shape.tables)):
        own = {plain(label) for label in shape.labels}
        for other in merged:
            theirs = {plain(label) for label in other.labels}
            in_one_file = {table.file for table in shape.tables} & {table.file for table in other.tables}
            alike = _mean_the_same(shape, other) if in_one_file else len(own & theirs) >= _ALIKE * len(own | theirs)
            if alike:
                other.tables += shape.tables
                other.grids += shape.grids
                break
        else:
            merged.append(shape)
    return merged


def _mean_the_same(shape: Shape, other: Shape) -> bool:
    """Whether sheets of one file are of one form, whoever labeled them: of one width, with the same things in place."""
    sizes = [len(table.places) for each in (shape, other) for table in each.tables]
    own, theirs = ([_meant(label) for label in each.tables[0].columns] for each in (shape, other))
    if max(sizes) > 5 * min(sizes) or len(own) < _LEAST_WIDTH:
        return False
    same = sum(one == two for one, two in zip(own, theirs, strict=False))
    return len(own) == len(theirs) and same >= _IN_PLACE * len(own)


def _meant(label: str) -> str:
    found = column_like(label)
    return "private" if is_private(label) else found.meant if found and found.sure else plain(label)


def _key(table: Labeled, header: Header | None) -> object:
    """What tables of one shape share: their labels; documents share the path to their rows."""
    if header is None:
        return (table.table.each, table.table.form)
    return frozenset(map(plain, table.columns))


def _tables(
    path: Path, name: str, scratch: Path, passed_over: list[str]
) -> list[tuple[Labeled, Header | None, Grid | None]]:
    if path.suffix.lower() in JSON:
        return [_documents(path, name)]
    grids = read_grids(path, scratch)
    found: list[tuple[Labeled, Header | None, Grid | None]] = []
    for grid in grids:
        header = find_header(grid)
        if form := _form(grid, name, header):
            found.append((form, None, grid))
        elif header is None:
            where = f"{name}, sheet {grid.sheet}" if grid.sheet else name
            passed_over.append(f"{where}: no row looks like a header")
        elif len(header.labels) > _MOST_LABELS:
            raise SourceError(
                f"its table has {len(header.labels):,} columns, more than a layout is proposed for; "
                "delete what stands far to the right of the table, or export it with the columns you need"
            )
        else:
            sheets = grid.sheet if grid.sheet is not None and len(grids) > 1 else None
            table = Table(sheets=sheets, header_row=header.row, header_rows=header.n_rows)
            found.append((from_grid(table, name, grid), header, grid))
    return found


def _form(grid: Grid, name: str, header: Header | None) -> Labeled | None:
    """A grid of labels with their values beside them, and no table below: several of its labels are known."""
    if header is not None and header.known >= 3:
        return None
    narrow = sum(len({cell for cell in cells if cell}) <= 2 for _, cells in grid.rows) > 0.9 * len(grid.rows)
    if not narrow:
        return None
    form = from_grid(Table(form=True), name, grid)
    known = sum((found := column_like(label)) is not None and found.sure for label in form.columns)
    return form if known >= 3 else None


def _documents(path: Path, name: str) -> tuple[Labeled, None, None]:
    documents = [document for _, document in documents_of(path, Documents()) if isinstance(document, dict)]
    paths = paths_of(documents[:2000])
    each = max(paths, key=lambda each: (_says(each, documents), paths[each]), default=None)
    found = from_documents(Table(each=each), name, path)
    if len(found.columns) > _MOST_LABELS:
        raise SourceError(f"its objects have {len(found.columns):,} keys, more than a layout is proposed for")
    return found, None, None


def _says(path: str, documents: Sequence[object]) -> int:
    """How many keys of the objects at a path belong to an observation; those that only name a value count nothing."""
    keys: set[str] = set()
    for document in documents[:200]:
        for item in _at(document, path.split(".")):
            keys |= {key for key, value in item.items() if not isinstance(value, dict | list)}
    found = [name for key in keys if (name := column_like(key)) and name.sure]
    if len(keys) <= 3 and not any(name.meant in ("call", "comment") for name in found):
        return 0
    return sum(3 if contract.columns()[name.meant].level == "observation" else 1 for name in found) + path.count("[]")


def _at(value: object, steps: list[str]) -> list[dict[str, object]]:
    if not isinstance(value, dict):
        return []
    if not steps:
        return [value]
    below = value.get(steps[0].removesuffix("[]"))
    return [found for item in (below if isinstance(below, list) else [below]) for found in _at(item, steps[1:])]


# ---- which table holds the rows, and what is joined to it ----------------------------------------------------------


def weight(shape: Shape, most_rows: int = 0) -> tuple[float, int]:
    """How much a table says of observations; the one that says most holds the rows. A short one is a list of codes."""
    own = {"topic", "call", "comment", "place", "recommendation", "consequence", "observation_no"}
    score = 0
    for label in shape.labels:
        found = column_like(label.split(".")[-1]) or column_like(label.split(" / ")[-1]) or column_like(label)
        topic = like(label.split(" / ")[0], "topics")
        score += 2 * bool(found and found.sure and found.meant in own) + bool(topic and topic.sure)
    is_short = shape.n_rows < _SHORT * most_rows
    return score * (0.25 if is_short else 1), shape.n_rows


def arrange(shapes: list[Shape]) -> tuple[Shape, list[Shape], list[str]]:
    """The table of rows, the tables that are joined to it in their order, and what is left over."""
    most_rows = max(shape.n_rows for shape in shapes)
    main, *others = sorted(shapes, key=lambda shape: weight(shape, most_rows), reverse=True)
    joined: list[Shape] = []
    while others:
        placed = next((shape for shape in others if _join(shape, [main, *joined])), None)
        if placed is None:
            break
        others.remove(placed)
        placed.name = _name_of(placed, [shape.name for shape in joined])
        joined.append(placed)
    left = [f"{_where(shape)}: its columns are others, and no key of it is in the rows" for shape in others]
    return main, joined, left


def _where(shape: Shape) -> str:
    table = shape.tables[0]
    return f"{table.file}, sheet {table.sheet}" if table.sheet else table.file


def _name_of(shape: Shape, taken: list[str]) -> str:
    table = shape.tables[0]
    plain_name = (
        re.sub(r"[^A-Za-z0-9]+", "_", table.sheet or table.file.rsplit(".", 1)[0]).strip("_").lower() or "joined"
    )
    return plain_name if plain_name not in (*taken, "rows") else f"{plain_name}_{len(taken) + 2}"


def _join(shape: Shape, there: list[Shape]) -> bool:
    """Find the key by which a table is joined to the rows, or to a table that is joined already."""
    candidates: list[tuple[float, str, str, bool]] = []
    for label in shape.labels:
        own = shape.cells(label)
        filled = [cell.casefold() for cell in own if cell is not None]
        if len(filled) < len(own) or len(set(filled)) < len(filled) or not filled:
            continue
        keys = set(filled)
        for other in there:
            for theirs in other.labels:
                named = _same_name(label, theirs)
                values = {cell.casefold() for cell in other.cells(theirs) if cell is not None}
                overlap = len(values & keys) / len(values) if values else 0.0
                if overlap >= (_OVERLAP if named else 0.95) and (named or len(values) >= _LEAST_KEYS):
                    candidates.append((overlap + named, label, theirs, named))
    if not candidates:
        return False
    _, label, theirs, named = max(candidates, key=lambda each: each[0])
    shape.join, shape.join_sure = {label: theirs}, named
    return True


def _same_name(label: str, other: str) -> bool:
    if plain(label) == plain(other):
        return True
    one, two = column_like(label), column_like(other)
    return bool(one and two and one.sure and two.sure and one.meant == two.meant)
