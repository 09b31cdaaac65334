"""The only cache: the open snapshot, and what was measured in it.

Everything is keyed by the snapshot's file and its time stamp, the measure and its arguments; the pointer is looked at
on each run, so that the next page view shows a new snapshot. What is cached is data, but for the snapshot itself: its
queries take a cursor each, so that one connection serves all threads.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeVar

import pandas as pd
import streamlit as st

from dashboard import export
from dashboard.charts.theme import specification
from dashboard.notes.case_pack import DrawnPack
from dashboard.warehouse import Snapshot, current_file, default_folder

Found = TypeVar("Found")
_KEPT_SNAPSHOTS, _KEPT_MEASURES, _KEPT_PICTURES = 2, 300, 100


def snapshot() -> Snapshot:
    """The current snapshot of the warehouse named by ``$EVENHAND_WAREHOUSE``.

    Raises
    ------
    WarehouseError
    """
    return _opened(*_key())


def measured(measure: Callable[..., Found], *arguments: Any, **options: Any) -> Found:
    """What ``measure(snapshot, *arguments, **options)`` finds in the current snapshot, worked out once."""
    return _measured(measure, f"{measure.__module__}.{measure.__qualname__}", _key(), arguments, options)


def drawn(draw: Callable[..., Any], *arguments: Any, **options: Any) -> Any:
    """The specification of the picture that ``draw(*arguments, **options)`` gives, drawn once; None for no picture."""
    return _drawn(draw, f"{draw.__module__}.{draw.__qualname__}", arguments, options)


def table_file(frame: pd.DataFrame, form: str = "csv", what: str = "", within: str = "") -> bytes:
    """A table for a spreadsheet, no cell of which can start a formula.

    Parameters
    ----------
    form
        ``csv`` (UTF-8 with its mark) or ``xlsx`` (with a second sheet that says what the table is).
    what, within
        What the table is, and the filters in words.
    """
    return export.csv(frame) if form == "csv" else export.xlsx(frame, export.about(snapshot().info, what, within))


def case_sheet(made: DrawnPack, form: str) -> bytes:
    """The sheet of a case pack to fill in, ``csv`` or ``xlsx``."""
    return export.case_sheet(snapshot().info, made, form)


def _key() -> tuple[str, int]:
    file = current_file(default_folder()).resolve()
    return str(file), file.stat().st_mtime_ns


@st.cache_resource(
    max_entries=_KEPT_SNAPSHOTS, on_release=lambda kept: kept.close(), show_spinner="Reading the snapshot …"
)
def _opened(file: str, stamp: int) -> Snapshot:
    return Snapshot.open(default_folder())


# The function itself is not hashed; its name stands for it in the key.
@st.cache_data(max_entries=_KEPT_MEASURES, show_spinner=False)
def _measured(
    _measure: Callable[..., Any], name: str, key: tuple[str, int], arguments: tuple[Any, ...], options: dict[str, Any]
) -> Any:
    return _measure(_opened(*key), *arguments, **options)


@st.cache_data(max_entries=_KEPT_PICTURES, show_spinner=False)
def _drawn(_draw: Callable[..., Any], name: str, arguments: tuple[Any, ...], options: dict[str, Any]) -> Any:
    return specification(_draw, *arguments, **options)
