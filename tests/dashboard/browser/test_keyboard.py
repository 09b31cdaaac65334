"""From the top of each page by Tab, arrows and Enter alone, on the sample firm."""

from __future__ import annotations

import re
from pathlib import Path
from urllib.parse import quote

import pytest
from playwright.sync_api import Page, expect

from tests.dashboard.browser import reading
from tests.dashboard.browser.conftest import Served
from tests.dashboard.browser.reading import DATA, DECISIONS, HOLDS, NOTES, RULES, WHERE, Place

pytestmark = pytest.mark.browser


@pytest.fixture(autouse=True)
def _shown(served: Served, sample: Path) -> None:
    served.shows(sample)


@pytest.mark.parametrize(
    ("place", "control"),
    [
        (HOLDS, "Show the cases of"),
        (Place("where?topic=joist_gap&by=region", WHERE.title), "Open a group"),
        (DATA, "Show the calls behind a mark"),
    ],
    ids=["holds", "where", "data"],
)
def test_a_case_is_reached(page: Page, served: Served, place: Place, control: str) -> None:
    reading.look(page, served.address, place)
    reading.choose_next(page, control)
    reading.shows_cases(page, "")
    number = reading.choose_next(page, "Open a case").split(" · ")[-1]
    expect(page.get_by_test_id("stMain").get_by_text(f"{number} · ")).to_be_visible()
    expect(page).to_have_url(re.compile(re.escape(quote(number, safe=""))))


def test_a_link_is_followed(page: Page, served: Served) -> None:
    reading.look(page, served.address, DECISIONS)
    reading.tab_to(page, page.get_by_role("link", name="Defects passed over"))
    page.keyboard.press("Enter")
    reading.arrived(page, HOLDS.title)
    expect(page.get_by_role("radio", name="Defects passed over")).to_be_checked()


def test_a_topic_of_another_part_is_chosen(page: Page, served: Served) -> None:
    reading.look(page, served.address, RULES)
    parts = page.get_by_role("radiogroup", name="Part of the deck").get_by_role("radio")
    topics = page.get_by_role("combobox", name="Topic")
    of_the_first_part = topics.input_value()
    reading.tab_to(page, parts)
    page.keyboard.press("ArrowRight")
    chosen = page.get_by_role("radio", name="Hangers and joists")
    expect(chosen).to_be_focused()
    page.keyboard.press("Enter")
    expect(chosen).to_be_checked()
    # The mark is there at once, the topics of the part only after the page has run: chosen before, they would be lost.
    expect(topics).not_to_have_value(of_the_first_part)
    topic = reading.choose_next(page, "Topic")
    expect(reading.heading(page, topic)).to_be_visible()


def test_a_note_is_chosen_and_saved(page: Page, served: Served) -> None:
    reading.look(page, served.address, NOTES)
    topic = reading.choose_next(page, "Topic")
    expect(page.frame_locator("iframe").get_by_text(f"Calibration note · {topic}")).to_be_visible()
    reading.settled(page)
    reading.tab_to(page, page.get_by_role("button", name="Save as PDF"))
    with page.expect_download() as saving:
        page.keyboard.press("Enter")
    assert saving.value.path().read_bytes().startswith(b"%PDF-")
