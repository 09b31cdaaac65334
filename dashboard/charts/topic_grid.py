"""Topic by group: cells shaded by the share of decks with the defect, the rate over its count; too few is hatched."""

from __future__ import annotations

from textwrap import wrap

import altair as alt
import pandas as pd

from dashboard import labels
from dashboard.charts import theme
from dashboard.charts.dots import rated_rows
from dashboard.measures.rows import each

COLUMNS = (
    *("topic", "title", "group", "trials", "judged", "defects", "decks"),
    *("defect_share", "defect_share_low", "defect_share_high", "stands_out"),
)
SELECTION = "cell"
ROW_PX = 34
#: Under this many pixels of plot, names are broken, figures smaller and counts left to the tooltip.
NARROW_PX = 300
#: Fewer judged decks than this, and a cell without a signal is hatched: it has no interval to say how little it knows.
LEAST_JUDGED = 20
#: Text on a cell turns from the one to the other where the shade has used up this share of the scale: there, and only
#: there, both have a contrast of 4.5 to 1.
TURNS = {"light": 0.685, "dark": 0.56}
CELL_TEXT = {"light": ("#000000", "#FFFFFF"), "dark": ("#FFFFFF", "#000000")}
_HATCH = "M-1,0L0,-1M-1,1L1,-1M0,1L1,0"


def topic_grid(frame: pd.DataFrame, by: str, full_scale: float, colors: theme.Palette) -> alt.LayerChart:
    """Grid of topics (rows, in the order given) and groups of one split (columns).

    Parameters
    ----------
    frame
        Rows of :func:`dashboard.measures.rates.defect_rates` of one grouping, with the topics' ``title``. Cells of
        fewer than 20 decks, or with too little judged, are hatched.
    by
        The split that the groups belong to (deck_age, builder, region, deck_height).
    full_scale
        The share (0 to 1) at which the shade is strongest; fixed for a page, so that pictures compare.
    """
    theme.require(frame, COLUMNS, "topic_grid")
    cells = _told(frame, full_scale)
    groups = labels.ordered_groups(by, cells["group"].unique())
    titles = list(dict.fromkeys(cells["title"]))
    x = alt.X(
        "group:N",
        sort=groups,
        scale=alt.Scale(paddingInner=0.04),
        axis=alt.Axis(
            orient="top",
            title=labels.SPLIT_HEADS[by],
            labelExpr=_short_names(groups),
            labelLimit=64,
            labelFontSize=alt.ExprRef(f"width<{NARROW_PX}?10:{theme.FIGURE_SIZE if _short(groups) else 11}"),
            labelOverlap=False,
            labelPadding=alt.ExprRef(f"width<{NARROW_PX}?6:{6 + 13 * (_lines(groups) - 1)}"),
            grid=False,
        ),
    )
    y = alt.Y(
        "title:N",
        sort=titles,
        scale=alt.Scale(paddingInner=0.06),
        axis=alt.Axis(
            title=None,
            labelExpr=broken_names(titles),
            labelFontSize=alt.ExprRef(f"width<{NARROW_PX}?{theme.SMALL_SIZE}:{theme.NAME_SIZE}"),
            labelColor=colors.ink,
            labelLimit=200,
            grid=False,
        ),
    )
    rated, few = cells[cells["rated"]], cells[~cells["rated"]]
    layers = [*_too_few(few, x, y, colors), *_rated(rated, x, y, full_scale, colors)]
    head = 45 + 13 * _lines(groups) if _short(groups) else 88
    return theme.themed(alt.layer(*layers), colors, ROW_PX * len(titles) + head, alternative_text(frame, by))


def alternative_text(frame: pd.DataFrame, by: str) -> str:
    """The answer of the picture in words: where the defect is found most often, and which cells stand out."""
    cells = frame[rated_rows(frame)].sort_values("defect_share", ascending=False)
    if cells.empty:
        return f"None of {labels.plural(len(frame), 'cell')} has enough decks for a share."
    most = [
        f"{row.title} on {labels.group_in_sentence(by, row.group)}, "
        f"{labels.percent_with_interval(row.defect_share, row.defect_share_low, row.defect_share_high)} "
        f"of {labels.count(row.judged)} judged"
        for row in each(cells.head(3))
    ]
    higher, lower = (int((cells["stands_out"] == side).sum()) for side in ("higher", "lower"))
    return (
        f"Found most often: {'; '.join(most)}. Of {labels.plural(len(cells), 'cell')} {labels.count(higher)} "
        f"{'stands' if higher == 1 else 'stand'} out as higher and {labels.count(lower)} as lower beyond luck."
    )


def _told(frame: pd.DataFrame, full_scale: float) -> pd.DataFrame:
    cells = frame.loc[:, list(COLUMNS)]
    cells["signal"] = cells["stands_out"].isin(["higher", "lower"])
    cells["rated"] = rated_rows(frame) & ((cells["judged"] >= LEAST_JUDGED) | cells["signal"])
    cells["rate"] = [labels.percent(row.defect_share) if row.rated else "" for row in each(cells)]
    cells["short_rate"] = [labels.whole_percent(row.defect_share) if row.rated else "" for row in each(cells)]
    cells["judged_text"] = [labels.count(judged) for judged in cells["judged"]]
    cells["few_text"] = [f"n {labels.count(judged)}" for judged in cells["judged"]]
    cells["counted"] = [
        f"{labels.plural(row.trials, 'deck')} looked at, {labels.count(row.judged)} judged, "
        f"{labels.count(row.defects)} of these with a defect"
        for row in each(cells)
    ]
    cells["told"] = [
        labels.percent_with_interval(row.defect_share, row.defect_share_low, row.defect_share_high)
        if row.rated
        else "too few for a rate"
        for row in each(cells)
    ]
    cells["said"] = [f"{row.title}, {labels.group(row.group)}: {row.told}, {row.counted}" for row in each(cells)]
    cells["shade"] = cells["defect_share"].clip(upper=full_scale)
    cells["name"] = [labels.group(name) for name in cells["group"]]
    return cells


