"""The one door to DuckDB in the dashboard: a published snapshot, opened for reading only.

WarehouseError           anything below, with a sentence and a next step
├── NoWarehouse          there is no such folder
├── EmptyWarehouse       the folder is there, and no snapshot has been published in it
├── SnapshotUnreadable   the pointer or the file that it names cannot be read
└── SchemaMismatch       the snapshot was made by another version of the program
    ├── SnapshotTooNew
    └── SnapshotTooOld
"""

from __future__ import annotations

import os
import re
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import cache
from importlib.resources import files
from pathlib import Path
from types import TracebackType
from typing import Any

import duckdb
import pandas as pd

from dashboard.problems import Problem

SCHEMA_VERSION = 6

#: A reader cannot reach a file, a network or a setting through SQL, whatever a query says.
_READER = {
    "enable_external_access": "false",
    "autoinstall_known_extensions": "false",
    "autoload_known_extensions": "false",
    "allow_community_extensions": "false",
    "memory_limit": "2GB",
    "lock_configuration": "true",
}
_SNAPSHOT_ID = re.compile(r"[A-Za-z0-9][A-Za-z0-9_-]*")
#: Where a query names a part of a query in a file of its own.
_NAMED_PART = re.compile(r"/\* (\w+)\.sql \*/")


class WarehouseError(Problem):
    """Why the warehouse cannot be read, in a sentence, and what to do about it.

    Attributes
    ----------
    sentence, next_step
        Plain words for the reader; ``str()`` of the error is the two together.
    """

    def __init__(self, sentence: str, next_step: str) -> None:
        super().__init__(f"{sentence} {next_step}")
        self.sentence = sentence
        self.next_step = next_step


class NoWarehouse(WarehouseError):
    """There is no folder where the warehouse was looked for."""

    def __init__(self, warehouse: Path) -> None:
        super().__init__(
            f"There is no warehouse at {warehouse}.",
            "Load reports with `evenhand load` or on the page Data, or name another folder with --warehouse.",
        )


class EmptyWarehouse(WarehouseError):
    """The folder is there, and nothing has been published in it."""

    def __init__(self, warehouse: Path) -> None:
        super().__init__(
            f"No reports are loaded in {warehouse}.",
            "Load a folder of reports with `evenhand load`, bring its files to the page Data, or look at the sample "
            "firm with `evenhand demo`.",
        )


class SnapshotUnreadable(WarehouseError):
    """The pointer, or the snapshot that it names, is missing or damaged."""

    def __init__(self, what: str) -> None:
        super().__init__(
            what, "Go back to another snapshot: `evenhand snapshots` lists them, `evenhand rollback ID` chooses one."
        )


class SchemaMismatch(WarehouseError):
    """The snapshot was made by a version of the program whose tables differ from those known here."""


class SnapshotTooNew(SchemaMismatch):
    def __init__(self, snapshot: str, found: int) -> None:
        super().__init__(
            f"Snapshot {snapshot} was made by a newer Evenhand (its tables are version {found}, "
            f"this program reads version {SCHEMA_VERSION}).",
            "Update Evenhand, or go back to an earlier snapshot with `evenhand rollback`.",
        )


class SnapshotTooOld(SchemaMismatch):
    def __init__(self, snapshot: str, found: int) -> None:
        super().__init__(
            f"Snapshot {snapshot} was made by an older Evenhand (its tables are version {found}, "
            f"this program reads version {SCHEMA_VERSION}).",
            "Load any report again with `evenhand load`: a new snapshot is then published.",
        )


@dataclass(frozen=True)
class SnapshotInfo:
    """The facts of a snapshot: which, made when (UTC), with what catalog, for which guideline, by which version."""

    snapshot: str
    schema_version: int
    created_at: datetime
    catalog: str
    code_basis: str | None
    evenhand_version: str


def default_folder() -> Path:
    """The warehouse folder where none is named: ``$EVENHAND_WAREHOUSE``, else ``warehouse`` in the working folder."""
    return Path(os.environ.get("EVENHAND_WAREHOUSE") or "warehouse")


