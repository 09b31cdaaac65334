"""Sentences on stock sentences: what stands in report after report, and how much of it does not hold."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import pandas as pd

from dashboard import labels
from dashboard.measures.stock_sentences import LEAST_REPORTS
from dashboard.notes.wording import Sentence, Strong, said, together

CAPTION = (
    "Gaps stand for places and numbers. The same sentence put by one inspector to the same thing counts once in the "
    "interval, however often it was repeated."
)


def stock_sentences(rows: pd.DataFrame, wrong_in_all: int) -> Sentence:
    """How many sentences are written again and again, the worst of them, and what part of all wrong write-ups they are.

    Parameters
    ----------
    rows
        Of the table ``stock_sentences``.
    wrong_in_all
        Write-ups that do not hold, whatever their sentence.
    """
    if rows.empty:
        return said(f"No sentence stands in {LEAST_REPORTS} reports or more here.")
    many = f"{labels.plural(len(rows), 'sentence')} {'stands' if len(rows) == 1 else 'stand'}, but for places and "
    first = said(f"{many}numbers, in {LEAST_REPORTS} reports or more.")
    judged, worst = rows[rows["judged"] > 0], rows.iloc[0]
    if judged.empty:
        return together(first, said(Strong("No write-up with one of them could be judged.")))
    if not worst["overcalled"]:
        return together(first, said(Strong("All write-ups with them that could be judged hold.")))
    failing = rows[rows["share_low"] > 0.5]
    if failing.empty:
        finding = said(Strong("None of them surely fails more often than it holds."))
    else:
        many = f"{labels.count(len(failing))} of them surely {'fails' if len(failing) == 1 else 'fail'} more often than"
        part = labels.part_of(int(failing["overcalled"].sum()), wrong_in_all)
        holds = "it holds" if len(failing) == 1 else "they hold"
        finding = said(Strong(f"{many} {holds}"), f": {part} write-ups that do not hold.")
    return together(first, finding, said(f"The most: {of_one(worst)}"))


def of_one(row: Mapping[str, Any] | pd.Series) -> str:
    """One sentence, and how many write-ups with it do not hold, with the interval."""
    told = labels.part_of(int(row["overcalled"]), int(row["judged"]))
    interval = labels.join(labels.interval(row["share_low"], row["share_high"]), "%")
    return f"“{row['text']}”: {told} judged do not hold ({interval})."


def line(row: Any) -> str:
    """In a list to choose from."""
    return f"“{row.text}”: {labels.part_of(row.overcalled, row.judged)} do not hold"
