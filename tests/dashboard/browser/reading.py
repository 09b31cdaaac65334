"""What a reader does in the browser: opens a page and waits for it, clicks a mark, chooses from a list, tabs along."""

from __future__ import annotations

import re
import time
from dataclasses import dataclass
from pathlib import Path
from urllib.parse import urlsplit

from playwright.sync_api import Locator, Page, TimeoutError, expect

from dashboard.charts import theme

PATIENCE_MS = 40_000  # on a busy machine; an idle one needs a second
_MOST_TABS = 80
#: Whether the page has been at rest for a tenth of a second since we began to look. The code of links, tables and
#: pictures is fetched when one is first needed, and no sooner than the run has ended on a busy machine. Until then their
#: place is empty or gray; what comes there moves all that is below.
_AT_REST = """began => {
  const app = document.querySelector('[data-testid=stApp]'), all = kind => [...app.querySelectorAll(`[data-testid=${kind}]`)];
  const rests = app?.dataset.testScriptState === 'notRunning' && all('stElementContainer').every(one => one.firstChild)
    && all('stSkeleton').length === 0 && all('stVegaLiteChart').every(chart => chart.querySelector('svg.marks'));
  if (!rests) window.atRest = null;
  else if (window.atRest?.began !== began) window.atRest = {began, since: performance.now()};
  return rests && performance.now() - window.atRest.since > 100;
}"""
#: Counts from now on how often the state of the page's run changes.
_WATCH_RUNS = """() => {
  window.runs = 0;
  new MutationObserver(() => window.runs++).observe(document.querySelector('[data-testid=stApp]'),
    {attributes: true, attributeFilter: ['data-test-script-state']});
}"""
#: The last words of each page: the cautions.
LAST_WORDS = "Figures on people are for learning, not for pay or dismissal."


@dataclass(frozen=True)
class Place:
    """A page of the dashboard: its address after the server's, and its title."""

    path: str
    title: str


DECISIONS = Place("", "What needs a decision")
WHERE = Place("where", "Where defects occur")
HOLDS = Place("holds", "Calls that do not hold")
SIDE_BY_SIDE = Place("inspectors", "Inspectors side by side")
INSPECTOR = Place("inspector", "One inspector")
LOOKS = Place("looks", "Same deck, two looks")
NOTES = Place("notes", "Notes")
DATA = Place("data", "Data")
RULES = Place("rules", "The rules")
TIME = Place("time", "Over time")
TRAINING = Place("training", "What to train")
BRIEF = Place("brief", "Before you go")
PLACES = (DECISIONS, WHERE, HOLDS, SIDE_BY_SIDE, INSPECTOR, LOOKS, TIME, TRAINING, NOTES, DATA, RULES, BRIEF)


def is_harmless(url: str, text: str) -> bool:
    """Whether an error in the console is one of two that come of Streamlit's own ways.

    On a page other than the first its browser part looks for the server below the page's address before it looks at
    the root. And it gives an inline frame a script that measures its height; a note's own policy lets no script run,
    so that its height is said outright.
    """
    looking = urlsplit(url).path.endswith(("/_stcore/health", "/_stcore/host-config")) and "404" in text
    measuring = url == "about:srcdoc" and text.startswith("Executing inline script violates")
    return looking or measuring


def plain(text: str) -> str:
    """Text with no-break spaces as blanks, as a person types it."""
    return " ".join(text.split())


def settled(page: Page) -> None:
    """Wait until the page is at rest: its run has ended, and all is in its place.

    A click in the middle of a run may be lost, and so is one under which the button moves away.
    """
    page.wait_for_function(_AT_REST, arg=time.monotonic(), polling=100)


def look(page: Page, address: str, place: Place | str = "") -> None:
    """Open a page and wait until it is all there, to its last words and its pictures."""
    page.goto(f"{address}/{place.path if isinstance(place, Place) else place}")
    arrived(page, place.title if isinstance(place, Place) else None)


def arrived(page: Page, title: str | None = None) -> None:
    """Wait until a page is all there. A note ends with the cautions itself, all other pages below their content."""
    if title is not None:
        expect(page.get_by_role("heading", level=1, name=title, exact=True)).to_be_visible()
    expect(page.get_by_role("heading", level=2)).to_be_visible()
    settled(page)
    assert page.get_by_text("This page could not be shown.").count() == 0, page.url
    note = page.frame_locator("[data-testid=stMain] iframe")
    shows_note = page.locator("[data-testid=stMain] iframe").count()
    if shows_note or urlsplit(page.url).path != f"/{NOTES.path}":
        expect((note if shows_note else page).get_by_text(LAST_WORDS)).to_be_visible()


def turn_dark(page: Page) -> None:
    """The reader's system turns dark. The ground follows at once; the server colors pictures, in the next run."""
    page.emulate_media(color_scheme="dark")
    expect(page.get_by_test_id("stApp")).to_have_css("background-color", in_css(theme.DARK.ground))
    page.evaluate(_WATCH_RUNS)
    page.keyboard.press("r")
    page.wait_for_function("window.runs > 0", polling=100)
    settled(page)
    for color in (theme.LIGHT.ink, theme.LIGHT.soft):
        expect(page.locator(f"[data-testid=stVegaLiteChart] svg text[fill='{color}']")).to_have_count(0)


def in_css(color: str) -> str:
    """A color such as #16191C, as the browser tells it."""
    return f"rgb({', '.join(str(part) for part in bytes.fromhex(color.removeprefix('#')))})"


