"""How many more looks it takes until finds and false calls of an inspector can be told."""

from __future__ import annotations

import numpy as np
import pandas as pd

from dashboard.measures.accuracy import LEAST_OF_KIND
from dashboard.stats.verification import LEAST_JUDGED_SHARE


def with_lacking(rows: pd.DataFrame, defect_share: float) -> pd.DataFrame:
    """Rows of ``accuracy`` with the looks that each of the two shares lacks.

    A look counts whose truth becomes known: by a measure and a rule, or by a random second look. So many are needed
    that the judged share reaches 30 percent, and that five of the kind are known if defects come as often among them as
    among the decks of known truth.

    Parameters
    ----------
    rows
        Of one topic.
    defect_share
        Share of the topic's known decks that have the defect; NaN where none is known.

    Returns
    -------
    DataFrame
        With finds_lacking and false_calls_lacking: NaN where the share is told, or where no such deck is known at all,
        so that nobody can say how often one comes.
    """
    judged_short = (LEAST_JUDGED_SHARE * rows["trials"] - rows["known"]) / (1 - LEAST_JUDGED_SHARE)
    found = {}
    for name, kind, share in (("finds", "defects", defect_share), ("false_calls", "sound", 1 - defect_share)):
        kind_short = (LEAST_OF_KIND - rows[kind]).clip(lower=0)
        needed = np.ceil(np.maximum(kind_short / share if share > 0 else np.where(kind_short, np.nan, 0), judged_short))
        # Where neither is short, a kind of call has no judged one: that takes at least one more.
        found[f"{name}_lacking"] = pd.Series(np.maximum(needed, 1.0), rows.index).where(rows[name].isna())
    return rows.assign(**found)
