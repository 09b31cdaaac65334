"""A firm's own rules, tried out before they judge: limits out of range, verdicts that overlap, rules that never decide.

A criterion is tried on many made-up rows: every value that its conditions name, a little less and a little more, the
ends of what is plausible, and some in between, put together in many ways.
"""

from __future__ import annotations

import random
import re
from collections.abc import Iterator
from decimal import Decimal
from itertools import product
from math import prod
from typing import Any

import duckdb
import pyarrow as pa

from etl import contract, tables, vocabulary
from etl.criteria import look_ups
from etl.criteria.catalog import DECK_COLUMNS, Catalog
from etl.criteria.conditions import Place, constants, numbers_beside
from etl.criteria.judge import conditions_sql
from etl.criteria.models import DECIDING, Criterion, LookUp
from etl.criteria.wording import number_in_words

#: As many rows as a criterion is tried on; where fewer make up every combination, on all of those.
_ROWS = 8_000
_STEP = Decimal("0.0625")
_BETWEEN = 6
_YEARS = (1950, 2035)
_UNITS = {"in": "inches", "sq ft": "square feet"}
Values = list[Any]


def check_criterion(catalog: Catalog, criterion: Criterion) -> None:
    """Try one criterion out.

    Raises
    ------
    CriterionError
        A limit lies outside what its measure can plausibly be (another unit?); two of defect, judgment and acceptable
        hold for the same measures; or nothing that could be recorded makes it decide.
    """
    _check_limits(catalog, criterion)
    rows = _tried(catalog, criterion)
    names = _names(catalog, criterion)
    for row in rows:
        if row["defect"] and row["acceptable"]:
            place = Place(criterion.id, "defect, acceptable", f"{criterion.defect}; {criterion.acceptable}")
            raise place.error(f"both hold where {_told(row, names)}; let one of them end where the other begins")
    if not any(row[verdict] for row in rows for verdict in DECIDING):
        verdict = next(verdict for verdict in DECIDING if getattr(criterion, verdict))
        place = Place(criterion.id, verdict, str(getattr(criterion, verdict)))
        raise place.error("it can never decide: nothing that can be recorded makes one of its conditions hold")


def _check_limits(catalog: Catalog, criterion: Criterion) -> None:
    for verdict in ("when", *DECIDING):
        expression = catalog.expressions.get((criterion.id, verdict))
        if expression is None:
            continue
        for name, limit in numbers_beside(expression.tree):
            measure = vocabulary.measures().get(name)
            if measure is None or measure.low is None or measure.high is None or limit == 0:
                continue
            if not Decimal(str(measure.low)) <= limit <= Decimal(str(measure.high)):
                unit = _UNITS.get(str(measure.unit), measure.unit)
                raise expression.place.error(
                    f"{name} is in {unit} and lies between {measure.low:g} and {measure.high:g}; "
                    f"{number_in_words(limit)} is outside: write the limit in {unit}"
                )


def _names(catalog: Catalog, criterion: Criterion) -> list[str]:
    """The measures and deck columns that the criterion's conditions read."""
    read = [catalog.expressions[key].names for key in _keys(catalog, criterion)]
    deck = ["deck_built_year"] if criterion.built_from or criterion.built_to else []
    reached = catalog.recorded_names({*frozenset().union(*read), *deck, "code_basis"})
    return [name for name in (*DECK_COLUMNS, *vocabulary.measures()) if name in reached]


def _keys(catalog: Catalog, criterion: Criterion) -> list[tuple[str, str]]:
    return [key for key in catalog.expressions if key[0] == criterion.id and key[1] in ("when", *DECIDING)]


def _tried(catalog: Catalog, criterion: Criterion) -> list[dict[str, Any]]:
    names = _names(catalog, criterion)
    columns = _grid([_values(catalog, criterion, name) for name in names])
    if criterion.regions and "region" not in names:
        names, columns = [*names, "region"], [*columns, [criterion.regions[0]] * len(columns[0])]
    grid = pa.table({name: pa.array(cells) for name, cells in zip(names, columns, strict=True)})
    typed = ", ".join(f"cast({name} as {tables.sql_type(name)}) as {name}" for name in names)
    with duckdb.connect() as connection:
        connection.register("grid_rows", grid)
        connection.execute(f"create temp view grid as select {typed} from grid_rows")
        sql = conditions_sql(catalog, criterion, "grid", names)
        return connection.sql(sql).to_arrow_table().to_pylist()


def _grid(values: list[Values]) -> list[Values]:
    """The values put together in rows, as columns: all combinations, or as many as are tried."""
    if prod(map(len, values)) <= _ROWS:
        return [list(cells) for cells in zip(*product(*values), strict=True)]
    dice = random.Random(0)  # the same rows each time: a file that passes today passes tomorrow
    return [dice.choices(choices, k=_ROWS) for choices in values]


def _values(catalog: Catalog, criterion: Criterion, name: str) -> Values:
    """What is tried of one measure, nothing recorded among it."""
    rule = contract.columns()[name].rule
    if name == "code_basis":
        return [f"IRC {year}" for year in criterion.editions if isinstance(year, int)] or ["IRC 2021", "DCA 6"]
    if rule.kind == "yes_no":
        return [True, False, None]
    if rule.choices:
        return [*rule.choices, None]
    named = list(dict.fromkeys(_constants(catalog, criterion)))
    if rule.kind in ("number", "integer"):
        low, high = (Decimal(str(end)) for end in ((rule.low, rule.high) if rule.low is not None else _YEARS))
        between = [low + (high - low) * part / _BETWEEN for part in range(_BETWEEN + 1)]
        close = [limit + step for limit in named if isinstance(limit, Decimal) for step in (-_STEP, Decimal(0), _STEP)]
        found = sorted({value for value in (*between, *close) if low <= value <= high})
        return [*((int(value) for value in found) if rule.kind == "integer" else found), None]
    words = [word for word in named if isinstance(word, str) and re.fullmatch(rule.pattern or ".*", word)]
    return [*dict.fromkeys([*words, *_SIZES.get(rule.kind, ())]), None]


_SIZES = {
    "size": ("2x4", "2x6", "2x8", "2x10", "2x12", "4x4", "6x6"),
    "size_range": ("2x6", "2x8", "2x10", "2x8-2x10"),
    "beam": ("2-2x8", "2-2x10", "3-2x12", "4x6"),
}


def _constants(catalog: Catalog, criterion: Criterion) -> Iterator[Decimal | str]:
    """The numbers and words in the criterion's conditions, in the derived values behind them, and in their tables."""
    for key in _keys(catalog, criterion):
        yield from constants(catalog.expressions[key].tree)
        for name in catalog.derived_behind(catalog.expressions[key].names):
            yield from constants(catalog.expressions[name, "derived"].tree)
            yield from _cells(catalog.derived[name].look_up)


def _cells(look_up: LookUp | None) -> Iterator[Decimal | str]:
    rows = look_ups.tables()[look_up.table] if look_up else ()
    for row in rows:
        assert look_up is not None
        yield from (row[column] for column in look_up.keys)
        yield from (look_ups.number(row[column]) for column in (*look_up.up_to, look_up.value))


def _told(row: dict[str, Any], names: list[str]) -> str:
    recorded = [f"{name} = {_value(row[name])}" for name in names if row[name] is not None and name != "code_basis"]
    return " and ".join(recorded)


def _value(value: Any) -> str:
    return number_in_words(value) if isinstance(value, Decimal) else str(value)
