"""Share of decks with the defect, group by group: a dot with its interval, blocks on one scale, a line for the firm."""

from __future__ import annotations

from typing import Any

import altair as alt
import pandas as pd

from dashboard import labels
from dashboard.charts import theme
from dashboard.measures.rates import LEAST_DECKS
from dashboard.measures.rows import each

COLUMNS = (
    *("by", "group", "trials", "judged", "defects", "decks", "inspectors"),
    *("defect_share", "defect_share_low", "defect_share_high", "stands_out"),
)
SELECTION = "dot"
ROW_PX = 23
_NAME_DX, _COUNT_DX, _NAME_LIMIT = -200, -12, 150


def dots(frame: pd.DataFrame, firm_share: float | None, axis_title: str, colors: theme.Palette) -> alt.LayerChart:
    """Dot-and-interval chart of a topic's defect share in groups, in blocks by deck age, builder, region …

    Parameters
    ----------
    frame
        Rows of :func:`dashboard.measures.rates.defect_rates` of one topic, of one grouping after the other; blocks and
        groups come in the order of the rows. Groups of fewer than 20 decks get no dot.
    firm_share
        The whole firm's share, drawn as a thin line; None for no line.
    axis_title
        What the share is of, under 40 characters.
    """
    theme.require(frame, COLUMNS, "dots")
    rows, heads = _placed(frame)
    largest = max([0.05, *rows.loc[rows["rated"], "share_high"], *([firm_share] if firm_share is not None else [])])
    values = theme.gridline_values(largest)
    y = alt.Y("y:Q", scale=alt.Scale(domain=[len(rows) + len(heads) * 1.5, 0], nice=False), axis=None)
    x = alt.X(
        "share:Q",
        scale=alt.Scale(domain=[0, max(values[-1], largest)], nice=False),
        axis=theme.percent_axis(axis_title, values),
    )
    layers = [
        *_line(firm_share, rows, heads, x, y, colors, right=(firm_share or 0) > 0.6 * max(values[-1], largest)),
        *_marks(rows, x, y, colors),
        *_words(rows, heads, y, colors),
    ]
    height = round(ROW_PX * (len(rows) + len(heads) * 1.5)) + 62
    return theme.themed(alt.layer(*layers), colors, height, alternative_text(frame, firm_share))


def alternative_text(frame: pd.DataFrame, firm_share: float | None) -> str:
    """The answer of the picture in words: which groups stand out, with share, interval and count; else the extremes."""
    rated = frame[rated_rows(frame)]
    if rated.empty:
        return f"None of {labels.plural(len(frame), 'group')} has enough decks for a share."
    out = rated[rated["stands_out"].isin(["higher", "lower"])]
    firm = f" The whole firm: {labels.percent(firm_share)}." if firm_share is not None else ""
    if out.empty:
        ends = [_told(row) for row in each(rated.sort_values("defect_share").iloc[[0, -1]].drop_duplicates())]
        return (
            f"None of {labels.plural(len(rated), 'group')} stands out beyond luck: {labels.listed(ends, 'to')}.{firm}"
        )
    told = "; ".join(f"{_told(row)}, {row.stands_out} than the rest" for row in each(out))
    others = len(rated) - len(out)
    rest = f" {labels.plural(others, 'other group')} {'does' if others == 1 else 'do'} not stand out." if others else ""
    return f"{told}.{firm}{rest}"


def _told(row: Any) -> str:
    share = labels.percent_with_interval(row.defect_share, row.defect_share_low, row.defect_share_high)
    return f"{labels.SPLITS[row.by]} {labels.group(row.group)}: {share} of {labels.count(row.judged)} judged"


def rated_rows(frame: pd.DataFrame) -> pd.Series:
    """Which rows have a share that can be shown: enough judged, and 20 decks or more."""
    return frame["defect_share"].notna() & (frame["decks"] >= LEAST_DECKS)


def _placed(frame: pd.DataFrame) -> tuple[pd.DataFrame, pd.DataFrame]:
    """The rows with their place from the top, and one head a block; only what is drawn or told goes to the browser."""
    places, heads, y = [], [], 0.0
    for by, block in frame.groupby("by", sort=False):
        heads.append({"head": labels.SPLIT_HEADS[str(by)], "y": y + 0.5})
        places += [y + 1.5 + place for place in range(len(block))]
        y += len(block) + 1.5
    rows = frame.loc[:, list(COLUMNS)].assign(y=places)
    rows["name"] = [labels.group(name) for name in rows["group"]]
    rows["rated"] = rated_rows(frame)
    rows["judged_text"] = [labels.count(judged) for judged in rows["judged"]]
    rows["counted"] = [
        f"{labels.plural(row.trials, 'deck')} looked at, {labels.count(row.judged)} judged, "
        f"{labels.count(row.defects)} of these with a defect, by {labels.plural(row.inspectors, 'inspector')}"
        for row in each(rows)
    ]
    rows["told"] = [
        labels.percent_with_interval(row.defect_share, row.defect_share_low, row.defect_share_high)
        if row.rated
        else "too few for a rate"
        for row in each(rows)
    ]
    rows["said"] = [f"{labels.SPLITS[row.by]} {row.name}: {row.told}" for row in each(rows)]
    rows["signal"] = rows["stands_out"].isin(["higher", "lower"])
    rows = rows.rename(columns={f"defect_share{end}": f"share{end}" for end in ("", "_low", "_high")})
    return rows.reset_index(drop=True), pd.DataFrame(heads, columns=["head", "y"])


