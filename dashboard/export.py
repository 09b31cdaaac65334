"""Tables out of the program: unrounded, days as days, and no cell that can start a formula."""

from __future__ import annotations

import io
import math
import sys
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import UTC, date, datetime
from numbers import Number
from pathlib import Path
from typing import IO, TYPE_CHECKING, Any

import pandas as pd

from dashboard import labels
from dashboard.labels import safe_cell
from dashboard.problems import Problem

if TYPE_CHECKING:
    from dashboard.notes.case_pack import DrawnPack
    from dashboard.warehouse import SnapshotInfo

#: The forms that a file's ending names.
FORMS = ("csv", "json", "parquet", "xlsx")
#: What a sheet holds, the header included, and the longest text of a cell; fixed by the format.
SHEET_ROWS, CELL_CHARACTERS = 1_048_576, 32_767
_LEAST_WIDTH, _MOST_WIDTH, _WIDTH_FROM_ROWS = 9, 60, 300
_ABOUT_WIDTHS = (22, 100)


class TooManyRows(Problem):
    """A table is longer than a sheet of a workbook."""


@dataclass(frozen=True)
class About:
    """What the second sheet of a workbook says of the table.

    Attributes
    ----------
    what
        What the table is, and what one row is.
    within
        The filters in words.
    columns
        The meaning of columns, by name.
    choices
        Of columns that are to be filled in, the words to choose from.
    """

    what: str
    within: str = "everything"
    snapshot: str = ""
    made_at: datetime | None = None
    catalog: str = ""
    columns: Mapping[str, str] = field(default_factory=dict)
    choices: Mapping[str, Sequence[str]] = field(default_factory=dict)


def about(info: SnapshotInfo, what: str, within: str = "", columns: Mapping[str, str] | None = None) -> About:
    """What there is to say of a table out of a snapshot."""
    return About(what, within or "everything", info.snapshot, info.created_at, info.catalog, columns or {})


def case_sheet(
    info: SnapshotInfo,
    made: DrawnPack,
    form: str,
    inspectors: Sequence[str] = (),
    held_on: date | None = None,
    with_answers: bool = False,
) -> bytes:
    """The sheet of a calibration round as a file, CSV or XLSX as ``form`` says; as :func:`case_pack.sheet` has it."""
    from dashboard.notes import case_pack
    from dashboard.notes.case_pack_wording import COLUMNS, SHEET

    frame = case_pack.sheet(made, inspectors, held_on, with_answers)
    if form == "csv":
        return csv(frame)
    told = about(info, f"{SHEET} {made.pack.kicker}.", columns=COLUMNS)
    return xlsx(frame, replace(told, choices=case_pack.TO_CHOOSE))


def write(frame: pd.DataFrame, out: Path | None, form: str | None = None, told: About | None = None) -> None:
    """Write a table to a file or to stdout: as ``form`` says, else as the file's ending says, else as CSV.

    Raises
    ------
    TooManyRows
    """
    ending = out.suffix.removeprefix(".").lower() if out else ""
    form = form or (ending if ending in FORMS else "csv")
    if form == "parquet":
        frame.to_parquet(out or sys.stdout.buffer, index=False)
    elif form == "xlsx":
        workbook = xlsx(frame, told or About("A table of Evenhand."))
        _ = out.write_bytes(workbook) if out else sys.stdout.buffer.write(workbook)
    elif out is None:
        _write_text(frame, sys.stdout, form)
    else:
        with out.open("w", encoding="utf-8", newline="") as file:
            _write_text(frame, file, form)


def _write_text(frame: pd.DataFrame, file: IO[str], form: str) -> None:
    if form == "json":
        days = {str(name): frame[name].dt.strftime("%Y-%m-%d") for name in frame if _holds_days(frame[name])}
        rows = frame.assign(**days)
        rows.to_json(file, orient="records", date_format="iso", indent=1, double_precision=15, force_ascii=False)
        file.write("\n")
    else:
        write_csv(frame, file)


def _holds_days(column: pd.Series) -> bool:
    """Whether a column of times holds whole days only, as dates come out of DuckDB."""
    if not pd.api.types.is_datetime64_any_dtype(column):
        return False
    times = column.dropna()
    return bool((times.dt.normalize() == times).all())


# ---- CSV -------------------------------------------------------------------------------------------------------------


def csv(frame: pd.DataFrame) -> bytes:
    """A table for a spreadsheet: CSV in UTF-8 with its mark."""
    text = io.StringIO()
    write_csv(frame, text)
    return text.getvalue().encode("utf-8-sig")


def write_csv(frame: pd.DataFrame, file: IO[str]) -> None:
    """CSV for people and spreadsheets: lists joined by semicolons, text that looks like a formula made harmless."""
    pd.DataFrame({name: _column(frame[name]) for name in frame.columns}).to_csv(file, index=False)


def _column(column: pd.Series) -> pd.Series:
    if pd.api.types.is_bool_dtype(column):
        return column.map({True: "true", False: "false"})
    if pd.api.types.is_numeric_dtype(column) or pd.api.types.is_datetime64_any_dtype(column):
        return column
    return pd.Series([_cell(value) for value in column], index=column.index, dtype=object)


def _cell(value: Any) -> Any:
    if isinstance(value, bool):
        return "true" if value else "false"
    cell = safe_cell(_joined(value))
    # A bare carriage return is not quoted by pandas, and would begin a row that starts as it likes.
    return cell.replace("\r\n", "\n").replace("\r", "\n") if isinstance(cell, str) else cell


