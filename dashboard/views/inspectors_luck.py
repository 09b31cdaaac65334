"""A part of the comparison of inspectors: how much of it luck alone would give, and how much of it held."""

from __future__ import annotations

import pandas as pd
import streamlit as st

from dashboard import state, store
from dashboard.filters import Filters
from dashboard.measures.luck import luck
from dashboard.measures.record import signals_so_far
from dashboard.notes import luck_wording
from dashboard.views import parts


def show_luck(everybody: pd.DataFrame, filtered: Filters) -> None:
    """The record in one sentence, and a button that asks what luck alone would give.

    Parameters
    ----------
    everybody
        All rows of ``inspectors``.
    filtered
        The filters, those for inspectors and topics left out.
    """
    with st.expander("How many of these does luck give?"):
        record = signals_so_far(everybody)
        st.markdown(luck_wording.held_afterwards(record.signals, record.known, record.held))
        # Tried for these filters only: under others it waits for the button again.
        within = repr(filtered)
        st.button("See what luck alone would give", on_click=state.choose, args=(state.LUCK_TRIED, within))
        if state.chosen(state.LUCK_TRIED) == within:
            with st.spinner("Handing out the reports by lot …"):
                found = store.measured(luck, filtered)
            st.markdown(luck_wording.luck_alone(found.iloc[0]).markdown)
        parts.hint(luck_wording.HOW_IT_IS_TRIED)
