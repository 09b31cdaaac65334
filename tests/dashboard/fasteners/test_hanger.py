"""What is left of a hanger's nails: holes left empty, nails that end in the joist."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dashboard.fasteners.hanger import (
    ASSUMED,
    angled_lateral,
    angled_nail_left,
    joist_side_lateral,
    joist_side_nail_left,
    share_left,
)

HOLES = st.integers(1, 60)


def test_nails_count_alike():
    assert share_left(12, 12) == 1
    assert share_left(12, 9) == 0.75
    assert share_left(10, 0) == 0
    # 10 holes, all filled, 4 of them with nails of which nothing is left, or a half.
    assert share_left(10, 10, 4) == pytest.approx(0.6)
    assert share_left(10, 10, 4, 0.5) == pytest.approx(0.8)


@given(HOLES, st.data())
def test_more_missing_or_shorter_nails_never_leave_more(total, data):
    filled = data.draw(st.integers(0, total))
    short = data.draw(st.integers(0, filled))
    share = data.draw(st.floats(0, 1))
    left = share_left(total, filled, short, share)
    assert 0 <= left <= filled / total <= 1
    if filled > short:
        assert share_left(total, filled - 1, short, share) <= left
        assert share_left(total, filled, short + 1, share) <= left + 1e-12
    assert share_left(total, filled, short, share / 2) <= left


@pytest.mark.parametrize("given_holes", [(0, 0), (10, 11), (10, -1), (10, 5, 6), (10, 5, 5, 1.5)])
def test_holes_that_make_no_sense_are_refused(given_holes):
    with pytest.raises(ValueError, match="holes filled"):
        share_left(*given_holes)


def test_nothing_is_left_of_a_short_nail_in_an_angled_hole():
    left = angled_nail_left(0.148, 1.5)
    assert left.share == 0
    assert left.found.penetration_in < 0
    assert "does not reach" in left.found.note


@given(st.floats(0.55, 2))
def test_on_any_path_through_the_joist_nothing_is_left_of_it(path_in):
    joint = replace(ASSUMED, joist_path_in=path_in)
    assert angled_nail_left(0.148, 1.5, joint).share in (0, None)


def test_the_full_nail_has_its_whole_value():
    """3 in less 1-1/2 in of joist and 0.048 in of steel at 45 degrees; 128 lb is the value of Table 12N beside 1-1/2 in."""
    full = angled_lateral(ASSUMED.diameter_in, ASSUMED.length_in)
    assert full.penetration_in == pytest.approx(3 - 1.5 - 0.048 * 2**0.5)
    assert (round(full.value_lb), full.mode) == (128, "IV")
    assert angled_nail_left(ASSUMED.diameter_in, ASSUMED.length_in).share == 1


@pytest.mark.parametrize(
    ("diameter_in", "length_in", "found_lb"),
    # 8d common and 10d sinker: the values of Table 12N beside 1-1/2 in of Southern Pine; 8d box likewise.
    [(0.131, 2.5, 106), (0.120, 2.875, 89), (0.113, 2.5, 79)],
)
def test_thinner_nails_that_reach_far_enough_keep_their_own_value(diameter_in, length_in, found_lb):
    left = angled_nail_left(diameter_in, length_in)
    assert round(left.found.value_lb) == found_lb
    assert left.share == pytest.approx(found_lb / 128.5, abs=0.005)


@given(st.floats(0.3, 3), st.floats(0.3, 3))
def test_a_shorter_nail_never_has_more_left(one_in, other_in):
    short, long = sorted((one_in, other_in))
    for left in (angled_nail_left, joist_side_nail_left):
        assert left(0.148, short).share <= left(0.148, long).share + 1e-12
        assert 0 <= left(0.148, min(short, 1.5)).share <= 1


def test_on_the_joists_side_a_nail_needs_six_diameters():
    """1-1/2 in through 18 gauge: 124 lb in Southern Pine (Table 12P computed with the true length)."""
    full = joist_side_lateral(0.148, 1.5)
    assert (round(full.value_lb), full.mode) == (124, "IIIs")
    assert joist_side_nail_left(0.148, 0.93).share == 0
    assert 0.9 < joist_side_nail_left(0.148, 1.0).share < 1


def test_other_assumptions_are_taken():
    softer = angled_lateral(0.148, 3, replace(ASSUMED, joist_species="Hem-Fir", header_species="Hem-Fir"))
    assert round(softer.value_lb) == 102  # Table 12N, 10d common beside 1-1/2 in of Hem-Fir
    through = angled_nail_left(0.148, 2.5, replace(ASSUMED, joist_path_in=1.5 * 2**0.5))
    assert through.share is None  # even the full nail is under 6 diameters deep
    assert through.full.note


def test_sizes_that_make_no_sense_are_refused():
    with pytest.raises(ValueError, match="90 degrees"):
        angled_lateral(0.148, 3, replace(ASSUMED, angle_deg=90))
    with pytest.raises(ValueError, match="0 in long"):
        joist_side_lateral(0.148, 0)
