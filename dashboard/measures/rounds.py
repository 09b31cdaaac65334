"""Calibration rounds: the same items put before several inspectors, and how far their calls agree."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from dashboard.filters import EVERYTHING, Filters
from dashboard.measures import order
from dashboard.measures.call_classes import CLAIMING, FINDING
from dashboard.measures.not_seen import ALL
from dashboard.stats import agreement as stats
from dashboard.warehouse import Snapshot

Array = NDArray[np.float64]

#: With fewer, one item more or less moves every figure by more than ten points.
LEAST_ITEMS = 10
FIGURES: dict[str, Callable[[Array, Array | None], Array]] = {
    "raw": stats.group_agreement,
    "fleiss": stats.fleiss_kappa,
    "alpha": stats.krippendorff_alpha,
}
#: What two looks could make of an item, as shares of calls written up, and not; and of an item of which the truth is
#: known, as calls that are right, and calls.
_LIKE_TWO_LOOKS = np.array([[1.0, 0.0], [0.5, 0.5], [0.5, 0.5], [0.0, 1.0]])
_ALL_OR_NONE = np.array([[1.0, 1.0], [0.0, 1.0]])
_COUNTS = ("items", "inspectors", "calls", "written_up", "known_calls", "known_right")
COLUMNS = (
    *("round_id", "held_on", "topic", "items", "inspectors", "calls", "written_up"),
    *(f"{name}{end}" for name in FIGURES for end in ("", "_low", "_high")),
    *("no_kappa", "known_calls", "known_right", "known_share", "known_share_low", "known_share_high", "status"),
)


def round_agreement(snapshot: Snapshot, filters: Filters = EVERYTHING) -> pd.DataFrame:
    """How far the inspectors of a calibration round agree, and how many of their calls agree with what is known.

    Written up counts as up; referred, advised and passed as not up; not seen as no call. Against what is known a defect
    is rightly written up or referred, and sound work rightly anything but written up. Of the filters only days and
    topics apply: a round is its items and everybody who took part.

    Returns
    -------
    DataFrame
        One row a round x topic, the newest round first, in each all topics together first, then topics in load-path
        order.

        - round_id, held_on, topic (``all`` for all of the round)
        - items, inspectors, calls, written_up: items and inspectors with a call, the calls, and those written up
        - raw: mean share of pairs of calls on an item that agree; fleiss, alpha: agreement beyond chance (Fleiss,
          Krippendorff); each with its interval (``_low``, ``_high``) by redrawing items
        - no_kappa: why fleiss and alpha are blank: ``none_written_up``, ``all_written_up``, or ``single_calls`` (no
          item has two calls); blank where they are not
        - known_calls: calls on items of which the truth is known; known_right: those of them that agree with it;
          known_share, its interval by redrawing items
        - status: ``too_few`` under 10 items, else ``ok``
    """
    rows = [named | _row(calls) for named, calls in by_round_and_topic(snapshot, filters)]
    return _typed(pd.DataFrame(rows, columns=list(COLUMNS)))


def by_round_and_topic(snapshot: Snapshot, filters: Filters) -> Iterator[tuple[dict[str, Any], pd.DataFrame]]:
    """The calls of each round x topic, named by round_id, held_on and topic; in the order of :func:`round_agreement`.

    Each call has ``known`` (whether the truth of its item is) and ``right`` (whether it agrees with that).
    """
    chosen = filters.parameters()
    found = snapshot.query("round_calls", **{name: chosen[name] for name in ("first_day", "last_day", "topics")})
    found = _compared(found[found["call"] != "not_seen"])
    known_topics = snapshot.query("topics")
    newest_first = found.sort_values(["held_on", "round_id"], ascending=[False, True], kind="stable")
    for (round_id, held_on), calls in newest_first.groupby(["round_id", "held_on"], sort=False):
        named = {"round_id": round_id, "held_on": held_on}
        yield named | {"topic": ALL}, calls
        by_topic = {str(topic): own for topic, own in calls.groupby("topic", sort=False)}
        for topic in order.topics(by_topic, known_topics):
            yield named | {"topic": topic}, by_topic[topic]


def _compared(calls: pd.DataFrame) -> pd.DataFrame:
    defect, sound = calls["known_verdict"] == "defect", calls["known_verdict"] == "acceptable"
    right = (defect & calls["call"].isin(FINDING)) | (sound & ~calls["call"].isin(CLAIMING))
    return calls.assign(known=defect | sound, right=right)


def _typed(table: pd.DataFrame) -> pd.DataFrame:
    texts = dict.fromkeys(("round_id", "topic", "no_kappa", "status"), "str")
    counts = dict.fromkeys(_COUNTS, "int64")
    return table.astype(dict.fromkeys(COLUMNS, "float64") | {"held_on": "datetime64[us]"} | texts | counts)


def _row(calls: pd.DataFrame) -> dict[str, Any]:
    items = Items.of(calls)
    return (
        {
            "items": items.number,
            "inspectors": calls["inspector_id"].nunique(),
            "calls": len(calls),
            "written_up": int(items.counts[:, 0].sum()),
        }
        | items.figures()
        | items.known()
        | {"no_kappa": items.no_kappa(), "status": "ok" if items.number >= LEAST_ITEMS else "too_few"}
    )


class Items:
    """The items of a round, and the calls on them.

    Attributes
    ----------
    counts
        Calls by item and topic: written up, and any other. An item on which several topics were called has a row each.
    right
        Calls by item and topic: of those on a known item how many agree with it, and how many there are.
    item
        The item of each row: its rows are redrawn together.
    """

    def __init__(self, counts: Array, right: Array, item: NDArray[np.int64]) -> None:
        self.counts, self.right, self.item = counts, right, item

    @classmethod
    def of(cls, calls: pd.DataFrame) -> Items:
        up = calls["call"] == "written_up"
        told = calls.assign(up=up, other=~up)
        rows = told.groupby(["item_id", "topic"], sort=True)[["up", "other", "right", "known"]].sum()
        item, _names = pd.factorize(rows.index.get_level_values("item_id"))
        by_row = rows.to_numpy(float)
        return cls(by_row[:, :2], by_row[:, 2:], item)

    @property
    def number(self) -> int:
        return int(self.item.max()) + 1

    def no_kappa(self) -> str | None:
        """Why there is no agreement beyond chance: no two calls on an item, or all calls alike."""
        compared = self.counts[self.counts.sum(axis=1) >= 2]
        if not len(compared):
            return "single_calls"
        up, other = compared.sum(axis=0)
        return "none_written_up" if not up else "all_written_up" if not other else None

    def figures(self) -> dict[str, float]:
        """Each figure of agreement with its interval, as other items would have given it.

        Half an item more is added of each kind that two looks could make of it, with as many calls as an item has in
        the mean.
        """
        undefined = self.no_kappa()
        mean = max(2.0, self.counts.sum() / len(self.counts))
        counts, weights = np.concatenate([self.counts, mean * _LIKE_TWO_LOOKS]), self._redrawn(len(_LIKE_TWO_LOOKS))
        told: dict[str, float] = {}
        for name, figure in FIGURES.items():
            blank = undefined == "single_calls" if name == "raw" else undefined is not None
            value = np.nan if blank else float(figure(self.counts, None))
            told |= _with_interval(name, value, figure(counts, weights))
        return told

    def known(self) -> dict[str, float]:
        """How many calls agree with what is known, with the interval as other items would have given it.

        Half an item more is added that everybody, and one that nobody, called right.
        """
        right, calls = self.right.sum(axis=0)
        told = {"known_right": right, "known_calls": calls}
        if not calls:
            return told | _with_interval("known_share", np.nan, np.array([]))
        mean = calls / (self.right[:, 1] > 0).sum()
        redrawn = self._redrawn(len(_ALL_OR_NONE)) @ np.concatenate([self.right, mean * _ALL_OR_NONE])
        return told | _with_interval("known_share", right / calls, redrawn[:, 0] / redrawn[:, 1])

    def _redrawn(self, more: int) -> Array:
        """Weights of the rows, those of an item together, and of so many half items after them."""
        weights = stats.redrawn_weights([*np.ones(self.number), *[stats.GHOST] * more])
        return np.concatenate([weights[:, self.item], weights[:, self.number :]], axis=1)


def _with_interval(name: str, value: float, redrawn: Array) -> dict[str, float]:
    low, high = stats.spread(value, redrawn)
    return {name: value, f"{name}_low": low, f"{name}_high": high}
