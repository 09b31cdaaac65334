"""The sentences of the page on decks that two inspectors saw: how far they agree, and what that cannot say."""

from __future__ import annotations

from typing import Any

import pandas as pd

from dashboard import labels
from dashboard.measures.agreement import where_kappa_falls
from dashboard.measures.pairs import MOST_DAYS
from dashboard.measures.rows import each
from dashboard.notes.wording import LEAST_JUDGED, Sentence, Strong, said, together

#: What the two looks of a pair say, in a list to choose from and in a table.
KINDS = {
    "both_up": "both wrote it up",
    "earlier_only": "only the earlier look wrote it up",
    "later_only": "only the later look wrote it up",
    "neither": "neither wrote it up",
}
NO_KAPPA = {
    "none_written_up": "nobody wrote it up",
    "all_written_up": "everybody wrote it up",
    "single_calls": "no item has two calls",
}
#: What is told of an inspector's calls in a round: the column of the count, and that of what it is a part of.
RESULTS = {
    "Right": ("right", "items_known"),
    "Defects missed": ("missed", "defects"),
    "False alarms": ("false_alarms", "sound"),
}
BOUNDS = (
    "Each with its exact 95 % interval, and by the bounds that are customary in attribute agreement analysis (AIAG, "
    "Measurement Systems Analysis, 4th edition): right at least 90 % acceptable, at least 80 % marginal; defects "
    "missed at most 2 and 5 %; false alarms at most 5 and 10 %. Where no such range holds the whole interval, that "
    "cannot be told; beside it stands how many items it would take, were the share to stay. These are figures to learn "
    "by: a dozen items tell little of one person."
)
_MARKS = {"acceptable": "acceptable", "marginal": "marginal", "not_acceptable": "beyond the bounds"}
#: So many topics are named whose looks differ in one direction; the table has all.
_NAMED = 3


def how_often_they_agree(everything: pd.Series) -> Sentence:
    """How many decks two inspectors saw, and how often they agree. ``everything``: the row of all topics together."""
    seen = said(
        f"{labels.plural(everything['decks'], 'deck')} {'was' if everything['decks'] == 1 else 'were'} seen by two "
        f"inspectors within {labels.plural(MOST_DAYS, 'day')}."
    )
    if not everything["write_ups"]:
        return together(seen, said(Strong("Nobody wrote anything up on them.")))
    if everything["status"] != "ok":
        return together(seen, said(Strong("That is too few for a rate."), " Here are those on which they differ."))
    share = labels.percent(everything["positive_agreement"])
    shared = said(
        Strong(f"Of {labels.plural(everything['write_ups'], 'write-up')} the other inspector made {share} too"),
        f" ({_share_interval(everything, 'positive_agreement')}).",
    )
    return together(seen, shared, _beyond_chance(everything))


def _beyond_chance(row: pd.Series) -> Sentence | None:
    if labels.is_known(row["no_kappa"]):
        return None
    return said(f"Kappa, their agreement beyond chance, is {_figure(row, 'kappa')}.")


def why_kappa_falls(rows: pd.DataFrame) -> Sentence:
    """Two sentences on kappa and rare faults, the second with an example out of the rows, where there is one.

    Parameters
    ----------
    rows
        Rows of ``agreement`` of single topics with enough decks, with the topics' ``name``.
    """
    why = said(
        "Kappa counts only agreement beyond chance, and where a fault is rare, two inspectors who both leave it nearly "
        "always agree by chance alone."
    )
    row = where_kappa_falls(rows)
    if row is None:
        return together(why, said("So a few decks on which they differ take most of it away."))
    return together(
        why,
        said(
            f"So a few decks on which they differ take most of it away: on {labels.in_sentence(row['name'])} two looks "
            f"say the same in {labels.percent(row['raw'])} of {labels.plural(row['pairs'], 'pair')}, and kappa is "
            f"{_figure(row, 'kappa')}, while AC1, which does not fall so, is {_figure(row, 'ac1')}."
        ),
    )


