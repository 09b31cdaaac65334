"""A case in full: the verdict and why, what was said, measured and missing, the rule and how it is known; the list."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from streamlit.testing.v1 import AppTest

from dashboard import labels
from dashboard.measures.cases import case as case_of
from dashboard.views import case
from etl.criteria.pages import KNOWN
from etl.load import load
from tests.dashboard.app.conftest import turned_to
from tests.dashboard.builders import Firm
from tests.etl.conftest import csv_text, make_row

HOLDS = "views/holds.py"


@pytest.fixture
def opened(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Callable[..., AppTest]:
    """The page of calls that do not hold, on a firm's warehouse; on no firm, on whatever lies in the folder."""

    def open_page(firm: Firm | None = None, show: str = "write_ups") -> AppTest:
        if firm is not None:
            firm.publish(tmp_path)
        app = turned_to(HOLDS, tmp_path, monkeypatch)
        app.session_state["show"] = show
        return app.run()

    return open_page


def shown(app: AppTest) -> str:
    kinds = (app.title, app.header, app.subheader, app.markdown, app.text)
    told = [element.value for elements in kinds for element in elements]
    told += [element.proto.body for element in app.get("html")]
    return " ".join(told).replace("\u00a0", " ")


GAP = {"recorded": "gap 1/2 in or more", "joist_gap_in": 0.5}


@pytest.mark.parametrize(
    ("call", "verdict", "heading", "show"),
    [
        ("written_up", "defect", "● This call holds", "write_ups"),
        ("written_up", "acceptable", ":orange[▲] This write-up does not hold", "write_ups"),
        ("passed", "defect", ":blue[▼] This was passed over", "passed_over"),
        ("advised", "defect", ":blue[▽] This was advised, and is a defect", "passed_over"),
        ("written_up", "judgment", "◆ This is the inspector's call", "write_ups"),
        ("written_up", "cannot_tell", "○ This could not be judged", "write_ups"),
    ],
)
def test_each_outcome_has_its_mark_its_words_and_its_reason(
    opened: Callable[..., AppTest], call: str, verdict: str, heading: str, show: str
) -> None:
    firm = Firm().note("joist_gap", call, verdict, reason="gap 0.5 in is what it is", **GAP)
    app = opened(firm, show)
    assert heading in [element.value for element in app.subheader]
    assert "**Gap 0.5 in is what it is**" in shown(app)
    assert not app.exception


@pytest.mark.parametrize(
    ("chosen", "how"),
    [
        ("random", "It was drawn at random."),
        ("targeted", "It was chosen for what it may show."),
        ("dispute", "It was asked for after a dispute."),
    ],
)
def test_a_case_says_that_a_person_looked_again_how_it_was_chosen_and_when(
    opened: Callable[..., AppTest], chosen: str, how: str
) -> None:
    firm = Firm().note("joist_gap", "written_up", "acceptable", reason="gap 0.5 in is what it is", **GAP)
    text = shown(opened(firm.look("defect", chosen)))
    assert "● This call holds" in text
    assert "A person looked again" in text
    assert f"By a second look on 1 Jun 2026: a defect. {how}" in text
    assert "By the rule alone: acceptable; a person's ruling stands above it." in text
    assert "L1" not in text


def test_what_could_not_be_judged_says_what_is_missing_and_what_to_record_next_time(
    opened: Callable[..., AppTest],
) -> None:
    firm = Firm().note(
        "joist_gap", "written_up", reason="gap at the joist end was not recorded", missing=["joist_gap_in"]
    )
    text = shown(opened(firm))
    assert "**Gap at the joist end was not recorded**" in text
    assert "<td>joist gap in</td><td>not recorded</td>" in text
    assert "*Next time:* The habit." in text
    assert "*In plain words:* The rule." in text
    assert "No measure was recorded with it." in text


def test_measures_are_told_as_a_tape_shows_them_with_their_decimals(opened: Callable[..., AppTest]) -> None:
    text = shown(opened(Firm().note("joist_gap", "written_up", "defect", **GAP | {"joist_gap_in": 0.625})))
    assert "<td>joist gap in</td><td>5/8 in (0.625)</td>" in text


def test_how_the_rule_is_known_is_told_in_words(opened: Callable[..., AppTest]) -> None:
    text = shown(opened(Firm().note("joist_gap", "written_up", "defect", **GAP)))
    assert "Source: no published source, read in the document." in text
    assert "By the rule: a defect. Verdict from the recorded measures." in text


def test_the_source_stands_once_beside_how_it_is_known_and_the_limits_are_folded(
    opened: Callable[..., AppTest], tmp_path: Path
) -> None:
    (tmp_path / "in.csv").write_text(
        "report_id,inspected_on,inspector_id,region,observation_no,topic,call,guard_height_in,guard_place,drop_in\n"
        "R1,2026-03-04,I1,Ridge,1,guard_height,written_up,36,deck,60\n",
        encoding="utf-8",
    )
    load([str(tmp_path / "in.csv")], tmp_path)
    app = opened()
    text = shown(app)
    assert "**Guard 36 in high, deck; 36 in is enough on a deck, 34 in on a stair**" in text
    assert text.count("R312.1.2 ") == 1
    assert "Source: IRC 2018, 2021 R312.1.2 (2024: R321.1.2), read in the document." in text
    folded = next(each for each in app.expander if each.label == "The limits of this rule")
    told = " ".join(element.proto.body for element in folded.get("html"))
    assert "<td>Left to the inspector<div>The drop at most 30 in</div></td>" in told
    assert text.count("The drop at most 30 in") == 1


