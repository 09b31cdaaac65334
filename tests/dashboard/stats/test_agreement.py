"""Agreement against published figures, against statsmodels, scipy and krippendorff, and by identities.

Where a source was read in a copy and not in the paper itself, the line beside the numbers says so.
"""

from itertools import product

import krippendorff
import numpy as np
import pytest
from numpy.testing import assert_allclose
from scipy.stats import binomtest
from statsmodels.stats.inter_rater import cohens_kappa
from statsmodels.stats.inter_rater import fleiss_kappa as fleiss_of_statsmodels

from dashboard.stats import agreement
from dashboard.stats.agreement import (
    GHOST,
    cohen_kappa,
    fleiss_kappa,
    group_ac1,
    group_agreement,
    gwet_ac1,
    kappa_variance,
    krippendorff_alpha,
    order_p_value,
    pairs_for_kappa,
    pairs_for_order,
    raw_agreement,
    redrawn_weights,
    specific_agreement,
    spread,
)

# J. Cohen (1960), Educational and Psychological Measurement 20, 37-46; table and kappa read in the manual of R's psych.
COHEN = [[88, 14, 18], [10, 40, 10], [2, 6, 12]]
# A. R. Feinstein and D. V. Cicchetti (1990), Journal of Clinical Epidemiology 43, 543-549: both, first only, second
# only, neither; raw agreement, kappa. The first two read in a textbook (Gerstman, table 10.6), the others from memory.
PARADOX = [
    (40, 9, 6, 45, 0.85, 0.70),
    (80, 10, 5, 5, 0.85, 0.32),
    (45, 15, 25, 15, 0.60, 0.13),
    (25, 35, 5, 35, 0.60, 0.26),
]
# J. L. Fleiss (1971), Psychological Bulletin 76, 378-382: 30 patients, 6 psychiatrists, 5 diagnoses, kappa 0.43; counts
# by diagnosis, read in R's irr.
DIAGNOSES = (
    "00060 03003 01401 00006 03030 20400 00402 20310 20040 00006 10050 11040 03300 10050 02031 "
    "00501 30012 51000 02040 10203 00006 01050 02013 20040 10041 05010 40002 02040 10500 00006"
)
# K. Krippendorff (2011) and K. L. Gwet (2014): 12 units, 4 observers, 0 for no value; alpha 0.743 (nominal), Fleiss
# 0.76117, AC1 0.77544, read in the README of irrCAC.
TWELVE_BY_FOUR = "1101 2232 3333 3333 2222 1234 4444 1121 2222 0555 0011 0030"
# R. J. Connor (1987), Biometrics 43, 207-211, at 5 percent and a power of 80, as two calculators that cite it work it
# out (share of pairs that differ, how many times the one the other, pairs).
CONNOR = [(0.50, 9, 23), (0.45, 2, 155)]


def two_by_two(both, earlier, later, neither):
    return np.array([[both, earlier], [later, neither]], float)


def by_category(values, categories):
    return np.stack([(values == category).sum(axis=1) for category in categories], axis=1)


def test_cohens_kappa_is_the_published_one():
    assert_allclose(cohen_kappa(COHEN), 0.492, atol=5.1e-4)


@pytest.mark.parametrize(("both", "earlier", "later", "neither", "raw", "kappa"), PARADOX)
def test_kappa_falls_at_the_same_agreement_as_published_and_ac1_does_not_follow(
    both, earlier, later, neither, raw, kappa
):
    table = two_by_two(both, earlier, later, neither)
    assert_allclose([raw_agreement(table), cohen_kappa(table)], [raw, kappa], atol=5.1e-3)
    if (both, earlier) == (80, 10):
        # AC1 of this and the first table in irrCAC (Python): 0.808 and 0.70075.
        assert_allclose(gwet_ac1(table), 0.808, atol=5.1e-4)
        assert_allclose(gwet_ac1(two_by_two(*PARADOX[0][:4])), 0.70075, atol=5.1e-6)


def test_fleiss_kappa_of_the_diagnoses_is_the_published_one():
    counts = np.array([[int(digit) for digit in patient] for patient in DIAGNOSES.split()])
    # His totals (from memory, and those of the data): 26, 26, 30, 55, 43.
    assert list(counts.sum(axis=0)) == [26, 26, 30, 55, 43]
    assert_allclose(fleiss_kappa(counts), 0.430, atol=5.1e-4)


