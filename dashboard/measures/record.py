"""The tool's own record: of the signals that ever showed, how many later reports bear out."""

from __future__ import annotations

from dataclasses import dataclass

import pandas as pd


@dataclass(frozen=True)
class SignalsSoFar:
    """Counts of pairs of inspector and topic.

    Attributes
    ----------
    signals
        Flagged at the end of any month so far.
    known
        Of those, pairs whose later reports are enough to say something.
    held
        Of those, pairs whose later reports alone point the same way.
    """

    signals: int
    known: int
    held: int


def signals_so_far(table: pd.DataFrame) -> SignalsSoFar:
    """The record in rows of ``inspectors``."""
    ever = table[table["first_signalled"].notna()]
    known = ever[ever["held"].notna()]
    return SignalsSoFar(len(ever), len(known), int(known["held"].astype(bool).sum()))
