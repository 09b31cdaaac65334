"""Where inspectors went: how many decks each saw, and which region or builder one inspector alone covers."""

from __future__ import annotations

from dataclasses import replace

import pandas as pd

from dashboard.filters import EVERYTHING, Filters
from dashboard.warehouse import Snapshot

#: An inspector is told by a region or builder that holds at least this share of the own visits.
MOST_OF_OWN = 0.5


def decks_seen(snapshot: Snapshot, filters: Filters = EVERYTHING, topic: str | None = None) -> dict[str, int]:
    """How many decks each inspector looked at; ``all`` for all together, each deck once.

    Parameters
    ----------
    topic
        Decks on which this topic was seen; None for any topic. The filter for topics is left aside.
    """
    parameters = replace(filters, topics=(topic,) if topic else ()).parameters()
    found = snapshot.query("decks_seen", **parameters)
    return dict(zip(found["inspector_id"], found["decks"].astype(int), strict=True))


def alone(snapshot: Snapshot, filters: Filters = EVERYTHING) -> pd.DataFrame:
    """Regions and builders that one inspector alone covers, and that make up most of what this inspector saw.

    The filters for inspectors and topics are left aside.

    Returns
    -------
    DataFrame
        inspector_id, by (region or builder), group, visits, own (all visits of the inspector); regions first.
    """
    found = snapshot.query("ground", **replace(filters, inspectors=(), topics=()).parameters())
    only = found[(found["people"] == 1) & (found["visits"] >= MOST_OF_OWN * found["own"])]
    return only[["inspector_id", "by", "group", "visits", "own"]].reset_index(drop=True)
