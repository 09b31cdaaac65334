"""Take the pictures of docs/pictures: the sample firm in two loads, served for the while and looked at in Chromium.

PYTHONPATH=. python docs/screenshots.py [--out DIR] [NAME ...]

Takes about a minute; names take only those. Two runs differ in nothing but the day and time of the loads. A picture
that does not say what its alternative text claims is not taken; the run names it at the end.
"""

from __future__ import annotations

import argparse
import io
import os
import shutil
import sys
import tempfile
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

import pandas as pd
from PIL import Image
from playwright.sync_api import Browser, FloatRect, Locator, Page, TimeoutError, sync_playwright

from dashboard.serve import served
from etl.load import load
from sample_warehouse.generate import write_firm

PICTURES = Path(__file__).with_name("pictures")
#: The day on which the firm is looked at, and the month whose reports came in last.
TODAY, LAST_MONTH = "2026-11-02", "2026-10"
#: Screens: a page as wide as its column and a margin, and a telephone. They are high enough for any page.
WIDE, NARROW, HIGH = 1180, 390, 4200
#: Less than the page leaves between two of its parts.
_MARGIN = 12
_LAST_WORDS = "Figures on people are for learning"
_FAILED = "This page could not be shown"
_PATIENCE_MS = 40_000
_LOOKS, _ALIKE, _BETWEEN_MS = 75, 3, 400


@dataclass(frozen=True)
class Picture:
    """What to look at, and how much of it to show.

    Attributes
    ----------
    address
        The page with its choices, as it stands behind the server's address.
    says
        Words of the page that the picture's alternative text repeats; without them it is not taken.
    until, start
        Selectors of the last things and of the first thing to show; no ``start`` is the top of the page.
    beside
        Selector of what gives the picture its left and right edge; none is the whole width.
    """

    address: str
    says: str
    until: str
    start: str = ""
    beside: str = ""
    width: int = WIDE
    scheme: str = "light"


_COLUMN = ".st-key-page"
_PAPER = ".st-key-paper iframe"
_FIRST_CHART = "[data-testid=stVegaLiteChart] >> nth=0"
_MEASURED_HANGER = "hanger_size:hanger-60-to-100-of-the-joist"

#: By file name, without its ending.
SHOWN = {
    "what-needs-a-decision": Picture(
        address="", says="may need a correction", until="a:has-text('See what is missing')"
    ),
    "calls-that-do-not-hold": Picture(
        address="holds", says="The largest kind is a hanger one size down", until="p:has-text('Rows are joists')"
    ),
    "where-defects-occur": Picture(
        address="where?topic=hanger_fastener_kind",
        says="Pellowmarsh Builders",
        until="p:has-text('interval. In color')",
    ),
    "inspectors-side-by-side": Picture(
        address="inspectors",
        says="write up as often as peers would on the same decks",
        until="p:has-text('More or fewer is not better')",
    ),
    "what-to-train": Picture(
        address="training",
        says="Among the first three are",
        until="p:has-text('Length: wrong calls')",
    ),
    "case": Picture(
        address=f"holds?kind={_MEASURED_HANGER}",
        says="This write-up does not hold",
        start="h3:has-text('This write-up does not hold')",
        until=".st-key-case_parts",
        beside=_COLUMN,
    ),
    "refused-rows": Picture(
        address="data",
        says="not a number",
        start="h3:has-text('Refused rows')",
        until="summary:has-text('more reason'), p:has(code:has-text('--mend'))",
        beside=_COLUMN,
    ),
    "missing-measures": Picture(
        address="data",
        says="Gap at the joist end",
        start="h3:has-text('Measures missing most')",
        until="p:has-text('The first 10 of')",
        beside=_FIRST_CHART,
    ),
    "note": Picture(
        address="notes?note_about=kind",
        says="One size down usually holds",
        start=_PAPER,
        until=_PAPER,
        beside=_PAPER,
    ),
    "own-calls": Picture(
        address="holds?inspector=KE",
        says="The largest kind is a hanger one size down",
        until="p:has-text('Rows are joists')",
        width=NARROW,
    ),
    "defects-passed-over": Picture(
        address="holds?show=passed_over",
        says="Gap at the joist end: gap 1/2 in or more",
        until="p:has-text('Misses show only')",
        scheme="dark",
    ),
    "rules": Picture(
        address="rules?rules_topic=hanger_size",
        says="Load capacity is not checked",
        until="p:has-text('One trade article disagrees')",
        scheme="dark",
    ),
}


