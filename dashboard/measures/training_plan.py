"""What a trainer reads off the table of training topics: which come first, which to judge more of, what goes wrong."""

from __future__ import annotations

from dataclasses import dataclass, replace

import pandas as pd

from dashboard.filters import EVERYTHING, Filters
from dashboard.measures.patterns import misses, patterns
from dashboard.measures.training_topics import WORST
from dashboard.warehouse import Snapshot

#: So many topics are drawn; the figures have all.
DRAWN = 12
#: So many places up, if every unjudged call were wrong, and a topic is worth judging more of.
_MANY_PLACES = 5
_KINDS = 3


@dataclass(frozen=True)
class First:
    """Which topics have most avoidable, as far as that is known.

    Attributes
    ----------
    sure
        Topics that are among the first three, the most avoidable first.
    fixed
        How many of ``sure``, from the first on, have a place that is known.
    maybe
        Topics that may have one of the places that are left.
    left
        How many places are left for them.
    """

    sure: tuple[str, ...]
    fixed: int
    maybe: tuple[str, ...]
    left: int


def first(table: pd.DataFrame) -> First:
    """The first topics of the table ``training_topics``: those whose whole interval of the place lies within three."""
    found = table[table["avoidable"] > 0]
    places = min(WORST, len(found))
    sure = found[found["rank_high"] <= WORST].head(places)
    left = places - len(sure)
    maybe = found[(found["rank_low"] <= WORST) & ~found["topic"].isin(sure["topic"])] if left else found.head(0)
    known = (sure["rank_low"] == sure["rank_high"]).to_numpy()
    fixed = len(known) if known.all() else int(known.argmin())
    return First(tuple(sure["topic"]), fixed, tuple(maybe["topic"]), left)


def judge_more(table: pd.DataFrame) -> pd.DataFrame:
    """Topics that calls which could not be judged may yet carry far up: among the first three, or five places and more.

    Returns
    -------
    DataFrame
        Rows of the table; who could come highest first.
    """
    up = (table["rank_most"] <= WORST) & (table["rank_least"] > WORST)
    far = (table["rank_least"] - table["rank_most"] >= _MANY_PLACES) & (table["rank_most"] <= DRAWN)
    return table[up | far].sort_values("rank_most", kind="stable")


@dataclass(frozen=True)
class Quarter:
    """What a quarter is expected to bring: calls, those that cannot be judged, and what training could avoid."""

    calls: float
    undecided: float
    too_much: float
    too_little: float


def quarter(table: pd.DataFrame) -> Quarter:
    """The sums of the table; too much and too little are added up apart."""
    names = ("expected_decks", "undecided", "avoidable_too_much", "avoidable_too_little")
    return Quarter(*(float(table[name].sum()) for name in names))


def worst_kinds(snapshot: Snapshot, topic: str, filters: Filters = EVERYTHING) -> pd.DataFrame:
    """The three kinds of a topic with most wrong calls, both ways.

    Returns
    -------
    DataFrame
        pattern_id, recorded, outcome (``overcalled``, or ``missed`` for what was passed over or only advised upon),
        wrong, judged, share, share_low, share_high, inspectors (with such a wrong call); most wrong first.
    """
    within = replace(filters, topics=(topic,))
    wrote, passed = patterns(snapshot, within), misses(snapshot, within)
    both = pd.concat(
        [
            wrote.assign(outcome="overcalled", wrong=wrote["overcalled"], inspectors=wrote["inspectors_overcalled"]),
            passed.assign(
                outcome="missed",
                wrong=passed["missed"] + passed["understated"],
                inspectors=passed["inspectors_missed"],
            ),
        ]
    )
    columns = ["pattern_id", "recorded", "outcome", "wrong", "judged", "share", "share_low", "share_high", "inspectors"]
    in_order = both[both["wrong"] > 0].sort_values("wrong", ascending=False, kind="stable")
    return in_order[columns].head(_KINDS).reset_index(drop=True)
