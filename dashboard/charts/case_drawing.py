"""A joist in its hanger, to scale, with the line that the hanger must reach: what a verdict on hanger size means."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import altair as alt
import pandas as pd

from dashboard import labels
from dashboard.charts import theme
from dashboard.measures import lumber

_BETWEEN_IN = 8.2
_FLANGE_IN = 0.75
_LABEL_GAP_IN = 0.82


@dataclass(frozen=True)
class Hanger:
    """A hanger to draw: how high it reaches, whether that was measured, and its words.

    Where the height was not measured it is drawn to the depth of the lumber it is made for, and its label says so.
    """

    height_in: float
    label: str
    measured: bool = True
    captions: tuple[str, ...] = ()


def case_drawing(
    joist_depth_in: float,
    joist_label: str,
    hangers: Sequence[Hanger],
    colors: theme.Palette,
    px_per_in: int = 27,
    label_room_in: float = 8.2,
) -> alt.LayerChart:
    """The joist with each hanger, the dashed 60 percent line and a scale bar of 3 in; the same scale both ways.

    Parameters
    ----------
    joist_depth_in
        Depth of the joist in inches.
    hangers
        One (its label stands in the column at the right) or several (each label beside its own hanger).
    label_room_in
        Room for the column of labels at the right, in inches of the drawing.
    """
    if not hangers:
        raise ValueError("a drawing needs at least one hanger")
    right = 2.4 + _BETWEEN_IN * (len(hangers) - 1)
    below = 1.1 + 0.95 * max(len(hanger.captions) for hanger in hangers)
    x_domain, y_domain = [-1.9, right + label_room_in], [-below, joist_depth_in + 0.7]
    x = alt.X("x:Q", scale=alt.Scale(domain=x_domain, nice=False, zero=False), axis=None)
    y = alt.Y("y:Q", scale=alt.Scale(domain=y_domain, nice=False, zero=False), axis=None)
    needed = lumber.LEAST_SHARE * joist_depth_in
    layers = [
        *_wood(joist_depth_in, hangers, x, y, colors),
        *_steel(hangers, x, y, colors),
        _needed_line(needed, right + (0.9 if len(hangers) == 1 else 4.0), x, y, colors),
        *_labels(joist_depth_in, joist_label, needed, hangers, right, x, y, colors),
        *_captions(hangers, x, y, colors),
        *_scale_bar(x_domain[0], -below + 0.35, x, y, colors),
    ]
    return theme.themed(
        alt.layer(*layers),
        colors,
        round(px_per_in * (y_domain[1] - y_domain[0])),
        alternative_text(joist_depth_in, joist_label, hangers),
        round(px_per_in * (x_domain[1] - x_domain[0])),
    )


def alternative_text(joist_depth_in: float, joist_label: str, hangers: Sequence[Hanger]) -> str:
    """What the drawing shows in words."""
    needed = labels.quantity(round(lumber.LEAST_SHARE * joist_depth_in, 3), "in")
    told = [
        f"{hanger.label}, {'above' if hanger.height_in >= lumber.LEAST_SHARE * joist_depth_in else 'below'} that line"
        for hanger in hangers
    ]
    return f"{joist_label}; the line at 60 percent is at {needed}. {'; '.join(told)}."


def _left(place: int) -> float:
    return _BETWEEN_IN * place


def _rects(rows: list[tuple[float, float, float, float]], x: alt.X, y: alt.Y, **look: Any) -> alt.Chart:
    frame = pd.DataFrame(rows, columns=["x", "x1", "y", "y1"])
    return alt.Chart(frame).mark_rect(**look).encode(x=x, x2="x1:Q", y=y, y2="y1:Q")


def _wood(depth: float, hangers: Sequence[Hanger], x: alt.X, y: alt.Y, colors: theme.Palette) -> list[alt.Chart]:
    whole = [(_left(place), _left(place) + lumber.PLY_IN, 0.0, depth) for place in range(len(hangers))]
    held = [
        (_left(place), _left(place) + lumber.PLY_IN, 0.0, min(hanger.height_in, depth))
        for place, hanger in enumerate(hangers)
    ]
    return [
        _rects(whole, x, y, fill=colors.wood, stroke=None),
        _rects(held, x, y, fill=colors.wood_held, stroke=None),
        _rects(whole, x, y, fill=None, stroke=colors.ink, strokeWidth=1.2),
    ]


def _steel(hangers: Sequence[Hanger], x: alt.X, y: alt.Y, colors: theme.Palette) -> list[alt.Chart]:
    """The hanger's seat and sides, with flanges at its top; dashed flanges where the height was not measured."""
    layers = []
    for place, hanger in enumerate(hangers):
        left, right = _left(place) - 0.08, _left(place) + lumber.PLY_IN + 0.08
        path = [(left, hanger.height_in), (left, -0.08), (right, -0.08), (right, hanger.height_in)]
        side = pd.DataFrame(path, columns=["x", "y"]).assign(place=range(4))
        layers.append(
            alt.Chart(side)
            .mark_line(color=colors.upheld, strokeWidth=4.5, strokeJoin="miter")
            .encode(x=x, y=y, order="place:Q")
        )
        flanges = pd.DataFrame(
            {"x": [left - _FLANGE_IN, right], "x1": [left, right + _FLANGE_IN], "y": [hanger.height_in] * 2}
        )
        layers.append(
            alt.Chart(flanges)
            .mark_rule(color=colors.upheld, strokeWidth=4.5, strokeDash=[1, 0] if hanger.measured else [4, 3])
            .encode(x=x, x2="x1:Q", y=y)
        )
    return layers


