"""Text out of reports that would fetch, run, color or link, were it not escaped: it is shown, and does nothing.

Any request to elsewhere, any dialog and any error in the console fails these tests (``open_browser``).
"""

from __future__ import annotations

import pytest
from playwright.sync_api import Page, expect

from tests.dashboard import firms
from tests.dashboard.browser import reading
from tests.dashboard.browser.conftest import Served
from tests.dashboard.browser.reading import DATA, HOLDS, NOTES, PLACES, WHERE, Place
from tests.dashboard.builders import Firm

pytestmark = pytest.mark.browser
#: What the markup in the text would make, and what a reader would then no longer see.
_MADE = "img[src*='//example.com'], a[href*='//example.com'], main script, [onerror]"
_SEEN = "![x]("
#: A sentence that is not the name of a place or a builder, so that a note shows it.
_SENTENCE = "Seen: ![y](http://example.com/q.png) <script>alert(2)</script> :red[so] www.example.com, me@example.com"


def hostile_everywhere() -> Firm:
    """Every free text of reports, rows, files and filters is hostile, and each page has something to show."""
    firm = firms.hostile()
    text = dict.fromkeys(("builder", "region", "place", "recommendation", "code_basis"), firms.HOSTILE)
    firm.many(25, "joist_gap", "passed", "defect", joist_gap_in=0.5, recorded=f"gap {firms.HOSTILE}", **text)
    firm.many(5, "joist_gap", "passed", "acceptable", joist_gap_in=0.1, recorded="gap up to 1/8 in", **text)
    firm.many(4, "hanger_size", "written_up", "cannot_tell", missing=["hanger_height_in"], **text)
    firm.many(3, "joist_gap", "not_seen", None, not_seen_reason=firms.HOSTILE, **text)
    for row in firm.rows:
        row["comment"] = _SENTENCE
    for row in firm.rows[-20:]:
        row["inspector_id"] = firms.HOSTILE
    firm.refuse("call: not_listed", report="R1", file=f"{firms.HOSTILE}.csv", call=firms.HOSTILE)
    return firm.file(f"{firms.HOSTILE}.csv", rows_read=63, rows_loaded=62, rows_rejected=1)


@pytest.fixture(autouse=True)
def _shown(served: Served) -> None:
    served.shows_firm(hostile_everywhere)


def harmless(page: Page) -> None:
    assert page.locator(_MADE).evaluate_all("made => made.map(one => one.outerHTML.slice(0, 200))") == []


def test_no_page_takes_text_for_markup(page: Page, served: Served) -> None:
    reading.look(page, served.address)
    for place in PLACES:
        if place.path:
            reading.turn_to(page, place)
        reading.arrived(page, place.title)
        harmless(page)
        for folded in page.get_by_test_id("stExpander").locator("summary").all():
            folded.click()
        if place in {WHERE, HOLDS, DATA}:
            reading.is_told(page, _SEEN)
        harmless(page)


@pytest.mark.parametrize(
    ("place", "mark"),
    [(WHERE, "Builder ="), (Place("holds?show=passed_over", HOLDS.title), "gap =")],
    ids=["where", "holds"],
)
def test_no_tooltip_takes_text_for_markup(page: Page, served: Served, place: Place, mark: str) -> None:
    reading.look(page, served.address, place)
    reading.hover_mark(page, mark)
    tooltip = page.locator("#vg-tooltip-element.visible")
    expect(tooltip).to_contain_text(_SEEN)
    expect(tooltip).to_contain_text("<script>alert(1)</script>")
    assert tooltip.locator("img, a, script").count() == 0


def test_no_note_takes_text_for_markup(page: Page, served: Served) -> None:
    reading.look(page, served.address, Place("notes?note_topic=hanger_size", NOTES.title))
    assert page.frame_locator("iframe").locator(_MADE).count() == 0
    plain = reading.save(page, "Save as Markdown").read_text(encoding="utf-8")
    assert "<script>alert(2)" in plain.replace("\\", "")
    for markup in ("![y](http", "<script>", ":red["):
        assert markup not in plain
    written = reading.save(page, "Save as HTML").read_text(encoding="utf-8")
    page.set_content(written)
    expect(page.get_by_role("heading", level=1)).to_be_visible()
    expect(page.locator("body")).to_contain_text("<script>alert(2)</script>")
    harmless(page)
