"""A note as a file: PDF for print, DOCX to be edited, HTML that fetches nothing, Markdown for anything else."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from importlib import import_module
from pathlib import Path

from dashboard.filters import EVERYTHING, Filters
from dashboard.notes.compose import note_on
from dashboard.notes.errors import FormatNotThere
from dashboard.notes.inspector_note import note_of_inspector
from dashboard.notes.model import CasePack, Note
from dashboard.notes.month_note import note_of_month
from dashboard.notes.sentence_note import note_on_sentence
from dashboard.warehouse import Snapshot


@dataclass(frozen=True)
class Format:
    """A format of notes and case packs: its name for readers, its media type, and the module that writes it."""

    name: str
    mime: str
    module: str

    def write(self, told: Note | CasePack) -> bytes:
        """The note or pack in this format. The writer is loaded here: nobody waits for one that is not asked for."""
        writer: Callable[[Note | CasePack], bytes] = import_module(f"dashboard.notes.{self.module}").write
        return writer(told)


FORMATS = {
    ".docx": Format("DOCX", "application/vnd.openxmlformats-officedocument.wordprocessingml.document", "docx_writer"),
    ".pdf": Format("PDF", "application/pdf", "pdf_writer"),
    ".html": Format("HTML", "text/html", "html_writer"),
    ".md": Format("Markdown", "text/markdown", "markdown_writer"),
}


def render(note: Note | CasePack, suffix: str) -> bytes:
    """The note, or the case pack, as the bytes of a file with this ending; the same note gives the same bytes.

    Raises
    ------
    FormatNotThere
        With the endings that there are.
    """
    form = FORMATS.get(suffix.lower())
    if form is None:
        raise FormatNotThere(suffix, FORMATS)
    return form.write(note)


def write(
    snapshot: Snapshot,
    path: Path,
    topic: str | None = None,
    pattern: str | None = None,
    filters: Filters = EVERYTHING,
    inspector: str | None = None,
    month: str | None = None,
    sentence: str | None = None,
) -> None:
    """Write the note on a topic, a pattern or a stock sentence, or the note of an inspector or of a month.

    Parameters
    ----------
    path
        Where to; ends with ``.docx``, ``.pdf``, ``.html`` or ``.md``.
    topic, pattern
        As for :func:`dashboard.notes.compose.note_on`.
    inspector
        Whose note it is, if it is that of an inspector; topic and pattern are then not looked at.
    month
        Of which month it is, if it is that of a month, as ``2026-10``; nor are they then.
    sentence
        The ``sentence_id`` of the table stock_sentences, if it is the note on a sentence.

    Raises
    ------
    UnknownTopic, UnknownPattern, UnknownInspector, UnknownMonth, UnknownSentence, FormatNotThere
        With what there is instead.
    ValueError
        None of them is given, or both topic and pattern.
    """
    if path.suffix.lower() not in FORMATS:
        raise FormatNotThere(path.suffix, FORMATS)
    if inspector is not None:
        note = note_of_inspector(snapshot, inspector, filters)
    elif month is not None:
        note = note_of_month(snapshot, month, filters)
    elif sentence is not None:
        note = note_on_sentence(snapshot, sentence, filters)
    else:
        note = note_on(snapshot, topic, pattern, filters)
    path.write_bytes(render(note, path.suffix))


def html(
    snapshot: Snapshot, topic: str | None = None, pattern: str | None = None, filters: Filters = EVERYTHING
) -> str:
    """The note as one HTML file with its picture in it."""
    return render(note_on(snapshot, topic, pattern, filters), ".html").decode()


def markdown(
    snapshot: Snapshot, topic: str | None = None, pattern: str | None = None, filters: Filters = EVERYTHING
) -> str:
    """The note as Markdown; the picture is told in words."""
    return render(note_on(snapshot, topic, pattern, filters), ".md").decode()