class CannotBeTaken(Exception):
    """A picture cannot be taken; its text names the picture and says why."""


# ---- the firm --------------------------------------------------------------------------------------------------------


def publish_firm(folder: Path) -> Path:
    """The sample firm in a warehouse below ``folder``: all reports but those of the last month, then these."""
    reports, last, warehouse = folder / "reports", folder / "last", folder / "warehouse"
    written = write_firm(reports)
    move_last_month(max(file for file in written if file.name.startswith("reports_")), last)
    load([str(reports)], warehouse)
    load([str(last)], warehouse)
    return warehouse


def move_last_month(file: Path, into: Path) -> None:
    """Move the reports of the last month out of a CSV into one of their own; a report stays whole."""
    rows = pd.read_csv(file, dtype="str", keep_default_na=False)
    ids = rows.loc[rows["inspected_on"].str.startswith(LAST_MONTH), "report_id"]
    is_last = rows["report_id"].isin(ids)
    into.mkdir()
    rows[is_last].to_csv(into / f"reports_{LAST_MONTH}.csv", index=False)
    rows[~is_last].to_csv(file, index=False)


# ---- the pictures ----------------------------------------------------------------------------------------------------


def take(names: Iterable[str], out: Path) -> None:
    """Make the firm, serve it, and write the pictures of these names into a folder."""
    out.mkdir(parents=True, exist_ok=True)
    os.environ["EVENHAND_TODAY"] = TODAY
    with tempfile.TemporaryDirectory() as folder, served(publish_firm(Path(folder))) as server:
        if not server.answers():
            raise CannotBeTaken("The dashboard did not start; what it said stands above.")
        with sync_playwright() as playwright:
            # The sandbox of Chromium needs rights that a container does not give; it opens our own pages only.
            browser = playwright.chromium.launch(executable_path=_chromium(), args=["--no-sandbox"])
            failed = [str(error) for name in names if (error := _take_one(browser, server.address, name, out))]
            browser.close()
    if failed:
        raise CannotBeTaken("\n".join(failed))


def _take_one(browser: Browser, server: str, name: str, out: Path) -> CannotBeTaken | None:
    """Write one picture; where that fails, why, so that the others are taken all the same."""
    try:
        picture = _look(browser, f"{server}/{SHOWN[name].address}", name)
    except CannotBeTaken as error:
        return error
    (out / f"{name}.png").write_bytes(_small(picture))
    return None


def _chromium() -> str:
    names = ("chromium", "chromium-browser", "google-chrome")
    found = os.environ.get("EVENHAND_CHROMIUM") or next(filter(None, map(shutil.which, names)), None)
    if not found:
        raise CannotBeTaken(f"No Chromium: none of {', '.join(names)} is on the path. EVENHAND_CHROMIUM can name one.")
    return found


def _look(browser: Browser, address: str, name: str) -> bytes:
    shown = SHOWN[name]
    context = browser.new_context(
        viewport={"width": shown.width, "height": HIGH},
        color_scheme=shown.scheme,  # type: ignore[arg-type]
        device_scale_factor=1,
        reduced_motion="reduce",
        locale="en-US",
        timezone_id="UTC",
    )
    page = context.new_page()
    page.set_default_timeout(_PATIENCE_MS)
    page.goto(address)
    if not _says(page, _LAST_WORDS):
        raise CannotBeTaken(f"{name}: the page does not come to its last words, “{_LAST_WORDS}”.")
    if page.get_by_text(_FAILED).count():
        raise CannotBeTaken(f"{name}: the page failed; its trace stands above.")
    _arrive(page)
    if not _says(page, shown.says):
        answer = _plain(page.locator("h2").first.inner_text())
        raise CannotBeTaken(f"{name}: the page does not say “{shown.says}”. It says “{answer}”")
    picture = _at_rest(page, shown)
    context.close()
    return picture


