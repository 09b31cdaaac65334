"""Asking for a second look: a line that somebody else fills in and that loads as a ruling above the rule."""

from __future__ import annotations

import pandas as pd
import streamlit as st

from dashboard import labels, store
from dashboard.measures.cases import case
from dashboard.measures.look_sheet import sheet
from dashboard.notes import inspectors_wording as told
from dashboard.views import parts


def ask_for_a_second_look(observation_id: str | None) -> None:
    """How to ask that somebody look again at a case, and the line to fill in; nothing where no case is open."""
    if not observation_id:
        return
    file = f"second-look-{labels.slug(observation_id)}.csv"
    with st.expander("Is this verdict wrong? Ask for a second look"):
        parts.hint(told.HOW_TO_ASK.format(file=file))
        with parts.saving("second_look"):
            st.download_button(
                "Save the line to fill in",
                store.table_file(line_to_fill_in(observation_id)),
                file_name=file,
                mime="text/csv",
                on_click="ignore",
                key="save_second_look",
                type="tertiary",
            )


def line_to_fill_in(observation_id: str) -> pd.DataFrame:
    """The row of a second look that is asked for after a dispute; blank where the person who looks has to say it."""
    facts = store.measured(case, observation_id).facts
    return sheet(pd.DataFrame([{**facts, "chosen": "dispute"}]))
