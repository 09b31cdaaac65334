"""Measures that are missing: a bar a measure, as long as the calls that stayed undecided for want of it."""

from __future__ import annotations

from typing import Any

import altair as alt
import pandas as pd

from dashboard import labels
from dashboard.charts import listing, theme
from dashboard.measures.rows import each

COLUMNS = ("topic", "measure", "name", "topic_title", "calls", "undecided", "share", "share_low", "share_high")
SELECTION = "measure"
_BAR_PX = 10


def missing_bars(frame: pd.DataFrame, colors: theme.Palette) -> alt.LayerChart:
    """Bars of counts, each with its count and with the share of its topic's calls.

    Parameters
    ----------
    frame
        Rows of :func:`dashboard.measures.missing.missing_measures` in the order to show, with the titles of the measure
        (``name``) and of its topic (``topic_title``).
    """
    theme.require(frame, COLUMNS, "missing_bars")
    rows = listing.placed(frame.loc[:, list(COLUMNS)].reset_index(drop=True))
    rows["below"] = [_topic(row) for row in each(rows)]
    rows["counted"] = [labels.part_of(row.undecided, row.calls) for row in each(rows)]
    rows["figure"] = [labels.percent_with_interval(row.share, row.share_low, row.share_high) for row in each(rows)]
    rows["said"] = [f"{', '.join(_named(row))}: {row.counted} calls undecided" for row in each(rows)]
    return theme.themed(
        alt.layer(*_bars(rows, colors), *listing.words(rows, colors)),
        colors,
        listing.height(len(rows)),
        alternative_text(frame),
    )


def alternative_text(frame: pd.DataFrame) -> str:
    """The answer of the picture in words: the first three measures with their counts."""
    if frame.empty:
        return "No call stayed undecided for want of a measure."
    told = [
        f"{', '.join(_named(row))}, {labels.part_of(row.undecided, row.calls)} calls undecided"
        for row in each(frame.head(3))
    ]
    return f"Measures missing most: {'; '.join(told)}."


def _topic(row: Any) -> str:
    """The topic under a measure; nothing where it is called the same."""
    return "" if row.topic_title == row.name else str(row.topic_title)


def _named(row: Any) -> list[str]:
    return [text for text in (str(row.name), _topic(row)) if text]


def _bars(rows: pd.DataFrame, colors: theme.Palette) -> list[alt.Chart]:
    chosen = alt.selection_point(name=SELECTION, fields=["topic", "measure"], on="click", empty=False, toggle=False)
    tooltip = [
        alt.Tooltip("name:N", title="Measure"),
        alt.Tooltip("topic_title:N", title="Topic"),
        alt.Tooltip("counted:N", title="Undecided without it"),
        alt.Tooltip("figure:N", title="Share of the topic's calls"),
    ]
    told = ["topic", "measure", "name", "topic_title", "undecided", "counted", "figure", "said"]
    half = _BAR_PX / listing.ROW_PX / 2
    drawn = rows.loc[:, told].assign(start=0, top=rows["mark_y"] - half, bottom=rows["mark_y"] + half)
    return [
        alt.Chart(drawn)
        .mark_rect(color=colors.undecided, cursor="pointer")
        .encode(
            x=listing.across("start", max([1, *rows["undecided"]]), None),
            x2=alt.X2("undecided:Q"),
            y=listing.down("top", len(rows)),
            y2=alt.Y2("bottom:Q"),
            tooltip=tooltip,
            description=alt.Description("said:N"),
        )
        .add_params(chosen)
    ]
