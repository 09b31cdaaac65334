"""Stock sentences: comments that stand, but for places and numbers, in many reports, and how often they do not hold."""

from __future__ import annotations

import numpy as np
import pandas as pd

from dashboard.filters import EVERYTHING, Filters
from dashboard.measures import order
from dashboard.stats import intervals
from dashboard.warehouse import Snapshot

#: In fewer reports a sentence is not yet a stock sentence.
LEAST_REPORTS = 5
_HALF = 0.5
COLUMNS = [
    *("sentence_id", "topic", "text", "uses", "reports", "inspectors", "judged", "judged_share"),
    *("overcalled", "share", "share_low", "share_high", "habits", "first_seen", "last_seen"),
]


def surely_failing(sentences: pd.DataFrame) -> pd.DataFrame:
    """Of rows of :func:`stock_sentences`, those whose judged write-ups fail more often than they hold, beyond luck."""
    return sentences[sentences["share_low"] > _HALF]


def stock_sentences(snapshot: Snapshot, filters: Filters = EVERYTHING) -> pd.DataFrame:
    """Which sentences are written up again and again, and how many of the write-ups with them do not hold.

    The same sentence put by the same person to the same recorded thing is one judgment, however often it is repeated:
    the interval counts such a habit once (the share of trials, with Wilson's interval for as many trials as there are
    habits). That is as if trials within a habit all came out alike, and never too narrow.

    Returns
    -------
    DataFrame
        One row a topic x sentence in :data:`LEAST_REPORTS` reports or more; most overcalled first.

        - sentence_id, topic, text: with gaps for places and numbers
        - uses: trials written up with it; reports, inspectors: that have it
        - judged, judged_share: of the uses, those that a rule could decide
        - overcalled: of those, that do not hold; share, share_low, share_high: overcalled / judged
        - habits: inspector x what was recorded, among the judged
        - first_seen, last_seen: days of inspection
    """
    found = snapshot.query("stock_sentences", least=LEAST_REPORTS, **filters.parameters())
    with np.errstate(invalid="ignore", divide="ignore"):
        share = found["overcalled"].to_numpy(float) / found["judged"].to_numpy(float)
    low, high = intervals.wilson(np.nan_to_num(share) * found["habits"], found["habits"])
    place = {topic: at for at, topic in enumerate(order.topics(found["topic"], snapshot.query("topics")))}
    table = found.assign(
        judged_share=found["judged"] / found["uses"],
        share=share,
        share_low=low,
        share_high=high,
        _place=found["topic"].map(place),
    )
    in_order = table.sort_values(
        ["overcalled", "judged", "uses", "_place", "text"], ascending=[False, False, False, True, True], kind="stable"
    )
    return in_order[COLUMNS].reset_index(drop=True)
