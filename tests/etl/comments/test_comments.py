"""What is read out of a comment, where it stood, and what a load makes of it."""

from __future__ import annotations

import csv
import json
from decimal import Decimal
from itertools import islice
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from etl.comments.quantities import find_quantities
from etl.comments.reader import read_comment
from etl.comments.rules import comment_rules
from etl.comments.spelling import spell

SEEN = Path(__file__).parent / "seen.csv"


def read(comment: str, topic: str | None = None) -> dict[str, object]:
    return {one.measure: one.value for one in read_comment(comment, topic)}


def test_the_example_of_the_guide_is_read_whole():
    assert read('2x10 jsts in 2x8 hgrs, gap approx 5/8" at NE', "joist_gap") == {
        "joist_nominal": "2x10",
        "hanger_nominal": "2x8",
        "joist_gap_in": Decimal("0.625"),
    }


@pytest.mark.parametrize(
    ("comment", "topic", "stated"),
    [
        ("should not exceed 1/8; measured 3/16", "joist_gap", {"joist_gap_in": Decimal("0.1875")}),
        ("tight, no gap", "joist_gap", {"joist_gap_in": 0}),
        ("4 of 10 holes empty", "hanger_fasteners_missing", {"holes_empty": 4, "holes_total": 10}),
        ("no missing nails observed", "hanger_fasteners_missing", {"holes_empty": 0}),
        ("previously noted 2x8 hangers replaced with 2x10", "hanger_size", {"hanger_nominal": "2x10"}),
        ("Could not confirm the gap, not visible due to low clearance.", "joist_gap", {}),
        ("Gaps between deck boards 3/8 in.", "joist_gap", {}),
        ("Baluster gap 4-1/2″ where 4″ is allowed.", "joist_gap", {"opening_in": Decimal("4.5")}),
        ("Recommend 2x10 hangers.", "hanger_size", {}),
        ("Joist gap of 10 mm", None, {"joist_gap_in": Decimal("0.393701")}),
    ],
)
def test_limits_doubt_earlier_visits_and_other_gaps_state_nothing(comment, topic, stated):
    assert read(comment, topic) == stated


@pytest.mark.parametrize(
    ("written", "words"),
    [
        ("7'-6\"", ["#len:90"]),
        ("1½ in.", ["#len:1.5"]),
        ("three eighths of an inch", ["#len:0.375"]),
        ("1/4 to 3/8 in", ["#len:0.25~0.375"]),
        ("(2) 2x10", ["#size:2-2x10"]),
        ("38 x 235", ["#size:2x10"]),
        ("3/8/2024; photo 7; 555-0142", ["#skip", "#skip", "#skip"]),
        ("1,500-lb", ["#force:1500"]),
    ],
)
def test_quantities_are_found_as_they_are_written(written, words):
    assert [quantity.word for quantity in find_quantities(spell(written).text)] == words


def test_every_pattern_of_the_catalog_is_one():
    for pattern in comment_rules().patterns.values():
        assert pattern.expression.pattern


def test_the_words_told_are_those_of_the_comment_and_most_own_sentences_are_read_right():
    """Every read tells its characters; how many are right on the sentences that the rules were written on is a floor,
    not a figure: the half that is held back gives that (tests/bench/score_comments.py). Every fourth will do."""
    right = stated = wrong = 0
    with SEEN.open(encoding="utf-8", newline="") as file:
        for row in islice(csv.DictReader(file), 0, None, 4):
            expected = json.loads(row["stated"])
            stated += len(expected)
            for one in read_comment(row["comment"], row["topic"]):
                assert one.text == row["comment"][one.start : one.end]
                same = one.measure in expected and (
                    one.value == expected[one.measure]
                    if isinstance(expected[one.measure], bool | str)
                    else abs(float(str(one.value)) - expected[one.measure]) < 0.0005
                )
                right, wrong = right + same, wrong + (not same)
    assert right / stated > 0.93
    assert wrong / (right + wrong) < 0.012


@given(st.text(max_size=120), st.sampled_from([None, "joist_gap", "guard_post"]))
@settings(max_examples=60, deadline=None)
def test_any_text_is_read_without_an_error_and_in_its_bounds(comment, topic):
    for one in read_comment(comment, topic):
        assert 0 <= one.start <= one.end <= len(comment)
