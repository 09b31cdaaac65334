"""How much a hanger defect matters: what share of the lateral value of its nails is left.

It gives weight to what training is about. It judges no structure: hanger ratings come from tests, a calculation bounds
the nails only.
"""

from __future__ import annotations

from typing import Any

import pandas as pd

from dashboard import labels
from dashboard.fasteners import hanger, lists
from dashboard.fasteners.hanger import NailLeft
from dashboard.fasteners.lateral import LEAST_DIAMETERS
from dashboard.fasteners.strength import THINNEST_IN
from dashboard.filters import EVERYTHING, Filters
from dashboard.measures.rows import each
from dashboard.warehouse import Snapshot

MISSING, LENGTH = "hanger_fasteners_missing", "hanger_fastener_length"
#: Recorded kinds of nail, and the list of sizes that gives their thickness; None where they come in any thickness.
#: Screws, staples, roofing and finish nails have no value here.
NAILS = {
    "common_nail": "common",
    "short_nail": "short",
    "sinker_nail": "sinker",
    "box_nail": "box",
    "ring_shank_nail": None,
    "gun_nail": None,
}
COLUMNS = (
    "observation_id",
    "report_id",
    "deck_id",
    "topic",
    "call",
    "outcome",
    "holes_total",
    "holes_filled",
    "fastener_kind",
    "fastener_position",
    "fastener_length_in",
    "share_left",
    "why",
)


def nails_left(snapshot: Snapshot, filters: Filters = EVERYTHING, only: str | None = None) -> pd.DataFrame:
    """Of each defect of missing or too short hanger nails, the share of their lateral value that is left.

    Parameters
    ----------
    only
        The observation to look at; None for all.

    Returns
    -------
    DataFrame
        One row an observation of these two topics with verdict defect and the measures needed; the least left first,
        of equal ones the newest. A nail whose thickness cannot be told is left out, unless it is so short that
        nothing would be left of the thinnest one.

        - observation_id, report_id, deck_id, topic, call, outcome
        - holes_total, holes_filled, fastener_kind, fastener_position, fastener_length_in: as recorded; blank where not
        - share_left: 0 to 1; of missing nails, of all nails of the hanger; of short ones, of each such nail
        - why: how that comes, in one sentence
    """
    found = snapshot.query(
        "nails_left", missing=MISSING, length=LENGTH, nails=list(NAILS), only=only, **filters.parameters()
    )
    left = [_left(row) for row in each(found)]
    table = found.assign(
        share_left=pd.Series([one and one[0] for one in left], found.index, dtype=float),
        why=pd.Series([one and one[1] for one in left], found.index, dtype="str"),
    )
    in_order = table.dropna(subset="share_left").sort_values("share_left", kind="stable")
    return in_order[list(COLUMNS)].reset_index(drop=True)


def _left(row: Any) -> tuple[float, str] | None:
    """The share of a row, and why; None where it cannot be worked out."""
    if row.topic == MISSING:
        return _of_filled(int(row.holes_total), int(row.holes_filled))
    if row.tip_in_gap:
        return 0.0, "Of such a nail nothing is left: its tip is seen in the gap, so that it does not reach the header."
    return _of_length(row.fastener_kind, row.fastener_position, row.fastener_length_in)


def _of_filled(total: int, filled: int) -> tuple[float, str]:
    share = hanger.share_left(total, filled)
    return share, (
        f"{labels.part_of(filled, total)} holes are filled; all nails counting alike, "
        f"{labels.percent(share)} of their lateral value is left."
    )


def _of_length(kind: str, position: str, recorded_in: float) -> tuple[float, str] | None:
    length_in = float(recorded_in) if labels.is_known(recorded_in) else _short_nail().length_in
    diameter_in = _diameter_in(kind, length_in)
    nail_left = hanger.angled_nail_left if position == "angled" else hanger.joist_side_nail_left
    # The thinner a nail, the less depth it needs to count at all.
    left = nail_left(diameter_in or THINNEST_IN, length_in)
    if left.share is None or (diameter_in is None and left.share > 0):
        return None
    return left.share, _sentence(left, position, diameter_in or THINNEST_IN, length_in)


def _diameter_in(kind: str, length_in: float) -> float | None:
    """The thickness of a nail of that kind and length; None where none is listed."""
    if kind == "short_nail":
        return _short_nail().diameter_in
    listed = lists.nail_of_length(NAILS[kind] or "", length_in)
    return listed.diameter_in if listed else None


def _short_nail() -> lists.Nail:
    return lists.nail("short", "10d x 1-1/2")


def _sentence(left: NailLeft, position: str, diameter_in: float, length_in: float) -> str:
    angled = position == "angled"
    member = "header" if angled else "joist"
    long = f"{labels.inches(length_in)} long"
    if left.found.value_lb is not None:
        asked_in = hanger.ASSUMED.length_in if angled else hanger.ASSUMED.joist_side_length_in
        thick, asked_thick = (labels.quantity(inches, "in") for inches in (diameter_in, hanger.ASSUMED.diameter_in))
        return (
            f"Such a nail, {long} and taken as {thick} thick, has {labels.percent(left.share or 0)} of the lateral "
            f"value of one {labels.inches(asked_in)} long and {asked_thick} thick."
        )
    if left.found.penetration_in <= 0:
        return f"Of such a nail nothing is left: {long}, it does not reach the {member}."
    deep = labels.quantity(round(left.found.penetration_in, 2), "in")
    return (
        f"Of such a nail nothing is left that may be counted: {long}, it is {deep} deep in the {member}, under "
        f"{LEAST_DIAMETERS} times its thickness."
    )
