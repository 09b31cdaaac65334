"""How the calls stand with the rules, by kind of call."""

from __future__ import annotations

import pandas as pd

from dashboard.filters import EVERYTHING, Filters
from dashboard.stats import intervals
from dashboard.warehouse import Snapshot

#: Calls and outcomes in the order in which they are shown: what is right, what is wrong, what is open.
CALLS = ("written_up", "referred", "advised", "passed")
OUTCOMES = ("upheld", "cleared", "overcalled", "missed", "understated", "judgment", "undecided", "no_rule")


def call_outcomes(snapshot: Snapshot, filters: Filters = EVERYTHING) -> pd.DataFrame:
    """What the rules say of the calls: counts by call and outcome; every combination that occurs.

    Returns
    -------
    DataFrame
        One row a call x outcome; every seen trial is in exactly one.

        - call, outcome
        - trials: seen report x deck x topic
        - share, share_low, share_high: of all trials of that call (Wilson)
    """
    found = snapshot.query("call_outcomes", **filters.parameters())
    of = found.groupby("call")["trials"].transform("sum")
    low, high = intervals.wilson(found["trials"], of)
    table = found.assign(share=found["trials"] / of, share_low=low, share_high=high)
    place = {name: at for at, name in enumerate((*CALLS, *OUTCOMES))}
    order = table.sort_values(["call", "outcome"], key=lambda names: names.map(place), kind="stable")
    return order.reset_index(drop=True)
