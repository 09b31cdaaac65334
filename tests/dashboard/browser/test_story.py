"""What an owner does on a firm with one finding: choose a mark, see its cases, filter, pass a link on."""

from __future__ import annotations

import re
from collections.abc import Callable

import pytest
from playwright.sync_api import Page, expect

from dashboard.charts import theme
from tests.dashboard import firms
from tests.dashboard.browser import reading
from tests.dashboard.browser.conftest import Served
from tests.dashboard.browser.reading import HOLDS, NOTES, WHERE, heading
from tests.dashboard.builders import Firm

pytestmark = pytest.mark.browser


def both_findings() -> Firm:
    firm = firms.one_size_down()
    firm.rows += firms.old_decks_gap().rows
    for number, row in enumerate(firm.rows):
        row |= {"report_id": f"S{number}", "deck_id": f"DS{number}", "observation_id": f"S{number}:1"}
    return firm


@pytest.fixture(autouse=True)
def _shown(served: Served) -> None:
    served.shows_firm(both_findings)


def test_a_cell_of_the_hanger_grid_leads_to_its_cases_and_its_note(page: Page, served: Served) -> None:
    reading.look(page, served.address, HOLDS)
    expect(heading(page, "30 cases of 2x10 joist in 2x8 hanger")).to_be_visible()
    reading.click_mark(page, "2x10 joist in 2x6 hanger")
    expect(heading(page, "12 cases of 2x10 joist in 2x6 hanger")).to_be_visible()
    expect(heading(page, "This call holds")).to_be_visible()
    expect(page).to_have_url(re.compile(r"/holds\?kind=hanger_size%3A2x10-joist-in-2x6-hanger\b"))
    # All of these hold: there is nothing to write on the kind alone.
    expect(page.get_by_role("link", name="The note on its topic")).to_be_visible()
    expect(page.get_by_role("link", name="The note on this kind")).to_have_count(0)
    reading.click_mark(page, "2x10 joist in 2x8 hanger")
    expect(heading(page, "30 cases of 2x10 joist in 2x8 hanger")).to_be_visible()
    page.get_by_role("link", name="The note on this kind").click()
    reading.arrived(page, NOTES.title)
    text = reading.save(page, "Save as HTML").read_text(encoding="utf-8")
    assert text.startswith("<!doctype html>")
    assert "2x10\u00a0joist in 2x8\u00a0hanger" in text or "2x10 joist in 2x8 hanger" in reading.plain(text)


def test_a_filter_stands_in_the_address_and_a_link_with_it_shows_the_same(page: Page, served: Served) -> None:
    reading.look(page, served.address, WHERE)
    reading.narrow(page, "Region", "Flats")
    answer = page.get_by_role("heading", level=2)
    expect(answer).to_contain_text("60 of 60")
    expect(page).to_have_url(re.compile(r"/where\?region=Flats"))
    page.reload()
    expect(answer).to_contain_text("60 of 60")


def test_a_cell_of_the_topic_grid_opens_its_group(page: Page, served: Served) -> None:
    reading.look(page, served.address, WHERE)
    expect(heading(page, "24 cases of joist gap on decks of 30 years and more")).to_be_visible()
    reading.click_mark(page, "Joist gap, under 5")
    expect(heading(page, "2 cases of joist gap on decks under 5 years old")).to_be_visible()


def test_a_bar_leads_to_its_calls(page: Page, served: Served) -> None:
    reading.look(page, served.address)
    reading.click_mark(page, "Written up: 30")
    reading.arrived(page, HOLDS.title)
    expect(heading(page, "30 cases of 2x10 joist in 2x8 hanger")).to_be_visible()


@pytest.mark.parametrize("palette", theme.PALETTES.values(), ids=theme.PALETTES)
def test_the_theme_of_the_program_is_used_wherever_the_server_was_started(
    open_browser: Callable[..., Page], served: Served, palette: theme.Palette
) -> None:
    page = open_browser(color_scheme=palette.name)
    reading.look(page, served.address)
    expect(page.get_by_test_id("stApp")).to_have_css("background-color", reading.in_css(palette.ground))
    expect(page.locator(f"[data-testid=stVegaLiteChart] svg text[fill='{palette.soft}']").first).to_be_visible()
