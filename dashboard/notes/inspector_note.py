"""The note of an inspector: own calls beside those that peers would have made, and what is worth a look.

It bears the inspector's own code at its head and nobody else's anywhere: peers are a number and a band, and the cases
are the inspector's own, without names.
"""

from __future__ import annotations

from dataclasses import replace
from functools import partial

import pandas as pd

from dashboard.filters import EVERYTHING, Filters
from dashboard.measures import comparisons
from dashboard.measures.cases import cases
from dashboard.measures.catalog import criteria, topics
from dashboard.measures.choices import choices
from dashboard.measures.comparisons import MISSED, WorthALook
from dashboard.measures.funnel import luck_bands
from dashboard.measures.ground import alone, decks_seen
from dashboard.measures.inspectors import chosen, inspectors
from dashboard.measures.summary import summary
from dashboard.measures.write_ups import ALL
from dashboard.notes import inspectors_wording, note_wording, pictures, wording
from dashboard.notes.compose import about_note, runs, sample_cases, told_cases
from dashboard.notes.errors import UnknownInspector
from dashboard.notes.model import Note, Picture
from dashboard.warehouse import Snapshot

#: A note is one sheet.
_MOST_TOPICS = 6


def note_of_inspector(
    snapshot: Snapshot, inspector: str, filters: Filters = EVERYTHING, table: pd.DataFrame | None = None
) -> Note:
    """The note of an inspector; the same snapshot gives the same note.

    Parameters
    ----------
    inspector
        The code of a person.
    table
        Rows of ``inspectors`` of everybody within the filters, where they are at hand; it takes seconds to work them
        out.

    Raises
    ------
    UnknownInspector
        With those that there are.
    """
    everyone = replace(filters, inspectors=(), topics=())
    table = inspectors(snapshot, everyone) if table is None else table
    within = replace(filters, inspectors=(inspector,))
    own = chosen(table, within)
    if own.empty:
        raise UnknownInspector(inspector, choices(snapshot).inspectors)
    known = topics(snapshot).set_index("topic")
    titles = {str(topic): str(title) for topic, title in known["title"].items()}
    worth = comparisons.worth_a_look(own)
    looked_into = _looked_into(own, worth, known)
    first = known.loc[[looked_into[0]]].iloc[0]
    on_first = replace(within, topics=(looked_into[0],))
    found = summary(snapshot, within)
    rules = criteria(snapshot, looked_into[0]).to_dict("records")
    sources = tuple(partial(cases, snapshot, within, topic=topic) for topic in looked_into)
    missed = bool(worth) and worth[0].differs[0] == MISSED
    samples = sample_cases(snapshot, sources, "missed" if missed else "overcalled")
    facts = (table["inspector_id"].nunique(), decks_seen(snapshot, within).get(inspector, 0), titles)
    answer = partial(inspectors_wording.own_calls, own, *facts, alone(snapshot, everyone))
    named = [titles.get(each.topic, each.topic) for each in worth]
    seen = [
        sentence
        for each, title in zip(worth, named, strict=True)
        for sentence in inspectors_wording.why_worth_a_look(each, title)
    ]
    about = about_note(snapshot, first, on_first)
    return Note(
        kicker=inspectors_wording.note_kicker(inspector, found.first_day, found.last_day),
        title=inspectors_wording.note_title(worth[0] if worth else None, named, comparisons.any_made(own)),
        answer=runs(answer()),
        seen=runs(wording.together(answer(named=not worth), *seen, wording.said(inspectors_wording.NOT_A_GRADE))),
        rule=str(first["plain"]),
        source=note_wording.rule_source(rules, "", choices(snapshot).regions),
        judged=note_wording.judged(found),
        picture=_picture(own, titles),
        **about | {"habit": _habits(looked_into, known), "rule_heading": f"{about['rule_heading']}: {first['title']}"},
        **told_cases(snapshot, samples, rules),
    )


def _looked_into(own: pd.DataFrame, worth: list[WorthALook], known: pd.DataFrame) -> list[str]:
    """Topics with a rule: those worth a look; else that with most own calls that fail, or else most own calls."""
    with_rule = set(known.index[known["has_rule"].astype(bool)])
    found = [each.topic for each in worth if each.topic in with_rule]
    if found:
        return found
    ruled = own[own["topic"].isin(with_rule)]
    wrong = ruled.assign(wrong=ruled["overcalled"] + ruled["missed_found"])
    ranked = wrong.sort_values(["wrong", "trials"], ascending=False, kind="stable")["topic"]
    return [str(ranked.iloc[0])] if len(ranked) else [str(known.index[known["has_rule"].astype(bool)][0])]


def _habits(looked_into: list[str], known: pd.DataFrame) -> str:
    """What to do and record next time; topic by topic where there are several."""
    if len(looked_into) == 1:
        return str(known["habit"][looked_into[0]])
    return " ".join(f"{known['title'][topic]}: {known['habit'][topic]}" for topic in looked_into)


def _picture(own: pd.DataFrame, titles: dict[str, str]) -> Picture | None:
    drawn = comparisons.drawn_topics(own, _MOST_TOPICS)
    if drawn.empty:
        return None
    made = own[own["signal"].isin(comparisons.MADE) & (own["topic"] != ALL)]
    rows = luck_bands(drawn).assign(title=drawn["topic"].map(titles).fillna(drawn["topic"]))
    return pictures.own_calls(rows, inspectors_wording.how_to_read_the_bands(own, len(drawn), len(made), "not drawn"))
