"""What is left of the nails of hangers that are defects: which rows there are, and what each says."""

from __future__ import annotations

import pytest

from dashboard.filters import Filters
from dashboard.measures.nails_left import nails_left
from dashboard.measures.tables import table

MISSING, LENGTH = "hanger_fasteners_missing", "hanger_fastener_length"
ANGLED = {"fastener_position": "angled"}
SIDE = {"fastener_position": "joist_side"}


def left_of(snapshot):
    found = table(snapshot, "nails_left")
    return dict(zip(found["report_id"], found["share_left"], strict=True))


@pytest.mark.parametrize(
    ("recorded", "share"),
    [
        ({"holes_total": 12, "holes_filled": 9}, 0.75),
        ({"holes_total": 12, "holes_filled": 0}, 0),
        ({"holes_total": 12, "holes_empty": 3}, 0.75),
        ({"holes_total": 12, "holes_filled": 12, "holes_empty": 3}, 0.75),  # recorded both ways: the fewer
        ({"holes_total": 12}, None),
        ({"holes_empty": 3}, None),
        ({"holes_total": 2, "holes_empty": 3}, None),
    ],
)
def test_of_missing_nails(firm, published, recorded, share):
    firm.note(MISSING, "written_up", "defect", report="R1", **recorded)
    assert left_of(published(firm)) == ({} if share is None else {"R1": share})


@pytest.mark.parametrize(
    ("recorded", "share"),
    [
        ({"fastener_kind": "short_nail", "fastener_length_in": 1.5, **ANGLED}, 0),
        ({"fastener_kind": "short_nail", **ANGLED}, 0),
        ({"fastener_kind": "common_nail", "fastener_length_in": 1.5, **ANGLED}, 0),
        ({"fastener_kind": "common_nail", "fastener_length_in": 2.5, **ANGLED}, 0.826),
        ({"fastener_kind": "sinker_nail", "fastener_length_in": 2.875, **ANGLED}, 0.693),
        ({"fastener_kind": "box_nail", "fastener_length_in": 2.5, **ANGLED}, 0.614),
        # No list says how thick it is; even the thinnest would not count at 2 in, but might at 2-1/2 in.
        ({"fastener_kind": "gun_nail", "fastener_length_in": 2, **ANGLED}, 0),
        ({"fastener_kind": "gun_nail", "fastener_length_in": 2.5, **ANGLED}, None),
        ({"fastener_kind": "structural_screw", "fastener_length_in": 2, **ANGLED}, None),
        ({"fastener_kind": "roofing_nail", "fastener_length_in": 1.5, **ANGLED}, None),
        ({"fastener_kind": "common_nail", **ANGLED, "nail_tip_seen_in_gap": True}, 0),
        ({"fastener_kind": "common_nail", "fastener_length_in": 3, **ANGLED, "nail_tip_seen_in_gap": True}, 0),
        ({"fastener_kind": "short_nail", "fastener_length_in": 1, **SIDE}, 0.982),
        ({"fastener_kind": "short_nail", "fastener_length_in": 0.75, **SIDE}, 0),
        ({"fastener_kind": "short_nail", **SIDE}, None),
    ],
)
def test_of_short_nails(firm, published, recorded, share):
    firm.note(LENGTH, "passed", "defect", report="R1", **recorded)
    assert left_of(published(firm)) == ({} if share is None else {"R1": pytest.approx(share, abs=0.0005)})


def test_only_judged_defects_of_the_two_topics_and_within_the_filters(firm, published):
    holes = {"holes_total": 10, "holes_filled": 5}
    firm.note(MISSING, "written_up", "defect", report="R1", **holes)
    firm.note(MISSING, "passed", "defect", report="R2", region="Flats", **holes)
    firm.note(MISSING, "not_seen", "defect", report="R3", **holes)
    firm.note(MISSING, "written_up", "acceptable", report="R4", holes_total=10, holes_filled=10)
    firm.note("hanger_size", "written_up", "defect", report="R5", **holes)
    snapshot = published(firm)
    assert sorted(left_of(snapshot)) == ["R1", "R2"]
    found = table(snapshot, "nails_left", filters=Filters(regions=("Flats",)))
    assert found[["report_id", "deck_id", "call", "outcome"]].values.tolist() == [["R2", "DR2", "passed", "missed"]]


def test_the_least_left_stands_first_and_each_row_says_why(firm, published):
    firm.note(MISSING, "written_up", "defect", report="R1", holes_total=12, holes_filled=9)
    firm.note(LENGTH, "passed", "defect", report="R2", fastener_kind="short_nail", fastener_length_in=1.5, **ANGLED)
    firm.note(LENGTH, "passed", "defect", report="R3", fastener_kind="common_nail", fastener_length_in=2.5, **ANGLED)
    firm.note(LENGTH, "passed", "defect", report="R4", fastener_kind="common_nail", fastener_length_in=2, **ANGLED)
    firm.note(LENGTH, "passed", "defect", report="R5", **ANGLED, nail_tip_seen_in_gap=True)
    found = table(published(firm), "nails_left").set_index("report_id")
    assert list(found.index) == ["R2", "R4", "R5", "R1", "R3"]
    why = {report: text.replace("\u00a0", " ") for report, text in found["why"].items()}
    assert why == {
        "R1": "9 of 12 holes are filled; all nails counting alike, 75 % of their lateral value is left.",
        "R2": "Of such a nail nothing is left: 1-1/2 in long, it does not reach the header.",
        "R3": "Such a nail, 2-1/2 in long and taken as 0.131 in thick, has 83 % of the lateral value of one 3 in long and "
        "0.148 in thick.",
        "R4": "Of such a nail nothing is left that may be counted: 2 in long, it is 0.43 in deep in the header, under 6 times its "
        "thickness.",
        "R5": "Of such a nail nothing is left: its tip is seen in the gap, so that it does not reach the header.",
    }


def test_one_observation_alone(firm, published):
    firm.note(MISSING, "written_up", "defect", report="R1", holes_total=12, holes_filled=9)
    firm.note(MISSING, "written_up", "defect", report="R2", holes_total=12, holes_filled=6)
    snapshot = published(firm)

    assert list(nails_left(snapshot, only="R2:2")["share_left"]) == [0.5]
    assert nails_left(snapshot, only="R3:1").empty
