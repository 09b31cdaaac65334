"""The restricted cubic spline against scipy's natural spline: the same curves, in other columns."""

import numpy as np
import pytest
from numpy.testing import assert_allclose
from scipy.interpolate import CubicSpline

from dashboard.stats.spline import knots, natural_cubic


@pytest.mark.parametrize("at", [[0.3, 1.0, 2.5], [0.2, 0.9, 1.7, 4.4], [0, 1, 2, 3, 5]])
def test_it_holds_every_natural_cubic_spline_on_its_knots(at):
    inside = np.linspace(at[0], at[-1], 200)
    columns = np.column_stack([np.ones(200), natural_cubic(inside, at)])
    for heights in np.eye(len(at)):
        curve = CubicSpline(at, heights, bc_type="natural")(inside)
        found = columns @ np.linalg.lstsq(columns, curve)[0]
        assert_allclose(found, curve, atol=1e-9)
    assert columns.shape[1] == len(at)


def test_it_is_straight_beyond_the_outer_knots():
    for outside in (np.linspace(-3, 0.2, 9), np.linspace(4.4, 9, 9)):
        assert_allclose(np.diff(natural_cubic(outside, [0.2, 0.9, 1.7, 4.4]), 2, axis=0), 0, atol=1e-9)


def test_with_two_knots_or_fewer_it_is_the_straight_line():
    assert_allclose(natural_cubic([1, 2, 3], [1, 2]), [[1], [2], [3]])


def test_knots_stand_at_shares_of_the_known_values_and_equal_ones_count_once():
    assert_allclose(knots([*range(101), np.nan]), [5, 35, 65, 95])
    assert knots([2, 2, 2]).size == 1
    assert knots([np.nan]).size == 0
