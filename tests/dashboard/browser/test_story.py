"""What an owner does: open, filter, choose a mark, see its cases, save the note; all of it without the network."""

from __future__ import annotations

from collections.abc import Iterator
from urllib.parse import urlsplit

import pytest
from playwright.sync_api import Page, Route, TimeoutError, expect, sync_playwright

pytestmark = pytest.mark.browser
_PATIENCE_MS = 40_000  # on a busy machine; an idle one needs a second
expect.set_options(timeout=_PATIENCE_MS)


@pytest.fixture(scope="module")
def browser(browser_path: str) -> Iterator[object]:
    with sync_playwright() as playwright:
        # The sandbox of Chromium needs rights that a container does not give; it opens our own pages only.
        chromium = playwright.chromium.launch(executable_path=browser_path, args=["--no-sandbox"])
        yield chromium
        chromium.close()


@pytest.fixture
def page(browser, address: str) -> Iterator[Page]:  # type: ignore[no-untyped-def]
    """A page that notes every request to anywhere but the server; the test fails on any."""
    context = browser.new_context(viewport={"width": 1440, "height": 1600})
    outside: list[str] = []

    def watch(route: Route) -> None:
        parts = urlsplit(route.request.url)
        if parts.scheme in {"data", "blob"} or route.request.url.startswith(address):
            route.continue_()
        else:
            outside.append(route.request.url)
            route.abort()

    context.route("**/*", watch)
    opened = context.new_page()
    opened.set_default_timeout(_PATIENCE_MS)
    yield opened
    context.close()
    assert outside == []


def click_mark(page: Page, label: str) -> None:
    """Click the middle of the topmost mark whose accessible name holds the label."""
    mark = page.locator(f"[data-testid=stVegaLiteChart] svg [aria-label*='{label}']").last
    mark.scroll_into_view_if_needed()
    box = mark.bounding_box()
    assert box is not None
    page.mouse.click(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)


def settled(page: Page) -> None:
    """Wait until the page's run has ended: a click in the middle of it may be lost."""
    expect(page.get_by_test_id("stApp")).to_have_attribute("data-test-script-state", "notRunning")


def choose(page: Page, control: str, option: str) -> None:
    """Choose from a list. A list that opens while the page still grows closes again, so it is opened until it stays."""
    wanted = page.get_by_role("option", name=option)
    for _ in range(5):
        page.get_by_role("combobox", name=control).fill(option)
        try:
            wanted.click(timeout=2_000)
            return
        except TimeoutError:
            page.keyboard.press("Escape")
    raise AssertionError(f"the list of {control} does not stay open")


def test_a_cell_of_the_hanger_grid_leads_to_its_cases_and_its_note(page: Page, address: str) -> None:
    page.goto(f"{address}/holds")
    expect(page.get_by_role("heading", name="2x10 joist in 2x8 hanger: 30 cases")).to_be_visible()
    click_mark(page, "2x10 joist in 2x6 hanger")
    expect(page.get_by_role("heading", name="2x10 joist in 2x6 hanger: 12 cases")).to_be_visible()
    expect(page.get_by_role("heading", name="This call holds")).to_be_visible()
    assert "kind=2x10" in page.url
    settled(page)
    with page.expect_download() as saving:
        page.get_by_role("button", name="Save the note on this kind").click()
    text = saving.value.path().read_text(encoding="utf-8")
    assert text.startswith("<!doctype html>")
    assert "2x10 joist in 2x6 hanger" in text


def test_a_filter_stands_in_the_address_and_a_link_with_it_shows_the_same(page: Page, address: str) -> None:
    page.goto(address)
    expect(page.get_by_role("heading", level=2)).to_contain_text("of 125")
    settled(page)
    page.get_by_text("Days, regions, builders, deck ages").click()
    choose(page, "Region", "Flats")
    page.keyboard.press("Escape")  # while the list is open, the rest of the page is hidden from assistive technology
    expect(page.get_by_role("heading", level=2)).to_contain_text("60\u00a0of\u00a060")
    link = page.url
    assert "region=Flats" in link
    page.goto(address)
    expect(page.get_by_role("heading", level=2)).to_contain_text("of\u00a0125")
    page.goto(link)
    expect(page.get_by_role("heading", level=2)).to_contain_text("60\u00a0of\u00a060")


def test_a_cell_of_the_topic_grid_opens_its_group(page: Page, address: str) -> None:
    page.goto(address)
    expect(page.get_by_role("heading", name="30 and more years: defects: 24 cases")).to_be_visible()
    click_mark(page, "Group: under 5")
    expect(page.get_by_role("heading", name="decks under 5 years old: defects: 2 cases")).to_be_visible()


@pytest.mark.parametrize("width", [390, 820, 1440])
@pytest.mark.parametrize("path", ["", "/holds"])
def test_no_page_scrolls_sideways_and_every_chart_has_a_name(page: Page, address: str, path: str, width: int) -> None:
    page.set_viewport_size({"width": width, "height": 1200})
    page.goto(f"{address}{path}")
    charts = page.locator("[data-testid=stVegaLiteChart] svg")
    expect(charts.nth(1)).to_be_visible()
    main = page.locator("[data-testid=stMain]")
    assert main.evaluate("element => element.scrollWidth <= element.clientWidth")
    for name in page.locator("[data-testid=stVegaLiteChart] [role=graphics-document]").all():
        assert name.get_attribute("aria-label")


def test_the_theme_of_the_program_is_used_wherever_the_server_was_started(page: Page, address: str) -> None:
    page.emulate_media(color_scheme="light")
    page.goto(address)
    expect(page.get_by_role("heading", level=1)).to_be_visible()
    ground = page.locator("[data-testid=stApp]").evaluate("element => getComputedStyle(element).backgroundColor")
    assert ground == "rgb(251, 250, 246)"
