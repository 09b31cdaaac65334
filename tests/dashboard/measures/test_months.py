"""Months and drift on trials whose truth is known; nothing outside gives such a table, its parts are tested in stats/."""

from __future__ import annotations

from datetime import date

import numpy as np
import pandas as pd
import pytest

from dashboard.filters import Filters
from dashboard.measures import drift, months
from dashboard.measures.practice import own_practice
from dashboard.measures.tables import table
from tests.dashboard.builders import Firm

CATALOG = pd.DataFrame({"topic": ["hanger_size", "joist_gap"], "position": [1, 2]})
NO_SESSION = pd.DataFrame({"held_on": pd.to_datetime([]), "topic": pd.Series([], dtype=str)})


def scored(
    n_months: int = 24, decks: int = 40, odds: float = 1.0, when: str = "2025-06", topics: int = 2, seed: int = 1
) -> pd.DataFrame:
    """Decks of two inspectors month by month, one topic or two; from a month on the odds of the first are changed.

    ``when`` is one month (2025-06), or that and all that follow (2025-06 on).
    """
    rng = np.random.default_rng(seed)
    first = np.datetime64("2024-07")
    month = first + np.repeat(np.arange(n_months), decks * topics)
    topic = np.tile(np.repeat(["hanger_size", "joist_gap"][:topics], decks), n_months)
    chance = rng.beta(2, 10, month.size)
    start = np.datetime64(when.removesuffix(" on"))
    changed = (topic == "hanger_size") & ((month >= start) if when.endswith(" on") else (month == start))
    truth = np.where(changed, odds * chance / (1 - chance + odds * chance), chance)
    number = np.tile(np.tile(np.arange(decks), topics), n_months)
    return pd.DataFrame(
        {
            "report_id": [f"{m}:{n}" for m, n in zip(month, number, strict=True)],
            "deck_id": [f"{m}:{n}" for m, n in zip(month, number, strict=True)],
            "topic": topic,
            "inspector_id": np.where(number % 2, "I1", "I2"),
            "inspected_on": month.astype("datetime64[D]") + number % 28,
            "written_up": rng.random(month.size) < truth,
            "expected": chance,
        }
    )


def charted(trials: pd.DataFrame, sessions: pd.DataFrame = NO_SESSION) -> pd.DataFrame:
    trials = trials.assign(event=trials["written_up"], chance=own_practice(trials))
    return months.charted(trials, sessions, CATALOG)


def test_a_month_in_which_the_odds_were_fivefold_stands_out_and_no_other():
    found = charted(scored(odds=5))
    out = found[found["signal"].isin(["higher", "lower"])]
    assert set(zip(out["month"].astype(str), out["topic"], out["signal"], strict=True)) <= {
        ("2025-06-01", "hanger_size", "higher"),
        ("2025-06-01", "all", "higher"),
    }
    assert "hanger_size" in set(out["topic"])
    row = out[out["topic"] == "hanger_size"].iloc[0]
    assert row["count"] > row["upper"] > row["expected"] > row["lower"]
    assert row["share_low"] < row["share"] < row["share_high"]


def test_all_topics_together_hold_every_trial_once_and_topics_stand_in_load_path_order():
    found = charted(scored())
    assert list(found["topic"].unique()) == ["all", "hanger_size", "joist_gap"]
    whole, single = found[found["topic"] == "all"], found[found["topic"] != "all"]
    assert whole["trials"].sum() == single["trials"].sum()
    assert whole["count"].sum() == single["count"].sum()
    assert whole["expected"].sum() == pytest.approx(whole["count"].sum())


def test_trials_of_one_report_that_go_together_widen_the_limits_of_all_topics_together():
    alone = scored(decks=120)
    together = alone.copy()
    # The second topic of a deck is called as the first.
    both = together["written_up"].to_numpy(copy=True).reshape(24, 2, 120)
    both[:, 1] = both[:, 0]
    together["written_up"] = both.reshape(-1)
    spread = {
        name: charted(trials).query("topic == 'all'")["spread"].max()
        for name, trials in (("alone", alone), ("together", together))
    }
    assert spread["together"] > spread["alone"] + 0.2
    assert spread["together"] < 2**0.5 * 1.4


