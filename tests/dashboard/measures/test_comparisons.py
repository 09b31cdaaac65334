"""Which comparisons are shown, where inspectors went, and how far luck carries their counts."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest
from numpy.testing import assert_allclose
from scipy.stats import binom

from dashboard.filters import Filters
from dashboard.measures import comparisons
from dashboard.measures.funnel import funnel, luck_bands
from dashboard.measures.ground import alone, decks_seen
from dashboard.stats.funnel import scatter


def rows(**columns: list) -> pd.DataFrame:
    """Rows of ``inspectors`` of 100 trials, 20 write-ups expected, nothing that differs, unless said otherwise."""
    n = len(next(iter(columns.values())))
    plain = {"inspector_id": "A", "topic": "joist_gap", "written_up": 20, "expected": 20.0, "expected_sd": 4.0}
    plain |= {"expected_error": 0.0, "dispersion": 1.0, "spread": 0.0, "spread_low": 0.0, "spread_high": 0.1}
    plain |= {"first_signalled": pd.NaT, "held": None}
    for before in ("", "overcalled_", "missed_"):
        plain |= {f"{before}p": 0.5, f"{before}q": 0.9, f"{before}signal": "none"}
    plain |= {f"{kind}_{name}": 1 for kind in ("overcalled", "missed") for name in ("found", "expected")}
    return pd.DataFrame({name: [value] * n for name, value in plain.items()} | columns)


def test_limits_of_equal_decks_are_those_of_the_binomial_distribution():
    # 20 of 100 expected with a standard deviation of 4 = sqrt(100 x 0.2 x 0.8). The exact interpolated limits of 100
    # trials at 0.2 stand in tests/dashboard/stats/test_funnel.py.
    band = luck_bands(rows(written_up=[20])).iloc[0]
    assert_allclose([band["band_low"], band["band_high"]], [11.974, 27.648], atol=5e-4)
    limits = funnel(rows(inspector_id=list("ABCDEF"), written_up=[20] * 6)).limits
    at = (limits["expected"] - 20).abs().idxmin()
    nearby = limits.loc[at]
    trials = nearby["expected"] / 0.2
    for name, chance in (("lowest", 0.001), ("low", 0.025), ("high", 0.975), ("highest", 0.999)):
        # Within one count of scipy's quantile, which is a whole number.
        assert abs(nearby[name] * nearby["expected"] - binom.ppf(chance, round(trials), 0.2)) < 1.2
    assert (limits["spread_lowest"] == limits["lowest"]).all()


def test_what_is_not_well_known_widens_the_band_and_a_spread_the_outer_limit():
    sure, unsure = (luck_bands(rows(written_up=[20], expected_error=[error])).iloc[0] for error in (0.0, 3.0))
    # Luck and error are added as variances: 16 and 9 make 25.
    widths = [row["band_high"] - row["band_low"] for row in (sure, unsure)]
    assert widths[1] / widths[0] == pytest.approx(5 / 4, abs=0.03)
    spread = funnel(rows(written_up=[20, 20], spread=[0.3, 0.3])).limits
    assert (spread["spread_highest"] > spread["highest"] + 0.1).all()
    assert (spread["spread_lowest"] <= spread["lowest"]).all()


def test_who_differs_is_left_out_of_the_scatter_since_that_is_told_by_itself():
    deviates = [-1.5, -0.7, -0.2, 0.3, 0.8, 1.4]
    around = rows(inspector_id=list("ABCDEF"), written_up=[20 + 4 * z for z in deviates])
    assert funnel(around).scatter == pytest.approx(scatter(deviates))
    assert funnel(around.head(4)).scatter is None
    far = pd.concat([around, rows(inspector_id=["G"], written_up=[90], signal=["higher"])])
    assert funnel(far).scatter == pytest.approx(scatter(deviates))


def test_where_nothing_is_expected_there_is_no_funnel_and_no_band():
    unknown = rows(written_up=[3], expected=[np.nan], expected_sd=[np.nan], expected_error=[np.nan])
    assert funnel(unknown).limits.empty
    assert luck_bands(unknown)[["band_low", "band_high"]].isna().all(axis=None)


def test_what_differs_comes_by_evidence_and_two_topics_are_worth_a_look():
    own = rows(
        topic=["all", "a", "b", "c", "d"],
        q=[0.001, 0.04, 0.01, 0.9, 0.9],
        signal=["higher", "lower", "higher", "none", "none"],
        missed_q=[0.9, 0.9, 0.9, 0.001, 0.9],
        missed_signal=["none", "none", "none", "higher", "none"],
        overcalled_q=[0.9, 0.9, 0.002, 0.9, 0.0001],
        overcalled_signal=["none", "none", "higher", "none", "lower"],
    )
    out = comparisons.that_differ(own)
    assert list(zip(out["topic"], out["kind"], strict=True)) == [
        ("d", "overcalled"),
        ("c", "missed"),
        ("b", "overcalled"),
        ("b", "written_up"),
        ("a", "written_up"),
    ]
    # Fewer wrong calls than peers (d) are no reason to look.
    worth = comparisons.worth_a_look(own)
    assert [(each.topic, each.differs) for each in worth] == [("c", ("missed",)), ("b", ("overcalled", "written_up"))]
    assert comparisons.worth_a_look(own.head(1)) == []
    assert [comparisons.made(comparisons.compared(own, kind)) for kind in comparisons.KINDS] == [4, 4, 4]


def test_topics_that_differ_are_drawn_whatever_is_expected_in_the_order_of_the_rows():
    own = rows(
        topic=["all", "a", "b", "c", "d"],
        expected=[90.0, 1.0, 50.0, 30.0, 40.0],
        signal=["none", "higher", "none", "too_few", "none"],
    )
    assert list(comparisons.drawn_topics(own, 2)["topic"]) == ["a", "b"]
    assert list(comparisons.drawn_topics(own, 2, also="d")["topic"]) == ["a", "d"]
    assert list(comparisons.drawn_topics(own, 9)["topic"]) == ["a", "b", "d"]


def test_by_evidence_whichever_way_and_those_not_compared_last():
    people = rows(inspector_id=list("ABCD"), p=[0.3, 0.01, np.nan, 0.02], ratio=[1.1, 0.5, 9.0, 2.0])
    assert list(comparisons.by_evidence(people)["inspector_id"]) == ["B", "D", "A", "C"]


def test_decks_are_counted_once_and_who_is_alone_in_a_region_is_told(firm, published):
    for number in range(6):
        firm.note("joist_gap", "passed", None, report=f"A{number}", deck=f"D{number}", inspector_id="A", region="Ridge")
        firm.note("joist_gap", "passed", None, report=f"B{number}", deck=f"D{number}", inspector_id="B", region="Ridge")
    firm.many(4, "hanger_size", "passed", None, inspector_id="C", region="Flats", builder="Birch")
    firm.note("hanger_size", "passed", None, inspector_id="C", region="Ridge")
    firm.note("joist_gap", "not_seen", inspector_id="C", region="Hollow")
    snapshot = published(firm)
    assert decks_seen(snapshot) == {"all": 11, "A": 6, "B": 6, "C": 5}
    assert decks_seen(snapshot, topic="hanger_size") == {"all": 5, "C": 5}
    found = alone(snapshot, Filters(inspectors=("A",)))
    assert found.values.tolist() == [["C", "region", "Flats", 4, 5], ["C", "builder", "Birch", 4, 5]]
