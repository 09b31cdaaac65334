"""The picture of months is built and checked against the Vega-Lite schema; what it says in words is compared."""

from __future__ import annotations

import json

import pandas as pd
import pytest

from dashboard.charts import month_chart, theme

SESSIONS = pd.DataFrame({"held_on": pd.to_datetime(["2025-03-16"]), "attended": [6]})
NO_CHANGE = pd.DataFrame({"since": pd.to_datetime([]), "kind": [], "what": []})
CHANGES = pd.DataFrame(
    {
        "since": pd.to_datetime(["2025-02-01", "2025-04-16T12:00", "2025-05-01", "2025-05-01"], format="ISO8601"),
        "kind": ["guideline", "catalog", "measure", "topic"],
        "what": ["IRC 2021", "c0ffee", "Joist gap", "Guard posts"],
    }
)


def months(period: str = "month", starts: str = "2025-01-01", n: int = 6) -> pd.DataFrame:
    """Six months: the second beyond luck, the third a session's, the fourth left out, the last with too few."""
    when = pd.date_range(starts, periods=n, freq={"month": "MS", "quarter": "QS", "year": "YS"}[period])
    rows = pd.DataFrame({"period": period, "month": when, "trials": 30, "count": 6, "phase": 0, "signal": "none"})
    rows.loc[1, ["count", "signal"]] = [24, "higher"]
    rows.loc[2, ["signal", "phase"]] = ["session", -1]
    rows.loc[n - 1, ["trials", "count", "signal"]] = [3, 1, "too_few"]
    rows = rows.assign(share=rows["count"] / rows["trials"], expected=6.0, expected_share=0.2, lower=1, upper=14)
    rows = rows.assign(lower_share=1 / 30, upper_share=14 / 30, course=0.22, course_low=0.1, course_high=0.3)
    rows.loc[2, ["course", "course_low", "course_high"]] = None
    return rows.drop(index=3).reset_index(drop=True)


def plain(text: str) -> str:
    return text.replace("\u00a0", " ")


def drawn(
    frame: pd.DataFrame,
    outcome: str = "overcalled",
    sessions: pd.DataFrame = SESSIONS,
    changes: pd.DataFrame = NO_CHANGE,
) -> dict:
    return month_chart.month_chart(frame, sessions, changes, outcome, theme.LIGHT).to_dict()


@pytest.mark.parametrize("colors", theme.PALETTES.values(), ids=theme.PALETTES)
@pytest.mark.parametrize("outcome", month_chart.TITLES)
def test_it_is_valid_for_each_share_and_says_its_answer(outcome: str, colors: theme.Palette) -> None:
    spec = month_chart.month_chart(months(), SESSIONS, CHANGES, outcome, colors).to_dict()
    assert spec["background"] == colors.ground
    assert "Beyond luck: Feb 2025 (24 of 30, 80 %, more than luck allows). Sessions: 16 Mar 2025." in plain(
        spec["description"]
    )


@pytest.mark.parametrize("column", month_chart.COLUMNS)
def test_a_missing_column_fails_instead_of_drawing_nothing(column: str) -> None:
    with pytest.raises(KeyError, match=column):
        drawn(months().drop(columns=column))


def test_only_a_month_beyond_luck_is_plum_a_session_month_is_hollow_and_one_with_too_few_has_no_point() -> None:
    spec = drawn(months())
    points = {
        layer["mark"]["fill"]: [row["at"] for row in spec["datasets"][layer["data"]["name"]]]
        for layer in spec["layer"]
        if layer["mark"]["type"] == "point"
    }
    assert points == {theme.LIGHT.overcalled: [0, 4], theme.LIGHT.ground: [2], theme.LIGHT.accent: [1]}


def test_the_line_breaks_and_the_band_has_a_gap_where_a_month_is_not_told() -> None:
    spec = drawn(months())
    line = next(
        layer
        for layer in spec["layer"]
        if layer["mark"]["type"] == "line" and layer["mark"]["color"] == theme.LIGHT.faint
    )
    assert [row["share"] is None for row in spec["datasets"][line["data"]["name"]]] == [False] * 3 + [True, False, True]
    band = next(layer for layer in spec["layer"] if layer["mark"].get("fill") == theme.LIGHT.panel)
    assert [row["start"] for row in spec["datasets"][band["data"]["name"]]] == [-0.5, 0.5, 3.5]


