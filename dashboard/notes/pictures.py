"""The one picture of a note: what is drawn, and how it becomes SVG or PNG without a browser."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from typing import Any

import pandas as pd

from dashboard import labels
from dashboard.charts import month_chart, own_bands, pattern_list, theme
from dashboard.charts.case_drawing import Hanger, case_drawing
from dashboard.charts.drawings import drawing
from dashboard.measures import lumber
from dashboard.measures.cases import Case
from dashboard.notes import fonts, note_wording
from dashboard.notes.model import Picture

#: Paper is white, and so is what stands behind the marks.
_PAPER = replace(theme.LIGHT, ground="#FFFFFF")
#: As narrow as their words allow, since a phone shows them smaller than they are.
_LIST_WIDTH_PX, _BANDS_WIDTH_PX, _HANGERS_PX_PER_IN = 440, 520, 23
#: A line of months is as wide as the sheet, and low.
_MONTHS_WIDTH_PX, _MONTHS_HEIGHT_PX = 620, 220
PNG_SCALE = 3


def hangers(joist: str = "2x10") -> Picture:
    """The joist in the hanger of its own size and in the two below, with the least height that each joist needs."""
    place = lumber.SIZES.index(joist)
    sizes = [lumber.SIZES[at] for at in (place, place - 1, place - 2) if at >= 0]
    drawn = [
        Hanger(
            lumber.DEPTH_IN[size],
            labels.quantity(lumber.DEPTH_IN[size], "in"),
            captions=(f"{size} hanger", *note_wording.size_verdict(joist, size)),
        )
        for size in sizes
    ]
    name = f"{joist} joist: {labels.quantity(lumber.DEPTH_IN[joist], 'in')}"
    chart = case_drawing(lumber.DEPTH_IN[joist], name, drawn, _PAPER, _HANGERS_PX_PER_IN, label_room_in=5.9)
    needed = [labels.quantity(lumber.LEAST_SHARE * depth, "in") for depth in lumber.DEPTH_IN.values()]
    table = (("Joist", *lumber.SIZES), (f"{labels.join('60', '%')} of its depth", *needed))
    described = chart.properties(description=note_wording.hangers_say(joist, sizes))
    return _picture(described, note_wording.TO_SCALE, table)


def of_case(samples: list[Case]) -> Picture | None:
    """The first case to scale; None where there is none, or no drawing for what was recorded of it."""
    chart = drawing(samples[0], _PAPER) if samples else None
    return _picture(chart, note_wording.CASE_TO_SCALE) if chart is not None else None


def write_ups(kinds: pd.DataFrame, share: float | None) -> Picture | None:
    """How many write-ups of each kind do not hold; None where no kind was judged."""
    if kinds.empty:
        return None
    chart = pattern_list.pattern_list(kinds, share, _PAPER).properties(width=_LIST_WIDTH_PX)
    return _picture(chart, _list_caption("overcalled"))


def sentences(rows: pd.DataFrame) -> Picture | None:
    """How many write-ups with each sentence do not hold; None where none was judged."""
    if rows.empty:
        return None
    chart = pattern_list.pattern_list(rows, None, _PAPER).properties(width=_LIST_WIDTH_PX)
    return _picture(chart, _list_caption("overcalled", what="sentence"))


def _list_caption(outcome: str, *rest: str, what: str = "kind") -> str:
    """What the parts of the bars are, and what their length says."""
    named = [f"{labels.GLYPHS[part]} {labels.OUTCOMES[part]}" for part in pattern_list.key(outcome)]
    return f"{', '.join([*named, *rest])}. {pattern_list.how_to_read(what=what)}"


def passed_over(kinds: pd.DataFrame, share: float | None) -> Picture | None:
    """How many defects of each kind were passed over; None where there is no kind."""
    if kinds.empty:
        return None
    chart = pattern_list.pattern_list(kinds, share, _PAPER, "missed").properties(width=_LIST_WIDTH_PX)
    return _picture(chart, _list_caption("missed", "the rest no issue"))


def own_calls(rows: pd.DataFrame, caption: str) -> Picture:
    """An inspector's write-ups beside those that peers would have made; ``rows`` as ``charts.own_bands`` takes them."""
    chart = own_bands.own_bands(rows, _PAPER).properties(width=_BANDS_WIDTH_PX)
    return _picture(chart, caption)


def months(
    rows: pd.DataFrame,
    sessions: pd.DataFrame,
    changes: pd.DataFrame,
    outcome: str,
    caption: str,
    table: Iterable[tuple[str, ...]],
) -> Picture:
    """A share month by month, as ``charts.month_chart`` takes it."""
    chart = month_chart.month_chart(rows, sessions, changes, outcome, _PAPER)
    return _picture(chart.properties(width=_MONTHS_WIDTH_PX, height=_MONTHS_HEIGHT_PX), caption, table)


def _picture(chart: theme.Picture, caption: str, table: Iterable[tuple[str, ...]] = ()) -> Picture:
    return Picture(
        heading=note_wording.PICTURE,
        chart=chart.to_dict(validate=False),
        says=note_wording.capital(str(chart.description)),
        caption=caption,
        table=tuple(table),
    )


def svg(picture: Picture, family: str) -> str:
    """The picture as SVG with its text as text in this font family; what stands in it was escaped by the renderer."""
    import vl_convert

    fonts.register()
    return str(vl_convert.vegalite_to_svg(_in_font(picture, family)))


def png(picture: Picture) -> bytes:
    """The picture as PNG, fine enough for print, in the font of the printed note."""
    import vl_convert

    fonts.register()
    return bytes(vl_convert.vegalite_to_png(_in_font(picture, fonts.PRINT), scale=PNG_SCALE))


def _in_font(picture: Picture, family: str) -> dict[str, Any]:
    return picture.chart | {"config": picture.chart["config"] | {"font": family}}
