"""Limits of months against a published chart and scipy; what widens them against a published chart and by simulation.

- p-chart: 30 samples of 50, NIST/SEMATECH e-Handbook of Statistical Methods 6.3.3.2 (mean .2313, read; limits .0524 and
  .4102 and samples 15 and 23 beyond them, from memory of the same data in Montgomery's book).
- Sigma from moving ranges: flow rates, NIST/SEMATECH 6.3.2.2 (mean 50.81, upper limit 55.8041, read in a test that
  quotes the page).
- Exponentially weighted moving average: 20 points, NIST/SEMATECH 6.3.2.4 (weight 0.3, target 50, s 2.0539; all 20 values
  to two digits, limits 52.5884 and 47.4115, which the page works out with 0.4201 for the root; data, values and limits
  read in a test that quotes the page). The recursion beside it: pandas.
- Poisson-binomial and binomial: scipy.stats.
Nothing published is known for Laney's sigma of z, nor for the limits of a Poisson-binomial count.
"""

import numpy as np
import pandas as pd
import pytest
from numpy.testing import assert_allclose
from scipy.stats import binom, poisson_binom

from dashboard.stats.control_charts import (
    REACH,
    Limits,
    brought_to,
    clustering,
    course,
    deviates,
    limits,
    scatter,
    settled_deviation,
    widened,
)

IN_50 = [12, 15, 8, 10, 4, 7, 16, 9, 14, 10, 5, 6, 17, 12, 22, 8, 10, 5, 13, 11, 20, 18, 24, 15, 9, 12, 7, 13, 9, 6]
DEFECTIVE = np.array(IN_50, float)
FLOW = np.array([49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1])
# The handbook's EWMA example: its data, which end with those of the flow rates above, and the statistic as printed.
POINTS = np.array([52.0, 47.0, 53.0, 49.3, 50.1, 47.0, 51.0, 50.1, 51.2, 50.5, *FLOW])
EWMA = [50.60, 49.52, 50.56, 50.18, 50.16, 49.21, 49.75, 49.85, 50.26, 50.33]
EWMA += [50.11, 49.36, 49.52, 50.05, 49.38, 49.92, 50.73, 51.23, 51.94, 51.99]
THREE_SIGMA = 0.00135


def test_the_published_limits_of_a_p_chart_lie_three_deviates_off():
    mean = DEFECTIVE.sum() / (30 * 50)
    assert_allclose(mean, 0.2313, atol=6e-5)
    off = deviates(50 * np.array([0.0524, 0.4102]), 50 * mean, 50 * mean * (1 - mean))
    assert_allclose(off, [-3, 3], atol=50 * 6e-5 / 2.98)  # the printed digit, in standard deviations


@pytest.mark.parametrize("tail", [THREE_SIGMA, 0.001])
def test_exact_limits_find_the_samples_that_the_published_chart_finds(tail):
    found = limits(np.full(30 * 50, DEFECTIVE.mean() / 50), np.repeat(np.arange(30), 50), 30, tail)
    beyond = [at + 1 for at, count in enumerate(IN_50) if not found.lower[at] <= count <= found.upper[at]]
    assert beyond == [15, 23]


@pytest.mark.parametrize("draws", [1, 7, 64, 65, 700])
def test_limits_of_unequal_draws_are_those_of_scipy(draws):
    p = np.random.default_rng(draws).uniform(0.01, 0.6, draws)
    found = limits(p, np.zeros(draws, int), 1)
    count, exact = np.arange(draws + 1), poisson_binom(p)
    assert found.lower[0] == count[exact.cdf(count) > 0.001][0]
    assert found.upper[0] == count[exact.sf(count - 1) > 0.001][-1]
    assert_allclose(found.outside[0], exact.cdf(found.lower[0] - 1) + exact.sf(found.upper[0]), atol=1e-12)


def test_groups_of_all_sizes_at_once_are_those_of_each_alone():
    size, p = np.array([3, 0, 50, 128, 1]), np.array([0.5, 0.5, 0.2, 0.05, 0.9])
    mixed = np.random.default_rng(1).permutation(np.repeat(np.arange(5), size))
    found = limits(p[mixed], mixed, 5)
    for group in (0, 2, 3, 4):
        alone = binom(size[group], p[group])
        assert alone.cdf(found.lower[group]) > 0.001 >= alone.cdf(found.lower[group] - 1)
        assert alone.sf(found.upper[group] - 1) > 0.001 >= alone.sf(found.upper[group])
    assert (found.lower[1], found.upper[1], found.outside[1]) == (0, 0, 0)


def test_a_factor_widens_around_what_is_expected_to_whole_counts_within_zero_and_all():
    exact = Limits(np.array([4, 4]), np.array([18, 18]), np.array([0.0, 0.0]))
    lower, upper = widened([10.0, 10.0], exact, [1.0, 1.5], [20, 20])
    assert list(lower) == [4, 1]
    assert list(upper) == [18, 20]


