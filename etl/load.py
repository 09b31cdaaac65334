"""One load from files to a published snapshot: read, check, judge, audit, publish; or publish nothing."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path

import duckdb
from pydantic import BaseModel

from etl import build, tables, vocabulary
from etl.criteria.catalog import Catalog, load_catalog
from etl.criteria.check import check_criterion
from etl.criteria.settings import FirmSettings, read_settings
from etl.input_tables import FURTHER
from etl.layout.apply import Applied
from etl.layout.model import read_layout
from etl.readers import find_sources
from etl.staging import Staging
from etl.warehouse import SCHEMA_VERSION, Warehouse, connect

#: Called with what is being done and how much of the load is done, 0 to 1.
Progress = Callable[[str, float], None]


class FileSummary(BaseModel):
    """One file of a load: its rows, each counted once, or why it was not read."""

    file: str
    rows_read: int
    rows_loaded: int
    rows_replaced: int
    rows_unchanged: int
    rows_rejected: int
    sha256: str
    problem: str | None


class Summary(BaseModel):
    """What a load found and did.

    The ``rows_…`` count this load's rows; ``reports``, ``observations``, the rows of further tables, ``verdicts`` and
    ``outcomes`` (in both, second looks stand above the rules) count what the warehouse holds after it. ``published`` is
    false where nothing new came, or nothing could be published.
    """

    files: int
    rows_read: int
    rows_loaded: int
    rows_replaced: int
    rows_unchanged: int
    rows_rejected: int
    reports: int
    observations: int
    second_looks: int
    rounds: int
    sessions: int
    staff: int
    unknown_columns: list[str]
    notices: list[str]
    verdicts: dict[str, int]
    outcomes: dict[str, int]
    flips: int
    snapshot: str | None
    published: bool
    strict_refused: bool
    catalog: str
    loads: list[FileSummary]

    @property
    def unreadable(self) -> list[FileSummary]:
        """The files that were refused whole."""
        return [file for file in self.loads if file.problem is not None]

    @property
    def exit_code(self) -> int:
        """0 done, refused rows included; 1 nothing could be published, ``--strict`` refused, or a file unreadable."""
        nothing = not self.published and self.rows_unchanged == 0
        return 1 if nothing or self.strict_refused or self.unreadable else 0


@dataclass
class _Load:
    warehouse: Warehouse
    connection: duckdb.DuckDBPyConnection
    catalog: Catalog
    at: datetime
    id: str


def load(
    given: list[str],
    folder: Path,
    mend: bool = False,
    strict: bool = False,
    criteria: Path | None = None,
    layout: Path | None = None,
    progress: Progress = lambda doing, done: None,
) -> Summary:
    """Load reports into a warehouse folder.

    Parameters
    ----------
    given
        Files, folders, globs or zip archives.
    folder
        The warehouse folder; made when it is not there.
    mend
        The rows are single rows for reports that are there; the other rows of these reports stay.
    strict
        Publish nothing where a row or a file is refused.
    criteria
        The firm's own criteria from now on: judged by, and kept in the folder once the snapshot is published.
    layout
        How foreign files map to the contract, settled by a person; see :mod:`etl.layout`.
    progress
        Told what is being done.

    Raises
    ------
    UsageError
        Where a source does not exist.
    CatalogError
        Where a criterion or a setting is wrong.
    LayoutError
        Where the layout is wrong, or something in it is not settled.
    MixedPassesError
        Where reports that list what was passed would stand beside such as leave it to be understood.
    LockedError
        Where another load is running.
    AuditError
        Where the new snapshot contradicts itself.
    """
    settled = None if layout is None else read_layout(layout)
    warehouse = Warehouse(folder)
    catalog = read_catalog(folder, criteria)
    with warehouse.locked(), warehouse.scratch() as scratch:
        sources = find_sources(given, scratch)
        load_id = warehouse.next_id()
        part = folder / "snapshots" / f"{load_id}.duckdb.part"
        is_new = not warehouse.copy_current(part)
        connection = connect(part, scratch)
        try:
            this = _Load(warehouse, connection, catalog, datetime.now(UTC).replace(tzinfo=None, microsecond=0), load_id)
            if is_new:
                build.found(connection)
            build.bring_up(connection)
            reader = None if settled is None else Applied(settled, sources, scratch).read
            staging = Staging(connection, scratch, reader)
            for number, source in enumerate(sources):
                progress(f"reading {Path(source.name).name}", 0.5 * number / len(sources))
                staging.take(source)
            progress("checking", 0.5)
            staging.check(mend)
            staging.compare()
            summary = _build(this, staging, mend, strict, progress)
        finally:
            connection.close()
        if summary.published:
            warehouse.publish(part, _history(this), load_id)
            if criteria is not None:
                warehouse.keep_criteria(criteria)
        else:
            part.unlink(missing_ok=True)
        progress("done", 1.0)
        return summary


def read_catalog(folder: Path, criteria: Path | None = None) -> Catalog:
    """The catalog under the settings of a warehouse folder and its own criteria, or others that are being tried.

    Raises
    ------
    CatalogError
        Where a setting or one of the firm's own criteria is wrong, or such a criterion contradicts itself.
    """
    return checked_catalog(read_settings(folder / "firm.toml"), criteria or folder / "criteria.toml")


def checked_catalog(settings: FirmSettings, own: Path) -> Catalog:
    """The catalog with the firm's own criteria, each of these tried out; without them where there is no such file."""
    catalog = load_catalog(settings=settings, extra=own if own.exists() else None)
    for criterion in catalog.criteria:
        if criterion.local:
            check_criterion(catalog, criterion)
    return catalog


