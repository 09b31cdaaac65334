"""The frame of a note: as high as a browser finds the note to be, since nothing in the note may measure it."""

from __future__ import annotations

from pathlib import Path

import pytest
from playwright.sync_api import Browser

from dashboard import notes
from dashboard.notes import html_height
from dashboard.warehouse import Snapshot

pytestmark = pytest.mark.browser

#: A telephone, both sides of the style's own turn, and a sheet.
WIDTHS = (320, 358, 544, 545, 640, 816)
#: A frame too low would scroll; two lines too many is what a word that just fits may make.
MOST_BLANK_PX = 60


@pytest.mark.parametrize("topic", ["hanger_size", "joist_gap", "stair_riser"])
def test_the_frame_is_never_too_low_and_hardly_too_high(browser: Browser, sample: Path, topic: str) -> None:
    with Snapshot.open(sample) as snapshot:
        note = notes.note_on(snapshot, topic=topic)
    html = notes.render(note, ".html").decode()
    page = browser.new_page()
    try:
        for width in WIDTHS:
            page.set_viewport_size({"width": width, "height": 300})
            page.set_content(html)
            page.evaluate("document.fonts.ready")
            found = page.evaluate("document.documentElement.scrollHeight")
            assert found <= html_height.height(note, html, width) <= found + MOST_BLANK_PX, width
    finally:
        page.close()
