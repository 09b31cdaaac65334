"""A hanger's nail or screw at its length, and the length that its rule asks for."""

from __future__ import annotations

import altair as alt

from dashboard import labels
from dashboard.charts import theme
from dashboard.charts.sheet import MOST_WIDTH_PX, Sheet, scale_for
from dashboard.measures.cases import Case
from dashboard.measures.limits import Limit, limit

_SCALES, _ROOM_PX = (72, 36, 18), 300
_HEAD_PX, _SHANK_PX, _POINT_PX = 13, 4.5, 7


def of_case(found: Case, colors: theme.Palette) -> theme.Picture | None:
    """The fastener and the needed length; None where it was not measured or the rule names no one length."""
    length, verdict = found.recorded.get("fastener_length_in"), found.facts["verdict"]
    if length is None or verdict not in ("defect", "acceptable", "judgment"):
        return None
    needed = limit(found.criterion, verdict, "fastener_length_in")
    if needed is None:
        return None
    length = float(length)
    scale = scale_for(max(length, needed.inches), _ROOM_PX, _SCALES)
    sheet = Sheet(colors, scale, -10 / scale, (MOST_WIDTH_PX - 10) / scale, -70 / scale, 50 / scale)
    kind = labels.choice(str(found.recorded.get("fastener_kind") or "fastener"))
    at_right = needed.inches * scale > MOST_WIDTH_PX / 2
    layers = [
        *_fastener(sheet, length),
        sheet.limit_line((needed.inches, sheet.px(-18)), (needed.inches, sheet.px(40))),
        sheet.text(
            (needed.inches + sheet.px(-7 if at_right else 7), sheet.px(34)),
            f"needed: {labels.inches(needed.inches)}",
            color=colors.accent,
            align="right" if at_right else "left",
        ),
        *sheet.measured((0.0, sheet.px(-18)), (length, sheet.px(-18))),
        sheet.text((0.0, sheet.px(-36)), f"{kind} {labels.inches(length)}", color=colors.ink, fontWeight=600),
        *sheet.scale_bar(72 / scale),
    ]
    return sheet.picture(layers, said(length, needed))


def said(length: float, needed: Limit) -> str:
    """The answer of the drawing in words."""
    word = "shorter than" if length < needed.inches else "no shorter than"
    return f"The fastener is {labels.inches(length)} long: {word} the {labels.inches(needed.inches)} that is needed."


def _fastener(sheet: Sheet, length: float) -> list[alt.Chart]:
    """Head at 0, shank and point, on their side."""
    steel, half, point = sheet.colors.upheld, sheet.px(_SHANK_PX / 2), min(sheet.px(_POINT_PX), length / 2)
    outline = [(0.0, half), (length - point, half), (length, 0.0), (length - point, -half), (0.0, -half)]
    head = sheet.px(_HEAD_PX / 2)
    return [
        sheet.path([*outline, outline[0]], color=steel, strokeWidth=1),
        sheet.boxes([(0.0, length - point, -half, half)], fill=steel, stroke=None),
        sheet.boxes([(-sheet.px(3), 0.0, -head, head)], fill=steel, stroke=None),
    ]
