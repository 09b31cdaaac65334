"""Kinds of call that fail, as bars of counts: how many of those judged do not hold, how many do, on one scale.

The interval of each share stands in words beside its bar: where nearly every kind fails whole, a mark on a percent axis
would stand at the same place for each, and would hide that one kind is ten times another.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import altair as alt
import pandas as pd

from dashboard import labels
from dashboard.charts import theme
from dashboard.measures.rows import each

COLUMNS = ("pattern_id", "name", "wrong", "judged", "share_low", "share_high")
SELECTION = "pattern"
ROW_PX = 46
#: Of the width, what the longest bar takes: the rest is for the words at its end.
_LONGEST = 0.42
_BAR_FROM, _BAR_TO, _NAME_AT = 0.50, 0.74, 0.24
#: Under this many pixels the words beside a bar are the short ones.
_SHORT_PX = 400
_GLYPH_PX, _WORDS_PX = 11, 22
_SHAPES = {"overcalled": "triangle-up", "upheld": "circle", "missed": "triangle-down"}


@dataclass(frozen=True)
class _Way:
    """One of the two ways to be wrong: the parts of its bars, the glyph where none is wrong, its words."""

    parts: tuple[tuple[str, str], ...]
    right: str
    words: tuple[str, str]

    @property
    def counted(self) -> tuple[tuple[str, str], ...]:
        """The parts that make up what is wrong, where there are several."""
        return tuple((column, outcome) for column, outcome in self.parts if column not in {"wrong", "rest"})


#: A part is a column of counts and the outcome whose color it has; ``rest`` is what remains of those judged.
_WAYS = {
    "overcalled": _Way((("wrong", "overcalled"), ("rest", "upheld")), "upheld", ("does not hold", "do not hold")),
    "missed": _Way(
        (("missed", "missed"), ("understated", "understated"), ("rest", "cleared")),
        "cleared",
        ("was passed over", "were passed over"),
    ),
}


def pattern_list(
    frame: pd.DataFrame,
    firm_share: float | None,
    colors: theme.Palette,
    outcome: str = "overcalled",
    addresses: Mapping[str, str] | None = None,
) -> alt.LayerChart:
    """List of kinds, each with its name above a bar of those judged, and its count and interval at the bar's end.

    Parameters
    ----------
    frame
        One row a kind, in the order to show: ``pattern_id``, ``name``, ``wrong`` and ``judged`` (counts),
        ``share_low``, ``share_high`` (0 to 1); of what was passed over also ``missed`` and ``understated``, which make
        up ``wrong``.
    firm_share
        The share over all judged calls, for the alternative text; None to leave it out.
    outcome
        ``overcalled`` (▲ does not hold, ● holds) or ``missed`` (▼ missed, ▽ understated, and the rest).
    addresses
        Where a click on a row leads, by ``pattern_id``; without it the click is a selection for whoever listens.
    """
    way = _WAYS[outcome]
    counted = tuple(column for column, _ in way.counted)
    theme.require(frame, (*COLUMNS, *counted), "pattern_list")
    rows = frame.loc[:, [*COLUMNS, *counted]].reset_index(drop=True)
    rows["rest"] = rows["judged"] - rows["wrong"]
    rows = _worded(rows, way)
    x = alt.X("start:Q", axis=None, scale=alt.Scale(domain=[0, max(rows["judged"].max(), 1) / _LONGEST], nice=False))
    y = alt.Y("y:Q", axis=None, scale=alt.Scale(domain=[len(rows), 0], nice=False))
    layers = [
        *_bars(rows, x, y, colors, way),
        *_glyphs(rows, x, y, colors, outcome, way),
        *_words(rows, x, y, colors),
        _targets(rows, y, way, addresses),
    ]
    return theme.themed(
        alt.layer(*layers), colors, ROW_PX * max(len(rows), 1) + 8, alternative_text(frame, firm_share, outcome)
    )


def alternative_text(frame: pd.DataFrame, firm_share: float | None, outcome: str = "overcalled") -> str:
    """The answer of the picture in words: the first kinds with count and interval."""
    if frame.empty:
        return "No kind to show."
    told = [f"{row.name}: {_told(row, _WAYS[outcome])}" for row in each(frame.head(3))]
    more = len(frame) - len(told)
    rest = f"; and {labels.plural(more, 'more kind')}" if more else ""
    firm = f" All together: {labels.percent(firm_share)}." if firm_share is not None else ""
    return f"{'; '.join(told)}{rest}.{firm}"


def how_to_read(drawn: int = 0, of: int = 0, what: str = "kind") -> str:
    """What stands below the picture: what the length says, and how many of all kinds are drawn."""
    first = f" The first {labels.count(drawn)} of {labels.plural(of, what)}." if of > drawn else ""
    return f"Length: calls of a {what} that could be judged. In brackets: {labels.join('95', '%')} interval.{first}"


def key(outcome: str = "overcalled") -> tuple[str, ...]:
    """The outcomes of the bars' parts that have a glyph, in their order."""
    return tuple(shown for _, shown in _WAYS[outcome].parts if shown in labels.GLYPHS)


