"""Rows as a report would record them, judged by the real catalog in the real DuckDB."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal
from typing import Any

import duckdb
import pyarrow as pa
import pytest

from etl import contract
from etl.criteria.catalog import Catalog, load_catalog
from etl.criteria.judge import judge_sql

Row = dict[str, Any]
Judge = Callable[..., list[Row]]

_ARROW = {
    "integer": pa.int32(),
    "number": pa.decimal128(12, 6),
    "yes_no": pa.bool_(),
    "date": pa.date32(),
}
_SCHEMA = pa.schema([(name, _ARROW.get(column.rule.kind, pa.string())) for name, column in contract.columns().items()])


def judged(rows: list[Row], catalog: Catalog) -> list[Row]:
    """The rows with what the judge adds, in the order given."""
    typed = [
        {"call": "passed", "observation_no": str(number)}
        | {
            name: Decimal(str(value)) if _is_number(name) and value is not None else value
            for name, value in row.items()
        }
        for number, row in enumerate(rows)
    ]
    with duckdb.connect() as connection:
        connection.register("recorded_rows", pa.Table.from_pylist(typed, _SCHEMA))
        sql = judge_sql(catalog, "recorded_rows", list(contract.columns()), {row["topic"] for row in rows})
        table = connection.sql(f"select * from ({sql}) order by observation_no::integer").to_arrow_table()
    return table.to_pylist()


def _is_number(name: str) -> bool:
    return contract.columns()[name].rule.kind == "number"


@pytest.fixture(scope="session")
def catalog() -> Catalog:
    return load_catalog()


@pytest.fixture(scope="session")
def judge(catalog: Catalog) -> Judge:
    """Judge rows (dicts of contract columns); the call is ``passed`` unless given."""

    def judge_rows(*rows: Row, under: Catalog = catalog) -> list[Row]:
        return judged(list(rows), under)

    return judge_rows