def test_the_catalogs_pages_and_the_dashboard_say_in_the_same_words_how_a_rule_is_known() -> None:
    assert labels.KNOWN == KNOWN


def drawn(app: AppTest, words: str) -> list[str]:
    """The specifications of charts that hold these words."""
    specifications = [
        element.proto.spec for kind in ("vega_lite_chart", "arrow_vega_lite_chart") for element in app.get(kind)
    ]
    return [spec for spec in specifications if words in spec.replace("\\u00a0", " ").replace("\u00a0", " ")]


def test_a_drawing_stands_only_where_its_measures_are(opened: Callable[..., AppTest]) -> None:
    sizes = {"joist_nominal": "2x10", "hanger_nominal": "2x8", "recorded": "2x10 joist in 2x8 hanger"}
    firm = Firm().note("hanger_size", "written_up", "acceptable", hanger_height_in=6.5, **sizes)
    firm.note("hanger_size", "written_up", "acceptable", recorded="hanger for fewer plies")
    app = opened(firm)
    assert len(drawn(app, "The hanger reaches 6.5 in")) == 1
    app.selectbox(key="kind").set_value("hanger_size:hanger-for-fewer-plies").run()
    assert not drawn(app, "The hanger reaches")
    assert not app.exception


# ---- the list --------------------------------------------------------------------------------------------------------


def many(count: int) -> Firm:
    firm = Firm().many(count - 1, "joist_gap", "written_up", "defect", **GAP)
    return firm.note("joist_gap", "written_up", "acceptable", report="LAST", **GAP)


def options(app: AppTest) -> list[str]:
    return list(app.selectbox(key="case").options)


def test_every_case_behind_a_mark_stands_on_some_page_of_the_list(opened: Callable[..., AppTest]) -> None:
    in_all = 2 * case.PAGE + 30
    app = opened(many(in_all))
    assert f"{in_all} cases of joist gap: gap 1/2 in or more" in shown(app)
    listed = set(options(app))
    assert len(listed) == case.PAGE
    assert app.selectbox(key="case").label.replace("\u00a0", " ") == f"Open a case (cases 1 to {case.PAGE} of {in_all})"
    for page in (2, 3):
        app.session_state["case_page"] = page
        app.run()
        listed |= set(options(app))
    assert len(listed) == in_all
    assert not app.exception


def test_calls_that_do_not_hold_come_first(opened: Callable[..., AppTest]) -> None:
    app = opened(many(case.PAGE + 1))
    assert "does not hold" in options(app)[0]
    assert app.selectbox(key="case").value.startswith("LAST:")


def test_a_case_that_a_link_names_is_opened_from_whatever_page_it_stands_on(opened: Callable[..., AppTest]) -> None:
    app = opened(many(case.PAGE + 5))
    first_page = {option.rpartition(" · ")[2] for option in options(app)}
    asked = next(f"R{n}:{n}" for n in range(1, case.PAGE + 5) if f"R{n}:{n}" not in first_page)
    app.query_params["case"] = asked
    app.run()
    assert app.selectbox(key="case").value == asked
    assert f"{asked} · " in shown(app)


def test_a_short_list_has_no_pages(opened: Callable[..., AppTest]) -> None:
    app = opened(many(3))
    assert app.selectbox(key="case").label.replace("\u00a0", " ") == "Open a case (all 3 cases)"
    assert not app.get("pagination")


def test_of_one_case_there_is_nothing_to_choose_and_no_table(opened: Callable[..., AppTest]) -> None:
    app = opened(many(1))
    assert "1 case of joist gap: gap 1/2 in or more" in shown(app)
    assert "This write-up does not hold" in shown(app)
    assert "case" not in [element.key for element in app.selectbox]
    assert app.query_params["case"] == "LAST:1"
    assert "A case is one place on a deck" not in shown(app)
    assert "Save all of them as CSV" not in [button.proto.label for button in app.get("download_button")]


def test_all_cases_can_be_saved_in_both_forms(opened: Callable[..., AppTest]) -> None:
    saves = [button.proto.label for button in opened(many(case.PAGE + 5)).get("download_button")]
    assert {"Save all of them as CSV", "Save all of them as XLSX"} <= set(saves)


def test_a_miss_that_is_written_up_elsewhere_on_the_deck_says_so(published):
    firm = Firm()
    firm.note("joist_gap", "passed", "defect", report="R1", deck="D1")
    firm.note("joist_gap", "written_up", "defect", report="R1", deck="D1")
    firm.note("joist_gap", "passed", "defect", report="R2", deck="D2")
    snapshot = published(firm)

    assert [case_of(snapshot, each).facts["written_up_elsewhere"] for each in ("R1:1", "R1:2", "R2:3")] == [
        True,
        False,
        False,
    ]


def test_a_hanger_with_empty_holes_says_what_is_left_of_its_nails(
    opened: Callable[..., AppTest], tmp_path: Path
) -> None:
    row = make_row(topic="hanger_fasteners_missing", call="written_up", holes_total="10", holes_filled="7")
    (tmp_path / "rows.csv").write_text(csv_text([row]))
    load([str(tmp_path / "rows.csv")], tmp_path)

    text = shown(opened())

    assert "70 % of their lateral value is left" in text
    assert "judges no structure" in text


def test_a_case_says_that_its_topic_and_call_were_read_from_the_comment(opened: Callable[..., AppTest]) -> None:
    said = {"comment": "Guard 33 in. high, too low.", "read_from_comment": "topic_and_call"}
    app = opened(Firm().note("guard_height", "written_up", "acceptable", **said))
    assert "The topic and the call were read from the comment, since the report has no column for it." in shown(app)