def _short_names(groups: list[str]) -> str:
    """A Vega expression from the recorded group to its short name; names become text of a map, never of code.

    Names stand in lines of one word or two; where the plot is narrow, only their beginning does.
    """
    shown = [(name, labels.short_group(name)) for name in groups]
    lines = ",".join(f"{quoted(name)}:[{','.join(map(quoted, wrap(short, _wide(groups))))}]" for name, short in shown)
    starts = ",".join(f"{quoted(name)}:{quoted(_start(short))}" for name, short in shown)
    return f"width<{NARROW_PX}?({{{starts}}})[datum.value]:({{{lines}}})[datum.value]"


def _start(name: str) -> str:
    """As much of a name as a column of 30 pixels holds; bands are short enough."""
    return "n/k" if name == labels.UNKNOWN_SHOWN else name[:6] if name[0] in "<≤>" or name[0].isdigit() else name[:5]


def _short(groups: list[str]) -> bool:
    return all(len(labels.short_group(name)) <= 9 for name in groups)


def _lines(groups: list[str]) -> int:
    return max((len(wrap(labels.short_group(name), _wide(groups))) for name in groups), default=1)


def _wide(groups: list[str]) -> int:
    """How many letters a line of a column's name may have."""
    return 8 if _short(groups) else 11


def broken_names(titles: list[str]) -> str:
    """A Vega expression from a topic's title to itself, in two lines where the plot is narrow."""
    pairs = ",".join(f"{quoted(title)}:[{','.join(map(quoted, wrap(title, 18)))}]" for title in titles)
    return f"width<{NARROW_PX}?({{{pairs}}})[datum.value]:datum.value"


def quoted(text: str) -> str:
    safe = "".join(
        character if character.isalnum() or character == " " else f"\\u{ord(character):04x}"
        for character in text
        if ord(character) < 0x10000
    )
    return f"'{safe}'"


def _tooltip() -> list[alt.Tooltip]:
    return [
        alt.Tooltip("title:N", title="Topic"),
        alt.Tooltip("name:N", title="Group"),
        alt.Tooltip("told:N", title="With the defect"),
        alt.Tooltip("counted:N", title="Counts"),
    ]


def _too_few(few: pd.DataFrame, x: alt.X, y: alt.Y, colors: theme.Palette) -> list[alt.Chart]:
    base = alt.Chart(few)
    return [
        base.mark_rect(color=colors.ground, stroke=colors.rule, strokeWidth=1, aria=not few.empty).encode(
            x=x, y=y, tooltip=_tooltip(), description=alt.Description("said:N")
        ),
        base.mark_point(shape=_HATCH, size=ROW_PX * ROW_PX * 0.5, stroke=colors.rule, strokeWidth=1, opacity=1).encode(
            x=x, y=y
        ),
        *theme.with_halo(
            base.encode(x=x, y=y, text=alt.Text("few_text:N")), colors, fontSize=theme.SMALL_SIZE, color=colors.soft
        ),
    ]


def _rated(rated: pd.DataFrame, x: alt.X, y: alt.Y, full_scale: float, colors: theme.Palette) -> list[alt.Chart]:
    chosen = alt.selection_point(name=SELECTION, fields=["topic", "group"], on="click", empty=False, toggle=False)
    shade = alt.Color(
        "shade:Q",
        scale=alt.Scale(domain=[0, full_scale], range=list(colors.rates), interpolate="lab"),
        legend=None,
    )
    weak, strong = CELL_TEXT[colors.name]
    turns = f"datum.shade > {TURNS[colors.name] * full_scale}"
    text_color = alt.ColorValue(weak, condition={"test": turns, "value": strong})
    outline = alt.StrokeValue(None, condition={"test": "datum.signal", "value": colors.accent})
    base = alt.Chart(rated)
    return [
        # Without a cell, what would hold them is a picture without a name to assistive technology: hidden from it.
        base.mark_rect(cursor="pointer", strokeWidth=2, aria=not rated.empty)
        .encode(x=x, y=y, color=shade, stroke=outline, tooltip=_tooltip(), description=alt.Description("said:N"))
        .add_params(chosen),
        base.transform_calculate(figure=f"width<{NARROW_PX}?datum.short_rate:datum.rate")
        .mark_text(
            fontSize=alt.ExprRef(f"width<{NARROW_PX}?{theme.SMALL_SIZE}:{theme.NAME_SIZE}"),
            dy=-7,
        )
        .encode(x=x, y=y, text=alt.Text("figure:N"), color=text_color),
        base.mark_text(fontSize=theme.SMALL_SIZE, dy=8).encode(
            x=x, y=y, text=alt.Text("judged_text:N"), color=text_color
        ),
    ]
