"""What the dashboard's parts raise when something asked for cannot be had; the text is a sentence for the user.

    Problem            the command ends with 1
    └── WrongUsage     what was asked for is not there; the command ends with 2
        └── UnknownName  no such table, column, topic …; the sentence lists the known ones

This module imports little, so that the command can tell these from faults without loading what raised them.
"""

from __future__ import annotations

from collections.abc import Iterable
from difflib import get_close_matches


class Problem(Exception):
    """Something cannot be had; ``str()`` says what and what to do."""


class WrongUsage(Problem, LookupError):
    """A name, a format or a port was asked for that is not there."""


class UnknownName(WrongUsage):
    """A name that is not known, with the nearest one and all that are.

    Attributes
    ----------
    known
        What could have been asked for, in order.
    """

    def __init__(self, what: str, asked: str, known: Iterable[str]) -> None:
        self.known = tuple(known)
        near = get_close_matches(asked, self.known, n=1)
        meant = f" Did you mean {near[0]}?" if near else ""
        super().__init__(f"There is no {what} {asked!r}.{meant} Known: {', '.join(self.known) or 'none'}.")
