"""Rows that were refused and have not come back mended: why, of which reports, and as a table to mend."""

from __future__ import annotations

import pandas as pd

from dashboard.warehouse import Snapshot

OBSERVATIONS = "observations"
#: Columns that every observation needs, whether a refused row filled them or not.
REQUIRED = ("report_id", "inspected_on", "inspector_id", "region", "observation_no", "topic", "call")
#: A reason is a code, a colon and a sentence that begins with the column, where one column is at fault.
_REASON = r"^(?P<reason>\w+): (?:(?P<column>\w+) )?"


def to_mend(snapshot: Snapshot) -> pd.DataFrame:
    """The refused rows of all loads that are outstanding, as ``evenhand rejects`` gives those of the newest load.

    ``evenhand load FILE --mend`` takes the table back, mended; file and row tell it which refused row each one was.

    Returns
    -------
    DataFrame
        file, row, reasons (joined by a semicolon); table, where any row is none of an observation; then, as they were
        received, the columns of observations that any of the rows filled or every row needs, and those of further
        tables that refused rows are of.
    """
    found = snapshot.query("refused")
    received: list[dict[str, str]] = [dict(cells or {}) for cells in found["received"]]
    kept = _columns(snapshot, set(found["input_table"]), {name for cells in received for name in cells})
    where = {
        "file": found["file"],
        "row": found["row"].astype("Int64"),
        "reasons": ["; ".join(reasons) for reasons in found["reasons"]],
    }
    which = {"table": found["input_table"]} if set(found["input_table"]) - {OBSERVATIONS} else {}
    return pd.DataFrame(where | which | {name: _texts([cells.get(name) for cells in received]) for name in kept})


def _columns(snapshot: Snapshot, of: set[str], filled: set[str]) -> list[str]:
    needed = {*REQUIRED, *filled} if OBSERVATIONS in of or not of else set()
    kept = [name for name in snapshot.query("observation_columns").columns if name in needed]
    further = snapshot.query("further_columns")
    return list(dict.fromkeys([*kept, *further.loc[further["input_table"].isin(of), "column_name"]]))


def refused_reasons(snapshot: Snapshot) -> pd.DataFrame:
    """Why rows are refused: what is wrong with which column.

    A row that is refused for two reasons counts under both.

    Returns
    -------
    DataFrame
        One row a reason x column; most rows first.

        - reason: its code, ``not_a_number``
        - column: the column at fault, None where it is not one alone
        - rows: rows refused for it
        - example: what one of them holds there, None where it is blank
        - file, row: where that one stands
    """
    found = snapshot.query("refused")
    single = found.explode("reasons", ignore_index=True)
    parts = single["reasons"].astype("str").str.extract(_REASON)
    named = {*snapshot.query("observation_columns").columns, *snapshot.query("further_columns")["column_name"]}
    column = parts["column"].where(parts["column"].isin(named))
    held = [dict(cells or {}).get(name) for cells, name in zip(single["received"], column, strict=True)]
    each = pd.DataFrame(
        {
            "reason": parts["reason"],
            "column": _texts([name if name in named else None for name in column]),
            "example": _texts(held),
            "file": single["file"],
            "row": single["row"].astype("Int64"),
        }
    )
    rows = each.groupby(["reason", "column"], dropna=False)["reason"].transform("size")
    first = each.assign(rows=rows.astype("int64")).drop_duplicates(["reason", "column"])
    in_order = first.sort_values(["rows", "reason", "column"], ascending=[False, True, True], kind="stable")
    return in_order[["reason", "column", "rows", "example", "file", "row"]].reset_index(drop=True)


def incomplete_reports(snapshot: Snapshot) -> pd.DataFrame:
    """The reports that lack rows, since these are still refused; the newest first.

    Returns
    -------
    DataFrame
        One row a report: report_id, inspected_on and inspector_id (missing where nothing of it is loaded),
        rows_refused, observations (how many rows of it are loaded), file (its files, joined by a semicolon).
    """
    return snapshot.query("incomplete_reports")


def _texts(values: list[str | None]) -> pd.Series:
    """A column of text that is one even where nothing is in it."""
    return pd.Series(values, dtype="str")