def _arrive(page: Page) -> None:
    """Wait until the page's run has ended, and its pictures are there."""
    page.locator("[data-testid=stApp][data-test-script-state=notRunning]").wait_for()
    for chart in page.get_by_test_id("stVegaLiteChart").all():
        chart.locator("svg.marks").wait_for()


def _says(page: Page, words: str) -> bool:
    """Whether the page, or the note in it, says these words; parts of it may come late."""
    for _ in range(_LOOKS):
        if words in _plain(" ".join(frame.locator("body").inner_text() for frame in page.frames)):
            return True
        page.wait_for_timeout(_BETWEEN_MS)
    return False


def _plain(text: str) -> str:
    """Text with no-break spaces and line ends as blanks."""
    return " ".join(text.split())


def _area(page: Page, shown: Picture) -> FloatRect:
    """What to show, in pixels: whole ones, so that a picture is as sharp as the page."""
    ends = [_box(found, shown) for found in page.locator(shown.until).all() or [page.locator(shown.until)]]
    top = _box(page.locator(shown.start).first, shown)["y"] - _MARGIN if shown.start else 0
    left, right = 0.0, float(shown.width)
    if shown.beside:
        sides = _box(page.locator(shown.beside).first, shown)
        left, right = sides["x"] - _MARGIN, sides["x"] + sides["width"] + _MARGIN
    left, top = max(0, round(left)), max(0, round(top))
    bottom = round(max(end["y"] + end["height"] for end in ends) + _MARGIN)
    return {"x": left, "y": top, "width": min(round(right), shown.width) - left, "height": bottom - top}


def _box(found: Locator, shown: Picture) -> FloatRect:
    try:
        box = found.bounding_box()
    except TimeoutError:
        box = None
    if box is None:
        raise CannotBeTaken(f"/{shown.address}: there is no {found}. Where the page has changed, say what to show now.")
    return box


def _at_rest(page: Page, shown: Picture) -> bytes:
    """The picture, once several looks in a row are alike: letters and marks come in one after the other."""
    last, alike = b"", 0
    for _ in range(_LOOKS):
        area = _area(page, shown)
        # While the page moves, its first thing may be measured before and its last thing after.
        look = page.screenshot(clip=area, animations="disabled", caret="hide") if area["height"] > 0 else b""
        alike = alike + 1 if look and look == last else 1
        if alike == _ALIKE:
            return look
        last = look
        page.wait_for_timeout(_BETWEEN_MS)
    raise CannotBeTaken(f"{page.url} does not come to rest.")


def _small(picture: bytes) -> bytes:
    """The same picture with a palette, a third of the size."""
    out = io.BytesIO()
    # The palette covers all colors, however few their pixels: a mark is small, and its color is what it says.
    few = (
        Image.open(io.BytesIO(picture))
        .convert("RGB")
        .quantize(method=Image.Quantize.MAXCOVERAGE, kmeans=1, dither=Image.Dither.NONE)
    )
    few.save(out, "PNG", optimize=True)
    return out.getvalue()


def main() -> None:
    """Read the arguments, take the pictures; without names all of them, and none else stays in the folder."""
    parser = argparse.ArgumentParser(prog="python docs/screenshots.py", description=__doc__)
    parser.add_argument("--out", type=Path, default=PICTURES, metavar="DIR")
    parser.add_argument("names", nargs="*", metavar="NAME", help=", ".join(SHOWN))
    given = parser.parse_args()
    if unknown := set(given.names) - set(SHOWN):
        parser.error(f"there is no picture {', '.join(sorted(unknown))}")
    try:
        take(given.names or SHOWN, given.out)
    except CannotBeTaken as error:
        sys.exit(str(error))


if __name__ == "__main__":
    main()
