"""The keys of the session: one name for each thing a reader has chosen. Those that are bound stand in the address."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

import streamlit as st

# Filters, the same on every page.
FIRST_DAY, LAST_DAY = "from", "to"
REGIONS, BUILDERS, AGES = "region", "builder", "age"
# Where defects occur.
PART, TOPIC, SPLIT, CELL = "part", "topic", "by", "group"
# Calls that do not hold.
SHOW, KIND = "show", "kind"
#: The case that is open; each page has its own.
WHERE_CASE, HOLDS_CASE = "where_case", "case"
# Charts that can be clicked.
DOTS_CHART, GRID_CHART, HANGER_CHART, KINDS_CHART = "dots_chart", "grid_chart", "hanger_chart", "kinds_chart"


def choose(key: str, value: object) -> None:
    """Set a choice; takes effect where its control is built later in the same run, or in the next."""
    st.session_state[key] = value


def forget_unless(key: str, allowed: Any) -> None:
    """Drop a choice that the data no longer offers."""
    if key in st.session_state and st.session_state[key] not in allowed:
        del st.session_state[key]


def clicked(chart: str, selection: str, then: Callable[[Mapping[str, Any]], None]) -> Callable[[], None]:
    """A callback for a chart: hands the fields of the clicked mark on; a click beside all marks changes nothing."""

    def on_select() -> None:
        picked = st.session_state[chart].get("selection", {}).get(selection, [])
        if picked:
            then(picked[0])

    return on_select
