"""How long a reader of a million observations waits: the first page of a cold server, and each kind of click.

    python tests/bench/repaint.py [WAREHOUSE]

Without a warehouse the sample firm is copied 28 times over and loaded first. Each figure is the time in seconds from the
click (or the address) until the browser shows the new words, and until the page has come to rest. Needs Chromium.
"""

from __future__ import annotations

import json
import os
import shutil
import socket
import subprocess
import sys
import tempfile
import time
import urllib.request
from collections.abc import Callable
from functools import partial
from pathlib import Path
from statistics import median

from playwright.sync_api import Page, TimeoutError, sync_playwright

ROOT = Path(__file__).parents[2]
COPIES = 28
RUNS = 5
AT_REST = "document.querySelector('[data-testid=stApp]')?.getAttribute('data-test-script-state') === 'notRunning'"


def main(warehouse: Path | None) -> None:
    with tempfile.TemporaryDirectory() as name:
        folder = warehouse or _million(Path(name))
        told: dict[str, object] = {"observations": _observations(folder)}
        told |= {"first_page_cold": [_cold(folder) for _ in range(3)]}
        with _served(folder) as (address, _), sync_playwright() as playwright:
            browser = playwright.chromium.launch(executable_path=_chromium(), args=["--no-sandbox"])
            page = browser.new_page(viewport={"width": 1440, "height": 1800})
            told |= {name: _times(step, page, address) for name, step in STEPS.items()}
            browser.close()
    print(json.dumps(told, indent=2))


def _times(step: Callable[[Page, str], list[tuple[float, float]]], page: Page, address: str) -> dict[str, float]:
    runs = step(page, address)
    return {
        "words_median": round(median(words for words, _ in runs), 2),
        "words_most": round(max(words for words, _ in runs), 2),
        "rest_median": round(median(rest for _, rest in runs), 2),
        "rest_most": round(max(rest for _, rest in runs), 2),
        "runs": len(runs),
    }


# ---- what a reader does ----------------------------------------------------------------------------------------------


def _choose_a_filter(page: Page, address: str) -> list[tuple[float, float]]:
    """Each time another filter on a page just opened, so that nothing of it was worked out before."""
    runs = []
    for name, at in (("Region", 1), ("Region", 2), ("Deck age, years", 1), ("Deck age, years", 3), ("Inspector", 2)):
        _open(page, f"{address}/where")
        page.get_by_text("Narrow down").first.click()
        runs.append(_timed(page, partial(_choose, page, name, at)))
    return runs


def _choose(page: Page, name: str, at: int) -> None:
    """Choose an option of a list; the first one of a list of several is all. A list may close while the page grows."""
    for _ in range(10):
        page.get_by_role("combobox", name=name).click()
        try:
            page.get_by_role("option").nth(at).click(timeout=1_000)
            return
        except TimeoutError:
            page.keyboard.press("Escape")
    raise AssertionError(f"the list of {name} does not stay open")


def _open_a_cell(page: Page, address: str) -> list[tuple[float, float]]:
    _open(page, f"{address}/where")
    cells = page.locator("[data-testid=stVegaLiteChart] svg path[aria-label*=' looked at']")
    return [_timed(page, lambda at=at: _click(page, cells.nth(at))) for at in (1, 3, 0, 4, 2)]


def _open_a_pair_of_sizes(page: Page, address: str) -> list[tuple[float, float]]:
    _open(page, f"{address}/holds")
    pairs = ("2x10 joist in 2x6", "2x10 joist in 2x8", "2x8 joist in 2x6", "2x12 joist in 2x10", "2x10 joist in 2x10")
    cells = [page.locator(f"[data-testid=stVegaLiteChart] svg path[aria-label*='{pair}']").last for pair in pairs]
    return [_timed(page, lambda cell=cell: _click(page, cell)) for cell in cells]


def _open_a_case(page: Page, address: str) -> list[tuple[float, float]]:
    _open(page, f"{address}/holds")
    return [_timed(page, partial(_choose, page, "Open a case", number)) for number in range(1, RUNS + 1)]


def _turn_to_another_page(page: Page, address: str) -> list[tuple[float, float]]:
    _open(page, address)
    names = ("Where defects occur", "Calls that do not hold", "Data", "Rules", "Decisions")
    return [_timed(page, page.get_by_role("link", name=name, exact=True).first.click) for name in names]


STEPS: dict[str, Callable[[Page, str], list[tuple[float, float]]]] = {
    "choose_a_filter": _choose_a_filter,
    "open_a_cell": _open_a_cell,
    "open_a_pair_of_sizes": _open_a_pair_of_sizes,
    "open_a_case": _open_a_case,
    "turn_to_another_page": _turn_to_another_page,
    "the_same_pages_again": _turn_to_another_page,
}


