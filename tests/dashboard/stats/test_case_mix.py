"""The model of case mix against statsmodels on rows, against lme4's published fit, and against Mantel and Haenszel."""

from dataclasses import replace

import numpy as np
import pytest
import statsmodels.api as sm
from numpy.testing import assert_allclose
from scipy.special import expit, logit, ndtr

from dashboard.stats.case_mix import (
    Cells,
    fit,
    in_order,
    log_likelihood,
    overlap,
    p_values,
    peers,
    score_tests,
)


def counted(terms, builder, inspector, events, prior_weight=0.0):
    """Rows of single trials, counted by cell; plain maximum likelihood unless a prior is asked for."""
    keys = np.column_stack([builder, inspector, terms])
    unique, cell = np.unique(keys, axis=0, return_inverse=True)
    n, k = len(unique), int(max(builder)) + 1
    cells = Cells(
        unique[:, 2:],
        unique[:, 0].astype(np.intp),
        unique[:, 1].astype(np.intp),
        np.bincount(cell, minlength=n).astype(float),
        np.bincount(cell, events, n),
        k,
        int(max(inspector)) + 1,
        prior_weight,
    )
    return cells, cell


@pytest.fixture(scope="module")
def visits():
    """20,190 rows of the RAND Health Insurance Experiment, in the public domain, as statsmodels brings them along.

    Event: any visit to a doctor. Terms: coinsurance, a deductible, health by own judgment. In the inspectors' place stand
    five bands of the number of chronic diseases.
    """
    data = sm.datasets.randhie.load_pandas().data
    terms = np.column_stack([np.ones(len(data)), data[["lncoins", "idp", "hlthg", "hlthf", "hlthp"]].to_numpy(float)])
    band = np.searchsorted([5, 9, 12, 16], data["disea"].to_numpy()).astype(np.intp)
    return terms, band, (data["mdvis"] > 0).to_numpy(float)


def test_counted_cells_give_the_coefficients_of_statsmodels_on_single_rows(visits):
    terms, band, events = visits
    cells, cell = counted(terms, np.zeros(len(band)), band, events)
    assert len(cells.trials) < 200
    ours, theirs = fit(cells), sm.GLM(events, terms, family=sm.families.Binomial()).fit(tol=1e-12)
    assert_allclose(ours.fixed, theirs.params, atol=1e-6)
    assert_allclose(ours.probability[cell], theirs.fittedvalues, atol=1e-7)
    assert_allclose(log_likelihood(cells, ours.probability), theirs.llf, atol=1e-6)


def test_the_score_test_is_that_of_statsmodels_and_close_to_the_difference_in_deviance(visits):
    terms, band, events = visits
    cells, _ = counted(terms, np.zeros(len(band)), band, events)
    fitted = fit(cells)
    z = score_tests(cells, fitted).z
    model = sm.GLM(events, terms, family=sm.families.Binomial())
    plain = model.fit(tol=1e-12)
    for at in range(5):
        indicator = (band == at).astype(float)
        chi_square, _, _ = model.score_test(plain.params, exog_extra=indicator[:, None])
        assert_allclose(z[at] ** 2, chi_square, rtol=1e-4)
        own = sm.GLM(events, np.column_stack([terms, indicator]), family=sm.families.Binomial()).fit(tol=1e-12)
        assert_allclose(np.sign(z[at]) * np.sqrt(2 * (own.llf - plain.llf)), z[at], rtol=0.05)


