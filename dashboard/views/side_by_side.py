"""Inspectors side by side: who writes up more or less often than peers would on the same decks, by more than luck."""

from __future__ import annotations

from dataclasses import replace

import pandas as pd
import streamlit as st

from dashboard import controls, labels, state, store
from dashboard.charts import funnel as funnel_chart
from dashboard.charts import inspector_grid, ratio_dots
from dashboard.filters import Filters
from dashboard.measures import comparisons
from dashboard.measures.catalog import topics
from dashboard.measures.funnel import funnel
from dashboard.measures.ground import alone, decks_seen
from dashboard.measures.inspectors import chosen, inspectors
from dashboard.measures.summary import extent
from dashboard.measures.write_ups import ALL
from dashboard.notes import inspectors_wording as told
from dashboard.notes import wording
from dashboard.views import links, parts
from dashboard.views.inspectors_figures import show_differences, show_figures
from dashboard.views.inspectors_luck import show_luck

BY_NAME, BY_EVIDENCE = "name", "evidence"
_ORDERS = {BY_NAME: "By name", BY_EVIDENCE: "By evidence"}
ALL_PARTS = "all"
COMPARING = "Comparing each inspector with peers on the same decks. The first time this takes a few seconds …"
#: So many inspectors stand in a grid, and in the list beside the funnel; more are on further pages, and in the figures.
_MOST_COLUMNS, _MOST_ROWS = 12, 24


def show() -> None:
    """Title, answer, funnel and list; topics by inspectors; all figures."""
    top, pictures, below = st.container(), st.container(), st.container()
    with below:
        with st.container(horizontal=True, vertical_alignment="top"):
            picking, ordering = st.container(width=340), st.container(width="content")
        filtered = controls.filters()
    found = store.measured(extent, filtered)
    with top:
        parts.head("Inspectors side by side", wording.scope(found.first_day, found.last_day, controls.chosen(filtered)))
        everybody = _compared(filtered)
    table = chosen(everybody, filtered)
    if table.empty:
        with top:
            parts.nothing_within()
        return
    with picking:
        topic = _pick_topic(table)
    with ordering:
        order = controls.switch("Order of the list", list(_ORDERS), state.ORDER, _ORDERS.__getitem__)
    rows, only = table[table["topic"] == topic], store.measured(alone, everyone(filtered))
    with top:
        parts.answer(_answer(table, rows, everybody["inspector_id"].nunique(), only, filtered))
    with pictures:
        _pictures(rows, only, order, filtered)
    _grid(table, everybody, filtered)
    _open_one(table, filtered)
    show_differences(table, controls.within(filtered))
    show_luck(everybody, everyone(filtered))
    show_figures(rows, table, controls.within(filtered))


def everyone(filtered: Filters) -> Filters:
    """The filters without those that only choose among what is compared."""
    return replace(filtered, inspectors=(), topics=())


def _compared(filtered: Filters) -> pd.DataFrame:
    """Rows of ``inspectors`` of everybody."""
    with st.spinner(COMPARING):
        return store.measured(inspectors, everyone(filtered))


def _answer(
    table: pd.DataFrame, rows: pd.DataFrame, people: int, only: pd.DataFrame, filtered: Filters
) -> wording.Sentence:
    titles, topic = controls.topic_titles(), _own_topic(rows)
    decks = store.measured(decks_seen, filtered, topic=topic)["all"]
    first = told.side_by_side(rows, people, decks, titles.get(topic, topic) if topic else None, only)
    if topic:
        return first
    made = comparisons.made(comparisons.compared(table, comparisons.WRITTEN_UP))
    return wording.together(first, told.topic_by_topic(comparisons.that_differ(table), made, titles))


def _pick_topic(table: pd.DataFrame) -> str:
    """All topics or one; each says how many differ in it."""
    differ = table[table["signal"].isin(comparisons.DIFFERS)].groupby("topic").size()
    titles = controls.topic_titles() | {ALL: "All topics"}

    def words(topic: str) -> str:
        title = titles.get(topic, topic)
        return f"{title} · {labels.count(differ[topic])} beyond luck" if topic in differ else title

    return str(controls.pick("Topic", list(dict.fromkeys(table["topic"])), state.COMPARED, words))


# ---- the pictures ----------------------------------------------------------------------------------------------------


