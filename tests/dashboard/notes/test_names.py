"""Nobody and no place can be told from a note."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import date

import pytest

from dashboard import notes
from dashboard.filters import Filters
from dashboard.notes.names import without_names
from dashboard.warehouse import Snapshot
from tests.dashboard.builders import Firm


@pytest.mark.parametrize(
    ("text", "names", "left"),
    [
        ("Undersized, see R12.", ["R12"], "Undersized, see …."),
        ("see r12, R-12, R_12 and report R12b", ["R12"], "see … and report …"),
        ("file_R12_final shows it", ["R12"], "… shows it"),
        ("or 12 of these, 2x12 joist, 7.25 in", ["R12", "12"], "or … of these, 2x12 joist, 7.25 in"),
        ("gap 12.5 in on 12x12 posts", ["12"], "gap 12.5 in on 12x12 posts"),
        ("TA said: stair is fine, ta7 too", ["TA"], "… said: stair is fine, … too"),
        ("Built by BIRCH  and\u00a0sons (Birch-and-Sons).", ["Birch and Sons"], "Built by … (…)."),
        ("Seen by B at A deck.", ["B"], "Seen by … at A deck."),
        (
            "On 4 Mar 2026, March 4th, 2026, 2026-03-04 or 3/4/26 the gap was 3/4 in.",
            [],
            "On … or … the gap was 3/4 in.",
        ),
        ("It may move; call (555) 123-4567 or a.b@mail.example, www.mail.example/x", [], "It may move; call … or …"),
        ("Mühle, MÜHLE", ["Mühle"], ""),
        ("R12", ["R12"], ""),
        ("R12, I7: !", ["R12", "I7"], ""),
        ("", ["R12"], ""),
        ("nothing to hide (.*)", ["", "  ", "??"], "nothing to hide (.*)"),
        ("A.C. and a c reach back", ["A.C."], "…. and … reach back"),
    ],
)
def test_a_sentence_loses_what_tells_and_keeps_the_rest(text: str, names: list[str], left: str) -> None:
    assert without_names(text, names) == left


def case_in(**facts: object) -> Firm:
    told: dict[str, object] = {
        "report": "REP-77",
        "deck": "DECK-5",
        "inspector_id": "Quill",
        "builder": "Thornwick Porches",
        "region": "Saltmarsh",
        "place": "left bay",
        "inspected_on": date(2026, 3, 4),
        "recorded": "gap 1/2 in or more",
        "joist_gap_in": 0.5,
    }
    return Firm().note("joist_gap", "passed", "defect", **(told | facts))  # type: ignore[arg-type]


@pytest.mark.parametrize("suffix", list(notes.FORMATS))
def test_no_format_tells_who_where_or_when(published: Callable[[Firm], Snapshot], suffix: str) -> None:
    comment = "quill saw (rep77:1) at the LEFT BAY, Saltmarsh, thornwick-porches, with other on 4 Mar 2026; deck_5"
    firm = case_in(comment=comment).note("joist_gap", "passed", "acceptable", inspector_id="Other", builder="Else")
    note = notes.note_on(published(firm), topic="joist_gap")
    told = f"{note.model_dump_json()} {notes.render(note, suffix).decode('utf-8', 'ignore')}".lower()
    for name in ("quill", "rep77", "rep-77", "left bay", "saltmarsh", "thornwick", "deck_5", "4 mar 2026 ·;"):
        assert name not in told, name
    assert not re.search(r"\bother\b on", told)
    assert note.cases[0].comment.startswith("“… saw")


def test_a_case_of_whose_sentence_nothing_is_left_has_none(published: Callable[[Firm], Snapshot]) -> None:
    note = notes.note_on(published(case_in(comment="REP-77, Quill.")), topic="joist_gap")
    assert note.cases[0].comment == ""
    assert "“" not in notes.render(note, ".md").decode()


def test_a_narrowed_note_says_so_without_a_name(published: Callable[[Firm], Snapshot]) -> None:
    chosen = Filters(regions=("Saltmarsh",), builders=("Thornwick Porches",), inspectors=("Quill",))
    note = notes.note_on(published(case_in()), topic="joist_gap", filters=chosen)
    assert "1 region, 1 builder, 1 inspector".replace(" ", "\u00a0") in note.kicker.replace(", ", ",\u00a0")
    assert not re.search("saltmarsh|thornwick|quill", note.model_dump_json(), re.IGNORECASE)
