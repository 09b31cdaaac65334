"""Calibration notes: what they promise, whom they do not name, and that nothing in them is fetched or run."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import pytest

from dashboard import notes
from dashboard.warehouse import Snapshot
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
    assert "Of 45 write-ups 42 could be judged; **30 do not hold** (71 %, 56 to 83)." in text
    assert "Of 12 under 60 % of the joist, 12 hold." in text


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


@pytest.mark.parametrize("name", ["note.docx", "note.pdf", "note"])
def test_another_format_says_which_there_are(published: Publish, tmp_path: Path, name: str) -> None:
    with pytest.raises(notes.FormatNotThere, match=r"\.html, \.md"):
        notes.write(published(firms.one_size_down()), tmp_path / name, topic="hanger_size")


def test_a_note_is_written_as_its_ending_says(published: Publish, tmp_path: Path) -> None:
    snapshot = published(firms.one_size_down())
    for name, start in (("note.html", "<!doctype html>"), ("note.md", "Calibration note")):
        notes.write(snapshot, tmp_path / name, pattern=ONE_DOWN)
        assert (tmp_path / name).read_text(encoding="utf-8").startswith(start)


def test_a_note_on_an_empty_topic_is_a_sentence_and_no_error(published: Publish) -> None:
    text = notes.markdown(published(firms.old_decks_gap()), topic="guard_height")
    assert "nothing could be judged yet" in text
