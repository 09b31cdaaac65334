"""The dashboard's table of contents: its pages and their frame; where something is wrong, a sentence and no trace."""

from __future__ import annotations

import logging

import streamlit as st

from dashboard import address
from dashboard.views import parts
from dashboard.warehouse import WarehouseError

NOTES = "notes"
log = logging.getLogger("evenhand.dashboard")


def main() -> None:
    """One run of one page."""
    st.set_page_config(page_title="Evenhand", layout="wide")
    # Short names, so that all of them find room at the top; the page itself says what it asks.
    page = st.navigation(
        [
            st.Page("views/decisions.py", title="Decisions", url_path="decisions", default=True),
            st.Page("views/where.py", title="Where defects occur", url_path="where"),
            st.Page("views/holds.py", title="Calls that do not hold", url_path="holds"),
            st.Page("views/side_by_side.py", title="Side by side", url_path="inspectors"),
            st.Page("views/inspector.py", title="One inspector", url_path="inspector"),
            st.Page("views/agreement.py", title="Two looks", url_path="looks"),
            st.Page("views/over_time.py", title="Over time", url_path="time"),
            st.Page("views/training.py", title="What to train", url_path="training"),
            st.Page("views/note.py", title="Notes", url_path=NOTES),
            st.Page("views/data.py", title="Data", url_path="data"),
            st.Page("views/rules.py", title="Rules", url_path="rules"),
            st.Page("views/before_you_go.py", title="Before you go", url_path="brief"),
        ],
        position="top",
    )
    address.read()
    with parts.frame():
        try:
            page.run()
            address.write()
        except WarehouseError as error:
            parts.message(error.sentence, error.next_step)
        except Exception:
            # Whatever it was, its trace belongs into the log and not before a reader.
            log.exception("the page %s failed", page.title)
            parts.message(
                "This page could not be shown.",
                "Load it again. If it stays so, the log in the window that serves the dashboard says why.",
            )
        # A note ends with the cautions itself.
        if page.url_path != NOTES:
            parts.foot()


main()
