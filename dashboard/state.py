"""The keys of the session: one name for each thing a reader has chosen. Those that are bound stand in the address."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import Any

import streamlit as st

from dashboard.filters import Filters

# Filters, the same on every page.
FIRST_DAY, LAST_DAY = "from", "to"
REGIONS, BUILDERS, TOPICS, AGES, INSPECTORS = "region", "builder", "topics", "age", "inspector"
LOADS = "load"
DAYS = (FIRST_DAY, LAST_DAY)
#: The filters that are lists, and their names in ``Filters``.
LISTS = {
    REGIONS: "regions",
    BUILDERS: "builders",
    TOPICS: "topics",
    AGES: "deck_ages",
    INSPECTORS: "inspectors",
    LOADS: "loads",
}
FILTERS = (*DAYS, *LISTS)
FILTERS_PANEL = "filters_panel"
# What needs a decision.
SCOPE = "look_at"
# Where defects occur.
PART, TOPIC, SPLIT, CELL = "part", "topic", "by", "group"
# Calls that do not hold.
SHOW, KIND, SENTENCE = "show", "kind", "sentence"
WRITE_UPS, PASSED_OVER, SENTENCES = "write_ups", "passed_over", "sentences"
#: The case that is open; each page has its own.
WHERE_CASE, HOLDS_CASE = "where_case", "case"
# Inspectors side by side.
COMPARED, ORDER, GRID_SHOWS, GRID_PART = "compared", "order", "grid", "grid_part"
GRID_COLUMNS, OPEN_INSPECTOR, OPEN_TOPIC = "grid_columns", "open_inspector", "open_topic"
# One inspector. Who it is says the filter for inspectors.
PERSON, OWN_SHOW, OWN_TOPIC, OWN_CASE = "person", "own", "own_topic", "own_case"
OWN_CHART = "own_chart"
# Same deck, two looks.
LOOKS_TOPIC, LOOKS_BEYOND, LOOKS_PAIR, LOOKS_CASE = "looks_topic", "beyond", "pair", "looks_case"
LOOKS_CHART = "looks_chart"
TRUTH_TOPIC, MAKE_LOOK = "truth_topic", "look_to_make"
# Over time.
TIME_TOPIC, TIME_SHOW, TIME_MONTH, TIME_CASE = "time_topic", "time_show", "month", "time_case"
TIME_CHART = "time_chart"
# What to train.
TRAIN_TOPIC, REACH_RULE, REACH_EYE, REACH_SENTENCE = "train", "reach_rule", "reach_eye", "reach_sentence"
TRAIN_CHART = "train_chart"
#: A session to be entered, and the one that was entered last. They stand in no address: a link must enter nothing.
SESSION_DAY, SESSION_TOPIC, SESSION_WHO, SESSION_HOURS = "session_day", "session_topic", "session_who", "session_hours"
SESSION_ENTERED, SESSION_FORM = "session_entered", "session_form"
# Before you go.
BRIEF_AGE, BRIEF_HEIGHT, BRIEF_REGION, BRIEF_BUILDER = "deck_age", "deck_height", "deck_region", "deck_builder"
# Data.
MISSING, DATA_CASE = "missing", "data_case"
MISSING_CHART, NOT_SEEN_CHART = "missing_chart", "not_seen_chart"
#: Files that were brought to the page Data, what went wrong with them, and what became of the last load of them. They
#: stand in no address.
UPLOAD, UPLOAD_PROBLEM, UPLOAD_LOADED, UPLOAD_TURN = "upload", "upload_problem", "upload_loaded", "upload_turn"
UPLOAD_COLUMN = "upload_column"
# The rules.
RULES_PART, RULES_TOPIC, RULES_GUIDELINE = "rules_part", "rules_topic", "guideline"
#: The guideline that was tried by pressing the button. It stands in no address: a link must not set off the work.
GUIDELINE_TRIED = "guideline_tried"
LUCK_TRIED = "luck_tried"
# Notes.
NOTE_ABOUT, NOTE_TOPIC, NOTE_KIND, NOTE_MONTH = "note_about", "note_topic", "note_kind", "note_month"
NOTE_SENTENCE = "note_sentence"
ON_TOPIC, ON_KIND, ON_MONTH, ON_SENTENCE = "topic", "kind", "month", "sentence"
#: What stands in the address; a link with it shows the same.
IN_ADDRESS = {
    *FILTERS,
    *(SCOPE, PART, TOPIC, SPLIT, CELL, SHOW, KIND, SENTENCE, WHERE_CASE, HOLDS_CASE, MISSING, DATA_CASE),
    *(COMPARED, ORDER, GRID_SHOWS, GRID_PART, OPEN_INSPECTOR, OPEN_TOPIC, OWN_SHOW, OWN_TOPIC, OWN_CASE),
    *(LOOKS_TOPIC, LOOKS_BEYOND, LOOKS_PAIR, LOOKS_CASE, TRUTH_TOPIC, MAKE_LOOK),
    *(TIME_TOPIC, TIME_SHOW, TIME_MONTH, TIME_CASE),
    *(TRAIN_TOPIC, REACH_RULE, REACH_EYE, REACH_SENTENCE, BRIEF_AGE, BRIEF_HEIGHT, BRIEF_REGION, BRIEF_BUILDER),
    *(RULES_PART, RULES_TOPIC, RULES_GUIDELINE, NOTE_ABOUT, NOTE_TOPIC, NOTE_KIND, NOTE_MONTH),
    NOTE_SENTENCE,
}
# Charts that can be clicked.
SENTENCES_CHART = "sentences_chart"
DOTS_CHART, GRID_CHART, HANGER_CHART, KINDS_CHART = (
    "dots_chart",
    "grid_chart",
    "hanger_chart",
    "kinds_chart",
)


def choose(key: str, value: object) -> None:
    """Set a choice; takes effect where its control is built later in the same run, or in the next."""
    st.session_state[key] = value


def of_filters(filtered: Filters) -> dict[str, Any]:
    """The filters by their session keys."""
    days = {FIRST_DAY: filtered.first_day, LAST_DAY: filtered.last_day}
    return days | {key: list(getattr(filtered, name)) for key, name in LISTS.items()}


def chosen(key: str) -> Any:
    """What is chosen; None where nothing is."""
    return st.session_state.get(key)


def filters() -> Filters:
    """The filters as they are chosen, for a page that does not show them but leads to others."""
    lists = {name: tuple(chosen(key) or ()) for key, name in LISTS.items()}
    return Filters(chosen(FIRST_DAY), chosen(LAST_DAY), **lists)


def clear(keys: Iterable[str], to: Mapping[str, object]) -> None:
    """Set choices back: to an empty list, or to what ``to`` says of a key."""
    for key in keys:
        st.session_state[key] = to.get(key, [])


def turn_to_person() -> None:
    """Narrow all pages down to the inspector that was chosen on the page of one."""
    picked = st.session_state[PERSON]
    st.session_state[INSPECTORS] = [picked] if picked else []


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


# ---- the case that is open, and the page of the list that it stands on -----------------------------------------------


def forget(key: str) -> None:
    """Drop a choice."""
    st.session_state.pop(key, None)


def forget_if_of_another(key: str, of: str) -> None:
    """Drop a choice that was made among something else."""
    if st.session_state.get(f"{key}_of") != of:
        st.session_state[f"{key}_of"] = of
        forget(key)


def page_key(key: str) -> str:
    """The key of the page that a long list stands at."""
    return f"{key}_page"


def page(key: str, of: str) -> int:
    """The page that a long list stands at, 1 where the list is of something else than before."""
    if st.session_state.get(f"{key}_of") != of:
        st.session_state[f"{key}_of"] = of
        forget(page_key(key))
    return int(st.session_state.get(page_key(key), 1))