def test_with_500_trials_a_person_the_p_value_is_close_to_the_normal_one(visits):
    terms, _, events = visits
    someone = (np.arange(len(events)) // 7 % 40).astype(np.intp)  # 500 rows each, by no rule that means anything
    cells, _ = counted(terms, np.zeros(len(events)), someone, events)
    fitted = fit(cells)
    scores = score_tests(cells, fitted)
    assert (np.abs(scores.z) > 2).sum() >= 2  # these come from the saddlepoint approximation
    assert_allclose(np.log(p_values(cells, fitted, scores)), np.log(2 * ndtr(-np.abs(scores.z))), atol=0.25)


def test_overlap_is_one_over_the_variance_inflation_of_a_weighted_regression(visits):
    terms, band, events = visits
    cells, cell = counted(terms, np.zeros(len(band)), band, events)
    fitted = fit(cells)
    scores = score_tests(cells, fitted)
    share = fitted.probability[cell]
    for at in range(5):
        regression = sm.WLS((band == at).astype(float), terms, weights=share * (1 - share)).fit()
        assert_allclose(overlap(scores.information, scores.alone)[at], 1 - regression.rsquared, rtol=1e-5)


def test_what_peers_would_do_leaves_own_rows_out_and_has_the_error_of_the_delta_method(visits):
    terms, band, events = visits
    cells, _ = counted(terms, np.zeros(len(band)), band, events)
    found = peers(cells, fit(cells), 4)
    others = sm.GLM(events[band != 4], terms[band != 4], family=sm.families.Binomial()).fit(tol=1e-12)
    share = others.predict(terms[band == 4])
    slope = terms[band == 4].T @ (share * (1 - share))
    assert_allclose(found.expected, share.sum(), rtol=1e-7)
    assert_allclose(found.error, np.sqrt(slope @ others.cov_params() @ slope), rtol=1e-4)


def test_the_prior_moves_a_well_known_model_by_next_to_nothing(visits):
    terms, band, events = visits
    cells, _ = counted(terms, np.zeros(len(band)), band, events)
    plain, believed = fit(cells), fit(replace(cells, prior_weight=1.0))
    assert_allclose(believed.probability, plain.probability, atol=1e-3)


def test_the_prior_keeps_terms_finite_where_a_level_has_no_event():
    rng = np.random.default_rng(3)
    terms = np.column_stack([np.ones(120), rng.integers(0, 2, (120, 6))]).astype(float)
    events = ((terms[:, 1] == 1) & (terms[:, 2] == 1) & (rng.random(120) < 0.4)).astype(float)
    cells, _ = counted(terms, np.zeros(120), np.arange(120) % 6, events, prior_weight=1.0)
    fitted = fit(cells)
    assert np.abs(fitted.log_odds).max() < 9
    assert_allclose((cells.trials * fitted.probability).sum(), events.sum(), rtol=1e-6)
    assert np.abs(fit(replace(cells, prior_weight=0.0)).log_odds).max() > 15


def test_the_prior_is_the_same_however_terms_are_written_down():
    rng = np.random.default_rng(4)
    terms = np.column_stack([np.ones(200), rng.standard_normal((200, 3))])
    events = (rng.random(200) < expit(terms[:, 1] - 1)).astype(float)
    mixed = terms @ np.array([[1, 5, 0, -3], [0, 2, 1, 0], [0, 0, 0.1, 1], [0, 1, 0, 4]])
    one, other = (counted(of, np.zeros(200), np.zeros(200), events, 1.0) for of in (terms, mixed))
    assert_allclose(fit(one[0]).probability[one[1]], fit(other[0]).probability[other[1]], atol=1e-6)


# Cattle with pleuropneumonia in 15 herds over four periods: cbpp of R's lme4 (E. Lesnoff et al. 2004). herd, incidence,
# size, period.
CBPP = np.array(
    [
        (1, 2, 14, 1), (1, 3, 12, 2), (1, 4, 9, 3), (1, 0, 5, 4), (2, 3, 22, 1), (2, 1, 18, 2), (2, 1, 21, 3),
        (3, 8, 22, 1), (3, 2, 16, 2), (3, 0, 16, 3), (3, 2, 20, 4), (4, 2, 10, 1), (4, 0, 10, 2), (4, 2, 9, 3),
        (4, 0, 6, 4), (5, 5, 18, 1), (5, 0, 25, 2), (5, 0, 24, 3), (5, 1, 4, 4), (6, 3, 17, 1), (6, 0, 17, 2),
        (6, 0, 18, 3), (6, 1, 20, 4), (7, 8, 16, 1), (7, 1, 10, 2), (7, 3, 9, 3), (7, 0, 5, 4), (8, 12, 34, 1),
        (9, 2, 9, 1), (9, 0, 6, 2), (9, 0, 8, 3), (9, 0, 6, 4), (10, 1, 22, 1), (10, 1, 22, 2), (10, 0, 18, 3),
        (10, 2, 22, 4), (11, 0, 25, 1), (11, 5, 27, 2), (11, 3, 22, 3), (11, 1, 22, 4), (12, 2, 10, 1), (12, 1, 8, 2),
        (12, 0, 6, 3), (12, 0, 5, 4), (13, 1, 21, 1), (13, 2, 24, 2), (13, 0, 19, 3), (13, 0, 23, 4), (14, 11, 19, 1),
        (14, 0, 2, 2), (14, 0, 3, 3), (14, 0, 2, 4), (15, 1, 19, 1), (15, 1, 15, 2), (15, 1, 15, 3), (15, 0, 15, 4),
    ],
    float,
)  # fmt: skip


def cbpp():
    herd, incidence, size, period = CBPP.T
    terms = np.column_stack([np.ones(herd.size), *(period == at for at in (2, 3, 4))]).astype(float)
    nobody = np.zeros(herd.size, np.intp)
    return replace(in_order(terms, herd.astype(np.intp) - 1, nobody, size, incidence, 15, 1), prior_weight=0.0)


def test_the_spread_of_herds_is_that_of_lme4():
    """lme4's documentation of ``cbpp`` (Laplace): spread 0.6421, terms -1.3983, -0.9919, -1.1282, -1.5797.

    There the fixed terms maximize the likelihood with the herds integrated out. Here, as in lme4 with nAGQ = 0, fixed
    terms and herds are those that are likeliest together, which costs nothing and pulls the fixed terms slightly toward
    none.
    """
    fitted = fit(cbpp())
    assert_allclose(fitted.spread, 0.6421, atol=0.01)
    assert_allclose(fitted.fixed, [-1.3983, -0.9919, -1.1282, -1.5797], atol=0.25)


def test_herds_are_drawn_toward_the_others_the_more_the_fewer_their_cattle():
    cells = cbpp()
    shrunken, free = fit(cells, spread=0.6), fit(cells, spread=3.0)
    assert (
        np.abs(shrunken.builders - shrunken.builders.mean()) < np.abs(free.builders - free.builders.mean()) + 0.05
    ).all()
    assert np.std(shrunken.builders) < np.std(free.builders)


# Admissions to six departments of the University of California at Berkeley in 1973: UCBAdmissions of R (Bickel, Hammel
# and O'Connell 1975). Men admitted, men rejected, women admitted, women rejected.
UCB = np.array(
    [
        (512, 313, 89, 19),
        (353, 207, 17, 8),
        (120, 205, 202, 391),
        (138, 279, 131, 244),
        (53, 138, 94, 299),
        (22, 351, 24, 317),
    ],
    float,
)


def test_departments_as_fixed_terms_give_mantel_and_haenszels_test():
    """R's ``mantelhaen.test(UCBAdmissions, correct = FALSE)``: chi-square 1.5246.

    Both compare the men admitted with what their department's share leads to. Mantel and Haenszel's variance is that of
    drawing without replacement, n / (n - 1) times the binomial one of a department of n: with hundreds of applicants the
    two differ in the third digit, and dividing by that factor makes them equal.
    """
    admitted, rejected = UCB[:, [0, 2]], UCB[:, [1, 3]]
    department, person = np.repeat(np.arange(6), 2), np.tile([0, 1], 6)
    terms = np.eye(6)[department]
    terms[:, 0] = 1
    trials = (admitted + rejected).ravel()
    cells = Cells(terms, np.zeros(12, np.intp), person, trials, admitted.ravel(), 1, 2, 0.0)
    fitted = fit(cells)
    scores = score_tests(cells, fitted)
    assert_allclose(scores.z[0] ** 2, 1.5246, atol=0.005)
    assert_allclose(scores.z[1], -scores.z[0], rtol=1e-4)

    n, men, yes = UCB.sum(axis=1), UCB[:, :2].sum(axis=1), UCB[:, [0, 2]].sum(axis=1)
    binomial = men * (n - men) / n * yes / n * (n - yes) / n
    assert_allclose(scores.information[0], binomial.sum(), rtol=1e-4)
    exact = scores.score[0] ** 2 / (binomial * n / (n - 1)).sum()
    assert_allclose(exact, 1.5246, atol=6e-5)


def test_the_p_value_of_few_rare_events_is_close_to_the_exact_one():
    """All trials alike: given how many events there are, those of one person are hypergeometric."""
    from scipy.stats import hypergeom

    people, trials, events = np.arange(10), np.full(10, 60.0), np.array([7, 1, 0, 2, 1, 0, 1, 2, 1, 0.0])
    cells = Cells(np.ones((10, 1)), np.zeros(10, np.intp), people, trials, events, 1, 10, 0.0)
    fitted = fit(cells)
    scores = score_tests(cells, fitted)
    exact = hypergeom(600, int(events.sum()), 60)
    mid_p = 2 * (exact.sf(7) + exact.pmf(7) / 2)
    assert 2 * ndtr(-scores.z[0]) < mid_p / 10  # what a normal distribution would make of it
    assert_allclose(np.log10(p_values(cells, fitted, scores)[0]), np.log10(mid_p), atol=0.15)


def test_a_person_alone_with_a_level_cannot_be_told_from_it():
    level = np.repeat([0, 1, 2], 40)
    terms = np.column_stack([np.ones(120), level == 1, level == 2]).astype(float)
    inspector = np.where(level == 2, 3, np.arange(120) % 3).astype(np.intp)
    events = np.tile([1.0, 0, 0, 0], 30)
    cells, _ = counted(terms, np.zeros(120), inspector, events, prior_weight=1.0)
    scores = score_tests(cells, fit(cells))
    assert overlap(scores.information, scores.alone)[3] < 0.05
    assert (overlap(scores.information, scores.alone)[:3] > 0.5).all()


def test_log_odds_are_those_of_the_share_where_all_decks_are_alike():
    cells = Cells(np.ones((2, 1)), np.zeros(2, np.intp), np.arange(2), np.array([30.0, 50]), np.array([6.0, 10]), 1, 2)
    assert_allclose(fit(cells).log_odds, logit(0.2), atol=1e-7)
