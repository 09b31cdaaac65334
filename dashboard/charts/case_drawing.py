"""A joist in its hanger, to scale, with the line that the hanger must reach: what a verdict on hanger size means."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import altair as alt

from dashboard import labels
from dashboard.charts import theme
from dashboard.charts.sheet import MOST_WIDTH_PX, Label, Sheet
from dashboard.measures import lumber
from dashboard.measures.cases import Case

#: From one joist to the next, and where the labels beside a single one, and beside each of several, stand, in inches.
_BETWEEN_IN, _COLUMN_AT_IN, _BESIDE_AT_IN = 6.2, 3.3, 2.6
#: From one line of words to the next, and from the 60 percent line to words above or below it.
_LINE_PX, _OFF_LINE_PX = 18, 12
_FLANGE_IN, _STEEL_IN = 0.75, 0.08
_LEFT_IN = -1.5
_STEEL_PX = 4.5
_SCALE_IN = 3.0
_CASE_PX_PER_IN = 24


@dataclass(frozen=True)
class Hanger:
    """A hanger to draw: how high it reaches, whether that was measured, and its words.

    Where the height was not measured ``height_in`` is the depth of the lumber that it is made for; the drawing shows
    it dashed and its words do not claim that it reaches there.
    """

    height_in: float
    label: str
    measured: bool = True
    captions: tuple[str, ...] = ()


def of_case(found: Case, colors: theme.Palette) -> theme.Picture | None:
    """The joist and the hanger of a case; None where the depth of either is not known."""
    recorded = found.recorded
    joist = recorded.get("joist_nominal")
    depth = recorded.get("joist_depth_in") or lumber.DEPTH_IN.get(str(joist))
    hanger = _hanger(recorded.get("hanger_nominal"), recorded.get("hanger_height_in"))
    if depth is None or hanger is None:
        return None
    if _is_of_plies(found):
        return None
    name = f"{joist} joist: {labels.quantity(depth, 'in')}" if joist else f"joist: {labels.quantity(depth, 'in')}"
    room = MOST_WIDTH_PX / _CASE_PX_PER_IN + _LEFT_IN - _COLUMN_AT_IN
    return case_drawing(float(depth), name, [hanger], colors, _CASE_PX_PER_IN, room)


def _is_of_plies(found: Case) -> bool:
    """Whether the rule that decided is about plies: a height would not explain its verdict."""
    return bool(found.criterion) and "hanger_plies" in str((found.criterion or {}).get(str(found.facts["verdict"])))


def _hanger(size: str | None, height: float | None) -> Hanger | None:
    """The hanger as high as it was measured, else as the lumber that it is made for; None where neither is known."""
    name = f"{size} hanger" if size else "hanger"
    if height is not None:
        return Hanger(float(height), f"{name} reaches {labels.quantity(height, 'in')}")
    made_for = lumber.DEPTH_IN.get(str(size))
    return None if made_for is None else Hanger(made_for, name, measured=False)


def case_drawing(
    joist_depth_in: float,
    joist_label: str,
    hangers: Sequence[Hanger],
    colors: theme.Palette,
    px_per_in: int = 27,
    label_room_in: float = 8.2,
) -> theme.Picture:
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
    alone = len(hangers) == 1
    right = _left(len(hangers) - 1)
    column_at = right + (_COLUMN_AT_IN if alone else _BESIDE_AT_IN)
    below = 1.1 + max(len(hanger.captions) for hanger in hangers) * (_LINE_PX + 3) / px_per_in
    highest = max([joist_depth_in, *(hanger.height_in for hanger in hangers)])
    sheet = Sheet(colors, px_per_in, _LEFT_IN, column_at + label_room_in, -below, highest + 0.5)
    column = (
        _column(joist_depth_in, joist_label, hangers[0]) if alone else [_of_joist(right, joist_depth_in, joist_label)]
    )
    sheet = sheet.made_to_hold(column)
    needed = lumber.LEAST_SHARE * joist_depth_in
    end = lumber.PLY_IN + _FLANGE_IN + 0.35 if alone else sheet.right
    layers = [
        *_wood(sheet, joist_depth_in, hangers),
        *(layer for place, hanger in enumerate(hangers) for layer in _steel(sheet, place, hanger)),
        sheet.limit_line((_LEFT_IN + 0.1, needed), (end, needed)),
        *sheet.label_column(column_at, column),
        *([] if alone else _beside(sheet, joist_depth_in, hangers)),
        *_captions(sheet, hangers),
        *sheet.scale_bar(_SCALE_IN),
    ]
    return sheet.picture(layers, alternative_text(joist_depth_in, joist_label, hangers))


def alternative_text(joist_depth_in: float, joist_label: str, hangers: Sequence[Hanger]) -> str:
    """What the drawing shows, the answer first."""
    if len(hangers) > 1:
        told = [f"{hanger.label}, {_side(hanger, joist_depth_in)} that line" for hanger in hangers]
        return f"{joist_label}; {_line_words(joist_depth_in)}. {'; '.join(told)}."
    hanger, depth = hangers[0], labels.quantity(joist_depth_in, "in")
    reach, side = labels.quantity(hanger.height_in, "in"), _side(hanger, joist_depth_in)
    if not hanger.measured:
        return (
            f"The height of the {hanger.label} was not measured. The lumber that it is made for is {reach} deep, "
            f"{side} {_line_words(joist_depth_in)} of the {depth} joist."
        )
    share = labels.join(lumber.whole_percent_reached(hanger.height_in, joist_depth_in), "%")
    return f"The hanger reaches {reach} of the {depth} joist: {share}, {side} {_line_words(joist_depth_in)}."


def _line_words(depth: float) -> str:
    needed = labels.quantity(round(lumber.LEAST_SHARE * depth, 3), "in")
    return f"the {labels.join('60', '%')} line at {needed}"


def _side(hanger: Hanger, depth: float) -> str:
    return "above" if lumber.reaches(hanger.height_in, depth) else "below"


def _left(place: int) -> float:
    return _BETWEEN_IN * place


def _wood(sheet: Sheet, depth: float, hangers: Sequence[Hanger]) -> list[alt.Chart]:
    """Each joist, and darker the part that its hanger holds, where it is known how high it reaches."""
    whole = [(_left(place), _left(place) + lumber.PLY_IN, 0.0, depth) for place in range(len(hangers))]
    held = [
        (_left(place), _left(place) + lumber.PLY_IN, 0.0, min(hanger.height_in, depth))
        for place, hanger in enumerate(hangers)
        if hanger.measured
    ]
    return [
        sheet.boxes(whole, fill=sheet.colors.wood, stroke=None),
        sheet.boxes(held, fill=sheet.colors.wood_held, stroke=None),
        sheet.boxes(whole, fill=None, stroke=sheet.colors.ink, strokeWidth=1.2),
    ]


def _steel(sheet: Sheet, place: int, hanger: Hanger) -> list[alt.Chart]:
    """The hanger's seat, sides and flanges; dashed above the seat where its height was not measured."""
    left, right, top = _left(place) - _STEEL_IN, _left(place) + lumber.PLY_IN + _STEEL_IN, hanger.height_in
    color = sheet.colors.upheld
    if hanger.measured:
        around = [(left - _FLANGE_IN, top), (left, top), (left, -_STEEL_IN), (right, -_STEEL_IN), (right, top)]
        return [sheet.path([*around, (right + _FLANGE_IN, top)], color=color, strokeWidth=_STEEL_PX)]
    seat = [(left, 1.0), (left, -_STEEL_IN), (right, -_STEEL_IN), (right, 1.0)]
    sides = [
        [(side, 1.0), (side, top), (side + flange, top)] for side, flange in ((left, -_FLANGE_IN), (right, _FLANGE_IN))
    ]
    return [
        sheet.path(seat, color=color, strokeWidth=_STEEL_PX),
        *(sheet.path(side, color=color, strokeWidth=2.5, strokeDash=[5, 4]) for side in sides),
    ]


