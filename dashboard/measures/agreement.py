"""How often two inspectors who saw the same deck agree, topic by topic, and how sure that is."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from dashboard.filters import EVERYTHING, Filters
from dashboard.measures import order
from dashboard.measures.not_seen import ALL
from dashboard.measures.pairs import KINDS, pairs
from dashboard.measures.rates import LEAST_DECKS
from dashboard.stats import agreement as stats
from dashboard.stats.discovery import RATE, q_values
from dashboard.warehouse import Snapshot

Array = NDArray[np.float64]

_UP, _NOT_UP = 0, 1
_WRITE_UPS = np.array([2, 1, 1, 0])  # of each kind of pair
FIGURES: dict[str, Callable[[Array], Array]] = {
    "raw": stats.raw_agreement,
    "positive_agreement": partial(stats.specific_agreement, category=_UP),
    "negative_agreement": partial(stats.specific_agreement, category=_NOT_UP),
    "kappa": stats.cohen_kappa,
    "ac1": stats.gwet_ac1,
}
COLUMNS = (
    *("topic", "pairs", "decks", "inspectors", "days_between", *KINDS, "write_ups"),
    *(f"{name}{end}" for name in FIGURES for end in ("", "_low", "_high")),
    *("no_kappa", "p_order", "q_order", "order", "more_pairs_needed", "more_pairs_for_order", "status"),
)
_COUNTS = ("pairs", "decks", "inspectors", *KINDS, "write_ups", "more_pairs_needed", "more_pairs_for_order")
#: Where more pairs are planned, half a pair of each kind is added to a topic's own, as for its interval, and so many in
#: the proportions of all topics together: five pairs that agree would else need no more.
_BORROWED = 2.0


def agreement(snapshot: Snapshot, filters: Filters = EVERYTHING) -> pd.DataFrame:
    """How often two inspectors who saw the same deck within sixty days agree that a topic is written up.

    Returns
    -------
    DataFrame
        One row a topic that has a pair; all topics together first, then topics in load-path order; no row without
        pairs.

        - topic: ``all`` for all topics together
        - pairs, decks, inspectors: how many are behind the row; days_between: the median
        - both_up, earlier_only, later_only, neither: pairs by what the two looks say; write_ups: looks that wrote it up
        - raw, positive_agreement, negative_agreement, kappa, ac1, each with its interval (``_low``, ``_high``) by
          redrawing decks, all pairs of a deck together
        - no_kappa: why kappa and the positive or the negative agreement are blank: ``none_written_up`` or
          ``all_written_up``; blank where they are not
        - p_order: "which look came first does not matter", exact; q_order: after false discovery control over the
          topics; order: ``earlier`` or ``later`` where that look alone writes up more often than luck explains, else
          ``none``, or ``too_few``
        - more_pairs_needed: until the interval of kappa is 0.1 to either side; more_pairs_for_order: until it would
          show in 80 of 100 firms that one of the two looks alone writes up twice as often as the other
        - status: ``too_few`` under 20 decks, else ``ok``
    """
    return _table(snapshot, pairs(snapshot, filters))


def where_kappa_falls(rows: pd.DataFrame) -> pd.Series | None:
    """Of rows of :func:`agreement` the one in which kappa lies farthest below raw agreement; None without a kappa."""
    known = rows[rows["kappa"].notna()]
    below = (known["raw"] - known["kappa"]).sort_values(ascending=False, kind="stable")
    return None if known.empty else known.loc[below.index[0]]


def _table(snapshot: Snapshot, found: pd.DataFrame) -> pd.DataFrame:
    if found.empty:
        return _typed(pd.DataFrame([], columns=list(COLUMNS)))
    by_topic = {str(topic): rows for topic, rows in found.groupby("topic", sort=False)}
    in_order = order.topics(by_topic, snapshot.query("topics"))
    everything = Decks.of(found)
    rows = [_row(ALL, found, everything, stats.GHOST * np.ones(len(KINDS)))]
    borrowed = stats.GHOST + _BORROWED * everything.counts / len(found)
    rows += [_row(topic, by_topic[topic], Decks.of(by_topic[topic]), borrowed) for topic in in_order]
    return _typed(_with_order(pd.DataFrame(rows))[list(COLUMNS)])


def _typed(table: pd.DataFrame) -> pd.DataFrame:
    texts = dict.fromkeys(("topic", "no_kappa", "order", "status"), "str")
    counts = dict.fromkeys(_COUNTS, "int64")
    return table.astype(dict.fromkeys(COLUMNS, "float64") | texts | counts)


def _with_order(rows: pd.DataFrame) -> pd.DataFrame:
    """Which look alone writes up more often than luck explains; all topics together are a question of their own."""
    asked = (rows["status"] == "ok").to_numpy()
    together = (rows["topic"] == ALL).to_numpy()
    q = np.where(together & asked, rows["p_order"], q_values(rows["p_order"].where(asked & ~together)))
    more = np.where(rows["earlier_only"] > rows["later_only"], "earlier", "later")
    return rows.assign(q_order=q, order=np.where(asked, np.where(q < RATE, more, "none"), "too_few"))


def _row(topic: str, found: pd.DataFrame, decks: Decks, borrowed: Array) -> dict[str, Any]:
    """One topic; ``borrowed`` is what is added to its counts where more pairs are planned."""
    people = pd.concat([found["earlier_inspector_id"], found["later_inspector_id"]]).nunique()
    planned = decks.counts + borrowed
    needed = stats.pairs_for_kappa(_square(planned)) * decks.design_effect()
    for_order = stats.pairs_for_order(planned[1:3].sum() / planned.sum()) * decks.order_effect()
    return (
        {
            "topic": topic,
            "pairs": len(found),
            "decks": decks.number,
            "inspectors": int(people),
            "days_between": float(found["days_between"].median()),
            **dict(zip(KINDS, decks.counts.astype(int), strict=True)),
            "write_ups": int(decks.counts @ _WRITE_UPS),
        }
        | decks.figures()
        | {
            "no_kappa": _no_kappa(decks.counts),
            "p_order": stats.order_p_value(decks.nets),
            "more_pairs_needed": max(0, int(np.ceil(needed)) - len(found)),
            "more_pairs_for_order": max(0, int(np.ceil(for_order)) - len(found)),
            "status": "ok" if decks.number >= LEAST_DECKS else "too_few",
        }
    )


def _no_kappa(counts: Array) -> str | None:
    """Why kappa has no value: all pairs are of one kind."""
    both, _earlier, _later, neither = counts == counts.sum()
    return "all_written_up" if both else "none_written_up" if neither else None


class Decks:
    """The decks of some pairs, alike ones together.

    Attributes
    ----------
    kinds, how_many
        What a deck's pairs say, in the order of ``KINDS``, and how many decks are like that.
    """

    def __init__(self, kinds: Array, how_many: Array) -> None:
        self.kinds, self.how_many = kinds, how_many

    @classmethod
    def of(cls, found: pd.DataFrame) -> Decks:
        deck, _names = pd.factorize(found["deck_id"])
        by_deck = np.zeros((int(deck.max()) + 1, len(KINDS)))
        np.add.at(by_deck, (deck, pd.Categorical(found["kind"], KINDS).codes), 1)
        kinds, how_many = np.unique(by_deck, axis=0, return_counts=True)
        return cls(kinds, how_many.astype(float))

    @property
    def number(self) -> int:
        return int(self.how_many.sum())

    @property
    def counts(self) -> Array:
        """Pairs by what they say."""
        return self.how_many @ self.kinds

    @property
    def nets(self) -> Array:
        """Of each deck its pairs written up by the earlier look only, less those by the later only."""
        return np.repeat(self.kinds[:, 1] - self.kinds[:, 2], self.how_many.astype(int))

    def redrawn(self) -> Array:
        """Tables as other decks would have given them, with half a deck more of each kind that a single pair can be."""
        weights = stats.redrawn_weights([*self.how_many, *[stats.GHOST] * len(KINDS)])
        return _square(weights @ np.concatenate([self.kinds, np.eye(len(KINDS))]))

    def figures(self) -> dict[str, float]:
        """Each figure of agreement with its interval."""
        own, redrawn = _square(self.counts), self.redrawn()
        told: dict[str, float] = {}
        for name, figure in FIGURES.items():
            value = figure(own)
            low, high = stats.spread(value, figure(redrawn))
            told |= {name: float(value), f"{name}_low": low, f"{name}_high": high}
        return told

    def design_effect(self) -> float:
        """How many pairs are worth one pair on a deck of its own, for kappa: 1 where each deck has one."""
        if self.number == self.counts.sum():
            return 1.0
        as_if_single = Decks(np.eye(len(KINDS)), self.counts + 0.0)
        drawn = [stats.cohen_kappa(decks.redrawn()).var() for decks in (self, as_if_single)]
        return max(1.0, float(drawn[0] / drawn[1]))

    def order_effect(self) -> float:
        """The same for the order of the looks."""
        differing = self.counts[1:3].sum()
        return max(1.0, float(np.square(self.nets).sum() / differing)) if differing else 1.0


def _square(counts: Array) -> Array:
    """Counts by kind as tables: the earlier look in the rows, the later one in the columns."""
    return counts.reshape(*counts.shape[:-1], 2, 2)