def test_the_scatter_is_that_of_the_published_chart_of_flow_rates():
    assert_allclose(scatter(FLOW - 50.81), (55.8041 - 50.81) / 3, atol=6e-4)  # with 1.128 for 2 / sqrt(pi)


def test_months_that_scatter_by_luck_are_hardly_widened_and_others_by_as_much_as_they_scatter():
    rng = np.random.default_rng(3)
    by_luck = [scatter(rng.standard_normal(48)) for _ in range(300)]
    more = [scatter(1.5 * rng.standard_normal(48)) for _ in range(300)]
    assert np.mean(by_luck) < 1.08
    assert np.median(more) == pytest.approx(1.5, abs=0.06)


def test_a_level_that_shifts_or_a_month_that_stands_out_does_not_hide_itself():
    z = np.random.default_rng(5).standard_normal(48)
    plain = scatter(z)
    assert scatter(z + np.repeat([-2.5, 2.5], 24)) < 1.15 * plain
    assert scatter(np.where(np.arange(48) == 30, 12.0, z)) == pytest.approx(scatter(np.delete(z, 30)))


def test_few_months_say_nothing_of_the_scatter():
    assert scatter(5 * np.array([1, -1, 1, -1, 1, -1, 1, -1.0])) == 1.0
    assert scatter([np.nan] * 20) == 1.0


def test_the_course_is_the_published_one_of_the_handbook_and_stays_within_its_limits():
    found = course(POINTS - 50, np.ones(20), np.full(20, 2.0539**2), 0.3)
    assert list(np.round(50 + found.excess, 2)) == EWMA
    reach = REACH * settled_deviation(2.0539, 0.3)
    assert_allclose([50 + reach, 50 - reach], [52.5884, 47.4115], atol=4e-4)  # the page cuts the root to 0.4201
    assert (np.abs(found.excess) < REACH * found.deviation).all()


def test_the_limits_of_the_course_are_exact_from_the_first_step_and_settle():
    found = course(np.zeros(60), np.ones(60), np.full(60, 4.0), 0.3)
    t = np.arange(1, 61)
    assert_allclose(found.deviation, 2 * np.sqrt(0.3 / 1.7 * (1 - 0.7 ** (2 * t))))
    assert found.deviation[0] == pytest.approx(0.3 * 2)
    assert found.deviation[-1] == pytest.approx(settled_deviation(2.0, 0.3))


def test_the_course_of_unequal_steps_is_a_ratio_of_two_recursions_as_pandas_does_them():
    rng = np.random.default_rng(4)
    size = rng.integers(0, 60, 40).astype(float)
    size[[7, 8]] = 0
    excess = np.where(size > 0, rng.normal(0, 3, 40), 0.0)
    average = size[size > 0].mean()

    def smoothed(start: float, steps: np.ndarray) -> np.ndarray:
        return pd.Series([start, *steps]).ewm(alpha=0.2, adjust=False).mean().to_numpy()[1:]

    found = course(excess, size, size, 0.2)
    assert_allclose(found.excess, smoothed(0, excess) / smoothed(average, size))
    assert_allclose(found.excess[[7, 8]], found.excess[6])  # steps without trials move nothing


def test_luck_carries_the_course_of_unequal_steps_as_far_as_it_says():
    size = np.tile([10, 40, 90], 12)
    drawn = np.random.default_rng(6).binomial(size, 0.3, (4000, 36)) - 0.3 * size
    every = [course(some, size, 0.21 * size) for some in drawn]
    assert_allclose(np.std([each.excess for each in every], axis=0), every[0].deviation, rtol=0.06)


def test_draws_that_share_their_luck_count_as_their_clusters_do():
    # All ten draws of a cluster happen together: the variance of the sum is ten times that of single draws.
    rng = np.random.default_rng(7)
    cluster = np.repeat(np.arange(4000), 10)
    together = np.repeat(rng.random(4000) < 0.3, 10)
    alone = rng.random(40_000) < 0.3
    event, group = np.concatenate([together, alone]), np.repeat([0, 1], 40_000)
    found = clustering(event - 0.3, np.full(80_000, 0.21), np.concatenate([cluster, cluster]), group, 2)
    assert_allclose(found, [10, 1], rtol=0.05)
    single = clustering(event - 0.3, np.full(80_000, 0.21), np.arange(80_000), group, 2)
    assert list(single) == [1, 1]


def test_chances_are_brought_to_a_number_of_events_by_one_step_of_log_odds():
    p = np.array([0.1, 0.2, 0.4, 0.5, 0.5])
    moved = brought_to(p, [0, 0, 0, 1, 1], [1.2, 0])
    assert_allclose(moved[:3].sum(), 1.2)
    step = np.log(moved / (1 - moved)) - np.log(p / (1 - p))
    assert_allclose(step[:3], step[0])
    assert_allclose(moved[3:], 0.25)  # half an event stands for none
