"""Tails against the exact distribution of a sum of unequal yes-or-no draws."""

from itertools import product

import numpy as np
import pytest
from numpy.testing import assert_allclose
from scipy.special import ndtr
from scipy.stats import norm, poisson_binom

from dashboard.stats.saddlepoint import tails


@pytest.mark.parametrize("mean", [1.0, 3.0, 12.0])
def test_the_mid_p_of_a_poisson_binomial_count(mean):
    """Half of the chance of the very count counts as farther: H. O. Lancaster (1961), JASA 56, 223-234."""
    chance = np.random.default_rng(1).beta(0.8, 8, 120)
    chance *= mean / chance.sum()
    exact = poisson_binom(chance)
    for count in range(int(mean) + 1, int(mean + 6 * np.sqrt(mean)) + 2):
        _, high = tails(count - mean, np.ones(120), chance, np.ones(120))
        mid_p = exact.sf(count) + exact.pmf(count) / 2
        assert 0.7 < high / mid_p < 1.2, count


def test_the_normal_distribution_would_be_off_by_orders_where_the_saddlepoint_is_not():
    chance = np.full(300, 0.01)
    _, high = tails(9.0, np.ones(300), chance, np.ones(300))
    exact = poisson_binom(chance)
    mid_p = exact.sf(12) + exact.pmf(12) / 2
    assert_allclose(high, mid_p, rtol=0.2)
    assert ndtr(-9 / np.sqrt(300 * 0.01 * 0.99)) < mid_p / 50


def test_unequal_factors_against_every_outcome():
    chance, factor = np.linspace(0.05, 0.4, 12), np.linspace(0.4, 1.0, 12)
    outcomes = np.array(list(product([0, 1], repeat=12)))
    weight = np.prod(np.where(outcomes, chance, 1 - chance), axis=1)
    deviation = outcomes @ factor - factor @ chance
    for reached in (1.0, 2.0, 3.0, -1.2):
        low, high = tails(reached, factor, chance, np.ones(12))
        assert_allclose(high, weight[deviation >= reached].sum(), rtol=0.12)
        assert_allclose(low + high, 1, atol=2e-3)


def test_counts_of_many_trials_are_the_same_as_single_ones():
    grouped = tails(4.0, np.array([1.0, 0.5]), np.array([0.1, 0.3]), np.array([30.0, 20]))
    single = tails(4.0, np.repeat([1.0, 0.5], [30, 20]), np.repeat([0.1, 0.3], [30, 20]), np.ones(50))
    assert_allclose(grouped, single, rtol=1e-9)


def test_with_nothing_but_a_normal_draw_it_is_the_normal_distribution():
    low, high = tails(5.0, np.array([1e-9]), np.array([0.5]), np.ones(1), variance=4.0)
    assert_allclose((low, high), (norm.cdf(2.5), norm.sf(2.5)), rtol=1e-3)


def test_no_variance_tells_nothing():
    assert tails(0.0, np.ones(2), np.zeros(2), np.ones(2)) == (1.0, 1.0)
