"""The sentences on what luck alone would give a firm, and on how often a signal was still there afterwards."""

from __future__ import annotations

from typing import Any

from dashboard import labels
from dashboard.notes.wording import Sentence, Strong, said

HOW_IT_IS_TRIED = (
    "The firm's reports are handed out by lot among those who saw decks of the same region, builder and age, again and "
    "again, and compared as before. This takes a few seconds."
)


def luck_alone(found: Any) -> Sentence:
    """The firm's own signals beside those of replays in which only luck decides.

    Parameters
    ----------
    found
        The row of ``luck``.
    """
    share = labels.percent_with_interval(found.any_by_luck, found.any_by_luck_low, found.any_by_luck_high)
    finding = Strong(f"{labels.plural(found.signals, 'comparison')} of write-ups {_stand(found.signals)} out.")
    return said(
        finding,
        f" Luck alone would give this firm {_mean(found.mean_by_luck)} on average and "
        f"{labels.count(found.most_by_luck)} at most in 19 of 20 replays; {share} of {labels.count(found.replays)} "
        f"replays have any.",
    )


def _stand(n: int) -> str:
    return "stands" if n == 1 else "stand"


def _mean(mean: float) -> str:
    return labels.few(mean) if mean >= 0.05 else "hardly one"


def held_afterwards(signals: int, known: int, held: int) -> str:
    """How many of the signals that ever showed at the end of a month were still there in later reports."""
    if not known:
        return "No signal is old enough to see whether later reports bear it out."
    later = "" if known == signals else f" of the {labels.count(known)} that later reports can speak to"
    return (
        f"Looking at the end of each month, {labels.plural(signals, 'signal')} would have shown so far; "
        f"{labels.count(held)}{later} held in the reports after it."
    )
