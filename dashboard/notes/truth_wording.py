"""The sentences on how often calls are right where the truth is known, and on what cannot be told."""

from __future__ import annotations

from typing import Any

import pandas as pd

from dashboard import labels
from dashboard.measures.accuracy import LEAST_OF_KIND
from dashboard.measures.rows import each
from dashboard.notes.wording import Sentence, Strong, said, together
from dashboard.stats.verification import LEAST_JUDGED_SHARE, LEAST_LOOKS

#: The two shares: the column, of what it is a share, and the count that it rests on.
SHARES = {"finds": ("defects", "found"), "false_calls": ("sound", "written up")}
NOT_CORRECTNESS = (
    "Agreement is not correctness: two colleagues can agree and both be wrong. These shares rest on calls whose truth "
    "is known, by a rule and what was measured, or by a second look at random."
)
_HOW_TO_READ = (
    "Dot and bar: the share and its 95 % interval; hollow: by a model that draws it toward colleagues, since too few "
    "of the own calls were judged. Wide band: what it would be if every call of unknown truth were wrong, or right. "
    "Thin line: all inspectors together. In order of name; these differences are not tested. Which ones are more than "
    "luck is said on Inspectors side by side."
)
_UNTOLD = " A dash, or not told: too little is known; see below."
#: What the figures of an inspector rest on, or why there are none.
BASES = {
    "rules": "rules and measures",
    "random_looks": "second looks at random",
    "known_decks": "a model, with known decks",
    "three_looks": "a model, with three looks a deck",
    "too_little_known": "cannot be told: too little is known",
    "known_decks_disagree": "cannot be told: known decks and the model disagree",
    "no_convergence": "cannot be told: the model does not settle",
}
TOO_FEW = "too few"


def nothing_known(narrowed: bool) -> str:
    """Where the truth of no deck is known: what to do."""
    within = " within these filters" if narrowed else ""
    return (
        f"The truth of no deck is known{within}. It becomes known where a rule decides by what was measured, or where "
        "somebody looks again at calls drawn at random."
    )


def topic_line(row: Any) -> str:
    """A topic in the list to choose from: ``Hanger size: known of 1,386 of 1,784 decks``."""
    return f"{row.name}: known of {labels.part_of(row.known_decks, row.decks)} decks"


def how_right(row: pd.Series) -> Sentence:
    """Finds and false calls of all inspectors together in a topic, and of how many decks the truth is known.

    Parameters
    ----------
    row
        The topic's row of ``known_truths``, with its ``name``.
    """
    decks = labels.plural(int(row["decks"]), "deck")
    known = said(
        f"Their truth is known of {labels.count(row['known_decks'])}: {labels.count(row['defects'])} with the defect, "
        f"{labels.count(row['sound'])} without."
    )
    parts = [
        (f"{labels.percent(row[name])} {of}", f" ({labels.interval(row[f'{name}_low'], row[f'{name}_high'])})")
        for name, of in (("finds", "of the defects are found"), ("false_calls", "of sound work is written up"))
        if labels.is_known(row[name])
    ]
    looked = f"{row['name']} on {decks}, all inspectors together: "
    if not parts:
        return together(said(looked, Strong("how often calls are right cannot be told yet"), "."), known)
    told: list[str] = []
    for place, (share, interval) in enumerate(parts):
        told += [" and " if place else "", Strong(share), interval]
    return together(said(looked, *told, "."), known)


def known_and_unknown(row: pd.Series) -> Sentence | None:
    """How often decks of known and of unknown truth are written up; None where there are none of either.

    Parameters
    ----------
    row
        The topic's row of ``known_truths``.
    """
    if not labels.is_known(row["difference"]):
        return None
    known, unknown = (
        labels.percent_with_interval(*(row[f"{side}_written_up_share{end}"] for end in ("", "_low", "_high")))
        for side in ("known", "unknown")
    )
    counted = (
        f"Decks of known truth are written up in {known} of {labels.plural(row['known_trials'], 'look')}, all others "
        f"in {unknown} of {labels.count(row['unknown_trials'])}"
    )
    if row["difference_low"] <= 0 <= row["difference_high"]:
        return said(f"{counted}: no more of a difference than luck would give.")
    side = "more" if row["difference"] > 0 else "less"
    why = (
        "that is no fault, since what is written up is measured more often, and each kind of call is weighed for it"
        if row["difference"] > 0
        else "each kind of call is weighed for it"
    )
    return said(f"{counted}: {side} than luck would give; {why}.")


