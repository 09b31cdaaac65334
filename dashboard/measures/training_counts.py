"""What each inspector did in a window, as the comparison before and after counts it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from dashboard.measures.training_windows import Span
from dashboard.stats.before_after import Window

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Trials:
    """Trials of one kind by day; arrays over trials.

    Attributes
    ----------
    who, day, event, chance
        Code of a person (or of a topic), day, whether it happened, the chance that it does with the firm's inspectors.
    n
        How many codes there are.
    """

    who: NDArray[np.intp]
    day: NDArray[np.datetime64]
    event: Array
    chance: Array
    n: int

    @classmethod
    def of(
        cls, frame: pd.DataFrame, codes: Sequence[str], event: str = "written_up", by: str = "inspector_id"
    ) -> Trials:
        """The trials of a frame with inspected_on and ``event``; of others than ``codes`` they are left out.

        Where the frame has no column ``expected`` one chance stands for all: then only changes mean anything.
        """
        who = pd.Categorical(frame[by], categories=list(codes)).codes.astype(np.intp)
        kept = frame[who >= 0]
        happened = kept[event].to_numpy(float)
        chance = kept["expected"] if "expected" in kept else np.full(len(kept), happened.mean() if len(kept) else 0.0)
        days = kept["inspected_on"].to_numpy("datetime64[D]")
        return cls(who[who >= 0], days, happened, np.asarray(chance, float), len(codes))

    def window(self, span: Span) -> Window:
        """The counts of a span; arrays over people."""
        kept = span.holds(self.day)
        who, event, chance = self.who[kept], self.event[kept], self.chance[kept]
        by_model = chance * (1 - chance)
        trials, observed, expected, variance = (
            np.bincount(who, of, self.n).astype(float) for of in (np.ones(who.size), event, chance, by_model)
        )
        left = event - chance
        level = np.divide(np.bincount(who, left, self.n), trials, out=np.zeros(self.n), where=trials > 0)
        degrees = who.size - (trials > 0).sum()
        # Who differs from the model's chances has another variance than they give, and so have chances that are wrong.
        if degrees > 0 and variance.any():
            variance *= float(np.square(left - level[who]).sum()) / degrees * who.size / by_model.sum()
        return Window(trials, observed, expected, variance)
