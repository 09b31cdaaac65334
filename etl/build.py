"""From staged rows to a finished snapshot: judged, stored, counted in trials, audited."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path
from typing import Any

import duckdb

from etl import tables, vocabulary
from etl.by_comment import compare_comments, judge_by_comments, read_comments
from etl.criteria.catalog import Catalog
from etl.criteria.judge import judge_sql
from etl.criteria.snapshot_tables import catalog_tables
from etl.errors import AuditError
from etl.staging import CORE_COLUMNS
from etl.warehouse import SCHEMA_VERSION, audits, sql

#: What the judge adds to an observation, as stored.
JUDGED_COLUMNS = {
    "verdict": "varchar",
    "criterion_id": "varchar",
    "basis": "varchar",
    "outcome": "varchar",
    "reason": "varchar",
    "missing": "varchar[]",
    "recorded": "varchar",
    "measured": "boolean",
    "second_look": "boolean",
}


def found(connection: duckdb.DuckDBPyConnection) -> None:
    """Make the empty tables of a new warehouse."""
    connection.execute(sql("marts/tables"))
    core = ", ".join(f"{tables.quoted(name)} {tables.sql_type(name)}" for name in CORE_COLUMNS)
    judged = ", ".join(f"{name} {kind}" for name, kind in JUDGED_COLUMNS.items())
    connection.execute(f"create table recorded (observation_id varchar, {core}, {judged})")


def bring_up(connection: duckdb.DuckDBPyConnection) -> None:
    """Add the tables and columns that a new warehouse, or a snapshot of an earlier version, does not have yet."""
    connection.execute(sql("marts/further_tables"))
    tables.add_columns(connection, "recorded", CORE_COLUMNS)
    if tables.exists(connection, "snapshot_info"):
        _run(connection, "marts/first_catalog")


def store(
    connection: duckdb.DuckDBPyConnection, catalog: Catalog, history: Path, load_id: str, at: datetime, mend: bool
) -> str | None:
    """Judge what is new or replaced, put it in place of its earlier versions, and write the history.

    Returns
    -------
    str | None
        Why the comments were not read, where they were not.
    """
    _run(connection, "marts/coming", load_id=load_id, loaded_at=at, mend=mend)
    staged = tables.columns_of(connection, "staged")
    tables.add_columns(connection, "recorded", [name for name in staged if name in vocabulary.measures()])
    # The order of rows means nothing from here on, and free of it both cores write at once.
    connection.execute("set preserve_insertion_order = false")
    _run(connection, "staging/arriving")
    _run(connection, "marts/history", path=str(history))
    _run(connection, "marts/delete_replaced")
    arriving = tables.columns_of(connection, "arriving")
    # Rows of one topic stand together: a batch that takes the same branch of the judge takes a third of the time, now
    # and whenever they are judged or read again.
    by_topic = "(select * from arriving order by topic)"
    judged = judge_sql(catalog, by_topic, arriving, _topics(connection, "arriving"))
    connection.execute(f"insert into recorded by name {judged}").fetchall()
    notice = read_comments(connection, catalog, "arriving")
    _judge_by_comments(connection, catalog, "(select * from recorded semi join arriving using (observation_id))")
    for step in ("replace_reports", "replace_refused", "add_loads"):
        _run(connection, f"marts/{step}")
    return notice


def rejudge(connection: duckdb.DuckDBPyConnection, catalog: Catalog) -> tuple[int, str | None]:
    """Judge every observation anew, after the catalog or a setting changed.

    Returns
    -------
    tuple of int and str or None
        How many verdicts flip; why the comments were not read, where they were not.
    """
    recorded = [name for name in tables.columns_of(connection, "recorded") if name not in JUDGED_COLUMNS]
    names = ", ".join(map(tables.quoted, recorded))
    connection.execute(f"create or replace temp view unjudged as select {names} from recorded")
    judged = judge_sql(catalog, "unjudged", recorded, _topics(connection, "unjudged"))
    connection.execute(f"create table judged_anew as {judged}").fetchall()
    _run(connection, "marts/replace_recorded")
    connection.execute("delete from comment_reads")
    notice = read_comments(connection, catalog, "recorded")
    _judge_by_comments(connection, catalog, "recorded")
    return int(connection.execute(sql("marts/flips")).fetchall()[0][0]), notice


def _judge_by_comments(connection: duckdb.DuckDBPyConnection, catalog: Catalog, judged: str) -> None:
    """Let the comments decide what the recorded measures of these rows leave open."""
    columns = [name for name in tables.columns_of(connection, "recorded") if name not in JUDGED_COLUMNS]
    if judge_by_comments(connection, catalog, judged, judged, columns):
        _run(connection, "marts/judge_by_comment")


def _topics(connection: duckdb.DuckDBPyConnection, relation: str) -> list[str]:
    return [row[0] for row in connection.execute(f"select distinct topic from {relation}").fetchall()]


def _run(connection: duckdb.DuckDBPyConnection, name: str, **parameters: Any) -> None:
    connection.execute(sql(name), parameters).fetchall()


def finish(connection: duckdb.DuckDBPyConnection, catalog: Catalog, snapshot: str, at: datetime, version: str) -> None:
    """Build views and marts, write the catalog into the snapshot, and run the audits.

    Raises
    ------
    AuditError
        Where an audit returns rows; the snapshot must then not be published.
    """
    stored = tables.all_columns(tables.columns_of(connection, "recorded"))
    judged = ", ".join(JUDGED_COLUMNS)
    connection.execute(
        f"create or replace view observations as select observation_id, {stored}, {judged} from recorded"
    )
    compare_comments(connection)
    _write_outcome_of(connection)
    for step in ("standing_looks", "outcomes", "trials"):
        _run(connection, f"marts/{step}")
    _write_catalog(connection, catalog)
    judged_by = {"catalog": catalog.version, "code_basis": catalog.settings.code_basis}
    _run(connection, "marts/add_catalog", load_id=snapshot, at=at, **judged_by)
    _run(
        connection,
        "marts/snapshot_info",
        snapshot=snapshot,
        schema_version=SCHEMA_VERSION,
        created_at=at,
        evenhand_version=version,
        **judged_by,
    )
    _audit(connection)
    connection.execute("checkpoint")


def _write_catalog(connection: duckdb.DuckDBPyConnection, catalog: Catalog) -> None:
    for name, frame in catalog_tables(catalog).items():
        connection.register("catalog_rows", frame)
        connection.execute(f"create or replace table {tables.quoted(name)} as select * from catalog_rows")
        connection.unregister("catalog_rows")


def _write_outcome_of(connection: duckdb.DuckDBPyConnection) -> None:
    rows = [(call, verdict, outcome) for (call, verdict), outcome in vocabulary.OUTCOME_OF.items()]
    connection.execute("create or replace temp table outcome_of (call varchar, verdict varchar, outcome varchar)")
    connection.executemany("insert into outcome_of values (?, ?, ?)", rows)


def _audit(connection: duckdb.DuckDBPyConnection) -> None:
    failures = {}
    for name in audits():
        failed = connection.execute(f"select count(*) from ({sql(name)}) as audit").fetchall()[0][0]
        if failed:
            failures[name.removeprefix("audits/")] = int(failed)
    if failures:
        raise AuditError(failures)
