"""Pairs and rounds by hand; the figures against statsmodels, and by identities.

The published figures are held against the statistics themselves (stats/test_agreement.py).
"""

from __future__ import annotations

from datetime import date

import numpy as np
import pytest
from numpy.testing import assert_allclose
from scipy.stats import binomtest
from statsmodels.stats.inter_rater import cohens_kappa

from dashboard.filters import Filters
from dashboard.measures.agreement import agreement
from dashboard.measures.pairs import cases_of_pair, pairs, that_differ
from dashboard.measures.rounds import round_agreement
from tests.dashboard.builders import Firm
from tests.dashboard.firms import calibration_round, look, seen_twice

UP, PASSED = "written_up", "passed"


def twice(firm: Firm, deck: str, earlier: str, later: str, **facts: object) -> None:
    """Two inspectors' looks at a topic on a deck, a month apart."""
    look(firm, deck, "I1", earlier, date(2026, 5, 1), **facts)
    look(firm, deck, "I2", later, date(2026, 6, 1), **facts)


def told(found):
    return [(row.deck_id, row.earlier_report_id, row.later_report_id, row.kind) for row in found.itertuples()]


# ---- pairs -----------------------------------------------------------------------------------------------------------


def test_a_pair_is_two_inspectors_on_one_deck_within_sixty_days_the_earlier_first(firm, published):
    may = date(2026, 5, 1)
    look(firm, "A", "I2", UP, date(2026, 6, 30))  # sixty days later
    look(firm, "A", "I1", PASSED, may)
    look(firm, "B", "I1", PASSED, may)
    look(firm, "B", "I2", UP, date(2026, 7, 1))  # sixty-one
    look(firm, "C", "I1", UP, may, report="C1")
    look(firm, "C", "I1", UP, may, report="C2")  # the same inspector
    look(firm, "D", "I2", UP, may, report="D1")
    look(firm, "D", "I1", "referred", may, report="D0")  # the same day: by report
    assert told(pairs(published(firm))) == [("A", "A-I1", "A-I2", "later_only"), ("D", "D0", "D1", "later_only")]


def test_three_reports_are_three_pairs_any_place_counts_and_what_one_did_not_see_is_no_pair(firm, published):
    for number, inspector in enumerate(("I1", "I2", "I3")):
        look(firm, "A", inspector, PASSED, date(2026, 5, 1 + number))
        look(firm, "A", inspector, "not_seen" if number else UP, date(2026, 5, 1 + number), "hanger_size")
    look(firm, "A", "I2", UP, date(2026, 5, 2))  # another place of the same trial
    assert told(pairs(published(firm))) == [
        ("A", "A-I1", "A-I3", "neither"),
        ("A", "A-I2", "A-I3", "earlier_only"),
        ("A", "A-I1", "A-I2", "later_only"),
    ]


def test_filters_hold_for_both_looks_but_the_inspector_and_the_load_for_either(firm, published):
    twice(firm, "A", UP, PASSED)
    twice(firm, "B", UP, PASSED, region="Flats", topic="hanger_size")
    look(firm, "C", "I2", UP, date(2026, 5, 1))
    look(firm, "C", "I3", UP, date(2026, 6, 2), load="0002")
    snapshot = published(firm)

    def decks(**chosen):
        return sorted(pairs(snapshot, Filters(**chosen))["deck_id"])

    assert decks() == ["A", "B", "C"]
    assert decks(regions=("Flats",)) == decks(topics=("hanger_size",)) == ["B"]
    assert decks(inspectors=("I1",)) == ["A", "B"]
    assert decks(inspectors=("I3",)) == decks(loads=("0002",)) == ["C"]
    assert decks(first_day=date(2026, 5, 2)) == []
    assert decks(last_day=date(2026, 6, 1)) == ["A", "B"]