def repairs(rows: pd.DataFrame) -> Sentence:
    """That repairs look like disagreement, with the test of which look writes up more.

    Parameters
    ----------
    rows
        Rows of ``agreement`` of all topics together and of each that has enough decks, with the topics' ``name``.
    """
    return together(
        said(
            "A repair between the two visits looks like disagreement; the earlier look alone would then write up more "
            "often than the later one."
        ),
        _order(rows),
        said("Nor are these random decks: each was seen again for some reason."),
    )


def _order(rows: pd.DataFrame) -> Sentence:
    """Whether the earlier or the later look alone writes up more often than luck explains, over all and by topic."""
    everything, topics = rows.iloc[0], rows.iloc[1:]
    counts = (
        f"{labels.count(everything['earlier_only'])} write-ups are of the earlier look only, "
        f"{labels.count(everything['later_only'])} of the later only"
    )
    if everything["order"] == "too_few":
        return said(f"{counts}: too few to tell.")
    verdict = {
        "none": ": no more than luck would give, so that repairs do not show.",
        "earlier": ": more by the earlier look than luck explains, as repairs would do.",
        "later": ": more by the later look than luck explains, which repairs do not do.",
    }
    out = topics[topics["order"].isin(["earlier", "later"])].sort_values("q_order", kind="stable")
    if out.empty:
        return said(f"{counts}{verdict[everything['order']]}")
    named = [
        f"{labels.in_sentence(row.name)} ({labels.count(row.earlier_only)} earlier only, "
        f"{labels.count(row.later_only)} later only)"
        for row in each(out.head(_NAMED))
    ]
    more = [f"{labels.count(len(out) - _NAMED)} more"] if len(out) > _NAMED else []
    return together(
        said(f"{counts}{verdict[everything['order']]}"),
        said("By topic one look writes up more than luck explains on ", Strong(labels.listed([*named, *more])), "."),
    )


def how_many_more(rows: pd.DataFrame) -> Sentence:
    """How many more pairs it takes to know kappa. ``rows``: of all topics and of each that has enough decks."""
    everything, topics = rows.iloc[0], rows.iloc[1:]
    within = f"kappa is known to within {labels.coefficient(0.1).rstrip('0')} either way"
    short = topics[topics["more_pairs_needed"] > 0].sort_values("more_pairs_needed", kind="stable")
    first = (
        said(f"Over all topics {within}.")
        if not everything["more_pairs_needed"]
        else said(f"It takes {labels.plural(everything['more_pairs_needed'], 'more pair')} until {within}.")
    )
    if short.empty:
        return first
    least, most = short.iloc[0], short.iloc[-1]
    ends = [f"{labels.count(row['more_pairs_needed'])} ({labels.in_sentence(row['name'])})" for row in (least, most)]
    return together(first, said(f"For a single topic it takes {labels.listed(dict.fromkeys(ends), 'to')} more pairs."))


def pairs_of_topic(row: pd.Series) -> Sentence:
    """How the pairs of a topic fall. ``row``: its row of ``agreement``."""
    return said(
        f"{labels.plural(row['pairs'], 'pair')}: {labels.count(row['earlier_only'])} written up by the earlier look "
        f"only, {labels.count(row['later_only'])} by the later only, {labels.count(row['both_up'])} by both, "
        f"{labels.count(row['neither'])} by neither."
    )


def pair_line(row: Any) -> str:
    """A pair in a list to choose from: ``D1042 · only the later look wrote it up · 4 Mar 2026 and 20 Apr 2026``."""
    return f"{row.deck_id} · {KINDS[row.kind]} · {labels.day(row.earlier_on)} and {labels.day(row.later_on)}"


def look_facts(places: pd.DataFrame, call: str, verdict: object) -> list[tuple[str, str]]:
    """One look of a pair in rows of a small table.

    Parameters
    ----------
    places
        Rows of ``cases_of_pair`` of the one report, the strongest call first.
    call, verdict
        The strongest call of the report on the topic, and what the rules say of it.
    """
    first = places.iloc[0]
    place = str(first["place"]) if labels.is_known(first["place"]) else labels.NO_VALUE
    return [
        ("Report", str(first["report_id"])),
        ("Call", labels.CALLS[call]),
        ("Place", place if len(places) == 1 else f"{place}, {labels.join('one of', labels.count(len(places)))}"),
        ("Recorded", str(first["recorded"]) if labels.is_known(first["recorded"]) else labels.NO_VALUE),
        ("By the rule", labels.SAID[str(verdict)] if labels.is_known(verdict) else "no rule yet"),
    ]