def _pictures(rows: pd.DataFrame, only: pd.DataFrame, order: str, filtered: Filters) -> None:
    address = {person: links.of_inspector(filtered, person, _own_topic(rows)) for person in rows["inspector_id"]}
    found = funnel(rows)
    with st.grid(2, min_column_width=460, gap="medium"):
        if len(found.limits):
            with st.container():
                parts.section("More, or fewer, than luck allows?")
                parts.chart(store.drawn(funnel_chart.funnel, rows, found.limits, parts.colors(), address))
        with st.container():
            parts.section(f"{_ORDERS[order]}: as often as peers?")
            listed = _listed(rows, order)
            parts.chart(store.drawn(ratio_dots.ratio_dots, listed, parts.colors(), address))
            if len(rows) > len(listed):
                parts.caption(f"{labels.plural(len(rows) - len(listed), 'more inspector')} in the figures below.")
    parts.caption(
        told.how_to_read_the_funnel(found, bool((rows["signal"] == "too_few").any())) if len(found.limits) else "",
        told.expected_from(rows),
        told.alone_on_their_ground(only, list(rows["inspector_id"])),
        told.NOT_A_GRADE,
    )


def _own_topic(rows: pd.DataFrame) -> str | None:
    topic = str(rows["topic"].iloc[0])
    return None if topic == ALL else topic


def _listed(rows: pd.DataFrame, order: str) -> pd.DataFrame:
    """The rows of the list; of a large firm those whose difference is surest."""
    first = comparisons.by_evidence(rows).head(_MOST_ROWS)
    return first if order == BY_EVIDENCE else first.sort_values("inspector_id", kind="stable")


def _grid(table: pd.DataFrame, everybody: pd.DataFrame, filtered: Filters) -> None:
    st.divider()
    parts.section("Topics by inspector: only what is beyond luck has color")
    place = st.container()
    with st.container(horizontal=True, vertical_alignment="top"):
        showing, parting = st.container(width="content"), st.container(width="content")
    with showing:
        kind = controls.switch("Show", list(labels.COMPARISONS), state.GRID_SHOWS, labels.COMPARISONS.__getitem__)
    cells = _cells(table, kind)
    with parting:
        part = _pick_part(cells)
    people = list(dict.fromkeys(table["inspector_id"]))
    shown = _page_of(people)
    drawn = cells[cells["inspector_id"].isin(shown) & ((cells["part"] == part) | (part == ALL_PARTS))]
    with place:
        if drawn.empty:
            st.markdown("Nobody has enough in any topic for this comparison.")
            return
        counted, leads = labels.COUNTED[kind], links.of_cells(filtered, drawn)
        parts.chart(store.drawn(inspector_grid.inspector_grid, drawn, counted, parts.colors(), leads))
        parts.caption(
            told.how_to_read_the_grid(kind),
            told.how_many_were_compared(comparisons.compared(everybody, kind)),
            labels.MISSES_CAUTION if kind == comparisons.MISSED else "",
        )
        if len(people) > len(shown):
            st.pagination(-(-len(people) // _MOST_COLUMNS), key=state.page_key(state.GRID_COLUMNS))


def _cells(table: pd.DataFrame, kind: str) -> pd.DataFrame:
    """The comparisons of a kind, of topics in which any was made, with ``title`` and ``part`` of the deck."""
    cells = comparisons.compared(table[table["topic"] != ALL], kind)
    made = cells.loc[cells["signal"].isin(comparisons.MADE), "topic"]
    known = store.measured(topics)[["topic", "title", "topic_group"]].rename(columns={"topic_group": "part"})
    return cells[cells["topic"].isin(made)].merge(known, on="topic", how="left")


def _pick_part(cells: pd.DataFrame) -> str:
    """The part of the deck to show; that with most beyond luck first."""
    out = cells["signal"].isin(comparisons.DIFFERS).groupby(cells["part"], sort=False).sum()
    if out.empty:
        return ALL_PARTS
    first = str(out.idxmax())
    options = [first, *(str(part) for part in out.index if part != first), ALL_PARTS]
    return controls.switch(
        "Part of the deck", options, state.GRID_PART, lambda part: "All parts" if part == ALL_PARTS else part
    )


def _page_of(people: list[str]) -> list[str]:
    at = state.page(state.GRID_COLUMNS, ",".join(people))
    return people[_MOST_COLUMNS * (at - 1) : _MOST_COLUMNS * at]


def _open_one(table: pd.DataFrame, filtered: Filters) -> None:
    """What a cell leads to, from lists."""
    titles = controls.topic_titles() | {ALL: "All topics"}
    with st.container(horizontal=True, vertical_alignment="bottom"):
        with st.container(width=200):
            person = controls.pick(
                "Open an inspector", list(dict.fromkeys(table["inspector_id"])), state.OPEN_INSPECTOR, str
            )
        own = table.loc[table["inspector_id"] == person, "topic"]
        with st.container(width=340):
            topic = controls.pick("On the topic", list(own), state.OPEN_TOPIC, lambda topic: titles.get(topic, topic))
        links.to_inspector(filtered, f"The page of {person}", person, None if topic == ALL else topic)


show()
