"""Make the firm's reports, the same for the same seed."""

from __future__ import annotations

from pathlib import Path

from sample_warehouse import files, refused, visits
from sample_warehouse import reports as report_rows
from sample_warehouse.refused import Expected
from sample_warehouse.reports import Row
from sample_warehouse.truth import parameters
from sample_warehouse.visits import Visit


def write_reports(directory: Path, reports: int | None = None, seed: int | None = None) -> list[Path]:
    """Write the reports of Wrenfield Home Inspection into a folder.

    Parameters
    ----------
    directory
        The folder, made where it is not there; files of the same names are overwritten.
    reports, seed
        How many reports, and of which firm; as ``planted_truth.toml`` says where not given.

    Returns
    -------
    list of Path
        The files written, in order of name: delimited text, workbooks, documents.
    """
    seen, rows, _ = _firm(reports, seed)
    return files.write(directory, rows, [visit.inspector_id for visit in seen], _seed(seed))


def expected_refusals(reports: int | None = None, seed: int | None = None) -> list[Expected]:
    """The rows of those files that a load must refuse, each with the rule that it breaks."""
    return _firm(reports, seed)[2]


def expected_counts(reports: int | None = None, seed: int | None = None) -> dict[str, int]:
    """What a load of those files into an empty warehouse counts, by the names of its summary."""
    _, rows, expected = _firm(reports, seed)
    n_rows = sum(len(report) for report in rows)
    n_unchanged = n_rows - len({(row["report_id"], row["observation_no"]) for report in rows for row in report})
    n_unchanged -= sum(one.code == "duplicate_observation" for one in expected) // 2
    return {
        "reports": len(rows),
        "rows_read": n_rows,
        "rows_loaded": n_rows - n_unchanged - len(expected),
        "rows_unchanged": n_unchanged,
        "rows_rejected": len(expected),
    }


def _firm(reports: int | None, seed: int | None) -> tuple[list[Visit], list[list[Row]], list[Expected]]:
    wanted = parameters()["firm"]["reports"] if reports is None else reports
    seen = visits.schedule(wanted, _seed(seed))
    rows = [report_rows.rows(visit, number, _seed(seed)) for number, visit in enumerate(seen)]
    return seen, rows, refused.plant(rows, _seed(seed))


def _seed(seed: int | None) -> int:
    return int(parameters()["firm"]["seed"]) if seed is None else seed
