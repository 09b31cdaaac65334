"""Tables out of the program: unrounded, true and false in lower case, and no cell that can start a formula."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import IO, Any

import pandas as pd

from dashboard.labels import safe_cell


def write(frame: pd.DataFrame, out: Path | None, form: str | None = None) -> None:
    """Write a table to a file or to stdout: as ``form`` says, else as the file's ending says, else as CSV."""
    form = form or (out.suffix.removeprefix(".") if out and out.suffix in (".json", ".parquet") else "csv")
    if form == "parquet":
        frame.to_parquet(out or sys.stdout.buffer, index=False)
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
    if isinstance(value, list | tuple) or type(value).__name__ == "ndarray":
        return "; ".join(map(str, value))
    return safe_cell(value)
