"""The only builder of filters and choices. They stand in the address, so that a link shows the same page, and are kept
from page to page."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from textwrap import shorten
from typing import Any

import streamlit as st

from dashboard import address, labels, state, store
from dashboard.filters import Filters
from dashboard.measures.catalog import measures, topics
from dashboard.measures.choices import Choices, choices
from dashboard.measures.loads import loads

_FILTER_NAMES = ("days", "regions", "builders", "topics", "deck ages", "inspectors", "loads")
#: So many letters of what is chosen stand on the closed bar.
_TOLD_LETTERS = 60


def filters() -> Filters:
    """Days, regions, builders, topics, deck ages, inspectors, loads; nothing chosen is the whole firm.

    They stand in an order that reads on a phone too; what clears them stands outside the fold, for whoever followed a
    link to a narrowed page. Whoever opens the dashboard serves it on their own machine and answers for the reports, so
    that inspectors can be chosen.
    """
    offered = store.measured(choices)
    for key, name in state.LISTS.items():
        _keep_offered(key, getattr(offered, name))
    on = state.filters()
    with st.container(horizontal=True, vertical_alignment="top", gap="small", key="filters_bar"):
        panel = st.expander(_filters_label(on), expanded=False, key=state.FILTERS_PANEL, on_change="ignore")
        if not on.is_empty:
            st.button("Clear all of these", on_click=state.clear, args=(state.FILTERS, dict.fromkeys(state.DAYS)))
    with panel:
        grid = st.grid(4, min_column_width=200)
        return Filters(
            first_day=_day(grid, "From", state.FIRST_DAY, offered),
            last_day=_day(grid, "To", state.LAST_DAY, offered),
            regions=_several(grid, "Region", state.REGIONS, offered.regions, labels.group),
            builders=_several(grid, "Builder", state.BUILDERS, offered.builders, labels.group),
            topics=_several(grid, "Topics", state.TOPICS, offered.topics, topic_titles().__getitem__),
            deck_ages=_several(grid, "Deck age, years", state.AGES, offered.deck_ages, labels.group),
            inspectors=_several(grid, "Inspector", state.INSPECTORS, offered.inspectors, str),
            loads=_several(grid, "Came in with load", state.LOADS, offered.loads, load_name),
        )


def _filters_label(on: Filters) -> str:
    """What can be narrowed down; where something is, to what, since a filter holds on every page."""
    if on.is_empty:
        return f"Narrow down: {labels.listed(_FILTER_NAMES)}"
    told = shorten(", ".join([*_days(on), *chosen(on, brief=True)]), _TOLD_LETTERS, placeholder=" …")
    return f"**Narrowed down on every page:** {labels.escape_markdown(told)}"


def chosen(filtered: Filters, brief: bool = False) -> list[str]:
    """What is filtered, in words, but for the days; in brief a load is its number alone."""
    told: dict[str, tuple[str, Callable[[str], str]]] = {
        "regions": ("", labels.group),
        "builders": ("", labels.group),
        "topics": ("", lambda topic: topic_titles().get(topic, topic)),
        "deck_ages": ("deck age ", labels.group),
        "inspectors": ("inspector ", str),
        "loads": ("load ", str) if brief else ("Came in with ", load_name),
    }
    return [
        f"{before}{labels.listed(words(value) for value in getattr(filtered, name))}"
        for name, (before, words) in told.items()
        if getattr(filtered, name)
    ]


def within(filtered: Filters) -> str:
    """All filters in one line, days included: what a saved table says of itself."""
    return " · ".join([*(chosen(filtered) or ["Whole firm"]), *_days(filtered)])


def _days(filtered: Filters) -> list[str]:
    """The days that are filtered by, in words."""
    return [
        f"{word} {labels.day(day)}" for word, day in (("from", filtered.first_day), ("to", filtered.last_day)) if day
    ]


def topic_titles() -> dict[str, str]:
    """The topics' titles by id."""
    known = store.measured(topics)
    return dict(zip(known["topic"], known["title"], strict=True))


