"""The whole firm's files, written once, and read back by means that share nothing with the product's readers."""

from __future__ import annotations

import csv
import json
from collections.abc import Callable, Iterator
from datetime import datetime
from pathlib import Path
from typing import Any

import openpyxl
import pytest

from sample_warehouse.generate import write_reports

Row = dict[str, Any]


def _delimited(path: Path) -> Iterator[Row]:
    with path.open(encoding="utf-8", newline="") as stream:
        yield from csv.DictReader(stream)


def _workbook(path: Path) -> Iterator[Row]:
    sheet = openpyxl.load_workbook(path, read_only=True).active
    lines = sheet.iter_rows(values_only=True)
    header = next(lines)
    for line in lines:
        yield {name: _day(cell) for name, cell in zip(header, line, strict=True)}


def _day(cell: object) -> object:
    return cell.date() if isinstance(cell, datetime) else cell


def _array(path: Path) -> Iterator[Row]:
    for report in json.loads(path.read_text(encoding="utf-8")):
        yield from _flat(report)


def _lines(path: Path) -> Iterator[Row]:
    for line in path.read_text(encoding="utf-8").splitlines():
        yield from _flat(json.loads(line))


def _flat(report: Row) -> Iterator[Row]:
    facts = {name: value for name, value in report.items() if name != "decks"}
    for deck in report["decks"]:
        of_deck = {name: value for name, value in deck.items() if name != "observations"}
        for observation in deck["observations"]:
            yield facts | of_deck | observation


@pytest.fixture(scope="session")
def whole_firm(tmp_path_factory: pytest.TempPathFactory) -> list[Path]:
    """The files of all 2,500 reports."""
    return write_reports(tmp_path_factory.mktemp("wrenfield"))


@pytest.fixture(scope="session")
def read_back() -> Callable[[Path], list[Row]]:
    """Reads the rows of a file as they stand there, with the file's columns."""
    readers = {".csv": _delimited, ".xlsx": _workbook, ".json": _array, ".jsonl": _lines}
    return lambda path: list(readers[path.suffix](path))


@pytest.fixture(scope="session")
def rows(whole_firm: list[Path], read_back: Callable[[Path], list[Row]]) -> list[Row]:
    """All rows of those files as they stand there."""
    return [row for path in whole_firm for row in read_back(path)]