def _told(row: Any, way: _Way) -> str:
    """``41 of 41 do not hold (91 to 100 %)``, or ``39 missed, 10 understated, of 49 judged (93 to 100 %)``."""
    if len(way.counted) and row.wrong:
        ways = [
            labels.join(labels.count(getattr(row, column)), labels.OUTCOMES[outcome])
            for column, outcome in way.counted
            if getattr(row, column)
        ]
        return f"{', '.join(ways)}, of {labels.join(labels.count(row.judged), 'judged')}{_interval(row)}"
    return f"{labels.part_of(row.wrong, row.judged)} {way.words[row.wrong != 1]}{_interval(row)}"


def _interval(row: Any) -> str:
    return f" ({labels.join(labels.interval(row.share_low, row.share_high), '%')})" if row.judged else ""


def _worded(rows: pd.DataFrame, way: _Way) -> pd.DataFrame:
    """With their places and the words beside each bar, long and short."""
    return rows.assign(
        place=range(len(rows)),
        y=[place + (_BAR_FROM + _BAR_TO) / 2 for place in range(len(rows))],
        name_y=[place + _NAME_AT for place in range(len(rows))],
        told=[_told(row, way) for row in each(rows)],
        short=[f"{labels.part_of(row.wrong, row.judged)}{_interval(row)}" for row in each(rows)],
        said=[f"{row.name}: {_told(row, way)}" for row in each(rows)],
    )


def _bars(rows: pd.DataFrame, x: alt.X, y: alt.Y, colors: theme.Palette, way: _Way) -> list[alt.Chart]:
    layers, start = [], pd.Series(0, rows.index)
    for column, outcome in way.parts:
        end = start + rows[column]
        part = pd.DataFrame(
            {"start": start, "end": end, "y": rows["place"] + _BAR_FROM, "y1": rows["place"] + _BAR_TO}
        )[end > start]
        bar = alt.Chart(part).mark_rect(fill=colors.outcome(outcome), stroke=colors.ground, strokeWidth=1)
        layers += [bar.encode(x=x, x2=alt.X2("end:Q"), y=y, y2=alt.Y2("y1:Q"))] if len(part) else []
        start = end
    return layers


def _glyphs(rows: pd.DataFrame, x: alt.X, y: alt.Y, colors: theme.Palette, outcome: str, way: _Way) -> list[alt.Chart]:
    """The shape before the words: wrong where any is, else right; what is no issue has none."""
    return [
        alt.Chart(some.assign(start=some["judged"]).loc[:, ["start", "y"]])
        .mark_point(
            shape=_SHAPES[shown], size=70, fill=colors.outcome(shown), opacity=1, strokeWidth=0, xOffset=_GLYPH_PX
        )
        .encode(x=x, y=y)
        for shown, some in ((outcome, rows[rows["wrong"] > 0]), (way.right, rows[rows["wrong"] == 0]))
        if len(some) and shown in labels.GLYPHS
    ]


def _words(rows: pd.DataFrame, x: alt.X, y: alt.Y, colors: theme.Palette) -> list[alt.Chart]:
    name = alt.Chart(rows.loc[:, ["name", "name_y"]]).encode(
        x=alt.XValue(0), y=alt.Y("name_y:Q", scale=y["scale"], axis=None), text=alt.Text("name:N")
    )
    beside = (
        alt.Chart(rows.assign(start=rows["judged"]).loc[:, ["start", "y", "told", "short"]])
        .transform_calculate(words=f"width<{_SHORT_PX}?datum.short:datum.told")
        .encode(x=x, y=y, text=alt.Text("words:N"))
    )
    return [
        name.mark_text(align="left", fontSize=theme.NAME_SIZE, limit=alt.ExprRef("width"), color=colors.ink),
        beside.mark_text(align="left", dx=_WORDS_PX, fontSize=theme.FIGURE_SIZE, color=colors.soft),
    ]


def _targets(rows: pd.DataFrame, y: alt.Y, way: _Way, addresses: Mapping[str, str] | None) -> alt.Chart:
    """What is clicked: the whole row, over everything that is drawn in it."""
    counts = {column: labels.OUTCOMES[part] for column, part in way.parts}
    whole = rows.assign(y=rows["place"], y1=rows["place"] + 1)
    whole = whole.loc[:, ["pattern_id", "name", "said", "y", "y1", *counts]]
    encoded: dict[str, Any] = {"x": alt.XValue(0), "x2": alt.X2Value("width"), "y": y, "y2": alt.Y2("y1:Q")}
    if addresses:
        whole["href"] = whole["pattern_id"].map(dict(addresses))
        encoded["href"] = alt.Href("href:N")
    targets = (
        alt.Chart(whole)
        .mark_rect(fill="#000", fillOpacity=0, stroke=None, cursor="pointer")
        .encode(
            **encoded,
            description=alt.Description("said:N"),
            tooltip=[
                alt.Tooltip("name:N", title="Kind"),
                *(alt.Tooltip(f"{column}:Q", title=title.capitalize()) for column, title in counts.items()),
            ],
        )
    )
    chosen = alt.selection_point(name=SELECTION, fields=["pattern_id"], on="click", empty=False, toggle=False)
    return targets if addresses else targets.add_params(chosen)
