"""The effect of sessions on trials whose truth is known; the tests and intervals themselves are tested in stats/."""

from __future__ import annotations

from datetime import date

import numpy as np
import pandas as pd
import pytest
from numpy.testing import assert_allclose

from dashboard.measures.rows import each
from dashboard.measures.tables import table
from dashboard.measures.training_effect import Trained, before_and_after, of_scored
from tests.bench.simulate_training import _NOBODY_JUDGED as NOBODY_JUDGED
from tests.bench.simulate_training import PLANS, simulate

PEOPLE = [f"I{number:02}" for number in range(12)]
SESSION = "2025-07-10"


def trials(
    shares: dict[str, float],
    people: list[str],
    decks: int = 50,
    topic: str = "hanger_size",
    expected: float = 0.2,
) -> pd.DataFrame:
    """Decks of each inspector in each month, so many of them written up as the month's share says; spread over its days."""
    parts = [
        pd.DataFrame(
            {
                "inspector_id": person,
                "topic": topic,
                "inspected_on": pd.Timestamp(f"{month}-01") + pd.to_timedelta(np.arange(decks) % 28, "D"),
                # Not the same in all: people are to scatter around the share a little.
                "written_up": np.arange(decks) < round(share * decks) + (hash_of(person, month) - 1),
                "expected": expected,
            }
        )
        for person in people
        for month, share in shares.items()
    ]
    return pd.concat(parts, ignore_index=True)


def hash_of(person: str, month: str) -> int:
    """0, 1 or 2, and 1 on average."""
    return (int(person[1:]) * 7 + int(month[:4]) * 5 + int(month[5:]) * 3) % 3


def months(first: str, number: int, share: float) -> dict[str, float]:
    start = np.datetime64(first)
    return {str(start + at): share for at in range(number)}


def attended(
    people: list[str], topic: str = "hanger_size", held_on: str = SESSION, session: str = "T1"
) -> pd.DataFrame:
    return pd.DataFrame(
        {"session_id": session, "held_on": pd.Timestamp(held_on), "topic": topic, "inspector_id": people}
    )


def told(scored: pd.DataFrame, *attendances: pd.DataFrame) -> Trained:
    return of_scored(scored, NOBODY_JUDGED, pd.concat(attendances, ignore_index=True))


def firm(before: int = 12, after: float = 0.1, then: int = 6, whose: int = 6) -> pd.DataFrame:
    """Months before and after; from the session's month on the first few write up less."""
    earlier = months("2024-07", before, 0.3) if before == 12 else months(f"2025-{7 - before:02}", before, 0.3)
    taught = earlier | months("2025-07", 1, 0.9) | months("2025-08", then, after)
    others = earlier | months("2025-07", 1, 0.0) | months("2025-08", then, 0.3)
    return pd.concat([trials(taught, PEOPLE[:whose]), trials(others, PEOPLE[whose:])], ignore_index=True)


def test_windows_are_equally_long_and_the_month_of_the_session_is_in_neither():
    row = told(firm(), attended(PEOPLE[:6])).effect.iloc[0]
    # To the latest inspection, 28 Jan 2026: 181 days; and 181 before July.
    assert row["window_days"] == 181
    assert (str(row["before_from"].date()), str(row["after_from"].date())) == ("2025-01-01", "2025-08-01")
    assert row["attendees_before_trials"] == row["attendees_after_trials"] == 6 * 6 * 50
    assert row["attendees_after_expected"] == pytest.approx(0.2 * 6 * 6 * 50)
    assert_allclose(row["attendees_after_written_up"] / row["attendees_after_trials"], 0.1, atol=0.01)
    assert (row["baseline"], row["status"], row["signal"], row["took_part"]) == ("clean", "ok", "lower", 6)
    assert_allclose(row["change"], -20, atol=1)
    assert row["change"] == pytest.approx(row["attendees_change"] - row["others_change"])
    assert row["change_low"] < -20 < row["change_high"] < 0
    assert row["change_cr2_low"] < -20 < row["change_cr2_high"] < 0
    assert row["p_permutation"] == 2 / 924
    assert row["assignments"] == 924


