"""A page is its address: a link shows the same to somebody else, links carry the filters, nonsense does no harm."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path
from urllib.parse import parse_qs, quote, urlsplit

import pytest
from playwright.sync_api import Page, expect

from tests.dashboard.browser import reading
from tests.dashboard.browser.conftest import Served
from tests.dashboard.browser.reading import HOLDS, SIDE_BY_SIDE, Place

pytestmark = pytest.mark.browser
_MARKUP = "<img src=http://example.com/p.png onerror=alert(1)>![x](http://example.com/q.png):red[no]"


@pytest.fixture(autouse=True)
def _shown(served: Served, sample: Path) -> None:
    served.shows(sample)


def test_a_link_with_filters_and_a_case_shows_the_same_to_somebody_else(
    open_browser: Callable[..., Page], served: Served
) -> None:
    mine = open_browser()
    reading.look(mine, served.address, HOLDS)
    reading.narrow(mine, "Region", "Ridge")
    expect(mine).to_have_url(re.compile("region=Ridge"))
    reading.narrow(mine, "Deck age", "20 to 29")
    expect(mine).to_have_url(re.compile("age="))
    reading.settled(mine)
    reading.switch(mine, "Defects passed over")
    expect(mine).to_have_url(re.compile("show=passed_over"))
    reading.settled(mine)
    last = mine.get_by_role("combobox", name="Show the cases of")
    reading.choose(mine, "Show the cases of", _another_option(mine, "Show the cases of"))
    expect(mine).to_have_url(re.compile("kind="))
    reading.arrived(mine)
    theirs = open_browser()
    reading.look(theirs, served.address, mine.url.removeprefix(f"{served.address}/"))
    assert reading.headings(theirs) == reading.headings(mine)
    assert last.input_value() == theirs.get_by_role("combobox", name="Show the cases of").input_value()


def _another_option(page: Page, control: str) -> str:
    """The last option of a list."""
    page.get_by_role("combobox", name=control).press("ArrowDown")
    option = page.get_by_role("option").last.inner_text()
    page.keyboard.press("Escape")
    return option


def test_every_link_of_the_first_page_carries_the_filters_and_leads_where_it_says(page: Page, served: Served) -> None:
    reading.look(page, served.address, "?look_at=all&region=Ridge&from=2024-01-01")
    places = {place.path: place for place in reading.PLACES}
    links = page.get_by_test_id("stMain").get_by_role("link")
    expect(links.nth(5)).to_be_visible()
    hrefs = {str(link.get_attribute("href")) for link in links.all()}
    for href in hrefs:
        asked = parse_qs(urlsplit(href).query)
        assert asked["region"] == ["Ridge"], href
        assert asked["from"] == ["2024-01-01"], href
        assert urlsplit(href).path.split("/")[-1] in places, href
    reading.click_mark(page, "not hold")
    reading.arrived(page, HOLDS.title)
    expect(page).to_have_url(re.compile(r"\bregion=Ridge\b"))
    expect(page).to_have_url(re.compile(r"\bfrom=2024-01-01\b"))
    of_a_kind = next(href for href in sorted(hrefs) if "kind=" in href)
    reading.look(page, served.address, of_a_kind.removeprefix("/"))
    expect(reading.heading(page, HOLDS.title)).to_be_visible()
    reading.is_told(page, "Ridge ·")


@pytest.mark.parametrize(
    ("place", "choices"),
    [
        (HOLDS, {"show": _MARKUP, "kind": _MARKUP, "case": "nobody:01"}),
        (SIDE_BY_SIDE, {"compared": "zodiac", "grid": _MARKUP, "grid_part": "Cellar", "open_topic": "%00"}),
    ],
    ids=lambda value: value.title if isinstance(value, Place) else "",
)
def test_nonsense_in_the_address_does_no_harm(
    page: Page, served: Served, place: Place, choices: dict[str, str]
) -> None:
    """Two pages as the browser shows them; the others in tests/dashboard/app/test_address.py."""
    choices = choices | {"region": "Atlantis", "builder": _MARKUP, "from": "2026-02-31", "to": _MARKUP, "who": _MARKUP}
    query = "&".join(f"{key}={quote(value)}" for key, value in choices.items())
    reading.look(page, served.address, Place(f"{place.path}?{query}&from=0001-01-01&from=soon", place.title))
    text = reading.all_text(page)
    for trace in ("Traceback", "Error", "example.com", "Atlantis", "could not be shown"):
        assert trace not in text
    # What was asked for is not there; so the page shows what it shows by itself, and its address says that.
    expect(page).not_to_have_url(re.compile("Atlantis|example|Cellar|zodiac"))
    assert len(reading.answer(page)) > 20


def test_days_that_leave_nothing_say_so(page: Page, served: Served) -> None:
    reading.look(page, served.address, Place("holds?from=2026-09-01&to=2022-12-01", HOLDS.title))
    assert reading.answer(page) == "No deck was looked at within these filters."
