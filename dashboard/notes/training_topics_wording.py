"""The sentences of the page on what to train: which topics come first, what to judge more of, what the form mends."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

import pandas as pd

from dashboard import labels
from dashboard.measures.rows import each
from dashboard.measures.summary import Share
from dashboard.measures.training_plan import First, Quarter
from dashboard.notes import wording
from dashboard.notes.wording import Sentence, Strong, said, together

#: So many topics without a known place are named; the figures have all.
_NAMED = 5
_NUMBERS = ("none", "one", "two", "three")
HOW_TO_READ = (
    "Length: wrong calls that training could avoid in a quarter, each counted by the weight of its rule; line: "
    f"{labels.join('95', '%')} interval. Too much (▲) and too little (▼) stand side by side and are never set off "
    "against each other."
)
WHAT_IT_CANNOT_SHOW = (
    "It cannot show that a session will work, nor anything about calls that could not be judged: they are taken to be "
    "like the judged ones of the same kind."
)
REACH = (
    "How far training reaches is an assumption, no measurement: change it, and see whether the order stays. It is the "
    "share of wrong calls that go right afterwards: where a recorded measure breaks the rule, where only a second look "
    "found it, and where a stock sentence surely fails. Where the form lacks a field it is nothing."
)


def could_be_judged(judged: Share) -> Sentence:
    """How much the whole page rests on."""
    if judged.value is None or judged.low is None or judged.high is None:
        return said("Nothing was looked at here.")
    return said(
        f"{labels.percent(judged.value)} of {labels.count(judged.of)} calls could be judged "
        f"({labels.interval(judged.low, judged.high)})."
    )


def nothing_judged() -> tuple[str, str]:
    """In place of the page's content where no call could be judged."""
    return (
        "No call within these filters could be judged, so that no topic can be told from another.",
        "Widen the filters, or see on Data which measures are missing.",
    )


def where_most(found: First, table: pd.DataFrame, titles: Mapping[str, str]) -> Sentence:
    """Where training could do most, and how much of the order is known.

    Parameters
    ----------
    table
        The rows of ``training_topics`` that ``found`` was read from.
    """
    if not found.sure and not found.maybe:
        return said(Strong("No wrong call was found among them: there is nothing for training to avoid."))
    rows = {row.topic: row for row in each(table)}
    sure = [_with_figure(titles[topic], rows[topic], first=not at) for at, topic in enumerate(found.sure)]
    maybe = _names(found.maybe, titles)
    if not sure:
        return said(
            "Training could do most about ", Strong(maybe), f"; which {_NUMBERS[found.left]} come first is not known."
        )
    return together(_sure(sure, found.fixed, found.left), _left(found, maybe))


def _with_figure(title: str, row: Any, first: bool) -> str:
    ends = labels.join(labels.few(row.avoidable_low), "to", labels.few(row.avoidable_high))
    found = labels.few(row.avoidable)
    told = f"{labels.join(found, 'avoidable')} a quarter, by weight;" if first else f"{found},"
    return f"{labels.in_sentence(title)} ({told} {ends})"


def _sure(sure: list[str], fixed: int, left: int) -> Sentence:
    """Those that are among the first three; their order as far as it is known."""
    if fixed == len(sure):
        return said("Training could do most about ", Strong(", then ".join(sure)), ".")
    if fixed:
        others = sure[fixed:]
        order = "; their order is not known." if len(others) > 1 else "."
        first = Strong(", then ".join(sure[:fixed]))
        return said("Training could do most about ", first, ", and then about ", Strong(labels.listed(others)), order)
    if len(sure) == 1:
        return said("Among the first three is ", Strong(sure[0]), ".")
    which = "Among the first three are" if left else f"These {_NUMBERS[len(sure)]} are where training could do most:"
    return said(f"{which} ", Strong(labels.listed(sure)), "; their order is not known.")


def _left(found: First, maybe: str) -> Sentence | None:
    if not found.maybe or not found.left:
        return None
    more = "One more of the first three is" if found.left == 1 else "Two more of the first three are"
    return said(f"{more} not known: {maybe}.")


