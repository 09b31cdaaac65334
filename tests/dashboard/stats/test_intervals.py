"""Intervals against published limits and against statsmodels; p-values against the intervals that they invert."""

import numpy as np
import pytest
from numpy.testing import assert_allclose
from statsmodels.stats.proportion import confint_proportions_2indep, proportion_confint

from dashboard.stats.intervals import combination, p_value, wilson, z_value

# R. G. Newcombe (1998), Statistics in Medicine 17, 857-872, Table I, method 3 (score, no continuity correction).
PUBLISHED_SINGLE = [
    (81, 263, 0.2553, 0.3662),
    (15, 148, 0.0624, 0.1605),
    (0, 20, 0.0, 0.1611),
    (1, 29, 0.0061, 0.1718),
]
# R. G. Newcombe (1998), Statistics in Medicine 17, 873-890, Table II, examples (a) and (d), method 10.
PUBLISHED_DIFFERENCE = [
    (56, 70, 48, 80, 0.0524, 0.3339),
    (5, 56, 0, 29, -0.0381, 0.1926),
]


@pytest.mark.parametrize(("successes", "trials", "low", "high"), PUBLISHED_SINGLE)
def test_wilson_gives_the_published_limits(successes, trials, low, high):
    assert_allclose(wilson(successes, trials), (low, high), atol=5.1e-5)


def test_wilson_agrees_with_statsmodels_for_every_count_up_to_40():
    trials, successes = np.array([(n, x) for n in range(1, 41) for x in range(n + 1)]).T
    low, high = wilson(successes, trials)
    expected_low, expected_high = proportion_confint(successes, trials, method="wilson")
    assert_allclose(low, expected_low, atol=1e-12)
    assert_allclose(high, expected_high, atol=1e-12)


def test_wilson_reaches_the_ends_exactly_and_knows_nothing_without_trials():
    low, high = wilson([0, 7, 0], [7, 7, 0])
    assert (low[0], high[1]) == (0.0, 1.0)
    assert np.isnan([low[2], high[2]]).all()


def test_wilson_takes_an_effective_count_between_two_whole_ones():
    low, _high = wilson([3, 3.5, 4], 20)
    assert low[0] < low[1] < low[2]


@pytest.mark.parametrize(("x1", "n1", "x2", "n2", "low", "high"), PUBLISHED_DIFFERENCE)
def test_a_difference_gives_newcombes_published_limits(x1, n1, x2, n2, low, high):
    _estimate, found_low, found_high = combination([1, -1], [x1, x2], [n1, n2])
    assert_allclose((found_low, found_high), (low, high), atol=5.1e-5)


def test_a_difference_agrees_with_statsmodels():
    for x1, n1, x2, n2 in [(3, 17, 9, 40), (0, 12, 5, 30), (25, 25, 11, 19), (140, 610, 90, 533)]:
        expected = confint_proportions_2indep(x1, n1, x2, n2, method="newcomb", compare="diff")
        assert_allclose(combination([1, -1], [x1, x2], [n1, n2])[1:], expected, atol=1e-12)


def test_one_share_alone_has_its_wilson_interval():
    estimate, low, high = combination([[1.0]], [[15]], [[148]])
    assert_allclose(estimate, 15 / 148)
    assert_allclose((low, high), wilson([15], [148]))


def test_a_share_that_weighs_nothing_may_have_no_trials():
    assert_allclose(combination([1, 0], [15, 0], [148, 0]), combination([1], [15], [148]))
    assert np.isnan(combination([1, 0.1], [15, 0], [148, 0])).all()
    assert np.isnan(p_value([1, 0.1], [15, 0], [148, 0]))


def test_a_constant_moves_the_sum_and_what_0_means():
    sums = combination([1, -1], [9, 3], [20, 30]), combination([1, -1], [9, 3], [20, 30], constant=-0.2)
    assert_allclose(np.array(sums[0]) - 0.2, np.array(sums[1]))
    upper_limit = float(sums[0][2])
    assert_allclose(p_value([1, -1], [9, 3], [20, 30], constant=-upper_limit), 0.05)


def test_a_weighted_mean_of_shares_stays_between_0_and_1():
    _estimate, low, high = combination([[0.1, 0.9], [0.5, 0.5]], [[0, 1], [3, 4]], [[3, 50], [3, 4]])
    assert (low >= 0).all()
    assert (high <= 1).all()


@pytest.mark.parametrize(("x1", "n1", "x2", "n2"), [(56, 70, 48, 80), (5, 56, 0, 29), (2, 40, 11, 50)])
def test_the_interval_at_confidence_1_minus_p_just_reaches_0(x1, n1, x2, n2):
    """Identity: the p-value is the inversion of the interval."""
    p = float(p_value([1, -1], [x1, x2], [n1, n2]))
    estimate, low, high = combination([1, -1], [x1, x2], [n1, n2], confidence=1 - p)
    assert_allclose(low if estimate > 0 else high, 0, atol=1e-9)


def test_p_is_below_5_percent_exactly_where_the_interval_leaves_0_out():
    rng = np.random.default_rng(7)
    trials = rng.integers(1, 60, (500, 3))
    successes = rng.binomial(trials, rng.uniform(0, 1, (500, 3)))
    weights = np.array([0.4, 0.6, -1.0])
    _estimate, low, high = combination(weights, successes, trials)
    excludes = (low > 0) | (high < 0)
    assert 50 < excludes.sum() < 450
    np.testing.assert_array_equal(p_value(weights, successes, trials) < 0.05, excludes)


def test_p_is_the_same_from_either_side_and_1_where_nothing_differs():
    one_way, other_way = p_value([[1, -1], [-1, 1]], [[9, 3]], [[20, 30]])
    assert one_way == other_way
    assert p_value([1, -1], [2, 4], [10, 20]) == 1.0


def test_a_large_difference_has_a_p_of_next_to_nothing():
    assert p_value([1, -1], [1900, 100], [2000, 2000]) < 1e-100


def test_z_is_the_familiar_1_96():
    assert_allclose(z_value(0.95), 1.959964, atol=1e-6)
