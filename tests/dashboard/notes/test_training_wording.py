"""The sentences on a session: each status says its own, with counts and interval, and none names a cause or ranks anybody."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pandas as pd
import pytest

from dashboard.measures.training_effect import COLUMNS
from dashboard.notes import training_wording as told

FOUND = {
    "held_on": pd.Timestamp("2025-07-10"),
    "attendees": 5,
    "others": 7,
    "window_days": 181,
    "status": "ok",
    "signal": "lower",
    "baseline": "clean",
    "change": -9.2,
    "change_low": -16.1,
    "change_high": -2.1,
    "expected_regression": -3.0,
    "change_less_regression": -6.2,
    "change_less_regression_low": -12.0,
    "change_less_regression_high": -0.4,
}


def row(**facts: Any) -> SimpleNamespace:
    return SimpleNamespace(**(dict.fromkeys(COLUMNS) | FOUND | facts))


def said(**facts: Any) -> str:
    return told.what_changed("Hanger size", row(**facts)).plain.replace("\u00a0", " ")


def test_a_change_beyond_luck_comes_with_its_interval_and_its_counts():
    assert said() == (
        "Since the session of 10 Jul 2025 those who took part write up hanger size less often than before, set against the "
        "others: 9.2 fewer in 100 (16 fewer to 2.1 fewer). 5 colleagues who took part, 7 others, 181 days before and after."
    )


def test_what_being_chosen_alone_gives_is_taken_off_where_there_was_no_other_time_to_choose_by():
    text = said(baseline="chosen")
    assert ": 6.2 fewer in 100 (12 fewer to 0.4 fewer)." in text
    assert "3.0 fewer in 100 would come of being chosen alone, and are taken off." in text
    assert "topic and colleagues" in text
    # Of a clean baseline it is told below, and not taken off.
    below = " ".join(told.what_it_cannot_say(row())).replace("\u00a0", " ")
    assert "3.0 fewer in 100 would come of that alone" in below
    assert "taken off" not in " ".join(told.what_it_cannot_say(row(baseline="chosen")))


@pytest.mark.parametrize(
    ("facts", "start"),
    [
        (
            {"lacking": "decks", "needed": 340},
            "Cannot tell yet: about 340 more decks of all compared until half as many",
        ),
        (
            {"lacking": "people", "change_low": None, "change_high": None},
            "Cannot tell yet: so few colleagues can never",
        ),
        ({"lacking": "before", "needed": 1}, "Cannot tell yet: about 1 more deck of all compared until half as many"),
        ({"lacking": "write_ups"}, "Cannot tell yet: those who took part wrote up no hanger size before it"),
    ],
)
def test_what_cannot_be_told_yet_says_what_it_would_take(facts, start):
    text = said(signal="none", status="cannot_tell_yet", **facts)
    assert text.startswith(start)
    assert "luck alone explains that." in text
    assert ("the time before is too short" in text) == (facts["lacking"] == "before")
    if facts.get("change_low", 0) is None:
        assert "(any number fewer to any number more)" in text


def test_before_any_time_has_passed_only_what_it_would_take_is_told():
    text = said(signal=None, status="cannot_tell_yet", lacking="decks", needed=1800, change=None)
    assert text.startswith("Cannot tell yet: about 1,800 more decks")
    assert text.endswith("No time has passed since the month of the session.")


def test_enough_decks_without_a_change_say_so():
    assert said(signal="none", change_high=4.0).startswith(
        "No change beyond luck: half as many write-ups of hanger size would most likely have shown."
    )


def test_few_people_and_everybody():
    few = said(status="figures_only", attendees=2, others=1)
    assert few == (
        "Too few colleagues to tell luck from a change: 2 who took part and 1 other colleague looked at hanger size before "
        "and after; it takes 3 of each."
    )
    everybody = said(status="controls_only", others=0, controls=4)
    assert "set against other topics of the same colleagues: 9.2 fewer" in everybody
    assert "4 other topics of theirs stand in for other people, which is weaker." in everybody


def test_wrong_calls_are_told_where_they_were_compared():
    assert told.wrong_calls(row()) == []
    found = row(missed_change=-30.0, missed_change_low=-50.0, missed_change_high=None)
    assert [each.plain.replace("\u00a0", " ") for each in told.wrong_calls(found)] == [
        "Defects passed over or only advised upon, of 100 judged: 30 fewer than before, set against the others (50 fewer to "
        "any number more), within luck."
    ]


def test_quarters_are_told_in_one_line():
    assert told.by_quarter(pd.DataFrame({"quarter": [1], "signal": ["lower"]})) is None
    decay = pd.DataFrame({"quarter": [1, 2, 3], "signal": ["lower", "none", "none"]})
    assert told.by_quarter(decay).plain.endswith("fewer in 1; within luck in 2 and 3.")
    assert (
        told.by_quarter(decay.assign(signal="none"))
        .plain.replace("\u00a0", " ")
        .endswith("within luck in all 3 quarters.")
    )
