"""Tables with the contract's columns: their types, and growing a table by the columns that arrive.

A warehouse stores only the columns that some report has filled; views show all of the contract's columns,
null where no report had them. Writing 120 columns of nulls costs more than all else in a load.
"""

from __future__ import annotations

from collections.abc import Collection

import duckdb
import pyarrow as pa

from etl import contract

_TYPES: dict[contract.ColumnKind, str] = {
    "text": "varchar",
    "choice": "varchar",
    "size": "varchar",
    "date": "date",
    "integer": "integer",
    "number": "decimal(12, 6)",
    "yes_no": "boolean",
}
#: The same for rows that Python has typed.
ARROW_TYPES: dict[contract.ColumnKind, pa.DataType] = {
    "text": pa.string(),
    "choice": pa.string(),
    "size": pa.string(),
    "date": pa.date32(),
    "integer": pa.int32(),
    "number": pa.decimal128(12, 6),
    "yes_no": pa.bool_(),
}


def sql_type(column: str) -> str:
    """The SQL type that a column of the contract is stored in."""
    return _TYPES[contract.columns()[column].rule.kind]


def quoted(name: str) -> str:
    """A name as an SQL identifier."""
    return '"' + name.replace('"', '""') + '"'


def columns_of(connection: duckdb.DuckDBPyConnection, table: str) -> list[str]:
    """The names of a table's columns, in order."""
    return [row[0] for row in connection.execute(f"describe {table}").fetchall()]


def add_columns(
    connection: duckdb.DuckDBPyConnection, table: str, columns: Collection[str], as_text: bool = False
) -> None:
    """Add those of the contract's columns that a table does not have yet; ``as_text`` for rows as received."""
    have = set(columns_of(connection, table))
    for name in columns:
        if name not in have:
            kind = "varchar" if as_text else sql_type(name)
            connection.execute(f"alter table {table} add column {quoted(name)} {kind}")


def all_columns(stored: Collection[str]) -> str:
    """A select list of every column of the contract, null where the table does not store it."""
    return ", ".join(
        quoted(name) if name in stored else f"null::{sql_type(name)} as {quoted(name)}" for name in contract.columns()
    )


def received_cells(stored: Collection[str]) -> str:
    """The select of refused rows as they came: rowid, row_no, report_id, observation_no, and all cells as a map."""
    cells = ", ".join(
        f"struct_pack(k := '{name}', v := {quoted(name)})" for name in contract.columns() if name in stored
    )
    return f"""
    select rowid, row_no, report_id, observation_no,
        map_from_entries(list_filter([{cells}], lambda cell: cell.v is not null)) as cells
    from received where rowid in (select raw_id from rejected)
    """


def exists(connection: duckdb.DuckDBPyConnection, table: str) -> bool:
    """Whether the snapshot has a table."""
    query = "select count(*) from information_schema.tables where table_name = $name"
    return bool(connection.execute(query, {"name": table}).fetchall()[0][0])


def differing_rows(stored: Collection[str]) -> str:
    """The select of the incoming rows of known reports whose content is other than it is, or that are not there.

    Compared are the columns that either side stores; the others are null on both.
    """
    compared = (quoted(name) for name in contract.columns() if name in stored)
    differs = " or ".join(f"coming.{name} is distinct from there.{name}" for name in compared)
    return f"""
    select coming.report_id
    from incoming_rows as coming
    semi join reports using (report_id)
    left join current_rows as there
        on coming.report_id = there.report_id and coming.observation_no = there.observation_no
    where there.report_id is null or {differs}
    """
