"""Topics by inspectors: a cell says what was found against what peers would have found; only what differs has color."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import altair as alt
import pandas as pd

from dashboard import labels
from dashboard.charts import theme
from dashboard.charts.topic_grid import NARROW_PX, broken_names, quoted
from dashboard.measures.comparisons import MADE
from dashboard.measures.rows import each

COLUMNS = ("inspector_id", "topic", "title", "found", "expected", "signal")
ROW_PX = 30
#: Under this many pixels a column says "91 / 19" without a word, under the next one a sign alone.
_WORDS_PX, _FIGURES_PX = 96, 50
_MOST_PX = 130  # a column is no wider
_SIGNS = {"higher": "+", "lower": "−"}
_WORDS = {"higher": "more:", "lower": "fewer:"}


def inspector_grid(
    frame: pd.DataFrame,
    what: str,
    colors: theme.Palette,
    address: Mapping[tuple[str, str], str] | None = None,
) -> alt.LayerChart:
    """Grid of topics (rows, in the order given) and inspectors (columns, in the order given).

    Parameters
    ----------
    frame
        Rows of :func:`dashboard.measures.comparisons.compared` of one kind, with the topics' ``title``.
    what
        What is counted: "written up".
    address
        Where a click on a cell leads, by inspector and topic; None for nowhere.
    """
    theme.require(frame, COLUMNS, "inspector_grid")
    cells = _told(frame, what, address)
    people, titles = list(dict.fromkeys(cells["inspector_id"])), list(dict.fromkeys(cells["title"]))
    wide = f"min(width,{_MOST_PX * max(len(people), 1)})"
    column = f"({wide}/{max(len(people), 1)})"
    x = alt.X(
        "inspector_id:N",
        sort=people,
        scale=alt.Scale(paddingInner=0.04, range=[0, alt.ExprRef(wide)]),
        axis=alt.Axis(
            orient="top",
            title=None,
            labelExpr=_names(people, column),
            labelLimit=alt.ExprRef(f"{column}+4"),
            labelFontSize=alt.ExprRef(f"{column}<{_FIGURES_PX}?{theme.SMALL_SIZE}:{theme.FIGURE_SIZE}"),
            labelOverlap=False,
            labelColor=colors.ink,
            grid=False,
        ),
    )
    y = alt.Y(
        "title:N",
        sort=titles,
        scale=alt.Scale(paddingInner=0.1),
        axis=alt.Axis(
            title=None,
            labelExpr=broken_names(titles),
            labelFontSize=alt.ExprRef(f"width<{NARROW_PX}?{theme.SMALL_SIZE}:{theme.NAME_SIZE}"),
            labelColor=colors.ink,
            labelLimit=200,
            grid=False,
        ),
    )
    # The figure lies upon its cell: it leads where the cell does.
    link: dict[str, Any] = {"href": alt.Href("href:N")} if address else {}
    layers = [_cells(cells, x, y, colors, link), *_figures(cells, x, y, colors, column, link)]
    return theme.themed(alt.layer(*layers), colors, ROW_PX * max(len(titles), 1) + 34, alternative_text(frame, what))


def alternative_text(frame: pd.DataFrame, what: str) -> str:
    """The answer of the picture in words: which cells differ, of how many that were compared."""
    compared = frame[frame["signal"].isin(MADE)]
    if compared.empty:
        return f"None of {labels.plural(len(frame), 'cell')} could be compared."
    out = compared[compared["signal"] != "none"]
    said = (
        f"{labels.part_of(len(out), len(compared))} cells {'differs' if len(out) == 1 else 'differ'} by more than luck"
    )
    told = "; ".join(f"{row.title}, {row.inspector_id}, {_counted(row, what)}" for row in each(out))
    return f"{said}: {told}." if told else f"{said}."


def _counted(row: Any, what: str) -> str:
    return f"{labels.count(row.found)} {what}, peers about {labels.few(row.expected)}"


def _told(frame: pd.DataFrame, what: str, address: Mapping[tuple[str, str], str] | None) -> pd.DataFrame:
    cells = frame.loc[:, list(COLUMNS)].reset_index(drop=True)
    figures = [
        f"{labels.count(row.found)} / {labels.few(row.expected)}" if row.signal in MADE else "" for row in each(cells)
    ]
    cells["figure"] = figures
    cells["long"] = [
        f"{_WORDS[row.signal]} {row.figure}" if row.signal in _WORDS else row.figure or labels.NOT_COMPARED[row.signal]
        for row in each(cells)
    ]
    cells["middle"] = [row.figure or labels.NOT_COMPARED_SHORT[row.signal] for row in each(cells)]
    cells["sign"] = [_SIGNS.get(row.signal, "") for row in each(cells)]
    cells["counted"] = [
        _counted(row, what) if row.signal in MADE else f"{labels.count(row.found)} {what}" for row in each(cells)
    ]
    cells["means"] = cells["signal"].map(labels.COMPARED)
    cells["said"] = [f"{row.title}, {row.inspector_id}: {row.counted}, {row.means}" for row in each(cells)]
    if address:
        cells["href"] = [address[row.inspector_id, row.topic] for row in each(cells)]
    return cells


def _names(people: list[str], column: str) -> str:
    """A Vega expression from an inspector to the name shown; two letters where a column has no room for more."""
    short = ",".join(f"{quoted(name)}:{quoted(shown)}" for name, shown in zip(people, short_names(people), strict=True))
    return f"{column}<{_FIGURES_PX}?({{{short}}})[datum.value]:datum.value"


def short_names(people: list[str]) -> list[str]:
    """At most two letters each: the first two, or where these do not differ the last two, else their numbers."""
    for cut in (lambda name: name[:2], lambda name: name[-2:]):
        cuts = [cut(name) for name in people]
        if len(set(cuts)) == len(people):
            return cuts
    return [str(at) for at in range(1, len(people) + 1)]


def _cells(cells: pd.DataFrame, x: alt.X, y: alt.Y, colors: theme.Palette, link: dict[str, Any]) -> alt.Chart:
    shade = alt.FillValue(
        colors.ground,
        condition=[
            {"test": "datum.signal=='higher'", "value": colors.accent},
            {"test": "datum.signal=='none'", "value": colors.panel},
        ],
    )
    outline = alt.StrokeValue(
        colors.grid,
        condition=[
            {"test": "datum.signal=='lower'||datum.signal=='higher'", "value": colors.accent},
            {"test": "datum.signal=='none'", "value": colors.panel},
        ],
    )
    tooltip = [
        alt.Tooltip("title:N", title="Topic"),
        alt.Tooltip("inspector_id:N", title="Inspector"),
        alt.Tooltip("counted:N", title="Counts"),
        alt.Tooltip("means:N", title="Differs"),
    ]
    wide = alt.StrokeWidthValue(1, condition={"test": "datum.signal=='lower'", "value": 2.5})
    return (
        alt.Chart(cells)
        .mark_rect(cursor="pointer", aria=not cells.empty)
        .encode(
            x=x,
            y=y,
            fill=shade,
            stroke=outline,
            strokeWidth=wide,
            tooltip=tooltip,
            description=alt.Description("said:N"),
            **link,
        )
    )


def _figures(
    cells: pd.DataFrame, x: alt.X, y: alt.Y, colors: theme.Palette, column: str, link: dict[str, Any]
) -> list[alt.Chart]:
    differs = cells["signal"].isin(list(_SIGNS))
    text = f"{column}<{_FIGURES_PX}?datum.sign:{column}<{_WORDS_PX}?datum.middle:datum.long"
    size = alt.ExprRef(f"{column}<{_FIGURES_PX + 14}?{theme.SMALL_SIZE}:{theme.FIGURE_SIZE}")
    layers = []
    weights: tuple[tuple[pd.DataFrame, Any], ...] = ((cells[~differs], 400), (cells[differs], 600))
    for rows, weight in weights:
        if rows.empty:
            continue
        color = alt.ColorValue(
            colors.soft,
            condition=[
                {"test": "datum.signal=='higher'", "value": colors.ground},
                {"test": "datum.signal=='lower'", "value": colors.accent},
            ],
        )
        layers.append(
            alt.Chart(rows)
            .transform_calculate(shown=text)
            .mark_text(fontSize=size, fontWeight=weight, baseline="middle", tooltip=False)
            .encode(x=x, y=y, text=alt.Text("shown:N"), color=color, **link)
        )
    return layers