def test_missing_values_give_the_published_alpha_fleiss_and_ac1():
    values = np.array([[int(digit) for digit in unit] for unit in TWELVE_BY_FOUR.split()])
    counts = by_category(values, range(1, 6))
    assert_allclose(krippendorff_alpha(counts), 0.743, atol=5.1e-4)
    assert_allclose([fleiss_kappa(counts), group_ac1(counts)], [0.76117, 0.77544], atol=5.1e-6)


def test_kappa_and_its_variance_agree_with_statsmodels():
    tables = np.random.default_rng(3).integers(1, 60, (20, 3, 3))
    for table, kappa, variance in zip(tables, cohen_kappa(tables), kappa_variance(tables), strict=True):
        expected = cohens_kappa(table)
        assert_allclose(kappa, expected.kappa, atol=1e-12)
        assert_allclose(np.sqrt(variance / table.sum()), expected.std_kappa, atol=1e-12)


def test_fleiss_agrees_with_statsmodels_and_alpha_with_krippendorff():
    rng = np.random.default_rng(5)
    for _ in range(20):
        values = (rng.random((15, 6)) < rng.random((15, 1))).astype(float)
        assert_allclose(
            fleiss_kappa(by_category(values, (1, 0))), fleiss_of_statsmodels(by_category(values, (1, 0))), atol=1e-12
        )
        values[rng.random(values.shape) < 0.4] = np.nan
        expected = krippendorff.alpha(values.T, level_of_measurement="nominal")
        assert_allclose(krippendorff_alpha(by_category(values, (1, 0))), expected, atol=1e-12)


def test_two_looks_at_each_item_are_pairs():
    """Identities: one and the same agreement and AC1; Scott's pi, of which alpha is a correction for few calls."""
    table = two_by_two(7, 4, 2, 19)
    counts = np.array([[2, 0]] * 7 + [[1, 1]] * 6 + [[0, 2]] * 19)
    assert_allclose([group_agreement(counts), group_ac1(counts)], [raw_agreement(table), gwet_ac1(table)])
    pi = fleiss_kappa(counts)
    assert_allclose(krippendorff_alpha(counts), 1 - (1 - pi) * (1 - 1 / 64))


def test_positive_agreement_is_the_share_of_write_ups_whose_other_look_wrote_up_too():
    table = two_by_two(7, 4, 2, 19)
    assert_allclose(specific_agreement(table, 0), 14 / 20)
    assert_allclose(specific_agreement(table, 1), 38 / 44)


def test_what_is_not_defined_is_nan_and_nothing_else():
    all_sound, nothing, one_always = two_by_two(0, 0, 0, 9), two_by_two(0, 0, 0, 0), two_by_two(3, 6, 0, 0)
    assert np.isnan([cohen_kappa(all_sound), specific_agreement(all_sound, 0), raw_agreement(nothing)]).all()
    assert (raw_agreement(all_sound), gwet_ac1(all_sound), cohen_kappa(one_always)) == (1.0, 1.0, 0.0)
    assert np.isnan([fleiss_kappa([[3, 0], [2, 0]]), krippendorff_alpha([[3, 0], [2, 0]])]).all()
    assert np.isnan([group_agreement([[1, 0], [0, 0]]), krippendorff_alpha([[1, 0], [0, 1]])]).all()
    assert np.isnan(spread(np.nan, np.zeros(9))).all()


def test_the_order_of_single_pairs_is_tested_as_mcnemars_exact_test():
    for earlier, later in [(7, 2), (0, 5), (40, 61), (3, 3)]:
        nets = [1] * earlier + [-1] * later + [0] * 11
        assert_allclose(order_p_value(nets), binomtest(earlier, earlier + later).pvalue, rtol=1e-10)
    assert order_p_value([0, 0]) == order_p_value([]) == 1.0


def test_the_pairs_of_a_deck_change_sign_together():
    """By hand: all 128 ways to give seven decks their signs."""
    nets = [3, 2, -1, 1, 2, -1, 2]
    sums = [sum(sign * net for sign, net in zip(signs, nets, strict=True)) for signs in product((1, -1), repeat=7)]
    assert_allclose(order_p_value(nets), np.mean([abs(value) >= 8 for value in sums]))
    assert order_p_value(nets) > order_p_value([1] * 10 + [-1] * 2)


