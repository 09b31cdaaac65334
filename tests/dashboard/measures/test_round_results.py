"""Calls in a calibration round against what is known: whose truth counts, what a miss is, and when a mark is told."""

from __future__ import annotations

import hashlib

import pytest

from dashboard.filters import Filters
from dashboard.measures.round_results import COLUMNS, round_results
from dashboard.measures.rounds import round_agreement
from dashboard.measures.tables import TABLES
from dashboard.stats.attribute import exact


def rows(found, topic="joist_gap"):
    own = found[found["topic"] == topic]
    return {
        row.inspector_id: (row.items_known, row.right, row.defects, row.missed, row.sound, row.false_alarms)
        for row in own.itertuples()
    }


def test_a_referred_defect_is_no_miss_and_only_a_write_up_of_sound_work_is_a_false_alarm(firm, published):
    for call in ("written_up", "referred", "advised", "passed", "not_seen"):
        for known in ("defect", "acceptable", None):
            firm.round_call(f"{call} {known}", "I1", call, known)
    found = round_results(published(firm))
    assert rows(found) == rows(found, "all") == {"I1": (8, 5, 4, 2, 4, 1)}
    row = found.iloc[0]
    assert (row["missed_share"], row["false_alarms_share"], row["right_share"]) == (0.5, 0.25, 0.625)
    assert (row["missed_low"], row["missed_high"]) == exact(2, 4)
    assert list(found.columns) == list(COLUMNS) == list(TABLES["round_results"].columns)


def test_few_items_cannot_tell_and_many_can(firm, published):
    for item in range(200):
        firm.round_call(f"{item:03}", "I1", "written_up", "defect")
        firm.round_call(f"{item:03}", "I2", "passed" if item % 3 == 0 else "written_up", "defect")
    for item in range(12):
        firm.round_call(f"few {item}", "I3", "written_up", "defect")
    found = round_results(published(firm), Filters(topics=("joist_gap",))).iloc[:3].set_index("inspector_id")
    assert list(found["missed_mark"]) == ["acceptable", "not_acceptable", "cannot_tell"]
    assert list(found["right_mark"]) == ["acceptable", "not_acceptable", "cannot_tell"]
    assert found.loc["I3", "missed_needed"] == 183
    assert set(found["false_alarms_mark"]) == {"cannot_tell"}  # nothing sound was among the items
    assert found["false_alarms_needed"].isna().all()


@pytest.mark.parametrize("filters", [Filters(), Filters(inspectors=("I2",))])
def test_the_truth_is_the_rows_own_else_that_of_its_observation_else_that_of_the_case_with_its_code(
    firm, published, filters
):
    firm.note("joist_gap", "passed", "defect", report="R1").note("joist_gap", "written_up", "acceptable", report="R2")
    firm.note("joist_gap", "passed", "cannot_tell", report="R3").note("hanger_size", "passed", "defect", report="R4")
    code = {at: f"K-{hashlib.sha256(f'R{at}:{at}'.encode()).hexdigest()[:10].upper()}" for at in (1, 2, 3, 4)}
    items = [  # item, what its row says: observation and verdict, what is then known
        ("a", "R1:1", None, "defect"),
        ("b", "R1:1", "acceptable", "acceptable"),
        ("c", "R3:3", None, None),
        ("d", "R9:9", None, None),
        ("e", "R4:4", None, None),  # on another topic
        (code[1], None, None, "defect"),
        (code[2], None, None, "acceptable"),
        (code[3], None, None, None),
        (code[4], None, None, None),
        (code[1].lower(), None, None, None),
    ]
    for item, observation, known, _ in items:
        for inspector in ("I1", "I2"):
            firm.round_call(item, inspector, "written_up", known, observation_id=observation)
    known = [truth for *_, truth in items]
    expected = (4, known.count("defect"), known.count("defect"), 0, known.count("acceptable"), 2)
    snapshot = published(firm)
    told = rows(round_results(snapshot, filters))
    assert told == dict.fromkeys(filters.inspectors or ("I1", "I2"), expected)
    assert round_agreement(snapshot)["known_calls"].iloc[0] == 8


def test_a_second_look_rules_over_what_a_case_is_known_to_be(firm, published):
    firm.note("joist_gap", "passed", "defect", report="R1").look("acceptable")
    firm.round_call("a", "I1", "written_up", observation_id="R1:1")
    assert rows(round_results(published(firm))) == {"I1": (1, 0, 0, 0, 1, 1)}


def test_without_a_known_item_there_is_no_row(firm, published):
    assert round_results(published(firm)).empty
    firm.round_call("a", "I1", "passed")
    assert round_results(published(firm)).empty
