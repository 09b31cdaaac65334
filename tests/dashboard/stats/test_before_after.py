"""Before and after: against a published difference in differences, the published formula of regression to the mean, other
packages' spread, and simulation."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pandas as pd
import pytest
from numpy.testing import assert_allclose
from scipy import stats
from statsmodels.stats.meta_analysis import combine_effects

from dashboard.stats.before_after import (
    between,
    falls_back,
    less_regression,
    scatter,
    spread,
    times_needed,
    within,
    worth,
)
from dashboard.stats.permutation import Permuted

PUBLISHED = Path(__file__).parent / "published"


def test_the_published_difference_in_differences():
    """Kessler and Roth (2014): California asked anew from the fourth quarter on; 26 other states did not.

    N. Huntington-Klein, The Effect, chapter 18, prints -0.022 (0.006), from memory; the shared facts work out -0.022459.
    """
    rows = pd.read_csv(PUBLISHED / "organ_donations.csv")
    rates = rows.assign(after=rows["quarter"] > 3).groupby(["state", "after"])["rate"].mean().unstack()
    change = (rates[True] - rates[False]).to_numpy()
    found = between(change, np.ones(27), np.asarray(rates.index == "California"))
    assert_allclose(found.permuted.estimate, -0.022459, atol=6e-7)
    assert_allclose(found.robust.estimate, -0.022459, atol=6e-7)
    # One state alone: of 27 states five moved at least as far from the others, and no error can be trusted.
    assert found.permuted.p == 5 / 27
    assert found.permuted.assignments == 27


def test_a_trained_half_whose_changes_are_set_apart_is_told_by_both_ways():
    random = np.random.default_rng(2)
    change = random.normal(0, 0.05, 12) - 0.2 * (np.arange(12) < 6)
    found = between(change, np.full(12, 25.0), np.arange(12) < 6)
    welch = stats.ttest_ind(change[:6], change[6:], equal_var=False)
    assert_allclose(found.robust.estimate / found.robust.standard_error, welch.statistic)
    assert found.permuted.p == 2 / 924
    assert found.permuted.high < 0
    inside = within(change[:6], np.full(6, 25.0))
    assert_allclose(inside.robust.interval(), stats.ttest_1samp(change[:6], 0).confidence_interval(), rtol=1e-9)


@pytest.mark.parametrize("correlation", [0.2, 0.5, 0.8])
def test_what_falls_back_is_the_published_formula_over_those_beyond_a_cut(correlation):
    """A. G. Barnett et al. (2005), equation (1), for their mean 60, deviation 15 and cut 40 (the code on the author's page,
    read): W / sqrt(W + B) x phi(z) / (1 - Phi(z)); 13.49 at a correlation of one half."""
    luck, true = (1 - correlation) * 15**2, correlation * 15**2
    z = (60 - 40) / 15
    formula = luck / 15 * stats.norm.pdf(z) / stats.norm.sf(z)
    grid = np.linspace(60 - 12 * 15, 40, 200_001)
    density = stats.norm.pdf(grid, 60, 15)
    mean = np.average(falls_back(grid, np.full(grid.size, luck), true, 60.0), weights=density)
    assert_allclose(mean, formula, rtol=1e-3)
    if correlation == 0.5:
        assert_allclose(formula, 13.49, atol=0.006)


def test_what_falls_back_of_nothing_and_of_everything():
    level, luck = np.array([0.3, 0.1]), np.array([0.01, 0.02])
    assert_allclose(falls_back(level, luck, 0.0, 0.2), [-0.1, 0.1])
    assert_allclose(falls_back(level, luck, np.inf, 0.2), [0, 0])


def test_the_spread_is_that_of_statsmodels():
    random = np.random.default_rng(7)
    luck = random.uniform(0.5, 3, 12)
    level = random.normal(0, np.sqrt(luck + 2))
    found = spread(level, luck)
    assert_allclose(found.value, combine_effects(level, luck, method_re="dl").tau2, rtol=1e-9)
    # The interval's ends turn the sum of squares into the chi-square's.
    for end, share in ((found.low, 0.975), (found.high, 0.025)):
        weight = 1 / (luck + end)
        squares = (weight * (level - np.average(level, weights=weight)) ** 2).sum()
        assert squares == pytest.approx(stats.chi2.ppf(share, 11)) or (end == 0 and squares < stats.chi2.ppf(share, 11))


def test_levels_that_scatter_no_more_than_luck_have_no_spread():
    found = spread([0.1, 0.1, 0.1, np.nan], [0.02, 0.03, 0.02, np.nan])
    assert (found.value, found.low) == (0, 0)
    assert spread([0.1], [0.02]).high == np.inf


def test_a_correction_that_is_known_leaves_the_interval_and_one_that_is_not_widens_it():
    effect = Permuted(-0.1, 0.02, -0.18, -0.02, 220)
    known = less_regression(effect, (-0.05, -0.05, -0.05))
    assert_allclose([known.estimate, known.low, known.high], [-0.1, -0.18, -0.02])
    # If more than was taken off may have been luck, the effect may be smaller still.
    wider = less_regression(effect, (-0.05, -0.11, -0.05))
    assert_allclose([wider.low, wider.high], [-0.18, -0.1 + np.hypot(0.08, 0.06)])


def test_windows_as_long_as_are_said_to_be_needed_show_half_of_a_share_in_80_percent():
    """By simulation: 12 percent in six of twelve who were looked at 40 times on each side."""
    trained, now = np.arange(12) < 6, np.full(12, 40.0)
    times = times_needed(now, now, trained, 0.12)
    each = int(np.ceil(40 * times))
    random = np.random.default_rng(1)
    before = random.binomial(each, 0.12, (400, 12)) / each
    after = random.binomial(each, np.where(trained, 0.06, 0.12), (400, 12)) / each
    shown = np.mean([between(change, np.ones(12), trained).permuted.p <= 0.05 for change in after - before])
    assert 0.75 < shown < 0.9
    assert times_needed(now * times, now * times, trained, 0.12) == pytest.approx(1)
    assert times_needed(now, now, trained, 0.12, scattered=2.0) == pytest.approx(2 * times)
    assert times_needed(now, now, None, 0.12) < times
    assert times_needed(now, 0 * now, trained, 0.12) == np.inf


def test_changes_that_scatter_by_luck_alone_are_not_taken_for_more():
    random = np.random.default_rng(8)
    luck = np.full(400, 0.01)
    change = random.normal(0, 0.1, 400)
    assert_allclose(scatter(change, np.ones(400), luck, np.arange(400) < 100), 1, atol=0.15)
    assert_allclose(scatter(2 * change, np.ones(400), luck), 4, rtol=0.2)
    assert scatter(change / 10, np.ones(400), luck) == 1


def test_a_change_is_worth_no_more_than_its_smaller_window():
    assert_allclose(worth([50, 50, 0], [50, 1e9, 20]), [25, 50, 0])
