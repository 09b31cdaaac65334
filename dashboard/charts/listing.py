"""Lists that are drawn: each row its name with a count, a second line in soft, and below them its mark with a figure.

Everything stands inside the plot, so that one picture serves a phone and a desk: the marks end where the column of
figures at the right begins.
"""

from __future__ import annotations

from typing import Any

import altair as alt
import pandas as pd

from dashboard.charts import theme

ROW_PX = 64
#: What a list of rows needs for its words.
WORDS = ("name", "below", "counted", "figure")
_FIGURES_PX = 112
#: Where name, second line and mark stand within a row, from its top.
_NAME, _BELOW, _MARK = 0.17, 0.45, 0.74
#: What names and second lines leave to the counts.
_COUNTS_PX = 96


def placed(rows: pd.DataFrame) -> pd.DataFrame:
    """The rows with their places from the top, one below the other."""
    at = pd.Series(range(len(rows)), index=rows.index, dtype="float64")
    return rows.assign(name_y=at + _NAME, below_y=at + _BELOW, mark_y=at + _MARK)


def height(rows: int) -> int:
    """The height of so many rows in pixels, axis apart."""
    return ROW_PX * max(rows, 1)


def across(field: str, largest: float, axis: alt.Axis | None) -> alt.X:
    """The scale of the marks: from zero at the left to ``largest`` where the figures begin."""
    ends: list[Any] = [0, alt.ExprRef(f"width-{_FIGURES_PX}")]
    return alt.X(f"{field}:Q", scale=alt.Scale(domain=[0, largest], range=ends, nice=False), axis=axis)


def down(field: str, rows: int) -> alt.Y:
    """The scale of the rows, the first at the top."""
    return alt.Y(f"{field}:Q", scale=alt.Scale(domain=[max(rows, 1), 0], nice=False), axis=None)


def words(rows: pd.DataFrame, colors: theme.Palette) -> list[alt.Chart]:
    """Names with their counts, second lines, and the figures beside the marks."""
    base = alt.Chart(rows.loc[:, [*WORDS, "name_y", "below_y", "mark_y"]])
    left: dict[str, Any] = {"align": "left", "baseline": "middle"}
    right: dict[str, Any] = {"align": "right", "baseline": "middle"}
    n = len(rows)
    name = base.encode(x=alt.XValue(0), y=down("name_y", n), text=alt.Text("name:N"))
    below = base.encode(x=alt.XValue(0), y=down("below_y", n), text=alt.Text("below:N"))
    counted = base.encode(x=alt.XValue("width"), y=down("name_y", n), text=alt.Text("counted:N"))
    figure = base.encode(x=alt.XValue("width"), y=down("mark_y", n), text=alt.Text("figure:N"))
    limit = alt.ExprRef(f"width-{_COUNTS_PX}")
    soft: dict[str, Any] = {"fontSize": theme.FIGURE_SIZE, "color": colors.soft}
    return [
        *theme.with_halo(name, colors, **left, fontSize=theme.NAME_SIZE, limit=limit, color=colors.ink),
        *theme.with_halo(below, colors, **left, **soft, limit=alt.ExprRef("width")),
        *theme.with_halo(counted, colors, **right, **soft),
        *theme.with_halo(figure, colors, **right, **soft),
    ]
