"""How long a million observations take to load, check and judge, against DuckDB's own reading of the same file.

    python tests/bench/load_a_million.py [ROWS]

Writes a CSV of 24 columns, then times in turn, three times each: `create table as select * from read_csv(...)` into a
database file, and a whole load into an empty warehouse (a child process, so that its memory can be told).
"""

from __future__ import annotations

import json
import resource
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import duckdb

RUNS = 3
REPORT = 12  # observations a report

ROWS_SQL = """
copy (
    select
        'R' || lpad((i // $report)::varchar, 7, '0') as report_id,
        date '2022-01-01' + ((i // $report) % 1400)::int as inspected_on,
        'I' || ((i // $report) % 12) as inspector_id,
        ['Lakeshore', 'Ridge', 'Mill Town', 'Flats'][1 + ((i // $report) % 4)] as region,
        'P' || (i // $report) as property_id, 'IRC 2021' as code_basis,
        'D' || (i // $report) as deck_id, 1985 + ((i // $report) % 37) as deck_built_year, 'owner' as deck_built_basis,
        'B' || ((i // $report) % 25) as builder, 20 + ((i // $report) % 100) as deck_height_in,
        true as ledger_attached, i % $report + 1 as observation_no,
        ['hanger_size', 'joist_gap', 'guard_height', 'stair_riser', 'hanger_fastener_kind', 'handrail'][1 + i % 6] as topic,
        'bay ' || (i % 7) as place, ['written_up', 'passed', 'passed', 'advised'][1 + (i * 7) % 4] as call,
        1 + i % 3 as consequence, 'The hanger at the third joist looks small, number ' || i as comment,
        '2x10' as joist_nominal, '2x8' as hanger_nominal, case when i % 3 = 0 then 6.5 end as hanger_height_in,
        case when i % 2 = 0 then '1/4' end as joist_gap_in, case when i % 4 > 0 then 36 end as guard_height_in,
        case when i % 5 > 0 then 7.5 end as riser_max_in
    from range($rows) as numbers(i)
) to $path (header)
"""

LOAD = "import sys; from pathlib import Path; from etl.load import load; print(load([sys.argv[1]], Path(sys.argv[2])).rows_loaded)"


def main(rows: int) -> None:
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        path = folder / "rows.csv"
        duckdb.connect().execute(ROWS_SQL, {"report": REPORT, "rows": rows, "path": str(path)}).fetchall()
        raw, loads = [], []
        for run in range(RUNS):
            raw.append(_raw(path, folder / f"raw{run}.duckdb"))
            loads.append(_load(path, folder / f"warehouse{run}", rows))
        memory = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss / 1e6
        told = {
            "rows": rows,
            "megabytes": round(path.stat().st_size / 1e6),
            "raw_seconds": [round(seconds, 2) for seconds in raw],
            "load_seconds": [round(seconds, 2) for seconds in loads],
            "ratio_of_medians": round(sorted(loads)[RUNS // 2] / sorted(raw)[RUNS // 2], 2),
            "load_gigabytes": round(memory, 2),
        }
        print(json.dumps(told, indent=2))


def _raw(path: Path, database: Path) -> float:
    start = time.perf_counter()
    with duckdb.connect(str(database)) as connection:
        connection.execute("create table raw as select * from read_csv($path)", {"path": str(path)}).fetchall()
    return time.perf_counter() - start


def _load(path: Path, warehouse: Path, rows: int) -> float:
    start = time.perf_counter()
    done = subprocess.run(
        [sys.executable, "-c", LOAD, str(path), str(warehouse)], capture_output=True, text=True, check=True
    )
    assert int(done.stdout) == rows
    return time.perf_counter() - start


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 1_000_000)
