"""Repeated kinds of wrong call: a topic, and what was recorded."""

from __future__ import annotations

import re

import numpy as np
import pandas as pd

from dashboard.filters import EVERYTHING, Filters
from dashboard.measures import order
from dashboard.stats import intervals
from dashboard.warehouse import Snapshot


class UnknownPattern(LookupError):
    """No observation of the snapshot has this pattern.

    Attributes
    ----------
    pattern_id
        What was asked for.
    """

    def __init__(self, pattern_id: str) -> None:
        super().__init__(
            f"There is no pattern {pattern_id!r} in this snapshot; list them with `evenhand table patterns`."
        )
        self.pattern_id = pattern_id


def pattern_id(topic: str, recorded: str) -> str:
    """The id of a pattern: its topic and what was recorded, fit for a file name and an address.

    >>> pattern_id("hanger_size", "2x10 joist in 2x8 hanger")
    'hanger_size:2x10-joist-in-2x8-hanger'
    """
    worded = recorded.lower().replace("<", " under ").replace(">", " over ")
    return f"{topic}:{re.sub('[^a-z0-9.]+', '-', worded).strip('-')}"


def patterns(snapshot: Snapshot, filters: Filters = EVERYTHING) -> pd.DataFrame:
    """Which kinds of write-up do not hold.

    Returns
    -------
    DataFrame
        One row a topic x recorded kind that was written up; most overcalled first. Topics without a rule are left out.

        - pattern_id, topic, recorded (``not recorded`` where nothing decisive was)
        - written_up: trials written up with that kind
        - judged, upheld, overcalled: of those, decided by a rule; judged = upheld + overcalled
        - share, share_low, share_high: overcalled / judged (Wilson); NaN where none is judged
        - judgment, undecided: the rest of written_up
        - inspectors, inspectors_overcalled: who wrote it up, and whose write-ups include an overcalled one
        - decks
        - first_seen, last_seen: days of inspection
    """
    found = snapshot.query("patterns", **filters.parameters())
    columns = [
        *("pattern_id", "topic", "recorded", "written_up", "judged", "upheld", "overcalled"),
        *("share", "share_low", "share_high", "judgment", "undecided"),
        *("inspectors", "inspectors_overcalled", "decks", "first_seen", "last_seen"),
    ]
    return _with_share(snapshot, found, found["overcalled"])[columns]


def misses(snapshot: Snapshot, filters: Filters = EVERYTHING) -> pd.DataFrame:
    """Which recorded defects were passed over, or only advised upon.

    A miss shows only where a measure was written down and fails its rule, or a second look says so. What an upheld row
    of the same trial writes up is no miss; a trial both passed at one place and advised at another counts once, as
    understated.

    Returns
    -------
    DataFrame
        One row a topic x recorded kind that was passed or advised upon; most missed and understated first.

        - pattern_id, topic, recorded
        - passed, advised: trials with such a call of that kind (a trial may have both); trials: with either
        - judged, missed, understated: of those trials
        - share, share_low, share_high: (missed + understated) / judged (Wilson); NaN where none is judged
        - inspectors, inspectors_missed, decks
        - first_seen, last_seen: days of inspection
    """
    found = snapshot.query("misses", **filters.parameters())
    columns = [
        *("pattern_id", "topic", "recorded", "passed", "advised", "trials", "judged", "missed", "understated"),
        *("share", "share_low", "share_high", "inspectors", "inspectors_missed", "decks", "first_seen", "last_seen"),
    ]
    return _with_share(snapshot, found, found["missed"] + found["understated"])[columns]


def recorded_kinds(snapshot: Snapshot, identity: str) -> list[str]:
    """What was recorded in the observations of a pattern.

    Raises
    ------
    UnknownPattern
    """
    topic = identity.partition(":")[0]
    found = snapshot.query("recorded_kinds", topic=topic)["recorded"]
    kinds = [recorded for recorded in found if pattern_id(topic, recorded) == identity]
    if not kinds:
        raise UnknownPattern(identity)
    return kinds


def _with_share(snapshot: Snapshot, found: pd.DataFrame, wrong: pd.Series) -> pd.DataFrame:
    """With id, share and interval; the most wrong first, then the most judged, then in load-path order."""
    low, high = intervals.wilson(wrong, found["judged"])
    place = {topic: at for at, topic in enumerate(order.topics(found["topic"], snapshot.query("topics")))}
    with np.errstate(invalid="ignore", divide="ignore"):
        share = wrong.to_numpy(float) / found["judged"].to_numpy(float)
    table = found.assign(
        pattern_id=[pattern_id(*kind) for kind in zip(found["topic"], found["recorded"], strict=True)],
        share=share,
        share_low=low,
        share_high=high,
        _wrong=wrong,
        _place=found["topic"].map(place),
    )
    table["pattern_id"] = table["pattern_id"].astype("str")
    in_order = table.sort_values(
        ["_wrong", "judged", "_place", "recorded"], ascending=[False, False, True, True], kind="stable"
    )
    return in_order.reset_index(drop=True)