def _joined(value: Any) -> Any:
    """A list as text, its items joined by semicolons; anything else as it is."""
    if isinstance(value, list | tuple) or type(value).__name__ == "ndarray":
        return "; ".join(map(str, value))
    return value


# ---- XLSX ------------------------------------------------------------------------------------------------------------


def xlsx(frame: pd.DataFrame, told: About) -> bytes:
    """A workbook: the table on its first sheet, and on the second what it is.

    Text is text whatever it looks like, numbers are numbers, days are days; the header is bold and stays in sight.

    Raises
    ------
    TooManyRows
    """
    if len(frame) >= SHEET_ROWS:
        raise TooManyRows(
            f"A sheet holds {labels.count(SHEET_ROWS - 1)} rows, and this table has {labels.count(len(frame))}. "
            "Save it as CSV or Parquet, or keep fewer rows with --where."
        )
    import xlsxwriter

    content = io.BytesIO()
    # Row by row: a long table is never held in memory as cells.
    options = {"constant_memory": True, "strings_to_formulas": False, "strings_to_urls": False}
    with xlsxwriter.Workbook(content, options) as workbook:
        # The same snapshot gives the same file: the time is the snapshot's, not the clock's.
        workbook.set_properties({"title": told.what} | ({"created": told.made_at} if told.made_at else {}))
        _write_table(workbook, frame, told.choices)
        _write_about(workbook, told)
    return content.getvalue()


def _write_table(workbook: Any, frame: pd.DataFrame, choices: Mapping[str, Sequence[str]]) -> None:
    sheet = workbook.add_worksheet("Table")
    bold = workbook.add_format({"bold": True, "bottom": 1})
    day = workbook.add_format({"num_format": "yyyy-mm-dd", "align": "left"})
    time = workbook.add_format({"num_format": "yyyy-mm-dd hh:mm:ss", "align": "left"})
    columns = [frame.iloc[:, place] for place in range(frame.shape[1])]
    forms = [day if _holds_days(column) else time for column in columns]
    sheet.freeze_panes(1, 0)
    for place, (name, column) in enumerate(zip(frame.columns, columns, strict=True)):
        sheet.set_column(place, place, _width(str(name), column))
        sheet.write_string(0, place, _text(str(name)), bold)
        if name in choices and len(frame):
            sheet.data_validation(1, place, len(frame), place, {"validate": "list", "source": list(choices[name])})
    for row, values in enumerate(zip(*columns, strict=True), start=1):
        for place, value in enumerate(values):
            _write_cell(sheet, row, place, _joined(value), forms[place])


def _write_cell(sheet: Any, row: int, place: int, value: Any, time_form: Any) -> None:
    """One value as what it is; what is missing, and what is no number at all, stays blank."""
    if isinstance(value, str):
        sheet.write_string(row, place, _text(value))
    elif value is None or value is pd.NaT or value is pd.NA:
        return
    elif isinstance(value, bool) or type(value).__name__ == "bool":
        sheet.write_boolean(row, place, bool(value))
    elif isinstance(value, date):  # a datetime is one too
        sheet.write_datetime(row, place, _without_zone(value), time_form)
    elif not isinstance(value, Number):
        sheet.write_string(row, place, _text(str(value)))
    elif math.isfinite(value):  # type: ignore[arg-type]
        sheet.write_number(row, place, float(value))  # type: ignore[arg-type]


def _without_zone(value: date) -> date:
    """A time in UTC without its zone, which a workbook cannot hold."""
    if isinstance(value, pd.Timestamp):
        value = value.to_pydatetime(warn=False)
    if isinstance(value, datetime) and value.tzinfo:
        return value.astimezone(UTC).replace(tzinfo=None)
    return value


def _text(value: str) -> str:
    return str(safe_cell(value))[:CELL_CHARACTERS]


def _width(name: str, column: pd.Series) -> int:
    """Wide enough for the header and for the first rows, in characters."""
    if _holds_days(column):
        return max(len(name) + 2, 11)
    longest = max((len(str(_joined(value))) for value in column.head(_WIDTH_FROM_ROWS)), default=0)
    if pd.api.types.is_float_dtype(column):
        longest = min(longest, 12)
    return min(_MOST_WIDTH, max(_LEAST_WIDTH, len(name) + 2, longest + 1))


def _write_about(workbook: Any, told: About) -> None:
    """The second sheet: what the table is, of what snapshot, under which rules, and how far it may be trusted."""
    sheet = workbook.add_worksheet("About")
    bold, wrapped = workbook.add_format({"bold": True, "valign": "top"}), workbook.add_format({"text_wrap": True})
    for place, width in enumerate(_ABOUT_WIDTHS):
        sheet.set_column(place, place, width)
    made = labels.day(told.made_at) if told.made_at else ""
    rows = [
        ("Table", told.what),
        ("Within", told.within),
        ("Snapshot", f"{told.snapshot} of {made}" if made else told.snapshot),
        ("Rules", f"catalog {told.catalog}" if told.catalog else ""),
        *(("Caution" if not place else "", caution) for place, caution in enumerate(labels.CAUTIONS)),
        *told.columns.items(),
    ]
    for row, (name, text) in enumerate((name, text) for name, text in rows if text):
        sheet.write_string(row, 0, _text(name), bold)
        sheet.write_string(row, 1, _text(text), wrapped)
