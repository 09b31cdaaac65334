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
        - criterion_id, topic, title, position, plain, caution, weight
        - defect, acceptable, judgment: the conditions, for drawings; missing where it never says so
        - defect_told, acceptable_told, judgment_told: the same in words, for readers
        - applies: where it holds at all, in words; missing where it always does
        - document, edition, section, known: its source, and how its value is known
        - rows_known: the tables that it looks up in, and how their rows are known; missing where it reads none
        - jurisdiction, author, dated (text): of a local rule
        - needs: list of measures
    """
    found = snapshot.query("criteria")
    return found if topic is None else found[found["topic"] == topic].reset_index(drop=True)


def measures(snapshot: Snapshot) -> pd.DataFrame:
    """All measures, in the order of the parts of a deck.

    Returns
    -------
    DataFrame
        measure, title, kind, unit (missing for kinds), position, choices (list; empty where any value may stand).
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
