"""Decks that two inspectors saw within sixty days, and what each of them decided."""

from __future__ import annotations

from collections.abc import Sequence

import pandas as pd

from dashboard.filters import EVERYTHING, Filters
from dashboard.measures.cases import MOST_ROWS
from dashboard.warehouse import Snapshot

#: Looks farther apart than this are no pair: the deck may be another one by then.
MOST_DAYS = 60
#: What the two looks of a pair can say, in the order of a table: earlier look in the rows, later one in the columns,
#: written up first.
KINDS = ("both_up", "earlier_only", "later_only", "neither")
DIFFER = ("earlier_only", "later_only")


def pairs(snapshot: Snapshot, filters: Filters = EVERYTHING) -> pd.DataFrame:
    """Two looks at a topic by different inspectors on the same deck, at most sixty days apart.

    A deck with three reports by three inspectors gives three pairs; a topic that one of the two did not see gives none.
    Filters hold for both looks, but for inspectors and loads, which hold for either.

    Returns
    -------
    DataFrame
        One row a pair, the latest first.

        - topic, deck_id
        - earlier_report_id, earlier_inspector_id, earlier_on, earlier_call, earlier_verdict: the earlier look; of two
          on one day the one whose report comes first in the alphabet
        - later_report_id, later_inspector_id, later_on, later_call, later_verdict
        - days_between
        - kind: both_up, earlier_only, later_only or neither; up is written up at any place
        - pair_id: topic, deck and the two reports as one id
    """
    chosen = filters.parameters()
    either = {"either_inspectors": chosen["inspectors"], "either_loads": chosen["loads"]}
    found = snapshot.query("pairs", **(chosen | {"inspectors": None, "loads": None}), **either, most_days=MOST_DAYS)
    ids = found["topic"] + ":" + found["earlier_report_id"] + ":" + found["later_report_id"] + ":" + found["deck_id"]
    return found.assign(pair_id=ids.astype("str"))


def that_differ(found: pd.DataFrame, topic: str | None = None) -> pd.DataFrame:
    """Of rows of :func:`pairs` those in which one look alone wrote the topic up, of one topic or of all."""
    chosen = found["kind"].isin(DIFFER) if topic is None else found["kind"].isin(DIFFER) & (found["topic"] == topic)
    return found[chosen].reset_index(drop=True)


def cases_of_pair(
    snapshot: Snapshot,
    topic: str,
    deck_id: str,
    reports: Sequence[str],
    *,
    only: str | None = None,
    most: int | None = MOST_ROWS,
    skip: int = 0,
) -> pd.DataFrame:
    """The observations behind a pair: of the first report's first, stronger calls before weaker ones.

    Parameters
    ----------
    reports
        The two reports, in the order in which their observations are wanted.
    only
        One observation, by its id, if it is among them.
    most, skip
        How many rows at most (None for all), after how many that are passed over.

    Returns
    -------
    DataFrame
        As :func:`cases.cases`.
    """
    behind = {"topic": topic, "deck": deck_id, "reports": list(reports)}
    return snapshot.query("cases_of_pair", **behind, only=only, most=most, skip=skip)
