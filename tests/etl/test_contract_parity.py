"""One definition, two engines: pydantic and the SQL made from the contract refuse the same rows for the same reasons."""

from __future__ import annotations

from decimal import Decimal

import duckdb
import pyarrow as pa
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pydantic import ValidationError

from etl import checks, contract, values
from etl.staging import reasons_of
from tests.etl.conftest import make_row

NUMBERS = ["guard_height_in", "joist_gap_in", "design_load_psf", "tributary_area_sqft", "deck_height_in"]
OTHERS = ["joist_nominal", "hanger_nominal", "beam", "joist_angled", "holes_total", "rust", "deck_built_year"]
FACTS = [
    "report_id",
    "inspected_on",
    "topic",
    "call",
    "consequence",
    "photo_count",
    "comment",
    "place",
    "deck_built_basis",
]

dirty_number = st.one_of(
    st.integers(-5, 5000).map(str),
    st.decimals(-10, 2000, places=7, allow_nan=False).map(str),
    st.floats(allow_nan=True, allow_infinity=True).map(repr),
    st.from_regex(rf"\A{values.FRACTION}\Z", alphabet=st.characters(codec="ascii")),
    st.from_regex(rf"\A{values.DECIMAL_COMMA}\Z", alphabet=st.characters(codec="ascii")),
    st.sampled_from(
        ["½", "1½", '1 ⅜"', "3/16 in", "36 inches", "36''", '"', "in", "1/0", "1-1/2", "1 - 1/2", "--1", "1/2/3", "٣"]
    ),
    st.text(alphabet="0123456789.,-+/ eE\"'in½⅝", max_size=9),
)
dirty_other = st.one_of(
    st.sampled_from(
        [
            "2x10", "2 x 10", "2X10", "2×10", "2x8-2x10", "2x8 – 2x10", "2-2x10", "3x7", "2x10x2", "4*4",
            "true", "YES", "0", "no", "t", "none", "Surface", "section loss", "Section-Loss", "section__loss",
            "2004", "2004.0", "2004.", "2004.5", "+3", "-0", "99999999999", "2027", "2028", "1899",
        ]
    ),
    st.text(max_size=6),
)  # fmt: skip
dirty_fact = st.one_of(
    st.sampled_from(
        [
            "2026-03-04", "2026-3-4", "2026-02-30", "2026-03-04T10:00", "2026-03-04 10:00:00.5", "2026-03-04Z", "1989-12-31",
            "2026-11-26", "2026-11-27", "joist_gap", "Joist Gap", "JOIST-GAP", "written up", "passed", "1", "2.0", "4",
            "permit", "x" * 201, "x" * 200, "\u00a0", "\t", " a ", "\u00a0b\u00a0", "e\r\nf", "g\rh", "\x0bc", "d\x00e",
        ]
    ),
    st.text(max_size=5),
)  # fmt: skip
dirty_rows = st.builds(
    lambda *parts: make_row(**{k: v for part in parts for k, v in part.items()}),
    st.dictionaries(st.sampled_from(NUMBERS), dirty_number, max_size=3),
    st.dictionaries(st.sampled_from(OTHERS), dirty_other, max_size=3),
    st.dictionaries(st.sampled_from(FACTS), dirty_fact, max_size=2),
)


@pytest.fixture(scope="module")
def connection():
    with duckdb.connect() as opened:
        opened.execute(checks.number_macros())
        yield opened


def by_sql(connection, rows):
    """Per row the reasons, or the typed values."""
    names = [name for name in contract.columns() if any(name in row for row in rows)]
    columns = {name: pa.array([row.get(name) for row in rows], pa.string()) for name in names}
    ids = pa.array(range(len(rows)), pa.int64())
    connection.register("raw_rows", pa.table({"raw_id": ids, "file_no": ids, **columns}))
    connection.execute(f"create or replace temp table typed as {checks.typed_sql(names)}")
    connection.execute("create or replace temp table bad_rows as select raw_id from typed where bad")
    refused = dict(connection.execute(checks.reasons_sql(names)).fetchall())
    query = connection.execute("select * exclude (file_no, bad) from typed where not bad")
    columns_read = [column[0] for column in query.description]
    good = {row[0]: dict(zip(columns_read[1:], row[1:], strict=True)) for row in query.fetchall()}
    connection.unregister("raw_rows")
    return refused, good


def by_pydantic(rows):
    refused, good = {}, {}
    for number, row in enumerate(rows):
        try:
            good[number] = contract.ObservationRow.model_validate(row).model_dump()
        except ValidationError as error:
            refused[number] = reasons_of(error, row)
    return refused, good


@settings(max_examples=60, deadline=None)
@given(st.lists(dirty_rows, min_size=1, max_size=40))
def test_both_engines_refuse_the_same_rows_for_the_same_reasons_and_read_the_same_values(rows):
    with duckdb.connect() as connection:
        connection.execute(checks.number_macros())
        sql_refused, sql_good = by_sql(connection, rows)
    pydantic_refused, pydantic_good = by_pydantic(rows)
    assert sql_refused == pydantic_refused
    assert {k: {n: v for n, v in row.items() if v is not None} for k, row in sql_good.items()} == {
        k: {n: v for n, v in row.items() if v is not None} for k, row in pydantic_good.items()
    }


def test_every_column_of_the_contract_is_refused_alike(connection):
    """Each column once with a value that nothing admits, each number once beyond either end of its range."""
    rows = []
    for name, column in contract.columns().items():
        rule = column.rule
        rows.append(make_row(**{name: "x" * 20_001 if rule.kind == "text" else "§"}))
        if isinstance(rule.low, int | Decimal):
            rows += [make_row(**{name: str(rule.low - 1)}), make_row(**{name: str(rule.high + 1)})]
            rows += [make_row(**{name: str(rule.low)}), make_row(**{name: str(rule.high)})]
    sql_refused, _ = by_sql(connection, rows)
    pydantic_refused, _ = by_pydantic(rows)
    assert sql_refused == pydantic_refused
    assert len(sql_refused) >= len(contract.columns())


def test_a_complaint_says_what_to_do():
    for name, column in contract.columns().items():
        for code in {"required", contract.WRONG_KIND.get(column.rule.kind, "too_long"), "not_a_value"}:
            assert contract.complaint(code, name, column.rule).startswith(name)
