"""Rows, files and loads for the loader's tests: a test names what matters to it, the rest has plain values."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Callable, Iterable
from functools import cache
from pathlib import Path
from typing import Any

import duckdb
import pytest

import etl.load
from etl.criteria.catalog import Catalog, load_catalog
from etl.load import Summary, load

Row = dict[str, Any]


def make_row(**facts: Any) -> Row:
    """A valid observation, with ``facts`` in place of its plain values."""
    plain = {
        "report_id": "R1",
        "inspected_on": "2026-03-04",
        "inspector_id": "AB",
        "region": "Ridge",
        "observation_no": "1",
        "topic": "joist_gap",
        "call": "passed",
    }
    return plain | facts


def make_look(**facts: Any) -> Row:
    """A valid second look at that observation, with ``facts`` in place of its plain values."""
    plain = {
        "report_id": "R1",
        "observation_no": "1",
        "looked_by": "LK",
        "looked_on": "2026-04-01",
        "chosen": "random",
        "ruling": "acceptable",
    }
    return plain | facts


def csv_text(rows: Iterable[Row], delimiter: str = ",") -> str:
    """Rows as a CSV file with every column that any of them has."""
    listed = list(rows)
    columns = list(dict.fromkeys(name for each in listed for name in each))
    out = io.StringIO()
    writer = csv.DictWriter(out, columns, delimiter=delimiter, lineterminator="\n")
    writer.writeheader()
    writer.writerows(listed)
    return out.getvalue()


def document(rows: Iterable[Row]) -> dict[str, Any]:
    """The rows of one deck in one report as the document of that report."""
    from etl import contract

    listed = list(rows)
    levels = {level: contract.level_columns(level) for level in ("report", "deck", "observation")}
    parts = {level: {k: v for k, v in listed[0].items() if k in names} for level, names in levels.items()}
    observations = [{k: v for k, v in each.items() if k in levels["observation"]} for each in listed]
    return {**parts["report"], "decks": [{**parts["deck"], "observations": observations}]}


class Firm:
    """A warehouse of its own, with files to load into it."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.warehouse = folder / "warehouse"

    def write(self, name: str, content: str | bytes | list[Row]) -> str:
        """A file of that name; a list of rows is written as CSV, or as JSON Lines where the name says so."""
        path = self.folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        if isinstance(content, list):
            lines = [json.dumps(document([each])) for each in content]
            content = "\n".join(lines) if name.endswith(".jsonl") else csv_text(content)
        path.write_bytes(content.encode() if isinstance(content, str) else content)
        return str(path)

    def load(self, *given: str, **options: Any) -> Summary:
        return load(list(given), self.warehouse, **options)

    def load_rows(self, rows: list[Row], name: str = "rows.csv", **options: Any) -> Summary:
        return self.load(self.write(name, rows), **options)

    def query(self, text: str) -> list[tuple[Any, ...]]:
        current = (self.warehouse / "current").read_text().strip()
        with duckdb.connect(str(self.warehouse / "snapshots" / f"{current}.duckdb"), read_only=True) as connection:
            return connection.execute(text).fetchall()

    def rejects(self) -> list[Row]:
        from etl.rejects import newest_rejects

        return newest_rejects(self.warehouse).to_pylist()


@pytest.fixture
def firm(tmp_path: Path) -> Firm:
    return Firm(tmp_path)


@pytest.fixture
def row() -> Callable[..., Row]:
    return make_row


@pytest.fixture(autouse=True)
def fixed_today(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("EVENHAND_TODAY", "2026-11-25")


@pytest.fixture(autouse=True)
def catalog_read_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """Firms without settings or criteria of their own share one catalog, which takes a third of a second to check."""
    read = etl.load.read_catalog
    own = ("firm.toml", "criteria.toml")
    monkeypatch.setattr(
        etl.load,
        "read_catalog",
        lambda folder, criteria=None: (
            read(folder, criteria) if criteria or any((folder / name).exists() for name in own) else _plain_catalog()
        ),
    )


@cache
def _plain_catalog() -> Catalog:
    return load_catalog()