def _names(topics: Iterable[str], titles: Mapping[str, str]) -> str:
    named = [labels.in_sentence(titles[topic]) for topic in topics]
    more = len(named) - _NAMED
    if more > 0:
        return f"{', '.join(named[:_NAMED])} or {labels.plural(more, 'other')}"
    return labels.listed(named, "or")


# ---- beside the picture ----------------------------------------------------------------------------------------------


def judge_more(rows: pd.DataFrame, of: int, titles: Mapping[str, str]) -> tuple[str, str] | None:
    """Topics whose place hangs on calls that could not be judged; None where there is none."""
    if rows.empty:
        return None
    named = labels.listed(labels.in_sentence(titles[row.topic]) for row in each(rows.head(3)))
    told = [
        f"{labels.in_sentence(titles[row.topic])} ({labels.join('place', row.rank_least, 'to', row.rank_most)})"
        for row in each(rows.head(3))
    ]
    more = len(rows) - len(told)
    others = f", and {labels.plural(more, 'more topic')}" if more else ""
    return (
        f"Judge more of these first: {named}",
        f"Their place if every call that could not be judged were right, and if it were wrong: {labels.listed(told)}"
        f"{others}, of {labels.count(of)}. A second look, or the measure written down, settles more than a session.",
    )


def not_by_training(found: Quarter) -> tuple[str, str]:
    """What the form mends and no session does."""
    return (
        f"{labels.join(labels.few(found.undecided), 'of', labels.few(found.calls))} calls a quarter will stay open",
        "They are in no bar. Where a measure is lacking the form mends that, and no training; some are left to the "
        "inspector by the rule.",
    )


def both_ways(found: Quarter) -> tuple[str, str]:
    """The two sums, apart."""
    return (
        f"▲ {labels.few(found.too_much)} too much, ▼ {labels.few(found.too_little)} too little",
        "Avoidable in a quarter over all topics, by weight. A session on one side alone tends to move the other.",
    )


# ---- a topic ---------------------------------------------------------------------------------------------------------

_WHOM = {
    "whole team": "Most of it is common to all: speak of it with the whole team.",
    "a few": "Most of it is not common to all: a few colleagues need it.",
    "one": "Most of what is not common lies with one colleague: a talk does more than a session.",
}


def whom(row: Any, alone: bool = False) -> str:
    """Whether the whole team, a few or one; how many colleagues have such calls, and how much of it is common.

    ``alone``: the page is narrowed down to one colleague.
    """
    if not row.inspectors:
        return "No colleague has a wrong call here."
    if alone:
        return "Narrowed down to one colleague: whether others need it too cannot be told here."
    have = f"{labels.plural(row.inspectors, 'colleague')} {'has' if row.inspectors == 1 else 'have'} such calls"
    common = labels.join(labels.few(row.common), "of", labels.few(row.avoidable))
    return f"{have}; of what training could avoid, {common} is common. {_WHOM[row.suggested]}"


def a_quarter(row: Any) -> str:
    """What a quarter is expected to bring on a topic."""
    return (
        f"Expected in a quarter: {labels.few(row.expected_decks)} decks looked at, {labels.few(row.overcalled)} "
        f"write-ups that do not hold, {labels.few(row.missed)} defects passed over, {labels.few(row.understated)} only "
        f"advised upon; {labels.percent(row.judged_share)} of these calls could be judged."
    )


KIND_SAYS = {"overcalled": "write-ups that do not hold", "missed": "passed over, or only advised upon"}


def kind_rows(kinds: pd.DataFrame) -> list[tuple[str, str, str]]:
    """The largest kinds of wrong call: name, which way, and count with interval."""
    return [
        (
            f"{labels.GLYPHS[row.outcome]} {row.recorded}",
            f"{KIND_SAYS[row.outcome]}; by {labels.plural(row.inspectors, 'colleague')}",
            f"{labels.part_of(row.wrong, row.judged)} "
            f"({labels.join(labels.interval(row.share_low, row.share_high), '%')})",
        )
        for row in each(kinds)
    ]


def sources(rules: pd.DataFrame) -> str:
    """Where the rules of a topic come from, and how their values are known."""
    told = dict.fromkeys(wording.source_in_words(rule) for rule in rules.to_dict("records"))
    return f"Source: {'; '.join(told)}." if told else ""
