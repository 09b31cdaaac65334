"""Topics by the wrong calls that training could avoid: claimed too much and too little end to end, never netted.

Each row is a topic: its name, between which places it lies; what it is made of; and a bar whose length is the sum, with
the interval of the sum as a line below it.
"""

from __future__ import annotations

from typing import Any

import altair as alt
import pandas as pd

from dashboard import labels
from dashboard.charts import listing, theme
from dashboard.measures.rows import each

COLUMNS = (
    *("topic", "name", "avoidable", "avoidable_low", "avoidable_high", "avoidable_too_much", "avoidable_too_little"),
    *("rank_low", "rank_high", "suggested"),
)
SELECTION = "training_topic"
TITLE = "Avoidable in a quarter, by weight"
_BAR_PX = 11
#: The interval lies below the bar, so that it hides neither part; its ends are so high.
_BELOW_PX, _CAP_PX = 10, 7
#: The two ways, in the order of the parts of a bar: column, outcome whose color and glyph they have, in words.
_PARTS = (("avoidable_too_much", "overcalled", "too much"), ("avoidable_too_little", "missed", "too little"))
#: Gridlines stand this far apart, the first step at which five reach the longest interval.
_STEPS = (1, 2, 5, 10, 20, 50, 100, 200, 500, 1000)


def training_bars(frame: pd.DataFrame, of: int, colors: theme.Palette) -> alt.LayerChart:
    """Bars of what training could avoid, a topic a row, in the order of the rows.

    Parameters
    ----------
    frame
        Rows of :func:`dashboard.measures.training_topics.training_topics` with the topics' ``name``.
    of
        How many topics have a place.
    """
    theme.require(frame, COLUMNS, "training_bars")
    rows = listing.placed(_worded(frame, of).reset_index(drop=True))
    values = _gridlines(float(max(1.0, rows["avoidable_high"].max())))
    axis = alt.Axis(title=TITLE, values=values, format="~f", labelFlush=True)
    y = listing.down("mark_y", len(rows))

    def across(field: str) -> alt.X:
        return listing.across(field, values[-1], axis)

    layers = [
        *_bars(rows, across, y, colors),
        *_intervals(rows, across, y, colors),
        *listing.words(rows, colors),
        _targets(rows, colors),
    ]
    return theme.themed(alt.layer(*layers), colors, listing.height(len(rows)) + 58, alternative_text(frame, of))


def alternative_text(frame: pd.DataFrame, of: int) -> str:
    """The answer in words: the first topics with what training could avoid, its interval and their places."""
    if frame.empty:
        return "No topic to show."
    told = [f"{row.name}: {figure(row)} avoidable, {_parts(row)}, {place(row, of)}" for row in each(frame.head(3))]
    more = len(frame) - len(told)
    rest = f"; and {labels.plural(more, 'more topic')}" if more else ""
    return f"{'; '.join(told)}{rest}."


def place(row: Any, of: int) -> str:
    """``place 2 to 6 of 47``: the interval of a topic's place."""
    ends = [str(row.rank_low)] if row.rank_low == row.rank_high else [str(row.rank_low), "to", str(row.rank_high)]
    return labels.join("place", *ends, "of", labels.count(of))


def figure(row: Any) -> str:
    """``35 (28 to 44)``: what training could avoid, with its interval."""
    ends = labels.join(labels.few(row.avoidable_low), "to", labels.few(row.avoidable_high))
    return f"{labels.few(row.avoidable)} ({ends})"


def _parts(row: Any) -> str:
    told = [
        labels.join(labels.GLYPHS[outcome], labels.few(getattr(row, column)), way) for column, outcome, way in _PARTS
    ]
    return ", ".join(told)


def _worded(frame: pd.DataFrame, of: int) -> pd.DataFrame:
    rows = frame.loc[:, list(COLUMNS)]
    return rows.assign(
        below=[f"{_parts(row)} · {labels.WHOM[row.suggested]}" for row in each(rows)],
        counted=[place(row, of) for row in each(rows)],
        figure=[figure(row) for row in each(rows)],
        said=[f"{row.name}: {figure(row)}, {_parts(row)}, {place(row, of)}" for row in each(rows)],
    )


def _gridlines(largest: float) -> list[float]:
    step = next((step for step in _STEPS if largest <= 5 * step), _STEPS[-1])
    return [float(step * line) for line in range(int(-(-largest // step)) + 1)]


def _bars(rows: pd.DataFrame, across: Any, y: alt.Y, colors: theme.Palette) -> list[alt.Chart]:
    """The two parts of each bar, one after the other; a part of nothing is not drawn."""
    layers, start = [], pd.Series(0.0, rows.index)
    for column, outcome, _words in _PARTS:
        end = start + rows[column]
        part = pd.DataFrame({"start": start, "end": end, "mark_y": rows["mark_y"]})[end > start]
        bar = alt.Chart(part).mark_bar(height=_BAR_PX, color=colors.outcome(outcome), stroke=colors.ground)
        layers += [bar.encode(x=across("start"), x2=alt.X2("end:Q"), y=y)] if len(part) else []
        start = end
    return layers


def _intervals(rows: pd.DataFrame, across: Any, y: alt.Y, colors: theme.Palette) -> list[alt.Chart]:
    """The interval of the sum: a line with two ends, below the bar."""
    kept = rows.loc[:, ["avoidable_low", "avoidable_high", "mark_y"]]
    line = alt.Chart(kept).encode(x=across("avoidable_low"), x2=alt.X2("avoidable_high:Q"), y=y)
    ends = [
        alt.Chart(kept.loc[:, [end, "mark_y"]])
        .mark_tick(orient="vertical", thickness=2, size=_CAP_PX, yOffset=_BELOW_PX, color=colors.ink)
        .encode(x=across(end), y=y)
        for end in ("avoidable_low", "avoidable_high")
    ]
    return [line.mark_rule(strokeWidth=2, yOffset=_BELOW_PX, color=colors.ink), *ends]


def _targets(rows: pd.DataFrame, colors: theme.Palette) -> alt.Chart:
    """What is clicked: the whole row, over everything that is drawn in it."""
    at = pd.Series(range(len(rows)), rows.index, dtype="float64")
    whole = rows.loc[:, ["topic", "name", "said", "figure", "counted"]].assign(y=at, y1=at + 1)
    y = alt.Y("y:Q", scale=alt.Scale(domain=[max(len(rows), 1), 0], nice=False), axis=None)
    chosen = alt.selection_point(name=SELECTION, fields=["topic"], on="click", empty=False, toggle=False)
    return (
        alt.Chart(whole)
        .mark_rect(fill=colors.ground, fillOpacity=0, stroke=None, cursor="pointer")
        .encode(
            x=alt.XValue(0),
            x2=alt.X2Value("width"),
            y=y,
            y2=alt.Y2("y1:Q"),
            description=alt.Description("said:N"),
            tooltip=[
                alt.Tooltip("name:N", title="Topic"),
                alt.Tooltip("figure:N", title="Avoidable"),
                alt.Tooltip("counted:N", title="Place"),
            ],
        )
        .add_params(chosen)
    )
