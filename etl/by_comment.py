"""What the comments say where nothing was recorded: read once a wording, kept beside the rows, judged where it decides.

A value that was read never stands in a column of ``recorded``: it is derived, in ``comment_reads``, and read anew when
the reader's rules change (their version is part of the catalog's). A recorded measure stands above it. A row that the
recorded measures leave open is judged again with what its comment says in the place of what is blank.
"""

from __future__ import annotations

import os
from collections.abc import Collection, Iterable
from concurrent.futures import ProcessPoolExecutor
from multiprocessing import get_context
from typing import Any

import duckdb
import pyarrow as pa

from etl import tables, vocabulary
from etl.criteria.catalog import Catalog
from etl.criteria.judge import judge_sql
from etl.warehouse import sql

#: From so many wordings on they are read on every core; before, another process takes longer to begin than it saves.
_WORTH_MORE_CORES = 2_000
#: So many are read in less than a minute, without being asked for.
_READ_UNASKED = 20_000
_TOO_MANY = (
    "over {:,} different comments were left unread, since that takes long; write comments = 'decide' in firm.toml "
    "to have them read, or comments = 'unread'"
)
_WORDINGS = pa.schema(
    [
        ("wording", pa.int64()),
        ("measure", pa.string()),
        ("value", pa.string()),
        ("text", pa.string()),
        ("start", pa.int32()),
        ("end", pa.int32()),
        ("rule", pa.string()),
    ]
)


def read_comments(connection: duckdb.DuckDBPyConnection, catalog: Catalog, relation: str) -> str | None:
    """Add to ``comment_reads`` what the comments of a relation's rows say, unless the firm wants them unread.

    Parameters
    ----------
    connection
        A connection to the snapshot that is being built.
    relation
        A table or view with observation_id, topic and comment.

    Returns
    -------
    str | None
        Why they were not read: so many take long, and the firm has not said that it wants them read.
    """
    if catalog.settings.comments == "unread":
        return None
    connection.execute(f"create or replace temp view to_read as select observation_id, topic, comment from {relation}")
    count = int(connection.execute(sql("staging/how_many_wordings")).fetchall()[0][0])
    if catalog.settings.comments is None and count > _READ_UNASKED:
        return _TOO_MANY.format(_READ_UNASKED)
    if not count:
        return None
    connection.execute(sql("staging/wordings"))
    wordings = connection.execute("select wording, topic, comment from wordings order by wording").fetchall()
    connection.register("wordings_read", _read(wordings))
    connection.execute(sql("marts/add_comment_reads"))
    connection.unregister("wordings_read")
    return None


def _read(wordings: list[tuple[int, str, str]]) -> pa.Table:
    """Every value that the wordings state, as rows of ``_WORDINGS``."""
    rows = [row for own in _on_all_cores(wordings) for row in own]
    columns = zip(*rows, strict=True) if rows else ([] for _ in _WORDINGS)
    return pa.table([pa.array(column, kind.type) for column, kind in zip(columns, _WORDINGS, strict=True)], _WORDINGS)


def _on_all_cores(wordings: list[tuple[int, str, str]]) -> Iterable[list[tuple[Any, ...]]]:
    cores = len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1
    if len(wordings) < _WORTH_MORE_CORES or cores == 1:
        return map(_read_one, wordings)
    # Spawned: a process forked from one that holds a database's threads may wait for ever.
    with ProcessPoolExecutor(cores, mp_context=get_context("spawn")) as pool:
        return list(pool.map(_read_one, wordings, chunksize=500))


def _read_one(wording: tuple[int, str, str]) -> list[tuple[Any, ...]]:
    from etl.comments.reader import read_comment  # its rules are read only where there is a comment

    number, topic, comment = wording
    return [
        (number, read.measure, value_as_text(read.value), read.text, read.start, read.end, read.rule)
        for read in read_comment(comment, topic)
    ]


def value_as_text(value: object) -> str:
    """A value as ``comment_reads`` holds it: ``0.625``, ``2x8``, ``true``."""
    if isinstance(value, bool):
        return "true" if value else "false"
    text = str(value)
    return text.rstrip("0").rstrip(".") if "." in text else text


def judge_by_comments(
    connection: duckdb.DuckDBPyConnection, catalog: Catalog, judged: str, facts: str, columns: Collection[str]
) -> bool:
    """Judge the rows that their recorded measures leave open with what their comments say.

    Makes the temporary table ``by_comment``: the open rows to which a comment adds a measure, with that measure in its
    place and the columns of the judge; ``basis`` is ``comment`` where a verdict was found.

    Parameters
    ----------
    connection
        A connection to a snapshot with ``comment_reads``.
    catalog
        The criteria.
    judged
        The rows as judged by what was recorded: observation_id, criterion_id, topic.
    facts
        The rows with their recorded columns.
    columns
        The columns of ``facts``.

    Returns
    -------
    bool
        Whether there is such a row and the firm lets comments decide; ``by_comment`` is made only then.
    """
    if catalog.settings.comments not in (None, "decide"):
        return False
    connection.execute(f"create or replace temp view judged_rows as select observation_id, criterion_id from {judged}")
    connection.execute(sql("staging/open_reads"))
    read = [row[0] for row in connection.execute("select distinct measure from open_reads").fetchall()]
    if not read:
        return False
    connection.execute(f"create or replace temp table filled as {_filled(facts, columns, read)}").fetchall()
    topics = [row[0] for row in connection.execute("select distinct topic from filled").fetchall()]
    every = [*columns, *(name for name in read if name not in columns)]
    anew = judge_sql(catalog, "filled", every, topics)
    connection.execute(f"create or replace temp table by_comment as {anew}").fetchall()
    connection.execute("update by_comment set basis = 'comment' where basis is not null").fetchall()
    return True


def _filled(facts: str, columns: Collection[str], read: list[str]) -> str:
    """The select of the open rows with the measures that were read where none was recorded."""
    by_row = ", ".join(
        f"max(value) filter (where measure = '{name}')::{tables.sql_type(name)} as {tables.quoted(f'{name}__')}"
        for name in read
    )
    kept = ", ".join(f"facts.{tables.quoted(name)}" for name in columns if name not in read)
    put_in = ", ".join(
        f"coalesce(facts.{tables.quoted(name)}, {tables.quoted(f'{name}__')}) as {tables.quoted(name)}"
        if name in columns
        else f"{tables.quoted(f'{name}__')} as {tables.quoted(name)}"
        for name in read
    )
    return f"""
    select {kept}, {put_in}
    from {facts} as facts
    inner join (select observation_id, {by_row} from open_reads group by observation_id) as said using (observation_id)
    """


def compare_comments(connection: duckdb.DuckDBPyConnection) -> None:
    """Make ``comment_conflicts``: what a comment says other than what was recorded beside it."""
    known = vocabulary.measures()
    stored = [name for name in tables.columns_of(connection, "recorded") if name in known]
    listed = ", ".join(f"{tables.quoted(name)}::varchar as {tables.quoted(name)}" for name in stored)
    empty = "select null::varchar as observation_id, null::varchar as measure, null::varchar as recorded where false"
    there = (
        f"from (unpivot (select observation_id, {listed} from recorded semi join comment_reads using (observation_id))"
        f" on {', '.join(map(tables.quoted, stored))} into name measure value recorded)"
    )
    connection.execute(f"create or replace temp view recorded_values as {there if stored else empty}")
    connection.execute(sql("marts/comment_conflicts"))