def measure_titles() -> dict[str, str]:
    """The measures' titles by id."""
    known = store.measured(measures)
    return dict(zip(known["measure"], known["title"], strict=True))


def load_name(load: str) -> str:
    """A load as shown: its day and its number."""
    known = store.measured(loads)
    days = known.loc[known["load_id"] == load, "loaded_at"]
    return f"load {load} of {labels.day(days.iloc[0])}" if len(days) else f"load {load}"


def pick(
    label: str, options: Sequence[Any], key: str, words: Callable[[Any], str], index: int | None = 0, **more: Any
) -> Any:
    """One choice from a list, shown as text.

    Where nothing is chosen, or what was chosen is no longer offered, it is the option at ``index``; with None nothing.
    """
    default = options[index] if options and index is not None else None
    # Said outright, and not left to the list's own default: the browser would go on showing what it showed before.
    if state.chosen(key) not in options:
        state.choose(key, default)
    picked = st.selectbox(label, options, key=key, format_func=words, **{"persist_state": "session"} | more)
    address.stands(key, picked, default)
    return picked


def number(label: str, key: str, most: int, default: int | None = None, **more: Any) -> int | None:
    """A whole number from 0 to ``most``; the default, or nothing, where none is given or the address holds another."""
    given = str(state.chosen(key) if state.chosen(key) is not None else "")
    # Said outright, as in a list: the address knows text alone, and may hold any.
    state.choose(key, int(given) if given.isdecimal() and int(given) <= most else default)
    picked = st.number_input(label, min_value=0, max_value=most, key=key, persist_state="session", **more)
    address.stands(key, picked, default)
    return picked


def person(offered: Sequence[str]) -> str | None:
    """Whose page it is: the one inspector that the filter names, or who is chosen here; None where nobody is.

    Choosing sets the filter, so that the next page is about the same colleague.
    """
    named = state.chosen(state.INSPECTORS) or (offered if len(offered) == 1 else [])
    own = named[0] if len(named) == 1 else None
    state.choose(state.PERSON, own)
    st.selectbox(
        "Inspector",
        offered,
        index=None,
        key=state.PERSON,
        placeholder="Choose an inspector",
        on_change=state.turn_to_person,
    )
    return own


def switch(label: str, options: Sequence[str], key: str, words: Callable[[str], str]) -> str:
    """One of a few, side by side; the first where nothing is chosen. Options are shown as Markdown: escaped here."""
    state.forget_unless(key, options)
    picked = st.segmented_control(
        label,
        options,
        key=key,
        format_func=lambda option: labels.escape_markdown(words(option)),
        default=None if key in st.session_state else options[0],
        required=True,
        persist_state="session",
    )
    chosen = str(picked or options[0])
    address.stands(key, chosen, options[0])
    return chosen


def _day(grid: Any, label: str, key: str, offered: Choices) -> Any:
    """One end of the days. A day beyond the data stands as it was asked for; the page says that nothing lies there."""
    chosen = st.session_state.get(key)
    days = [day for day in (offered.first_day, offered.last_day, chosen) if day]
    if chosen:
        # Said again: where the ends of the calendar move, the browser takes it for another one and forgets its day.
        state.choose(key, chosen)
    picked = grid.date_input(
        label,
        value=None,
        min_value=min(days, default=None),
        max_value=max(days, default=None),
        key=key,
        format="YYYY-MM-DD",
        persist_state="session",
    )
    address.stands(key, picked)
    return picked


def _keep_offered(key: str, options: Sequence[str]) -> None:
    """Leave out of a list what the data does not offer: before the first control tells what is chosen."""
    if key in st.session_state:
        st.session_state[key] = [value for value in st.session_state[key] or () if value in options]


def _several(grid: Any, label: str, key: str, options: Sequence[str], words: Callable[[str], str]) -> tuple[str, ...]:
    picked = grid.multiselect(label, options, key=key, format_func=words, placeholder="all", persist_state="session")
    address.stands(key, picked)
    return tuple(picked)
