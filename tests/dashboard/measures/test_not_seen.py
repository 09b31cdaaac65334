"""What was not seen, by hand; the intervals against statsmodels, named where they stand."""

from __future__ import annotations

from numpy.testing import assert_allclose

from dashboard.filters import Filters
from dashboard.measures.not_seen import not_seen, reasons_of, totals


def counts(found):
    return [tuple(row) for row in found[["topic", "reason", "trials", "not_seen"]].to_numpy().tolist()]


def test_a_topic_seen_at_one_place_of_a_deck_was_seen(firm, published):
    firm.note("joist_gap", "passed", report="R1")
    firm.note("joist_gap", "not_seen", report="R1", not_seen_reason="skirting")
    firm.note("joist_gap", "not_seen", report="R2", not_seen_reason="skirting")
    found = not_seen(published(firm))
    assert counts(found[found["topic"] == "joist_gap"]) == [("joist_gap", "all", 2, 1), ("joist_gap", "skirting", 2, 1)]


def test_a_deck_counts_once_under_each_of_its_reasons_and_once_in_the_total(firm, published):
    for reason in ("skirting", "skirting", "low_clearance", None):
        firm.note("joist_gap", "not_seen", report="R1", not_seen_reason=reason)
    firm.note("joist_gap", "not_seen", report="R2", not_seen_reason="skirting")
    firm.note("hanger_size", "passed", report="R2")
    assert counts(not_seen(published(firm))) == [
        ("all", "all", 3, 2),
        ("all", "skirting", 3, 2),
        ("all", "low_clearance", 3, 1),
        ("all", "not recorded", 3, 1),
        ("hanger_size", "all", 1, 0),
        ("joist_gap", "all", 2, 2),
        ("joist_gap", "skirting", 2, 2),
        ("joist_gap", "low_clearance", 2, 1),
        ("joist_gap", "not recorded", 2, 1),
    ]


def test_the_share_is_of_everything_looked_for_with_its_interval(firm, published):
    firm.many(2, "joist_gap", "not_seen", None, not_seen_reason="snow_ice").note("joist_gap", "passed")
    total = not_seen(published(firm)).iloc[0]
    # statsmodels proportion_confint(2, 3, method="wilson")
    assert_allclose([total["share"], total["share_low"], total["share_high"]], [2 / 3, 0.207660, 0.938508], atol=1e-6)


def test_filters_hold_and_nothing_within_them_gives_no_row(firm, published):
    firm.note("joist_gap", "not_seen", region="Ridge").note("joist_gap", "not_seen", region="Flats")
    snapshot = published(firm)
    assert counts(not_seen(snapshot, Filters(regions=("Flats",))))[0] == ("all", "all", 1, 1)
    assert not_seen(snapshot, Filters(regions=("Nowhere",))).empty


def test_the_topics_most_often_not_seen_come_first_and_those_always_seen_are_left_out(firm, published):
    firm.note("hanger_size", "not_seen").note("guard_height", "passed")
    firm.many(3, "joist_gap", "not_seen", None)
    found = not_seen(published(firm))
    assert list(totals(found, 5)["topic"]) == ["joist_gap", "hanger_size"]
    assert list(totals(found, 1)["topic"]) == ["joist_gap"]
    assert list(reasons_of(found, "joist_gap")["reason"]) == ["not recorded"]
