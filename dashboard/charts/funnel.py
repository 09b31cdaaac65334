"""The funnel: each inspector a dot, across the write-ups that peers would have made, up how many times that it was.

The bands are where luck leaves a dot; only what differs by more than luck has color and a strong name. A name that
would run into another dot is left out: the list beside the funnel has all of them.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import altair as alt
import numpy as np
import pandas as pd

from dashboard import labels
from dashboard.charts import theme
from dashboard.measures.comparisons import DIFFERS, MADE
from dashboard.measures.rows import each

COLUMNS = ("inspector_id", "written_up", "expected", "ratio", "ratio_low", "ratio_high", "signal")
LIMITS = ("expected", "low", "high", "lowest", "highest", "spread_lowest", "spread_highest")
HEIGHT = 400
#: Under this many pixels of plot the names stand where they have room on a phone.
NARROW_PX = 400
#: What the words at the end of the bands need at the right.
_WORDS_PX = 62
#: Plots for which names are placed: width and height in pixels, on a desk and on a phone.
_DESK, _PHONE, _HIGH = 420, 235, 340
_TOPS = (1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 15.0, 20.0, 30.0, 50.0, 100.0)
_LETTER_PX, _LINE_PX, _DOT_PX = 8.0, 15.0, 6.0


def funnel(
    frame: pd.DataFrame, limits: pd.DataFrame, colors: theme.Palette, address: Mapping[str, str] | None = None
) -> alt.LayerChart:
    """Funnel of one topic.

    Parameters
    ----------
    frame
        Rows of :func:`dashboard.measures.inspectors.inspectors` of one topic; those without an expected count are not
        drawn.
    limits
        ``Funnel.limits`` of the same rows.
    address
        Where a click on a dot leads, by inspector; None for nowhere.
    """
    theme.require(frame, COLUMNS, "funnel")
    theme.require(limits, LIMITS, "funnel")
    drawn = _told(frame[frame["expected"] > 0], address)
    scale = _Scale.of(drawn, limits)
    x = alt.X(
        "expected:Q",
        scale=alt.Scale(domain=[0, scale.right], range=[0, alt.ExprRef(f"width-{_WORDS_PX}")], nice=False),
        axis=alt.Axis(title="write-ups that peers would have made", tickCount=5, grid=False, format=",d"),
    )
    y = alt.Y(
        "ratio:Q",
        scale=alt.Scale(domain=[scale.bottom, scale.top], nice=False),
        axis=alt.Axis(
            title="times what peers would have written up",
            values=scale.lines,
            labelExpr=theme.FEW_DECIMALS,
            titleAngle=0,
            titleAlign="left",
            titleAnchor="end",
            titleY=-14,
            titleX=-26,
        ),
    )
    layers = [
        *_bands(limits, scale, x, y, colors),
        *_dots(drawn, x, y, colors, address),
        *_names(drawn, scale, x, y, colors),
    ]
    return theme.themed(alt.layer(*layers), colors, HEIGHT, alternative_text(frame))


def alternative_text(frame: pd.DataFrame) -> str:
    """The answer of the picture in words: who lies beyond luck, with counts and interval, and how many do not."""
    compared = frame[frame["signal"].isin(MADE)]
    if compared.empty:
        return f"None of {labels.plural(len(frame), 'inspector')} can be compared with peers."
    out = compared[compared["signal"].isin(DIFFERS)].sort_values("inspector_id")
    within = len(compared) - len(out)
    lies = (
        f"{labels.part_of(within, len(compared))} inspectors compared {'lies' if within == 1 else 'lie'} within luck."
    )
    return " ".join([lies, *(f"{row.inspector_id}: {row.said}." for row in each(_told(out, None)))])


@dataclass(frozen=True)
class _Scale:
    """The ends of both axes, and the lines of the upright one."""

    right: float
    bottom: float
    top: float
    lines: list[float]

    @classmethod
    def of(cls, drawn: pd.DataFrame, limits: pd.DataFrame) -> _Scale:
        if drawn.empty:
            return cls(10, 0, 2, [0, 0.5, 1, 1.5, 2])
        # Every dot has its place; where little is expected the bands may leave the picture.
        middle = limits.iloc[(limits["expected"] - drawn["expected"].min()).abs().to_numpy().argmin()]
        highest = max(drawn["ratio"].max() * 1.06, min(middle["highest"], 3.0), 1.3)
        top = next((top for top in _TOPS if top >= highest), highest)
        lowest = min(drawn["ratio"].min() - 0.03, middle["low"])
        bottom = 0.5 if top == _TOPS[0] and lowest >= 0.5 else 0.0
        step = next(step for step in (0.25, 0.5, 1, 2, 5, 10, 20) if (top - bottom) / step <= 6)
        lines = np.arange(bottom, top + step / 2, step).round(2)
        return cls(float(limits["expected"].iloc[-1]), bottom, float(top), [float(line) for line in lines])

    def across(self, expected: float, width: int) -> float:
        return expected / self.right * width

    def down(self, ratio: float) -> float:
        return (self.top - ratio) / (self.top - self.bottom) * _HIGH


def _told(rows: pd.DataFrame, address: Mapping[str, str] | None) -> pd.DataFrame:
    told = rows.loc[:, list(COLUMNS)].reset_index(drop=True)
    told["differs"] = told["signal"].isin(DIFFERS)
    told["few"] = ~told["signal"].isin(MADE)
    told["counted"] = [
        f"{labels.count(row.written_up)} written up, peers about {labels.few(row.expected)}" for row in each(told)
    ]
    told["times"] = [labels.times(row.ratio, row.ratio_low, row.ratio_high) for row in each(told)]
    told["means"] = told["signal"].map(labels.COMPARED)
    told["said"] = [f"{row.counted}; {row.times}, {row.means}" for row in each(told)]
    told["named"] = [f"{row.inspector_id}: {row.said}" for row in each(told)]
    if address:
        told["href"] = [address[row.inspector_id] for row in each(told)]
    return told


def _bands(limits: pd.DataFrame, scale: _Scale, x: alt.X, y: alt.Y, colors: theme.Palette) -> list[alt.Chart]:
    """The two bands of luck, the outer edge widened by the spread between colleagues, the line of the peers."""
    within = limits.assign(**{name: limits[name].clip(scale.bottom, scale.top) for name in LIMITS[1:]})
    at_one = pd.DataFrame({"expected": [0.0], "end": [scale.right], "ratio": [1.0]})
    widened = (limits["spread_highest"] > limits["highest"]).any()

    def up(name: str) -> alt.Y:
        return alt.Y(f"{name}:Q", scale=y["scale"], axis=y["axis"])

    def area(low: str, high: str, shade: str) -> alt.Chart:
        return alt.Chart(within).mark_area(color=shade).encode(x=x, y=up(low), y2=alt.Y2(f"{high}:Q"))

    def edge(name: str) -> alt.Chart:
        inside = limits[limits[name].between(scale.bottom, scale.top, inclusive="neither")]
        line = alt.Chart(inside).mark_line(color=colors.faint, strokeWidth=1, strokeDash=[3, 3])
        return line.encode(x=x, y=up(name))

    return [
        area("lowest", "highest", colors.panel),
        area("low", "high", colors.rates[1]),
        *([edge("spread_lowest"), edge("spread_highest")] if widened else []),
        alt.Chart(at_one).mark_rule(color=colors.soft, strokeWidth=1).encode(x=x, x2=alt.X2("end:Q"), y=y),
        *_ends(within.tail(1), scale, x, y, colors),
    ]


def _ends(last: pd.DataFrame, scale: _Scale, x: alt.X, y: alt.Y, colors: theme.Palette) -> list[alt.Chart]:
    """What line and bands are called, at their right end; where these are near, one below the other."""
    if last.empty:
        return []
    inner, outer = float(last["low"].iloc[0]), float(last["lowest"].iloc[0])
    short = _LINE_PX - (scale.down(outer) - scale.down(inner))
    words = [("as peers", 1.0, 0.0), ("95\u00a0%", inner, 0.0), ("99.8\u00a0%", outer, max(short, 0.0))]
    return [
        alt.Chart(last.assign(text=text, at=at))
        .mark_text(align="left", dx=6, dy=dy, fontSize=theme.SMALL_SIZE, color=colors.soft)
        .encode(x=x, y=alt.Y("at:Q", scale=y["scale"], axis=y["axis"]), text=alt.Text("text:N"))
        for text, at, dy in words
    ]


def _dots(
    rows: pd.DataFrame, x: alt.X, y: alt.Y, colors: theme.Palette, address: Mapping[str, str] | None
) -> list[alt.Chart]:
    tooltip = [
        alt.Tooltip("inspector_id:N", title="Inspector"),
        alt.Tooltip("counted:N", title="Counts"),
        alt.Tooltip("times:N", title="As often"),
        alt.Tooltip("means:N", title="Differs"),
    ]
    leads: dict[str, Any] = {"href": alt.Href("href:N")} if address else {}
    color = alt.ColorValue(colors.upheld, condition={"test": "datum.differs", "value": colors.accent})
    fill = alt.FillValue(
        colors.upheld,
        condition=[{"test": "datum.differs", "value": colors.accent}, {"test": "datum.few", "value": colors.ground}],
    )
    return [
        alt.Chart(rows)
        .mark_point(opacity=1, size=90, strokeWidth=1.5, cursor="pointer", aria=not rows.empty)
        .encode(x=x, y=y, stroke=color, fill=fill, tooltip=tooltip, description=alt.Description("named:N"), **leads)
    ]


# ---- names -----------------------------------------------------------------------------------------------------------


def _names(rows: pd.DataFrame, scale: _Scale, x: alt.X, y: alt.Y, colors: theme.Palette) -> list[alt.Chart]:
    layers = []
    for width, shown in ((_DESK, f"width>{NARROW_PX}?1:0"), (_PHONE, f"width>{NARROW_PX}?0:1")):
        placed = _placed(rows, scale, width)
        for differs in (False, True):
            base = alt.Chart(placed[placed["differs"] == differs])
            if not (placed["differs"] == differs).any():
                continue
            mark: dict[str, Any] = {"baseline": "middle", "opacity": alt.ExprRef(shown)}
            mark |= (
                {"fontSize": theme.NAME_SIZE, "fontWeight": 600, "color": colors.accent}
                if differs
                else {"fontSize": theme.FIGURE_SIZE, "color": colors.soft}
            )
            layers.append(base.mark_text(**mark).encode(x=x, y=y, text=alt.Text("name:N")))
    return layers


def _placed(rows: pd.DataFrame, scale: _Scale, width: int) -> pd.DataFrame:
    """The names that have room beside their dots, and where: those that differ first, then from left to right."""
    dots = [(scale.across(row.expected, width), scale.down(row.ratio)) for row in each(rows)]
    taken: list[tuple[float, float, float, float]] = []
    found = []
    for row in each(rows.sort_values(["differs", "expected"], ascending=[False, True], kind="stable")):
        box = _free(dots, row.Index, row.inspector_id, taken, width, must=row.differs)
        if box is None:
            continue
        taken.append(box)
        middle = ((box[0] + box[2]) / 2, (box[1] + box[3]) / 2)
        found.append(
            {
                "name": row.inspector_id,
                "differs": row.differs,
                "expected": middle[0] / width * scale.right,
                "ratio": scale.top - middle[1] / _HIGH * (scale.top - scale.bottom),
            }
        )
    return pd.DataFrame(found, columns=["name", "differs", "expected", "ratio"])


def _free(
    dots: list[tuple[float, float]],
    own: int,
    name: str,
    taken: list[tuple[float, float, float, float]],
    width: int,
    must: bool,
) -> tuple[float, float, float, float] | None:
    """The first place around the own dot that meets no dot and no name; None where there is none, unless it must be."""
    x, y = dots[own]
    wide, aside = len(name) * _LETTER_PX, _DOT_PX + 3
    right, left = x + aside + wide / 2, x - aside - wide / 2
    centers = [
        (right, y),
        (left, y),
        (x, y - 14),
        (x, y + 14),
        (right - 3, y - 11),
        (right - 3, y + 11),
        (left + 3, y - 11),
        (left + 3, y + 11),
    ]
    boxes = [(cx - wide / 2, cy - _LINE_PX / 2, cx + wide / 2, cy + _LINE_PX / 2) for cx, cy in centers]
    others = [*taken, *(_around(dot) for at, dot in enumerate(dots) if at != own)]
    for box in boxes:
        inside = box[0] >= 0 and box[2] <= width + 4 and box[1] >= 0 and box[3] <= _HIGH
        if inside and not any(_meets(box, other) for other in others):
            return box
    return boxes[0] if must else None


def _around(dot: tuple[float, float]) -> tuple[float, float, float, float]:
    return dot[0] - _DOT_PX, dot[1] - _DOT_PX, dot[0] + _DOT_PX, dot[1] + _DOT_PX


def _meets(one: tuple[float, float, float, float], other: tuple[float, float, float, float]) -> bool:
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]
