"""Guards: how high the rail stands against what is asked for, and whether a sphere passes an opening."""

from __future__ import annotations

from typing import Any

import altair as alt

from dashboard import labels
from dashboard.charts import theme
from dashboard.charts.sheet import MOST_WIDTH_PX, Label, Sheet, scale_for
from dashboard.measures.cases import Case
from dashboard.measures.limits import limit_at

_HEIGHT_SCALES, _HEIGHT_ROOM_PX = (5, 2.5, 1.25), 230
_OPENING_SCALES, _OPENING_ROOM_PX = (24, 12, 4), 150
#: Parts that were not measured, as they usually are; they are drawn faint.
_RAIL_IN, _POST_IN, _BALUSTER_IN, _CLEAR_IN, _DECK_IN = 1.5, 3.5, 1.5, 3.5, 1.0


def height_of_case(found: Case, colors: theme.Palette) -> theme.Picture | None:
    """The rail of a guard on a deck and the line that it must reach; None elsewhere, and where none is required."""
    height = found.recorded.get("guard_height_in")
    place = str(found.recorded.get("guard_place"))
    least = limit_at(found.criterion, "defect", "guard_height_in", place)
    if height is None or least is None or place != "deck" or found.facts["verdict"] not in ("defect", "acceptable"):
        return None
    height = float(height)
    scale = scale_for(max(height, least.inches), _HEIGHT_ROOM_PX, _HEIGHT_SCALES)
    left, right = -16 / scale, 132 / scale
    sheet = Sheet(
        colors, scale, left, left + MOST_WIDTH_PX / scale, -40 / scale, max(height, least.inches) + 14 / scale
    )
    column = [
        Label((right + 10 / scale, least.inches), f"at least {labels.inches(least.inches)}", role="accent"),
        Label((right, height), f"guard {labels.inches(height)} high", strong=True),
        Label((right, 0.0), "deck", role="soft"),
    ]
    sheet = sheet.made_to_hold(column)
    layers = [
        *_guard(sheet, height, right),
        sheet.limit_line((left, least.inches), (right + 10 / scale, least.inches)),
        *sheet.measured((left + 8 / scale, 0.0), (left + 8 / scale, height)),
        *sheet.label_column(right + 32 / scale, column),
        *sheet.scale_bar(60 / scale),
    ]
    word = "lower than" if least.holds_of(height) else "at least"
    said = f"The guard is {labels.inches(height)} high: {word} the {labels.inches(least.inches)} that a deck needs."
    return sheet.picture(layers, said)


def opening_of_case(found: Case, colors: theme.Palette) -> theme.Picture | None:
    """The sphere at the opening between two balusters; None where the opening or its place was not recorded."""
    opening, place = found.recorded.get("opening_in"), found.recorded.get("guard_place")
    if opening is None or place is None or place == "stair_triangle":
        return None
    sphere = limit_at(found.criterion, "defect", "opening_in", str(place))
    if sphere is None or found.facts["verdict"] not in ("defect", "acceptable"):
        return None
    opening, across = float(opening), sphere.inches
    scale = scale_for(max(opening, across), _OPENING_ROOM_PX, _OPENING_SCALES)
    wide = 26 / scale
    half, tall = (max(opening, across) + 2 * wide) / 2, across + 44 / scale
    sheet = Sheet(colors, scale, -half, -half + MOST_WIDTH_PX / scale, -tall / 2 - 58 / scale, tall / 2)
    at = half + 26 / scale
    column = [
        Label((across / 2 * 0.7, across / 2 * 0.7), f"sphere of {labels.inches(across)}", role="accent"),
        Label((opening / 2, -tall / 2 - 12 / scale), f"opening {labels.inches(opening)}", strong=True),
    ]
    layers = [
        sheet.boxes(
            [(left, left + wide, -tall / 2, tall / 2) for left in (-opening / 2 - wide, opening / 2)],
            **_outlined(sheet),
        ),
        sheet.disk((0.0, 0.0), across, filled=False, stroke=colors.accent, strokeWidth=2, strokeDash=[6, 4]),
        *sheet.measured((-opening / 2, -tall / 2 - 12 / scale), (opening / 2, -tall / 2 - 12 / scale)),
        *sheet.label_column(at, column),
        *sheet.scale_bar(48 / scale),
    ]
    passes = "passes" if sphere.holds_of(opening) else "does not pass"
    said = f"A sphere of {labels.inches(across)} {passes} the opening of {labels.inches(opening)}."
    return sheet.picture(layers, said)


def _guard(sheet: Sheet, height: float, right: float) -> list[alt.Chart]:
    """Deck, post, rail and balusters; only the height of the rail's top is what was measured."""
    colors = sheet.colors
    rail = min(_RAIL_IN, height)
    start = sheet.px(4)
    balusters, x = [], start + _POST_IN + _CLEAR_IN
    while x + _BALUSTER_IN < right - sheet.px(4):
        balusters.append((x, x + _BALUSTER_IN, min(3.0, height), height - rail))
        x += _BALUSTER_IN + _CLEAR_IN
    return [
        sheet.boxes(balusters, fill=colors.wood, stroke=colors.faint, strokeWidth=0.8),
        sheet.boxes([(start, start + _POST_IN, 0.0, height - rail)], **_outlined(sheet)),
        sheet.boxes([(start, right, height - rail, height)], **_outlined(sheet)),
        sheet.boxes([(sheet.px(-4), right, -_DECK_IN, 0.0)], **_outlined(sheet)),
    ]


def _outlined(sheet: Sheet) -> dict[str, Any]:
    return {"fill": sheet.colors.wood, "stroke": sheet.colors.ink, "strokeWidth": 1.2}
