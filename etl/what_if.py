"""What another guideline or another set of local rules would change, before anybody adopts it. Nothing is published."""

from __future__ import annotations

from collections import Counter
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

import duckdb
from pydantic import ValidationError

from etl import tables, vocabulary
from etl.build import JUDGED_COLUMNS
from etl.by_comment import judge_by_comments
from etl.criteria.catalog import Catalog
from etl.criteria.judge import judge_sql
from etl.criteria.settings import FirmSettings, read_settings
from etl.errors import UsageError, WarehouseError
from etl.load import checked_catalog
from etl.warehouse import Warehouse, connect_to_read, sql


@dataclass(frozen=True)
class Change:
    """Observations of one topic and call whose verdict would flip one way, and on how many decks (of a report)."""

    topic: str
    title: str
    call: str
    before: str
    after: str
    observations: int
    decks: int


@dataclass(frozen=True)
class WhatIf:
    """What would flip in a snapshot under a guideline or rules that are tried.

    Attributes
    ----------
    snapshot, catalog, catalog_tried
        The published snapshot, the catalog that what is tried is compared with (the one that the snapshot was judged
        by; where the program's rules have changed since, these), and the one tried.
    code_basis, criteria
        The guideline that every report was measured against, and the file of local rules; None where not given.
    observations, changes
        How many were judged anew, and what flips, in load-path order of the topics.
    """

    snapshot: str
    catalog: str
    catalog_tried: str
    code_basis: str | None
    criteria: str | None
    observations: int
    changes: tuple[Change, ...]

    @property
    def flips(self) -> int:
        return sum(change.observations for change in self.changes)

    def by_topic(self) -> dict[str, int]:
        """Flips by topic, in load-path order."""
        counted: Counter[str] = Counter()
        for change in self.changes:
            counted[change.topic] += change.observations
        return dict(counted)

    def as_dict(self) -> dict[str, Any]:
        return {**asdict(self), "flips": self.flips, "flips_by_topic": self.by_topic()}


def what_if(folder: Path, code_basis: str | None = None, criteria: Path | None = None) -> WhatIf:
    """Judge the published observations as if every report were measured against a guideline, or by other local rules.

    Parameters
    ----------
    folder
        The warehouse folder.
    code_basis
        ``IRC 2024``, ``DCA 6``: stands in for what the reports name, too. None leaves each report its own.
    criteria
        A file of local rules in place of the firm's own; None leaves these.

    Raises
    ------
    UsageError
        No guideline that the rules know.
    CatalogError
        The file cannot be used.
    WarehouseError
        There is no snapshot, or it cannot be read.
    """
    warehouse = Warehouse(folder) if folder.is_dir() else None
    snapshot = warehouse.current if warehouse else None
    if warehouse is None or snapshot is None:
        raise WarehouseError(f"There is no snapshot in {folder} to try it on; load reports with `evenhand load`.")
    now, tried = _catalog(folder, None, None), _catalog(folder, code_basis, criteria)
    with warehouse.scratch() as scratch, connect_to_read(warehouse.path(snapshot), scratch) as connection:
        judged_by = connection.execute("select catalog from snapshot_info").fetchall()[0][0]
        changed = code_basis is not None or criteria is not None
        # What the program's own rules have changed since that snapshot is no effect of what is tried.
        stale = changed and judged_by != now.version
        if not tables.exists(connection, "second_looks"):  # a snapshot of an earlier version
            connection.execute("create temp table second_looks (observation_id varchar)")
        _judge(connection, "before", now if stale else None, None)
        _judge(connection, "after", tried, code_basis)
        rows = connection.execute(sql("what_if")).fetchall()
        observations = connection.execute("select count(*) from after").fetchall()[0][0]
    known = vocabulary.topics()
    order = list(known)
    changes = [Change(row[0], known[row[0]].title, *row[1:]) for row in rows]
    changes.sort(key=lambda change: order.index(change.topic))
    told = str(criteria) if criteria else None
    compared = now.version if stale else judged_by
    return WhatIf(snapshot, compared, tried.version, code_basis, told, int(observations), tuple(changes))


def _judge(connection: duckdb.DuckDBPyConnection, table: str, catalog: Catalog | None, code_basis: str | None) -> None:
    """A table of the verdicts under a catalog; without one, those that are published."""
    if catalog is None:
        connection.execute(f"create temp view {table} as select observation_id, verdict from recorded")
        return
    columns = [name for name in tables.columns_of(connection, "recorded") if name not in JUDGED_COLUMNS]
    connection.execute(f"create or replace temp view unjudged as {_as_measured_against(code_basis, columns)}")
    topics = [row[0] for row in connection.execute("select distinct topic from unjudged").fetchall()]
    judged = judge_sql(catalog, "unjudged", columns, topics)
    told = "observation_id, criterion_id, verdict"
    connection.execute(f"create temp table {table} as select {told} from ({judged})").fetchall()
    # What the comments say is not read again: another guideline reads them no other way.
    reads = tables.exists(connection, "comment_reads")
    if reads and judge_by_comments(connection, catalog, table, "unjudged", columns):
        connection.execute(
            f"update {table} set verdict = by_comment.verdict from by_comment "
            f"where {table}.observation_id = by_comment.observation_id"
        ).fetchall()


def _catalog(folder: Path, code_basis: str | None, criteria: Path | None) -> Catalog:
    settings = read_settings(folder / "firm.toml")
    if code_basis is not None:
        try:
            settings = FirmSettings.model_validate({**settings.model_dump(), "code_basis": code_basis})
        except ValidationError as error:
            message = error.errors()[0]["msg"].removeprefix("Value error, ")
            raise UsageError(f"{code_basis} is {message}.") from None
    return checked_catalog(settings, criteria or folder / "criteria.toml")


def _as_measured_against(code_basis: str | None, columns: list[str]) -> str:
    names = [tables.quoted(name) for name in columns if code_basis is None or name != "code_basis"]
    guideline = [] if code_basis is None else [f"'{code_basis}' as code_basis"]
    return f"select {', '.join([*names, *guideline])} from recorded"
