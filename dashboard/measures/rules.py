"""The rules as they fared in this firm: where each comes from, and how often it decided."""

from __future__ import annotations

from dataclasses import dataclass

import pandas as pd

from dashboard.filters import EVERYTHING, Filters
from dashboard.measures import catalog
from dashboard.warehouse import Snapshot

_COUNTS = ["decided", "defect", "acceptable", "judgment"]


@dataclass(frozen=True)
class Coverage:
    """How many topics the catalog has: ``judged`` by a rule, ``counted`` and compared only, ``waiting`` for a rule."""

    topics: int
    judged: int
    counted: int
    waiting: int
    rules: int


def coverage(snapshot: Snapshot) -> Coverage:
    """How much of the catalog is judged."""
    topics = catalog.topics(snapshot)
    has_rule, judged = topics["has_rule"].astype(bool), topics["judged"].astype(bool)
    return Coverage(
        topics=len(topics),
        judged=int(has_rule.sum()),
        counted=int((~judged).sum()),
        waiting=int((judged & ~has_rule).sum()),
        rules=len(catalog.criteria(snapshot)),
    )


def rules(snapshot: Snapshot, filters: Filters = EVERYTHING) -> pd.DataFrame:
    """Every rule with its source and how often it decided.

    Returns
    -------
    DataFrame
        One row a rule, in the order of the topics.

        - criterion_id, topic, title, weight, document, edition, section, known
        - decided: seen trials in which it settled at least one place
        - defect, acceptable, judgment: what it said of them; they add up to decided
    """
    described = ["criterion_id", "topic", "title", "weight", "document", "edition", "section", "known"]
    counted = snapshot.query("rule_decisions", **filters.parameters())
    table = catalog.criteria(snapshot)[described].merge(counted, on="criterion_id", how="left")
    table[_COUNTS] = table[_COUNTS].fillna(0).astype("int64")
    return table


def listed(snapshot: Snapshot) -> pd.DataFrame:
    """All topics with their rules; a topic without a rule has a row of its own.

    Returns
    -------
    DataFrame
        topic, topic_title, topic_group, judged and has_rule (of the topic), then the columns of :func:`rules` but for
        topic, missing where there is no rule.
    """
    topics = catalog.topics(snapshot).rename(columns={"title": "topic_title"})
    kept = topics[["topic", "topic_title", "topic_group", "judged", "has_rule"]]
    return kept.merge(rules(snapshot), on="topic", how="left").astype(dict.fromkeys(["weight", *_COUNTS], "Int64"))