def test_a_month_is_not_beyond_luck_for_who_inspected_in_it():
    # I1 writes up six times as often as the model says, and does all the decks of one month and few of the others.
    trials = scored(decks=60)
    rng = np.random.default_rng(3)
    busy = trials["inspected_on"].to_numpy().astype("datetime64[M]") == np.datetime64("2025-03")
    often = busy | (rng.random(len(trials)) < 0.15)
    odds = np.where(often, 6, 1) * trials["expected"] / (1 - trials["expected"])
    trials = trials.assign(
        inspector_id=np.where(often, "I1", "I2"), written_up=rng.random(len(trials)) < odds / (1 + odds)
    )
    assert set(charted(trials)["signal"]) <= {"none", "too_few"}
    by_model = months.charted(trials.assign(event=trials["written_up"], chance=trials["expected"]), NO_SESSION, CATALOG)
    assert "higher" in set(by_model["signal"])


def test_few_trials_say_nothing_whatever_they_are():
    trials = scored(decks=months.LEAST_TRIALS - 1, topics=1).assign(written_up=True)
    assert set(charted(trials)["signal"]) == {"too_few"}


def test_a_session_divides_its_own_topic_and_its_month_counts_for_neither_phase():
    held = pd.DataFrame({"held_on": pd.to_datetime(["2025-06-14", "2026-06-01"]), "topic": "hanger_size"})
    found = charted(scored(odds=0.1, when="2025-07 on", decks=80), held)
    own = found[found["topic"] == "hanger_size"].set_index("month")
    assert list(own["phase"].unique()) == [0, -1, 1]  # the second leaves too few months behind it
    assert own.loc["2025-06-01", "signal"] == "session"
    assert pd.isna(own.loc["2025-06-01", "expected"])
    before, since = own[own["phase"] == 0], own[own["phase"] == 1]
    assert before["expected"].sum() == pytest.approx(before["count"].sum())
    assert since["expected_share"].mean() < 0.5 * before["expected_share"].mean()
    assert set(own["signal"]) == {"none", "session"}
    assert set(found.loc[found["topic"] != "hanger_size", "phase"]) == {0}


def test_the_course_follows_a_slow_change_and_gives_no_signal_of_its_own():
    trials = scored(n_months=36, decks=60)
    month = trials["inspected_on"].to_numpy().astype("datetime64[M]").astype(int)
    odds = np.exp(0.035 * (month - month.min())) * trials["expected"] / (1 - trials["expected"])
    slowly = trials.assign(written_up=np.random.default_rng(2).random(len(trials)) < odds / (1 + odds))
    found = charted(slowly).query("topic == 'all'").set_index("month")
    assert found["course"].iloc[:12].mean() < found["course_low"].iloc[6:12].mean() < found["expected_share"].mean()
    beyond = ~found["course"].between(found["course_low"], found["course_high"])
    assert beyond[-6:].all()
    # It is seen where single months are within luck, and makes no signal of them.
    assert (found.loc[beyond, "signal"] == "none").sum() > 10
    still = charted(trials)
    assert still["course"].between(still["course_low"], still["course_high"]).mean() > 0.97


def test_the_course_begins_anew_after_a_session_and_is_not_told_where_a_step_is_a_year():
    held = pd.DataFrame({"held_on": pd.to_datetime(["2025-06-14"]), "topic": "hanger_size"})
    trials = scored(odds=0.1, when="2025-07 on", decks=80)
    own = charted(trials, held).query("topic == 'hanger_size'").set_index("month")
    assert own.index[own["course"].isna()].astype(str).tolist() == ["2025-06-01"]
    first = own.loc["2025-07-01"]
    # From the first month on exact: a fifth of a month of average size.
    since = own[own["phase"] == 1]
    usual = since["expected"].sum() / since["trials"].sum()
    assert first["course"] - usual == pytest.approx(0.2 * (first["share"] - first["expected_share"]))
    by_year = trials.assign(event=trials["written_up"], chance=own_practice(trials))
    assert months.charted(by_year, NO_SESSION, CATALOG, "year")["course"].isna().all()


