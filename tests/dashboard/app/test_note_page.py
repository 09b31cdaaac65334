"""The page Notes, driven through app.py: which note, what it says, how it is saved."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest
from streamlit.testing.v1 import AppTest

from dashboard import notes
from dashboard.warehouse import Snapshot
from tests.dashboard import firms
from tests.dashboard.app.conftest import turned_to
from tests.dashboard.builders import Firm

PAGE = "views/note.py"
WIDE_GAP = "joist_gap:gap-1-2-in-or-more"


@pytest.fixture
def opened(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Callable[..., AppTest]:
    """Open the page on a firm's warehouse, on no firm on an empty folder, with what stands in its address."""

    def open_page(firm: Firm | None = None, **address: str) -> AppTest:
        if firm is not None:
            firm.publish(tmp_path)
        app = turned_to(PAGE, tmp_path, monkeypatch)
        for name, value in address.items():
            app.query_params[name] = value
        return app.run()

    return open_page


def shown(app: AppTest) -> str:
    kinds = (app.title, app.header, app.markdown)
    return " ".join(element.value for elements in kinds for element in elements).replace("\u00a0", " ")


def paper(app: AppTest) -> str:
    """The note as it stands in its frame."""
    return str(app.get("iframe")[0].proto.srcdoc)


def test_the_answer_is_the_finding_of_the_note_below_it(opened: Callable[..., AppTest]) -> None:
    app = opened(firms.one_size_down())
    answer = app.header[0].value.replace("\u00a0", " ")
    assert answer == "Hanger size: of 42 write-ups judged, **30 do not hold** (71 %, 56 to 83)."
    assert "<h1>One size down usually holds</h1>" in paper(app)
    assert not app.exception


def test_the_frame_says_what_it_holds(opened: Callable[..., AppTest]) -> None:
    frame = opened(firms.one_size_down()).get("iframe")[0].proto
    assert frame.alt == "The note as it will look: One size down usually holds"


def test_another_topic_can_be_chosen(opened: Callable[..., AppTest]) -> None:
    app = opened(firms.one_size_down())
    app.selectbox(key="note_topic").set_value("joist_gap").run()
    assert "Joist gap: 5\u00a0defects passed over" in paper(app)
    app.selectbox(key="note_topic").set_value("guard_height").run()
    assert "nothing could be judged yet" in paper(app)
    assert not app.exception


def test_a_kind_is_chosen_from_those_that_do_not_hold_the_most_first(opened: Callable[..., AppTest]) -> None:
    app = opened(firms.one_size_down())
    app.get("button_group")[0].set_value("kind").run()
    assert app.selectbox(key="note_kind").options == ["2x10 joist in 2x8 hanger", "Joist gap: gap 1/2 in or more"]
    app.selectbox(key="note_kind").set_value(WIDE_GAP).run()
    assert "5\u00a0defects passed over" in paper(app)


def test_a_link_opens_the_note_that_it_names(opened: Callable[..., AppTest]) -> None:
    app = opened(firms.one_size_down(), note_about="kind", note_kind=WIDE_GAP)
    assert app.selectbox(key="note_kind").value == WIDE_GAP
    assert "Gap 1/2 in or more: 5\u00a0defects passed over" in paper(app)
    assert "Joist gap, gap 1/2 in or more, **passed over 5 times**, with no defect noted." in shown(app)


def test_the_four_formats_and_the_case_pack_are_offered(opened: Callable[..., AppTest]) -> None:
    app = opened(firms.one_size_down())
    assert [button.proto.label for button in app.get("download_button")] == [
        "Save as DOCX",
        "Save as PDF",
        "Save as HTML",
        "Save as Markdown",
        "Cases as PDF",
        "Cases as DOCX",
        "Cases as CSV",
        "Cases as XLSX",
    ]


def test_the_note_of_a_month_says_what_lies_beyond_luck(opened: Callable[..., AppTest]) -> None:
    app = opened(firms.one_size_down(), note_about="month")
    assert app.selectbox(key="note_month").options == ["May\u00a02026"]
    assert "followed in May 2026, **none lies beyond luck**" in app.header[0].value.replace("\u00a0", " ")
    assert "<h1>Nothing moved beyond luck</h1>" in paper(app)
    assert app.query_params["note_about"] == "month"
    assert not app.exception


def test_the_filters_narrow_the_note(opened: Callable[..., AppTest]) -> None:
    firm = firms.old_decks_gap()
    app = opened(firm)
    app.multiselect(key="region").set_value(["Ridge"]).run()
    app.selectbox(key="note_topic").set_value("joist_gap").run()
    assert "Joist gap: of 14 write-ups judged, **all hold**" in shown(app)
    assert "1\u00a0region" in paper(app)


def test_an_empty_warehouse_says_what_to_do(opened: Callable[..., AppTest]) -> None:
    app = opened()
    assert "No reports are loaded" in shown(app)
    assert not app.exception


def test_nothing_within_the_filters_says_what_to_do(opened: Callable[..., AppTest]) -> None:
    firm = Firm().note("joist_gap", "passed", "acceptable", region="Flats", inspected_on=date(2026, 1, 5))
    firm.note("joist_gap", "passed", "acceptable", region="Ridge", inspected_on=date(2026, 6, 5))
    app = opened(firm)
    app.date_input(key="from").set_value(date(2026, 3, 1)).run()
    app.multiselect(key="region").set_value(["Flats"]).run()
    assert "No deck was looked at within these filters." in shown(app)
    assert not app.exception


def test_where_every_call_holds_there_is_no_kind_and_the_page_says_so(opened: Callable[..., AppTest]) -> None:
    app = opened(Firm().many(3, "joist_gap", "passed", "acceptable", recorded="gap up to 1/8 in"))
    app.get("button_group")[0].set_value("kind").run()
    assert "There is nothing of this sort within these filters" in shown(app)
    assert "Choose a topic" in shown(app)
    assert not app.exception


def test_hostile_text_is_text_on_the_page_and_in_the_frame(opened: Callable[..., AppTest]) -> None:
    app = opened(Firm().note("hanger_size", "written_up", "acceptable", comment="<script>alert(1)</script> ![x](y)"))
    assert "<script" not in paper(app)
    assert "&lt;script&gt;" in paper(app)
    assert "![x](" not in shown(app)


def test_the_frame_shows_the_note_that_is_saved(opened: Callable[..., AppTest], tmp_path: Path) -> None:
    app = opened(firms.one_size_down())
    with Snapshot.open(tmp_path) as snapshot:
        assert paper(app) == notes.html(snapshot, topic="hanger_size")
