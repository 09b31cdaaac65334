"""From a cell of topics by inspectors to the page of one, to a case, and to the line that asks for a second look."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import Page, expect

from tests.dashboard import firms
from tests.dashboard.browser import reading
from tests.dashboard.browser.conftest import Served
from tests.dashboard.browser.reading import HOLDS, INSPECTOR, SIDE_BY_SIDE

pytestmark = pytest.mark.browser


def test_a_cell_leads_to_its_inspector_and_topic_and_a_case_to_a_second_look(page: Page, served: Served) -> None:
    served.shows_firm(firms.colleagues)
    reading.look(page, served.address, SIDE_BY_SIDE)
    reading.click_mark(page, "Hanger size, E: 30 written up")
    reading.arrived(page, INSPECTOR.title)
    assert reading.answer(page).startswith("E looked at 80 decks")
    expect(page).to_have_url(re.compile(r"/inspector\?inspector=E"))
    reading.shows_cases(page, "hanger size", 27)
    page.get_by_text("Is this verdict wrong? Ask for a second look").click()
    line = reading.save(page, "Save the line to fill in").read_text(encoding="utf-8-sig")
    assert line.splitlines()[0] == "report_id,observation_no,looked_by,looked_on,chosen,ruling,reason"
    # A dot of the picture opens the cases of its topic, on the side that has more.
    reading.click_mark(page, "Joist gap: 5 written up")
    reading.shows_cases(page, "joist gap", 15)
    page.get_by_role("link", name="Read the cases of joist gap").click()
    reading.arrived(page, HOLDS.title)
