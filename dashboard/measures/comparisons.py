"""Which comparisons of inspectors with peers to show: those of one kind, those that differ by more than luck.

There are three kinds: what was written up, sound work written up, defects passed over. Each has its own test and its
own false discovery control in :mod:`inspectors`; here their rows are only chosen and put in order.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd

from dashboard.measures.write_ups import ALL

WRITTEN_UP, OVERCALLED, MISSED = "written_up", "overcalled", "missed"
KINDS = (WRITTEN_UP, OVERCALLED, MISSED)
#: Signals of a comparison that was made, and those that say that the two differ by more than luck.
MADE = ("none", "higher", "lower")
DIFFERS = ("higher", "lower")
#: So many topics of an inspector are worth a look at a time.
WORTH = 2

_COLUMNS = {
    WRITTEN_UP: {"found": "written_up", "expected": "expected", "p": "p", "q": "q", "signal": "signal"},
    OVERCALLED: {name: f"{OVERCALLED}_{name}" for name in ("found", "expected", "p", "q", "signal")},
    MISSED: {name: f"{MISSED}_{name}" for name in ("found", "expected", "p", "q", "signal")},
}


def compared(table: pd.DataFrame, kind: str) -> pd.DataFrame:
    """The comparisons of one kind.

    Parameters
    ----------
    table
        Rows of ``inspectors``.

    Returns
    -------
    DataFrame
        inspector_id, topic, kind, found, expected, p, q, signal, first_signalled, held (of write-ups only); in the
        order of the rows. Where a comparison was not made, expected may say little.
    """
    columns = _COLUMNS[kind]
    found = table[["inspector_id", "topic"]].assign(kind=kind, **{name: table[of] for name, of in columns.items()})
    # Only of write-ups it is known since when they differ.
    dated = table[["first_signalled", "held"]] if kind == WRITTEN_UP else pd.DataFrame(index=table.index)
    return found.join(dated.reindex(columns=["first_signalled", "held"]).astype({"first_signalled": "datetime64[s]"}))


def made(cells: pd.DataFrame) -> int:
    """How many comparisons were made, single topics only."""
    return int((cells["signal"].isin(MADE) & (cells["topic"] != ALL)).sum())


def any_made(table: pd.DataFrame) -> bool:
    """Whether a comparison of any kind was made, single topics only."""
    return any(made(compared(table, kind)) for kind in KINDS)


def that_differ(table: pd.DataFrame) -> pd.DataFrame:
    """The comparisons of all kinds, topic by topic, that differ by more than luck; the surest first."""
    parts = [compared(table, kind) for kind in KINDS]
    out = [part[part["signal"].isin(DIFFERS) & (part["topic"] != ALL)] for part in parts]
    kept = [part for part in out if len(part)]
    together = pd.concat(kept) if kept else out[0]
    return together.sort_values(["q", "p"], kind="stable").reset_index(drop=True)


def by_evidence(rows: pd.DataFrame) -> pd.DataFrame:
    """Rows of ``inspectors``, those whose difference is surest first, whichever way; those not compared last."""
    return rows.sort_values(["p", "inspector_id"], kind="stable", na_position="last")


@dataclass(frozen=True)
class WorthALook:
    """A topic in which an inspector differs by more than luck.

    Attributes
    ----------
    row
        The inspector's row of the topic.
    differs
        The kinds of comparison that differ in it, the surest first.
    """

    row: pd.Series
    differs: tuple[str, ...]

    @property
    def topic(self) -> str:
        return str(self.row["topic"])


def worth_a_look(own: pd.DataFrame) -> list[WorthALook]:
    """The topics that are most worth a look of an inspector, two at most, by evidence.

    Writing up less sound work than peers, or passing over fewer defects, is nothing to look into.

    Parameters
    ----------
    own
        Rows of ``inspectors`` of one inspector.
    """
    out = that_differ(own)
    out = out[(out["kind"] == WRITTEN_UP) | (out["signal"] == "higher")]
    found = []
    for topic, signals in out.groupby("topic", sort=False):
        row = own[own["topic"] == topic].iloc[0]
        found.append(WorthALook(row, tuple(signals["kind"])))
        if len(found) == WORTH:
            break
    return found


def drawn_topics(own: pd.DataFrame, most: int, also: str | None = None) -> pd.DataFrame:
    """The topics of an inspector to draw: all that differ, then those with most expected; in the order of the rows.

    Parameters
    ----------
    own
        Rows of ``inspectors`` of one inspector.
    most
        How many to draw, unless more differ.
    also
        A topic that is drawn in any case, if it was compared.
    """
    made_of = own[own["signal"].isin(MADE) & (own["topic"] != ALL)]
    first = made_of["signal"].isin(DIFFERS) | (made_of["topic"] == also)
    ranked = made_of.assign(first=first).sort_values(["first", "expected"], ascending=False, kind="stable")
    return made_of.loc[np.sort(ranked.index[: max(most, int(first.sum()))])]
