"""Small gaps, drawn large: between a joist's end and its support, and between a joist and the seat of its hanger."""

from __future__ import annotations

import altair as alt

from dashboard import labels
from dashboard.charts import theme
from dashboard.charts.sheet import MOST_WIDTH_PX, Label, Sheet, scale_for
from dashboard.measures import lumber
from dashboard.measures.cases import Case
from dashboard.measures.limits import Limit, limit

#: Pixels an inch: at the first, 1/16 in is 6 px (4.5 px under the joist); wider gaps take the next. Room for the gap.
_SCALES, _SEAT_SCALES, _GAP_ROOM_PX = (96, 48, 24, 8), (72, 36, 18, 9), 100
_SUPPORT_PX, _WOOD_PX = 66, 104
_ROW_PX = 22
_STEEL_PX = 5


def end_of_case(found: Case, colors: theme.Palette) -> theme.Picture | None:
    """The gap at a joist's end, seen from the side; None where it was not measured or its rule has no limits."""
    gap, fits, fails = _measured(found, "joist_gap_in")
    if gap is None or fits is None or fails is None:
        return None
    scale = scale_for(max(gap, fails.inches), _GAP_ROOM_PX, _SCALES)
    sheet = Sheet(colors, scale, -_SUPPORT_PX / scale, (MOST_WIDTH_PX - _SUPPORT_PX) / scale, -78 / scale, 158 / scale)
    layers = [
        *_end_wood(sheet, gap),
        *_end_limit(sheet, fits, f"{fits.words}: acceptable", 2),
        *_end_limit(sheet, fails, f"{fails.words}: a defect", 1),
        *_end_gap(sheet, gap),
        *sheet.scale_bar(_SCALES[0] / 2 / scale),
    ]
    said = _said(f"The gap at the joist's end is {labels.inches(gap)}", gap, fits, fails)
    return sheet.picture(layers, said)


def seat_of_case(found: Case, colors: theme.Palette) -> theme.Picture | None:
    """The gap under a joist, seen from its end; None where it was not measured or its rule has no limits."""
    gap, fits, fails = _measured(found, "seat_gap_in")
    if gap is None or fits is None or fails is None:
        return None
    scale = scale_for(max(gap, fails.inches), _GAP_ROOM_PX, _SEAT_SCALES)
    # The joist is 1-1/2 in wide at every scale; what is left of the sheet holds the words.
    across = lumber.PLY_IN
    sheet = Sheet(colors, scale, -14 / scale, (MOST_WIDTH_PX - 14) / scale, -44 / scale, gap + 104 / scale)
    at = across + 38 / scale
    start = across + 20 / scale
    column = [
        Label((start, fits.inches), f"{fits.words}: acceptable", role="accent"),
        Label((start, fails.inches), f"{fails.words}: a defect", role="accent"),
        Label((start, gap), f"gap {labels.inches(gap)}", strong=True),
    ]
    sheet = sheet.made_to_hold(column)
    layers = [
        *_seat_wood(sheet, gap, across),
        *(sheet.limit_line((-12 / scale, at_height), (start, at_height)) for at_height in (fits.inches, fails.inches)),
        *sheet.measured((across + 12 / scale, 0.0), (across + 12 / scale, gap)),
        *sheet.label_column(at, column),
        *sheet.scale_bar(_SEAT_SCALES[0] / 2 / scale),
    ]
    return sheet.picture(layers, _said(f"The gap under the joist is {labels.inches(gap)}", gap, fits, fails))


def _measured(found: Case, measure: str) -> tuple[float | None, Limit | None, Limit | None]:
    gap = found.recorded.get(measure)
    fits, fails = limit(found.criterion, "acceptable", measure), limit(found.criterion, "defect", measure)
    return (None if gap is None else float(gap)), fits, fails


def _said(start: str, gap: float, fits: Limit, fails: Limit) -> str:
    if fails.holds_of(gap):
        return f"{start}: {fails.words}, which is a defect."
    if fits.holds_of(gap):
        return f"{start}: {fits.words}, which is acceptable; {fails.words} would be a defect."
    between = labels.listed([labels.inches(fits.inches), labels.inches(fails.inches)])
    return f"{start}: between {between}, which the rule leaves to the inspector."


def _end_wood(sheet: Sheet, gap: float) -> list[alt.Chart]:
    """The support at the left, its face at 0; the joist at the right; both go on beyond the drawing."""
    colors, top = sheet.colors, sheet.px(_WOOD_PX)
    return [
        sheet.boxes([(sheet.left, 0.0, 0.0, top)], fill=colors.wood_held, stroke=None),
        sheet.boxes([(gap, sheet.right, 0.0, top)], fill=colors.wood, stroke=None),
        sheet.path([(sheet.left, 0.0), (0.0, 0.0), (0.0, top), (sheet.left, top)], color=colors.ink, strokeWidth=1.2),
        sheet.path([(sheet.right, 0.0), (gap, 0.0), (gap, top), (sheet.right, top)], color=colors.ink, strokeWidth=1.2),
        sheet.text((sheet.left + sheet.px(8), top / 2), "support", color=colors.ink, fontSize=theme.FIGURE_SIZE),
        sheet.text(
            (sheet.right - sheet.px(10), top / 2),
            "joist, from the side",
            color=colors.ink,
            align="right",
            fontSize=theme.FIGURE_SIZE,
        ),
    ]


def _end_limit(sheet: Sheet, at: Limit, words: str, row: int) -> list[alt.Chart]:
    """A limit as an upright line over gap and joist, its words in a row of their own above."""
    top = sheet.px(_WOOD_PX + 10 + _ROW_PX * (row - 1) + 6)
    return [
        sheet.limit_line((at.inches, sheet.px(-8)), (at.inches, top + sheet.px(6))),
        sheet.text((at.inches + sheet.px(7), top), words, color=sheet.colors.accent),
    ]


def _end_gap(sheet: Sheet, gap: float) -> list[alt.Chart]:
    height = sheet.px(-20)
    words = sheet.text(
        (gap + sheet.px(10), height), f"gap {labels.inches(gap)}", color=sheet.colors.ink, fontWeight=600
    )
    return [*sheet.measured((0.0, height), (gap, height)), words]


def _seat_wood(sheet: Sheet, gap: float, across: float) -> list[alt.Chart]:
    """The hanger's seat at 0 with its sides, and the joist over it, which goes on beyond the drawing."""
    colors, top, side = sheet.colors, gap + sheet.px(88), sheet.px(_STEEL_PX / 2)
    steel = [(-side, top), (-side, -side), (across + side, -side), (across + side, top)]
    return [
        sheet.boxes([(0.0, across, gap, top)], fill=colors.wood, stroke=None),
        sheet.path([(0.0, top), (0.0, gap), (across, gap), (across, top)], color=colors.ink, strokeWidth=1.2),
        sheet.path(steel, color=colors.upheld, strokeWidth=_STEEL_PX),
        sheet.text(
            (across / 2, gap + sheet.px(50)), "joist end", color=colors.ink, align="center", fontSize=theme.FIGURE_SIZE
        ),
    ]
