"""The warehouse folder: pointer, snapshots, history, one load at a time; built aside, published by one atomic step.

DIR/current              the id of the published snapshot, as text
DIR/snapshots/ID.duckdb  complete, read-only states; the last three are kept
DIR/history/ID.parquet   what each load brought: every version of every report
DIR/log/ID.json          the summary of each load; ID.rejects.parquet its refused rows
DIR/firm.toml            the firm's settings, if there are any
DIR/criteria.toml        the firm's own criteria, if there are any
DIR/lock                 held by the load that is running
"""

from __future__ import annotations

import os
import shutil
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import cache
from importlib.resources import files
from pathlib import Path

import duckdb
from filelock import FileLock, Timeout

from etl.errors import LockedError, UsageError, WarehouseError

#: Raised by one when a snapshot's tables change so that an older dashboard cannot read them.
SCHEMA_VERSION = 6
KEPT_SNAPSHOTS = 3
#: What a load may hold in memory before it moves work to disk.
MEMORY_LIMIT = "1GB"


@cache
def sql(name: str) -> str:
    """The text of ``etl/sql/NAME.sql``."""
    return files("etl").joinpath("sql", f"{name}.sql").read_text(encoding="utf-8")


def audits() -> list[str]:
    """The names of the selects that must return nothing before a snapshot is published."""
    folder = files("etl").joinpath("sql", "audits")
    return sorted(f"audits/{entry.name.removesuffix('.sql')}" for entry in folder.iterdir())


@dataclass(frozen=True)
class Snapshot:
    """A published state: its id, when it was made (UTC), and whether it is the one that is read now."""

    id: str
    made_at: datetime
    current: bool


class Warehouse:
    """A warehouse folder; made when it is not there."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        try:
            for part in ("snapshots", "history", "log"):
                (folder / part).mkdir(parents=True, exist_ok=True)
        except OSError as error:
            raise WarehouseError(f"The warehouse folder {folder} cannot be made: {error.strerror}.") from None

    @property
    def current(self) -> str | None:
        """The id of the published snapshot; None before the first load."""
        try:
            return (self.folder / "current").read_text(encoding="utf-8").strip() or None
        except FileNotFoundError:
            return None

    def path(self, snapshot: str) -> Path:
        return self.folder / "snapshots" / f"{snapshot}.duckdb"

    @contextmanager
    def locked(self) -> Iterator[None]:
        """Hold the folder for one load; the system lets go of it if the process dies.

        Raises
        ------
        LockedError
            Where another load holds it.
        """
        lock = FileLock(self.folder / "lock", timeout=0)
        try:
            lock.acquire()
        except Timeout:
            raise LockedError(
                f"Another load is running in {self.folder}. Wait until it is done, then run this again."
            ) from None
        try:
            yield
        finally:
            lock.release()

    @contextmanager
    def scratch(self) -> Iterator[Path]:
        """A folder for one load's temporary files, removed afterwards; so are those of a load that was killed."""
        for left in self.folder.glob("scratch-*"):
            shutil.rmtree(left, ignore_errors=True)
        for left in self.folder.glob("*/*.part*"):
            left.unlink(missing_ok=True)
        folder = Path(tempfile.mkdtemp(prefix="scratch-", dir=self.folder))
        try:
            yield folder
        finally:
            shutil.rmtree(folder, ignore_errors=True)

    def next_id(self) -> str:
        """One above the highest id ever used here, so that no history is written over after a rollback."""
        folders = (self.folder / part for part in ("snapshots", "history", "log"))
        used = [path.name.split(".")[0] for folder in folders for path in folder.iterdir()]
        return f"{max((int(name) for name in used if name.isdigit()), default=0) + 1:04d}"

    def copy_current(self, target: Path) -> bool:
        """Copy the published snapshot aside to build on; False where there is none yet."""
        current = self.current
        if current is None:
            if (self.folder / "current").exists():
                raise WarehouseError(
                    f"The pointer {self.folder / 'current'} names no snapshot. "
                    "Choose one with `evenhand snapshots` and `evenhand rollback ID`."
                )
            return False
        try:
            shutil.copyfile(self.path(current), target)
        except FileNotFoundError:
            raise WarehouseError(
                f"The pointer names snapshot {current}, but {self.path(current)} is not there. "
                "Choose another with `evenhand snapshots` and `evenhand rollback ID`."
            ) from None
        return True

    def publish(self, built: Path, history: Path, snapshot: str) -> None:
        """Move a finished snapshot and its history into place, then turn the pointer; one atomic step decides."""
        os.replace(history, self.folder / "history" / f"{snapshot}.parquet")
        os.replace(built, self.path(snapshot))
        self._point_to(snapshot)
        self._drop_old()

    def keep_criteria(self, given: Path) -> None:
        """Keep a file as the firm's own criteria, from which every later load judges."""
        part = self.folder / "criteria.toml.part"
        shutil.copyfile(given, part)
        os.replace(part, self.folder / "criteria.toml")

    def _point_to(self, snapshot: str) -> None:
        part = self.folder / "current.part"
        with part.open("w", encoding="utf-8") as file:
            file.write(snapshot + "\n")
            file.flush()
            os.fsync(file.fileno())
        os.replace(part, self.folder / "current")

    def _drop_old(self) -> None:
        kept = sorted((self.folder / "snapshots").glob("*.duckdb"))[-KEPT_SNAPSHOTS:]
        for path in (self.folder / "snapshots").glob("*.duckdb"):
            if path not in kept and path != self.path(self.current or ""):
                try:
                    path.unlink()
                except PermissionError:  # still open in a dashboard on Windows; the next load tries again
                    continue

    def snapshots(self) -> list[Snapshot]:
        """The snapshots kept, oldest first."""
        paths = sorted((self.folder / "snapshots").glob("*.duckdb"))
        return [
            Snapshot(path.stem, datetime.fromtimestamp(path.stat().st_mtime, UTC), path.stem == self.current)
            for path in paths
        ]

    def rollback(self, snapshot: str) -> None:
        """Turn the pointer to another kept snapshot; nothing is deleted.

        Raises
        ------
        UsageError
            Where that snapshot is not kept here.
        """
        known = [kept.id for kept in self.snapshots()]
        if snapshot not in known:
            raise UsageError(f"There is no snapshot {snapshot}. Kept are: {', '.join(known) or 'none'}.")
        with self.locked():
            self._point_to(snapshot)