def test_the_cases_of_a_pair_are_all_places_of_the_topic_in_its_two_reports(firm, published):
    twice(firm, "A", PASSED, UP)
    look(firm, "A", "I1", UP, date(2026, 5, 1))
    look(firm, "A", "I1", UP, date(2026, 5, 1), "hanger_size")
    look(firm, "A", "I3", UP, date(2026, 6, 20))
    snapshot = published(firm)
    found = cases_of_pair(snapshot, "joist_gap", "A", ["A-I1", "A-I2"])
    assert list(found["observation_id"]) == ["A-I1:3", "A-I1:1", "A-I2:2"]
    assert list(cases_of_pair(snapshot, "joist_gap", "A", ["A-I1", "A-I2"], only="A-I2:2")["in_all"]) == [1]


# ---- agreement -------------------------------------------------------------------------------------------------------


def test_the_figures_of_a_topic_are_those_of_its_table(firm, published):
    snapshot = published(seen_twice(firm, 6, 5, 3, 20))
    everything, row = (found for _, found in agreement(snapshot).iterrows())
    assert (everything["topic"], row["topic"]) == ("all", "joist_gap")
    assert tuple(row[["pairs", "decks", "inspectors", "days_between"]]) == (34, 34, 2, 31)
    assert tuple(row[["both_up", "earlier_only", "later_only", "neither"]]) == (6, 5, 3, 20)
    assert_allclose([row["raw"], row["positive_agreement"], row["negative_agreement"]], [26 / 34, 12 / 20, 40 / 48])
    assert_allclose(row["kappa"], cohens_kappa([[6, 5], [3, 20]]).kappa)
    assert_allclose(row["p_order"], binomtest(5, 8).pvalue)
    assert (row["status"], row["order"], len(that_differ(pairs(snapshot), "joist_gap"))) == ("ok", "none", 8)
    for name in ("raw", "positive_agreement", "negative_agreement", "kappa", "ac1"):
        assert row[f"{name}_low"] < row[name] < row[f"{name}_high"] < 1


def test_where_nobody_wrote_up_there_is_no_kappa_and_the_reason_says_why(firm, published):
    row = agreement(published(seen_twice(firm, 0, 0, 0, 22))).iloc[1]
    assert row["no_kappa"] == "none_written_up"
    assert row[["positive_agreement", "positive_agreement_low", "kappa", "kappa_low", "kappa_high"]].isna().all()
    assert (row["raw"], row["negative_agreement"], row["ac1"], row["p_order"]) == (1, 1, 1, 1)
    assert row["more_pairs_needed"] > 100
    assert agreement(published(seen_twice(Firm(), 3, 0, 0, 0))).iloc[0]["no_kappa"] == "all_written_up"


def test_a_table_without_disagreement_is_not_taken_for_certain(firm, published):
    row = agreement(published(seen_twice(firm, 4, 0, 0, 20))).iloc[1]
    assert (row["kappa"], row["kappa_high"]) == (1, 1)
    assert row["kappa_low"] < 0.75
    assert row["more_pairs_needed"] > 0


def test_fewer_than_twenty_decks_are_too_few_and_nothing_is_said_of_their_order(firm, published):
    seen_twice(firm, 0, 19, 0, 0)
    found = agreement(published(firm))
    assert set(found["status"]) == set(found["order"]) == {"too_few"}
    assert found["q_order"].isna().all()


def test_write_ups_of_the_earlier_look_alone_are_told_from_luck(firm, published):
    seen_twice(firm, 4, 20, 3, 20)
    seen_twice(firm, 2, 4, 4, 20, topic="hanger_size", first=100)
    found = agreement(published(firm)).set_index("topic")
    assert dict(found["order"]) == {"all": "earlier", "hanger_size": "none", "joist_gap": "earlier"}
    assert_allclose(found.loc["joist_gap", "p_order"], binomtest(20, 23).pvalue)
    assert_allclose(found.loc["joist_gap", "q_order"], 2 * binomtest(20, 23).pvalue)


