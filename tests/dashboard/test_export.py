"""Tables as CSV and XLSX, read back by other programs: Python's csv module and openpyxl.

Which cells could start a formula: OWASP, CSV Injection (= + - @, tab, carriage return), and their full-width forms.
"""

from __future__ import annotations

import csv
import io
import zipfile
from datetime import UTC, date, datetime
from decimal import Decimal
from pathlib import Path
from typing import Any

import openpyxl
import pandas as pd
import pytest

from dashboard import export, labels
from dashboard.export import About

DANGEROUS = [
    "=HYPERLINK(1)",
    '=HYPERLINK("http://example.com","x")',
    "+1+1",
    "-2+3",
    "@SUM(1)",
    "  =1+1",
    "\t=1+1",
    "\r=1+1",
    "\n=1+1",
    "＝1+1",
    "＋1",
    "－1",
    "＠SUM(1)",
]
HARMLESS = [
    "http://example.com/p.png",
    "mailto:x@example.com",
    "internal:A1",
    "12",
    "1e3",
    "TRUE",
    "2026-03-04",
    "{=1}",
]
TOLD = About(
    "Cases: gaps", "Ridge · from 1 Jan 2026", "0007", datetime(2026, 6, 1, 12), "c0ffee", {"call": "What was decided."}
)


def book(frame: pd.DataFrame, told: About = TOLD) -> Any:
    return openpyxl.load_workbook(io.BytesIO(export.xlsx(frame, told)))


def column(frame: pd.DataFrame, place: int = 1) -> list[Any]:
    """The cells of a column without its header."""
    return [row[place - 1] for row in book(frame)["Table"].iter_rows(min_row=2)]


@pytest.mark.parametrize("text", DANGEROUS)
def test_no_cell_can_start_a_formula(text: str) -> None:
    frame = pd.DataFrame({"said": [text]})
    (cell,) = column(frame)
    assert cell.data_type == "s"
    assert cell.value.startswith("'")
    assert cell.hyperlink is None
    (row,) = csv.DictReader(io.StringIO(export.csv(frame).decode("utf-8-sig"), newline=""))
    assert row["said"] == f"'{text}".replace("\r", "\n")


def test_a_carriage_return_cannot_begin_a_row_of_its_own() -> None:
    text = export.csv(pd.DataFrame({"said": ["x\r=HYPERLINK(1)"], "more": ["y\r\n+1"]})).decode("utf-8-sig")
    assert list(csv.reader(io.StringIO(text, newline=""))) == [["said", "more"], ["x\n=HYPERLINK(1)", "y\n+1"]]


@pytest.mark.parametrize("text", HARMLESS)
def test_text_stays_text_whatever_it_looks_like(text: str) -> None:
    (cell,) = column(pd.DataFrame({"said": [text]}))
    assert (cell.data_type, cell.value, cell.hyperlink) == ("s", text, None)


def test_a_header_cannot_start_a_formula_either() -> None:
    header = book(pd.DataFrame({"=1+1": [1]}))["Table"]["A1"]
    assert (header.data_type, header.value) == ("s", "'=1+1")


def test_a_list_is_one_text_and_cannot_start_a_formula() -> None:
    frame = pd.DataFrame({"missing": [["=1+1", "b"], None, ["a", "b"]]})
    assert [cell.value for cell in column(frame)] == ["'=1+1; b", None, "a; b"]


@pytest.mark.parametrize(
    "values",
    [
        pd.Series([-1.5, 0.0, 3.0]),
        pd.Series([-1, 0, 3]),
        pd.Series([1, None, 3], dtype="Int64"),
        pd.Series([Decimal("-0.375"), Decimal("1.5")], dtype=object),
        pd.Series([0.1 + 0.2, 1 / 3]),
    ],
    ids=["floats", "integers", "integers with a blank", "decimals", "unrounded"],
)
def test_numbers_stay_numbers_unrounded(values: pd.Series) -> None:
    cells = column(pd.DataFrame({"figure": values}))
    assert [cell.value is None for cell in cells] == list(values.isna())
    # A workbook keeps 16 significant digits.
    assert [float(cell.value) for cell in cells if cell.value is not None] == pytest.approx(
        [float(value) for value in values.dropna()], rel=1e-15
    )
    assert {cell.data_type for cell in cells} == {"n"}


def test_what_is_missing_or_no_number_is_blank() -> None:
    frame = pd.DataFrame({"share": [float("nan"), float("inf"), 0.5], "text": ["a", None, "b"]})
    assert [cell.value for cell in column(frame)] == [None, None, 0.5]
    assert [cell.value for cell in column(frame, 2)] == ["a", None, "b"]


@pytest.mark.parametrize(
    "days",
    [
        pd.to_datetime(pd.Series(["2026-03-04", "1990-01-01"])),
        pd.Series([date(2026, 3, 4), date(1990, 1, 1)], dtype=object),
    ],
    ids=["times at midnight", "dates"],
)
def test_days_stay_days(days: pd.Series) -> None:
    cells = column(pd.DataFrame({"day": days}))
    assert [cell.value for cell in cells] == [datetime(2026, 3, 4), datetime(1990, 1, 1)]
    assert all(cell.is_date for cell in cells)
    assert [
        row["day"][:10]
        for row in csv.DictReader(io.StringIO(export.csv(pd.DataFrame({"day": days})).decode("utf-8-sig")))
    ] == ["2026-03-04", "1990-01-01"]


