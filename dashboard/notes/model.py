"""A calibration note before it takes a format: every word of it, and its picture as a chart's specification."""

from __future__ import annotations

from typing import Any

from pydantic import BaseModel, ConfigDict


class Part(BaseModel):
    """Text of a sentence; ``strong`` where it is the finding."""

    model_config = ConfigDict(frozen=True)

    text: str
    strong: bool = False


class NoteCase(BaseModel):
    """A real case, with nothing in it that tells who, in which report, or where."""

    model_config = ConfigDict(frozen=True)

    outcome_id: str
    outcome: str
    glyph: str
    comment: str
    measures: str
    reason: str


class Note(BaseModel):
    """One page for staff.

    Attributes
    ----------
    kicker, title
        What the note is about, and its finding; the title promises no more than the rule.
    seen
        What we see: counts with interval.
    rule, sources, caution
        The rule in plain words, where it comes from and how its value is known, what not to read into it.
    picture, picture_says
        The chart as a Vega-Lite specification, and its alternative text; None where no picture helps.
    table
        Rows of a small table, the first its head; empty for none.
    habit
        What to do and record next time.
    cases
        Up to three of our own, of different outcomes.
    judged
        How much could be judged, and what was not.
    cautions, origin
        What holds for every note; the catalog and the snapshot that the note was made from.
    """

    model_config = ConfigDict(frozen=True)

    kicker: str
    title: str
    seen: tuple[Part, ...]
    rule: str
    sources: tuple[str, ...]
    caution: str
    picture: dict[str, Any] | None
    picture_says: str
    table: tuple[tuple[str, ...], ...]
    habit: str
    cases: tuple[NoteCase, ...]
    judged: str
    cautions: tuple[str, ...]
    origin: str
