"""What each inspector would have written up by the own habit: the baseline that changes over time are read against."""

from __future__ import annotations

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from dashboard.stats.control_charts import brought_to

#: The own habit in a topic counts beside that of the peers as this many write-ups do.
PEERS_WORTH = 10.0


def own_practice(scored: pd.DataFrame) -> NDArray[np.float64]:
    """The chance of each trial to be written up by who saw it, over all the time that is looked at.

    The case-mix model says what peers write up on such a deck. An inspector who writes up more, or less, than they do
    has not changed by that: the model's chances are moved, by one step of log-odds an inspector and topic, toward the
    inspector's own number of write-ups, as if there had been ten more in it as the peers would have made them; then by
    one step an inspector, so that they add up to what the inspector wrote up.

    Parameters
    ----------
    scored
        Rows of :func:`dashboard.measures.peers.scored_trials`.
    """
    person = pd.factorize(scored["inspector_id"])[0]
    pair = pd.factorize(pd.Series(person, dtype=str) + " " + scored["topic"].reset_index(drop=True))[0]
    found = scored["written_up"].to_numpy(float)
    model = scored["expected"].to_numpy(float)
    by_model, by_self = np.bincount(pair, model), np.bincount(pair, found)
    toward = by_model * (by_self + PEERS_WORTH) / (by_model + PEERS_WORTH)
    return brought_to(brought_to(model, pair, toward), person, np.bincount(person, found))
