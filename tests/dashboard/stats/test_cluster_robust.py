"""Standard errors for few clusters: against published output, statsmodels and Welch.

Data and printed numbers:

- chick_weight.csv is R's data set ChickWeight. clubSandwich's reference page of ``conf_int`` (read) prints, for
  ``lm(weight ~ Diet * Time)`` with CR2, clusters of chicks and Satterthwaite's degrees of freedom, the numbers below.
- petersen.csv are the test data of M. A. Petersen (2009), Review of Financial Studies 22, 435-480, rounded to four
  decimals. The README of the R package sandwich (read) prints the standard errors by firm 0.0506 and 0.0670.
- organ_donations.csv are quarterly rates of J. B. Kessler and A. E. Roth (2014), by the R package causaldata (read).
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pandas as pd
import pytest
from numpy.testing import assert_allclose
from scipy import stats
from statsmodels.regression.linear_model import OLS, WLS

from dashboard.stats.cluster_robust import regression

PUBLISHED = Path(__file__).parent / "published"


@pytest.mark.parametrize(
    ("term", "estimate", "error", "df", "interval", "wide"),
    [
        ("Diet2:Time", 1.77, 1.49, 18.8, (-1.349, 4.88), (-2.4946, 6.03)),
        ("Diet3:Time", 4.58, 1.35, 18.8, (1.751, 7.41), (0.7115, 8.45)),
        ("Diet4:Time", 2.87, 1.01, 18.3, (0.757, 4.99), (-0.0237, 5.77)),
    ],
)
def test_the_published_growth_of_chicks(term, estimate, error, df, interval, wide):
    chicks = pd.read_csv(PUBLISHED / "chick_weight.csv")
    diets = [(chicks["diet"] == diet).to_numpy(float) for diet in (2, 3, 4)]
    time = chicks["time"].to_numpy(float)
    terms = np.column_stack([np.ones(len(chicks)), *diets, time, *(diet * time for diet in diets)])
    asked = np.eye(8)[3 + int(term[4])]
    found = regression(terms, chicks["weight"].to_numpy(float), chicks["chick"].to_numpy(), asked)
    assert_allclose([found.estimate, found.standard_error], [estimate, error], atol=0.006)
    assert_allclose(found.df, df, atol=0.06)
    assert_allclose(found.interval(), interval, atol=0.006)
    assert_allclose(found.interval(0.99), wide, atol=0.006)


def test_the_published_errors_of_500_firms():
    rows = pd.read_csv(PUBLISHED / "petersen.csv")
    terms = np.column_stack([np.ones(len(rows)), rows["x"]])
    by_firm = [
        regression(terms, rows["y"].to_numpy(), rows["firm"].to_numpy(), asked, stretched=False) for asked in np.eye(2)
    ]
    # As printed there: with the factors for clusters and terms.
    factor = np.sqrt(500 / 499 * 4999 / 4998)
    assert_allclose(by_firm[1].estimate, 1.0348, atol=6e-5)
    assert_allclose([found.standard_error * factor for found in by_firm], [0.0670, 0.0506], atol=6e-5)


def test_it_agrees_with_statsmodels_where_states_and_quarters_have_terms_of_their_own():
    rows = pd.read_csv(PUBLISHED / "organ_donations.csv")
    trained = ((rows["state"] == "California") & (rows["quarter"] > 3)).to_numpy(float)
    state, quarter = (pd.get_dummies(rows[name], dtype=float).to_numpy() for name in ("state", "quarter"))
    terms = np.column_stack([trained, state, quarter[:, 1:]])
    found = regression(
        terms, rows["rate"].to_numpy(), rows["state"].to_numpy(), np.eye(terms.shape[1])[0], stretched=False
    )
    codes = pd.factorize(rows["state"])[0]
    oracle = OLS(rows["rate"].to_numpy(), terms).fit(
        cov_type="cluster", cov_kwds={"groups": codes, "use_correction": False}
    )
    assert_allclose([found.estimate, found.standard_error], [oracle.params[0], oracle.bse[0]], rtol=1e-9)
    # N. Huntington-Klein, The Effect, chapter 18, prints -0.022 (0.006); from memory.
    assert_allclose([found.estimate, found.standard_error], [-0.022, 0.006], atol=0.0006)


def test_of_two_groups_it_is_welch_for_the_error_and_by_equal_sizes_pooled_for_the_degrees_of_freedom():
    """Clusters of one: CR2 is HC2, which is the sum of both groups' variances of the mean."""
    random = np.random.default_rng(4)
    first, second = random.normal(0, 1, 7), random.normal(1, 3, 7)
    terms = np.column_stack([np.ones(14), np.repeat([0.0, 1.0], 7)])
    found = regression(terms, np.concatenate([first, second]), np.arange(14), np.array([0.0, 1.0]))
    assert_allclose(found.standard_error, np.sqrt(first.var(ddof=1) / 7 + second.var(ddof=1) / 7), rtol=1e-12)
    # Under equal variances, which is the working model, Satterthwaite's degrees of freedom are those of the pooled test.
    assert_allclose(found.df, 12, rtol=1e-9)
    assert_allclose(found.estimate / found.standard_error, stats.ttest_ind(second, first, equal_var=False).statistic)


def test_weighted_rows_agree_with_statsmodels_hc2():
    random = np.random.default_rng(5)
    weights, outcome = random.uniform(1, 9, 12), random.normal(size=12)
    terms = np.column_stack([np.ones(12), np.arange(12) < 5]).astype(float)
    found = regression(terms, outcome, np.arange(12), np.array([0.0, 1.0]), weights)
    oracle = WLS(outcome, terms, weights=weights).fit(cov_type="HC2")
    assert_allclose([found.estimate, found.standard_error], [oracle.params[1], oracle.bse[1]], rtol=1e-9)


def test_one_row_alone_in_its_group_leaves_nothing_to_judge_by():
    terms = np.column_stack([np.ones(2), [0.0, 1.0]])
    found = regression(terms, np.array([1.0, 4.0]), np.arange(2), np.array([0.0, 1.0]))
    assert found.estimate == pytest.approx(3)
    assert found.interval() == (-np.inf, np.inf)