def none_of_them(narrowed: bool) -> tuple[str, str]:
    """What to say where no deck was seen twice, and what to do."""
    hint = "Widen the days, or clear the filters below. " if narrowed else ""
    return (
        f"No deck was seen by two inspectors within {labels.plural(MOST_DAYS, 'day')}.",
        f"{hint}Pairs come of themselves where two colleagues report on one deck, if its deck_id (or the property_id) "
        "is the same in both reports. A calibration round compares them without waiting for that.",
    )


# ---- calibration rounds ----------------------------------------------------------------------------------------------


def no_round(narrowed: bool) -> str:
    """What to say where no round is loaded, and how one is."""
    within = " within these filters" if narrowed else ""
    return (
        f"No calibration round is loaded{within}. In a round several inspectors call the same items; its table has the "
        "columns round_id, held_on, item_id, topic, inspector_id and call, and known_verdict where the truth is known. "
        "A case pack, on the page Notes, gives a sheet to fill in."
    )


def of_round(row: pd.Series) -> Sentence:
    """A round in brief. ``row``: its row of all topics together."""
    who = said(
        Strong(f"{row['round_id']}, {labels.day(row['held_on'])}:"),
        f" {labels.plural(row['inspectors'], 'inspector')} called {labels.plural(row['items'], 'item')}.",
    )
    return together(who, _with_each_other(row), _with_the_truth(row))


def _with_each_other(row: pd.Series) -> Sentence:
    if row["no_kappa"] == "single_calls":
        return said("No item was called by two of them.")
    agreed = f"Two calls on an item agree in {labels.percent(row['raw'])} of cases"
    if row["status"] != "ok":
        return said(f"{agreed}; the items are too few to say how sure that is.")
    return said(f"{agreed} ({_share_interval(row, 'raw')}){_kappas(row)}.")


def _kappas(row: pd.Series) -> str:
    if labels.is_known(row["no_kappa"]):
        return f"; {NO_KAPPA[row['no_kappa']]}, so that there is no kappa"
    return f"; beyond chance by {_figure(row, 'fleiss')} (Fleiss), {_figure(row, 'alpha')} (Krippendorff)"


def _with_the_truth(row: pd.Series) -> Sentence:
    calls = int(row["known_calls"])
    if not calls:
        return said("What is right is known of none of the items.")
    known = f"Of {labels.plural(calls, 'call')} on items whose verdict is known"
    right = f"{known} {labels.count(row['known_right'])} agree with it"
    if calls < LEAST_JUDGED or row["status"] != "ok":
        return said(f"{right}.")
    share = labels.percent(row["known_share"])
    return said(f"{right} ({share}, {_share_interval(row, 'known_share')}).")


def against_bounds(row: Any, count: str, whole: str) -> str:
    """A count with its interval, and where it falls by the customary bounds: ``0 of 5 (0 to 52 %), cannot tell …``."""
    number, of = getattr(row, count), getattr(row, whole)
    if not of:
        return "none among the items"
    low, high, mark = (getattr(row, f"{count}_{end}") for end in ("low", "high", "mark"))
    told = f"{labels.part_of(number, of)} ({labels.join(labels.interval(low, high), '%')})"
    if mark in _MARKS:
        return f"{told}, {_MARKS[mark]}"
    needed = getattr(row, f"{count}_needed")
    under = f" under {labels.plural(int(needed), 'item')}" if labels.is_known(needed) else ""
    return f"{told}, cannot tell{under}"


def _share_interval(row: pd.Series, name: str) -> str:
    return labels.interval(row[f"{name}_low"], row[f"{name}_high"])


def _figure(row: pd.Series, name: str) -> str:
    return labels.coefficient_with_interval(row[name], row[f"{name}_low"], row[f"{name}_high"])