def test_where_history_is_short_people_may_have_been_chosen_by_the_baseline():
    row = told(firm(before=5), attended(PEOPLE[:6])).effect.iloc[0]
    assert (row["baseline"], row["window_days"]) == ("chosen", 150)
    assert row["change_less_regression"] == pytest.approx(row["change"] - row["expected_regression"])
    assert row["signal"] == "lower"
    assert row["change_less_regression_low"] < row["change_less_regression_high"] < 0


def test_who_was_highest_by_luck_alone_is_not_said_to_have_improved():
    """Three of twelve stood out before, by nothing but luck, and are as all others after."""
    before = [months("2025-04", 3, 0.3 if person in PEOPLE[:3] else 0.2) for person in PEOPLE]
    scored = pd.concat(
        [
            trials(own | months("2025-08", 3, 0.2), [person], decks=15)
            for own, person in zip(before, PEOPLE, strict=True)
        ],
        ignore_index=True,
    )
    row = told(scored, attended(PEOPLE[:3])).effect.iloc[0]
    assert row["p_permutation"] < 0.05
    assert row["expected_regression"] < row["change"] / 2 < 0
    assert (row["signal"], row["status"]) == ("none", "cannot_tell_yet")


@pytest.mark.parametrize(("whose", "status"), [(2, "figures_only"), (10, "figures_only"), (3, "ok")])
def test_fewer_than_three_on_a_side_give_figures_only(whose, status):
    row = told(firm(whose=whose), attended(PEOPLE[:whose])).effect.iloc[0]
    assert row["status"] == status
    if status == "figures_only":
        assert row[["change_low", "change_high", "p_permutation", "signal", "needed"]].isna().all()
        assert row["lacking"] == "people"
        assert row["attendees_change"] == pytest.approx(-20, abs=1)


def test_where_everyone_took_part_other_topics_of_the_same_people_stand_in():
    everything = months("2024-07", 12, 0.3) | months("2025-08", 6, 0.1)
    # All people write up less of everything after, by ten of a hundred.
    elsewhere = months("2024-07", 12, 0.3) | months("2025-08", 6, 0.2)
    scored = pd.concat(
        [
            trials(everything, PEOPLE),
            trials(elsewhere, PEOPLE, topic="joist_gap"),
            trials(elsewhere, PEOPLE, topic="guard_height"),
            # A topic with a session of its own is no control.
            trials(months("2024-07", 12, 0.3) | months("2025-08", 6, 0.0), PEOPLE, topic="other"),
        ],
        ignore_index=True,
    )
    row = told(scored, attended(PEOPLE), attended(PEOPLE[:1], "other", "2025-09-03", "T2")).effect.iloc[0]
    assert (row["status"], row["controls"], row["others"]) == ("controls_only", 2, 0)
    assert_allclose([row["attendees_change"], row["others_change"], row["change"]], [-20, -10, -10], atol=1)
    assert row["signal"] == "lower"
    assert row["p_permutation"] == 2 / 2**12


def test_who_was_trained_elsewhere_meanwhile_is_no_fair_comparison():
    scored, first = firm(), attended(PEOPLE[:6])
    found = told(scored, first, attended(PEOPLE[6:8], held_on="2025-10-02", session="T2"))
    row = found.effect.set_index("session_id").loc["T1"]
    assert (row["attendees"], row["others"]) == (6, 4)
    # A session long before does not count against anybody.
    assert told(scored, first, attended(PEOPLE[6:8], held_on="2024-08-02", session="T0")).effect["others"].iloc[-1] == 6


def test_another_session_of_the_same_people_ends_the_windows():
    again = attended(PEOPLE[:1], held_on="2025-11-20", session="T2")
    row = told(firm(), attended(PEOPLE[:6]), again).effect.set_index("session_id").loc["T1"]
    assert row["window_days"] == 92  # August to October


def test_before_any_time_has_passed_it_is_told_how_many_decks_it_will_take():
    scored = firm()
    row = told(scored[scored["inspected_on"] < "2025-07-08"], attended(PEOPLE[:6])).effect.iloc[0]
    assert (row["status"], row["lacking"]) == ("cannot_tell_yet", "decks")
    assert 0 < row["needed"] < 12 * 6 * 50
    assert row["attendees_after_trials"] == 0
    assert row[["change", "attendees_change", "p_permutation", "signal"]].isna().all()


