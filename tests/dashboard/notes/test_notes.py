"""Calibration notes: what they promise, whom they do not name, and that nothing in them is fetched or run."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from dashboard import notes
from dashboard.warehouse import Snapshot
from etl.load import load
from tests.dashboard import firms
from tests.dashboard.builders import Firm

Publish = Callable[[Firm], Snapshot]
ONE_DOWN = "hanger_size:2x10-joist-in-2x8-hanger"


def plain(text: str) -> str:
    return text.replace("\u00a0", " ")


def test_the_title_says_usually_and_the_note_has_the_word_on_load(published: Publish) -> None:
    text = plain(notes.markdown(published(firms.one_size_down()), topic="hanger_size"))
    assert "# One size down usually holds" in text
    assert "load capacity is not checked" in text


def test_the_note_counts_what_holds_and_what_does_not(published: Publish) -> None:
    text = plain(notes.markdown(published(firms.one_size_down()), topic="hanger_size"))
    assert "42 of 45 write-ups could be judged; **30 do not hold** (71 %, 56 to 83)." in text
    assert "30 hangers one size down were written up and judged; **none holds**." in text
    assert "All 12 write-ups under 60 % of the joist hold." in text


def test_a_kind_that_holds_gets_a_title_that_says_so(published: Publish) -> None:
    text = notes.markdown(published(firms.one_size_down()), pattern="hanger_size:2x10-joist-in-2x6-hanger")
    assert "every write-up that could be judged holds" in text


def test_a_pattern_of_passed_over_defects_says_that_there_may_be_more(published: Publish) -> None:
    text = plain(notes.markdown(published(firms.one_size_down()), pattern="joist_gap:gap-1-2-in-or-more"))
    assert "5 defects passed over" in text
    assert "Misses show only where a measure was written down" in text


def test_cases_name_no_inspector_no_report_and_no_place(published: Publish) -> None:
    text = notes.markdown(published(firms.one_size_down()), pattern=ONE_DOWN)
    assert "Undersized hanger seen by … at …." in text
    assert not re.search(r"\bI[0-2]\b|\bR\d+\b", text)


@pytest.mark.parametrize("form", [notes.html, notes.markdown])
def test_the_same_snapshot_gives_the_same_text(published: Publish, form: Callable[..., str]) -> None:
    snapshot = published(firms.one_size_down())
    assert form(snapshot, topic="hanger_size") == form(snapshot, topic="hanger_size")


def test_the_html_fetches_nothing_and_forbids_it(published: Publish) -> None:
    page = notes.html(published(firms.one_size_down()), topic="hanger_size")
    assert "default-src 'none'" in page
    assert "<svg" in page
    assert not re.search(r"(src|href)\s*=\s*[\"']?(https?:)?//", page)
    assert "<script" not in page


def test_hostile_text_stays_text(published: Publish) -> None:
    snapshot = published(firms.hostile())
    page = notes.html(snapshot, pattern=ONE_DOWN)
    assert "<script>alert" not in page
    assert "&lt;script&gt;" in page or "and more" in page
    text = notes.markdown(snapshot, pattern=ONE_DOWN)
    assert "![x](" not in text
    assert "[go](http:" not in text


def test_an_unknown_topic_names_the_topics_with_a_rule(published: Publish) -> None:
    with pytest.raises(notes.UnknownTopic) as error:
        notes.markdown(published(firms.one_size_down()), topic="hanger_sise")
    assert error.value.known == ("hanger_size", "joist_gap", "guard_height")
    assert "Did you mean hanger_size?" in str(error.value)


def test_an_unknown_pattern_names_the_patterns(published: Publish) -> None:
    with pytest.raises(notes.UnknownPattern) as error:
        notes.markdown(published(firms.one_size_down()), pattern="nothing:at-all")
    assert ONE_DOWN in error.value.known


@pytest.mark.parametrize("name", ["note.odt", "note.pdf.gz", "note"])
def test_another_format_says_which_there_are(published: Publish, tmp_path: Path, name: str) -> None:
    with pytest.raises(notes.FormatNotThere, match=r"\.docx, \.pdf, \.html or \.md"):
        notes.write(published(firms.one_size_down()), tmp_path / name, topic="hanger_size")
    assert not (tmp_path / name).exists()


def test_a_note_is_written_as_its_ending_says(published: Publish, tmp_path: Path) -> None:
    snapshot = published(firms.one_size_down())
    starts = {"a.html": b"<!doctype html>", "b.md": b"Calibration note", "c.PDF": b"%PDF", "d.docx": b"PK"}
    for name, start in starts.items():
        notes.write(snapshot, tmp_path / name, pattern=ONE_DOWN)
        assert (tmp_path / name).read_bytes().startswith(start)


def test_a_note_shows_a_case_that_does_not_hold_one_that_holds_and_one_not_judged(published: Publish) -> None:
    note = notes.note_on(published(firms.one_size_down()), topic="hanger_size")
    assert [case.outcome_id for case in note.cases] == ["overcalled", "upheld", "undecided"]
    assert note.cases_heading == "Three of our own"


def test_a_note_on_what_was_passed_over_shows_a_missed_case_first(published: Publish) -> None:
    firm = Firm().many(3, "joist_gap", "passed", "defect", recorded="gap 1/2 in or more", joist_gap_in=0.5)
    firm.note("joist_gap", "written_up", "acceptable", recorded="gap up to 1/8 in")
    note = notes.note_on(published(firm), topic="joist_gap")
    assert note.title.replace("\u00a0", " ") == "Joist gap: 3 defects passed over"
    assert note.cases[0].outcome_id == "missed"
    assert note.picture is not None
    assert "1/2" in note.picture.says


def test_the_measure_missing_most_is_what_to_record(published: Publish) -> None:
    firm = firms.one_size_down().many(4, "joist_gap", "passed", "cannot_tell", missing=["joist_gap_in"])
    assert "joist gap in. Without it 4 of 9 calls" in plain(notes.note_on(published(firm), topic="joist_gap").record)
    assert notes.note_on(published(firms.old_decks_gap()), topic="joist_gap").record == ""


def test_the_kinds_to_write_on_stand_with_the_most_wrong_first(published: Publish) -> None:
    kinds = notes.kinds(published(firms.one_size_down()))
    assert list(kinds["pattern_id"]) == [ONE_DOWN, "joist_gap:gap-1-2-in-or-more"]
    assert list(kinds["wrong"]) == [30, 5]
    assert list(kinds["name"]) == ["2x10 joist in 2x8 hanger", "Joist gap: gap 1/2 in or more"]


@pytest.fixture
def spans(tmp_path: Path) -> Iterator[Snapshot]:
    """A joist far over its table, and one whose gap was measured; judged by the shipped catalog."""
    (tmp_path / "in.csv").write_text(
        "report_id,inspected_on,inspector_id,region,observation_no,topic,call,joist_nominal,joist_species,"
        "joist_spacing_in,joist_span_in,joist_gap_in\n"
        "R1,2026-03-04,I1,Ridge,1,joist_span,written_up,2x8,southern_pine,16,178,\n"
        "R1,2026-03-04,I1,Ridge,2,joist_gap,written_up,,,,,0.5\n",
        encoding="utf-8",
    )
    load([str(tmp_path / "in.csv")], tmp_path / "warehouse")
    with Snapshot.open(tmp_path / "warehouse") as snapshot:
        yield snapshot


def test_a_case_says_neither_a_measure_nor_the_notes_one_source_twice(spans: Snapshot) -> None:
    note = notes.note_on(spans, topic="joist_span")
    assert note.source.startswith("Source: IRC 2021 Table R507.6, from a public transcription")
    assert plain(note.cases[0].why) == (
        "2x8 joists every 16 in span 14 ft 10 in; 11 ft 10 in is the most for southern pine at 40 psf; "
        "40 psf taken, since no load is recorded."
    )
    assert plain(notes.note_on(spans, topic="joist_gap").cases[0].why) == "Gap 1/2 in is over 3/8 in."


def test_a_rule_that_stands_alone_is_told_with_its_limits(spans: Snapshot) -> None:
    source = notes.note_on(spans, topic="joist_gap").source
    assert source.startswith(
        "A defect: gap at the joist end over 3/8 in. Acceptable: gap at the joist end at most 1/8 in. "
        "Left to the inspector: gap at the joist end over 1/8 in and gap at the joist end at most 3/8 in. Source: "
    )


def test_a_note_on_an_empty_topic_is_a_sentence_and_no_error(published: Publish) -> None:
    text = notes.markdown(published(firms.old_decks_gap()), topic="guard_height")
    assert "nothing could be judged yet" in text


def test_a_note_on_a_hanger_for_fewer_plies_shows_how_many_hold_and_no_height(published: Publish) -> None:
    firm = firms.one_size_down()
    firm.many(4, "hanger_size", "written_up", "defect", recorded="2x10 joist, hanger for fewer plies")
    note = notes.note_on(published(firm), pattern="hanger_size:2x10-joist-hanger-for-fewer-plies")
    assert note.picture is not None
    assert plain(note.picture.says).startswith("2x10 joist, hanger for fewer plies: 0 of 4 do not hold")
    assert note.picture.table == ()
