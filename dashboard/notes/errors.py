"""What can be wrong with a request for a note.

NoteError            anything below, with a sentence for the user
├── UnknownTopic     no topic of the catalog has this id, or it has no rule
├── UnknownPattern   nothing in the snapshot has this pattern
└── FormatNotThere   notes are not written in this format
"""

from __future__ import annotations

from collections.abc import Iterable
from difflib import get_close_matches

from dashboard.problems import WrongUsage


class NoteError(WrongUsage):
    """A note cannot be written; ``str()`` is a sentence that says what there is instead.

    Attributes
    ----------
    known
        What could have been asked for.
    """

    def __init__(self, what: str, asked: str, known: Iterable[str]) -> None:
        self.known = tuple(known)
        near = get_close_matches(asked, self.known, n=1)
        meant = f" Did you mean {near[0]}?" if near else ""
        super().__init__(f"There is no {what} {asked!r}.{meant} Known: {', '.join(self.known) or 'none'}.")


class UnknownTopic(NoteError):
    def __init__(self, asked: str, known: Iterable[str]) -> None:
        super().__init__("topic with a rule", asked, known)


class UnknownPattern(NoteError):
    def __init__(self, asked: str, known: Iterable[str]) -> None:
        super().__init__("pattern", asked, known)


class FormatNotThere(NoteError):
    def __init__(self, suffix: str, known: Iterable[str]) -> None:
        self.known = tuple(known)
        ends = suffix or "no ending"
        WrongUsage.__init__(
            self,
            f"A note cannot be written as {ends}. There are now: {', '.join(self.known)}; print the HTML for paper.",
        )
