"""How often something was found on decks alike: a dot with its interval a topic, the count beside it."""

from __future__ import annotations

from typing import Any

import altair as alt
import pandas as pd

from dashboard import labels
from dashboard.charts import theme
from dashboard.measures.rows import each

COLUMNS = ("topic", "name", "found", "trials", "found_share", "found_share_low", "found_share_high")
ROW_PX = 24
_NAME_DX, _COUNT_DX, _NAME_LIMIT = -236, -10, 160


def found_dots(frame: pd.DataFrame, colors: theme.Palette) -> alt.LayerChart:
    """Dot and interval a topic on one scale from zero, in the order of the rows.

    Parameters
    ----------
    frame
        Rows of :func:`dashboard.measures.brief.brief` with the topics' ``name``.
    """
    theme.require(frame, COLUMNS, "found_dots")
    rows = frame.loc[:, list(COLUMNS)].reset_index(drop=True)
    rows["y"] = [place + 0.5 for place in range(len(rows))]
    rows["counted"] = [labels.part_of(row.found, row.trials) for row in each(rows)]
    rows["said"] = [f"{row.name}: {_told(row)}" for row in each(rows)]
    values = theme.gridline_values(max([0.05, *rows["found_share_high"]]))
    y = alt.Y("y:Q", scale=alt.Scale(domain=[max(len(rows), 1), 0], nice=False), axis=None)
    scale = alt.Scale(domain=[0, max([values[-1], *rows["found_share_high"]])], nice=False)
    axis = theme.percent_axis("of looks, found at least", values)
    layers = [*_marks(rows, y, scale, axis, colors), *_words(rows, y, colors)]
    return theme.themed(alt.layer(*layers), colors, ROW_PX * max(len(rows), 1) + 46, alternative_text(frame))


def alternative_text(frame: pd.DataFrame) -> str:
    """The answer in words: every topic drawn, with count, share and interval."""
    if frame.empty:
        return "Nothing was found on decks alike."
    told = [f"{row.name}: {_told(row)}" for row in each(frame)]
    return f"Found most on decks alike: {'; '.join(told)}."


def _told(row: Any) -> str:
    share = labels.percent_with_interval(row.found_share, row.found_share_low, row.found_share_high)
    return f"{labels.part_of(row.found, row.trials)} looks, {share}"


def _marks(rows: pd.DataFrame, y: alt.Y, scale: alt.Scale, axis: alt.Axis, colors: theme.Palette) -> list[alt.Chart]:
    base = alt.Chart(rows.drop(columns=["counted"]))
    line = base.mark_rule(strokeWidth=2, color=colors.upheld).encode(
        x=alt.X("found_share_low:Q", scale=scale, axis=axis), x2=alt.X2("found_share_high:Q"), y=y
    )
    dot = base.mark_point(filled=True, opacity=1, size=80, color=colors.upheld).encode(
        x=alt.X("found_share:Q", scale=scale, axis=axis),
        y=y,
        description=alt.Description("said:N"),
        tooltip=[alt.Tooltip("said:N", title="Found")],
    )
    return [line, dot]


def _words(rows: pd.DataFrame, y: alt.Y, colors: theme.Palette) -> list[alt.Chart]:
    base = alt.Chart(rows.loc[:, ["name", "counted", "y"]])
    name = base.mark_text(align="left", dx=_NAME_DX, fontSize=theme.NAME_SIZE, limit=_NAME_LIMIT, color=colors.ink)
    count = base.mark_text(align="right", dx=_COUNT_DX, fontSize=theme.FIGURE_SIZE, color=colors.soft)
    return [
        name.encode(x=alt.XValue(0), y=y, text=alt.Text("name:N")),
        count.encode(x=alt.XValue(0), y=y, text=alt.Text("counted:N")),
    ]
