"""Make the firm's reports, the same for the same seed."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from sample_warehouse import files, further, refused, visits
from sample_warehouse import reports as report_rows
from sample_warehouse.refused import Expected
from sample_warehouse.reports import Row
from sample_warehouse.truth import parameters
from sample_warehouse.visits import Visit


@dataclass(frozen=True)
class Firm:
    """What the firm hands over: its visits, their rows, those of them that a load must refuse, and further tables."""

    visits: list[Visit]
    rows: list[list[Row]]
    refused: list[Expected]
    further: dict[str, list[Row]]


def write_firm(directory: Path, reports: int | None = None, seed: int | None = None) -> list[Path]:
    """Write the reports of Wrenfield Home Inspection into a folder, and its second looks, rounds, training and staff.

    Parameters and what is returned are those of :func:`write_reports`.
    """
    firm = _firm(reports, seed)
    paths = _write_reports(directory, firm, seed) + further.write(directory, firm.further)
    return sorted(paths)


def write_reports(directory: Path, reports: int | None = None, seed: int | None = None) -> list[Path]:
    """Write the reports of Wrenfield Home Inspection alone into a folder.

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
    return _write_reports(directory, _firm(reports, seed), seed)


def _write_reports(directory: Path, firm: Firm, seed: int | None) -> list[Path]:
    return files.write(directory, firm.rows, [visit.inspector_id for visit in firm.visits], _seed(seed))


def expected_refusals(reports: int | None = None, seed: int | None = None) -> list[Expected]:
    """The rows of those files that a load must refuse, each with the rule that it breaks."""
    return _firm(reports, seed).refused


def expected_counts(reports: int | None = None, seed: int | None = None) -> dict[str, int]:
    """What a load of what :func:`write_firm` writes into an empty warehouse counts; further tables by their files."""
    firm = _firm(reports, seed)
    rows, expected = firm.rows, firm.refused
    n_rows = sum(len(report) for report in rows)
    n_unchanged = n_rows - len({(row["report_id"], row["observation_no"]) for report in rows for row in report})
    n_unchanged -= sum(one.code == "duplicate_observation" for one in expected) // 2
    n_further = {Path(name).stem: len(rows) for name, rows in firm.further.items()}
    return {
        "reports": len(rows),
        "observations": n_rows - n_unchanged - len(expected),
        **n_further,
        "rows_read": n_rows + sum(n_further.values()),
        "rows_loaded": n_rows - n_unchanged - len(expected) + sum(n_further.values()),
        "rows_unchanged": n_unchanged,
        "rows_rejected": len(expected),
    }


def _firm(reports: int | None, seed: int | None) -> Firm:
    wanted = parameters()["firm"]["reports"] if reports is None else reports
    seen = visits.schedule(wanted, _seed(seed))
    written = [report_rows.written(visit, number, _seed(seed)) for number, visit in enumerate(seen)]
    rows = [[one.row for one in report] for report in written]
    spoiled = refused.plant(rows, _seed(seed))
    return Firm(seen, rows, spoiled, further.tables(written, spoiled, _seed(seed)))


def _seed(seed: int | None) -> int:
    return int(parameters()["firm"]["seed"]) if seed is None else seed
