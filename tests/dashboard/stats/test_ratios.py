"""Ratios and shrunken ratios against published limits of standardized ratios and against Efron and Morris."""

import numpy as np
import pytest
from numpy.testing import assert_allclose
from scipy.special import expit, logit
from scipy.stats import chi2, norm

from dashboard.stats.intervals import wilson
from dashboard.stats.ratios import SPREADS, Profiles, add, count_interval, profiles, ratio, shrink


def alike(events, chance, trials, error=0.0) -> Profiles:
    """Inspectors each of whom saw trials of one chance."""
    events, chance, trials = np.broadcast_arrays(np.atleast_1d(events).astype(float), chance, trials)
    n = events.size
    return profiles(logit(chance), np.arange(n), trials, events, np.broadcast_to(float(error), n).copy(), n)


# UKHSA, PHEindicatormethods, testdata_DSR_ISR.xlsx and testdata_Byars_Wilson.xlsx (read in the repository): observed,
# expected, ratio and its limits by Byar's method.
PUBLISHED = [
    (895, 835.884, 1.07072, 1.00171, 1.14323),
    (91, 835.884, 0.108867, 0.08765, 0.133666),
    (65, 65.0, 1.0, 50.163188 / 65, 82.849139 / 65),
    (1045, 1045.0, 1.0, 982.593202 / 1045, 1110.331213 / 1045),
]


@pytest.mark.parametrize(("observed", "expected", "published", "low", "high"), PUBLISHED)
def test_where_the_chance_is_small_the_limits_are_those_of_a_standardized_ratio(
    observed, expected, published, low, high
):
    """With a chance of one in a hundred thousand a count is a Poisson count, for which Byar's limits are made.

    Ours are the limits of the score, which for a count O are O + z^2/2 -+ z sqrt(O + z^2/4), Byar's those of a cube root
    that follows the exact ones: the lower of 65 is 51.0 by the score and 50.2 by Byar.
    """
    found = alike(observed, 1e-5, expected * 1e5)
    assert_allclose(np.ravel(ratio(found)), (published, low, high), rtol=0.02)
    z = norm.ppf(0.975)
    score = observed + z * z / 2 + np.array([-1, 1]) * z * np.sqrt(observed + z * z / 4)
    assert_allclose(np.ravel(count_interval(found)), score, rtol=0.001)


@pytest.mark.parametrize("observed", [0, 1, 3, 10])
def test_limits_of_small_counts_lie_within_the_exact_ones_or_close_by(observed):
    low, high = np.ravel(count_interval(alike(observed, 1e-4, 4e4)))
    exact_low = chi2.ppf(0.025, 2 * observed) / 2 if observed else 0.0
    exact_high = chi2.ppf(0.975, 2 * observed + 2) / 2
    assert exact_low <= low + 0.02
    assert high <= exact_high * 1.06  # the exact ones hold the truth more often than 95 percent asks for


def test_decks_that_are_all_alike_have_wilsons_limits():
    events = np.array([0, 3, 9, 16, 30, 60])
    low, high = count_interval(alike(events, 0.2, 80))
    assert_allclose(np.stack([low, high]) / 80, wilson(events, 80), atol=2e-3)


def test_beyond_the_grid_of_shifts_nothing_is_claimed():
    low, high = count_interval(alike([1, 79], 0.2, 80))
    assert low[0] == 0.0
    assert high[1] == 80.0


def test_the_error_of_the_peers_number_widens_the_interval_and_dispersion_does_so_too():
    widths = [
        np.diff(np.ravel(ratio(alike(20, 0.2, 100, error), dispersion)[1:]))[0]
        for error, dispersion in ((0, 1), (3, 1), (3, 2))
    ]
    assert widths[0] < widths[1] < widths[2]


def test_a_ratio_of_two_counts_has_katzs_limits_for_their_log():
    """Two Poisson counts: D. Katz et al. (1978), Biometrics 34, 469-474, here from its formula, as statsmodels has it."""
    from statsmodels.stats.rates import confint_poisson_2indep

    found = alike(60, 1e-4, 40e4, error=np.sqrt(40.0))
    _, low, high = ratio(found)
    theirs = confint_poisson_2indep(60, 1, 40, 1, method="score-log", compare="ratio")
    assert_allclose((low[0], high[0]), theirs, rtol=0.03)


