"""What must hold whatever was recorded: one verdict a row; worse measures, or fewer, never make it more lenient."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal
from typing import Any

import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from etl import contract, vocabulary
from etl.criteria.catalog import Catalog, load_catalog
from etl.criteria.models import DECIDING

Row = dict[str, Any]
Judge = Callable[..., list[Row]]

#: Each example is a query over many rows, so a failing one is shown as it is and not made smaller.
SOME = settings(deadline=None, phases=[Phase.explicit, Phase.reuse, Phase.generate])
CATALOG = load_catalog()
BUILT = [topic for topic in vocabulary.topics() if CATALOG.of_topic(topic)]
DECK = ("deck_built_year", "deck_height_in", "ledger_attached", "code_basis")
#: Values at which the rules turn, so that they are hit and not only passed by.
TURNING = [
    "0",
    "0.125",
    "0.375",
    "0.5",
    "1.5",
    "2.5",
    "3",
    "4",
    "4.375",
    "5.55",
    "6",
    "7.75",
    "10",
    "12",
    "30",
    "34",
    "36",
    "38",
    "60",
    "96",
    "142",
    "144",
    "158",
    "216",
]


def _values(name: str) -> st.SearchStrategy[Any]:
    rule = contract.columns()[name].rule
    if name == "code_basis":
        return st.sampled_from(["IRC 2000", "IRC 2015", "IRC 2018", "2024 IRC", "DCA 6"])
    if rule.choices:
        return st.sampled_from(rule.choices)
    if rule.kind == "yes_no":
        return st.booleans()
    if rule.kind == "size":
        return st.sampled_from(["2x4", "2x6", "2x8", "2x10", "2x12", "2x14", "4x6"])
    if rule.kind == "integer":
        return st.integers(max(int(rule.low or 0), 0), 8) if (rule.high or 0) < 1000 else st.integers(2000, 2026)
    low, high = Decimal(rule.low or 0), Decimal(rule.high or 100)
    turning = [Decimal(value) for value in TURNING if low <= Decimal(value) <= high]
    return st.sampled_from(turning) | st.decimals(low, min(high, low + 50), places=3)


def _row(topic: str) -> st.SearchStrategy[Row]:
    recorded = {name: _values(name) for name in (*CATALOG.measures_of(topic), *DECK)}
    return st.fixed_dictionaries({"topic": st.just(topic)}, optional=recorded)


any_row = st.sampled_from(BUILT).flatmap(_row)


@settings(SOME, max_examples=6)
@given(rows=st.lists(any_row, min_size=20, max_size=60))
def test_every_row_comes_back_once_with_one_verdict_and_says_why(judge: Judge, rows: list[Row]) -> None:
    results = judge(*rows)

    assert [row["observation_no"] for row in results] == [str(number) for number in range(len(rows))]
    for result in results:
        decided = result["verdict"] in DECIDING
        assert decided or result["verdict"] == "cannot_tell"
        assert decided == (result["criterion_id"] is not None) == (result["basis"] == "measured")
        assert result["reason"]
        assert not decided or result["missing"] is None
        assert "\u00a0" not in result["reason"]


LAGS = {"ledger_fastener": "half_in_lag"}
SPACED = {"joist_span_in": Decimal("144"), "ledger_fastener_spacing_in": Decimal("12")}
JOISTS = {"joist_nominal": "2x8", "joist_spacing_in": Decimal("16"), "deck_built_year": 2020}
SPAN = {"joist_span_in": Decimal("144")}
REACHING = {"joist_nominal": "2x8", "joist_species": "southern_pine", "overhang_in": Decimal("24")}
BEAM = {"beam": "2-2x10", "joist_span_in": Decimal("144")}
POST = {"post_nominal": "4x4", "joist_species": "southern_pine"}
#: Measure, what stands beside it, and whether more of it is worse.
WORSE = [
    ("joist_gap", "joist_gap_in", {}, True),
    ("joist_seat", "seat_gap_in", {}, True),
    ("stair_riser", "riser_max_in", {}, True),
    ("stair_riser_spread", "riser_spread_in", {}, True),
    ("stair_riser_spread", "riser_max_in", {"riser_min_in": Decimal("7")}, True),
    ("stair_tread", "tread_min_in", {}, False),
    ("hanger_backing", "hanger_below_ledger_in", {"nails_below_ledger": False}, True),
    ("guard_height", "guard_height_in", {"guard_place": "deck"}, False),
    ("guard_height", "guard_height_in", {}, False),
    ("guard_opening", "opening_in", {"guard_place": "deck"}, True),
    ("guard_opening", "opening_in", {"guard_place": "stair"}, True),
    ("guard_opening", "opening_in", {"guard_place": "stair_triangle"}, True),
    ("guard_opening", "opening_in", {}, True),
    ("guard_required", "drop_in", {"guard_present": False}, True),
    ("stair_open_riser", "riser_opening_in", {"height_above_grade_in": Decimal("60")}, True),
    ("stair_open_riser", "riser_opening_in", {"height_above_grade_in": Decimal("20")}, True),
    ("joist_bearing", "bearing_length_in", {"bearing_on": "masonry"}, False),
    ("overhead_wires", "wire_above_deck_in", {"wire_kind": "service_drop"}, False),
    ("joist_notch", "notch_depth_in", {"notch_place": "outer_third", "joist_depth_in": Decimal("18")}, True),
    ("joist_notch", "notch_depth_in", {"notch_place": "end", "joist_depth_in": Decimal("12")}, True),
    ("joist_notch", "notch_depth_in", {"notch_place": "middle_third"}, True),
    ("beam_overhang", "beam_overhang_in", {"beam_span_in": Decimal("120")}, True),
    ("post_base", "post_embedment_in", {"post_base": "embedded"}, False),
    ("footing_depth", "footing_depth_in", {"frost_depth_in": Decimal("36"), "ledger_attached": True}, False),
    ("footing_depth", "footing_depth_in", {"frost_depth_in": Decimal("36"), "ledger_attached": False}, False),
    ("footing_depth", "footing_depth_in", {}, False),
    ("ledger_fasteners", "ledger_fastener_spacing_in", LAGS | {"joist_span_in": Decimal("144")}, True),
    ("ledger_fasteners", "joist_span_in", LAGS | {"ledger_fastener_spacing_in": Decimal("15")}, True),
    ("ledger_fasteners", "design_load_psf", LAGS | SPACED, True),
    ("joist_span", "joist_span_in", JOISTS | {"joist_species": "southern_pine"}, True),
    ("joist_span", "joist_span_in", JOISTS | {"deck_built_year": 2010, "joist_species": "hem_fir"}, True),
    ("joist_span", "joist_span_in", JOISTS | {"deck_built_year": 2010}, True),
    ("joist_span", "joist_spacing_in", JOISTS | {"joist_span_in": Decimal("120")}, True),
    ("joist_span", "design_load_psf", JOISTS | {"joist_span_in": Decimal("120")}, True),
    ("joist_overhang", "overhang_in", SPAN | {"joist_nominal": "2x8", "joist_species": "southern_pine"}, True),
    ("joist_overhang", "overhang_in", SPAN | {"joist_nominal": "2x8", "joist_species": "hem_fir"}, True),
    ("joist_overhang", "overhang_in", SPAN | {"code_basis": "IRC 2018"}, True),
    ("joist_overhang", "overhang_in", SPAN, True),
    ("joist_overhang", "design_load_psf", SPAN | REACHING, True),
    ("decking_span", "joist_spacing_in", {"decking": "five_quarter", "decking_angle": "straight"}, True),
    ("decking_span", "joist_spacing_in", {"decking": "two_by"}, True),
    ("beam_span", "beam_span_in", BEAM | {"overhang_in": Decimal("12"), "joist_species": "southern_pine"}, True),
    ("beam_span", "beam_span_in", BEAM, True),
    ("beam_span", "beam_span_in", BEAM | {"code_basis": "DCA 6"}, True),
    ("beam_span", "overhang_in", BEAM | {"beam_span_in": Decimal("96"), "joist_species": "southern_pine"}, True),
    ("beam_span", "design_load_psf", BEAM | {"beam_span_in": Decimal("84"), "overhang_in": Decimal("12")}, True),
    ("post_height", "post_height_in", POST | {"tributary_area_sqft": Decimal("60")}, True),
    ("post_height", "tributary_area_sqft", POST | {"post_height_in": Decimal("108")}, True),
    ("post_height", "post_height_in", {"post_nominal": "4x4", "code_basis": "IRC 2018"}, True),
    ("post_height", "post_height_in", {"post_nominal": "4x4", "code_basis": "IRC 2015"}, True),
]
LIMITS = [
    "13",
    "15",
    "16",
    "20",
    "24",
    "27",
    "40",
    "48",
    "50",
    "70",
    "80",
    "81",
    "84",
    "100",
    "108",
    "129",
    "156.2",
    "164",
]
LENIENCE = {"defect": 0, "judgment": 1, "acceptable": 2}


@pytest.mark.parametrize(("topic", "measure", "beside", "more_is_worse"), WORSE)
def test_a_worse_measure_never_gets_a_more_lenient_verdict(
    judge: Judge, topic: str, measure: str, beside: Row, more_is_worse: bool
) -> None:
    """Around every value at which a rule turns, a sixty-fourth and a millionth to both sides."""
    turning = [Decimal(value) for value in [*TURNING, "0.0625", "0.25", "7", "7.375", "120", *LIMITS]]
    sides = (Decimal(0), Decimal("0.000001"), Decimal("0.015625"))
    values = sorted({max(at + sign * side, Decimal(0)) for at in turning for side in sides for sign in (1, -1)})

    results = judge(*({"topic": topic, measure: value, **beside} for value in values))

    lenience = [LENIENCE[row["verdict"]] for row in results if row["verdict"] in LENIENCE]
    assert lenience == sorted(lenience, reverse=more_is_worse)
    assert lenience


#: Measures whose absence may change a verdict, and why. Everything else only ever turns it into cannot_tell.
MAY_CHANGE = {
    # named defaults: another value stands in
    ("*", "code_basis"): "IRC 2021 is assumed",
    ("guard_required", "drop_in"): "the deck height stands in",
    ("guard_height", "drop_in"): "the deck height stands in, or a guard is taken as required",
    ("guard_height", "deck_height_in"): "a guard is taken as required",
    ("guard_opening", "drop_in"): "the deck height stands in, or a guard is taken as required",
    ("guard_opening", "deck_height_in"): "a guard is taken as required",
    ("stair_riser_spread", "riser_spread_in"): "tallest less lowest stands in",
    ("*", "design_load_psf"): "40 psf is taken",
    ("post_height", "tributary_area_sqft"): "the area is taken from the spans",
    ("joist_overhang", "joist_nominal"): "up to a sixth of the span is taken as sound for any size",
    ("stringer", "stringer_throat_in"): "a solid stringer is as deep as its size",
    # a better measure is missing, so a cruder one decides
    ("hanger_size", "hanger_height_in"): "the stamped size decides",
    ("hanger_size", "joist_depth_in"): "the PS 20 depth of the size stands in",
    ("hanger_backing", "ledger_depth_in"): "the PS 20 depth of the size stands in",
    ("hanger_backing", "joist_depth_in"): "the PS 20 depth of the size stands in",
    ("hanger_backing", "hanger_below_ledger_in"): "the sizes decide",
    ("joist_notch", "joist_depth_in"): "the PS 20 depth of the size stands in",
    ("guard_opening", "sphere_passes"): "the tape decides",
    ("stair_open_riser", "sphere_passes"): "the tape decides",
    ("stair_open_riser", "height_above_grade_in"): "exactly 4 in is left to the inspector unless known to be low",
    ("stair_open_riser", "stair_rise_in"): "exactly 4 in is left to the inspector unless known to be low",
    ("handrail", "handrail_height_in"): "a rail that is there, its height not recorded, is acceptable",
    ("handrail", "handrail_present"): "a recorded height says that there is one",
    ("handrail_grip", "graspable"): "the shape decides",
    ("handrail_grip", "handrail_shape"): "what the hand says decides",
    ("footing_depth", "footing_depth_in"): "on grade the kind of footing decides",
    # a further fault that nobody wrote down is not assumed
    ("ledger_size", "joist_nominal"): "the joists are not assumed deeper than the ledger",
    ("footing_depth", "footing_kind"): "a footing of 12 in or more is not assumed to be on grade",
    ("hanger_missing", "joist_support"): "on top of the beam is enough",
    ("lateral_ties", "ledger_attached"): "left to the inspector unless known to stand alone",
    ("joist_notch", "notch_depth_in"): "in the middle third any notch is too deep",
    ("hanger_missing", "joist_framing"): "a strip or angle is left to the inspector either way",
    ("hanger_size", "joist_plies"): "plies are not assumed to differ",
    ("hanger_size", "hanger_plies"): "plies are not assumed to differ",
    ("hanger_flange", "flange_bent"): "a flange made to be turned in is acceptable",
    ("hanger_backing", "nails_below_ledger"): "nails are not assumed to miss",
    ("hanger_backing", "hanger_height_in"): "the hanger is not assumed taller than the ledger",
    ("hanger_backing", "ledger_nominal"): "the hanger is not assumed taller than the ledger",
    ("hanger_fasteners_missing", "holes_empty"): "the other counts decide",
    ("hanger_fasteners_missing", "holes_total"): "the other counts decide",
    ("hanger_fasteners_missing", "holes_filled"): "the other counts decide",
    ("hanger_fastener_length", "nail_tip_seen_in_gap"): "the tip is not assumed to show",
    ("hanger_fastener_length", "fastener_length_in"): "a short nail is judged by its place",
    ("hanger_corrosion", "rust"): "light zinc decides by itself",
    ("hanger_corrosion", "hanger_finish"): "the rust decides by itself",
    ("hanger_corrosion", "lumber_treated"): "the rust decides by itself",
    ("hanger_corrosion", "deck_built_year"): "the rust decides by itself",
    ("guard_post", "guard_post_fixing"): "a notch is judged by itself",
    ("guard_post", "guard_post_notched"): "a hold-down or a missing tie-back decides by itself",
    ("guard_post", "guard_post_tied_back"): "without a tie-back recorded it is left to the inspector",
    ("guard_post", "post_nominal"): "the fixing decides by itself",
    ("guard_post", "deck_built_year"): "the fixing decides by itself",
}


@settings(SOME, max_examples=10)
@given(rows=st.lists(any_row, min_size=20, max_size=60), data=st.data())
def test_recording_less_gives_the_same_verdict_or_none_but_for_what_is_named(
    judge: Judge, rows: list[Row], data: st.DataObject
) -> None:
    whole, less, left_out = [], [], []
    for row in rows:
        recorded = sorted(set(row) - {"topic"})
        free = [name for name in recorded if not {(row["topic"], name), ("*", name)} & set(MAY_CHANGE)]
        if free:
            name = data.draw(st.sampled_from(free))
            whole.append(row)
            less.append({key: value for key, value in row.items() if key != name})
            left_out.append(name)

    results = judge(*whole, *less) if whole else []

    for before, after, name in zip(results[: len(whole)], results[len(whole) :], left_out, strict=True):
        assert after["verdict"] in (before["verdict"], "cannot_tell"), (before["topic"], name)


def test_every_topic_tells_what_it_asks_for(catalog: Catalog, judge: Judge) -> None:
    """A row of a built topic with nothing recorded names at least one of the topic's measures."""
    for row in judge(*({"topic": topic} for topic in BUILT)):
        assert row["verdict"] == "cannot_tell"
        assert row["missing"], row["topic"]
        assert set(row["missing"]) <= set(catalog.measures_of(row["topic"])) | set(DECK), row["topic"]
