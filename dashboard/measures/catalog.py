"""The catalog that a snapshot was judged with: its topics, its rules and its measures."""

from __future__ import annotations

import pandas as pd

from dashboard.warehouse import Snapshot


def topics(snapshot: Snapshot) -> pd.DataFrame:
    """All topics, in load-path order.

    Returns
    -------
    DataFrame
        topic, title, topic_group, position, judged, built, has_rule (judged and built), plain, habit, caution, weight.
    """
    return snapshot.query("topics")


def criteria(snapshot: Snapshot, topic: str | None = None) -> pd.DataFrame:
    """The rules of all topics, or of one.

    Returns
    -------
    DataFrame
        criterion_id, topic, title, position, defect, acceptable, judgment (conditions as text), plain, caution,
        weight, document, edition, section, known, needs (list of measures).
    """
    found = snapshot.query("criteria")
    return found if topic is None else found[found["topic"] == topic].reset_index(drop=True)


def measures(snapshot: Snapshot) -> pd.DataFrame:
    """All measures, in the order of the parts of a deck.

    Returns
    -------
    DataFrame
        measure, title, kind, unit (missing for kinds), position.
    """
    return snapshot.query("measures")


def measures_of(snapshot: Snapshot, topic: str) -> pd.DataFrame:
    """The measures that the rules of a topic name, in the order of the parts of a deck.

    Values that a rule works out from others, and facts of the deck, are not among them.

    Returns
    -------
    DataFrame
        As :func:`measures`.
    """
    named = {name for needs in criteria(snapshot, topic)["needs"] for name in needs}
    known = measures(snapshot)
    return known[known["measure"].isin(named)].reset_index(drop=True)
