"""Tables of the catalog as SQL: a look-up becomes one expression, worked out for all rows at once within the select.

A table is a CSV file of ``catalog/tables``. Beside the columns that it is looked up by and the values, each row says in
which document, edition and section it stands and how its value is known.
"""

from __future__ import annotations

import csv
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction
from functools import cache
from importlib.resources import files
from itertools import product

from etl.criteria.models import LookUp
from etl.criteria.wording import text_sql

Row = Mapping[str, str]
UNKNOWN = "unknown"
_PLACES = Decimal("0.000001")


@cache
def tables() -> dict[str, tuple[Row, ...]]:
    """All tables by name, each with its rows in the order of the file."""
    folder = files("etl").joinpath("catalog", "tables")
    found = sorted(path.name for path in folder.iterdir() if path.name.endswith(".csv"))
    read = {name: folder.joinpath(name).read_text(encoding="utf-8").splitlines() for name in found}
    return {name.removesuffix(".csv"): tuple(csv.DictReader(lines)) for name, lines in read.items()}


def number(cell: str) -> Decimal:
    """A cell as a number at six decimals; ``1/12`` is a fraction."""
    exact = Fraction(cell)
    return (Decimal(exact.numerator) / exact.denominator).quantize(_PLACES, ROUND_HALF_UP)


@dataclass(frozen=True)
class _Key:
    """A column that is looked up by: its cells in order, and the SQL that gives a cell's number, from 0."""

    column: str
    cells: tuple[str | None, ...]  # None: not known
    position_sql: str


def look_up_sql(look_up: LookUp, value_sql: Callable[[str], str]) -> str:
    """The SQL of a look-up; null where no row holds.

    All cells stand in one list, and the keys give the place in it: a row is found in one step, however long the table.

    Parameters
    ----------
    look_up
        Its table and columns must exist.
    value_sql
        Gives the SQL of a name.

    Raises
    ------
    ValueError
        More than one row of the table holds for the same keys.
    """
    rows = tables()[look_up.table]
    keys = [_key(column, name, False, look_up, rows, value_sql) for column, name in look_up.keys.items()]
    keys += [_key(column, name, True, look_up, rows, value_sql) for column, name in look_up.up_to.items()]
    place = "0"
    for key in keys:
        place = f"({place} * {len(key.cells)} + {key.position_sql})"
    return f"{list_sql(_values(look_up, rows, keys))}[1 + {place}]"


def list_sql(values: Iterable[Decimal | None]) -> str:
    """A list of numbers as one constant, which costs less to plan than its parts."""
    written = ", ".join("null" if value is None else f"{value.normalize():f}" for value in values)
    return f"('[{written}]'::decimal(12, 6)[])"


def _key(
    column: str, name: str, numeric: bool, look_up: LookUp, rows: Sequence[Row], value_sql: Callable[[str], str]
) -> _Key:
    found = list(dict.fromkeys(row[column] for row in rows))
    cells = sorted(found, key=number) if numeric else found
    sql = value_sql(name)
    branches = [f"when {_matches(sql, cell, numeric)} then {position}" for position, cell in enumerate(cells)]
    may_be_unknown: list[str | None] = []
    if name in look_up.unknown_keys:
        unknown = f"{sql} is null" if numeric else f"coalesce({sql}, '{UNKNOWN}') = '{UNKNOWN}'"
        branches.append(f"when {unknown} then {len(cells)}")
        may_be_unknown.append(None)
    return _Key(column, (*cells, *may_be_unknown), f"case {' '.join(branches)} end")


def _matches(sql: str, cell: str, numeric: bool) -> str:
    if numeric:
        return f"{sql} <= {number(cell).normalize():f}"
    words = [word if word.isdigit() else text_sql(word) for word in cell.split()]
    return f"{sql} in ({', '.join(words)})"


def _values(look_up: LookUp, rows: Sequence[Row], keys: list[_Key]) -> Iterator[Decimal | None]:
    """The value for every combination of cells; where a key is not known, the least or the most of all its cells."""
    known: dict[tuple[str | None, ...], Decimal] = {}
    for row in rows:
        at = tuple(row[key.column] for key in keys)
        if at in known:
            raise ValueError(f"{look_up.table} has several rows for {', '.join(at)}; look it up by more columns")
        known[at] = number(row[look_up.value])
    for place in product(*(key.cells for key in keys)):
        ways: list[tuple[str | None, ...]] = [
            key.cells[:-1] if cell is None else (cell,) for cell, key in zip(place, keys, strict=True)
        ]
        found = [known.get(way) for way in product(*ways)]
        # Without a row under every cell nothing is known of the extremes.
        held = [value for value in found if value is not None]
        extreme = max if look_up.unknown == "most" else min
        yield extreme(held) if len(held) == len(found) else None
