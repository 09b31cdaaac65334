"""Rows of the further tables: checked by their models, compared with what is there, put in place of it.

Such tables are short, so that their rows are looked at one by one; a load without any pays nothing for them.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any, Literal

import duckdb
import pyarrow as pa
from pydantic import ValidationError
from pydantic_core import PydanticCustomError

from etl import contract, tables
from etl.input_tables import FURTHER, FurtherTable
from etl.readers.documents import shown, storable
from etl.readers.flat import MENDED_COLUMNS, Flat
from etl.rejects import reasons_of
from etl.warehouse import sql

Status = Literal["new", "replaced", "unchanged", "rejected"]
Key = tuple[Any, ...]


@dataclass
class Row:
    """A row that was read: where it stood, what was received, its typed values, and what became of it.

    ``mended`` says where a row stood that was refused and comes back mended, as file and row.
    """

    table: FurtherTable
    file_no: int
    row_no: int
    received: dict[str, str]
    mended: tuple[str, str] | None
    values: dict[str, Any]
    status: Status = "new"
    reasons: tuple[str, ...] = ()

    @property
    def key(self) -> Key:
        return tuple(self.values[name] for name in self.table.key)

    @property
    def content(self) -> tuple[Any, ...]:
        return tuple(self.values[name] for name in self.table.kept)

    @property
    def is_coming(self) -> bool:
        """Whether it brings something that is not there yet."""
        return self.status in ("new", "replaced")

    def refuse(self, *reasons: str) -> None:
        self.status, self.reasons = "rejected", reasons


class FurtherRows:
    """The rows of further tables of one load.

    Parameters
    ----------
    connection
        A connection to the snapshot that is being built.
    """

    def __init__(self, connection: duckdb.DuckDBPyConnection) -> None:
        self.connection = connection
        self.rows: list[Row] = []

    # ---- reading -----------------------------------------------------------------------------------------------

    def take_flat(self, part: Flat, file_no: int) -> None:
        """Take the rows of a flat table; those with nothing in any column of theirs are no rows."""
        assert part.rows is not None
        for row in part.rows.to_pylist():
            cells = {name: row[name] for name in part.columns}
            if any(contract.as_text(cell) for cell in cells.values()):
                place, number = (row.get(name) for name in MENDED_COLUMNS.values())
                self._take(FURTHER[part.table], file_no, row["row_no"], cells, (place, number) if place else None)

    def take_documents(self, further: dict[str, list[tuple[int, dict[str, Any]]]], file_no: int) -> None:
        """Take the rows that stood as objects in a file of documents."""
        for name, rows in further.items():
            for place, row in rows:
                self._take(FURTHER[name], file_no, place, row, None)

    def _take(
        self, table: FurtherTable, file_no: int, row_no: int, cells: dict[str, Any], mended: tuple[str, str] | None
    ) -> None:
        cells = {name: storable(name, cell) for name, cell in cells.items()}
        received = {name: _as_received(cells[name]) for name in table.kept if cells.get(name) is not None}
        row = Row(table, file_no, row_no, received, mended, {})
        try:
            row.values = table.model.model_validate(cells).model_dump()
        except ValidationError as error:
            row.refuse(*reasons_of(error, cells, table.columns))
        self.rows.append(row)

    # ---- checks ------------------------------------------------------------------------------------------------

    def check(self) -> None:
        """Say of each row whether it is new, replaced, unchanged or refused; after the load's reports are checked."""
        for table, rows in self._by_table():
            there = self._stored(table)
            by_key = _by_key(row for row in rows if row.status != "rejected")
            for same in by_key.values():
                _settle(same, there)
            if table.name == "second_looks":
                self._refuse_unknown_observations([same for same in by_key.values() if same[0].is_coming])
        self._tell()

    def _by_table(self) -> Iterator[tuple[FurtherTable, list[Row]]]:
        for table in FURTHER.values():
            rows = [row for row in self.rows if row.table is table]
            if rows:
                yield table, rows

    def _stored(self, table: FurtherTable) -> dict[Key, tuple[Any, ...]]:
        found = self.connection.execute(f"select {', '.join(table.kept)} from {table.name}").fetchall()
        places = [table.kept.index(name) for name in table.key]
        return {tuple(content[place] for place in places): content for content in found}

    def _refuse_unknown_observations(self, looks: list[list[Row]]) -> None:
        """Looks at what is not there, each with the rows that repeat it.

        A look that is stored already is none of these: it stays, whatever became of its observation since.
        """
        if not looks:
            return
        asked = [{name: same[0].values[name] for name in ("report_id", "observation_no")} for same in looks]
        with self._registered("asked", pa.Table.from_pylist(asked)):
            known = set(self.connection.execute(sql("staging/known_observations")).fetchall())
        for row in (row for same in looks for row in same):
            report, number = row.values["report_id"], row.values["observation_no"]
            if (report, number) not in known:
                row.refuse(
                    f"unknown_observation: report {report} has no observation {number} in the warehouse; "
                    "load the report first, or correct the number"
                )

    def _tell(self) -> None:
        """Put the rows among those that are counted, and the refused ones among the refused."""
        counted = pa.table(
            {
                "file_no": pa.array([row.file_no for row in self.rows if row.status != "rejected"], pa.int32()),
                "status": pa.array([row.status for row in self.rows if row.status != "rejected"], pa.string()),
            }
        )
        self._insert("further_counted", counted)
        refused = [row for row in self.rows if row.status == "rejected"]
        if refused:
            self._insert("rejected", _refused_table(refused))

    # ---- storing -----------------------------------------------------------------------------------------------

    def store(self) -> None:
        """Put what is new in its place in the snapshot; what was outstanding and came again is outstanding no more."""
        for table, rows in self._by_table():
            coming = [_as_stored(row) for row in rows if row.is_coming]
            if coming:
                keys = ", ".join(table.key)
                with self._registered("arrived", _typed_table(table, coming)):
                    self.connection.execute(
                        f"delete from {table.name} where ({keys}) in (select ({keys}) from arrived)"
                    ).fetchall()
                    self.connection.execute(f"insert into {table.name} by name select * from arrived").fetchall()
            self._settle_outstanding(table, rows)

    def _settle_outstanding(self, table: FurtherTable, rows: list[Row]) -> None:
        """Refused rows of earlier loads that came again: with the same key, the same content, or mended."""
        query = sql("marts/outstanding_further")
        outstanding = self.connection.execute(query, {"input_table": table.name}).fetchall()
        keys = {_key_received(table, row.received) for row in rows} - {None}
        contents = {frozenset(row.received.items()) for row in rows}
        mended = {row.mended for row in rows}
        settled = [
            row_id
            for row_id, file, row_no, newest, received in outstanding
            if _key_received(table, received) in keys
            or frozenset(received.items()) in contents
            or (newest and (file, str(row_no)) in mended)
        ]
        if settled:
            self.connection.execute(sql("marts/delete_refused"), {"row_ids": settled}).fetchall()

    # ---- the connection ----------------------------------------------------------------------------------------

    @contextmanager
    def _registered(self, name: str, rows: pa.Table) -> Iterator[None]:
        self.connection.register(name, rows)
        try:
            yield
        finally:
            self.connection.unregister(name)

    def _insert(self, table: str, rows: pa.Table) -> None:
        with self._registered("arrived", rows):
            self.connection.execute(f"insert into {table} by name select * from arrived").fetchall()