def _line(
    firm_share: float | None,
    rows: pd.DataFrame,
    heads: pd.DataFrame,
    x: alt.X,
    y: alt.Y,
    colors: theme.Palette,
    right: bool,
) -> list[alt.Chart]:
    """The line of the firm's share and its words; far ``right`` these stand before it, since they would be cut off."""
    if firm_share is None:
        return []
    ends = pd.DataFrame({"share": [firm_share], "y": [0.0], "end": [len(rows) + len(heads) * 1.5 - 0.5]})
    told = pd.DataFrame({"share": [firm_share], "y": [0.5], "text": [f"firm {labels.percent(firm_share)}"]})
    line = alt.Chart(ends).mark_rule(color=colors.soft, strokeWidth=1).encode(x=x, y=y, y2=alt.Y2("end:Q"))
    text = alt.Chart(told).encode(x=x, y=y, text=alt.Text("text:N"))
    return [
        line,
        *theme.with_halo(
            text,
            colors,
            align="right" if right else "left",
            dx=-5 if right else 5,
            fontSize=theme.FIGURE_SIZE,
            color=colors.soft,
        ),
    ]


def _marks(rows: pd.DataFrame, x: alt.X, y: alt.Y, colors: theme.Palette) -> list[alt.Chart]:
    color = alt.ColorValue(colors.upheld, condition={"test": "datum.signal", "value": colors.accent})
    tooltip = [
        alt.Tooltip("name:N", title="Group"),
        alt.Tooltip("told:N", title="With the defect"),
        alt.Tooltip("counted:N", title="Counts"),
    ]
    rated = rows[rows["rated"]]
    chosen = alt.selection_point(name=SELECTION, fields=["by", "group"], on="click", empty=False, toggle=False)
    bars = (
        alt.Chart(rated)
        .mark_rule(strokeWidth=2)
        .encode(x=alt.X("share_low:Q", axis=x["axis"]), x2=alt.X2("share_high:Q"), y=y, color=color)
    )
    dots = (
        alt.Chart(rated)
        # Without a dot, what would hold them is a picture without a name to assistive technology: hidden from it.
        .mark_point(filled=True, opacity=1, size=90, cursor="pointer", aria=not rated.empty)
        .encode(x=x, y=y, color=color, tooltip=tooltip, description=alt.Description("said:N"))
        .add_params(chosen)
    )
    return [bars, dots]


def _words(rows: pd.DataFrame, heads: pd.DataFrame, y: alt.Y, colors: theme.Palette) -> list[alt.Chart]:
    at_zero = alt.XValue(0)
    head = alt.Chart(heads).mark_text(
        align="left", dx=_NAME_DX, fontSize=theme.NAME_SIZE, fontWeight=600, color=colors.ink
    )
    name = alt.Chart(rows).mark_text(
        align="left", dx=_NAME_DX, fontSize=theme.NAME_SIZE, limit=_NAME_LIMIT, color=colors.ink
    )
    counted = alt.Chart(rows).mark_text(align="right", dx=_COUNT_DX, fontSize=theme.FIGURE_SIZE, color=colors.soft)
    too_few = alt.Chart(rows[~rows["rated"]].loc[:, ["y", "told"]]).mark_text(
        align="left", dx=4, fontSize=theme.SMALL_SIZE, color=colors.soft
    )
    judged = alt.Chart(heads.head(1).assign(head="judged")).mark_text(
        align="right", dx=_COUNT_DX, fontSize=theme.SMALL_SIZE, color=colors.soft
    )
    return [
        head.encode(x=at_zero, y=y, text=alt.Text("head:N")),
        name.encode(x=at_zero, y=y, text=alt.Text("name:N")),
        counted.encode(x=at_zero, y=y, text=alt.Text("judged_text:N")),
        judged.encode(x=at_zero, y=y, text=alt.Text("head:N")),
        too_few.encode(x=at_zero, y=y, text=alt.Text("told:N")),
    ]
