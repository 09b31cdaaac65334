"""A part of the rules: what would change if another guideline were the firm's?"""

from __future__ import annotations

import streamlit as st

from dashboard import controls, labels, state, store
from dashboard.notes import rules_wording
from dashboard.views import parts
from dashboard.what_if import GUIDELINES, NotTried, WhatIf, firm_files, what_if

_COLUMNS = {
    "title": "Topic",
    "observations": "Calls",
    "way": "Now → then",
    "written_up": "Of these written up",
}


def show_what_if() -> None:
    """The choice of a guideline, the button, what it answers, and what it cannot say."""
    parts.section("What another guideline would change")
    with st.container(horizontal=True, vertical_alignment="bottom"):
        with st.container(width=240):
            guideline = controls.pick(
                "Guideline", GUIDELINES, state.RULES_GUIDELINE, str, _after(store.snapshot().info.code_basis)
            )
        st.button("See what would change", on_click=state.choose, args=(state.GUIDELINE_TRIED, guideline))
    if state.chosen(state.GUIDELINE_TRIED) == guideline:
        _try(guideline)
    parts.hint(rules_wording.HOW_IT_IS_TRIED)


def _after(own: str | None) -> int:
    """The place of the guideline that is offered first: the one after the firm's own."""
    return (GUIDELINES.index(own) + 1) % len(GUIDELINES) if own in GUIDELINES else 0


def _try(guideline: str) -> None:
    try:
        with st.spinner(f"Judging every call under {guideline} …"):
            found = store.measured(what_if, guideline, firm_files(store.snapshot()))
    except NotTried as error:
        # Else each further run of the page would try it again.
        state.forget(state.GUIDELINE_TRIED)
        parts.refusal(error.sentence, error.next_step)
        return
    st.markdown(rules_wording.would_change(found).markdown)
    if found.flips:
        _table(found)
    parts.caption(rules_wording.rules_changed(found), rules_wording.no_longer_judged(found))


def _table(found: WhatIf) -> None:
    ways = found.ways
    parts.table(ways.assign(way=list(map(rules_wording.way, ways["before"], ways["after"]))), _COLUMNS)
    parts.download(
        "Save this table",
        found.changes,
        f"what-if-{labels.slug(found.guideline)}",
        f"Verdicts that would flip if every report were measured against {found.guideline}",
    )