@pytest.mark.parametrize(
    ("period", "at"), [("month", 1.5 + 15 / 31), ("quarter", -0.5 + 74 / 90), ("year", -0.5 + 74 / 365)]
)
def test_a_session_stands_at_its_day_whatever_a_step_is(period: str, at: float) -> None:
    spec = drawn(months(period))
    rules = [layer for layer in spec["layer"] if layer["mark"]["type"] == "rule"]
    assert [row["at"] for row in spec["datasets"][rules[-1]["data"]["name"]]] == [pytest.approx(at)]


def test_a_session_before_or_after_all_months_is_not_drawn() -> None:
    outside = pd.DataFrame({"held_on": pd.to_datetime(["2024-12-31", "2025-07-01"]), "attended": 1})
    rules = [layer for layer in drawn(months(), sessions=outside)["layer"] if layer["mark"]["type"] == "rule"]
    assert not rules


def test_what_changed_is_a_dashed_line_with_words_apart_from_sessions_and_one_a_month() -> None:
    spec = drawn(months(), changes=CHANGES)
    rules = {
        layer["mark"]["color"]: [row["at"] for row in spec["datasets"][layer["data"]["name"]]]
        for layer in spec["layer"]
        if layer["mark"]["type"] == "rule"
    }
    assert rules[theme.LIGHT.soft] == pytest.approx([0.5, 2.5 + 15.5 / 30, 3.5])
    assert len(rules[theme.LIGHT.accent]) == 1
    named = [row for rows in spec["datasets"].values() for row in rows if "words" in row]
    assert sorted({plain(row["words"]) for row in named}) == [
        "IRC 2021 named",
        "first recorded: 2 things",
        "other catalog, 16 Apr 2025",
        "session, 16 Mar 2025",
    ]
    assert "Marked: IRC 2021 named (from 1 Feb 2025), other catalog, 16 Apr 2025" in plain(spec["description"])


def test_the_line_of_slow_change_breaks_between_phases_and_is_left_out_where_it_is_not_told() -> None:
    def pale(frame: pd.DataFrame) -> list[list[bool]]:
        spec = drawn(frame)
        lines = [layer for layer in spec["layer"] if layer["mark"].get("opacity") == 0.4]
        return [[row["share"] is None for row in spec["datasets"][line["data"]["name"]]] for line in lines]

    assert pale(months()) == [[False, False, True, True, False, False]]
    assert pale(months().assign(course=None)) == []


def test_each_month_is_a_target_with_its_words_and_leads_to_its_cases() -> None:
    spec = drawn(months())
    targets = [rows for rows in spec["datasets"].values() if rows and "said" in rows[0]]
    told = [plain(row["said"]) for row in targets[0]]
    assert told[1] == "Feb 2025: 24 of 30, 80 %, more than luck allows"
    assert [row["id"] for row in targets[0]] == ["2025-01", "2025-02", "2025-03", "2025-05", "2025-06"]
    assert plain(targets[0][0]["luck"]) == "1 to 14, about 6 expected"


def test_names_below_are_of_the_length_of_the_step() -> None:
    names = {}
    for period in ("month", "quarter", "year"):
        named = [rows for rows in drawn(months(period))["datasets"].values() if rows and "of_year" in rows[0]]
        names[period] = [row["name"] for row in named[0]][:5]
    assert names["month"] == ["Jan", "Feb", "Mar", "Apr", "May"]
    assert names["quarter"] == ["Q1", "Q2", "Q3", "Q4", "Q1"]
    assert names["year"] == ["2025", "2026", "2027", "2028", "2029"]


def test_months_without_enough_calls_are_told_as_such() -> None:
    few = months().assign(signal="too_few")
    assert (
        plain(month_chart.alternative_text(few, SESSIONS, NO_CHANGE, "missed")) == "None of 5 months has enough calls."
    )
    assert json.dumps(drawn(few))