def firm_with_a_bad_month(published, **looks: str):
    """Ten months of 24 write-ups: one in four does not hold, in June 2025 all but two; passes beside them."""
    firm = Firm()
    for month in range(1, 11):
        for number in range(24):
            wrong = number >= 2 if month == 6 else number % 4 == 0
            verdict = "acceptable" if wrong else "defect"
            day = date(2025, month, 1 + number)
            firm.note("hanger_size", "written_up", verdict, inspected_on=day, inspector_id=f"I{number % 3}")
            if month == 6:
                for chosen in looks.values():
                    firm.look("acceptable", chosen=chosen)
            firm.note("hanger_size", "passed", "acceptable", inspected_on=day, inspector_id=f"I{number % 3}")
    return published(firm)


def test_outcomes_of_a_month_are_read_against_the_topics_own_share(published):
    found = months.months_of_outcomes(firm_with_a_bad_month(published))
    own = found[found["topic"] == "hanger_size"]
    wrong = own[own["outcome"] == "overcalled"].set_index("month")
    assert list(wrong.index[wrong["signal"] == "higher"].astype(str)) == ["2025-06-01"]
    assert wrong.loc["2025-06-01", ["trials", "count"]].tolist() == [24, 22]
    assert wrong["expected_share"].unique() == pytest.approx((9 * 6 + 22) / 240)
    judged = own[own["outcome"] == "judged"]
    assert judged["share"].eq(1).all()
    assert not judged["signal"].isin(["higher", "lower"]).any()
    missed = own[own["outcome"] == "missed"]
    assert missed[["trials", "count"]].sum().tolist() == [240, 0]


def test_calls_that_were_looked_at_for_what_they_are_count_as_the_rule_says(published):
    found = months.months_of_outcomes(firm_with_a_bad_month(published, look="targeted"))
    wrong = found[(found["topic"] == "hanger_size") & (found["outcome"] == "overcalled")].set_index("month")
    # The looks find the other two to hold no better; drawn at random they would count.
    assert wrong.loc["2025-06-01", ["trials", "count"]].tolist() == [24, 22]


def test_how_much_could_be_judged_is_counted_by_topic_and_in_all(published):
    firm = Firm().many(3, "hanger_size", "written_up", "defect").many(2, "hanger_size", "written_up", "cannot_tell")
    firm.note("hanger_size", "passed", "acceptable").note("joist_gap", "written_up", "acceptable").look(
        "defect", "dispute"
    )
    trials = published(firm).query("month_outcomes", **Filters().parameters())
    found = months.could_be_judged(trials).set_index(["topic", "outcome"])
    assert found.loc[("hanger_size", "overcalled")].tolist() == [3, 5]
    assert found.loc[("all", "overcalled")].tolist() == [4, 6]
    assert found.loc[("all", "missed")].tolist() == [1, 1]


def test_the_tables_give_write_ups_and_outcomes_by_month_and_keep_to_the_filters(published):
    snapshot = firm_with_a_bad_month(published)
    whole = table(snapshot, "months", [("topic", "hanger_size")])
    assert whole["trials"].sum() == 480
    assert whole["written_up"].sum() == 240
    assert (whole["signal"] == "none").all()
    one = table(snapshot, "months", [("topic", "all")], Filters(inspectors=("I1",)))
    assert one["trials"].sum() == 160
    assert table(snapshot, "months", [], Filters(regions=("Nowhere",))).empty
    assert set(table(snapshot, "months_of_outcomes")["outcome"]) == {"overcalled", "missed", "judged"}


