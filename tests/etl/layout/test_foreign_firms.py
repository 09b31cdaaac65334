"""The foreign files of tests/foreign, each loaded by a reviewed layout: exact counts, rows, and nothing private.

The layouts of ``reviewed/`` were suggested for these files and then settled by what each README says a person of the
firm knows. ``fifty_thousand`` is not tried here: its file has to be made first, which takes longer than all others.
"""

from __future__ import annotations

import csv
import json
import re
from collections import Counter
from pathlib import Path
from typing import Any

import pytest

from etl import contract
from etl.layout.implied import PREFIX
from tests.etl.layout.test_layouts import everything_in

FOREIGN = Path(__file__).parents[2] / "foreign"
REVIEWED = Path(__file__).parent / "reviewed"
NAMES = [
    "semicolon_1252", "utf16_tabs", "titled_workbook", "two_sheets", "wide_words", "nested_json", "file_a_report",
    "three_date_orders", "mixed_units",
]  # fmt: skip


def unmarked(text: Any) -> Any:
    """A text with one mark for whatever was masked, and for several in a row; a title before it goes with it."""
    if not isinstance(text, str):
        return text
    text = re.sub(r"\[(?:e-mail|phone|link|address|name)\]", "[private]", text)
    text = re.sub(r"\b(?:Mr|Mrs|Ms|Miss)\.? (?=\[private\])", "", text)
    return re.sub(r"\[private\](?:[\s,;&]*\[private\])+", "[private]", text)


def observations(firm, columns: list[str]) -> Counter[tuple[Any, ...]]:
    listed = ", ".join(f'"{name}"' for name in columns)
    return Counter(tuple(map(unmarked, row)) for row in firm.query(f"select {listed} from observations"))


def expected_rows(name: str, columns: list[str]) -> Counter[tuple[Any, ...]]:
    with (FOREIGN / name / "expected.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    rules = {column: contract.columns()[column].rule for column in columns}
    return Counter(tuple(unmarked(contract.read(rules[column], row[column])) for column in columns) for row in rows)


def compared(name: str, left_out: list[str]) -> list[str]:
    """The columns of expected.csv, but those in which a right load may differ: how implied passes are numbered is free."""
    with (FOREIGN / name / "expected.csv").open(encoding="utf-8", newline="") as file:
        header = next(csv.reader(file))
    free = {*left_out, *(["observation_no"] if name == "two_sheets" else [])}
    return [column for column in header if column not in free]


@pytest.mark.parametrize("name", NAMES)
def test_a_foreign_file_gives_exactly_the_rows_that_its_firm_expects(firm, name):
    expected = json.loads((FOREIGN / name / "expected.json").read_text(encoding="utf-8"))
    summary = firm.load(str(FOREIGN / name / "export"), layout=REVIEWED / f"{name}.toml")
    assert (summary.files, summary.reports, summary.observations) == tuple(
        expected[key] for key in ("files", "reports", "observations")
    )
    if name == "wide_words":  # there a row is a report; here each of its observations is counted
        assert summary.rows_rejected == expected["observations_rejected"]
    else:
        implied = expected.get("implied_passes", 0)
        assert summary.rows_loaded == expected["rows_loaded"] + implied
        assert (summary.rows_unchanged, summary.rows_rejected) == (
            expected["rows_unchanged"],
            expected["rows_rejected"],
        )
        assert summary.rows_read == expected["rows_read"] + implied
        passes = firm.query(f"select count(*) from observations where starts_with(observation_no, '{PREFIX}')")
        assert passes == [(implied,)]
    refused = {(Path(re.sub(r" \[.*", "", row["file"])).name, row["row"]) for row in firm.rejects()}
    assert refused == {(each["file"], each["row"]) for each in expected["rejected"]}
    columns = compared(name, expected.get("compare_without", []))
    assert observations(firm, columns) == expected_rows(name, columns)
    held = (everything_in(firm.warehouse) + summary.model_dump_json()).casefold()
    assert [text for text in expected["private"] if text.casefold() in held] == []