def _line_told(depth: float) -> str:
    needed = labels.quantity(round(lumber.LEAST_SHARE * depth, 3), "in")
    return f"{labels.join('60', '%')} line: {needed}"


def _short(hanger: Hanger, depth: float) -> str:
    """How much a hanger lacks to the line, in words; empty where it reaches it."""
    lacking = lumber.short_by_in(hanger.height_in, depth)
    return f"{labels.quantity(lacking, 'in')} short" if lacking else ""


def _of_joist(left: float, depth: float, label: str) -> Label:
    return Label((left + lumber.PLY_IN, depth), label, role="soft")


def _column(depth: float, joist_label: str, hanger: Hanger) -> list[Label]:
    """The labels at the right of a single hanger: the 60 percent line, the hanger, the joist."""
    edge = lumber.PLY_IN
    line = Label((edge + _FLANGE_IN + 0.35, lumber.LEAST_SHARE * depth), _line_told(depth), role="accent")
    share = f"{labels.join(lumber.whole_percent_reached(hanger.height_in, depth), '%')} of the joist"
    detail = (
        ", ".join(part for part in (share, _short(hanger, depth)) if part)
        if hanger.measured
        else f"for {labels.quantity(hanger.height_in, 'in')} lumber, not measured"
    )
    start = (edge + _STEEL_IN + _FLANGE_IN, hanger.height_in)
    return [line, Label(start, hanger.label, detail, strong=True), _of_joist(0.0, depth, joist_label)]


def _beside(sheet: Sheet, depth: float, hangers: Sequence[Hanger]) -> list[alt.Chart]:
    """Of several hangers each label beside its own, and that of the line by the last, on the line's other side.

    Words never stand on the line: it would hide on which side of it a hanger ends that misses it by little.
    """
    needed, off, layers = lumber.LEAST_SHARE * depth, sheet.px(_OFF_LINE_PX), []
    for place, hanger in enumerate(hangers):
        lacking = _short(hanger, depth)
        height = min(hanger.height_in, needed - off) if lacking else max(hanger.height_in, needed + off)
        at = _left(place) + _BESIDE_AT_IN
        layers.append(sheet.text((at, height), hanger.label, fontWeight=600, color=sheet.colors.ink))
        if lacking:
            layers.append(sheet.text((at, height - sheet.px(_LINE_PX)), lacking, color=sheet.colors.ink))
    other_side = needed + off if _short(hangers[-1], depth) else needed - off
    at = _left(len(hangers) - 1) + _BESIDE_AT_IN
    return [*layers, sheet.text((at, other_side), _line_told(depth), color=sheet.colors.accent)]


def _captions(sheet: Sheet, hangers: Sequence[Hanger]) -> list[alt.Chart]:
    """Lines under each hanger, the first of them strong."""
    return [
        sheet.text(
            (_left(place) - 0.85, -sheet.px(_LINE_PX * (line + 1))),
            caption,
            color=sheet.colors.soft if line else sheet.colors.ink,
            fontWeight=400 if line else 600,
        )
        for place, hanger in enumerate(hangers)
        for line, caption in enumerate(hanger.captions)
    ]
