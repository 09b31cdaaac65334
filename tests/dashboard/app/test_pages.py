"""The pages on decisions, rates and calls, driven through app.py; what a reader is told is compared, not how it looks."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest
from streamlit.testing.v1 import AppTest

from tests.dashboard import firms
from tests.dashboard.app.conftest import APP
from tests.dashboard.builders import Firm

HOLDS, WHERE, NOTES, DATA, RULES = (f"views/{name}.py" for name in ("holds", "where", "note", "data", "rules"))
LOOKS, TIME = "views/agreement.py", "views/over_time.py"
TRAINING, BRIEF = "views/training.py", "views/before_you_go.py"
SIDE_BY_SIDE, INSPECTOR = "views/side_by_side.py", "views/inspector.py"
PAGES = ["", WHERE, HOLDS, SIDE_BY_SIDE, INSPECTOR, LOOKS, TIME, TRAINING, NOTES, DATA, RULES, BRIEF]


def shown(app: AppTest) -> str:
    """All text of the page; no-break spaces as blanks."""
    kinds = (app.title, app.header, app.subheader, app.markdown, app.text)
    text = " ".join(element.value for elements in kinds for element in elements)
    return text.replace("\u00a0", " ")


def test_an_empty_warehouse_says_what_to_do_on_every_page(opened: Callable[..., AppTest]) -> None:
    app = opened()
    for page in PAGES:
        app = app.switch_page(page).run() if page else app
        assert "No reports are loaded" in shown(app)
        assert "`evenhand load`" in shown(app)
        assert "`evenhand demo`" in shown(app)
        assert not app.exception


def test_a_missing_folder_says_what_to_do_on_every_page(
    opened: Callable[..., AppTest], monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    opened()
    monkeypatch.setenv("EVENHAND_WAREHOUSE", str(tmp_path / "nowhere"))
    app = AppTest.from_file(str(APP), default_timeout=30).run()
    for page in PAGES:
        app = app.switch_page(page).run() if page else app
        assert "There is no warehouse" in shown(app)
        assert not app.exception


def test_a_snapshot_of_a_newer_version_says_so_on_every_page(opened: Callable[..., AppTest]) -> None:
    app = opened(firms.one_size_down(), schema_version=99)
    for page in PAGES:
        app = app.switch_page(page).run() if page else app
        assert "newer Evenhand" in shown(app)
        assert not app.exception


def test_every_page_ends_with_the_cautions(opened: Callable[..., AppTest]) -> None:
    app = opened(firms.one_size_down())
    for page in PAGES:
        app = app.switch_page(page).run() if page else app
        # The page of notes shows a note, which ends with them: twice would be once too often.
        text = str(app.get("iframe")[0].proto.srcdoc) if page == NOTES else shown(app)
        assert page != NOTES or "no statement that a deck is safe" not in shown(app)
        assert "no statement that a deck is safe" in text
        assert "Figures on people are for learning" in text


def test_where_the_old_decks_stand_out_the_answer_says_so_with_share_and_interval(
    opened: Callable[..., AppTest],
) -> None:
    app = opened(firms.old_decks_gap(), WHERE)
    answer = app.header[0].value.replace("\u00a0", " ")
    assert re.match(r"Joist gap: 23 % of decks have the defect \(\d+ to \d+; 120 of 120 judged\), more often ", answer)
    assert re.search(r"\*\*on decks of 30 years and more\*\* \(60 %, \d+ to \d+\), less often ", answer)
    assert "No builder or region stands out" in answer
    assert not app.exception


def test_where_nothing_stands_out_the_answer_says_that(opened: Callable[..., AppTest]) -> None:
    app = opened(
        Firm().many(30, "joist_gap", "passed", "acceptable").many(10, "joist_gap", "written_up", "defect"), WHERE
    )
    assert "**No group stands out** beyond what luck" in app.header[0].value


def test_the_group_that_stands_out_is_open_with_its_cases(opened: Callable[..., AppTest]) -> None:
    app = opened(firms.old_decks_gap(), WHERE)
    assert app.selectbox(key="group").value == "30 and more"
    assert "24 cases of joist gap on decks of 30 years and more" in shown(app)
    app.selectbox(key="group").set_value("under 5").run()
    assert "2 cases of joist gap on decks under 5 years old" in shown(app)


@pytest.mark.parametrize("page", ["", WHERE, HOLDS, TIME, TRAINING])
def test_nothing_in_the_filter_says_what_to_do(opened: Callable[..., AppTest], page: str) -> None:
    firm = Firm().note("joist_gap", "passed", "acceptable", region="Flats", inspected_on=date(2026, 1, 5))
    firm.note("joist_gap", "passed", "acceptable", region="Ridge", inspected_on=date(2026, 6, 5))
    app = opened(firm, page)
    app.date_input(key="from").set_value(date(2026, 3, 1)).run()
    app.multiselect(key="region").set_value(["Flats"]).run()
    assert "No deck was looked at within these filters." in shown(app)
    assert "Widen the days, or clear the filters below." in shown(app)
    app.multiselect(key="region").set_value(["Ridge"]).run()
    assert "No deck was looked at" not in shown(app)
    assert not app.exception


@pytest.mark.parametrize("page", ["", WHERE, HOLDS, NOTES, DATA])
def test_what_is_filtered_stands_on_the_closed_bar_and_is_cleared_at_once(
    opened: Callable[..., AppTest], page: str
) -> None:
    app = opened(firms.old_decks_gap(), page)
    assert "Clear all of these" not in [button.label for button in app.button]
    app.multiselect(key="region").set_value(["Ridge"]).run()
    app.date_input(key="from").set_value(date(2026, 5, 1)).run()
    bar = next(each.label for each in app.expander if each.label.startswith("**Narrowed down"))
    assert bar.replace("\u00a0", " ") == "**Narrowed down on every page:** from 1 May 2026, Ridge"
    next(button for button in app.button if button.label == "Clear all of these").click().run()
    assert app.multiselect(key="region").value == []
    assert app.date_input(key="from").value is None
    assert any(each.label.startswith("Narrow down: ") for each in app.expander)


def test_a_long_choice_is_cut_on_the_bar_and_its_text_is_no_markup(opened: Callable[..., AppTest]) -> None:
    firm = Firm()
    for region in ("North of the *old* mill race", "South of the *old* mill race", "Over the river and on"):
        firm.many(3, "joist_gap", "passed", "acceptable", region=region)
    app = opened(firm, WHERE)
    app.multiselect(key="region").set_value(app.multiselect(key="region").options).run()
    bar = next(each.label for each in app.expander if each.label.startswith("**Narrowed down"))
    assert bar.endswith(" …")
    assert "\\*old\\*" in bar
    assert len(bar.replace("\\", "")) < 100


@pytest.mark.parametrize("key", ["from", "to"])
def test_a_day_beyond_the_data_stands_as_the_address_asks_for_it(opened: Callable[..., AppTest], key: str) -> None:
    day = date(2030, 1, 1) if key == "from" else date(1990, 1, 1)
    app = opened(firms.old_decks_gap(), WHERE)
    app.query_params[key] = day.isoformat()
    app.run()
    assert app.date_input(key=key).value == day
    assert "No deck was looked at within these filters." in shown(app)
    app.date_input(key=key).set_value(None).run()
    assert "No deck was looked at" not in shown(app)
    assert not app.exception


def test_a_filter_holds_on_the_other_page_too(opened: Callable[..., AppTest]) -> None:
    app = opened(firms.old_decks_gap(), WHERE)
    app.multiselect(key="region").set_value(["Ridge"]).run()
    assert "60 of 60 judged" in shown(app)
    app.switch_page(HOLDS).run()
    assert "Ridge ·" in shown(app)


def test_a_stock_sentence_leads_to_its_cases(opened: Callable[..., AppTest]) -> None:
    firm, places = Firm(), ("north side", "left bay", "far corner", "stair head", "lake side", "east end")
    for at, place in enumerate(places):
        facts = {"comment": f"Small *gap*, {at}/8 in, at the {place}.", "place": place, "inspector_id": f"I{at}"}
        firm.note("joist_gap", "written_up", "acceptable", recorded="small gap", **facts)
    firm.many(9, "joist_gap", "written_up", "defect", comment="Wide gap.", inspector_id="I1")
    app = opened(firm, HOLDS)
    app.segmented_control(key="show").set_value("sentences").run()
    assert app.header[0].value.replace("\u00a0", " ") == (
        "2 sentences stand, but for places and numbers, in 5 reports or more. **1 of them surely fails more often than it "
        "holds**: 6 of 6 write-ups that do not hold. The most: “Small \\*gap\\*, …, at the ….”: 6 of 6 judged do not hold "
        "(61 to 100 %)."
    )
    assert "6 cases of “Small \\*gap\\*, …, at the ….”" in shown(app)
    assert "All figures: 2\u00a0sentences" in [each.label for each in app.expander]
    assert not app.exception


def test_the_answer_on_calls_names_the_largest_kind_with_count_and_interval(opened: Callable[..., AppTest]) -> None:
    app = opened(firms.one_size_down(), HOLDS)
    answer = app.header[0].value.replace("\u00a0", " ")
    assert answer == (
        "42 of 45 write-ups could be judged; **30 do not hold** (71 %, 56 to 83). "
        "**The largest kind is a hanger one size down:** 30 were written up, none holds."
    )


def test_a_case_shows_its_sentence_its_measures_its_rule_and_why(opened: Callable[..., AppTest]) -> None:
    app = opened(firms.one_size_down(), HOLDS)
    text = shown(app)
    assert "“Undersized hanger seen by I0 at the stair.”" in text
    assert "This write-up does not hold" in text
    assert "Hanger 7.25 in is 78 % of the 9.25 in joist; 60 % needed" in text
    assert "*In plain words:* The rule." in text
    assert "By the rule: acceptable." in text


def test_another_kind_can_be_chosen_from_the_list(opened: Callable[..., AppTest]) -> None:
    app = opened(firms.one_size_down(), HOLDS)
    app.selectbox(key="kind").set_value("hanger_size:2x10-joist-in-2x6-hanger").run()
    assert "12 cases of 2x10 joist in 2x6 hanger" in shown(app)
    assert "This call holds" in shown(app)


def test_passed_over_defects_are_shown_with_the_word_that_there_may_be_more(opened: Callable[..., AppTest]) -> None:
    app = opened(firms.one_size_down(), HOLDS)
    app.get("button_group")[0].set_value("passed_over").run()
    text = shown(app)
    assert (
        "All 5 calls without a write-up were judged; **each of them passes over a defect that its own measures show**"
        in text
    )
    assert "Misses show only where a measure was written down" in text
    assert "This was passed over" in text


@pytest.mark.parametrize(
    ("firm", "answer"),
    [
        (Firm().many(12, "hanger_size", "written_up", "defect"), "**All 12 write-ups that could be judged hold.**"),
        (
            Firm().many(4, "hanger_size", "written_up", "acceptable"),
            "All 4 write-ups were judged; **none holds** (too few for a rate).",
        ),
        (
            Firm().many(3, "hanger_size", "written_up", "cannot_tell", missing=["hanger_height_in"]),
            "**None of 3 write-ups could be judged.** Missing most: hanger height in.",
        ),
        (Firm().many(3, "hanger_size", "passed", "acceptable"), "Nothing was written up here."),
    ],
    ids=["all hold", "too few", "none judged", "none written up"],
)
def test_little_or_nothing_to_say_is_said_plainly(opened: Callable[..., AppTest], firm: Firm, answer: str) -> None:
    app = opened(firm, HOLDS)
    assert answer in app.header[0].value.replace("\u00a0", " ")
    assert not app.exception


def test_the_next_view_shows_a_new_snapshot(opened: Callable[..., AppTest]) -> None:
    app = opened(firms.one_size_down(), HOLDS)
    assert "45 write-ups" in shown(app)
    opened(firms.old_decks_gap(), snapshot="0002")
    assert "All 28 write-ups that could be judged hold." in shown(app.run())


@pytest.mark.parametrize("page", PAGES)
def test_user_text_never_becomes_markup(opened: Callable[..., AppTest], page: str) -> None:
    app = opened(firms.hostile(), page)
    markdown = " ".join(element.value for kind in (app.header, app.subheader, app.markdown) for element in kind)
    assert "![x](" not in markdown
    assert "[go](http:" not in markdown
    assert "<script>" not in markdown.replace("\\<script\\>", "")
    assert not app.exception


def test_a_fault_of_the_page_is_a_sentence_and_no_trace(
    opened: Callable[..., AppTest], monkeypatch: pytest.MonkeyPatch
) -> None:
    def fail(*_: object) -> None:
        raise ZeroDivisionError("the secret of the trace")

    monkeypatch.setattr("dashboard.notes.wording.scope", fail)
    app = opened(firms.one_size_down())
    assert "This page could not be shown." in shown(app)
    assert "secret" not in shown(app)
    assert not app.exception
