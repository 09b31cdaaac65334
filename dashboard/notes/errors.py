"""What can be wrong with a request for a note.

NoteError            anything below, with a sentence for the user
├── UnknownTopic     no topic of the catalog has this id, or it has no rule
├── UnknownPattern   nothing in the snapshot has this pattern
├── UnknownInspector no inspector of the snapshot has this code
├── UnknownSentence  no stock sentence of the snapshot has this id, or its topic has no rule
├── UnknownMonth     it is no month, or nothing was looked at in it
├── NoCases          there is no case to put into a pack
├── NothingAlike     no deck like the one that is asked about was looked at
└── FormatNotThere   notes are not written in this format
"""

from __future__ import annotations

from collections.abc import Iterable

from dashboard import labels
from dashboard.problems import UnknownName, WrongUsage


class NoteError(WrongUsage):
    """A note cannot be written; ``str()`` is a sentence that says what there is instead."""


class UnknownTopic(NoteError, UnknownName):
    def __init__(self, asked: str, known: Iterable[str]) -> None:
        super().__init__("topic with a rule", asked, known)


class UnknownPattern(NoteError, UnknownName):
    def __init__(self, asked: str, known: Iterable[str]) -> None:
        super().__init__("pattern", asked, known)


class UnknownInspector(NoteError, UnknownName):
    def __init__(self, asked: str, known: Iterable[str]) -> None:
        super().__init__("inspector", asked, known)


class UnknownSentence(NoteError):
    """No stock sentence of a topic with a rule has this id."""

    def __init__(self, asked: str) -> None:
        super().__init__(
            f"There is no stock sentence {asked!r} on a topic with a rule; `evenhand table stock_sentences` lists them."
        )


class UnknownMonth(NoteError):
    """``known`` are the months that there are, the first before the others."""

    def __init__(self, asked: str, known: Iterable[str]) -> None:
        self.known = tuple(known)
        there = f"There are calls from {self.known[0]} to {self.known[-1]}." if self.known else "There are no calls."
        super().__init__(f"{asked} is no month in which a deck was looked at; write one as 2026-10. {there}")


class NoCases(NoteError):
    """No case of a topic can be put into a pack."""

    def __init__(self, topic: str) -> None:
        super().__init__(f"No case on {topic} can be shown. Load reports, or choose another topic.")


class NothingAlike(NoteError):
    def __init__(self, sentence: str, next_step: str) -> None:
        super().__init__(f"{sentence} {next_step}")


class FormatNotThere(NoteError):
    """``what`` (a note, a case pack) is not written in this format; ``known`` are those that there are."""

    def __init__(self, suffix: str, known: Iterable[str], what: str = "A note") -> None:
        self.known = tuple(known)
        ends = suffix or "no ending"
        super().__init__(
            f"{what} cannot be written as {ends}. Let the file end with {labels.listed(self.known, 'or')}."
        )
