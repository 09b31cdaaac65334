"""Files of other forms are dropped on the page Data, settled by their reader, and loaded: the counts that were expected."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from tests.dashboard.browser import reading
from tests.dashboard.browser.conftest import Served
from tests.dashboard.browser.reading import DATA
from tests.etl.layout.test_foreign_firms import FOREIGN, REVIEWED
from tests.etl.test_trial import FINDINGS

pytestmark = pytest.mark.browser


def drop(page: Page, *files: Path) -> None:
    """Give files to the page, and have them looked at."""
    page.locator("input[type=file]").set_input_files(files)
    press(page, "Look at")
    expect(page.get_by_role("button", name="Take the files back")).to_be_visible()


def press(page: Page, button: str) -> None:
    reading.settled(page)
    page.get_by_role("button", name=re.compile(f"^{button}")).click()


def test_a_foreign_file_is_settled_and_loaded_and_another_by_its_layout(
    page: Page, served: Served, tmp_path: Path
) -> None:
    (tmp_path / "findings.csv").write_text(FINDINGS, encoding="utf-8")
    (tmp_path / "firm").mkdir()
    served.shows(tmp_path / "firm")
    reading.look(page, served.address, DATA)
    drop(page, tmp_path / "findings.csv")
    assert reading.answer(page) == "Evenhand understands 7 of 9 columns; 3 questions are open."
    press(page, "This column is right")
    expect(reading.heading(page, re.compile("2.questions are open"))).to_be_visible()
    reading.choose(page, "MON (1 row)", "advised")
    press(page, "Call: these words are right")
    expect(reading.heading(page, re.compile("1.question is open"))).to_be_visible()
    press(page, "Settle these rows")
    expect(reading.heading(page, "nothing is open")).to_be_visible()
    saved = reading.save(page, "Save the layout as it is").read_text(encoding="utf-8")
    assert 'MON = "advised"' in saved
    press(page, "Load this file")
    reading.is_told(page, "Read 3 rows from 1 file: 3 new.")

    expected = json.loads((FOREIGN / "nested_json" / "expected.json").read_text(encoding="utf-8"))
    (tmp_path / "other").mkdir()
    served.shows(tmp_path / "other")
    reading.look(page, served.address, DATA)
    layout = tmp_path / "layout.toml"
    layout.write_bytes((REVIEWED / "nested_json.toml").read_bytes())
    drop(page, *(FOREIGN / "nested_json" / "export").iterdir(), layout)
    # Words that the layout does not know are asked. Nobody there knows what they mean either, so they are refused.
    for word, column in (("gutter", "Topic"), ("pending", "Call"), ("9", "Consequence, 1 to 3")):
        reading.choose(page, f"{word} (1 row)", "refuse the row")
        press(page, f"{column}: these words are right")
        expect(page.get_by_role("button", name=f"{column}: these words are right")).to_have_count(0)
    expect(reading.heading(page, "nothing is open")).to_be_visible()
    press(page, "Load this file")
    counts = {"new": "rows_loaded", "unchanged": "rows_unchanged", "refused": "rows_rejected"}
    *told, last = [f"{expected[rows]:,} {what}" for what, rows in counts.items() if expected[rows]]
    reading.is_told(page, f"Read {expected['rows_read']:,} rows from 1 file: {', '.join(told)} and {last}.")
    page.get_by_role("link", name="See the refused rows").click()
    expect(page).to_have_url(re.compile("#refused-rows$"))