def turn_to(page: Page, place: Place) -> None:
    """Turn to another page by the navigation at the top; those that find no room in it stand under "more"."""
    settled(page)
    more = page.get_by_test_id("stTopNavSection")
    if more.count():
        more.click()
    here = page.locator(f"a[href$='/{place.path}'], a[href*='/{place.path}?']")
    below = page.get_by_test_id("stTopNavDropdownLink").and_(here)
    if below.count():
        below.click()
    else:
        page.keyboard.press("Escape")
        page.get_by_test_id("stTopNavLink").and_(here).click()
    expect(page).to_have_url(re.compile(rf"//[^/]+/{place.path}($|\?)"))


def answer(page: Page) -> str:
    """The sentence under the title."""
    return plain(page.get_by_role("heading", level=2).inner_text())


def headings(page: Page) -> list[str]:
    """All headings of the page, in order."""
    return [plain(text) for text in page.locator("h1, h2, h3").all_inner_texts()]


def all_text(page: Page) -> str:
    """Everything that is written on the page, pictures included."""
    return plain(page.get_by_test_id("stApp").inner_text())


def heading(page: Page, name: str | re.Pattern[str]) -> Locator:
    """A heading by its words, or by some of them."""
    return page.get_by_role("heading", name=name)


def shows_cases(page: Page, of: str, how_many: int | None = None) -> None:
    """Wait for the heading of cases, which tells how many there are and of what."""
    number = r"\d+" if how_many is None else str(how_many)
    what = re.escape(of).replace("/", "\\/")  # the browser writes expressions between slashes
    expect(heading(page, re.compile(rf"\b{number}\scases?\b.*{what}", re.IGNORECASE))).to_be_visible()
    settled(page)


def is_told(page: Page, text: str) -> None:
    """Wait until the page says so, blanks taken as blanks."""
    expect(page.get_by_test_id("stMain")).to_contain_text(text)


# ---- the mouse -------------------------------------------------------------------------------------------------------


def mark(page: Page, label: str) -> Locator:
    """The topmost mark of a picture whose accessible name holds the label."""
    return page.locator(f"[data-testid=stVegaLiteChart] svg [aria-label*='{label}']").last


def click_mark(page: Page, label: str) -> None:
    """Click the middle of a mark."""
    page.mouse.click(*_middle(page, label))


def hover_mark(page: Page, label: str) -> None:
    """Rest the mouse on the middle of a mark."""
    page.mouse.move(*_middle(page, label))


def _middle(page: Page, label: str) -> tuple[float, float]:
    settled(page)
    found = mark(page, label)
    found.scroll_into_view_if_needed()
    box = found.bounding_box()
    assert box is not None, f"no mark is named {label}"
    return box["x"] + box["width"] / 2, box["y"] + box["height"] / 2


def choose(page: Page, control: str, option: str) -> None:
    """Choose from a list. A list that opens while the page still grows closes again, so it is opened until it stays."""
    settled(page)
    wanted = page.get_by_role("option", name=option)
    for _ in range(5):
        page.get_by_role("combobox", name=control).fill(option)
        try:
            wanted.first.click(timeout=2_000)
            break
        except TimeoutError:
            page.keyboard.press("Escape")
    else:
        raise AssertionError(f"the list of {control} does not stay open")
    # While the list of several is open, the rest of the page is hidden from assistive technology.
    page.keyboard.press("Escape")


def narrow(page: Page, control: str, option: str) -> None:
    """Choose a filter."""
    shown = page.get_by_role("combobox", name=control)
    if not shown.is_visible():
        page.get_by_text("Narrow down: ").click()
        expect(shown).to_be_visible()
    choose(page, control, option)


def switch(page: Page, name: str) -> None:
    """Press one of a few that stand side by side."""
    settled(page)
    page.get_by_role("radio", name=name, exact=True).or_(page.get_by_role("button", name=name, exact=True)).click()


def save(page: Page, button: str) -> Path:
    """Press a button that saves a file; where the file is."""
    settled(page)
    with page.expect_download() as saving:
        page.get_by_role("button", name=button).click()
    return Path(saving.value.path())


# ---- the keyboard ----------------------------------------------------------------------------------------------------


def tab_to(page: Page, wanted: Locator) -> None:
    """Press Tab until what is wanted has the focus."""
    for _ in range(_MOST_TABS):
        page.keyboard.press("Tab")
        if wanted.evaluate_all("them => them.includes(document.activeElement)"):
            return
    raise AssertionError(f"{_MOST_TABS} presses of Tab do not lead to {wanted}")


def choose_next(page: Page, control: str) -> str:
    """Tab to a list, and choose with arrows and Enter the next option to the one that is chosen; which it is.

    On a busy machine a page can be settled and yet about to run once more, and that run forgets a choice made before
    it: then it is chosen again, as a reader would.
    """
    chosen = _choose_next(page, control)
    settled(page)
    if page.get_by_role("combobox", name=control).input_value() != chosen:
        chosen = _choose_next(page, control)
    return chosen


def _choose_next(page: Page, control: str) -> str:
    settled(page)
    box = page.get_by_role("combobox", name=control)
    tab_to(page, box)
    before = box.input_value()
    page.keyboard.press("ArrowDown")
    expect(page.get_by_role("option").first).to_be_visible()
    for _ in range(_MOST_TABS):
        # Which option is pointed at, and its words, in one look: a list that is drawn anew between two gives neither.
        there = box.evaluate("box => document.getElementById(box.getAttribute('aria-activedescendant'))?.innerText")
        there = there or before
        if there != before:
            page.keyboard.press("Enter")
            expect(box).to_have_value(there)
            expect(page.get_by_role("option")).to_have_count(0)
            return there
        page.keyboard.press("ArrowDown")
    raise AssertionError(f"the list of {control} has nothing else")
