"""The address of a page: every choice that makes a view stands in it, so that a link shows the same.

Streamlit can bind a control to the address by itself, but then writes an option as it is shown, lets the session win
over a link to another page, and forbids a page to name what it leads to. So the choices are read here before the first
control is built, and written here after the last one.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Any

import streamlit as st

from dashboard import state

Shown = dict[str, list[str]]
#: Session keys: what the address said when it was last read or written, what of it was news in this run, what this run
#: puts into it.
_LAST, _TAKEN, _THIS_RUN = "address_last", "address_taken", "address_this_run"


def read() -> None:
    """Take over what the address says, where it says something else than was last written into it.

    A value that is no day is passed over; one that the data does not offer is dropped where its control is built.
    """
    said = _said()
    st.session_state[_TAKEN] = {}
    if said != st.session_state.get(_LAST):
        st.session_state[_TAKEN] = said
        for key, values in said.items():
            if key in state.IN_ADDRESS:
                _choose(key, values)
        st.session_state[_LAST] = said
    st.session_state[_THIS_RUN] = {}


def asks_for(key: str) -> bool:
    """Whether it is the address that asks for this choice in this run: a link was followed."""
    return key in st.session_state[_TAKEN]


def stands(key: str, value: Any, default: Any = None) -> None:
    """Let a choice stand in the address of this run; a default, like nothing chosen, needs no place in it."""
    if value is not None and value != default and len(values := _texts(value)):
        st.session_state[_THIS_RUN][key] = values


def write() -> None:
    """Write the choices of this run into the address; what other pages have in theirs is left out."""
    now = st.session_state.get(_THIS_RUN, {})
    if now != _said():
        st.query_params.from_dict(now)
    st.session_state[_LAST] = now


def of(choices: Mapping[str, Any]) -> Shown:
    """Choices as they stand in an address, empty ones left out."""
    return {key: _texts(value) for key, value in choices.items() if value not in (None, (), [])}


def _said() -> Shown:
    return {key: st.query_params.get_all(key) for key in st.query_params}


def _texts(value: Any) -> list[str]:
    if isinstance(value, date):
        return [value.isoformat()]
    return [str(each) for each in value] if isinstance(value, list | tuple) else [str(value)]


def _choose(key: str, values: list[str]) -> None:
    if key in state.LISTS:
        state.choose(key, values)
    elif key not in state.DAYS:
        state.choose(key, values[-1])
    elif day := _day(values[-1]):
        state.choose(key, day)


def _day(text: str) -> date | None:
    try:
        return date.fromisoformat(text)
    except ValueError:
        return None
