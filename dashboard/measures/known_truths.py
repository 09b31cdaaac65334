"""Of how many decks the truth is known, whether that suffices to tell accuracy apart from agreement, and how the calls
on these decks compare with those on all others.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from dashboard.filters import EVERYTHING, Filters
from dashboard.measures import order
from dashboard.measures.call_classes import CLAIMING, FINDING, ClassCounts, count_classes, share_columns
from dashboard.measures.pairs import MOST_DAYS
from dashboard.stats import intervals
from dashboard.stats.verification import Share
from dashboard.warehouse import Snapshot

#: A model of accuracy is identified by truths known for this share of the decks, with so many of either kind ...
LEAST_KNOWN_SHARE = 0.2
LEAST_OF_EITHER = 10
#: ... or by so many decks with three independent looks. Two looks a deck identify nothing.
LEAST_THREE_LOOKS = 50


def known_truths(snapshot: Snapshot, filters: Filters = EVERYTHING) -> pd.DataFrame:
    """What is known of the decks of each topic, and the calls on decks of known and of unknown truth.

    A deck counts once for each state that it was seen in: visits at most sixty days after one another saw the same.
    Its truth is what the rule or a random second look says of any of its looks; it is not known where they differ.

    Returns
    -------
    DataFrame
        One row a topic with a seen trial that the rule does not leave to the inspector, in load-path order.

        - topic
        - decks, known_decks, known_share: decks, and those of known truth
        - defects, sound: of the known ones
        - three_looks: decks that at least three inspectors looked at
        - identified_by: known_decks, three_looks or nothing
        - known_trials, known_written_up, known_written_up_share with low and high: on decks of known truth (Wilson)
        - unknown_trials, unknown_written_up, unknown_written_up_share with low and high
        - difference, difference_low, difference_high: known less unknown (Newcombe)
        - finds, false_calls with low, high, least, most: of all inspectors together, weighted by call class
    """
    found = snapshot.query("known_truths", **filters.parameters(), most_days=MOST_DAYS)
    topics = order.topics(found["topic"], snapshot.query("topics"))
    table = found.set_index("topic").loc[topics].reset_index()
    table["known_share"] = table["known_decks"] / table["decks"]
    table["identified_by"] = _identified_by(table)
    calls = known_calls(snapshot, filters, topics)
    shares = share_columns("finds", calls.finding.shares().finds)
    shares |= share_columns("false_calls", calls.claiming.shares().false_calls)
    return table.assign(**_compared(calls.claiming), **shares)[COLUMNS]


@dataclass(frozen=True)
class KnownCalls:
    """Looks by topic x call class, all inspectors together, with what any look tells of the deck.

    Attributes
    ----------
    finding, claiming
        By whether the call finds a defect (written up or referred), and by whether it claims one (written up).
    """

    finding: ClassCounts
    claiming: ClassCounts

    def alone(self, topic: int) -> tuple[Share, Share] | None:
        """Finds and false calls of a topic by the known decks alone, however few of the looks they are.

        None where fewer than 10 defects or 10 sound ones are among them.
        """
        if min(self.finding.known_defects[topic], self.finding.known_sound[topic]) < LEAST_OF_EITHER:
            return None
        return self.finding.shares(0.0).finds.of(topic), self.claiming.shares(0.0).false_calls.of(topic)


def known_calls(snapshot: Snapshot, filters: Filters, topics: list[str]) -> KnownCalls:
    """The looks at decks of known and of unknown truth, for topics in that order."""
    counts = snapshot.query("known_calls", **filters.parameters(), most_days=MOST_DAYS).assign(inspector_id="all")
    finding, claiming = (
        count_classes(counts, ["all"], topics, called).over_inspectors() for called in (FINDING, CLAIMING)
    )
    return KnownCalls(finding, claiming)


_SHARES = [f"{name}{end}" for name in ("finds", "false_calls") for end in ("", "_low", "_high", "_least", "_most")]
COLUMNS = [
    *("topic", "decks", "known_decks", "known_share", "defects", "sound", "three_looks", "identified_by"),
    *("known_trials", "known_written_up"),
    *("known_written_up_share", "known_written_up_share_low", "known_written_up_share_high"),
    *("unknown_trials", "unknown_written_up"),
    *("unknown_written_up_share", "unknown_written_up_share_low", "unknown_written_up_share_high"),
    *("difference", "difference_low", "difference_high"),
    *_SHARES,
]


def _identified_by(table: pd.DataFrame) -> NDArray[np.str_]:
    either = np.minimum(table["defects"], table["sound"]) >= LEAST_OF_EITHER
    by_known = (table["known_share"] >= LEAST_KNOWN_SHARE) & either
    by_looks = table["three_looks"] >= LEAST_THREE_LOOKS
    return np.where(by_known, "known_decks", np.where(by_looks, "three_looks", "nothing"))


def _compared(claiming: ClassCounts) -> dict[str, NDArray]:
    """Written up on decks of known and of unknown truth."""
    known = claiming.judged + claiming.looked
    written_up = np.stack([known[:, 0], (claiming.totals - known)[:, 0]], axis=-1)
    trials = np.stack([known.sum(axis=-1), (claiming.totals - known).sum(axis=-1)], axis=-1)
    low, high = intervals.wilson(written_up, trials)
    with np.errstate(invalid="ignore", divide="ignore"):
        share = written_up / trials
    columns: dict[str, NDArray] = {}
    for at, side in enumerate(("known", "unknown")):
        columns[f"{side}_trials"] = trials[:, at].astype(np.int64)
        columns[f"{side}_written_up"] = written_up[:, at].astype(np.int64)
        columns[f"{side}_written_up_share"] = share[:, at]
        columns[f"{side}_written_up_share_low"], columns[f"{side}_written_up_share_high"] = low[:, at], high[:, at]
    ends = ("difference", "difference_low", "difference_high")
    return columns | dict(zip(ends, intervals.combination([1.0, -1.0], written_up, trials), strict=True))
