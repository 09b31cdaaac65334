"""What a trainer reads off the table of topics, and in which words: which are first, and what is not known."""

from __future__ import annotations

import pandas as pd
import pytest

from dashboard.measures.training_plan import First, first, judge_more, worst_kinds
from dashboard.notes import training_topics_wording as words

TITLES = {name: f"Topic {name}" for name in "abcdefghij"}


def table(*places: tuple[int, int], avoidable: float = 10.0) -> pd.DataFrame:
    """Topics a, b, c … with the intervals of their places, the most avoidable first."""
    rows = [
        {
            "topic": "abcdefghij"[at],
            "rank_low": low,
            "rank_high": high,
            "avoidable": avoidable and avoidable - at,
            "avoidable_low": 1.0,
            "avoidable_high": 20.0,
        }
        for at, (low, high) in enumerate(places)
    ]
    return pd.DataFrame(rows)


@pytest.mark.parametrize(
    ("places", "found", "told"),
    [
        (
            [(1, 1), (2, 2), (3, 3), (4, 5)],
            First(("a", "b", "c"), 3, (), 0),
            "Training could do most about topic a (10 avoidable a quarter, by weight; 1.0 to 20), then topic b "
            "(9.0, 1.0 to 20), then topic c (8.0, 1.0 to 20).",
        ),
        (
            [(1, 3), (1, 3), (1, 3), (4, 4)],
            First(("a", "b", "c"), 0, (), 0),
            "These three are where training could do most: topic a (10 avoidable a quarter, by weight; 1.0 to 20), "
            "topic b (9.0, 1.0 to 20) and topic c (8.0, 1.0 to 20); their order is not known.",
        ),
        (
            [(1, 1), (2, 3), (2, 5), (3, 5), (5, 5)],
            First(("a", "b"), 1, ("c", "d"), 1),
            "Training could do most about topic a (10 avoidable a quarter, by weight; 1.0 to 20), and then about topic "
            "b (9.0, 1.0 to 20). One more of the first three is not known: topic c or topic d.",
        ),
        (
            [(1, 4), (1, 4), (2, 5), (3, 5)],
            First((), 0, ("a", "b", "c", "d"), 3),
            "Training could do most about topic a, topic b, topic c or topic d; which three come first is not known.",
        ),
        ([(1, 1)], First(("a",), 1, (), 0), "Training could do most about topic a (10 avoidable a quarter, by weight; "
         "1.0 to 20)."),
    ],
)  # fmt: skip
def test_only_what_is_known_of_the_order_is_told(places, found, told):
    rows = table(*places)
    assert first(rows) == found
    assert words.where_most(found, rows, TITLES).plain.replace("\u00a0", " ") == told


def test_where_nothing_is_avoidable_that_is_told():
    found = first(table((1, 2), (1, 2), avoidable=0.0))
    assert found == First((), 0, (), 0)
    assert "nothing for training to avoid" in words.where_most(found, table((1, 2)), TITLES).plain


def test_topics_that_open_calls_may_carry_up_are_to_be_judged_more():
    rows = table(*[(1, 9)] * 6).assign(rank_least=[1, 2, 5, 9, 13, 40], rank_most=[9, 3, 2, 5, 8, 35])
    assert list(judge_more(rows)["topic"]) == ["c", "e"]  # into the first three; five places; not 9 to 5, nor 40 to 35
    assert words.judge_more(judge_more(rows).head(0), 6, TITLES) is None


def test_the_largest_kinds_of_wrong_call_are_told_both_ways(firm, published):
    firm.many(5, "joist_gap", "written_up", "acceptable", recorded="gap up to 1/8 in")
    firm.many(3, "joist_gap", "written_up", "defect", recorded="gap up to 1/8 in")
    firm.many(4, "joist_gap", "passed", "defect", recorded="gap 1/2 in or more")
    firm.many(2, "joist_gap", "advised", "defect", recorded="gap 1/2 in or more")
    firm.many(9, "hanger_size", "written_up", "acceptable", recorded="2x10 joist in 2x8 hanger")
    found = worst_kinds(published(firm), "joist_gap")
    assert found[["recorded", "outcome", "wrong", "judged"]].to_numpy().tolist() == [
        ["gap 1/2 in or more", "missed", 6, 6],
        ["gap up to 1/8 in", "overcalled", 5, 8],
    ]
