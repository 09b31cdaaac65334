"""How long it takes to judge a million stored observations over all topics, against copying the same rows.

    python tests/bench/judge_a_million.py [WAREHOUSE]

Without a warehouse the sample firm is copied 28 times over and loaded first. The rows are those of the warehouse as it
keeps them, all their columns; both are timed in turn into a database file, five times each.
"""

from __future__ import annotations

import json
import sys
import tempfile
import time
from pathlib import Path
from statistics import median

import duckdb

sys.path.insert(0, str(Path(__file__).parents[2]))

RUNS = 5
JUDGED = "observation_id, verdict, criterion_id, basis, outcome, reason, missing, recorded, measured, second_look"


def main(warehouse: Path | None) -> None:
    with tempfile.TemporaryDirectory() as name:
        print(json.dumps(_times(warehouse or _loaded(Path(name)), Path(name)), indent=2))


def _times(warehouse: Path, scratch: Path) -> dict[str, object]:
    from etl import tables
    from etl.build import JUDGED_COLUMNS
    from etl.criteria.catalog import load_catalog
    from etl.criteria.judge import judge_sql
    from etl.warehouse import set_up

    file = warehouse / "snapshots" / f"{(warehouse / 'current').read_text().strip()}.duckdb"
    with duckdb.connect(str(scratch / "bench.duckdb")) as connection:
        set_up(connection)
        connection.execute(f"attach '{file}' as kept (read_only)")
        recorded = [row[0] for row in connection.execute("describe kept.recorded").fetchall()]
        names = [name for name in recorded if name not in JUDGED_COLUMNS]
        listed = ", ".join(map(tables.quoted, names))
        connection.execute(f"create table rows as select {listed} from kept.recorded")
        connection.execute("checkpoint")
        topics = [row[0] for row in connection.execute("select distinct topic from rows").fetchall()]
        catalog = load_catalog()
        copying, judging = [], []
        for _ in range(RUNS):
            copying.append(_timed(connection, "create or replace table copied as select * from rows"))
            sql = judge_sql(catalog, "rows", names, topics)
            judging.append(_timed(connection, f"create or replace table judged as select {JUDGED} from ({sql})"))
        rows = connection.execute("select count(*) from rows").fetchall()[0][0]
    return {
        "rows": rows,
        "topics": len(topics),
        "copy_seconds": copying,
        "judge_seconds": judging,
        "ratio_of_medians": round(median(judging) / median(copying), 2),
    }


def _timed(connection: duckdb.DuckDBPyConnection, sql: str) -> float:
    start = time.perf_counter()
    connection.execute(sql).fetchall()
    return round(time.perf_counter() - start, 2)


def _loaded(folder: Path) -> Path:
    from tests.bench.repaint import _million

    return _million(folder)


if __name__ == "__main__":
    main(Path(sys.argv[1]) if len(sys.argv) > 1 else None)
