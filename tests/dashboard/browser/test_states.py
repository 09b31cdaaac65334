"""Where there is nothing to show, or it cannot be shown: each page says what is so and what to do, and shows no trace."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from tests.dashboard.browser import reading
from tests.dashboard.browser.conftest import Served
from tests.dashboard.browser.reading import PLACES, RULES, Place
from tests.dashboard.builders import Firm

pytestmark = pytest.mark.browser


def _nothing_loaded(folder: Path) -> Path:
    (folder / "empty").mkdir()
    return folder / "empty"


def _not_there(folder: Path) -> Path:
    return folder / "nowhere"


def _of_a_newer_version(folder: Path) -> Path:
    return Firm().note("joist_gap", "passed", "acceptable").publish(folder / "newer", schema_version=99)


@pytest.mark.parametrize(
    ("warehouse", "told", "step"),
    [
        (_nothing_loaded, "No reports are loaded", "Load a folder of reports with evenhand load"),
        (_not_there, "There is no warehouse at", "Load reports with evenhand load"),
        (_of_a_newer_version, "was made by a newer Evenhand", "Update Evenhand"),
    ],
    ids=["nothing loaded", "no folder", "newer version"],
)
def test_a_warehouse_that_cannot_be_shown(
    page: Page, served: Served, tmp_path: Path, warehouse: Callable[[Path], Path], told: str, step: str
) -> None:
    served.shows(warehouse(tmp_path))
    reading.look(page, served.address)
    for place in PLACES:
        if place.path:
            page.get_by_test_id("stTopNavLink").filter(has_text=place.title).click()
            expect(page).to_have_url(f"{served.address}/{place.path}")
            reading.settled(page)
        assert told in reading.answer(page), place
        assert step in reading.all_text(page), place
        no_trace(page)


def _two_regions() -> Firm:
    firm = Firm().many(3, "joist_gap", "passed", "acceptable", region="Flats", deck_age="under 5")
    return firm.many(3, "hanger_size", "written_up", "cannot_tell", region="Ridge", missing=["hanger_height_in"])


@pytest.mark.parametrize("place", PLACES, ids=lambda place: place.title)
def test_filters_that_leave_nothing_and_too_little_for_a_rate(page: Page, served: Served, place: Place) -> None:
    served.shows_firm(_two_regions)
    reading.look(page, served.address, place)
    assert len(reading.answer(page)) > 20
    assert "nan" not in reading.all_text(page).lower().split()
    no_trace(page)
    if place == RULES:
        return  # the rules are the same, whatever is chosen
    reading.look(page, served.address, Place(f"{place.path}?region=Ridge&age=under+5&look_at=all", place.title))
    assert reading.answer(page) == "No deck was looked at within these filters."
    reading.is_told(page, "Widen the days, or clear")
    no_trace(page)
    page.get_by_text("Narrowed down").click()
    page.get_by_role("button", name="Clear all of these").click()
    expect(page.get_by_role("heading", level=2)).not_to_have_text("No deck was looked at within these filters.")


def no_trace(page: Page) -> None:
    text = reading.all_text(page)
    for trace in ("Traceback", "Error:", "Exception", "could not be shown"):
        assert trace not in text