def test_pairs_for_a_width_agree_with_the_other_form_of_the_formula():
    """The form for two categories, read in Stata's kapssi, which gives 295.02 for kappa 0.6 at 30 percent (+- 0.1)."""

    def other_form(kappa, p, half_width):
        q, error = 1 - p, half_width / 1.959964
        above = 4 * p * p * q * q * (1 + kappa) + (1 - 2 * p) ** 2 * 2 * p * q * kappa * (2 - kappa)
        return (1 - kappa) * above / (error * 2 * p * q) ** 2

    def shares(kappa, p):
        both = kappa * p * (1 - p) + p * p
        return two_by_two(both, p - both, p - both, 1 - 2 * p + both)

    assert_allclose(other_form(0.6, 0.3, 0.1), 295.024, atol=1e-3)
    assert pairs_for_kappa(shares(0.6, 0.3), 0.1) == 296
    for kappa, p, half_width in product((0.4, 0.6, 0.8), (0.05, 0.1, 0.3, 0.5), (0.1, 0.2)):
        assert pairs_for_kappa(shares(kappa, p), half_width) == np.ceil(other_form(kappa, p, half_width))


@pytest.mark.parametrize(("differing", "ratio", "pairs"), CONNOR)
def test_pairs_for_the_order_are_those_of_the_worked_examples(differing, ratio, pairs):
    assert pairs_for_order(differing, ratio) == pairs


def test_that_many_pairs_do_show_the_order_with_the_power_that_was_asked_for():
    pairs = int(pairs_for_order(0.2))
    rng = np.random.default_rng(9)
    differing = rng.binomial(pairs, 0.2, 400)
    found = [binomtest(int(rng.binomial(n, 2 / 3)), int(n)).pvalue < 0.05 for n in differing]
    # The exact test is a little shyer than the formula; 400 tries leave 2 points of luck a standard deviation.
    assert 0.70 < np.mean(found) < 0.86


def interval(units, how_many, figure=cohen_kappa):
    """As the measure does it: half a deck of each kind added."""
    kinds = np.concatenate([units, np.eye(4)])
    tables = (redrawn_weights([*how_many, *[GHOST] * 4]) @ kinds).reshape(-1, 2, 2)
    return spread(figure((np.asarray(how_many) @ units).reshape(2, 2)), figure(tables))


def test_intervals_of_a_rare_fault_hold_the_truth():
    """Simulated: 40 decks, a tenth written up, kappa 0.9: most tables show no disagreement at all."""
    both = 0.9 * 0.1 * 0.9 + 0.01
    shares = np.array([both, 0.1 - both, 0.1 - both, 0.8 + both])
    tables = np.random.default_rng(11).multinomial(40, shares, size=200)
    ends = np.array([interval(np.eye(4), table) for table in tables if table[0]])
    assert ((ends[:, 0] <= 0.9) & (ends[:, 1] >= 0.9)).mean() > 0.9
    assert np.ptp(interval(np.eye(4), [4, 0, 0, 36])) > 0.2
    assert interval(np.eye(4), [4, 0, 0, 36])[1] == 1.0


def test_the_interval_is_that_of_the_formula_where_there_are_many_pairs():
    low, high = interval(np.eye(4), [300, 100, 150, 1450])
    error = np.sqrt(kappa_variance(two_by_two(300, 100, 150, 1450)) / 2000)
    assert_allclose((high - low) / 2, 1.96 * error, rtol=0.03)


def test_pairs_of_one_deck_that_repeat_each_other_make_no_interval_shorter():
    once = np.ptp(interval(np.eye(4), [20, 8, 8, 90]))
    doubled = np.ptp(interval(2 * np.eye(4), [20, 8, 8, 90]))
    taken_for_new = np.ptp(interval(np.eye(4), [40, 16, 16, 180]))
    assert_allclose(doubled, once, rtol=0.05)
    assert taken_for_new < 0.75 * once


def test_the_same_data_give_the_same_interval():
    assert interval(np.eye(4), [5, 3, 2, 40]) == interval(np.eye(4), [5, 3, 2, 40])
    assert redrawn_weights([3, 0.5]).sum(axis=1) == pytest.approx(np.full(agreement.REDRAWS, 3.5))
