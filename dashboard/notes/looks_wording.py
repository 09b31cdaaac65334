"""The sentences on the second looks that would teach most: what is drawn, what it would narrow, how it comes back."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import pandas as pd

from dashboard import labels
from dashboard.measures.looks import LOOKS
from dashboard.measures.rows import each
from dashboard.notes.wording import Sentence, Strong, said, together

STEM = "second-looks-to-make"
HOW = {"random": "at random", "targeted": "targeted"}
WHY = {
    "random_sample": "same chance as all of its kind",
    "comment_names_another_fault": "its comment names another fault",
    "bounds_far_apart": "least is known of this inspector's misses there",
}
HOW_TO_LOAD = (
    "Save the list and let somebody who did not write the report look at the record and the photos. They fill in who "
    "looked and on which day (2026-03-04), the ruling (`defect`, `acceptable` or `cannot_tell`) and the reason, and "
    "leave `chosen` as it stands: it says which looks speak for others. A spreadsheet keeps the numbers of the XLSX as "
    f"they are. Take out the lines that nobody got to; `evenhand load {STEM}.xlsx` then brings the looks in."
)
SAME_LIST = (
    "Within the same filters the list stays the same until the next load, so that nobody can draw until it suits."
)
NOTHING_OPEN = "No call that a rule could judge is left open, so that no second look would teach more."
GAIN_TITLE = "What looks at random would tell, by topic"
GAIN_CAPTION = (
    "Range: where the share of all these inspectors together may lie, if nothing is assumed of calls that could not be "
    f"judged, chance included. Either way: half of it. After the looks: after {LOOKS} at random, if they rule as the "
    "judged calls of their kind do; they may rule otherwise. In order of how far the range narrows, times looks at the "
    "topic, times its weight."
)


def what_they_would_tell(many: pd.Series, few: pd.Series, titles: Mapping[str, str]) -> Sentence:
    """How far looks at random would narrow the missed share of the topic that they teach most about.

    Parameters
    ----------
    many, few
        The topic's row of ``looks_gain`` for ``LOOKS`` looks, and for as many as the list has at random.
    titles
        The topics' titles by id.
    """
    title = labels.in_sentence(titles.get(many["topic"], many["topic"]))
    now = labels.join(labels.interval(many["missed_low"], many["missed_high"]), "%")
    wide, narrower, narrowest = (
        labels.points(half)
        for half in (many["missed_half_width"], few["missed_half_width_then"], many["missed_half_width_then"])
    )
    more = f", {labels.count(many['looks'])} looks to about {narrowest}" if many["looks"] > few["looks"] else ""
    return said(
        Strong(f"Looks at random at {title} would teach most."),
        f" How many of its defects are missed may now be anything from {now}, if nothing is assumed of the "
        f"{labels.plural(int(many['unjudged']), 'call')} that could not be judged. The "
        f"{labels.count(few['looks'])} on the list would narrow that from {wide} either way to about {narrower}{more}.",
    )


def what_is_drawn(looks: pd.DataFrame, titles: Mapping[str, str]) -> Sentence:
    """How many of the list are drawn at random, of which topic and with which chance, and how many are targeted.

    Parameters
    ----------
    looks
        Rows of ``looks_to_make``, at least one.
    """
    drawn, targeted = looks[looks["how"] == "random"], looks[looks["how"] == "targeted"]
    parts = [_drawn(drawn, titles)] if len(drawn) else []
    parts += [_targeted(targeted)] if len(targeted) else []
    listed = said(f"The list has {labels.plural(len(looks), 'look')}: {labels.listed(parts)}.")
    if targeted.empty:
        return listed
    return together(listed, said("Only those at random enter a rate; the others help with their case."))


def _drawn(drawn: pd.DataFrame, titles: Mapping[str, str]) -> str:
    topics = [labels.in_sentence(titles.get(topic, topic)) for topic in dict.fromkeys(drawn["topic"])]
    chances = [drawn["probability"].min(), drawn["probability"].max()]
    known = labels.listed(dict.fromkeys(labels.percent(chance) for chance in chances), "to")
    return (
        f"{labels.count(len(drawn))} drawn at random from the calls on {labels.listed(topics)} that could not be "
        f"judged, each with a known chance ({known})"
    )


def _targeted(targeted: pd.DataFrame) -> str:
    reasons = {
        "comment_names_another_fault": "a comment names another fault",
        "bounds_far_apart": "least is known of what an inspector misses",
    }
    counts = targeted["why"].value_counts()
    told = [(counts[why], words) for why, words in reasons.items() if why in counts]
    if len(told) == 1:
        return f"{labels.count(len(targeted))} targeted, where {told[0][1]}"
    each_of_them = labels.listed(f"{labels.count(count)} where {words}" for count, words in told)
    return f"{labels.count(len(targeted))} targeted ({each_of_them})"


def look_line(row: Any, titles: Mapping[str, str]) -> str:
    """A look in the list to choose from: ``W26-2412:02 · hanger missing · at random``."""
    return f"{row.observation_id} · {labels.in_sentence(titles.get(row.topic, row.topic))} · {HOW[row.how]}"


def list_columns(looks: pd.DataFrame, titles: Mapping[str, str]) -> dict[str, list[str]]:
    """The columns in words of the list as a table, by title."""
    return {
        "Topic": [titles.get(row.topic, row.topic) for row in each(looks)],
        "Call": [labels.CALLS[row.call] for row in each(looks)],
        "How": [HOW[row.how] for row in each(looks)],
        "Chance": [labels.percent(row.probability) if labels.is_known(row.probability) else "" for row in each(looks)],
        "Why": [WHY[row.why] for row in each(looks)],
    }


def gain_columns(gain: pd.DataFrame, titles: Mapping[str, str]) -> dict[str, list[str]]:
    """The columns in words of what looks at each topic would tell, by title."""
    return {
        "Topic": [titles.get(row.topic, row.topic) for row in each(gain)],
        "Missed, range": [_range(row.missed_low, row.missed_high) for row in each(gain)],
        "Missed, either way": [_points(row.missed_half_width) for row in each(gain)],
        "Missed, after the looks": [_points(row.missed_half_width_then) for row in each(gain)],
        "Sound work written up, range": [_range(row.overcalled_low, row.overcalled_high) for row in each(gain)],
        "Sound work, either way": [_points(row.overcalled_half_width) for row in each(gain)],
        "Sound work, after the looks": [_points(row.overcalled_half_width_then) for row in each(gain)],
    }


def _range(low: float, high: float) -> str:
    return labels.join(labels.interval(low, high), "%") if labels.is_known(low) and labels.is_known(high) else ""


def _points(half_width: float) -> str:
    return labels.points(half_width) if labels.is_known(half_width) else ""
