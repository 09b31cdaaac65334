"""Make anew what is kept beside the generator: ``python -m sample_warehouse.committed`` after a change to it.

``reports/`` (the small set), ``expected_refusals.csv`` (which rows a load refuses, in the whole firm and in the small
set) and ``expected_load.toml`` (what a load counts).
"""

from __future__ import annotations

import csv
import io
from pathlib import Path

from sample_warehouse.generate import expected_counts, expected_refusals, write_firm
from sample_warehouse.truth import parameters

HERE = Path(__file__).parent
REFUSALS, COUNTS = "expected_refusals.csv", "expected_load.toml"


def firms() -> dict[str, int]:
    """The two sets by name, with how many reports each has."""
    firm = parameters()["firm"]
    return {"full": firm["reports"], "small": firm["small_reports"]}


def refusals_text() -> str:
    """The content of ``expected_refusals.csv``."""
    stream = io.StringIO()
    writer = csv.writer(stream, lineterminator="\n")
    writer.writerow(["firm", "report_id", "observation_no", "column", "code"])
    for name, reports in firms().items():
        for one in expected_refusals(reports):
            writer.writerow([name, one.report_id, one.observation_no, one.column, one.code])
    return stream.getvalue()


def counts_text() -> str:
    """The content of ``expected_load.toml``."""
    lines = ["# What a load into an empty warehouse counts; made by sample_warehouse/committed.py."]
    for name, reports in firms().items():
        lines += ["", f"[{name}]", *(f"{key} = {value}" for key, value in expected_counts(reports).items())]
    return "\n".join(lines) + "\n"


def main() -> None:
    """Write all three."""
    for old in (HERE / "reports").glob("*"):
        old.unlink()
    write_firm(HERE / "reports", firms()["small"])
    (HERE / REFUSALS).write_text(refusals_text(), encoding="utf-8", newline="\n")
    (HERE / COUNTS).write_text(counts_text(), encoding="utf-8", newline="\n")


if __name__ == "__main__":
    main()
