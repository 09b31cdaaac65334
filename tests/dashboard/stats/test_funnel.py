"""Funnel limits and scatter against published examples, against scipy, and against identities.

Published: the areas of a proportion funnel (UKHSA PHEindicatormethods, testdata_funnel_prop, whose limits are normal ones)
and 54 hospitals of the medpar data (COUNT package), whose outliers the README of NHS-R FunnelPlotR counts. The data of
Spiegelhalter's own paper could not be read.
"""

import numpy as np
import pytest
from numpy.testing import assert_allclose
from scipy.stats import binom, norm
from scipy.stats.mstats import winsorize

from dashboard.stats.funnel import (
    INNER,
    OUTER,
    over_dispersion,
    proportion_limits,
    ratio_limits,
    scatter,
    variance_between,
    winsorised,
)

# Computed with scipy 1.17.1 by the rule of Spiegelhalter's appendix at a share of 0.2: trials, and the limits at 0.1,
# 2.5, 97.5, 99.9 percent. At 20 trials the first would be -0.04566: it is 0.
INTERPOLATED = [
    (50, (0.03478, 0.08440, 0.30709, 0.37914)),
    (100, (0.08098, 0.11974, 0.27648, 0.32677)),
    (500, (0.14549, 0.16449, 0.23465, 0.25589)),
]
# UKHSA PHEindicatormethods: denominator, and the published 2- and 3-sigma limits around 80.642448 percent, in percent.
AREAS = [
    (664, (77.637263, 83.647632, 75.904239, 85.380656)),
    (99108, (80.396467, 80.888428, 80.254616, 81.03028)),
]
# The medpar data: observed and expected long stays of 54 hospitals, expected rounded to one decimal.
HOSPITALS = np.array(
    [
        *[(406, 523.7), (642, 613.0), (46, 53.8), (764, 763.7), (82, 120.9), (201, 250.2), (193, 155.5), (569, 484.7)],
        *[(404, 362.2), (134, 188.9), (614, 554.4), (491, 616.7), (501, 360.1), (131, 245.6), (274, 263.6)],
        *[(124, 154.7), (456, 475.0), (48, 38.9), (429, 445.1), (14, 28.8), (369, 347.5), (8, 7.6), (37, 73.2)],
        *[(128, 118.1), (145, 273.3), (493, 449.8), (104, 172.4), (6, 19.2), (308, 321.9), (34, 36.6), (7, 20.0)],
        *[(935, 851.7), (134, 198.9), (339, 302.4), (458, 410.2), (22, 45.9), (2, 9.7), (160, 212.3), (87, 38.9)],
        *[(55, 31.7), (252, 285.6), (174, 186.7), (43, 34.0), (228, 255.7), (210, 242.0), (321, 279.5), (631, 619.3)],
        *[(543, 626.1), (105, 145.7), (389, 413.9), (92, 111.3), (1012, 685.6), (283, 181.1), (95, 24.8)],
    ]
)
FAR = norm.ppf(0.5 + OUTER / 2)


@pytest.mark.parametrize(("trials", "limits"), INTERPOLATED)
def test_limits_are_interpolated_as_the_appendix_says(trials, limits):
    low, high = proportion_limits(trials, 0.2, INNER)
    lowest, highest = proportion_limits(trials, 0.2, OUTER)
    assert_allclose((lowest, low, high, highest), limits, atol=5.1e-6)
    assert proportion_limits(20, 0.2, OUTER)[0] == 0


def test_limits_agree_with_the_binomial_distribution_of_scipy_at_every_count_up_to_60():
    trials = np.arange(1, 61)
    for share in (0.03, 0.2, 0.7):
        for confidence in (INNER, OUTER):
            for tail, limit in zip(
                ((1 - confidence) / 2, (1 + confidence) / 2), proportion_limits(trials, share, confidence), strict=True
            ):
                at = binom.ppf(tail, trials, share)
                below = binom.cdf(at - 1, trials, share)
                part = (binom.cdf(at, trials, share) - tail) / (binom.cdf(at, trials, share) - below)
                assert_allclose(limit, np.clip((at - part) / trials, 0, 1), atol=1e-9)