def test_a_day_is_shown_without_and_a_time_with_its_hour() -> None:
    frame = pd.DataFrame({"day": pd.to_datetime(["2026-03-04"]), "at": pd.to_datetime(["2026-03-04 05:06:07"])})
    day, at = next(iter(book(frame)["Table"].iter_rows(min_row=2)))
    assert (day.number_format, at.number_format) == ("yyyy-mm-dd", "yyyy-mm-dd hh:mm:ss")
    assert at.value == datetime(2026, 3, 4, 5, 6, 7)


def test_a_time_with_a_zone_is_told_in_utc() -> None:
    at = pd.Timestamp(datetime(2026, 3, 4, 23, tzinfo=UTC)).tz_convert("Etc/GMT-3")
    assert column(pd.DataFrame({"at": [at]}))[0].value == datetime(2026, 3, 4, 23)


def test_yes_and_no_stay_so() -> None:
    assert [(cell.data_type, cell.value) for cell in column(pd.DataFrame({"yes": [True, False]}))] == [
        ("b", True),
        ("b", False),
    ]
    assert export.csv(pd.DataFrame({"yes": [True]})) == b"\xef\xbb\xbfyes\ntrue\n"


def test_the_header_is_bold_and_stays_in_sight_and_columns_are_wide_enough() -> None:
    sheet = book(pd.DataFrame({"a": ["x" * 30], "comment": ["y" * 300], "inspector_id": [1]}))["Table"]
    assert all(cell.font.bold for cell in sheet[1])
    assert not sheet["A2"].font.bold
    assert sheet.freeze_panes == "A2"
    widths = [sheet.column_dimensions[letter].width for letter in "ABC"]
    assert widths[0] >= 30
    assert 40 <= widths[1] <= 80
    assert widths[2] >= len("inspector_id")


def test_the_second_sheet_says_what_the_table_is() -> None:
    rows = [(row[0].value, row[1].value) for row in book(pd.DataFrame({"call": ["passed"]}))["About"].iter_rows()]
    told = " ".join(str(cell) for row in rows for cell in row).replace("\u00a0", " ")
    assert rows[0] == ("Table", "Cases: gaps")
    for part in ("Ridge · from 1 Jan 2026", "0007 of 1 Jun 2026", "catalog c0ffee", *labels.CAUTIONS):
        assert part in told
    assert ("call", "What was decided.") in rows


def test_what_is_said_of_the_table_cannot_start_a_formula_either() -> None:
    told = About("=HYPERLINK(1)", "=1+1", "=2", None, "", {"=3": "=4"})
    cells = [cell for row in book(pd.DataFrame({"a": [1]}), told)["About"].iter_rows() for cell in row]
    assert {cell.data_type for cell in cells if cell.value is not None} == {"s"}


def test_the_same_snapshot_gives_the_same_file() -> None:
    frame = pd.DataFrame({"a": [1, 2], "b": ["x", "y"]})
    contents = [zipfile.ZipFile(io.BytesIO(export.xlsx(frame, TOLD))) for _ in range(2)]
    first, second = ({name: file.read(name) for name in file.namelist()} for file in contents)
    assert first == second


def test_a_table_longer_than_a_sheet_says_what_to_do(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(export, "SHEET_ROWS", 3)
    assert column(pd.DataFrame({"a": [1, 2]}))[1].value == 2
    with pytest.raises(export.TooManyRows, match="A sheet holds 2 rows, and this table has 3"):
        export.xlsx(pd.DataFrame({"a": [1, 2, 3]}), TOLD)


def test_a_text_longer_than_a_cell_is_cut_and_not_lost() -> None:
    # 32,767 characters are the most that a cell holds (ECMA-376 as the makers of spreadsheets apply it).
    (cell,) = column(pd.DataFrame({"said": ["x" * 40_000]}))
    assert len(cell.value) == 32_767


def test_an_empty_table_is_its_header() -> None:
    sheet = book(pd.DataFrame({"a": pd.Series([], dtype=str)}))["Table"]
    assert [[cell.value for cell in row] for row in sheet.iter_rows()] == [["a"]]


@pytest.mark.parametrize("name", ["t.xlsx", "t.XLSX"])
def test_the_ending_of_a_file_says_its_form(tmp_path: Path, name: str) -> None:
    export.write(pd.DataFrame({"a": ["=1"]}), tmp_path / name, told=TOLD)
    assert openpyxl.load_workbook(tmp_path / name)["Table"]["A2"].value == "'=1"
    export.write(pd.DataFrame({"a": ["=1"]}), tmp_path / "t.csv")
    assert (tmp_path / "t.csv").read_text(encoding="utf-8") == "a\n'=1\n"
