"""A note or a case pack before it takes a format: every word of it in reading order, and its picture as a chart.

The writers lay this out and add nothing: no word, no number, no choice of what is shown.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime
from typing import Any, ClassVar

from pydantic import BaseModel, ConfigDict

from dashboard.notes.wording import Sentence, Strong, said


class _Fixed(BaseModel):
    model_config = ConfigDict(frozen=True)


class Part(_Fixed):
    """Text of a sentence; ``strong`` where it is the finding."""

    text: str
    strong: bool = False


class Picture(_Fixed):
    """The one picture of a note.

    Attributes
    ----------
    heading, caption
        What stands above and below it; the caption may be empty.
    chart
        A Vega-Lite specification.
    says
        Its alternative text; a format without pictures shows it in place of the picture.
    table
        Rows of a small table under it, the first its head; empty for none.
    """

    heading: str
    chart: dict[str, Any]
    says: str
    caption: str
    table: tuple[tuple[str, ...], ...]


class NoteCase(_Fixed):
    """A real case, with nothing in it that tells who, in which report, when or where.

    Attributes
    ----------
    outcome_id, glyph, heading
        The outcome, its shape and its word.
    comment
        The report's own sentence in quotation marks; empty where there is none.
    why
        What was recorded, and what follows from it by the rule.
    """

    outcome_id: str
    glyph: str
    heading: str
    comment: str
    why: str


class Note(_Fixed):
    """One page for staff.

    ``layout`` names the templates that lay it out.

    Attributes
    ----------
    kicker, title
        What the note is about, within what and from when to when; and its finding, which promises no more than the
        rule.
    answer
        The finding in one sentence that names the topic or kind, for the page above the note; no format shows it.
    seen
        What we see: counts with interval.
    rule_heading, rule, source
        The rule in plain words; where it comes from, how its value is known, and what not to read into it.
    picture
        None where no picture helps.
    habit_heading, habit, record
        What to do and record next time; the measure that was missing most, empty where none was.
    cases_heading, cases
        Up to three of our own, of different outcomes.
    judged
        How much could be judged, and when a miss shows.
    cautions, origin
        What holds for every note; the catalog and the snapshot that the note was made from.
    made_at
        When that snapshot was made (UTC): the date of the file, so that the same snapshot gives the same file.
    """

    layout: ClassVar[str] = "note"

    kicker: str
    title: str
    answer: tuple[Part, ...]
    seen: tuple[Part, ...]
    rule_heading: str
    rule: str
    source: str
    picture: Picture | None
    habit_heading: str
    habit: str
    record: str
    cases_heading: str
    cases: tuple[NoteCase, ...]
    judged: str
    cautions: str
    origin: str
    made_at: datetime

    @property
    def sentence(self) -> Sentence:
        """What we see."""
        return _sentence(self.seen)

    @property
    def short(self) -> Sentence:
        """The answer, as a page shows it."""
        return _sentence(self.answer)

    def texts(self) -> Iterator[str]:
        """Every text that a format must show, in reading order, but for the picture's own words and its table."""
        yield from (self.kicker, self.title, self.sentence.plain, self.rule_heading, self.rule, self.source)
        if self.picture:
            yield from (self.picture.heading, self.picture.caption)
        yield from (self.habit_heading, self.habit, self.record, self.cases_heading)
        for case in self.cases:
            yield from (case.heading, case.comment, case.why)
        yield from (self.judged, self.cautions, self.origin)


class Question(_Fixed):
    """A case as it is put before people: nothing in it tells what came of it, or whose it is.

    Attributes
    ----------
    number, code
        Its place in the pack, and the code that it bears in the sheet.
    recorded
        What was recorded, as names and values with their units.
    sentence
        The report's own sentence in quotation marks, or that there is none.
    """

    number: str
    code: str
    recorded: tuple[tuple[str, str], ...]
    sentence: str


class Answer(_Fixed):
    """What is right of a case, and why.

    Attributes
    ----------
    number
        That of its question.
    outcome_id, glyph
        The outcome of the call in the report, and its shape.
    verdict, called
        What it is by the rule; what the report called it, and whether that holds.
    why, source
        The numbers and the reason; the rule and where it comes from, empty where none decided.
    """

    number: str
    outcome_id: str
    glyph: str
    verdict: str
    called: str
    why: str
    source: str


class CasePack(_Fixed):
    """Cases to call, and on pages after them the answers.

    Attributes
    ----------
    kicker, title, how
        What it is on; how many cases there are; what to do.
    fields
        What is filled in at the top.
    boxes, more
        The calls to choose from, and the line to write on, of every case.
    questions
        The cases.
    answers_heading, drawn
        Of the pages after them; how the cases were drawn, and of what there was too little.
    rule_heading, rule, source
        The rule in plain words; where it comes from, how its value is known, and what not to read into it.
    answers
        One a question, in the same order.
    habit_heading, habit
        What to do and record next time.
    judged, cautions, origin, made_at
        As in a note.
    """

    layout: ClassVar[str] = "case_pack"

    kicker: str
    title: str
    how: str
    fields: tuple[str, ...]
    boxes: tuple[str, ...]
    more: str
    questions: tuple[Question, ...]
    answers_heading: str
    drawn: str
    rule_heading: str
    rule: str
    source: str
    answers: tuple[Answer, ...]
    habit_heading: str
    habit: str
    judged: str
    cautions: str
    origin: str
    made_at: datetime

    def texts(self) -> Iterator[str]:
        """Every text that a format must show, in reading order, but for the boxes and lines of each case."""
        yield from (self.kicker, self.title, self.how, *self.fields)
        for question in self.questions:
            yield from (question.number, *(text for row in question.recorded for text in row))
            yield from (question.sentence, question.code)
        yield from (self.answers_heading, self.drawn, self.rule_heading, self.rule, self.source)
        for answer in self.answers:
            yield from (answer.number, answer.verdict, answer.called, answer.why, answer.source)
        yield from (self.habit_heading, self.habit, self.judged, self.cautions, self.origin)


def _sentence(parts: tuple[Part, ...]) -> Sentence:
    return said(*(Strong(part.text) if part.strong else part.text for part in parts))