def _open(page: Page, address: str) -> None:
    page.goto(address)
    page.locator("h2").first.wait_for()
    page.wait_for_function(AT_REST)
    page.wait_for_timeout(1500)


def _click(page: Page, mark) -> None:  # type: ignore[no-untyped-def]
    box = mark.bounding_box()
    page.mouse.click(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)


def _timed(page: Page, act: Callable[[], None]) -> tuple[float, float]:
    """Seconds until headings or sentences say something else, and until the page is at rest."""
    # The browser itself keeps the time, so that the way to this process is not counted.
    page.evaluate(
        """() => {
            window.words = () => [...document.querySelectorAll('h1, h2, h3, [data-testid=stText]')]
                .map(each => each.innerText).join();
            window.before = window.words();
            window.pressed = null;
            addEventListener('pointerdown', () => window.pressed = performance.now(), {capture: true});
        }"""
    )
    act()
    changed = page.wait_for_function(
        "() => window.words() !== window.before ? performance.now() - window.pressed : null"
    ).json_value()
    page.wait_for_function(AT_REST)
    rest = page.evaluate("() => performance.now() - window.pressed")
    page.wait_for_timeout(1200)
    return changed / 1000, rest / 1000


# ---- the server ------------------------------------------------------------------------------------------------------


def _cold(folder: Path) -> float:
    """A server that has just begun to answer, and a browser that has never seen it: seconds to the answer."""
    with _served(folder) as (address, _), sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=_chromium(), args=["--no-sandbox"])
        page = browser.new_page(viewport={"width": 1440, "height": 1800})
        start = time.perf_counter()
        page.goto(address)
        page.locator("h2").first.wait_for()
        took = time.perf_counter() - start
        browser.close()
    return round(took, 2)


class _served:
    """The dashboard as ``evenhand dashboard`` serves it; ended on the way out."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder

    def __enter__(self) -> tuple[str, subprocess.Popen[bytes]]:
        with socket.socket() as probe:
            probe.bind(("127.0.0.1", 0))
            port = probe.getsockname()[1]
        command = [sys.executable, "-m", "dashboard.cli", "dashboard", "--port", str(port), "--no-browser"]
        options = ["--warehouse", str(self.folder)]
        quiet = subprocess.DEVNULL
        self.server = subprocess.Popen([*command, *options], cwd=ROOT, stdout=quiet, stderr=quiet)
        while True:
            try:
                with urllib.request.urlopen(f"http://127.0.0.1:{port}/_stcore/health", timeout=1):
                    return f"http://127.0.0.1:{port}", self.server
            except OSError:
                time.sleep(0.05)

    def __exit__(self, *_: object) -> None:
        self.server.terminate()
        self.server.wait(timeout=10)


def _chromium() -> str:
    found = os.environ.get("EVENHAND_CHROMIUM") or shutil.which("chromium") or shutil.which("chromium-browser")
    if not found:
        sys.exit("no Chromium on the path; EVENHAND_CHROMIUM can name one")
    return found


def _observations(folder: Path) -> int:
    from dashboard.measures.summary import summary
    from dashboard.warehouse import Snapshot

    with Snapshot.open(folder) as snapshot:
        return summary(snapshot).observations


def _million(folder: Path) -> Path:
    """The sample firm, copied under other report and deck ids, and loaded."""
    import duckdb

    from etl.contract import columns
    from etl.load import load
    from sample_warehouse.generate import write_reports

    write_reports(folder / "reports")
    load([str(folder / "reports")], folder / "small")
    snapshot = next((folder / "small" / "snapshots").glob("*.duckdb"))
    with duckdb.connect() as connection:
        connection.execute(f"attach '{snapshot}' as firm (read_only)")
        present = {row[0] for row in connection.execute("describe firm.observations").fetchall()}
        names = [name for name in columns() if name in present]
        path = folder / "rows.parquet"
        chosen = ", ".join(_copied(name) for name in names)
        connection.execute(
            f"copy (select {chosen} from firm.observations, range({COPIES}) as copies(copy)) to '{path}'"
        ).fetchall()
    load([str(path)], folder / "large")
    return folder / "large"


def _copied(name: str) -> str:
    return f"{name} || '-' || copy as {name}" if name in {"report_id", "deck_id", "property_id"} else name


if __name__ == "__main__":
    sys.path.insert(0, str(ROOT))
    main(Path(sys.argv[1]) if len(sys.argv) > 1 else None)