def test_topics_add_up():
    one, other = alike([5, 9], 0.1, [80, 60], 1.0), alike([7, 2], 0.3, [30, 10], 2.0)
    both = add([one, other])
    assert_allclose(both.events, [12, 11])
    assert_allclose(both.expected, one.expected + other.expected)
    assert_allclose(both.error, np.sqrt(5.0))


# B. Efron and C. Morris (1977), Scientific American 236(5), 119-127: hits of 18 batters in their first 45 times at bat of
# 1970, and what their rule makes of them (hits from R's package pscl, shrunken shares from memory, confirmed with the rule).
HITS = np.array([18, 17, 16, 15, 14, 14, 13, 12, 11, 11, 10, 10, 10, 10, 10, 9, 8, 7])
SHRUNKEN = np.array(
    [0.294, 0.289, 0.285, 0.280, 0.275, 0.275, 0.270, 0.266, 0.261, 0.261, *[0.256] * 5, 0.252, 0.247, 0.242]
)


def test_batters_are_drawn_together_about_as_much_as_by_efron_and_morris():
    """Their rule draws each share to 0.212 of its distance from the mean, as if the spread were known.

    Here the spread is summed over, on the log-odds. The 18 counts differ hardly more than luck lets them, so that much of
    what the spread may be lies below its likeliest value, and the shares are drawn to 0.17 of their distance.
    """
    mean = HITS.sum() / HITS.size / 45
    found = shrink(alike(HITS, mean, 45), np.ones(18, bool))
    share = found.ratio * mean
    assert_allclose(share, SHRUNKEN, atol=0.006)
    assert_allclose(np.polyfit(HITS / 45, share, 1)[0], 0.212, atol=0.05)


def test_colleagues_who_hardly_differ_are_drawn_together_and_many_trials_leave_a_ratio_alone():
    few = shrink(alike([3, 5, 4, 4, 6, 4], 0.2, 20), np.ones(6, bool))
    assert (np.abs(few.ratio - 1) < np.abs(np.array([3, 5, 4, 4, 6, 4]) / 4 - 1) + 0.02).all()
    many = shrink(alike([3000, 5000, 4000, 4000], 0.2, 20_000), np.ones(4, bool))
    assert_allclose(many.ratio, [0.75, 1.25, 1, 1], atol=0.01)


def test_a_spread_that_was_planted_is_found():
    rng = np.random.default_rng(5)
    for planted in (0.0, 0.3, 0.8):
        chance = expit(logit(0.15) + planted * rng.standard_normal(40))
        found = shrink(alike(rng.binomial(400, chance), 0.15, 400), np.ones(40, bool))
        assert found.spread_low <= planted <= found.spread_high
        assert abs(found.spread - planted) < 0.13


def test_one_colleague_apart_hardly_moves_the_spread_and_many_beyond_the_bar_do():
    ordinary = np.array([20, 22, 18, 19, 21, 23, 17, 20, 20, 21, 19])
    spread = {}
    for n_apart in (0, 1, 4):
        events = np.append(ordinary, [70] * n_apart)
        found = alike(events, 0.2, 100)
        spread[n_apart] = shrink(found, np.arange(events.size) < ordinary.size, bar=3.5).spread
    assert spread[0] <= spread[1] < 1.35 * spread[0]
    assert spread[4] > spread[1]
    assert spread[4] < SPREADS[-1] / 2


def test_leaving_the_flagged_out_would_make_a_wide_spread_too_small():
    rng = np.random.default_rng(6)
    estimates = []
    for _ in range(20):
        chance = expit(logit(0.2) + 0.5 * rng.standard_normal(12))
        events = rng.binomial(200, chance)
        far = np.abs(events - 40) > 3.3 * np.sqrt(32)
        found = alike(events, 0.2, 200)
        estimates.append([shrink(found, ~far).spread, shrink(found, ~far, bar=3.3).spread])
    without, counted = np.mean(estimates, axis=0)
    assert without < counted
    assert abs(counted - 0.5) < abs(without - 0.5)


def test_log_odds_that_run_off_blank_no_sum():
    # Peers wrote up all of the first kind of deck, none of the second, half of the third.
    log_odds, who = np.array([900.0, -900.0, 0.0]), np.zeros(3, np.intp)
    found = profiles(log_odds, who, np.array([4.0, 5.0, 6.0]), np.array([3.0, 0.0, 2.0]), np.ones(1), 1)
    for figures in (found.counts, found.variances, found.log_likelihood):
        assert np.isfinite(figures).all()
    assert abs(found.expected[0] - (4 + 0 + 3)) < 1e-9
