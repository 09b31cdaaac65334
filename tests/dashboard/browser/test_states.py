"""Where there is nothing to show, or it cannot be shown: each page says what is so and what to do, and shows no trace."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from tests.dashboard.browser import reading
from tests.dashboard.browser.conftest import Served
from tests.dashboard.browser.reading import DATA, DECISIONS, HOLDS, NOTES, SIDE_BY_SIDE, TIME, TRAINING, WHERE
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
    """Three pages as the browser shows them; all of them in tests/dashboard/app/test_pages.py."""
    served.shows(warehouse(tmp_path))
    reading.look(page, served.address)
    for place in (DECISIONS, HOLDS, NOTES):
        if place.path:
            reading.turn_to(page, place)
        expect(page.get_by_role("heading", level=2)).to_contain_text(told)
        reading.is_told(page, step)
        no_trace(page)


def _two_regions() -> Firm:
    firm = Firm().many(3, "joist_gap", "passed", "acceptable", region="Flats", deck_age="under 5")
    return firm.many(3, "hanger_size", "written_up", "cannot_tell", region="Ridge", missing=["hanger_height_in"])


def test_too_little_for_a_rate(page: Page, served: Served) -> None:
    served.shows_firm(_two_regions)
    reading.look(page, served.address, "?look_at=all")
    for place in (DECISIONS, WHERE, SIDE_BY_SIDE, TRAINING, TIME):
        if place.path:
            reading.turn_to(page, place)
        reading.arrived(page, place.title)
        assert len(reading.answer(page)) > 20
        assert "nan" not in reading.all_text(page).lower().split()
        no_trace(page)


def test_filters_that_leave_nothing(page: Page, served: Served) -> None:
    served.shows_firm(_two_regions)
    reading.look(page, served.address, "?region=Ridge&age=under+5&look_at=all")
    answer = page.get_by_role("heading", level=2)
    nothing = "No deck was looked at within these filters."
    for place in (DECISIONS, WHERE, HOLDS, SIDE_BY_SIDE, DATA):
        if place.path:
            reading.turn_to(page, place)
        reading.arrived(page, place.title)
        expect(answer).to_have_text(nothing)
        reading.is_told(page, "Widen the days, or clear")
        no_trace(page)
    page.get_by_text("Narrowed down").click()
    page.get_by_role("button", name="Clear all of these").click()
    expect(answer).not_to_have_text(nothing)


def no_trace(page: Page) -> None:
    text = reading.all_text(page)
    for trace in ("Traceback", "Error:", "Exception", "could not be shown"):
        assert trace not in text