# ---- one inspector ---------------------------------------------------------------------------------------------------


def calls(odds: float, seed: int = 1) -> pd.DataFrame:
    """Three inspectors of 200 decks with ten topics each over three years; in the last one the odds of I0 change."""
    rng = np.random.default_rng(seed)
    deck = np.repeat(np.arange(600), 10)
    person = deck % 3
    day = np.datetime64("2023-01-01") + deck * 3 * 365 // 600
    chance = rng.beta(2, 12, deck.size)
    changed = (person == 0) & (day >= np.datetime64("2025-01-01"))
    truth = np.where(changed, odds * chance / (1 - chance + odds * chance), chance)
    return pd.DataFrame(
        {
            "report_id": np.char.add("R", deck.astype(str)),
            "deck_id": "A",
            "topic": np.char.add("t", np.tile(np.arange(10), 600).astype(str)),
            "inspector_id": np.char.add("I", person.astype(str)),
            "inspected_on": day,
            "written_up": rng.random(deck.size) < truth,
            "expected": chance,
        }
    )


@pytest.fixture(scope="module")
def unchanged() -> pd.DataFrame:
    return drift.of_scored(calls(1.0))


@pytest.mark.parametrize(("odds", "direction"), [(3.0, "higher"), (0.25, "lower")])
def test_a_change_for_good_is_found_with_its_day_and_in_its_direction(odds: float, direction: str):
    found = drift.of_scored(calls(odds), Filters(inspectors=("I0",))).set_index("direction")
    row = found.loc[direction]
    assert row["signal"] == direction
    assert row["highest"] >= row["limit"]
    assert pd.Timestamp("2025-01-01") <= row["last_signalled"]
    assert row["changed_since"] < row["last_signalled"]


def test_all_charts_together_give_at_most_one_false_alarm_a_year_by_their_own_account_and_in_fact(unchanged):
    signals, years = 0, 0
    for found in (unchanged, drift.of_scored(calls(1.0, 2)), drift.of_scored(calls(1.0, 3))):
        assert 0.6 < found["false_alarms_a_year"].sum() <= 1.05
        assert found["false_alarms"].sum() == pytest.approx(3 * found["false_alarms_a_year"].sum(), rel=0.02)
        signals, years = signals + int(found["signals"].sum()), years + 3
    assert signals <= years


def test_a_chart_says_after_how_many_decks_it_shows_a_doubling_and_is_the_same_each_time(unchanged):
    assert unchanged["decks_to_detect"].between(5, 40).all()
    pd.testing.assert_frame_equal(unchanged, drift.of_scored(calls(1.0)))


def test_who_differs_from_peers_has_not_changed(unchanged):
    trials = calls(1.0)
    rng = np.random.default_rng(9)
    strict = trials["inspector_id"] == "I2"
    odds = 3 * trials["expected"] / (1 - trials["expected"])
    found = drift.of_scored(
        trials.assign(written_up=np.where(strict, rng.random(len(trials)) < odds / (1 + odds), trials["written_up"]))
    )
    assert set(found.loc[found["inspector_id"] == "I2", "signal"]) == {"none"}
    # What a colleague writes up is no part of the others' charts but by the luck that trials of a deck share.
    assert found.loc[0, "highest"] == unchanged.loc[0, "highest"]


def test_few_decks_or_no_write_up_are_too_few_and_leave_the_false_alarms_to_the_others():
    trials = calls(1.0)
    new = trials["inspector_id"] == "I1"
    trials = trials[~new | (trials["report_id"].isin(trials.loc[new, "report_id"].unique()[:20]))].copy()
    trials.loc[trials["inspector_id"] == "I2", "written_up"] = False
    found = drift.of_scored(trials)
    few = found["inspector_id"].isin(["I1", "I2"])
    assert set(found.loc[few, "signal"]) == {"too_few"}
    assert found.loc[few, "limit"].isna().all()
    assert found["false_alarms_a_year"].sum() > 0.6
