"""From staged rows to a finished snapshot: judged, stored, counted in trials, audited."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

import duckdb

from etl import tables, vocabulary
from etl.criteria.catalog import Catalog, catalog_tables
from etl.criteria.judge import JUDGED_COLUMNS, judge_sql
from etl.errors import AuditError
from etl.staging import CORE_COLUMNS
from etl.warehouse import SCHEMA_VERSION, audits, sql


def found(connection: duckdb.DuckDBPyConnection) -> None:
    """Make the empty tables of a new warehouse."""
    connection.execute(sql("marts/tables"))
    core = ", ".join(f"{tables.quoted(name)} {tables.sql_type(name)}" for name in CORE_COLUMNS)
    judged = ", ".join(f"{name} {kind}" for name, kind in JUDGED_COLUMNS.items())
    connection.execute(f"create table recorded (observation_id varchar, {core}, {judged})")


def store(connection: duckdb.DuckDBPyConnection, catalog: Catalog, history: Path, load_id: str, at: datetime, mend: bool) -> None:
    """Judge the reports that are new or replaced, put them in place of their earlier versions, and write the history."""
    connection.execute("create or replace temp table coming (load_id varchar, loaded_at timestamp, mend boolean)")
    connection.execute("insert into coming values ($id, $at, $mend)", {"id": load_id, "at": at, "mend": mend})
    staged = tables.columns_of(connection, "staged")
    tables.add_columns(connection, "recorded", [name for name in staged if name in vocabulary.measures()])
    _write_history(connection, history)
    connection.execute(sql("marts/delete_replaced"))
    # The order of rows means nothing here, and free of it both cores store columns at once.
    connection.execute("set preserve_insertion_order = false")
    present = [name for name in staged if name not in ("raw_id", "file_no")]
    connection.execute(f"insert into recorded by name {judge_sql(catalog, 'arriving', [*present, 'observation_id'])}")
    connection.execute(sql("marts/replace_reports"))
    connection.execute(sql("marts/replace_refused"))
    connection.execute("insert into loads by name select coming.*  exclude (mend), file_counts.* exclude (file_no) from file_counts cross join coming")


def _write_history(connection: duckdb.DuckDBPyConnection, history: Path) -> None:
    connection.execute(
        "create or replace temp view arriving as "
        "select report_id || ':' || observation_no as observation_id, staged.* exclude (raw_id, file_no) from staged "
        "semi join (select report_id from report_status where status <> 'unchanged') as changed using (report_id)"
    )
    connection.execute(
        "copy (select version, coming.load_id, coming.loaded_at, arriving.* from arriving "
        "inner join report_status using (report_id) cross join coming) to $path (format parquet, compression zstd)",
        {"path": str(history)},
    )


def rejudge(connection: duckdb.DuckDBPyConnection, catalog: Catalog) -> int:
    """Judge every observation anew, after the catalog or the firm's settings changed; returns how many verdicts flip."""
    recorded = [name for name in tables.columns_of(connection, "recorded") if name not in JUDGED_COLUMNS]
    connection.execute(f"create or replace temp view unjudged as select {', '.join(map(tables.quoted, recorded))} from recorded")
    connection.execute(f"create table judged_anew as {judge_sql(catalog, 'unjudged', recorded)}")
    flips = connection.execute(
        "select count(*) from recorded inner join judged_anew using (observation_id) "
        "where recorded.verdict is distinct from judged_anew.verdict"
    ).fetchall()
    connection.execute("drop view unjudged; drop table recorded; alter table judged_anew rename to recorded")
    return int(flips[0][0])


def finish(connection: duckdb.DuckDBPyConnection, catalog: Catalog, snapshot: str, at: datetime, version: str) -> None:
    """Build views and marts, write the catalog into the snapshot, and run the audits.

    Raises
    ------
    AuditError
        Where an audit returns rows; the snapshot must then not be published.
    """
    columns = tables.all_columns(tables.columns_of(connection, "recorded"))
    judged = ", ".join(JUDGED_COLUMNS)
    connection.execute(f"create or replace view observations as select observation_id, {columns}, {judged} from recorded")
    connection.execute(sql("marts/outcomes"))
    connection.execute(sql("marts/trials"))
    _write_catalog(connection, catalog)
    connection.execute("create or replace table snapshot_info (snapshot varchar, schema_version integer, created_at timestamp, catalog varchar, code_basis varchar, evenhand_version varchar)")
    connection.execute(
        "insert into snapshot_info values ($snapshot, $schema, $at, $catalog, $basis, $version)",
        {
            "snapshot": snapshot,
            "schema": SCHEMA_VERSION,
            "at": at,
            "catalog": catalog.version,
            "basis": catalog.settings.code_basis,
            "version": version,
        },
    )
    _audit(connection)
    connection.execute("checkpoint")


def _write_catalog(connection: duckdb.DuckDBPyConnection, catalog: Catalog) -> None:
    for name, frame in catalog_tables(catalog).items():
        connection.register("catalog_rows", frame)
        connection.execute(f"create or replace table {tables.quoted(name)} as select * from catalog_rows")
        connection.unregister("catalog_rows")


def _audit(connection: duckdb.DuckDBPyConnection) -> None:
    rows = [(call, verdict, outcome) for (call, verdict), outcome in vocabulary.OUTCOME_OF.items()]
    connection.execute("create or replace temp table outcome_of (call varchar, verdict varchar, outcome varchar)")
    connection.executemany("insert into outcome_of values (?, ?, ?)", rows)
    failures = {}
    for name in audits():
        failed = connection.execute(f"select count(*) from ({sql(name)}) as audit").fetchall()[0][0]
        if failed:
            failures[name.removeprefix("audits/")] = int(failed)
    if failures:
        raise AuditError(failures)
