"""Links from page to page. Each carries the filters and its choice in the address, so that it can be passed on."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from urllib.parse import urlencode

import pandas as pd
import streamlit as st

from dashboard import address, labels, state
from dashboard.filters import Filters
from dashboard.measures.patterns import pattern_id
from dashboard.measures.rows import each


def to_kind(filtered: Filters, label: str, kind: str, show: str = state.WRITE_UPS) -> None:
    """To the cases of a kind of call."""
    _link("views/holds.py", label, filtered, {state.KIND: kind, state.SHOW: show})


def to_case(filtered: Filters, label: str, topic: str, recorded: str | None, observation_id: str) -> None:
    """To one case that was passed over."""
    kind = pattern_id(topic, recorded or labels.NO_VALUE)
    choice = {state.SHOW: state.PASSED_OVER, state.KIND: kind, state.HOLDS_CASE: observation_id}
    _link("views/holds.py", label, filtered, choice)


def to_note_on_topic(filtered: Filters, label: str, topic: str) -> None:
    """To the note on a topic."""
    _link("views/note.py", label, filtered, {state.NOTE_ABOUT: state.ON_TOPIC, state.NOTE_TOPIC: topic})


def to_note_on_kind(filtered: Filters, label: str, kind: str) -> None:
    """To the note on a kind of call."""
    _link("views/note.py", label, filtered, {state.NOTE_ABOUT: state.ON_KIND, state.NOTE_KIND: kind})


def to_note_on_month(filtered: Filters, label: str, month: str) -> None:
    """To the note of a month, which is named as in ``2026-10``."""
    _link("views/note.py", label, filtered, {state.NOTE_ABOUT: state.ON_MONTH, state.NOTE_MONTH: month})


def to_note_on_sentence(filtered: Filters, label: str, sentence: str) -> None:
    """To the note on a stock sentence."""
    _link("views/note.py", label, filtered, {state.NOTE_ABOUT: state.ON_SENTENCE, state.NOTE_SENTENCE: sentence})


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


def to_time(filtered: Filters, label: str, topic: str) -> None:
    """To a topic over time."""
    _link("views/over_time.py", label, filtered, {state.TIME_TOPIC: topic})


def to_inspector(filtered: Filters, label: str, inspector: str, topic: str | None = None) -> None:
    """To the page of an inspector, on a topic where one is named."""
    _link("views/inspector.py", label, _only(filtered, inspector), {state.OWN_TOPIC: topic} if topic else {})


def to_own_cases(filtered: Filters, label: str, topic: str, show: str) -> None:
    """To the cases of a topic within the filters: write-ups that do not hold, or defects passed over."""
    _link("views/holds.py", label, replace(filtered, topics=(topic,)), {state.SHOW: show})


def of_inspector(filtered: Filters, inspector: str, topic: str | None = None) -> str:
    """Where a mark of an inspector leads, on a topic where one is named."""
    choice = {state.OWN_TOPIC: topic} if topic else {}
    return f"inspector?{urlencode(_address(_only(filtered, inspector), choice), doseq=True)}"


def of_cells(filtered: Filters, cells: pd.DataFrame) -> dict[tuple[str, str], str]:
    """Where each cell of topics by inspectors leads, by inspector and topic."""
    return {(row.inspector_id, row.topic): of_inspector(filtered, row.inspector_id, row.topic) for row in each(cells)}


def _only(filtered: Filters, inspector: str) -> Filters:
    return replace(filtered, inspectors=(inspector,), topics=())


def of_bars(filtered: Filters, calls: pd.DataFrame) -> dict[tuple[str, str], str]:
    """Where each bar of ``measures.call_outcomes`` leads, by call and outcome."""
    return {(row.call, row.outcome): _of_bar(filtered, row.call, row.outcome) for row in each(calls)}


def of_kinds(filtered: Filters, kinds: pd.DataFrame) -> dict[str, str]:
    """Where each kind of write-up leads, by its ``pattern_id``."""
    return {
        kind: f"holds?{urlencode(_address(filtered, {state.KIND: kind}), doseq=True)}" for kind in kinds["pattern_id"]
    }


def _of_bar(filtered: Filters, call: str, outcome: str) -> str:
    """The cases of a bar; what could not be judged is told on the data page."""
    if outcome == "undecided":
        return f"data?{urlencode(_address(filtered), doseq=True)}"
    show = state.WRITE_UPS if call == "written_up" else state.PASSED_OVER
    return f"holds?{urlencode(_address(filtered, {state.SHOW: show}), doseq=True)}"


def _link(page: str, label: str, filtered: Filters, choice: dict[str, str]) -> None:
    # The container gives the link a class of its own: it is set as a link in a line of text, and may break.
    with st.container(key=f"go_{labels.slug(f'{page} {label}')}", width="content"):
        st.page_link(page, label=f":primary[{labels.escape_markdown(label)}]", query_params=_address(filtered, choice))


def _address(filtered: Filters, choice: Mapping[str, str] | None = None) -> dict[str, list[str]]:
    return address.of({**state.of_filters(filtered), **(choice or {})})
