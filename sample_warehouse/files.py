"""The firm's files: most reports as delimited text by half-year, one office's workbooks, two tablets' documents."""

from __future__ import annotations

import csv
import json
from collections.abc import Callable, Iterable
from datetime import date, datetime
from itertools import groupby
from pathlib import Path
from typing import Any

import xlsxwriter

from etl.contract import columns, level_columns
from sample_warehouse.dice import Dice
from sample_warehouse.reports import Row
from sample_warehouse.spelling import Hand
from sample_warehouse.truth import parameters
from sample_warehouse.visits import inspectors

_SPELLING = 6
_CREATED = datetime(2026, 11, 2)  # a fixed date, so that the same reports give the same bytes
Report = list[Row]


def write(directory: Path, reports: list[Report], inspector_ids: list[str], seed: int) -> list[Path]:
    """Write all reports into the files of their inspectors' formats; returns the paths in order of name."""
    directory.mkdir(parents=True, exist_ok=True)
    by_file: dict[str, list[tuple[Report, Hand]]] = {}
    for number, (report, inspector_id) in enumerate(zip(reports, inspector_ids, strict=True)):
        hand = Hand(inspector_id, Dice.of(seed, _SPELLING, number))
        by_file.setdefault(_file_name(report, inspectors()[inspector_id]["format"]), []).append((report, hand))
    for name, content in by_file.items():
        _WRITERS[Path(name).suffix](directory / name, content)
    return [directory / name for name in sorted(by_file)]


def _file_name(report: Report, file_format: str) -> str:
    # A spoiled row may have the day wrong; the report's other rows have it right.
    day = next(row["inspected_on"] for row in report if isinstance(row["inspected_on"], date))
    match file_format:
        case "csv":
            return f"reports_{day.year}_h{1 if day.month <= 6 else 2}.csv"
        case "xlsx":
            return f"ridge_office_{max(day.year, 2023) if day.year < 2025 else '2025_2026'}.xlsx"
        case "json":
            return f"mill_town_tablet_{'2022_2024' if day.year <= 2024 else '2025_2026'}.json"
        case _:
            return "lakeshore_tablet.jsonl"


def _used_columns(content: Iterable[tuple[Report, Hand]]) -> list[str]:
    used = {name for report, _ in content for row in report for name, value in row.items() if value is not None}
    return [name for name in columns() if name in used]


def _write_delimited(path: Path, content: list[tuple[Report, Hand]]) -> None:
    header = _used_columns(content)
    unknown = parameters()["unknown_column"]
    stranger = unknown if path.name == unknown["file"] else None
    with path.open("w", encoding="utf-8", newline="") as stream:
        writer = csv.writer(stream, lineterminator="\n")
        writer.writerow(header + ([stranger["name"]] if stranger else []))
        for report, hand in content:
            for row in report:
                cells = ["" if row.get(name) is None else hand.text(name, row[name]) for name in header]
                writer.writerow(cells + ([stranger["content"].format_map(row)] if stranger else []))


def _write_workbook(path: Path, content: list[tuple[Report, Hand]]) -> None:
    header = _used_columns(content)
    workbook = xlsxwriter.Workbook(path, {"in_memory": True})
    workbook.set_properties({"title": "Deck reports", "company": parameters()["firm"]["name"], "created": _CREATED})
    sheet = workbook.add_worksheet("Observations")
    day_format = workbook.add_format({"num_format": "yyyy-mm-dd"})
    sheet.write_row(0, 0, header, workbook.add_format({"bold": True}))
    rows = [(row, hand) for report, hand in content for row in report]
    for line, (row, hand) in enumerate(rows, start=1):
        for place, name in enumerate(header):
            _write_cell(sheet, line, place, hand, name, row.get(name), day_format)
    workbook.close()


def _write_cell(sheet: Any, line: int, place: int, hand: Hand, name: str, value: Any, day_format: Any) -> None:
    if isinstance(value, date):
        sheet.write_datetime(line, place, datetime(value.year, value.month, value.day), day_format)
    elif value is not None:
        written = hand.typed(name, value)
        write = {bool: sheet.write_boolean, str: sheet.write_string}.get(type(written), sheet.write_number)
        write(line, place, written)


def _write_array(path: Path, content: list[tuple[Report, Hand]]) -> None:
    documents = [_document(report, hand) for report, hand in content]
    path.write_text(json.dumps(documents, indent=1, ensure_ascii=False) + "\n", encoding="utf-8", newline="\n")


def _write_lines(path: Path, content: list[tuple[Report, Hand]]) -> None:
    lines = [json.dumps(_document(report, hand), ensure_ascii=False) + "\n" for report, hand in content]
    path.write_text("".join(lines), encoding="utf-8", newline="\n")


def _document(report: Report, hand: Hand) -> dict[str, Any]:
    """The report as one document: its facts, its decks, their observations with the measures flat."""
    by_deck = [list(rows) for _, rows in groupby(report, key=lambda row: row["deck_id"])]
    decks = [
        _level(rows[0], "deck", hand) | {"observations": [_level(row, "observation", hand) for row in rows]}
        for rows in by_deck
    ]
    return _level(report[0], "report", hand) | {"decks": decks}


def _level(row: Row, level: str, hand: Hand) -> dict[str, Any]:
    known = {name: row[name] for name in level_columns(level) if row.get(name) is not None}
    return {name: _whole(hand.typed(name, value)) for name, value in known.items()}


def _whole(value: Any) -> Any:
    return int(value) if isinstance(value, float) and value.is_integer() else value


_WRITERS: dict[str, Callable[[Path, list[tuple[Report, Hand]]], None]] = {
    ".csv": _write_delimited,
    ".xlsx": _write_workbook,
    ".json": _write_array,
    ".jsonl": _write_lines,
}
