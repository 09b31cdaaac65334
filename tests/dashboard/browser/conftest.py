"""A real server and a real Chromium. Without a browser these tests are skipped, and in CI they fail.

All of them are one worker's, which has one server. It reads a link that :meth:`Served.shows` points to one warehouse or
another, so that a test says which firm it is about and waits for no second server.
"""

from __future__ import annotations

import os
import shutil
import socket
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from pathlib import Path
from typing import Literal
from urllib.parse import urlsplit

import pytest
from filelock import FileLock
from playwright.sync_api import Browser, ConsoleMessage, Error, Page, Request, WebSocket, expect, sync_playwright

from dashboard import serve
from etl.load import load
from tests.dashboard.browser import reading
from tests.dashboard.builders import Firm

ROOT = Path(__file__).parents[3]
NAMES = ("chromium", "chromium-browser", "google-chrome")
#: The file of the sample's reports that the last week's reports stand for; it is loaded second.
NEWEST_FILE = "reports_2026_h2.csv"

expect.set_options(timeout=reading.PATIENCE_MS)


@pytest.fixture(scope="session")
def browser_path() -> str:
    """``$EVENHAND_CHROMIUM``, else the first Chromium on the path."""
    found = os.environ.get("EVENHAND_CHROMIUM") or next(filter(None, map(shutil.which, NAMES)), None)
    if found:
        return found
    reason = f"no Chromium: none of {', '.join(NAMES)} is on the path, and EVENHAND_CHROMIUM is not set"
    if os.environ.get("CI"):
        pytest.fail(reason)
    pytest.skip(reason)


@pytest.fixture(scope="session")
def browser(browser_path: str) -> Iterator[Browser]:
    with sync_playwright() as playwright:
        # The sandbox of Chromium needs rights that a container does not give; it opens our own pages only. No other
        # address can be resolved; who asks for one is told of in ``open_browser``. No page stays long enough for its
        # code to repay being optimized, and a graphics card that is not there would be imitated.
        alone = "--host-resolver-rules=MAP * ~NOTFOUND , EXCLUDE 127.0.0.1"
        short = "--js-flags=--max-lazy --no-opt --no-maglev"
        started_with = ["--no-sandbox", "--disable-gpu", short, alone]
        chromium = playwright.chromium.launch(executable_path=browser_path, args=started_with)
        yield chromium
        chromium.close()


# ---- the server, and what it shows -----------------------------------------------------------------------------------


class Served:
    """A running server: its address, and which warehouse it shows."""

    def __init__(self, address: str, folder: Path) -> None:
        self.address = address
        self.warehouse = folder / "warehouse"
        self._folder = folder
        self._firms: dict[str, Path] = {}

    def shows(self, warehouse: Path) -> None:
        """Show another warehouse from the next look on."""
        new = self._folder / "new"
        new.symlink_to(warehouse)
        new.replace(self.warehouse)

    def shows_firm(self, make: Callable[[], Firm]) -> None:
        """Show a firm, which is made and published once."""
        name = make.__qualname__
        if name not in self._firms:
            self._firms[name] = make().publish(self._folder / "firms" / name)
        self.shows(self._firms[name])


@pytest.fixture(scope="session")
def served(browser_path: str, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    """A server as ``evenhand dashboard`` starts it, from a folder that is not the program's."""
    folder = tmp_path_factory.mktemp("served")
    with socket.socket() as probe:
        # Of the system, and not the first that is free: two workers would choose the same one.
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    with ExitStack() as until_the_end:
        with pytest.MonkeyPatch.context() as started_in:
            started_in.chdir(folder)
            started_in.setenv("PYTHONPATH", str(ROOT))
            server = until_the_end.enter_context(serve.served(folder / "warehouse", port))
        assert server.answers(), "the server ended before it answered"
        yield Served(server.address, folder)


@pytest.fixture(scope="session")
def sample(tmp_path_factory: pytest.TempPathFactory, worker_id: str) -> Path:
    """The committed sample reports, loaded as a firm would: all but the newest file first, then that. Once for all."""
    shared = tmp_path_factory.getbasetemp()
    shared = shared if worker_id == "master" else shared.parent
    folder, reports = shared / "sample", ROOT / "sample_warehouse" / "reports"
    with FileLock(shared / "sample.lock"):
        if not folder.exists():
            made = shared / "sample.part"
            load([str(file) for file in sorted(reports.iterdir()) if file.name != NEWEST_FILE], made)
            load([str(reports / NEWEST_FILE)], made)
            made.rename(folder)
    return folder


# ---- the reader ------------------------------------------------------------------------------------------------------


@pytest.fixture(scope="session")
def first_page(browser: Browser) -> Iterator[Page]:
    """A page that one test after the other uses. A new one would read the code of Streamlit anew, for half of all time.

    Who wants no motion is spared the pulse of what is still to come, which would cost a third of all drawing.
    """
    context = browser.new_context(reduced_motion="reduce")
    yield context.new_page()
    context.close()


@pytest.fixture
def open_browser(first_page: Page, served: Served) -> Iterator[Callable[..., Page]]:
    """Opens a page with nothing in its memory. The test fails on any request to elsewhere, on any error in the console.

    What it takes: how wide and high the page is, and which color scheme the reader's system has.
    """
    outside: list[str] = []
    errors: list[str] = []
    pages: list[Page] = []
    here = urlsplit(served.address).netloc

    def watch(asked: Request | WebSocket) -> None:
        parts = urlsplit(asked.url)
        if parts.scheme not in {"data", "blob"} and parts.netloc != here:
            outside.append(asked.url)

    def listen(message: ConsoleMessage) -> None:
        if message.type == "error" and not reading.is_harmless(message.location["url"], message.text):
            errors.append(f"{message.text} ({message.location['url']})")

    def note(error: Error) -> None:
        errors.append(str(error))

    listeners = {"request": watch, "websocket": watch, "console": listen, "pageerror": note}

    def open_page(width: int = 1440, height: int = 1600, color_scheme: Literal["light", "dark"] = "light") -> Page:
        page = first_page.context.new_page() if pages else first_page
        pages.append(page)
        page.set_default_timeout(reading.PATIENCE_MS)
        page.set_viewport_size({"width": width, "height": height})
        page.emulate_media(color_scheme=color_scheme)
        page.mouse.move(0, 0)
        for event, listener in listeners.items():
            page.on(event, listener)  # type: ignore[call-overload]
        return page

    yield open_page
    for page in pages:
        for event, listener in listeners.items():
            page.remove_listener(event, listener)
        _forget(page, served.address)
    for page in pages[1:]:
        page.close()
    assert outside == []
    assert errors == []


def _forget(page: Page, address: str) -> None:
    """Leave the dashboard, with nothing of it in the browser's memory."""
    page.goto(f"{address}/_stcore/health")
    page.evaluate("() => { localStorage.clear(); sessionStorage.clear(); }")
    page.context.clear_cookies()
    page.goto("about:blank")


@pytest.fixture
def page(open_browser: Callable[..., Page]) -> Page:
    """A page of 1440 pixels."""
    return open_browser()
