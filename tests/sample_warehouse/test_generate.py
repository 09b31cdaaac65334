"""The generator: the same files for the same seed, and no row wrong but those that are planted as wrong.

Checked against the contract (:class:`etl.contract.ObservationRow`) on rows read back from the files. Not checked here:
what a load makes of them.
"""

from __future__ import annotations

import csv
from collections import Counter
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from pydantic import ValidationError

from etl import vocabulary
from etl.contract import ObservationRow, columns
from sample_warehouse import committed
from sample_warehouse.generate import write_firm, write_reports
from sample_warehouse.truth import parameters

Row = dict[str, Any]
ReadBack = Callable[[Path], list[Row]]
KEPT = committed.HERE / "reports"
FURTHER = ("second_looks.csv", "calibration_rounds.csv", "training_sessions.csv", "staff.csv")


@pytest.fixture(autouse=True)
def _on_the_day_after_the_last_report(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("EVENHAND_TODAY", "2026-11-01")


def test_the_same_seed_gives_the_same_bytes(tmp_path: Path) -> None:
    once, again = write_firm(tmp_path / "once", 60, seed=9), write_firm(tmp_path / "again", 60, seed=9)
    assert [path.name for path in once] == [path.name for path in again]
    assert [path.read_bytes() for path in once] == [path.read_bytes() for path in again]


def test_another_seed_gives_another_firm(tmp_path: Path) -> None:
    here, there = write_reports(tmp_path / "here", 60, seed=9), write_reports(tmp_path / "there", 60, seed=10)
    assert {path.read_bytes() for path in here}.isdisjoint(path.read_bytes() for path in there)


def test_the_kept_small_set_is_what_the_generator_makes(tmp_path: Path, read_back: ReadBack) -> None:
    made = write_firm(tmp_path, parameters()["firm"]["small_reports"])
    assert sorted(path.name for path in KEPT.iterdir()) == [path.name for path in made]
    for path in made:
        if path.suffix == ".xlsx":  # how a workbook is packed depends on the zlib at hand; its cells do not
            assert read_back(path) == read_back(KEPT / path.name), path.name
        else:
            assert path.read_bytes() == (KEPT / path.name).read_bytes(), path.name


def test_the_kept_small_set_is_small_and_has_every_format() -> None:
    kept = list(KEPT.iterdir())
    assert sum(path.stat().st_size for path in kept) < 1_000_000
    assert {path.suffix for path in kept} == {".csv", ".xlsx", ".json", ".jsonl"}


def test_what_is_kept_about_refusals_and_counts_is_what_the_generator_says() -> None:
    assert (committed.HERE / committed.REFUSALS).read_text(encoding="utf-8") == committed.refusals_text()
    assert (committed.HERE / committed.COUNTS).read_text(encoding="utf-8") == committed.counts_text()


def test_the_contract_refuses_the_planted_rows_of_the_whole_firm_and_no_other(rows: list[Row]) -> None:
    assert _refused(rows) == _planted("full")


def test_the_contract_refuses_the_planted_rows_of_the_small_set_and_no_other(read_back: ReadBack) -> None:
    reports = [path for path in KEPT.iterdir() if path.name not in FURTHER]
    assert _refused([row for path in reports for row in read_back(path)]) == _planted("small")


def _planted(firm: str) -> Counter[tuple[str, str, str]]:
    with (committed.HERE / committed.REFUSALS).open(encoding="utf-8") as stream:
        return Counter(
            (row["report_id"], row["observation_no"], row["code"])
            for row in csv.DictReader(stream)
            if row["firm"] == firm
        )


def _refused(rows: list[Row]) -> Counter[tuple[str, str, str]]:
    """Rows that the contract refuses, and rows of one observation that stands there with different content."""
    refused = Counter(
        (row["report_id"], row["observation_no"], code) for row in rows for code in _codes_of_broken_rules(row)
    )
    contents: dict[tuple[str, str], list[Row]] = {}
    for row in rows:
        contents.setdefault((row["report_id"], row["observation_no"]), []).append(row)
    for (report, number), same in contents.items():
        if any(row != same[0] for row in same):
            refused[report, number, "duplicate_observation"] += len(same)
    return refused


def _codes_of_broken_rules(row: Row) -> list[str]:
    try:
        ObservationRow.model_validate(row)
    except ValidationError as broken:
        return [error["type"] for error in broken.errors()]
    return []


def test_every_column_of_the_contract_is_used(rows: list[Row]) -> None:
    used = {name for row in rows for name, value in row.items() if value not in (None, "")}
    # The passes of this firm are written down, which need not be said.
    # What a layout read out of a comment is not written in a file of the contract, either.
    assert set(columns()) - used == {"passes", "read_from_comment"}


def test_one_file_has_a_column_that_the_contract_does_not_know(whole_firm: list[Path], read_back: ReadBack) -> None:
    unknown = {path.name: sorted(set(read_back(path)[0]) - set(columns())) for path in whole_firm}
    planted = parameters()["unknown_column"]
    assert {name: found for name, found in unknown.items() if found} == {planted["file"]: [planted["name"]]}


def test_a_report_stands_in_one_file(whole_firm: list[Path], read_back: ReadBack) -> None:
    files = Counter(report for path in whole_firm for report in {row["report_id"] for row in read_back(path)})
    assert len(files) == parameters()["firm"]["reports"]
    assert set(files.values()) == {1}


def test_values_are_written_in_several_ways(rows: list[Row]) -> None:
    sizes = {str(row.get("joist_nominal") or "").replace("10", "").replace("2", "") for row in rows}
    gaps = {str(row.get("joist_gap_in") or "") for row in rows}
    answers = {str(row.get("guard_present") or "").lower() for row in rows}
    assert {"x", "X", " x ", "×"} <= sizes
    assert {"0.5", "1/2"} <= gaps
    assert any(sign in gap for gap in gaps for sign in "½¼¾⅛⅜⅝⅞")
    assert {"true", "yes", "1"} <= answers


def test_every_topic_and_every_call_occurs(rows: list[Row]) -> None:
    assert set(vocabulary.topics()) <= {row["topic"] for row in rows}
    assert set(vocabulary.CALLS) <= {row["call"] for row in rows}
    assert set(vocabulary.NOT_SEEN_REASONS) <= {row.get("not_seen_reason") for row in rows}
