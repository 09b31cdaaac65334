"""Stair risers: how far the tallest stands above the lowest, enlarged; and the tallest against what is allowed."""

from __future__ import annotations

import altair as alt

from dashboard import labels
from dashboard.charts import theme
from dashboard.charts.sheet import MOST_WIDTH_PX, Label, Sheet, scale_for
from dashboard.measures.cases import Case
from dashboard.measures.limits import Limit, limit, riser_spread

#: Pixels an inch of the enlarged part: at the first, 3/8 in is 36 px. The room for the spread itself.
_SCALES, _SPREAD_ROOM_PX = (96, 48, 24, 8), 110
_BELOW_PX, _RISER_PX = 40, 52
_TALLEST_SCALES, _TALLEST_ROOM_PX = (18, 9, 4.5), 190


def spread_of_case(found: Case, colors: theme.Palette) -> theme.Picture | None:
    """The tops of the lowest and the tallest riser side by side, enlarged; None where the spread is not known.

    A flight drawn to scale would hide 3/8 in; so only the tops are drawn, much larger.
    """
    most = limit(found.criterion, "defect", "riser_spread")
    spread = riser_spread(found.recorded)
    if spread is None or most is None:
        return None
    scale = scale_for(max(spread, most.inches), _SPREAD_ROOM_PX, _SCALES)
    # 0 is the top of the lowest riser, both ways in inches of the enlarged part.
    left = -2 * _RISER_PX - 18
    sheet = Sheet(
        colors,
        scale,
        left / scale,
        (MOST_WIDTH_PX + left) / scale,
        -(_BELOW_PX + 38) / scale,
        (max(spread, most.inches) * scale + 14) / scale,
    )
    column = _spread_labels(found, spread, most, sheet)
    sheet = sheet.made_to_hold(column)
    layers = [
        *_tops(sheet, spread),
        sheet.limit_line((-sheet.px(2 * _RISER_PX + 14), most.inches), (sheet.px(14), most.inches)),
        *sheet.measured((-sheet.px(_RISER_PX * 1.5 + 4), 0.0), (-sheet.px(_RISER_PX * 1.5 + 4), spread)),
        *sheet.label_column(sheet.px(30), column),
        *sheet.scale_bar(48 / scale, "to scale; tops of the risers only"),
    ]
    return sheet.picture(layers, spread_said(spread, most))


def spread_said(spread: float, most: Limit) -> str:
    """The answer of the drawing in words."""
    allowed = labels.inches(most.inches)
    if most.holds_of(spread):
        return f"The risers differ by {labels.inches(spread)}: more than the {allowed} that is allowed."
    return f"The risers differ by {labels.inches(spread)}: within the {allowed} that is allowed."


def tallest_of_case(found: Case, colors: theme.Palette) -> theme.Picture | None:
    """The tallest riser as a step, with the line of the most that is allowed; None where it was not measured."""
    most, tallest = limit(found.criterion, "defect", "riser_max_in"), found.recorded.get("riser_max_in")
    if tallest is None or most is None:
        return None
    tallest = float(tallest)
    scale = scale_for(max(tallest, most.inches), _TALLEST_ROOM_PX, _TALLEST_SCALES)
    tread, back = 64 / scale, -60 / scale
    sheet = Sheet(
        colors,
        scale,
        back,
        back + MOST_WIDTH_PX / scale,
        -50 / scale,
        max(tallest, most.inches) + 14 / scale,
    )
    column = [
        Label((tread + 12 / scale, most.inches), f"at most {labels.inches(most.inches)}", role="accent"),
        Label((34 / scale, tallest), f"tallest riser {labels.inches(tallest)}", strong=True),
    ]
    sheet = sheet.made_to_hold(column)
    thick = min(1.5, tallest)
    layers = [
        sheet.boxes(
            [(back, 6 / scale, tallest - thick, tallest), (6 / scale, tread, -thick, 0.0)],
            fill=colors.wood,
            stroke=colors.ink,
            strokeWidth=1.2,
        ),
        sheet.path([(6 / scale, 0.0), (6 / scale, tallest - thick)], color=colors.ink, strokeWidth=1.2),
        *sheet.measured((28 / scale, 0.0), (28 / scale, tallest)),
        sheet.limit_line((back, most.inches), (tread + 12 / scale, most.inches)),
        *sheet.label_column(tread + 34 / scale, column),
        *sheet.scale_bar(54 / scale),
    ]
    word = "more than" if most.holds_of(tallest) else "within"
    said = f"The tallest riser is {labels.inches(tallest)}: {word} the {labels.inches(most.inches)} that is allowed."
    return sheet.picture(layers, said)


def _heights(found: Case, spread: float) -> tuple[float, float] | None:
    """The lowest and the tallest riser, where both are recorded and differ by the spread."""
    lowest, tallest = found.recorded.get("riser_min_in"), found.recorded.get("riser_max_in")
    if lowest is None or tallest is None or abs(float(tallest - lowest) - spread) > 1e-6:
        return None
    return float(lowest), float(tallest)


def _spread_labels(found: Case, spread: float, most: Limit, sheet: Sheet) -> list[Label]:
    heights = _heights(found, spread)
    lowest, tallest = (f" {labels.inches(height)}" for height in heights) if heights else (" riser", " riser")
    edge = 0.0
    return [
        Label((-sheet.px(_RISER_PX + 4), 0.0), f"lowest{lowest}", role="soft"),
        Label((sheet.px(14), most.inches), f"at most {labels.inches(most.inches)} more", role="accent"),
        Label((edge, spread), f"tallest{tallest}", f"{labels.inches(spread)} more", strong=True),
    ]


def _tops(sheet: Sheet, spread: float) -> list[alt.Chart]:
    """The tops of both risers, which go on below the drawing."""
    wide, below = sheet.px(_RISER_PX), -sheet.px(_BELOW_PX)
    low, high = (-2 * wide - sheet.px(4), -wide - sheet.px(4)), (-wide, 0.0)
    return [
        sheet.boxes([(*low, below, 0.0)], fill=sheet.colors.wood, stroke=None),
        sheet.boxes([(*high, below, spread)], fill=sheet.colors.wood_held, stroke=None),
        *(
            sheet.path(
                [(left, below), (left, top), (right, top), (right, below)], color=sheet.colors.ink, strokeWidth=1.2
            )
            for (left, right), top in ((low, 0.0), (high, spread))
        ),
    ]
