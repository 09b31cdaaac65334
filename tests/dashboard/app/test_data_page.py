"""The page on what is loaded, driven through app.py; what a reader is told is compared, not how it is drawn."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, datetime
from pathlib import Path

import duckdb
import pytest
from streamlit.testing.v1 import AppTest

from dashboard.warehouse import kept_snapshots
from etl.warehouse import Warehouse
from tests.dashboard import firms
from tests.dashboard.app.conftest import turned_to
from tests.dashboard.builders import Firm

DATA = "views/data.py"


@pytest.fixture
def opened(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Callable[..., AppTest]:
    """The page on a firm's warehouse; on no firm, on an empty folder."""

    def open_page(firm: Firm | None = None, loads: list[tuple] | None = None) -> AppTest:
        if firm is not None:
            firm.publish(tmp_path)
            with duckdb.connect(tmp_path / "snapshots" / "0001.duckdb") as connection:
                for load in loads or []:
                    connection.execute(f"insert into loads values ({', '.join('?' * 10)})", load)
        return turned_to(DATA, tmp_path, monkeypatch).run()

    return open_page


def shown(app: AppTest) -> str:
    """All text of the page; no-break spaces as blanks."""
    kinds = (app.title, app.header, app.subheader, app.markdown, app.text)
    told = [element.value for elements in kinds for element in elements]
    told += [element.proto.body for element in app.get("html")]
    return " ".join(told).replace("\u00a0", " ")


def lacking_gaps() -> Firm:
    """20 gaps judged, 12 that were not measured, 8 not seen of which 5 for skirting."""
    firm = Firm().many(20, "joist_gap", "passed", "acceptable")
    firm.many(12, "joist_gap", "passed", "cannot_tell", missing=["joist_gap_in"])
    firm.many(5, "joist_gap", "not_seen", None, not_seen_reason="skirting").many(3, "joist_gap", "not_seen", None)
    return firm


def test_the_answer_says_how_much_is_judged_what_is_missing_most_and_what_is_refused(opened):
    firm = lacking_gaps().refuse("not_a_number: joist_gap_in 'wide' is not a number", report="R1", joist_gap_in="wide")
    answer = opened(firm).header[0].value.replace("\u00a0", " ")
    # Wilson limits: statsmodels proportion_confint(20, 32, method="wilson") = 0.4525, 0.7708; of 12: 0.2292, 0.5475.
    assert answer == (
        "Of 32 calls **20 could be judged** (62 %, 45 to 77). "
        "**Missing most: joist gap in**; 12 of 32 calls on joist gap stayed undecided for want "
        "of it (38 %, 23 to 55). **1 row is refused** until it is mended."
    )


def test_what_was_not_seen_is_told_with_its_reasons_and_is_not_fine(opened):
    text = shown(opened(lacking_gaps()))
    assert "8 of 40 times a topic was not seen, 20 % (10 to 35); the reason given most is skirting (5)." in text
    assert "**Not seen is not fine**" in text


def test_a_chosen_measure_shows_its_cases_and_none_are_shown_before(opened):
    app = opened(lacking_gaps())
    assert "left open without" not in shown(app)
    app.selectbox(key="missing").set_value("joist_gap:joist_gap_in").run()
    assert "12 cases of joist gap, left open without joist gap in" in shown(app)
    assert "This could not be judged" in shown(app)
    assert not app.exception


def test_a_measure_that_the_filters_take_away_is_no_longer_chosen(opened):
    firm = lacking_gaps().note("joist_gap", "passed", "acceptable", region="Flats")
    app = opened(firm)
    app.selectbox(key="missing").set_value("joist_gap:joist_gap_in").run()
    app.multiselect(key="region").set_value(["Flats"]).run()
    assert "left open without" not in shown(app)
    assert "No call stayed undecided for want of a measure." in shown(app)
    assert not app.exception


def test_refused_rows_are_told_by_reason_with_an_example_and_the_reports_that_lack_them(opened):
    firm = Firm().note("joist_gap", "passed", report="R1")
    for _ in range(2):
        firm.refuse(
            "not_a_number: joist_gap_in '<b>wide</b>' is not a number",
            report="R1",
            file="/in/a.csv",
            joist_gap_in="<b>wide</b>",
        )
    firm.refuse("required: call is blank", report="R9")
    text = shown(opened(firm))
    assert "**3 rows are refused** until they are mended. 1 report is incomplete for want of them." in text
    assert "Of 1 report nothing is loaded." in text
    assert "joist gap in: not a number, for instance “&lt;b&gt;wide&lt;/b&gt;” (a.csv, row 2)</td><td>2</td>" in text
    assert "<b>wide" not in text
    assert "Call: left blank (a.csv, row 4)" in text
    assert "`evenhand load to-mend.csv --mend`" in text