def how_to_read(rows: pd.DataFrame) -> str:
    """What dot, bar, band and line of the picture are. ``rows``: those of ``accuracy`` that are drawn."""
    return f"{_HOW_TO_READ}{_UNTOLD if rows[list(SHARES)].isna().any(axis=None) else ''}"


def what_cannot_be_told(rows: pd.DataFrame) -> Sentence | None:
    """Of how many inspectors a share cannot be told, why, and how many more looks it takes; None where all are.

    Parameters
    ----------
    rows
        Rows of ``accuracy`` of one topic with what ``truth_lacking`` adds.
    """
    sentences = [sentence for name in SHARES if (sentence := _untold(rows, name))]
    return together(*sentences) if sentences else None


def _untold(rows: pd.DataFrame, name: str) -> Sentence | None:
    untold = rows[rows[name].isna()]
    if untold.empty:
        return None
    what = {"finds": "How many defects are found", "false_calls": "How much sound work is written up"}[name]
    of = "any inspector" if len(untold) == len(rows) else labels.plural(len(untold), "inspector")
    several, one = {"finds": ("defects", "defect"), "false_calls": ("sound ones", "sound one")}[name]
    needed = untold[f"{name}_lacking"].dropna()
    more = (
        f"It takes about {_more_looks(needed)} of known truth{' each' if len(untold) > 1 else ''}."
        if len(needed)
        else f"Not one {one} is known yet, so that nobody can say how many more looks it takes."
    )
    return said(
        f"{what} cannot be told of {of}: under {LEAST_OF_KIND} {several} known, or under "
        f"{labels.percent(LEAST_JUDGED_SHARE)} of the calls judged. {more}"
    )


def _more_looks(needed: pd.Series) -> str:
    """From the fewest to the most: ``10 to 41 more looks``."""
    fewest, most = int(needed.min()), int(needed.max())
    looks = labels.plural(most, "more look")
    return looks if fewest == most else f"{labels.count(fewest)} to {looks}"


def share(row: Any, name: str) -> str:
    """A share in a table: ``92 % (67 to 95) of 17``; else why it is not told, and how many more looks it takes."""
    value, low, high = (getattr(row, f"{name}{end}") for end in ("", "_low", "_high"))
    count = getattr(row, SHARES[name][0])
    if labels.is_known(value):
        return f"{labels.percent_with_interval(value, low, high)} of {labels.count(count)}"
    needed = getattr(row, f"{name}_lacking")
    more = f", about {labels.plural(int(needed), 'more look')}" if labels.is_known(needed) else ""
    return f"{why_not(row, name)}{more}"


def why_not(row: Any, name: str) -> str:
    """Why a share is not told: ``too few: 2 known``, or too little judged."""
    count = int(getattr(row, SHARES[name][0]))
    if count < LEAST_OF_KIND:
        return f"{TOO_FEW}: {labels.count(count)} known"
    return "too little judged"


def bounds(row: Any, name: str) -> str:
    """Were every call of unknown truth wrong, or right: ``21 to 94 %``; blank where the table has none."""
    least, most = getattr(row, f"{name}_least"), getattr(row, f"{name}_most")
    return labels.join(labels.interval(least, most), "%") if labels.is_known(least) and labels.is_known(most) else ""


def rests_on(row: Any) -> str:
    """What an inspector's figures rest on, or in plain words why they cannot be told."""
    return BASES[row.basis] if row.status != "too_few" else TOO_FEW


def left_out(topics: int) -> str:
    """How many topics are not in the list, since nothing is known of them."""
    if not topics:
        return ""
    return f"In {labels.plural(topics, 'more topic')} the truth of no deck is known."


def in_figures(rows: pd.DataFrame) -> str:
    """The title of the fold."""
    return f"{labels.plural(len(rows), 'inspector')} in figures"


def numbers(rows: pd.DataFrame) -> dict[str, list[str]]:
    """The columns of the table of figures, by title."""
    return {
        "Defects found": [share(row, "finds") for row in each(rows)],
        "Defects found, bounds": [bounds(row, "finds") for row in each(rows)],
        "Sound work written up": [share(row, "false_calls") for row in each(rows)],
        "Sound work, bounds": [bounds(row, "false_calls") for row in each(rows)],
        "Rests on": [rests_on(row) for row in each(rows)],
    }


LEGEND = (
    "Of so many known defects, or sound ones. Bounds: were every call of unknown truth wrong, or right. More looks: of "
    f"known truth, until {LEAST_OF_KIND} of the kind are known and {labels.percent(LEAST_JUDGED_SHARE)} of the calls "
    f"judged, if defects come as often as until now. {LEAST_LOOKS} second looks at random at each kind of call speak "
    "for all calls of the kind."
)