def _needed_line(needed: float, end: float, x: alt.X, y: alt.Y, colors: theme.Palette) -> alt.Chart:
    line = pd.DataFrame({"x": [-1.7], "x1": [end], "y": [needed]})
    return alt.Chart(line).mark_rule(color=colors.accent, strokeWidth=2, strokeDash=[6, 4]).encode(x=x, x2="x1:Q", y=y)


def _spread(heights: list[float], gap: float) -> list[float]:
    """The heights moved apart, least moved first, so that labels at them do not collide; order is kept."""
    order = sorted(range(len(heights)), key=heights.__getitem__)
    moved = list(heights)
    for below, above in pairwise(order):
        if moved[above] - moved[below] < gap:
            moved[above] = moved[below] + gap
    return moved


def _labels(
    depth: float,
    joist_label: str,
    needed: float,
    hangers: Sequence[Hanger],
    right: float,
    x: alt.X,
    y: alt.Y,
    colors: theme.Palette,
) -> list[alt.Chart]:
    """The column at the right (60 percent line, the only hanger, the joist); of several hangers each beside itself."""
    # With several hangers the column stands clear of the last one's own label.
    column_at = right + (1.1 if len(hangers) == 1 else 4.2)
    column: list[tuple[float, str, str, int]] = [
        (needed, f"60\u00a0% line: {labels.quantity(round(needed, 3), 'in')}", colors.accent, 400)
    ]
    beside: list[tuple[float, float, str]] = []
    if len(hangers) == 1:
        column.append((hangers[0].height_in, hangers[0].label, colors.ink, 600))
    else:
        beside = [
            (_left(place) + lumber.PLY_IN + _FLANGE_IN + 0.35, hanger.height_in, hanger.label)
            for place, hanger in enumerate(hangers)
        ]
    column.append((depth, joist_label, colors.soft, 400))
    places = _spread([height for height, *_ in column], _LABEL_GAP_IN)
    layers = [
        _text(column_at, place, text, x, y, color=color, fontWeight=weight)
        for place, (_, text, color, weight) in zip(places, column, strict=True)
    ]
    for at, height, text in beside:
        layers += [
            _text(at, height, text, x, y, fontWeight=600, color=colors.ground, stroke=colors.ground, strokeWidth=5),
            _text(at, height, text, x, y, fontWeight=600, color=colors.ink),
        ]
    return layers


def _text(at: float, height: float, text: str, x: alt.X, y: alt.Y, **look: Any) -> alt.Chart:
    frame = pd.DataFrame({"x": [at], "y": [height], "text": [text]})
    placed: dict[str, Any] = {"align": "left", "baseline": "middle", "fontSize": theme.NAME_SIZE}
    return alt.Chart(frame).mark_text(**(placed | look)).encode(x=x, y=y, text="text:N")


def _captions(hangers: Sequence[Hanger], x: alt.X, y: alt.Y, colors: theme.Palette) -> list[alt.Chart]:
    return [
        _text(
            _left(place) - 0.85,
            -0.85 - 0.85 * line,
            caption,
            x,
            y,
            color=colors.soft if line else colors.ink,
            fontWeight=400 if line else 600,
        )
        for place, hanger in enumerate(hangers)
        for line, caption in enumerate(hanger.captions)
    ]


def _scale_bar(left: float, height: float, x: alt.X, y: alt.Y, colors: theme.Palette) -> list[alt.Chart]:
    bar = pd.DataFrame({"x": [left + 0.2], "x1": [left + 3.2], "y": [height]})
    return [
        alt.Chart(bar).mark_rule(color=colors.soft, strokeWidth=1.5).encode(x=x, x2="x1:Q", y=y),
        _text(left + 3.5, height, "3\u00a0in, to scale", x, y, color=colors.soft, fontSize=theme.FIGURE_SIZE),
    ]
