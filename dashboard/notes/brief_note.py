""" "Before you go" as one printable page: what was found on decks like this one, and what was passed over."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

import pandas as pd

from dashboard import labels
from dashboard.charts import theme
from dashboard.charts.found_dots import found_dots
from dashboard.filters import Filters
from dashboard.measures.brief import Deck, brief, passed_over_most
from dashboard.measures.catalog import topics as catalog_topics
from dashboard.measures.choices import choices
from dashboard.notes import brief_wording as words
from dashboard.notes import note_wording
from dashboard.notes.errors import NothingAlike, UnknownTopic
from dashboard.notes.model import Note, Part, Picture
from dashboard.warehouse import Snapshot

#: So many topics are drawn, and so many listed as passed over: the page is one sheet, and its picture 2 in high.
DRAWN, _LISTED = 6, 5
_PAPER = replace(theme.LIGHT, ground="#FFFFFF")
_WIDTH_PX = 480


def brief_on(snapshot: Snapshot, like: Deck, topics: Iterable[str] = ()) -> Note:
    """The page on decks like this one; the same snapshot gives the same page.

    Parameters
    ----------
    topics
        Topics to keep to; none is all of them.

    Raises
    ------
    UnknownTopic
        A topic is not in the catalog or has no rule.
    NothingAlike
        No such deck was looked at.
    """
    known, asked = catalog_topics(snapshot), tuple(topics)
    with_rule = list(known.loc[known["has_rule"], "topic"])
    for topic in asked:
        if topic not in with_rule:
            raise UnknownTopic(topic, with_rule)
    table = brief(snapshot, like, Filters(topics=asked))
    if table.empty:
        raise NothingAlike(*words.nothing_alike(like))
    names = dict(zip(known["topic"], known["title"], strict=True))
    habits = dict(zip(known["topic"], known["habit"], strict=True))
    passed, days = passed_over_most(table), choices(snapshot)
    return Note(
        kicker=words.kicker(like, days.first_day, days.last_day),
        title=words.title(table, names),
        answer=(),
        seen=tuple(Part(text=text, strong=strong) for text, strong in words.answer(like, table, passed, names).runs),
        rule_heading=words.PASSED_OVER,
        rule=words.passed_over(passed, names),
        source=words.alike(table, like),
        picture=_picture(table, passed, names),
        habit_heading=words.TO_MEASURE,
        habit=words.to_measure(words.wanted(table, passed), names, habits),
        record=words.PAST_DECKS,
        cases_heading="",
        cases=(),
        judged=words.judged(table),
        cautions=" ".join(labels.CAUTIONS),
        origin=note_wording.origin(snapshot.info),
        made_at=snapshot.info.created_at,
    )


def drawn(table: pd.DataFrame, names: dict[str, str]) -> pd.DataFrame:
    """The rows that are drawn: what was found most, with the topics' titles."""
    return table[table["found"] > 0].head(DRAWN).assign(name=lambda rows: rows["topic"].map(names))


def _picture(table: pd.DataFrame, passed: pd.DataFrame, names: dict[str, str]) -> Picture | None:
    rows = drawn(table, names)
    if rows.empty:
        return None
    chart = found_dots(rows, _PAPER).properties(width=_WIDTH_PX)
    return Picture(
        heading=words.FOUND,
        chart=chart.to_dict(validate=False),
        says=str(chart.description),
        caption=words.FOUND_CAPTION,
        table=words.passed_rows(passed, names, _LISTED),
    )