def current_file(warehouse: Path) -> Path:
    """The file of the snapshot that the pointer names now; a cheap key for what is cached.

    Raises
    ------
    NoWarehouse, EmptyWarehouse, SnapshotUnreadable
    """
    if not warehouse.is_dir():
        raise NoWarehouse(warehouse)
    pointer = warehouse / "current"
    if not pointer.exists():
        raise EmptyWarehouse(warehouse)
    try:
        snapshot = pointer.read_text(encoding="utf-8").strip()
    except (OSError, UnicodeDecodeError) as error:
        raise SnapshotUnreadable(f"The pointer {pointer} cannot be read.") from error
    if not _SNAPSHOT_ID.fullmatch(snapshot):
        raise SnapshotUnreadable(f"The pointer {pointer} does not hold the name of a snapshot.")
    file = warehouse / "snapshots" / f"{snapshot}.duckdb"
    if not file.is_file():
        raise SnapshotUnreadable(f"Snapshot {snapshot} is named as the current one, and its file is missing.")
    return file


@dataclass(frozen=True)
class KeptSnapshot:
    """A snapshot of the folder: its id, when its file was finished (UTC), whether it is the one that is read now."""

    snapshot: str
    made_at: datetime
    current: bool


def kept_snapshots(warehouse: Path) -> list[KeptSnapshot]:
    """The snapshots that a warehouse folder keeps, newest first; times as ``evenhand snapshots`` shows them.

    Raises
    ------
    NoWarehouse, EmptyWarehouse, SnapshotUnreadable
    """
    current = current_file(warehouse).stem
    kept = []
    for file in sorted((warehouse / "snapshots").glob("*.duckdb"), reverse=True):
        try:
            finished = file.stat().st_mtime
        except FileNotFoundError:  # a load has just dropped it
            continue
        kept.append(KeptSnapshot(file.stem, datetime.fromtimestamp(finished, UTC), file.stem == current))
    return kept


class Snapshot:
    """One published state of the warehouse, complete and read-only; safe to share between threads.

    Attributes
    ----------
    info
        The facts of the snapshot.
    file
        Its database file.
    """

    def __init__(self, file: Path, connection: duckdb.DuckDBPyConnection, info: SnapshotInfo) -> None:
        self.file = file
        self.info = info
        self._connection = connection

    @classmethod
    def open(cls, warehouse: Path) -> Snapshot:
        """The current snapshot of a warehouse folder.

        Raises
        ------
        WarehouseError
            One of the tree above, with a sentence that can be shown as it is.
        """
        file = current_file(warehouse)
        try:
            connection = duckdb.connect(file, read_only=True, config=dict(_READER))
        except duckdb.Error as error:
            raise SnapshotUnreadable(f"Snapshot {file.stem} cannot be opened.") from error
        try:
            return cls(file, connection, _read_info(connection, file.stem))
        except BaseException:
            connection.close()
            raise

    def query(self, name: str, **parameters: Any) -> pd.DataFrame:
        """The rows of ``queries/<name>.sql`` with its parameters bound.

        Each call has a cursor of its own: one connection that several threads share would hand a reader the rows
        of another.

        Raises
        ------
        SnapshotUnreadable
            The file was damaged or taken away while it was open.
        """
        text = _query_text(name)
        with self._connection.cursor() as cursor:
            try:
                return cursor.execute(text, parameters).df()
            except (duckdb.IOException, duckdb.FatalException) as error:
                raise SnapshotUnreadable(f"Snapshot {self.info.snapshot} can no longer be read.") from error

    def close(self) -> None:
        self._connection.close()

    def __enter__(self) -> Snapshot:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()


@cache
def _query_text(name: str) -> str:
    """The text of a query; what several share (the filters, what is known of a trial) is put in where it is named."""
    text = files("dashboard").joinpath("queries", f"{name}.sql").read_text(encoding="utf-8")
    return _NAMED_PART.sub(lambda named: _query_text(named[1]), text)


def _read_info(connection: duckdb.DuckDBPyConnection, snapshot: str) -> SnapshotInfo:
    try:
        # The version is read by itself first: a snapshot of another version may lack any other column.
        version = connection.execute(_query_text("schema_version")).fetchone()
        if version is None:
            raise SnapshotUnreadable(f"Snapshot {snapshot} is not complete.")
        if version[0] > SCHEMA_VERSION:
            raise SnapshotTooNew(snapshot, version[0])
        if version[0] < SCHEMA_VERSION:
            raise SnapshotTooOld(snapshot, version[0])
        facts = connection.execute(_query_text("snapshot_info")).fetchone()
    except duckdb.Error as error:
        raise SnapshotUnreadable(f"Snapshot {snapshot} is not a snapshot of Evenhand, or is damaged.") from error
    assert facts is not None  # the version came from the same row
    return SnapshotInfo(*facts)
