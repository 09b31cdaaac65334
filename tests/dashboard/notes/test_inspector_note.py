"""The note of an inspector: own counts and those of peers, two topics at most, own cases; nobody else is in it."""

from __future__ import annotations

import io
import re
from collections.abc import Callable

import pypdf
import pytest

from dashboard import notes
from dashboard.warehouse import Snapshot
from tests.dashboard import firms
from tests.dashboard.builders import Firm

Publish = Callable[[Firm], Snapshot]
NAMED = {"A": "Quill", "B": "Quoin", "C": "Quartz", "D": "Quince", "F": "Quokka", "G": "Quorum"}


def named_colleagues() -> Firm:
    firm = firms.colleagues()
    for row in firm.rows:
        row["inspector_id"] = NAMED.get(row["inspector_id"], row["inspector_id"])
        row["comment"] = f"Seen by Quill and {row['inspector_id']} at the stair."
    return firm


def text(note: notes.Note) -> str:
    return " ".join(note.texts()).replace("\u00a0", " ")


def test_it_says_what_differs_what_holds_and_what_to_do_and_names_no_colleague(published: Publish) -> None:
    note = notes.note_of_inspector(published(named_colleagues()), "E")
    assert note.kicker.startswith("Calibration note · Inspector E · ")
    assert re.fullmatch(r"Hanger size: 27 sound ones written up, peers about 7\.\d", note.title)
    told = text(note)
    assert "E looked at 80 decks and made 35 write-ups; peers would have made about 24 on the same decks" in told
    assert "Every topic that can be compared differs by more than luck." in told
    assert re.search(r"Hanger size\. 30 written up, where peers would have written up about [56]\.\d\.", told)
    assert "Joist gap. 5 written up, where peers would have written up about 18. 15 recorded defects" in told
    assert "Hanger size: The habit. Joist gap: The habit." in told
    assert note.cases[0].outcome_id == "overcalled"
    assert note.picture is not None
    for suffix in (".html", ".md"):
        written = notes.render(note, suffix).decode()
        assert [name for name in NAMED.values() if name in written] == []
        assert "stair" in written
    assert len(pypdf.PdfReader(io.BytesIO(notes.render(note, ".pdf"))).pages) == 1


def test_of_whom_nothing_differs_the_note_says_so(published: Publish) -> None:
    note = notes.note_of_inspector(published(firms.colleagues()), "A")
    assert note.title == "Nothing differs by more than luck"
    assert "2 topics can be compared; none of them differs by more than luck." in text(note)


def test_who_cannot_be_compared_is_told_why_and_has_no_picture(published: Publish) -> None:
    firm = Firm().many(12, "joist_gap", "passed", "defect", inspector_id="A")
    note = notes.note_of_inspector(published(firm), "A")
    assert note.title == "Own calls, too few to compare with peers"
    assert "One inspector alone is in these reports" in text(note)
    assert note.picture is None
    assert {case.outcome_id for case in note.cases} == {"missed"}


def test_an_unknown_inspector_is_told_who_there_is(published: Publish) -> None:
    with pytest.raises(notes.UnknownInspector, match="A, B, C, D, E, F, G"):
        notes.note_of_inspector(published(firms.colleagues()), "Z")
