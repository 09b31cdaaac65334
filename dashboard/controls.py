"""The only builder of filters and choices. They are bound to the address, so that a link shows the same page, and kept
from page to page."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

import streamlit as st

from dashboard import labels, state, store
from dashboard.filters import Filters
from dashboard.measures.choices import Choices, choices


def filters() -> Filters:
    """Days, regions, builders and deck ages; nothing chosen is the whole firm."""
    offered = store.measured(choices)
    with st.expander("Days, regions, builders, deck ages", expanded=False):
        grid = st.grid(5, min_column_width=180)
        first = _day(grid, "From", state.FIRST_DAY, offered)
        last = _day(grid, "To", state.LAST_DAY, offered)
        regions = _several(grid, "Region", state.REGIONS, offered.regions)
        builders = _several(grid, "Builder", state.BUILDERS, offered.builders)
        ages = _several(grid, "Deck age, years", state.AGES, offered.deck_ages)
    return Filters(
        first_day=first, last_day=last, regions=tuple(regions), builders=tuple(builders), deck_ages=tuple(ages)
    )


def chosen(filtered: Filters) -> list[str]:
    """What is filtered, in words, but for the days."""
    ages = labels.listed(labels.group(name) for name in filtered.deck_ages)
    return [
        *([labels.listed(labels.group(name) for name in filtered.regions)] if filtered.regions else []),
        *([labels.listed(labels.group(name) for name in filtered.builders)] if filtered.builders else []),
        *([f"deck age {ages}"] if ages else []),
    ]


def pick(label: str, options: Sequence[Any], key: str, words: Callable[[Any], str], **more: Any) -> Any:
    """One choice from a list, bound to the address; the first where nothing is chosen. Options are shown as text."""
    state.forget_unless(key, options)
    bound = {"bind": "query-params", "persist_state": "session"} | more
    return st.selectbox(label, options, key=key, format_func=words, **bound)


def switch(label: str, options: Sequence[str], key: str, words: Callable[[str], str]) -> str:
    """One of a few, side by side; the first where nothing is chosen. Options are shown as Markdown: escaped here."""
    state.forget_unless(key, options)
    picked = st.segmented_control(
        label,
        options,
        key=key,
        format_func=lambda option: labels.escape_markdown(words(option)),
        default=options[0],
        required=True,
        bind="query-params",
        persist_state="session",
    )
    return str(picked or options[0])


def _day(grid: Any, label: str, key: str, offered: Choices) -> Any:
    return grid.date_input(
        label,
        value=None,
        min_value=offered.first_day,
        max_value=offered.last_day,
        key=key,
        format="YYYY-MM-DD",
        bind="query-params",
        persist_state="session",
    )


def _several(grid: Any, label: str, key: str, options: Sequence[str]) -> list[str]:
    if key in st.session_state:
        st.session_state[key] = [value for value in st.session_state[key] if value in options]
    return grid.multiselect(
        label,
        options,
        key=key,
        format_func=labels.group,
        placeholder="all",
        bind="query-params",
        persist_state="session",
    )
