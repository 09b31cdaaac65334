"""The page on time, driven through app.py; what a reader is told is compared, not how it looks."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

import numpy as np
from streamlit.testing.v1 import AppTest

from tests.dashboard.builders import Firm

TIME = "views/over_time.py"


def shown(app: AppTest) -> str:
    """All text of the page; no-break spaces as blanks."""
    kinds = (app.title, app.header, app.subheader, app.markdown, app.text)
    text = " ".join(element.value for elements in kinds for element in elements)
    return text.replace("\u00a0", " ")


def answer(app: AppTest) -> str:
    return app.header[0].value.replace("\u00a0", " ")


def pictures(app: AppTest) -> list[str]:
    found = [each.proto.spec for kind in ("vega_lite_chart", "arrow_vega_lite_chart") for each in app.get(kind)]
    return [spec.replace("\\u00a0", " ").replace("\u00a0", " ") for spec in found]


def firm(wrong_in_june: int = 5, wrong: int = 5, months: int = 12, a_month: int = 20) -> Firm:
    """Twelve months of write-ups of hangers of which a few do not hold, and as many passes; two inspectors."""
    made = Firm()
    for month in range(months):
        for number in range(a_month):
            facts = {"inspected_on": date(2025 + month // 12, month % 12 + 1, 1 + number % 28)}
            facts["inspector_id"] = f"I{number % 2}"
            few = wrong_in_june if month == 5 else wrong
            made.note("hanger_size", "written_up", "acceptable" if number < few else "defect", **facts)
            made.note("hanger_size", "passed", "acceptable", **facts)
    return made


def test_where_nothing_moved_the_answer_says_so_with_share_interval_and_count(opened: Callable[..., AppTest]) -> None:
    app = opened(firm(), TIME)
    assert answer(app).startswith("Write-ups **moved within luck in all 12 months** (50 %, 46 to 54; 240 of 480).")
    assert "Of 12 months of single topics none lies beyond luck; luck alone gives hardly any." in answer(app)
    assert "It cannot show why something moved" in shown(app)
    assert "None is beyond luck." in pictures(app)[0]
    assert not app.exception


def test_a_month_beyond_luck_is_named_with_its_count_and_opens_its_cases(opened: Callable[..., AppTest]) -> None:
    app = opened(firm(wrong_in_june=19), TIME)
    app.segmented_control(key="time_show").set_value("overcalled").run()
    app.selectbox(key="time_topic").set_value("hanger_size").run()
    told = (
        "In Jun 2025 **more write-ups of hanger size that do not hold than luck allows**: 19 of 20 (95 %, 76 to 99), "
    )
    assert f"{told}by luck at most 1" in answer(app)
    assert answer(app).endswith("11 other months are within luck. In all 74 of 240 do not hold (31 %, 25 to 37).")
    assert app.selectbox(key="month").value == "2025-06"
    assert "19 cases of write-ups that do not hold on hanger size in Jun 2025" in shown(app)
    assert "Beyond luck: Jun 2025 (19 of 20, 95 %, more than luck allows)." in pictures(app)[0]
    assert {app.query_params[key] for key in ("time_show", "time_topic")} == {"overcalled", "hanger_size"}
    app.selectbox(key="month").set_value("2025-01").run()
    assert "5 cases of write-ups that do not hold on hanger size in Jan 2025" in shown(app)
    assert not app.exception


def test_since_a_session_the_share_is_told_on_both_sides_and_its_month_is_apart(opened: Callable[..., AppTest]) -> None:
    made = firm(wrong_in_june=14, wrong=14, months=13)
    for place, row in enumerate(made.rows):
        if row["call"] == "written_up" and row["inspected_on"] > date(2025, 7, 31) and place % 4 < 3:
            row |= {"verdict": "defect", "outcome": "upheld"}
    made.attend("I0", "hanger_size", held_on=date(2025, 7, 9))
    app = opened(made, TIME)
    app.query_params["time_topic"] = "hanger_size"
    app.query_params["time_show"] = "overcalled"
    app.run()
    assert "**Since the session of 9 Jul 2025 fewer write-ups of hanger size that do not hold:** " in answer(app)
    assert "before it 70 % (61 to 77; 84 of 120)." in answer(app)
    assert "On each side of it luck explains all 12 months." in answer(app)
    assert "Plum: a session (9 Jul 2025, 1 colleague)." in shown(app)
    assert "its own month (hollow) counts for neither side" in shown(app)
    assert "Sessions: 9 Jul 2025." in pictures(app)[0]


def test_slow_change_is_explained_and_what_was_recorded_first_is_marked(opened: Callable[..., AppTest]) -> None:
    made = firm(a_month=6)
    for month in (8, 9, 10, 11, 12):
        made.many(6, "guard_height", "passed", "cannot_tell", inspected_on=date(2025, month, 3))
    app = opened(made, TIME)
    text = shown(app)
    assert (
        "The thick pale line follows slow change, the mix of decks taken out: each month moves it about a fifth of the way"
        in text
    )
    assert (
        "Dashed: first recorded in the whole firm: guard height (Aug 2025: 30 of 90 reports since, none of 84 before)"
        in text
    )
    assert "Marked: first recorded: guard height (from 1 Aug 2025)." in pictures(app)[0]
    app.selectbox(key="time_topic").set_value("hanger_size").run()
    assert "Dashed" not in shown(app)
    assert not app.exception


def test_where_months_hold_too_few_calls_quarters_or_years_stand_in_their_place(opened: Callable[..., AppTest]) -> None:
    app = opened(firm(wrong=1, wrong_in_june=1, months=24, a_month=4), TIME)
    app.segmented_control(key="time_show").set_value("overcalled").run()
    assert "in all 8 quarters" in answer(app)
    assert "By quarter, since most months hold too few." in shown(app)
    assert app.selectbox(key="month").label == "Open a quarter"
    assert app.selectbox(key="month").options[0].replace("\u00a0", " ") == "Oct to Dec 2026"
    assert not app.exception


def test_too_little_in_all_is_told_without_a_picture(opened: Callable[..., AppTest]) -> None:
    app = opened(Firm().many(3, "joist_gap", "written_up", "defect").note("joist_gap", "passed", "acceptable"), TIME)
    assert answer(app).startswith("**Too few a year to say:** 4 calls in 1 year. In all 3 of 4 were written up")
    assert not pictures(app) or "calls" not in pictures(app)[0]
    assert "No colleague has enough decks for this yet." in shown(app)
    app.segmented_control(key="time_show").set_value("missed").run()
    assert "Too few a year to say:** 1 judged call without a write-up in 1 year." in answer(app)
    assert "Misses show only where a measure was written down" in shown(app) or not pictures(app)
    assert not app.exception


def test_where_no_call_is_of_the_kind_that_is_shown_the_page_says_what_to_do(opened: Callable[..., AppTest]) -> None:
    app = opened(Firm().many(3, "joist_gap", "passed", "cannot_tell"), TIME)
    app.segmented_control(key="time_show").set_value("overcalled").run()
    assert "There are no write-ups that could be judged within these filters." in shown(app)
    assert "Show something else" in shown(app)
    assert not app.exception


def test_colleagues_are_followed_and_luck_is_told_beside_their_signals(opened: Callable[..., AppTest]) -> None:
    made, rng = Firm(), np.random.default_rng(1)
    for number in range(160):
        day = date(2025, 1 + number // 14, 1 + 2 * (number % 14))
        for topic in ("hanger_size", "joist_gap", "guard_height", "other"):
            # I1 writes up one call in ten in the first half of the year, then every second one; I0 one in ten.
            written_up = rng.random() < (0.5 if number % 2 and number > 80 else 0.1)
            whose = {"report": f"R{number}", "deck": f"D{number}", "inspector_id": f"I{number % 2}"}
            made.note(topic, "written_up" if written_up else "passed", inspected_on=day, **whose)
    text = shown(opened(made, TIME))
    assert "**More signals than luck gives:**" in text
    assert "**I1: more write-ups than is usual for this colleague, from about " in text
    assert "2 colleagues are followed deck by deck, all topics together." in text
    assert "decks" in text[text.index("Half of all doublings show within") :]


def test_what_a_session_changed_stands_under_the_picture_of_its_topic(opened: Callable[..., AppTest]) -> None:
    made = Firm()
    for month in range(12):
        for number in range(8):
            facts = {"inspector_id": f"I{number}", "inspected_on": date(2025, month + 1, 5)}
            few = 1 if number < 4 and month > 5 else 5
            for deck in range(8):
                made.note("hanger_size", "written_up" if deck < few + (number + month) % 2 else "passed", **facts)
            made.note("joist_gap", "passed", **facts)
    for number in range(4):
        made.attend(f"I{number}", "hanger_size", held_on=date(2025, 6, 9))
    app = opened(made, TIME)
    assert "What the session of" not in shown(app)  # all topics together
    app.selectbox(key="time_topic").set_value("hanger_size").run()
    text = shown(app)
    assert "What the session of 9 Jun 2025 changed" in text
    assert "**Since the session of 9 Jun 2025 those who took part write up hanger size less often than before" in text
    assert "4 colleagues who took part, 4 others" in text
    assert "nobody was drawn by lot" in text
    figures = next(frame.value for frame in app.dataframe if "Colleagues" in frame.value)
    assert list(figures["Who"]) == ["Took part", "The others"]
    assert figures["Written up after"].iloc[0].replace("\u00a0", " ").startswith("19 % (")
    app.selectbox(key="time_topic").set_value("joist_gap").run()
    assert "What the session of" not in shown(app)
    assert not app.exception


def test_nonsense_in_the_address_is_passed_over(opened: Callable[..., AppTest]) -> None:
    app = opened(firm(months=3), TIME)
    for key in ("time_topic", "time_show", "month", "time_case"):
        app.query_params[key] = "<b>no</b>"
    app.run()
    assert "within luck" in answer(app)
    assert not app.exception