def connect(path: Path, scratch: Path) -> duckdb.DuckDBPyConnection:
    """Open a snapshot file to build on, within a bounded memory.

    Raises
    ------
    WarehouseError
        Where the file is damaged.
    """
    try:
        connection = _connect(path, scratch)
    except duckdb.IOException:
        raise WarehouseError(
            "The snapshot that is read now is damaged. Go back to another with `evenhand snapshots` and "
            "`evenhand rollback ID`, then load again."
        ) from None
    set_up(connection)
    return connection


def connect_to_read(path: Path, scratch: Path) -> duckdb.DuckDBPyConnection:
    """Open a published snapshot to try something on: it cannot be changed.

    Raises
    ------
    WarehouseError
        Where the file is damaged or gone.
    """
    try:
        connection = duckdb.connect(
            str(path), read_only=True, config={"memory_limit": MEMORY_LIMIT, "temp_directory": str(scratch)}
        )
    except duckdb.IOException:
        raise WarehouseError(f"Snapshot {path.stem} cannot be read. `evenhand snapshots` lists the others.") from None
    set_up(connection)
    return connection


def set_up(connection: duckdb.DuckDBPyConnection) -> None:
    """How the loader and the judge work with a connection, whatever its memory."""
    connection.execute("set enable_progress_bar = false")
    # The judge's select is long, and looking for parts that stand in it twice takes longer than it saves.
    connection.execute("set disabled_optimizers = 'common_subexpressions'")


def _connect(path: Path, scratch: Path) -> duckdb.DuckDBPyConnection:
    return duckdb.connect(
        str(path),
        config={
            "memory_limit": MEMORY_LIMIT,
            "temp_directory": str(scratch / "spill"),
            "autoinstall_known_extensions": False,
            "autoload_known_extensions": False,
            "allow_community_extensions": False,
        },
    )
