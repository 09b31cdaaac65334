"""Topics that were not seen: the share of decks with its interval, the count, and the reasons in words."""

from __future__ import annotations

import altair as alt
import pandas as pd

from dashboard import labels
from dashboard.charts import listing, theme
from dashboard.measures.rows import each

COLUMNS = ("topic", "name", "reasons", "trials", "not_seen", "share", "share_low", "share_high")
SELECTION = "unseen"
_DOT_SIZE = 90


def not_seen_dots(frame: pd.DataFrame, colors: theme.Palette) -> alt.LayerChart:
    """Dot and interval a topic on one scale from zero.

    Parameters
    ----------
    frame
        Totals of :func:`dashboard.measures.not_seen.not_seen` in the order to show, with the topic's title (``name``)
        and its ``reasons`` in words.
    """
    theme.require(frame, COLUMNS, "not_seen_dots")
    rows = listing.placed(frame.loc[:, list(COLUMNS)].reset_index(drop=True))
    rows["below"] = rows["reasons"]
    rows["counted"] = [labels.part_of(row.not_seen, row.trials) for row in each(rows)]
    rows["figure"] = [labels.percent_with_interval(row.share, row.share_low, row.share_high) for row in each(rows)]
    rows["said"] = [f"{row.name} not seen: {row.counted}, {row.figure}" for row in each(rows)]
    return theme.themed(
        alt.layer(*_marks(rows, colors), *listing.words(rows, colors)),
        colors,
        listing.height(len(rows)) + 44,
        alternative_text(frame),
    )


def alternative_text(frame: pd.DataFrame) -> str:
    """The answer of the picture in words: the first three topics with share, count and reasons."""
    if frame.empty:
        return "Everything that was looked for was seen."
    told = [
        f"{row.name}: {labels.part_of(row.not_seen, row.trials)}, {labels.percent(row.share)} ({row.reasons})"
        for row in each(frame.head(3))
    ]
    return f"Topics most often not seen: {'; '.join(told)}."


def _marks(rows: pd.DataFrame, colors: theme.Palette) -> list[alt.Chart]:
    largest = max([0.02, *rows["share_high"]])
    values = theme.gridline_values(largest)
    axis = theme.percent_axis("of all times it was looked for", values)
    x = listing.across("share", max(values[-1], largest), axis)
    low = listing.across("share_low", max(values[-1], largest), axis)
    y = listing.down("mark_y", len(rows))
    tooltip = [
        alt.Tooltip("name:N", title="Topic"),
        alt.Tooltip("counted:N", title="Not seen"),
        alt.Tooltip("figure:N", title="Share"),
        alt.Tooltip("reasons:N", title="Reasons"),
    ]
    chosen = alt.selection_point(name=SELECTION, fields=["topic"], on="click", empty=False, toggle=False)
    base = alt.Chart(rows.drop(columns=["below", "name_y", "below_y"]))
    return [
        base.mark_rule(strokeWidth=2, color=colors.upheld).encode(x=low, x2=alt.X2("share_high:Q"), y=y),
        base.mark_point(filled=True, opacity=1, size=_DOT_SIZE, color=colors.upheld, cursor="pointer")
        .encode(x=x, y=y, tooltip=tooltip, description=alt.Description("said:N"))
        .add_params(chosen),
    ]
