"""The first five minutes of three readers on the sample firm, step by step.

Not yet to be had, and so not walked here. The owner does not see from how many stock sentences a pattern comes. The
inspector does not see peers on such decks, how much is chance, nor a button that contests a verdict. The trainer does not
see which order of topics is known, which of them concern everybody, and cannot set a date to look again.
"""

from __future__ import annotations

import csv
import re
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from tests.dashboard.browser import reading
from tests.dashboard.browser.conftest import NEWEST_FILE, ROOT, Served
from tests.dashboard.browser.reading import DATA, DECISIONS, HOLDS, NOTES, Place, heading

pytestmark = pytest.mark.browser
#: The sample firm's inspector who writes up hangers one size down (sample_warehouse/planted_truth.toml).
_INSPECTOR = "KE"
_SHARE = r"\d+ % (of .* )?(could be judged )?\(\d+(\.\d)? to \d+"


@pytest.fixture(autouse=True)
def _shown(served: Served, sample: Path) -> None:
    served.shows(sample)


def case_number(page: Page) -> str:
    """The number of the case that is open, which stands above its sentence."""
    return page.get_by_text(re.compile(r"^W\d\d-\d{4}:\d\d · ")).inner_text().split(" · ")[0]


def test_an_owner_on_monday(page: Page, served: Served) -> None:
    with (ROOT / "sample_warehouse" / "reports" / NEWEST_FILE).open(encoding="utf-8-sig", newline="") as file:
        came_in = list(csv.DictReader(file))
    # Sees what came in, and how much of it could be judged.
    reading.look(page, served.address, DECISIONS)
    answer = reading.answer(page)
    assert re.search(rf"^{len({row['report_id'] for row in came_in})} reports came in", answer)
    assert re.search(_SHARE, answer)
    assert "could be judged" in answer
    read = page.get_by_role("row").filter(has_text="Rows read")
    expect(read).to_contain_text(str(len(came_in)))
    # An issued report may need a correction: its case is one click away.
    first = page.get_by_role("link", name=re.compile(r"^W26-\d+, ")).first
    report = first.inner_text().split(",")[0]
    first.click()
    reading.arrived(page, HOLDS.title)
    expect(page.get_by_role("combobox", name="Open a case")).to_have_value(re.compile(report))
    expect(page.get_by_role("radio", name="Defects passed over")).to_be_checked()
    # In all that is loaded, sees which kind of write-up fails most, and opens it.
    reading.look(page, served.address, DECISIONS)
    reading.switch(page, "All that is loaded")
    expect(page).to_have_url(re.compile("look_at=all"))
    reading.settled(page)
    kinds = page.get_by_role("link").and_(page.locator("a[href*='kind=']:not([href*='case='])"))
    kind = kinds.first.inner_text()
    kinds.first.click()
    reading.arrived(page, HOLDS.title)
    reading.shows_cases(page, kind.split(": ")[-1])
    expect(page.get_by_role("combobox", name="Show the cases of")).to_have_value(kind)
    # Hanger size: a cell of the one-size-down diagonal, by how many people.
    reading.click_mark(page, "2x12 joist in 2x10 hanger")
    reading.shows_cases(page, "2x12 joist in 2x10 hanger")
    reading.is_told(page, "inspectors on")
    # Opens a case, and is convinced by the numbers and the source.
    number = reading.choose_next(page, "Open a case").split(" · ")[-1]
    expect(page.get_by_text(f"{number} · ")).to_be_visible()
    expect(heading(page, "This write-up does not hold")).to_be_visible()
    reading.is_told(page, "2x12 joist in a 2x10 hanger: ")
    reading.is_told(page, "60 % line: 6.75 in")  # of 11-1/4 in, PS 20's depth of a dry 2x12
    reading.is_told(page, "Source: ")
    # Downloads the note for the meeting, in the four formats.
    page.get_by_role("link", name="The note on this kind").click()
    reading.arrived(page, NOTES.title)
    for button, start in (("DOCX", b"PK"), ("PDF", b"%PDF-"), ("HTML", b"<!doctype html>"), ("Markdown", b"")):
        note = reading.save(page, f"Save as {button}").read_bytes()
        assert note.startswith(start)
        if button in {"HTML", "Markdown"}:
            assert "One size down usually holds" in reading.plain(note.decode())


def test_an_inspector_before_the_yearly_talk(page: Page, served: Served) -> None:
    # Sees own write-ups, and how many of them do not hold.
    reading.look(page, served.address, HOLDS)
    everybody = reading.answer(page)
    reading.narrow(page, "Inspector", _INSPECTOR)
    expect(page).to_have_url(re.compile(f"inspector={_INSPECTOR}"))
    expect(page.get_by_role("heading", level=2)).not_to_have_text(everybody)
    # Reads the cases of four kinds, each with what was said and why it does not hold.
    read: set[str] = set()
    kind = page.get_by_role("combobox", name="Show the cases of").input_value()
    for _ in range(4):
        reading.shows_cases(page, kind.split(": ")[-1])
        expect(heading(page, "This write-up does not hold")).to_be_visible()
        expect(page.get_by_text("In plain words:")).to_be_visible()
        read.add(case_number(page))
        kind = reading.choose_next(page, "Show the cases of")
    assert len(read) == 4
    # Sees which measure to record next time; the filter holds on the other page too.
    reading.turn_to(page, DATA)
    reading.arrived(page, DATA.title)
    expect(page).to_have_url(re.compile(f"inspector={_INSPECTOR}"))
    reading.choose_next(page, "Show the calls behind a mark")
    expect(heading(page, "This could not be judged")).to_be_visible()
    expect(page.get_by_text("Next time:")).to_be_visible()


def test_a_trainer_planning_a_session(page: Page, served: Served) -> None:
    # One topic both ways: cases of write-ups that fail, of write-ups that hold, and of what was passed over.
    reading.look(page, served.address, Place("holds?topics=joist_gap", HOLDS.title))
    seen: dict[str, str] = {}
    for way in ("Write-ups that do not hold", "Defects passed over"):
        reading.switch(page, way)
        expect(page.get_by_role("radio", name=way)).to_be_checked()
        reading.settled(page)
        for _ in range(3):
            seen[case_number(page)] = page.get_by_role("heading", level=3).last.inner_text()
            number = case_number(page)
            if len(seen) == 1:
                kind = reading.choose_next(page, "Show the cases of")
                reading.shows_cases(page, kind.split(": ")[-1])
            else:
                reading.choose_next(page, "Open a case")
            expect(page.get_by_text(f"{number} · ")).to_have_count(0)
            reading.settled(page)
    told = [reading.plain(heading) for heading in seen.values()]
    assert len(told) == 6
    assert "▲ This write-up does not hold" in told
    assert "● This call holds" in told
    assert {"▼ This was passed over", "▽ This was advised, and is a defect"} & set(told)
    # A note of one page on a kind, without names.
    reading.look(page, served.address, Place("holds?kind=joist_gap:gap-up-to-1-8-in", HOLDS.title))
    page.get_by_role("link", name="The note on this kind").click()
    reading.arrived(page, NOTES.title)
    note = reading.plain(reading.save(page, "Save as HTML").read_text(encoding="utf-8"))
    assert "Gap at the joist end" in note
    assert "record" in note
    assert not re.search(r"W\d\d-\d{4}", note)
