"""Sentences on stock sentences: what stands in report after report, and how much of it does not hold."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import pandas as pd

from dashboard import labels
from dashboard.measures.stock_sentences import LEAST_REPORTS, surely_failing
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
    failing = surely_failing(rows)
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


# ---- in a note -------------------------------------------------------------------------------------------------------


def note_title(row: pd.Series) -> str:
    """The finding on a sentence, promising no more than the counts."""
    judged, wrong = int(row["judged"]), int(row["overcalled"])
    if not judged:
        return "A stock sentence: nothing could be judged yet"
    if not wrong:
        return "A stock sentence: every write-up that could be judged holds"
    return (
        f"A stock sentence: {labels.part_of(wrong, judged)} write-ups with it {'does' if wrong == 1 else 'do'} not hold"
    )


def note_answer(row: pd.Series) -> Sentence:
    """The sentence, and how many of its judged write-ups do not hold, with the interval."""
    if not row["judged"]:
        return said(f"“{row['text']}”: ", Strong("none of its write-ups could be judged yet."))
    return said(Strong(of_one(row)))


def note_seen(row: pd.Series) -> Sentence:
    """The finding, how often the sentence was written and by how many, and how many judgments that is."""
    many = labels.plural(row["uses"], "write-up")
    where = f"Places and numbers aside it stands in {many} by {labels.plural(row['inspectors'], 'inspector')}."
    if not row["judged"]:
        return together(note_answer(row), said(where))
    once = (
        "What one inspector always says of the same thing is one habit: the interval counts "
        f"{labels.plural(row['habits'], 'habit')}."
    )
    return together(note_answer(row), said(where), said(once))


def note_judged(row: pd.Series) -> str:
    """How much of it could be judged."""
    return (
        f"Judged: {labels.part_of(row['judged'], row['uses'])} write-ups with it. A sentence is not wrong by "
        "itself: what fails is a call that has it. Mended where it is kept, it is mended for everybody."
    )
