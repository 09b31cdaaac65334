"""Inspectors one below the other: how many times as often as peers each writes up, a dot with its interval."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import altair as alt
import pandas as pd

from dashboard import labels
from dashboard.charts import theme
from dashboard.measures.comparisons import DIFFERS, MADE
from dashboard.measures.rows import each

COLUMNS = ("inspector_id", "written_up", "expected", "ratio", "ratio_low", "ratio_high", "signal")
ROW_PX = 27
_NAME_DX, _COUNT_DX, _NAME_LIMIT = -176, -12, 92
#: The right end is one of these; an interval that goes on beyond it ends there.
_TOPS = (1.5, 2.0, 3.0, 4.0, 5.0, 6.0, 7.0, 8.0, 10.0, 15.0, 20.0, 30.0, 50.0, 100.0)


def ratio_dots(frame: pd.DataFrame, colors: theme.Palette, address: Mapping[str, str] | None = None) -> alt.LayerChart:
    """Dot-and-interval chart of written up / expected.

    Parameters
    ----------
    frame
        Rows of :func:`dashboard.measures.inspectors.inspectors` of one topic, in the order to show. Where too little
        was seen for a comparison, or it cannot be made, words say so in place of the dot.
    address
        Where a click on a row leads, by inspector; None for nowhere.
    """
    theme.require(frame, COLUMNS, "ratio_dots")
    rows, bottom, top = _told(frame, address)
    y = alt.Y("y:Q", scale=alt.Scale(domain=[max(len(rows), 1), -0.75], nice=False), axis=None)
    x = alt.X(
        "ratio:Q",
        scale=alt.Scale(domain=[bottom, top], nice=False),
        axis=alt.Axis(title="times as many as peers", values=_lines(bottom, top), labelExpr=theme.FEW_DECIMALS),
    )
    layers = [*_line(rows, x, y, colors), *_marks(rows, x, y, colors, address), *_words(rows, y, colors)]
    return theme.themed(alt.layer(*layers), colors, ROW_PX * (len(rows) + 1) + 60, alternative_text(frame))


def alternative_text(frame: pd.DataFrame) -> str:
    """The picture in words, row by row."""
    if frame.empty:
        return "0 inspectors to compare."
    return f"{'; '.join(_said(row) for row in each(frame))}."


def _said(row: Any) -> str:
    if row.signal not in MADE:
        return f"{row.inspector_id}: {labels.count(row.written_up)} written up, {labels.COMPARED[row.signal]}"
    return (
        f"{row.inspector_id}: {labels.count(row.written_up)} written up, peers about {labels.few(row.expected)}, "
        f"{labels.times(row.ratio, row.ratio_low, row.ratio_high)}"
    )


def _told(frame: pd.DataFrame, address: Mapping[str, str] | None) -> tuple[pd.DataFrame, float, float]:
    """The rows with their places and words, and where the axis begins and ends."""
    rows = frame.loc[:, list(COLUMNS)].reset_index(drop=True)
    compared = rows[rows["signal"].isin(MADE)]
    # The farthest interval would make all others dots: two thirds of them have room, and those that differ.
    out = compared.loc[compared["signal"].isin(DIFFERS), "ratio_high"]
    ends = [compared["ratio"].max() * 1.1, compared["ratio_high"].quantile(0.67), out.max()] if len(compared) else []
    reached = max([1.2, *(end for end in ends if labels.is_known(end))])
    top = next((top for top in _TOPS if top >= reached), reached)
    # Around 1 nothing begins at 0: with all of them near it, the axis need not reach there.
    bottom = 0.5 if top == _TOPS[0] and (compared["ratio_low"] >= 0.5).all() else 0.0
    rows["y"] = rows.index + 0.5
    rows["made"], rows["differs"] = rows["signal"].isin(MADE), rows["signal"].isin(DIFFERS)
    rows["low"], rows["high"] = rows["ratio_low"].clip(upper=top), rows["ratio_high"].fillna(top).clip(upper=top)
    rows["counted"] = [
        f"{labels.count(row.written_up)} / {labels.few(row.expected)}"
        if labels.is_known(row.expected)
        else labels.count(row.written_up)
        for row in each(rows)
    ]
    rows["instead"] = [labels.NOT_COMPARED.get(row.signal, "") for row in each(rows)]
    rows["said"] = [_said(row) for row in each(rows)]
    rows["means"] = rows["signal"].map(labels.COMPARED)
    if address:
        rows["href"] = [address[row.inspector_id] for row in each(rows)]
    return rows, bottom, float(top)


def _lines(bottom: float, top: float) -> list[float]:
    step = next(step for step in (0.25, 0.5, 1, 2, 5, 10, 20, top) if (top - bottom) / step <= 5)
    return [bottom + at * step for at in range(int((top - bottom) / step) + 1)]


def _line(rows: pd.DataFrame, x: alt.X, y: alt.Y, colors: theme.Palette) -> list[alt.Chart]:
    ends = pd.DataFrame({"ratio": [1.0], "y": [0.0], "end": [float(max(len(rows), 1))]})
    told = pd.DataFrame({"ratio": [1.0], "y": [-0.35], "text": ["as peers"]})
    return [
        alt.Chart(ends).mark_rule(color=colors.soft, strokeWidth=1).encode(x=x, y=y, y2=alt.Y2("end:Q")),
        alt.Chart(told)
        .mark_text(fontSize=theme.SMALL_SIZE, color=colors.soft, baseline="middle")
        .encode(x=x, y=y, text=alt.Text("text:N")),
    ]


def _marks(
    rows: pd.DataFrame, x: alt.X, y: alt.Y, colors: theme.Palette, address: Mapping[str, str] | None
) -> list[alt.Chart]:
    color = alt.ColorValue(colors.upheld, condition={"test": "datum.differs", "value": colors.accent})
    tooltip = [alt.Tooltip("said:N", title="Write-ups"), alt.Tooltip("means:N", title="Differs")]
    leads: dict[str, Any] = {"href": alt.Href("href:N")} if address else {}
    made = rows[rows["made"]]
    return [
        alt.Chart(made)
        .mark_rule(strokeWidth=2)
        .encode(x=alt.X("low:Q", axis=x["axis"], scale=x["scale"]), x2=alt.X2("high:Q"), y=y, color=color),
        alt.Chart(made)
        .mark_point(filled=True, opacity=1, size=90, cursor="pointer", aria=not made.empty)
        .encode(x=x, y=y, color=color, tooltip=tooltip, description=alt.Description("said:N"), **leads),
        *theme.with_halo(
            alt.Chart(rows[~rows["made"]]).encode(x=alt.XValue(0), y=y, text=alt.Text("instead:N"), **leads),
            colors,
            align="left",
            baseline="middle",
            dx=6,
            fontSize=theme.SMALL_SIZE,
            color=colors.soft,
        ),
    ]


def _words(rows: pd.DataFrame, y: alt.Y, colors: theme.Palette) -> list[alt.Chart]:
    base = alt.Chart(rows).encode(x=alt.XValue(0), y=y)
    head = alt.Chart(pd.DataFrame({"y": [-0.35], "text": ["written up / peers"]})).encode(x=alt.XValue(0), y=y)
    shade = alt.ColorValue(colors.ink, condition={"test": "datum.differs", "value": colors.accent})
    name: dict[str, Any] = {"align": "left", "baseline": "middle", "dx": _NAME_DX, "limit": _NAME_LIMIT}
    right: dict[str, Any] = {"align": "right", "baseline": "middle", "dx": _COUNT_DX, "color": colors.soft}
    return [
        base.mark_text(**name, fontSize=theme.NAME_SIZE).encode(text=alt.Text("inspector_id:N"), color=shade),
        base.mark_text(**right, fontSize=theme.FIGURE_SIZE).encode(text=alt.Text("counted:N")),
        head.mark_text(**right, fontSize=theme.SMALL_SIZE).encode(text=alt.Text("text:N")),
    ]