def test_three_and_three_can_never_tell():
    scored = firm(whose=3)
    kept = scored[scored["inspector_id"].isin(PEOPLE[:6])]
    row = told(kept, attended(PEOPLE[:3])).effect.iloc[0]
    assert (row["status"], row["lacking"], row["p_permutation"]) == ("cannot_tell_yet", "people", 0.1)
    assert row[["change_low", "change_high", "needed"]].isna().all()


def test_a_session_on_what_nobody_looked_at_has_a_row_without_figures():
    row = told(firm(), attended(PEOPLE[:4], topic="footing_depth")).effect.iloc[0]
    assert (row["status"], row["took_part"], row["attendees"]) == ("figures_only", 4, 0)


def test_a_change_that_fades_is_told_by_quarter():
    faded = months("2024-07", 12, 0.3) | months("2025-08", 3, 0.06) | months("2025-11", 3, 0.3)
    steady = months("2024-07", 12, 0.3) | months("2025-08", 6, 0.3)
    scored = pd.concat([trials(faded, PEOPLE[:6]), trials(steady, PEOPLE[6:])], ignore_index=True)
    decay = told(scored, attended(PEOPLE[:6])).decay
    assert list(decay["quarter"]) == [1, 2]
    assert list(decay["signal"]) == ["lower", "none"]
    assert_allclose(decay["change"], [-24, 0], atol=2)
    assert str(decay["last_day"].iloc[0].date()) == "2025-10-30"
    assert str(decay["last_day"].iloc[1].date()) == "2026-01-28"


def test_wrong_calls_are_counted_among_the_judged_and_told_where_there_are_enough(firm, published):
    for month in range(12):
        for number, person in enumerate(PEOPLE[:8]):
            facts = {"inspector_id": person, "inspected_on": date(2025, month + 1, 5)}
            taught_after = number < 4 and month > 6
            for deck in range(6):
                sound = deck < (1 if taught_after else 3 + (number + month) % 2)
                firm.note("hanger_size", "written_up", "acceptable" if sound else "defect", **facts)
                firm.note("hanger_size", "passed", "cannot_tell", **facts)
            firm.note("hanger_size", "passed", "defect", **facts)
    for person in PEOPLE[:4]:
        firm.attend(person, "hanger_size", held_on=date(2025, 7, 10))
    snapshot = published(firm)
    row = table(snapshot, "training_effect").iloc[0]
    # As many are written up as before: half as many would have shown.
    assert (row["attendees"], row["others"], row["status"], row["needed"]) == (4, 4, "ok", 0)
    assert row["attendees_after_trials"] == 4 * 5 * 13  # August to 5 December
    assert row["overcalled_change_high"] < 0
    assert row["overcalled_change"] == pytest.approx(-100 * (3.5 - 1) / 6, abs=3)
    assert row["attendees_after_judged_write_ups"] == 4 * 5 * 6
    # Each passes over one defect a month; of what is written up 2 or 3 of 6 are defects, in 4 months before.
    assert (row["others_before_missed"], row["others_before_judged_defects"]) == (16, 16 + 40)
    assert list(table(snapshot, "training_decay")["quarter"]) == [1, 2]
    shown = before_and_after(next(each(pd.DataFrame([row]))), "overcalled")
    assert list(shown["group"]) == ["attendees", "others"]
    assert shown["after_share"].iloc[0] == pytest.approx(1 / 6)


@pytest.mark.parametrize(
    "name", ["nothing changes, worst 3 of a window before", "nothing changes, worst 3 of the baseline itself"]
)
def test_the_worst_three_of_firms_without_effect_are_seldom_said_to_have_improved(name):
    """A small version of tests/bench/simulate_training.py, and so are the next two."""
    assert simulate(PLANS[name], 40).fewer <= 0.07


def test_an_effect_on_tempting_cases_is_found():
    assert simulate(PLANS["40 to 12 percent in 6 of 12, 50 decks"], 25).fewer >= 0.9


def test_half_of_a_small_share_cannot_be_told_yet_in_most_firms():
    found = simulate(PLANS["12 to 6 percent in 6 of 12, 75 decks"], 25)
    assert found.cannot_tell > 0.5
    assert found.needed > 0
