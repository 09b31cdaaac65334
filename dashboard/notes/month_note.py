"""The note of a month: what moved beyond luck in it, and how much of that luck alone gives; nobody is named in it.

Where a topic with a rule stands out it has that topic's rule, habit and cases of this month; else it says how luck is
told.
"""

from __future__ import annotations

import re
from dataclasses import replace
from functools import partial
from typing import Any

import pandas as pd

from dashboard.filters import EVERYTHING, Filters
from dashboard.measures.cases import cases
from dashboard.measures.catalog import criteria, topics
from dashboard.measures.changes import changes, changes_of, guidelines
from dashboard.measures.choices import choices
from dashboard.measures.months import ALL
from dashboard.measures.one_month import OneMonth, history, known_months, one_month
from dashboard.measures.over_time import WRITTEN_UP, OverTime, over_time, told, within_period
from dashboard.measures.summary import summary
from dashboard.notes import month_wording, note_wording, pictures
from dashboard.notes.compose import about_note, runs, sample_cases, told_cases, topic_with_rule
from dashboard.notes.errors import UnknownMonth
from dashboard.notes.model import Note, Picture
from dashboard.warehouse import Snapshot

_MONTH = re.compile(r"(\d{4})-(0[1-9]|1[0-2])")


def note_of_month(snapshot: Snapshot, month: str, filters: Filters = EVERYTHING, moved: OverTime | None = None) -> Note:
    """The note of a month; the same snapshot gives the same note.

    Parameters
    ----------
    month
        ``2026-10``.
    moved
        What ``over_time`` gives within the filters, where it is at hand; it takes seconds to work it out.

    Raises
    ------
    UnknownMonth
        It is none, or has no calls.
    """
    moved = over_time(snapshot, filters) if moved is None else moved
    found = one_month(moved, _month(month, moved))
    known = topics(snapshot)
    titles = dict(zip(known["topic"], known["title"], strict=True))
    topic = found.topic(known.loc[known["has_rule"], "topic"])
    within = within_period(filters, found.month, "month")
    within = replace(within, topics=(topic,)) if topic else within
    picture = _picture(snapshot, moved, found, titles, filters)
    of_month = summary(snapshot, within)
    return Note(
        kicker=note_wording.kicker(month_wording.kicker_title(found.month), filters, of_month),
        title=month_wording.title(found, titles),
        answer=runs(month_wording.answer(found)),
        seen=runs(month_wording.seen(found, titles, picture is not None)),
        judged=note_wording.judged(of_month),
        picture=picture,
        **(_of_topic(snapshot, topic, within, found) if topic else _of_luck(snapshot, within)),
    )


def _month(text: str, moved: OverTime) -> pd.Timestamp:
    known = known_months(moved)
    wanted = pd.Timestamp(f"{text}-01") if _MONTH.fullmatch(text) else None
    if wanted not in known:
        raise UnknownMonth(text, [month.strftime("%Y-%m") for month in reversed(known)])
    return wanted


def _of_topic(snapshot: Snapshot, topic: str, within: Filters, found: OneMonth) -> dict[str, Any]:
    """Rule, habit and cases of the topic that stands out."""
    about = topic_with_rule(snapshot, topic)
    rules = criteria(snapshot, topic).to_dict("records")
    missed = found.beyond.loc[found.beyond["topic"] == topic, "outcome"].iloc[0] == "missed"
    samples = sample_cases(
        snapshot, (partial(cases, snapshot, within, topic=topic),), "missed" if missed else "overcalled"
    )
    around = about_note(snapshot, about, within)
    caution = str(about["caution"]) if pd.notna(about["caution"]) else ""
    return {
        **around,
        "rule_heading": f"{around['rule_heading']}: {about['title']}",
        "rule": str(about["plain"]),
        "source": note_wording.rule_source(rules, caution, choices(snapshot).regions),
        **told_cases(snapshot, samples, rules),
    }


def _of_luck(snapshot: Snapshot, within: Filters) -> dict[str, Any]:
    """In their place, where no topic stands out: how luck is told."""
    nothing = pd.Series({"habit": month_wording.NOTHING_TO_TEACH})
    return {
        **about_note(snapshot, nothing, within),
        "rule_heading": month_wording.HOW_HEADING,
        "rule": month_wording.HOW,
        "source": month_wording.WHY_NOT,
        "record": "",
        **told_cases(snapshot, [], []),
    }


def _picture(
    snapshot: Snapshot, moved: OverTime, found: OneMonth, titles: dict[str, str], filters: Filters
) -> Picture | None:
    """All months of what is told first; of all write-ups together where nothing is; None where all are too few."""
    first = found.beyond.head(1).to_dict("records") or [{"topic": ALL, "outcome": WRITTEN_UP}]
    topic, outcome = first[0]["topic"], first[0]["outcome"]
    rows = history(moved, topic, outcome)
    if told(rows).empty:
        return None
    sessions = moved.sessions
    held = sessions.drop_duplicates("held_on") if topic == ALL else sessions[sessions["topic"] == topic]
    others = changes_of(pd.concat([changes(snapshot), guidelines(snapshot, filters)], ignore_index=True), topic, rows)
    caption = month_wording.caption(outcome, titles.get(topic), others)
    return pictures.months(rows, held, others, outcome, caption, month_wording.table(found))
