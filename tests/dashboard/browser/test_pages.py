"""Each page as it is read: on a desk, a tablet and a phone, light and dark, by eye and by assistive technology.

A page is opened once, made wider step by step, and then the reader's system turns dark; where a picture has not yet
followed, it is waited for.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page, TimeoutError

from tests.dashboard.browser import reading
from tests.dashboard.browser.conftest import Served
from tests.dashboard.browser.reading import INSPECTOR, PLACES, Place

pytestmark = pytest.mark.browser
WIDTHS = (390, 820, 1440)
#: The page of one inspector has nothing to show until it is said whose.
_OF_ONE = {INSPECTOR: Place("inspector?inspector=KE", INSPECTOR.title)}
_PATIENCE_MS = 15_000
#: What of Streamlit's own we cannot mend, by axe's rule and the beginning of the element: none.
STREAMLITS_OWN: frozenset[tuple[str, str]] = frozenset()

#: What is wrong with a page's layout, as sentences; the box of a text is a few pixels higher than its letters. Text that is cut on purpose has its end elsewhere: the chosen option
#: of a list in the list, the cells of a table (a canvas) in the table's file.
LAYOUT = """() => {
  const faults = [], main = document.querySelector('[data-testid=stMain]');
  if (main.scrollWidth > main.clientWidth) faults.push(`scrolls sideways: ${main.scrollWidth} > ${main.clientWidth}`);
  for (const element of document.querySelectorAll('[data-testid=stApp] *')) {
    const style = getComputedStyle(element), box = element.getBoundingClientRect();
    if (box.width <= 1 || box.height <= 1 || style.visibility === 'hidden') continue;
    if (element.closest('[data-testid=stDataFrame], svg') || !element.innerText?.trim()) continue;
    const cuts = style.overflowX === 'hidden' || style.overflowX === 'clip';
    if (cuts && element.scrollWidth > element.clientWidth + 1) faults.push(`cuts off: ${element.innerText.slice(0, 80)}`);
    if (box.right > document.documentElement.clientWidth + 1) faults.push(`sticks out: ${element.innerText.slice(0, 80)}`);
  }
  for (const picture of document.querySelectorAll('[data-testid=stVegaLiteChart] svg.marks')) {
    const frame = picture.getBoundingClientRect();
    for (const text of picture.querySelectorAll('text')) {
      const box = text.getBoundingClientRect();
      if (box.width && (box.left < frame.left - 2 || box.right > frame.right + 2 ||
                        box.top < frame.top - 4 || box.bottom > frame.bottom + 4))
        faults.push(`a picture cuts off: ${text.textContent}`);
    }
  }
  return faults;
}"""
#: Pictures without a name that holds a number, and marks whose name is made of columns (``x0: 2.5; y0: 6.4``).
NAMES = """() => {
  const faults = [];
  for (const picture of document.querySelectorAll('[data-testid=stVegaLiteChart]')) {
    const named = [picture, ...picture.querySelectorAll('*')].find(part => part.role === 'graphics-document');
    const name = named?.getAttribute('aria-label') ?? '';
    if (!/\\d/.test(name)) faults.push(`the name of a picture tells no number: ${name}`);
    for (const mark of picture.querySelectorAll('[role=graphics-symbol][aria-label]'))
      if (/^[a-z0-9_]+: /.test(mark.getAttribute('aria-label')))
        faults.push(`the name of a mark: ${mark.getAttribute('aria-label')}`);
  }
  for (const frame of document.querySelectorAll('[data-testid=stMain] iframe'))
    if (!/\\d/.test(frame.getAttribute('title') || frame.getAttribute('alt') || frame.getAttribute('aria-label') || ''))
      faults.push(`a frame without a name: ${frame.outerHTML.slice(0, 80)}`);
  return faults;
}"""


def lasting(page: Page, faults: str) -> list[str]:
    """The faults that stay once all pictures are drawn and have followed the width."""
    try:
        page.wait_for_function(f"({faults})().length === 0", timeout=_PATIENCE_MS, polling=200)
    except TimeoutError:
        return [str(fault) for fault in page.evaluate(faults)]
    return []


def inaccessible(page: Page, *rules: str) -> list[str]:
    """Serious and critical findings of axe-core, of all its rules or of these, but for Streamlit's own."""
    options: dict[str, Any] = {"resultTypes": ["violations"]} | ({"runOnly": list(rules)} if rules else {})
    found: list[dict[str, Any]] = Axe().run(page, options=options).response["violations"]
    return [
        f"{finding['id']}: {node['html'][:160]}"
        for finding in found
        if finding["impact"] in {"serious", "critical"}
        for node in finding["nodes"]
        if not any(finding["id"] == rule and node["html"].startswith(start) for rule, start in STREAMLITS_OWN)
    ]


@pytest.fixture(autouse=True)
def _shown(served: Served, sample: Path) -> None:
    served.shows(sample)


@pytest.mark.parametrize("place", PLACES, ids=lambda place: place.title)
def test_a_page_reads_at_every_width_by_eye_and_by_assistive_technology(
    open_browser: Callable[..., Page], served: Served, place: Place
) -> None:
    page = open_browser(WIDTHS[0], height=1200)
    reading.look(page, served.address, _OF_ONE.get(place, place))
    faults = lasting(page, NAMES)
    for width in WIDTHS:
        page.set_viewport_size({"width": width, "height": 1200})
        faults += [f"{width} px: {fault}" for fault in lasting(page, LAYOUT)]
        if width != 820:
            faults += [f"{width} px: {fault}" for fault in inaccessible(page)]
    # What finds room in the light finds it in the dark, and is named alike; what differs is how well it stands out.
    reading.turn_dark(page)
    faults += [f"dark: {fault}" for fault in [*lasting(page, LAYOUT), *inaccessible(page, "color-contrast")]]
    assert faults == []