def test_nothing_refused_is_said_in_one_line(opened):
    app = opened(firms.one_size_down())
    assert "No row is refused: whatever was read is loaded." in shown(app)
    assert "--mend" not in shown(app)


def test_what_was_loaded_adds_up_and_a_file_that_could_not_be_read_says_why(opened):
    day = datetime(2026, 6, 1, 12)
    loads = [("0001", f"/in/f{n}.csv", 10, 4, 3, 2, 1, day, "ab", None) for n in range(13)]
    loads += [("0001", "/in/torn.xlsx", 0, 0, 0, 0, 0, day, "cd", "it is not a workbook")]
    app = opened(firms.one_size_down(), loads)
    tables = [table.value for table in app.dataframe if "Rows read" in table.value]
    assert [len(table) for table in tables] == [12, 14]
    assert tables[1].iloc[0].tolist()[:-1] == ["f0.csv", 10, 4, 3, 2, 1]
    assert "torn.xlsx, 1 Jun 2026, 12:00 UTC: it is not a workbook" in shown(app)


def test_the_snapshots_are_those_of_the_command_and_the_way_back_is_named(opened, tmp_path):
    firms.one_size_down().publish(tmp_path, snapshot="0000")
    text = shown(opened(firms.one_size_down()))
    assert "0001, read now" in text
    assert "`evenhand rollback 0000`. Nothing is deleted by that." in text
    kept = [(each.snapshot, each.made_at, each.current) for each in kept_snapshots(tmp_path)]
    assert kept == [(each.id, each.made_at, each.current) for each in reversed(Warehouse(tmp_path).snapshots())]


def test_nothing_within_the_filters_still_shows_what_is_loaded(opened):
    firm = Firm().note("joist_gap", "passed", inspected_on=date(2026, 1, 5))
    firm.note("joist_gap", "passed", inspected_on=date(2026, 6, 5)).refuse("required: call is blank", report="R1")
    app = opened(firm)
    app.date_input(key="from").set_value(date(2026, 3, 1)).run()
    app.date_input(key="to").set_value(date(2026, 3, 2)).run()
    text = shown(app)
    assert "No deck was looked at within these filters." in text
    assert "**1 row is refused**" in text
    assert not app.exception


def test_where_nothing_could_be_seen_the_answer_says_so(opened):
    app = opened(Firm().many(3, "joist_gap", "not_seen", None, not_seen_reason="snow_ice"))
    assert "**Nothing that was looked for could be seen.**" in app.header[0].value
    assert not app.exception


def test_an_empty_warehouse_says_what_to_do(opened):
    app = opened()
    assert "No reports are loaded" in shown(app)
    assert not app.exception


def test_text_of_the_reports_never_becomes_markup(opened):
    firm = firms.hostile().refuse(f"not_listed: call '{firms.HOSTILE}' is not one of them", call=firms.HOSTILE)
    app = opened(firm)
    markdown = " ".join(element.value for kind in (app.header, app.subheader, app.markdown) for element in kind)
    assert "![x](" not in markdown
    assert "<script>" not in shown(app)
    assert not app.exception


def test_what_was_not_seen_can_be_opened_too(opened: Callable[..., AppTest]) -> None:
    firm = lacking_gaps().many(4, "hanger_size", "not_seen", None, not_seen_reason="low_clearance")
    app = opened(firm)
    app.selectbox(key="missing").set_value("hanger_size:").run()
    assert "4 cases of hanger size, not seen" in shown(app)
    assert "This was not seen" in shown(app)
    assert "Low clearance" in shown(app)
    assert not app.exception


# ---- observations that contradict themselves -------------------------------------------------------------------------


def test_what_contradicts_itself_is_counted_and_listed(opened):
    firm = firms.one_size_down()
    firm.note("joist_gap", "not_seen", "defect", report="R900")
    firm.note("joist_gap", "written_up", "acceptable", report="R901", outcome="undecided", second_look=True)

    text = shown(opened(firm))

    assert "Observations that contradict themselves" in text
    assert "2 observations: 1 noted as not seen, though measures decide" in text
    assert "1 written up with a comment on another fault" in text
    assert "None of them counts as a wrong call" in text


def test_where_nothing_contradicts_itself_nothing_is_said_of_it(opened):
    assert "contradict themselves" not in shown(opened(firms.one_size_down()))