@pytest.mark.parametrize(("denominator", "limits"), AREAS)
def test_exact_limits_of_many_trials_are_near_the_published_normal_ones(denominator, limits):
    found = [*proportion_limits(denominator, 0.80642448, INNER), *proportion_limits(denominator, 0.80642448, OUTER)]
    # Skewness moves a limit by (1 - 2 p)(z^2 - 1) / 6 counts, interpolation by up to half a count: 1.4 together.
    assert_allclose(found, np.array(limits) / 100, atol=1.5 / denominator)


def test_a_ratio_has_the_limits_of_its_share_divided_by_it():
    low, high = proportion_limits(200, 0.25, OUTER)
    assert_allclose(ratio_limits(50, 0.25, OUTER), (low / 0.25, high / 0.25))


def test_limits_of_a_real_valued_number_of_trials_lie_between_those_of_its_neighbors():
    low, high = ratio_limits([50, 50.1, 50.25], 0.25)
    assert low[0] < low[1] < low[2]
    assert high[0] > high[1] > high[2]


def test_a_spread_widens_the_limits_as_an_additive_variance_does():
    # For a large count and a small spread the log-odds are straight: ratio 1 +- z sqrt((1 - p) / E + (spread (1 - p))^2).
    low, high = ratio_limits(1e5, 0.2, INNER, spread=0.01)
    distance = norm.ppf(0.975) * np.sqrt(0.8 / 1e5 + (0.01 * 0.8) ** 2)
    assert_allclose((low, high), (1 - distance, 1 + distance), atol=2e-4)
    luck = ratio_limits(30, 0.2, OUTER)
    wide = ratio_limits(30, 0.2, OUTER, spread=0.5)
    assert 0 < wide[0] < luck[0]
    assert luck[1] < wide[1] < 5


def test_the_hospitals_outside_before_and_after_the_variance_between_them_are_those_published():
    observed, expected = HOSPITALS.T
    error = 1 / np.sqrt(expected)
    deviates = np.log(observed / expected) / error
    assert (np.abs(deviates) > FAR).sum() == 25
    # The README leaves out the farthest tenth on each side, by rank, before it measures the over-dispersion.
    tenth = np.floor((np.argsort(np.argsort(deviates)) + 1) * 10 / (deviates.size + 1))
    kept = (tenth > 0) & (tenth < 9)
    between = variance_between(np.mean(deviates[kept] ** 2), error[kept])
    assert between == pytest.approx(0.02841, abs=5e-5)  # computed by the documented method, unrounded
    assert (np.abs(np.log(observed / expected)) / np.sqrt(error**2 + between) > FAR).sum() == 9


def test_the_over_dispersion_of_the_hospitals_is_that_of_the_documented_method():
    observed, expected = HOSPITALS.T
    deviates = 2 * (np.sqrt(observed) - np.sqrt(expected))
    # 9.3025, computed with numpy 2.4.6 from the unrounded data: square roots, a tenth drawn in on each side.
    assert over_dispersion(deviates) == pytest.approx(9.3025, abs=0.01)


@pytest.mark.parametrize("units", [6, 12, 40])
def test_who_lie_apart_by_luck_have_a_scatter_of_one_however_few_they_are(units):
    draws = np.random.default_rng(7).normal(size=(1500, units))
    found = np.mean([scatter(draw) for draw in draws])
    assert found == pytest.approx(1, abs=0.03)
    assert scatter(2.5 * draws[0]) == pytest.approx(2.5 * scatter(draws[0]))


def test_winsorised_deviates_agree_with_scipy_where_the_quantiles_are_among_the_data():
    deviates = np.random.default_rng(5).normal(size=51)  # a tenth of the way from first to last is the sixth
    assert_allclose(winsorised(deviates), np.asarray(winsorize(deviates, limits=(0.1, 0.1))))


def test_without_more_scatter_than_luck_gives_there_is_no_variance_between():
    assert variance_between(0.6, [0.1, 0.2, 0.3]) == 0
