"""What each inspector's calls in a calibration round came to where the truth is known: right, misses, false alarms.

Unlike the round's agreement this is about single people, so that with the few items of a round it mostly says how much
more it would take to tell.
"""

from __future__ import annotations

from typing import Any

import numpy as np
import pandas as pd

from dashboard.filters import EVERYTHING, Filters
from dashboard.measures.rounds import by_round_and_topic
from dashboard.stats import attribute
from dashboard.warehouse import Snapshot

#: What is told: how many went wrong, of how many, by which bounds, and whether the share told is of those that did not.
_TOLD = (
    ("right", "items_known", attribute.INEFFECTIVE, True),
    ("missed", "defects", attribute.MISSES, False),
    ("false_alarms", "sound", attribute.FALSE_ALARMS, False),
)
_ENDS = ("_share", "_low", "_high", "_mark", "_needed")
COLUMNS = (
    *("round_id", "held_on", "topic", "inspector_id"),
    *(name for count, whole, *_ in _TOLD for name in (whole, count, *(f"{count}{end}" for end in _ENDS))),
)


def round_results(snapshot: Snapshot, filters: Filters = EVERYTHING) -> pd.DataFrame:
    """Right calls, misses and false alarms of each inspector in each calibration round, by the customary bounds.

    A defect is rightly written up or referred, else missed; written up where the work is sound it is a false alarm.
    Items of which the truth is not known are left out, and so are calls of not seen. Of the filters days, topics and
    inspectors apply.

    Returns
    -------
    DataFrame
        One row a round x topic x inspector with a call on a known item; rounds and topics in the order of
        ``round_agreement``, inspectors by code.

        - round_id, held_on, topic (``all`` for all of the round), inspector_id
        - items_known, right: calls on known items, and those that agree with what is known
        - defects, missed: those on defects, and of them those that passed the defect over
        - sound, false_alarms: those on sound items, and of them those that wrote it up
        - …_share, …_low, …_high: right / items_known, missed / defects and false_alarms / sound with exact intervals
        - …_mark: acceptable, marginal or not_acceptable where the interval decides, else cannot_tell
        - …_needed: items in all from which on it would decide, were the share to stay; blank where it lies at a bound
          or there is none
    """
    counted = [
        named | {"inspector_id": str(inspector)} | _counts(own)
        for named, calls in by_round_and_topic(snapshot, filters)
        for inspector, own in calls[calls["known"]].groupby("inspector_id")
        if not filters.inspectors or inspector in filters.inspectors
    ]
    texts = dict.fromkeys(("round_id", "topic", "inspector_id"), "str")
    table = pd.DataFrame(counted, columns=[name for name in COLUMNS if not name.endswith(_ENDS)])
    table = table.astype({"held_on": "datetime64[us]"} | texts)
    for count, whole, bounds, is_good in _TOLD:
        table = table.astype({count: "int64", whole: "int64"}).assign(**_shares(table, count, whole, bounds, is_good))
    return table[list(COLUMNS)]


def _counts(calls: pd.DataFrame) -> dict[str, int]:
    found = attribute.attributes(calls["known_verdict"] == "defect", ~calls["right"])
    return {
        **{"items_known": found.items, "right": found.right, "defects": found.defects, "missed": found.missed},
        **{"sound": found.sound, "false_alarms": found.false_alarms},
    }


def _shares(table: pd.DataFrame, count: str, whole: str, bounds: attribute.Bounds, is_good: bool) -> dict[str, Any]:
    """A share with its interval, and where it falls; ``is_good``: what is counted is what went right."""
    number, trials = table[count].to_numpy(float), table[whole].to_numpy(float)
    wrong = trials - number if is_good else number
    low, high = attribute.exact(number, trials)
    needed = attribute.trials_to_decide(wrong, trials, bounds)
    with np.errstate(invalid="ignore"):
        share = number / trials
    told = (share, low, high, attribute.mark(wrong, trials, bounds), np.where(np.isfinite(needed), needed, np.nan))
    return {f"{count}{end}": values for end, values in zip(_ENDS, told, strict=True)}