def _history(this: _Load) -> Path:
    return this.warehouse.folder / "history" / f"{this.id}.parquet.part"


def _build(this: _Load, staging: Staging, mend: bool, strict: bool, progress: Progress) -> Summary:
    files = [FileSummary(**row) for row in staging.counts()]
    refused = strict and any(file.rows_rejected or file.problem for file in files)
    changed = any(file.rows_loaded or file.rows_replaced for file in files)
    judged_under = _catalog_of(this.connection)
    stale = judged_under is not None and judged_under != this.catalog.version
    publish = not refused and (changed or stale or _is_older(this.connection))
    flips = 0
    if publish:
        progress("judging", 0.6)
        if stale:
            flips, notice = build.rejudge(this.connection, this.catalog)
            staging.notices += [notice] if notice else []
        notice = build.store(this.connection, this.catalog, _history(this), this.id, this.at, mend)
        staging.notices += [notice] if notice else []
        staging.further.store()
        progress("counting and auditing", 0.8)
        build.finish(this.connection, this.catalog, this.id, this.at, _version())
    summary = _summary(this, staging, files, publish, refused, flips)
    _write_log(this, summary)
    return summary


def _catalog_of(connection: duckdb.DuckDBPyConnection) -> str | None:
    if not tables.exists(connection, "snapshot_info"):
        return None
    return str(connection.execute("select catalog from snapshot_info").fetchall()[0][0])


def _is_older(connection: duckdb.DuckDBPyConnection) -> bool:
    """Whether the snapshot that is built on has the tables of an earlier version."""
    if not tables.exists(connection, "snapshot_info"):
        return False
    found = connection.execute("select schema_version from snapshot_info").fetchall()[0][0]
    return int(found) < SCHEMA_VERSION


def _version() -> str:
    try:
        return version("evenhand")
    except PackageNotFoundError:  # run from a checkout that is not installed
        return "not installed"


def _summary(
    this: _Load, staging: Staging, files: list[FileSummary], published: bool, strict_refused: bool, flips: int
) -> Summary:
    return Summary(
        files=len(files),
        **{
            name: sum(getattr(file, name) for file in files)
            for name in ("rows_read", "rows_loaded", "rows_replaced", "rows_unchanged", "rows_rejected")
        },
        reports=_count(this.connection, "reports"),
        observations=_count(this.connection, "recorded"),
        **{name: _count(this.connection, name) for name in FURTHER},
        unknown_columns=list(staging.unknown_columns),
        notices=staging.notices,
        verdicts=_by(this.connection, "verdict", vocabulary.VERDICTS),
        outcomes=_by(this.connection, "outcome", vocabulary.OUTCOMES),
        flips=flips,
        snapshot=this.id if published else this.warehouse.current,
        published=published,
        strict_refused=strict_refused,
        catalog=this.catalog.version,
        loads=files,
    )


def _count(connection: duckdb.DuckDBPyConnection, table: str) -> int:
    return int(connection.execute(f"select count(*) from {table}").fetchall()[0][0])


def _by(connection: duckdb.DuckDBPyConnection, column: str, ids: tuple[str, ...]) -> dict[str, int]:
    # Before the first snapshot is published there is no view of outcomes, and nothing recorded either.
    table = "outcomes" if tables.exists(connection, "outcomes") else "recorded"
    counted = dict(connection.execute(f"select {column}, count(*) from {table} group by 1").fetchall())
    return {name: int(counted.get(name, 0)) for name in ids}


def _write_log(this: _Load, summary: Summary) -> None:
    """The summary and the refused rows of every load, published or not: ``evenhand rejects`` reads the newest."""
    log = this.warehouse.folder / "log"
    this.connection.execute(
        "copy rejected_rows to $path (format parquet)", {"path": str(log / f"{this.id}.rejects.parquet")}
    ).fetchall()
    text = json.dumps({"loaded_at": this.at.isoformat() + "Z", **summary.model_dump()}, indent=1, ensure_ascii=False)
    (log / f"{this.id}.json").write_text(text, encoding="utf-8")
