"""Which drawing explains which topic; a topic that words explain better has none."""

from __future__ import annotations

from collections.abc import Callable

from dashboard.charts import case_drawing, fastener_drawing, gap_drawing, guard_drawing, riser_drawing, theme
from dashboard.measures.cases import Case

#: By topic: the drawing of a case, or None where its measures were not recorded.
DRAWINGS: dict[str, Callable[[Case, theme.Palette], theme.Picture | None]] = {
    "hanger_size": case_drawing.of_case,
    "hanger_fastener_length": fastener_drawing.of_case,
    "joist_gap": gap_drawing.end_of_case,
    "joist_seat": gap_drawing.seat_of_case,
    "guard_height": guard_drawing.height_of_case,
    "guard_opening": guard_drawing.opening_of_case,
    "stair_riser": riser_drawing.tallest_of_case,
    "stair_riser_spread": riser_drawing.spread_of_case,
}


def drawing(found: Case, colors: theme.Palette) -> theme.Picture | None:
    """The drawing of a case, to scale; None where there is none for its topic or its measures were not recorded."""
    draw = DRAWINGS.get(str(found.facts["topic"]))
    return draw(found, colors) if draw else None