def _as_received(cell: Any) -> str:
    """A flat table's text as it came; else as it would be in one."""
    return cell if isinstance(cell, str) and cell.isprintable() else shown(cell)


def _by_key(rows: Iterable[Row]) -> dict[Key, list[Row]]:
    found: dict[Key, list[Row]] = defaultdict(list)
    for row in rows:
        found[row.key].append(row)
    return found


def _settle(same: list[Row], there: dict[Key, tuple[Any, ...]]) -> None:
    """The rows of one key: the first counts, equal ones repeat it; where they differ, which is right is not known."""
    first = same[0]
    if any(row.content != first.content for row in same):
        which = ", ".join(f"{name} {first.values[name]}" for name in first.table.key)
        for row in same:
            row.refuse(
                f"duplicate_row: the row of {which} stands more than once in this load, with different content; "
                "keep the right one"
            )
        return
    for row in same[1:]:
        row.status = "unchanged"
    earlier = there.get(first.key)
    first.status = "new" if earlier is None else "unchanged" if earlier == first.content else "replaced"


def _as_stored(row: Row) -> dict[str, Any]:
    stored = {name: row.values[name] for name in row.table.kept}
    if row.table.name == "second_looks":
        stored["observation_id"] = f"{stored['report_id']}:{stored['observation_no']}"
    return stored


def _typed_table(table: FurtherTable, rows: list[dict[str, Any]]) -> pa.Table:
    kinds = {name: column.rule.kind for name, column in table.columns.items()}
    return pa.table(
        {name: pa.array([row[name] for row in rows], tables.ARROW_TYPES[kinds.get(name, "text")]) for name in rows[0]}
    )


def _refused_table(rows: list[Row]) -> pa.Table:
    """Rows for the work table of refused ones. They name no report there: no report lacks them."""
    cells = pa.map_(pa.string(), pa.string())
    return pa.table(
        {
            "file_no": pa.array([row.file_no for row in rows], pa.int32()),
            "row_no": pa.array([row.row_no for row in rows], pa.int64()),
            "reasons": pa.array([list(row.reasons) for row in rows], pa.list_(pa.string())),
            "received": pa.array([list(row.received.items()) for row in rows], cells),
            "input_table": pa.array([row.table.name for row in rows], pa.string()),
        }
    )


def _key_received(table: FurtherTable, received: dict[str, str]) -> Key | None:
    """The key of a row as it was received; None where part of it is missing or cannot be read."""
    try:
        key = tuple(contract.read(table.columns[name].rule, received.get(name)) for name in table.key)
    except PydanticCustomError:
        return None
    return None if None in key else key
