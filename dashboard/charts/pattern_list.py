"""Kinds of write-up that fail: the share that does not hold with its interval, the firm as short lines beside it."""

from __future__ import annotations

import altair as alt
import pandas as pd

from dashboard import labels
from dashboard.charts import theme
from dashboard.measures.rows import each

COLUMNS = ("pattern_id", "name", "wrong", "judged", "share", "share_low", "share_high")
SELECTION = "pattern"
ROW_PX = 40


def pattern_list(
    frame: pd.DataFrame,
    firm_share: float | None,
    axis_title: str,
    colors: theme.Palette,
    outcome: str = "overcalled",
) -> alt.LayerChart:
    """List of patterns, each with its name and count above a dot with its interval on 0 to 100 %.

    Parameters
    ----------
    frame
        One row a pattern, in the order to show: ``pattern_id``, ``name``, ``wrong`` and ``judged`` (counts), ``share``,
        ``share_low``, ``share_high`` (0 to 1).
    firm_share
        The same share over all judged calls; None for no line.
    outcome
        ``overcalled`` (▲) or ``missed`` (▼): color and shape of the marks.
    """
    theme.require(frame, COLUMNS, "pattern_list")
    rows = frame.loc[:, list(COLUMNS)].reset_index(drop=True)
    rows["y"] = [place + 0.78 for place in range(len(rows))]
    rows["name_y"] = [place + 0.36 for place in range(len(rows))]
    rows["counted"] = [labels.part_of(row.wrong, row.judged) for row in each(rows)]
    rows["told"] = [labels.percent_with_interval(row.share, row.share_low, row.share_high) for row in each(rows)]
    rows["said"] = [f"{row.name}: {row.told}" for row in each(rows)]
    axis = theme.percent_axis(axis_title, [0, 0.5, 1])
    x = alt.X("share:Q", scale=alt.Scale(domain=[0, 1]), axis=axis)
    y = alt.Y("y:Q", scale=alt.Scale(domain=[len(rows) + 0.2, 0], nice=False), axis=None)
    name_y = alt.Y("name_y:Q", scale=y["scale"], axis=None)
    layers = [
        *_line(firm_share, len(rows), x, y, colors),
        *_marks(rows, x, y, colors, outcome),
        *_words(rows, name_y, colors),
    ]
    return theme.themed(
        alt.layer(*layers), colors, ROW_PX * max(len(rows), 1) + 62, alternative_text(frame, firm_share, outcome)
    )


def alternative_text(frame: pd.DataFrame, firm_share: float | None, outcome: str = "overcalled") -> str:
    """The answer of the picture in words: the first kinds with count, share and interval."""
    if frame.empty:
        return "No kind to show."
    verbs = ("does not hold", "do not hold") if outcome == "overcalled" else ("was passed over", "were passed over")
    told = [
        f"{row.name}: {labels.part_of(row.wrong, row.judged)} {verbs[row.wrong != 1]} "
        f"({labels.percent(row.share)}, {labels.interval(row.share_low, row.share_high)})"
        for row in each(frame.head(3))
    ]
    more = len(frame) - len(told)
    rest = f"; and {labels.plural(more, 'more kind')}" if more else ""
    firm = f" All together: {labels.percent(firm_share)}." if firm_share is not None else ""
    return f"{'; '.join(told)}{rest}.{firm}"


def _line(firm_share: float | None, rows: int, x: alt.X, y: alt.Y, colors: theme.Palette) -> list[alt.Chart]:
    """The firm as a short line beside each interval, so that it does not cross the names."""
    if firm_share is None:
        return []
    ends = pd.DataFrame({"share": firm_share, "y": [row + 0.6 for row in range(rows)]}).assign(
        end=lambda ends: ends["y"] + 0.36
    )
    return [alt.Chart(ends).mark_rule(color=colors.soft, strokeWidth=1).encode(x=x, y=y, y2=alt.Y2("end:Q"))]


def _marks(rows: pd.DataFrame, x: alt.X, y: alt.Y, colors: theme.Palette, outcome: str) -> list[alt.Chart]:
    chosen = alt.selection_point(name=SELECTION, fields=["pattern_id"], on="click", empty=False, toggle=False)
    color = colors.outcome(outcome)
    shape = "triangle-up" if outcome == "overcalled" else "triangle-down"
    tooltip = [
        alt.Tooltip("name:N", title="Kind"),
        alt.Tooltip("counted:N", title=labels.OUTCOMES[outcome].capitalize()),
        alt.Tooltip("told:N", title="Share"),
    ]
    bars = alt.Chart(rows).mark_rule(strokeWidth=2, color=color)
    marks = alt.Chart(rows).mark_point(filled=True, opacity=1, shape=shape, size=105, color=color, cursor="pointer")
    return [
        bars.encode(x=alt.X("share_low:Q", axis=x["axis"]), x2=alt.X2("share_high:Q"), y=y),
        marks.encode(x=x, y=y, tooltip=tooltip, description=alt.Description("said:N")).add_params(chosen),
    ]


def _words(rows: pd.DataFrame, y: alt.Y, colors: theme.Palette) -> list[alt.Chart]:
    base = alt.Chart(rows)
    name = base.encode(x=alt.XValue(0), y=y, text=alt.Text("name:N"))
    counted = base.encode(x=alt.XValue("width"), y=y, text=alt.Text("counted:N"))
    return [
        *theme.with_halo(
            name,
            colors,
            align="left",
            fontSize=theme.NAME_SIZE,
            limit=alt.ExprRef("width-80"),
            color=colors.ink,
        ),
        *theme.with_halo(counted, colors, align="right", fontSize=theme.FIGURE_SIZE, color=colors.soft),
    ]
