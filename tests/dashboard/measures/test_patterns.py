"""Patterns and misses: each count is worked out by hand beside its rows."""

from datetime import date

import pandas as pd
import pytest
from numpy.testing import assert_allclose

from dashboard.filters import Filters
from dashboard.measures.patterns import UnknownPattern, misses, pattern_id, patterns, recorded_kinds

DOWN = "2x10 joist in 2x8 hanger"
SAME = "2x10 joist in 2x10 hanger"


def row(table, identity):
    found = table[table["pattern_id"] == identity]
    assert len(found) == 1
    return found.iloc[0]


def test_a_pattern_counts_trials_and_a_trial_is_wrong_if_any_place_is(firm, published):
    # One deck with the kind at three places: judged and overcalled by one of them.
    for verdict in ("cannot_tell", "acceptable", "defect"):
        firm.note("hanger_size", "written_up", verdict, report="R1", deck="D1", recorded=DOWN)
    firm.note("hanger_size", "written_up", "defect", recorded=DOWN, inspector_id="I2", inspected_on=date(2026, 7, 1))
    firm.note("hanger_size", "written_up", "judgment", recorded=DOWN)
    firm.note("hanger_size", "written_up", "cannot_tell", recorded=DOWN, inspected_on=date(2025, 2, 3))
    firm.note("hanger_size", "passed", "acceptable", recorded=DOWN)  # no write-up: not in this table
    found = row(patterns(published(firm)), "hanger_size:2x10-joist-in-2x8-hanger")
    assert found.recorded == DOWN
    assert (found.written_up, found.judged, found.upheld, found.overcalled) == (4, 2, 1, 1)
    assert (found.judgment, found.undecided) == (1, 1)
    assert (found.inspectors, found.inspectors_overcalled, found.decks) == (2, 1, 4)
    assert found.share == 0.5
    # Wilson limits of 1 in 2, from statsmodels proportion_confint(1, 2, method="wilson").
    assert_allclose([found.share_low, found.share_high], [0.094531, 0.905469], atol=1e-6)
    assert (found.first_seen, found.last_seen) == (pd.Timestamp(2025, 2, 3), pd.Timestamp(2026, 7, 1))


def test_what_was_not_recorded_is_a_kind_and_a_topic_without_a_rule_has_none(firm, published):
    firm.note("hanger_size", "written_up", "cannot_tell")
    firm.note("other", "written_up", None)
    table = patterns(published(firm))
    assert list(table["pattern_id"]) == ["hanger_size:not-recorded"]
    assert table["recorded"][0] == "not recorded"
    assert pd.isna(table["share"][0])


def test_the_most_wrong_stand_first_then_the_load_path(firm, published):
    firm.many(2, "joist_gap", "written_up", "acceptable", recorded="gap 1/8 in")
    firm.many(3, "hanger_size", "written_up", "acceptable", recorded=SAME)
    firm.many(9, "hanger_size", "written_up", "defect", recorded="2x12 joist in 2x6 hanger")
    firm.many(9, "guard_height", "written_up", "defect", recorded="30 in guard")
    assert list(patterns(published(firm))["recorded"]) == [
        SAME,
        "gap 1/8 in",
        "2x12 joist in 2x6 hanger",
        "30 in guard",
    ]


def test_repeating_a_write_up_at_more_places_changes_no_pattern(firm, published):
    for _ in range(3):
        firm.note("hanger_size", "written_up", "acceptable", report="R1", deck="D1", recorded=DOWN)
    found = patterns(published(firm)).iloc[0]
    assert (found.written_up, found.judged, found.overcalled) == (1, 1, 1)


def test_misses_count_passed_and_advised_trials(firm, published):
    wide = "gap over 3/8 in"
    firm.many(4, "joist_gap", "passed", "defect", recorded=wide)
    firm.many(2, "joist_gap", "advised", "defect", recorded=wide)
    firm.many(1, "joist_gap", "passed", "cannot_tell", recorded=wide)
    firm.many(1, "joist_gap", "advised", "judgment", recorded=wide)
    firm.many(5, "joist_gap", "passed", "acceptable", recorded="gap to 1/8 in")
    table = misses(published(firm))
    found = row(table, "joist_gap:gap-over-3-8-in")
    assert (found.passed, found.advised, found.trials) == (5, 3, 8)
    assert (found.judged, found.missed, found.understated) == (6, 4, 2)
    assert found.share == 1
    fine = row(table, "joist_gap:gap-to-1-8-in")
    assert (fine.passed, fine.judged, fine.missed, fine.share) == (5, 5, 0, 0)
    assert table["pattern_id"][0] == "joist_gap:gap-over-3-8-in"


def test_what_is_written_up_elsewhere_on_the_deck_is_no_miss(firm, published):
    for call in ("passed", "written_up"):
        firm.note("joist_gap", call, "defect", report="R1", deck="D1", recorded="wide")
    firm.note("joist_gap", "passed", "defect", report="R2", deck="D2", recorded="wide")
    found = misses(published(firm)).iloc[0]
    assert (found.passed, found.judged, found.missed, found.share) == (2, 2, 1, 0.5)


def test_a_deck_passed_here_and_advised_there_counts_once(firm, published):
    for call in ("passed", "advised"):
        firm.note("joist_gap", call, "defect", report="R1", deck="D1", recorded="wide")
    found = misses(published(firm)).iloc[0]
    assert (found.trials, found.judged, found.missed, found.understated, found.share) == (1, 1, 0, 1, 1)


def test_filters_reach_both_tables(firm, published):
    firm.note("hanger_size", "written_up", "acceptable", recorded=DOWN, region="Flats")
    firm.note("joist_gap", "passed", "defect", recorded="wide", region="Ridge")
    snapshot = published(firm)
    assert len(patterns(snapshot, Filters(regions=("Ridge",)))) == 0
    assert len(misses(snapshot, Filters(regions=("Ridge",)))) == 1


@pytest.mark.parametrize(
    ("recorded", "identity"),
    [
        (DOWN, "t:2x10-joist-in-2x8-hanger"),
        ("gap > 3/8 in", "t:gap-over-3-8-in"),
        ("gap < 3/8 in", "t:gap-under-3-8-in"),
        ("hanger 7.25 in", "t:hanger-7.25-in"),
    ],
)
def test_an_id_is_fit_for_a_file_name_and_keeps_kinds_apart(recorded, identity):
    assert pattern_id("t", recorded) == identity


def test_an_id_leads_back_to_what_was_recorded(firm, published):
    firm.note("hanger_size", "written_up", "acceptable", recorded=DOWN)
    firm.note("hanger_size", "passed", "cannot_tell")
    snapshot = published(firm)
    assert recorded_kinds(snapshot, "hanger_size:2x10-joist-in-2x8-hanger") == [DOWN]
    assert recorded_kinds(snapshot, "hanger_size:not-recorded") == ["not recorded"]
    with pytest.raises(UnknownPattern, match="no pattern 'hanger_size:no-such'"):
        recorded_kinds(snapshot, "hanger_size:no-such")
