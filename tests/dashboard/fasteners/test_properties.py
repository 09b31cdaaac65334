"""What must hold of any nail: the least mode governs, more of anything never carries less."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dashboard.fasteners import adjustments, lists, strength, withdrawal
from dashboard.fasteners.lateral import bearing_length_in, nail_lateral, steel_side, wood_side
from dashboard.fasteners.yielding import MODES, Bearing, design_values_lb, governing, reduction_terms, yield_loads_lb

DIAMETERS = st.floats(0.099, 0.249)
LENGTHS = st.floats(0.03, 6)
GRAVITIES = st.floats(0.31, 0.73)
STRENGTHS = st.floats(1_000, 90_000)
BEARINGS = st.builds(Bearing, LENGTHS, STRENGTHS)
BENDING = st.floats(45_000, 130_000)
SLIGHTLY = 1e-9


@given(DIAMETERS, BENDING, BEARINGS, BEARINGS)
def test_the_governing_mode_is_the_least_and_all_are_positive(diameter_in, bending_psi, main, side):
    values = design_values_lb(diameter_in, bending_psi, main, side)
    least = governing(values)
    assert tuple(values) == MODES
    assert 0 < least.value_lb == min(values.values()) == values[least.mode]


@given(DIAMETERS, DIAMETERS, BENDING, BEARINGS, BEARINGS)
def test_a_thicker_nail_of_the_same_steel_is_never_weaker(one_in, other_in, bending_psi, main, side):
    """The same lengths and strengths; a thicker nail of the trade is of softer steel, which is not held against it here."""
    thin, thick = sorted((one_in, other_in))
    weaker = design_values_lb(thin, bending_psi, main, side)
    stronger = design_values_lb(thick, bending_psi, main, side)
    for mode in MODES:
        assert stronger[mode] >= weaker[mode] * (1 - SLIGHTLY), mode


@given(DIAMETERS, BENDING, BEARINGS, BEARINGS, st.floats(1, 3))
def test_more_length_or_harder_wood_or_steel_is_never_weaker(diameter_in, bending_psi, main, side, times):
    base = governing(design_values_lb(diameter_in, bending_psi, main, side)).value_lb
    longer = Bearing(main.length_in * times, main.strength_psi)
    harder = Bearing(side.length_in, side.strength_psi * times)
    for changed in ((bending_psi, longer, side), (bending_psi, main, harder), (bending_psi * times, main, side)):
        assert governing(design_values_lb(diameter_in, *changed)).value_lb >= base * (1 - SLIGHTLY)


@given(DIAMETERS, BENDING, BEARINGS, BEARINGS)
def test_main_and_side_member_may_change_places(diameter_in, bending_psi, main, side):
    one, other = (yield_loads_lb(diameter_in, bending_psi, *members) for members in ((main, side), (side, main)))
    for mode, mirrored in {"Im": "Is", "IIIm": "IIIs", "II": "II", "IV": "IV"}.items():
        assert one[mode] == pytest.approx(other[mirrored], rel=1e-6)


@given(st.sampled_from(lists.nails()), st.floats(-1, 4), st.floats(0.1, 3), GRAVITIES)
def test_penetration_decides_whether_there_is_a_value(nail, penetration_in, side_in, specific_gravity):
    found = nail_lateral(nail.diameter_in, penetration_in, wood_side(side_in, specific_gravity), specific_gravity)
    enough = penetration_in >= 6 * nail.diameter_in
    assert (found.value_lb is not None) == (found.mode is not None) == enough
    assert bool(found.note) == (penetration_in < 10 * nail.diameter_in)


@given(st.sampled_from(lists.nails()), st.floats(6, 10), st.sampled_from([20, 18, 16, 14, 12, 11, 10, 7, 3]), GRAVITIES)
def test_less_penetration_never_gives_more(nail, diameters, gauge, specific_gravity):
    side = steel_side(lists.thickness_in(gauge))
    whole = nail_lateral(nail.diameter_in, 10 * nail.diameter_in, side, specific_gravity).value_lb
    found = nail_lateral(nail.diameter_in, diameters * nail.diameter_in, side, specific_gravity).value_lb
    assert 0 < found <= whole * (1 + SLIGHTLY)


def test_six_and_ten_diameters_themselves_are_enough():
    side = steel_side(0.048)
    assert nail_lateral(0.148, 1.5 - 0.612, side, 0.55).value_lb is not None  # 0.888, less its last digit
    assert nail_lateral(0.148, 0.887, side, 0.55).value_lb is None
    assert nail_lateral(0.148, 1.48, side, 0.55).note == ""
    assert "does not reach" in nail_lateral(0.148, 0, side, 0.55).note
    assert bearing_length_in(1.48, 0.148) == pytest.approx(1.332)
    assert bearing_length_in(0.1, 0.148) == 0


@given(GRAVITIES, GRAVITIES, DIAMETERS)
def test_denser_wood_bears_more_and_holds_more(one, other, diameter_in):
    light, dense = sorted((one, other))
    for hold in (
        withdrawal.nail_withdrawal_lb_per_in,
        withdrawal.wood_screw_withdrawal_lb_per_in,
        withdrawal.lag_screw_withdrawal_lb_per_in,
    ):
        assert 0 < hold(light, diameter_in) <= hold(dense, diameter_in)
    assert strength.wood_bearing_psi(light, diameter_in) <= strength.wood_bearing_psi(dense, diameter_in)
    assert strength.wood_bearing_psi(dense, diameter_in) % 50 == 0


@given(st.floats(0.25, 1), GRAVITIES)
def test_wood_bears_no_more_than_along_its_grain_up_to_where_densities_of_lumber_end(diameter_in, specific_gravity):
    along = strength.wood_bearing_psi(specific_gravity, diameter_in)
    assert strength.wood_bearing_psi(specific_gravity, diameter_in, "perpendicular") <= along


def test_thicker_fasteners_are_of_softer_steel():
    """NDS 2018 Table I1, at the ends of its rows."""
    rows = {
        0.099: 100,
        0.142: 100,
        0.1421: 90,
        0.177: 90,
        0.1771: 80,
        0.236: 80,
        0.25: 70,
        0.3125: 60,
        0.375: 45,
        1.0: 45,
    }
    assert {diameter_in: strength.bending_psi(diameter_in) / 1000 for diameter_in in rows} == rows


def test_reduction_terms_of_table_12_3_1b():
    assert set(reduction_terms(0.17).values()) == {2.2}
    assert set(reduction_terms(0.2, 90).values()) == {2.5}
    assert list(reduction_terms(0.5).values()) == [4, 4, 3.6, 3.2, 3.2, 3.2]
    assert list(reduction_terms(0.5, 90).values()) == [5, 5, 4.5, 4, 4, 4]


def test_steel_is_plate_from_a_quarter_inch_on():
    assert (strength.steel_bearing_psi(0.239), strength.steel_bearing_psi(0.25)) == (61_850, 87_000)


def test_factors_for_wet_wood_and_toe_nails():
    """NDS 2018 Table 11.3.3 and section 12.5.4."""
    assert adjustments.wet_service("lateral") == adjustments.wet_service("withdrawal", "lag_screw") == 0.7
    assert adjustments.wet_service("lateral", wet_in_service=False) == 1
    assert adjustments.wet_service("withdrawal") == 0.25
    assert adjustments.wet_service("withdrawal", wet_when_made=True, wet_in_service=False) == 0.25
    assert adjustments.wet_service("withdrawal", wet_when_made=True) == 1
    assert (adjustments.toe_nail("lateral"), adjustments.toe_nail("withdrawal")) == (0.83, 0.67)
    assert adjustments.toe_nail_lengths_in(3) == pytest.approx((1, 3 * math.sqrt(3) / 2 - 1))


@pytest.mark.parametrize(
    "refused",
    [
        lambda: yield_loads_lb(0.148, 90_000, Bearing(0, 5_000), Bearing(1, 5_000)),
        lambda: yield_loads_lb(math.nan, 90_000, Bearing(1, 5_000), Bearing(1, 5_000)),
        lambda: reduction_terms(1.01),
        lambda: reduction_terms(0.5, 91),
        lambda: strength.bending_psi(0.098),
        lambda: strength.bending_psi(1.1),
        lambda: strength.wood_bearing_psi(-0.5, 0.148),
        lambda: strength.steel_bearing_psi(0),
        lambda: nail_lateral(0.25, 3, steel_side(0.048), 0.5),
        lambda: nail_lateral(0.05, 3, steel_side(0.048), 0.5),
        lambda: withdrawal.nail_withdrawal_lb_per_in(0.5, 0),
        lambda: adjustments.toe_nail_lengths_in(0),
    ],
)
def test_what_makes_no_sense_is_refused(refused):
    with pytest.raises(ValueError, match=r"\d|nan"):
        refused()
