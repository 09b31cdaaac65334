"""Links from page to page. Each carries the filters and its choice in the address, so that it can be passed on."""

from __future__ import annotations

from collections.abc import Mapping

import streamlit as st

from dashboard import labels, state
from dashboard.filters import Filters
from dashboard.measures.patterns import pattern_id


def to_kind(filtered: Filters, label: str, kind: str, show: str = state.WRITE_UPS) -> None:
    """To the cases of a kind of call."""
    _link("views/holds.py", label, filtered, {state.KIND: kind, state.SHOW: show})


def to_case(filtered: Filters, label: str, topic: str, recorded: str | None, observation_id: str) -> None:
    """To one case that was passed over."""
    kind = pattern_id(topic, recorded or labels.NO_VALUE)
    choice = {state.SHOW: state.PASSED_OVER, state.KIND: kind, state.HOLDS_CASE: observation_id}
    _link("views/holds.py", label, filtered, choice)


def to_note(filtered: Filters, label: str, **choice: str) -> None:
    """To the note on a topic or a kind of call."""
    _link("views/note.py", label, filtered, choice)


def to_write_ups(filtered: Filters, label: str) -> None:
    """To the write-ups that do not hold."""
    _link("views/holds.py", label, filtered, {state.SHOW: state.WRITE_UPS})


def to_passed_over(filtered: Filters, label: str) -> None:
    """To the defects that were passed over."""
    _link("views/holds.py", label, filtered, {state.SHOW: state.PASSED_OVER})


def to_data(filtered: Filters, label: str) -> None:
    """To what was loaded, refused and left out."""
    _link("views/data.py", label, filtered, {})


def to_rule(filtered: Filters, label: str, topic: str) -> None:
    """To the rules of a topic."""
    _link("views/rules.py", label, filtered, {state.RULES_TOPIC: topic})


def go_to_cases(filtered: Filters, call: Mapping[str, str]) -> None:
    """In the next run, open the cases of the bar that was clicked; what could not be judged is told on the data page."""
    show = state.WRITE_UPS if call["call"] == "written_up" else state.PASSED_OVER
    page = "views/data.py" if call["outcome"] == "undecided" else "views/holds.py"
    state.choose(state.LOADS, list(filtered.loads))
    state.choose(state.SHOW, show)
    state.choose(state.GO_TO, page)


def follow() -> None:
    """Go where a click has asked to go; first thing in a run, since no page may be left half-drawn."""
    if page := state.take(state.GO_TO):
        st.switch_page(page)


def _link(page: str, label: str, filtered: Filters, choice: dict[str, str]) -> None:
    address = {**state.address(filtered), **choice}
    # The container gives the link a class of its own: it is set as a link in a line of text, and may break.
    with st.container(key=f"go_{labels.slug(f'{page} {label}')}", width="content"):
        st.page_link(page, label=f":primary[{labels.escape_markdown(label)}]", query_params=address)