def test_topics_of_one_deck_stand_together_over_all_topics(firm, published):
    """The same decks with a second topic that says the same: twice the pairs, and no more known."""
    once = agreement(published(seen_twice(Firm(), 5, 4, 4, 30))).iloc[0]
    twofold = agreement(published(seen_twice(seen_twice(firm, 5, 4, 4, 30), 5, 4, 4, 30, topic="hanger_size"))).iloc[0]
    assert (twofold["pairs"], twofold["decks"], once["pairs"]) == (86, 43, 43)
    width = [row["kappa_high"] - row["kappa_low"] for row in (once, twofold)]
    assert_allclose(width[0], width[1], rtol=0.1)
    assert twofold["p_order"] == once["p_order"] == 1
    # Twice as many pairs are needed where every second repeats the first.
    needed = [row["pairs"] + row["more_pairs_needed"] for row in (once, twofold)]
    assert_allclose(needed[1] / needed[0], 2, rtol=0.15)


def test_filters_hold_and_nothing_within_them_gives_no_row(firm, published):
    seen_twice(firm, 1, 1, 1, 1)
    snapshot = published(firm)
    assert len(agreement(snapshot, Filters(inspectors=("I2",)))) == 2
    assert agreement(snapshot, Filters(regions=("Nowhere",))).empty


# ---- rounds ----------------------------------------------------------------------------------------------------------


def test_a_round_counts_calls_leaves_out_what_was_not_seen_and_compares_with_what_is_known(firm, published):
    row = round_agreement(published(calibration_round(firm, "uupn uppp rppp", "da-"))).iloc[0]
    assert tuple(row[["round_id", "topic", "items", "inspectors", "calls", "written_up"]]) == ("C1", "all", 3, 4, 11, 3)
    # Agreeing pairs by hand: 1 of 3, 3 of 6, 6 of 6.
    assert_allclose(row["raw"], (1 / 3 + 1 / 2 + 1) / 3)
    assert tuple(row[["known_right", "known_calls"]]) == (5, 7)
    assert row["known_share_low"] < row["known_share"] == 5 / 7 < row["known_share_high"]
    assert row["status"] == "too_few"


def test_a_round_gives_a_row_a_topic_and_the_newest_round_comes_first(firm, published):
    calibration_round(firm, "uu pp")
    calibration_round(firm, "up pp", round_id="C2", held_on=date(2026, 9, 1))
    calibration_round(firm, "pp pp", round_id="C2", held_on=date(2026, 9, 1), topic="hanger_size")
    snapshot = published(firm)
    found = round_agreement(snapshot)
    assert [tuple(row) for row in found[["round_id", "topic", "items"]].to_numpy()] == [
        ("C2", "all", 2),
        ("C2", "hanger_size", 2),
        ("C2", "joist_gap", 2),
        ("C1", "all", 2),
        ("C1", "joist_gap", 2),
    ]
    assert list(found["no_kappa"].fillna("")) == ["", "none_written_up", "", "", ""]
    assert set(round_agreement(snapshot, Filters(last_day=date(2026, 8, 1)))["round_id"]) == {"C1"}
    assert list(round_agreement(snapshot, Filters(topics=("hanger_size",)))["topic"]) == ["all", "hanger_size"]


def test_ten_items_that_everybody_calls_alike_are_not_taken_for_certain(firm, published):
    row = round_agreement(published(calibration_round(firm, "uuuu " * 5 + "pppp " * 5, "d" * 5 + "a" * 5))).iloc[0]
    assert (row["raw"], row["fleiss"], row["alpha"], row["known_share"], row["status"]) == (1, 1, 1, 1, "ok")
    assert (row[["raw_low", "fleiss_low", "alpha_low", "known_share_low"]] < 0.9).all()


@pytest.mark.parametrize(("calls", "reason"), [("u p u", "single_calls"), ("uu uu", "all_written_up")])
def test_a_round_in_which_there_is_nothing_to_compare_says_why(firm, published, calls, reason):
    row = round_agreement(published(calibration_round(firm, calls))).iloc[0]
    assert row["no_kappa"] == reason
    assert row[["fleiss", "fleiss_low", "alpha", "alpha_high"]].isna().all()
    assert np.isnan(row["raw"]) == (reason == "single_calls")
    assert row["known_calls"] == 0
    assert np.isnan(row["known_share"])


def test_without_a_round_there_is_no_row(firm, published):
    assert round_agreement(published(firm)).empty
