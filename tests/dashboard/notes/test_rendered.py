"""Notes rendered to pictures: no missing sign, nothing over the edge, no empty chart."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from dashboard import notes
from dashboard.measures.brief import deck
from dashboard.notes.brief_note import brief_on
from dashboard.warehouse import Snapshot
from tests.dashboard import firms
from tests.dashboard.builders import Firm
from tests.dashboard.notes.rendered import check_looks


def test_notes_and_packs_look_right_as_pictures(published: Callable[[Firm], Snapshot]) -> None:
    snapshot = published(firms.one_size_down())
    for about in ({"topic": "hanger_size"}, {"topic": "guard_height"}, {"pattern": "joist_gap:gap-1-2-in-or-more"}):
        check_looks(notes.note_on(snapshot, **about))
    check_looks(notes.pack_on(snapshot, "hanger_size").pack)
    check_looks(brief_on(snapshot, deck(snapshot, 12, None, None, None)))


def test_a_picture_without_a_mark_and_text_over_the_edge_are_seen(published: Callable[[Firm], Snapshot]) -> None:
    note = notes.note_on(published(firms.one_size_down()), topic="hanger_size")
    assert note.picture is not None
    blank = note.picture.model_copy(update={"chart": {"mark": "point", "data": {"values": []}, "config": {}}})
    with pytest.raises(AssertionError):
        check_looks(note.model_copy(update={"picture": blank}))
    with pytest.raises(AssertionError):
        check_looks(note.model_copy(update={"title": "W" * 60}))
    with pytest.raises(AssertionError):
        check_looks(note.model_copy(update={"title": "\ufdd0: no font has it"}))
