"""A sheet on which a case is drawn to scale: the same scale both ways, words at the end of leaders, a scale bar."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Any

import altair as alt
import pandas as pd

from dashboard import labels
from dashboard.charts import theme

#: The widest drawing that a phone of 390 px shows whole, and that a third of the page holds.
MOST_WIDTH_PX = 342
#: Half the height of a label of one line and of two, in pixels, with a little air.
_HALF_PX = {False: 10.5, True: 19.0}
_DETAIL_DY = 17
Place = tuple[float, float]


@dataclass(frozen=True)
class Label:
    """Words beside a drawing, with a leader from what they name.

    Attributes
    ----------
    start
        Where the leader begins, in inches.
    text, detail
        The words, and a second, softer line.
    role
        The color of the words by its name in the palette.
    strong
        Whether they are bold: the thing measured.
    """

    start: Place
    text: str
    detail: str = ""
    role: str = "ink"
    strong: bool = False


@dataclass(frozen=True)
class Sheet:
    """A sheet from ``left`` to ``right`` and ``bottom`` to ``top``, in inches; heights go upward."""

    colors: theme.Palette
    px_per_in: float
    left: float
    right: float
    bottom: float
    top: float

    def px(self, pixels: float) -> float:
        """So many pixels of the screen, in inches of the drawing."""
        return pixels / self.px_per_in

    @property
    def _x(self) -> alt.X:
        return alt.X("x:Q", scale=alt.Scale(domain=[self.left, self.right], nice=False, zero=False), axis=None)

    @property
    def _y(self) -> alt.Y:
        return alt.Y("y:Q", scale=alt.Scale(domain=[self.bottom, self.top], nice=False, zero=False), axis=None)

    def boxes(self, boxes: Iterable[tuple[float, float, float, float]], **look: Any) -> alt.Chart:
        """Rectangles, each by its left, right, bottom and top."""
        frame = pd.DataFrame(list(boxes), columns=["x", "x1", "y", "y1"])
        return alt.Chart(frame).mark_rect(**look).encode(x=self._x, x2=alt.X2("x1:Q"), y=self._y, y2=alt.Y2("y1:Q"))

    def path(self, places: Sequence[Place], **look: Any) -> alt.Chart:
        """A line through places, in their order."""
        frame = pd.DataFrame(list(places), columns=["x", "y"]).assign(order=range(len(places)))
        style: dict[str, Any] = {"strokeJoin": "miter", "strokeWidth": 1} | look
        return alt.Chart(frame).mark_line(**style).encode(x=self._x, y=self._y, order=alt.Order("order:Q"))

    def limit_line(self, start: Place, end: Place) -> alt.Chart:
        """The dashed line in the accent color: what the rule asks for."""
        return self.path([start, end], color=self.colors.accent, strokeWidth=2, strokeDash=[6, 4])

    def disk(self, center: Place, across: float, **look: Any) -> alt.Chart:
        """A circle by its diameter in inches."""
        frame = pd.DataFrame([center], columns=["x", "y"])
        size = (across * self.px_per_in) ** 2
        return alt.Chart(frame).mark_point(shape="circle", size=size, opacity=1, **look).encode(x=self._x, y=self._y)

    def text(self, place: Place, text: str, **look: Any) -> alt.Chart:
        """One line of words; left-aligned and in the middle of its height unless ``look`` says otherwise."""
        frame = pd.DataFrame([(*place, text)], columns=["x", "y", "text"])
        style: dict[str, Any] = {"align": "left", "baseline": "middle", "fontSize": theme.NAME_SIZE}
        return alt.Chart(frame).mark_text(**(style | look)).encode(x=self._x, y=self._y, text=alt.Text("text:N"))

    def measured(self, start: Place, end: Place) -> list[alt.Chart]:
        """A dimension line: level or upright, with a short stroke across each end."""
        half = self.px(5)
        level = start[1] == end[1]
        across = [[(x, y - half), (x, y + half)] if level else [(x - half, y), (x + half, y)] for x, y in (start, end)]
        return [self.path(places, color=self.colors.ink, strokeWidth=1.5) for places in ([start, end], *across)]

    def label_column(self, at: float, column: Sequence[Label]) -> list[alt.Chart]:
        """Labels one below the other from ``at`` to the right, each with its leader, moved apart where they collide."""
        layers: list[alt.Chart] = []
        for label, height in zip(column, self.spread(column), strict=True):
            layers += self._leader(label, (at, height)) + self._words(label, (at, height))
        return layers

    def _leader(self, label: Label, place: Place) -> list[alt.Chart]:
        x, height = place
        near, nearer = x - self.px(14), x - self.px(5)
        if label.start[0] >= nearer:
            return []
        bends = [label.start, (max(near, label.start[0]), height), (nearer, height)]
        return [self.path(bends, color=self.colors.faint)]

    def _words(self, label: Label, place: Place) -> list[alt.Chart]:
        x, height = place
        lift = self.px(_DETAIL_DY / 2) if label.detail else 0.0
        color = getattr(self.colors, label.role)
        words = [self.text((x, height + lift), label.text, color=color, fontWeight=600 if label.strong else 400)]
        if label.detail:
            soft = self.colors.soft if label.role == "ink" else color
            words.append(self.text((x, height - lift), label.detail, color=soft, fontSize=theme.FIGURE_SIZE))
        return words

    def spread(self, column: Sequence[Label]) -> list[float]:
        """The heights of labels, moved up where one would run into that below it."""
        heights = [label.start[1] for label in column]
        halves = [self.px(_HALF_PX[bool(label.detail)]) for label in column]
        order = sorted(range(len(column)), key=heights.__getitem__)
        for below, above in pairwise(order):
            heights[above] = max(heights[above], heights[below] + halves[below] + halves[above])
        return heights

    def made_to_hold(self, column: Sequence[Label]) -> Sheet:
        """The same sheet, as high as the labels of its column need."""
        tops = [
            height + self.px(_HALF_PX[bool(label.detail)])
            for label, height in zip(column, self.spread(column), strict=True)
        ]
        return replace(self, top=max([self.top, *tops]))

    def scale_bar(self, length: float, note: str = "to scale") -> list[alt.Chart]:
        """A bar of so many inches at the lower left, with its length in words."""
        left, height = self.left + self.px(3), self.bottom + self.px(9)
        bar = self.path([(left, height), (left + length, height)], color=self.colors.soft, strokeWidth=1.5)
        ends = [
            self.path([(x, height - self.px(3)), (x, height + self.px(3))], color=self.colors.soft, strokeWidth=1.5)
            for x in (left, left + length)
        ]
        told = f"{labels.inches(length)}, {note}"
        words = self.text(
            (left + length + self.px(9), height), told, color=self.colors.soft, fontSize=theme.FIGURE_SIZE
        )
        return [bar, *ends, words]

    def picture(self, layers: Sequence[alt.Chart], description: str) -> theme.Picture:
        """The finished drawing with its alternative text."""
        return theme.themed(
            alt.layer(*layers),
            self.colors,
            round(self.px_per_in * (self.top - self.bottom)),
            description,
            round(self.px_per_in * (self.right - self.left)),
        )


def scale_for(size: float, room_px: float, scales: Sequence[float]) -> float:
    """The first of the scales (pixels an inch, largest first) at which a size fits its room; the last where none does.

    A few fixed scales instead of an exact fit: cases of the same kind are drawn alike and can be compared.
    """
    return next((scale for scale in scales if size * scale <= room_px), scales[-1])
