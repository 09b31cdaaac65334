"""The sentences of the note of a month: what lies beyond luck in it, and what luck alone gives."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import pandas as pd

from dashboard import labels
from dashboard.measures.months import ALL, LEAST_TRIALS
from dashboard.measures.one_month import OneMonth, Tally
from dashboard.measures.rows import each
from dashboard.notes import time_wording
from dashboard.notes.note_wording import capital
from dashboard.notes.wording import Sentence, Strong, said, together

#: So many shares beyond luck are told; the table months has all.
_NAMED = 3
HOW_HEADING = "How luck is told"
HOW = (
    "What is expected of a month is what the same people usually write up on such decks, or the topic's own share over "
    "all the time. A month lies beyond luck where luck alone would carry at most "
    f"{labels.join('0.1', '%')} of months so far that way."
)
WHY_NOT = (
    "A note of a month cannot say why something moved: a new form, a session, other decks or a new habit look alike. "
    "Source: common practice in control charts, with exact limits."
)
NOTHING_TO_TEACH = (
    "Write the measure down with every call, passed ones too: a month can only be told by what was recorded in it."
)
_TABLE_HEAD = ("All topics together", "Count", "Share", "By luck")


def kicker_title(month: pd.Timestamp) -> str:
    """What stands for the topic in the note's first line."""
    return labels.month(month)


def title(found: OneMonth, titles: Mapping[str, str]) -> str:
    """The finding that is told first."""
    if not found.tally.told:
        return f"{labels.month(found.month)}: too few calls to say"
    if found.beyond.empty:
        return "Nothing moved beyond luck"
    first = next(each(found.beyond.head(1)))
    return capital(time_wording.than_luck_allows(_title(first, titles), first.outcome, first.signal))


def answer(found: OneMonth) -> Sentence:
    """The finding in a sentence, for the page above the note."""
    return _tallied(found)


def seen(found: OneMonth, titles: Mapping[str, str], with_table: bool) -> Sentence:
    """What we see: what lies beyond luck, how much of that luck gives, colleagues' own charts.

    ``with_table``: the counts of all topics together stand in the note's table, and not here.
    """
    first = [
        time_wording.beyond_luck(_title(row, titles), row.outcome, row, "month")
        for row in each(found.beyond.head(_NAMED))
    ]
    more = len(found.beyond) - len(first)
    return together(
        *first,
        said(f"{labels.plural(more, 'more share')} {_lie(more)} beyond luck.") if more > 0 else None,
        _tallied(found),
        _of_all_months(found),
        _own_charts(found),
        None if with_table else said(_in_words(found)),
    )


def _title(row: Any, titles: Mapping[str, str]) -> str | None:
    return None if row.topic == ALL else titles.get(row.topic, row.topic)


def _tallied(found: OneMonth) -> Sentence:
    when, tally = labels.month(found.month), found.tally
    if not tally.told:
        few = labels.join(LEAST_TRIALS, "calls")
        return said(Strong(f"Too few calls in {when} to say:"), f" nothing has the {few} that it takes.")
    finding = f"{labels.count(tally.beyond) if tally.beyond else 'none'} {_lie(max(tally.beyond, 1))} beyond luck"
    shares = f"Of {labels.plural(tally.told, 'share')} followed in {when}, "
    return said(shares, Strong(finding), f"; luck alone gives {_luck(tally)}.")


def _lie(number: int) -> str:
    return "lies" if number == 1 else "lie"


def _luck(tally: Tally) -> str:
    return time_wording.about(tally.by_luck)


def _of_all_months(found: OneMonth) -> Sentence | None:
    tally = found.of_all_months
    if not tally.told or found.first_month == found.last_month:
        return None
    span = f"{labels.month(found.first_month)} to {labels.month(found.last_month)}"
    of = f"of {labels.plural(tally.told, 'share')}"
    lie = f"{labels.count(tally.beyond)} {of} {_lie(tally.beyond)}" if tally.beyond else f"none {of} lies"
    explained = ", so that this may be luck, too" if found.tally.beyond and tally.explained else ""
    return said(f"Over all months, {span}, {lie} beyond luck; luck alone gives {_luck(tally)}{explained}.")


def _own_charts(found: OneMonth) -> Sentence | None:
    """Whose own write-ups changed for good is a matter between two; here it is a number."""
    if not found.people:
        return None
    people = f"{labels.plural(found.people, 'colleague')} followed deck by deck"
    luck = labels.few(found.signals_by_luck)
    if not found.signals:
        return said(f"Of {people}, none had a signal of lasting change in this month.")
    have = f"{labels.count(found.signals)} had a signal of lasting change in this month"
    return said(f"Of {people}, {have}; luck alone gives about {luck} a month.")


def table(found: OneMonth) -> tuple[tuple[str, ...], ...]:
    """All topics together: a row a share, with its count, its interval and how far luck goes."""
    return (_TABLE_HEAD, *(_row(row) for row in each(found.together)))


def _row(row: Any) -> tuple[str, ...]:
    few = row.signal == "too_few"
    luck = "too few to say" if few else labels.join(labels.count(row.lower), "to", labels.count(row.upper))
    share = labels.percent_with_interval(row.share, row.share_low, row.share_high)
    return (labels.OVER_TIME[row.outcome], labels.part_of(row.count, row.trials), share, luck)


def _in_words(found: OneMonth) -> str:
    return " ".join(f"{name}: {count}, {share}." for name, count, share, _ in map(_row, each(found.together)))


def caption(outcome: str, title: str | None, changes: pd.DataFrame) -> str:
    """What is drawn, what else changed meanwhile (rows of ``changes_of``), and what the table is of."""
    drawn = (
        f"{time_wording.subject(title, outcome)}, month by month. Shaded: where luck leaves a month; thin line: what "
        "is expected; thick pale line: slow change."
    )
    of_table = "The table is of this month; the same shares are followed in each topic with enough calls."
    return " ".join([drawn, *time_wording.what_changed(changes), of_table])
