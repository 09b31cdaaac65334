"""From files to rows that agree with each other: received as text, typed and checked, refused with reasons.

The work tables are temporary tables on the connection of the load (``sql/staging/tables.sql``): ``received`` holds
rows as they came, ``staged`` typed rows, ``rejected`` what was refused.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Any

import duckdb
import pyarrow as pa
from pydantic import ValidationError

from etl import checks, contract, private, tables
from etl.errors import MixedPassesError, SourceError
from etl.further_rows import FurtherRows
from etl.input_tables import FURTHER, OBSERVATIONS
from etl.layout.aliases import is_private
from etl.readers import Flat, Source, read
from etl.readers.delimited import read_row_by_row
from etl.readers.documents import Documents, shown, storable
from etl.readers.flat import Broken
from etl.rejects import reasons_of
from etl.vocabulary import measures
from etl.warehouse import sql

#: Every stored table has these columns; measures are added as reports bring them.
CORE_COLUMNS = tuple(name for name in contract.columns() if name not in measures())
#: The work table of refused rows, as Arrow has it.
_REJECTED = pa.schema(
    {
        "raw_id": pa.int64(),
        "file_no": pa.int32(),
        "row_no": pa.int64(),
        "report_id": pa.string(),
        "observation_no": pa.string(),
        "reasons": pa.list_(pa.string()),
        "received": pa.map_(pa.string(), pa.string()),
        "input_table": pa.string(),
    }
)


class Staging:
    """The work tables of one load.

    Parameters
    ----------
    connection
        A connection to the snapshot that is being built.
    scratch
        A folder for temporary files.
    reader
        What reads a file in another way than by the contract: a layout.
    """

    def __init__(
        self,
        connection: duckdb.DuckDBPyConnection,
        scratch: Path,
        reader: Callable[[Source], list[Flat] | Documents] | None = None,
    ) -> None:
        self.connection = connection
        self.reader = reader or (lambda source: read(source.path, scratch) if source.path else [])
        self.unknown_columns: dict[str, None] = {}
        self.notices: list[str] = []
        self._n_received = 0
        self._n_files = 0
        self._documents: list[pa.Table] = []
        self.further = FurtherRows(connection)
        connection.execute(sql("staging/tables"))
        connection.execute(checks.number_macros())
        tables.add_columns(connection, "received", CORE_COLUMNS, as_text=True)

    # ---- reading -----------------------------------------------------------------------------------------------

    def take(self, source: Source) -> None:
        """Read one file into ``received``; where the whole file cannot be read, note why in ``files``."""
        try:
            if source.problem is not None or source.path is None:
                raise SourceError(source.problem or "it cannot be read")
            found = self.reader(source)
        except OSError as error:
            self._new_file(source, problem=f"it cannot be opened ({error.strerror})")
            return
        except SourceError as error:
            self._new_file(source, problem=str(error))
            return
        if found == []:  # nothing but rows that are joined to those of other files
            self._new_file(source)
        for part in [found] if isinstance(found, Documents) else found:
            self._note(source, part)
            try:
                self._take_part(source, part)
            except SourceError as error:
                self._new_file(source, problem=str(error))

    def _note(self, source: Source, part: Flat | Documents) -> None:
        self.unknown_columns.update(dict.fromkeys(part.unknown))
        self.notices += [
            f"{source.name}: {notice}" for notice in [*part.notices, *_not_kept(part), *_not_looked_for(part)]
        ]

    def _new_file(self, source: Source, part: str | None = None, problem: str | None = None) -> int:
        self._n_files += 1
        shown_as = f"{source.name} [{part}]" if part else source.name
        self._run(
            "raw/file",
            file_no=self._n_files,
            file=source.name,
            shown=shown_as,
            first=self._n_received,
            sha256=source.digest(),
            problem=problem,
        )
        return self._n_files

    def _take_part(self, source: Source, part: Flat | Documents) -> None:
        if isinstance(part, Documents):
            file_no = self._new_file(source)
            self._take_documents(part, file_no)
            self.further.take_documents(part.further, file_no)
            self._refuse_broken(part.broken, file_no, OBSERVATIONS)
        elif part.table == OBSERVATIONS:
            part = self._take_flat(source, part)
            self._refuse_broken(part.broken, self._n_files, OBSERVATIONS)
        else:
            file_no = self._new_file(source, part.part)
            self.further.take_flat(part, file_no)
            self._refuse_broken(part.broken, file_no, part.table)

    def _take_flat(self, source: Source, part: Flat) -> Flat:
        tables.add_columns(self.connection, "received", part.columns, as_text=True)
        if part.rows is None:
            if self._take_in_bulk(part):
                self._new_file(source, part.part)
                self._count_received()
                return part
            part = read_row_by_row(part)
        self._new_file(source, part.part)
        assert part.rows is not None
        self._insert(part.rows, document=False)
        return part

    def _take_in_bulk(self, part: Flat) -> bool:
        """Let DuckDB read a delimited file; False where it finds something odd, or not as many rows as lines.

        The count is our own: a row that the fast reader passes over must not be lost in silence.
        """
        self.connection.execute("begin")
        try:
            self._run(
                "raw/delimited",
                file_no=self._n_files + 1,
                path=part.path,
                delimiter=part.delimiter,
                columns=dict.fromkeys(part.header, "VARCHAR"),
            )
            complete = self._one("select count(*) from received") - self._n_received == part.n_lines
        except duckdb.Error:
            complete = False
        self.connection.execute("commit" if complete else "rollback")
        return complete

    def _insert(self, rows: pa.Table, document: bool) -> None:
        self.connection.register("arrived", rows)
        self._run("raw/arrived", file_no=self._n_files, document=document)
        self.connection.unregister("arrived")
        self._count_received()

    def _count_received(self) -> None:
        self._n_received = self._one("select count(*) from received")

    def _run(self, name: str, **parameters: Any) -> None:
        self.connection.execute(sql(name), parameters).fetchall()

    def _one(self, query: str) -> Any:
        return self.connection.execute(query).fetchall()[0][0]

    def _refuse_broken(self, broken: Iterable[Broken], file_no: int, table: str) -> None:
        refused = []
        for item in broken:
            # A row of a further table names no report here: no report lacks it.
            cells = {name: private.stored(name, cell) for name, cell in item.received.items()}
            names = cells if table == OBSERVATIONS else {}
            received = [(name, cells[name]) for name in cells if table == OBSERVATIONS or name in FURTHER[table].kept]
            which = {name: names.get(name) for name in ("report_id", "observation_no")}
            row = {"file_no": file_no, "row_no": item.row, "reasons": [item.reason], "received": received}
            refused.append(row | which | {"input_table": table})
        self._refuse(refused)

    def _refuse(self, rows: list[dict[str, Any]]) -> None:
        """Put rows among the refused, all at once: one by one a thousand take a second."""
        if rows:
            self.connection.register("arrived", pa.Table.from_pylist(rows, _REJECTED))
            self._run("raw/refused")
            self.connection.unregister("arrived")

    # ---- documents, through pydantic ---------------------------------------------------------------------------

    def _take_documents(self, found: Documents, file_no: int) -> None:
        for _, row in found.rows:
            _mask_document(row)
        names = [name for name in contract.columns() if any(name in row for _, row in found.rows)]
        if not names:
            return
        tables.add_columns(self.connection, "received", names, as_text=True)
        first = self._n_received
        columns = {name: [_cell(row, name) for _, row in found.rows] for name in names}
        places = pa.array([place for place, _ in found.rows], pa.int64())
        self._insert(pa.table({"row_no": places, **{k: pa.array(v, pa.string()) for k, v in columns.items()}}), True)
        good: list[tuple[int, contract.ObservationRow]] = []
        refused: list[dict[str, Any]] = []
        for raw_id, (place, row) in enumerate(found.rows, first):
            try:
                good.append((raw_id, contract.ObservationRow.model_validate(row)))
            except ValidationError as error:
                names_of = {each: _cell(row, each) for each in ("report_id", "observation_no")}
                where = {"raw_id": raw_id, "file_no": file_no, "row_no": place, "input_table": OBSERVATIONS}
                refused.append(names_of | where | {"reasons": reasons_of(error, row)})
        self._refuse(refused)
        self._documents.append(_typed_table(good, file_no, names))

    # ---- checks ------------------------------------------------------------------------------------------------

    def check(self, mend: bool = False) -> None:
        """Type and check all that was received, refuse what breaks the contract or disagrees with its report."""
        self._mask()
        self._check_rows()
        if mend:
            self._stand_beside_current()
        self._agree("report")
        self._run("staging/default_deck")
        self._agree("deck")
        self._set_repeats_aside()

    def _mask(self) -> None:
        """Take e-mail, phone, addresses and names out of sentences and ids; not even a refused row keeps them."""
        told = dict.fromkeys(private.MASKED_COLUMNS, private.masked_sql)
        without = told | dict.fromkeys(private.CODED_COLUMNS, private.coded_sql)
        suspect = {name: private.suspect_sql(tables.quoted(name)) for name in without}
        # One look at all columns: most files hold nothing private, and what takes it out is long to plan.
        asked = ", ".join(f"bool_or({condition})" for condition in suspect.values())
        found = self.connection.execute(f"select {asked} from received").fetchall()[0]
        for name, there in zip(suspect, found, strict=True):
            if there:
                column = tables.quoted(name)
                self.connection.execute(f"update received set {column} = {without[name](column)} where {suspect[name]}")

    def _mask_refused(self, present: list[str]) -> None:
        """A refused row shows what was received: a day that holds a phone number is shown without it."""
        names = [name for name in present if contract.columns()[name].rule.kind != "text"]
        masks = ", ".join(f"{column} = {private.masked_sql(column)}" for column in map(tables.quoted, names))
        suspect = " or ".join(private.suspect_sql(column) for column in map(tables.quoted, names))
        self.connection.execute(
            f"update received set {masks} where rowid in (select raw_id from bad_rows) and ({suspect})"
        )

    def _check_rows(self) -> None:
        received = tables.columns_of(self.connection, "received")
        present = [name for name in contract.columns() if name in received]
        self._run("staging/raw_rows")
        self.connection.execute(f"create temp table staged as {checks.typed_sql(present)}")
        self._run("staging/bad_rows")
        if self._one("select count(*) from bad_rows"):
            self._mask_refused(present)
            self._view("bad_reasons", checks.reasons_sql(present))
            self._run("staging/refuse_bad_rows")
            self._run("staging/drop_rejected")
        self.connection.execute("alter table staged drop column bad")
        for table in self._documents:
            self.connection.register("arrived", table)
            self.connection.execute("insert into staged by name select * from arrived")
            self.connection.unregister("arrived")

    def _stand_beside_current(self) -> None:
        stored = [name for name in tables.columns_of(self.connection, "recorded") if name in contract.columns()]
        tables.add_columns(self.connection, "staged", stored)
        self._view("kept_rows", f"select {', '.join(map(tables.quoted, stored))} from recorded")
        self._run("staging/stand_beside_current")

    def _agree(self, level: str) -> None:
        """Refuse what disagrees on the facts of its report or deck, and fill facts that only some rows have."""
        self._run(f"staging/{level}_facts")
        if self._one(f"select count(*) from {level}_facts where len(disagrees) > 0"):
            self._run(f"staging/refuse_{level}_disagreements")
            self._run("staging/drop_rejected")
            self._run(f"staging/{level}_facts")
        if self._one(f"select count(*) from {level}_facts where partial"):
            self._run(f"staging/fill_{level}_facts")

    def _set_repeats_aside(self) -> None:
        self._run("staging/refuse_collisions")
        self._run("staging/drop_rejected")
        self._run("staging/repeats")
        self._run("staging/set_repeats_aside")
        if self._one("select count(*) from repeats"):
            self._run("staging/refuse_repeats")
            self._run("staging/drop_rejected")
            self._run("staging/drop_set_aside")

    # ---- against the warehouse ---------------------------------------------------------------------------------

    def compare(self) -> None:
        """Say of each report whether it is new, replaced or unchanged, of other rows likewise, and list the refused."""
        coming, there = (tables.columns_of(self.connection, name) for name in ("staged", "recorded"))
        self._view("incoming_rows", f"select {tables.all_columns(coming)} from staged")
        self._view(
            "current_rows",
            f"select {tables.all_columns(there)} from recorded "
            "semi join (select distinct report_id from staged) as came using (report_id)",
        )
        self._view("differing_rows", tables.differing_rows({*coming, *there}))
        self._run("staging/report_status")
        self.further.check()
        self._view("received_cells", tables.received_cells(tables.columns_of(self.connection, "received")))
        self.connection.execute(f"create temp table rejected_rows as {sql('staging/rejected_rows')}")
        self.connection.execute(f"create temp table file_counts as {sql('staging/file_counts')}")

        if self._one(f"select count(*) from ({sql('staging/kinds_of_passes')})") > 1:
            raise MixedPassesError

    def _view(self, name: str, query: str) -> None:
        self.connection.execute(f"create or replace temp view {name} as {query}")

    def counts(self) -> list[dict[str, Any]]:
        """One mapping a file: file, its rows read, loaded, replaced, unchanged and rejected, sha256, problem."""
        query = "select * exclude (file_no) from file_counts order by file_no"
        counted = self.connection.execute(query)
        names = [column[0] for column in counted.description]
        return [dict(zip(names, row, strict=True)) for row in counted.fetchall()]


def _not_looked_for(part: Flat | Documents) -> list[str]:
    """What to know where columns of people are left out by their name alone: only a layout reads whom they name."""
    labels = ", ".join(label for label in part.unknown if is_private(label))
    told = "is not read, so its names are not looked for in comments; by a layout they are (`evenhand layout suggest`)"
    return [f"{labels} {told}"] if labels else []


def _not_kept(part: Flat | Documents) -> list[str]:
    """What a file holds that is read and stored nowhere."""
    if isinstance(part, Flat):
        there = {part.table: set(part.columns)} if part.table in FURTHER else {}
    else:
        there = {table: {name for _, row in rows for name in row} for table, rows in part.further.items()}
    left_out = [name for table, names in there.items() for name in sorted(names & FURTHER[table].not_kept)]
    return [f"the column {name} is known, and its content is not stored" for name in left_out]


def _mask_document(row: dict[str, Any]) -> None:
    """Mask sentences, ids, and whatever stands where a day, a number or a word of a list should."""
    row.update({name: storable(name, value) for name, value in row.items()})


def _cell(row: dict[str, Any], name: str) -> str | None:
    return None if row.get(name) is None else shown(row[name])


def _typed_table(rows: list[tuple[int, contract.ObservationRow]], file_no: int, names: list[str]) -> pa.Table:
    columns: dict[str, pa.Array] = {
        "raw_id": pa.array([raw_id for raw_id, _ in rows], pa.int64()),
        "file_no": pa.array([file_no] * len(rows), pa.int32()),
    }
    for name in names:
        kind = tables.ARROW_TYPES[contract.columns()[name].rule.kind]
        columns[name] = pa.array([getattr(row, name) for _, row in rows], kind)
    return pa.table(columns)
