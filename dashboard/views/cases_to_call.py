"""The case pack of a topic or of a kind of call, as a part of a page: the quiz, and the sheet to fill in."""

from __future__ import annotations

from functools import partial
from typing import Any

import streamlit as st

from dashboard import labels, notes, store
from dashboard.filters import Filters
from dashboard.notes import case_pack, case_pack_wording
from dashboard.views import parts

#: What a case pack is saved as: the quiz to print, and the sheet to fill in.
_PACKS = {suffix: notes.FORMATS[suffix].mime for suffix in (".pdf", ".docx")} | {
    suffix: parts.MIMES[suffix.removeprefix(".")] for suffix in case_pack.SHEETS
}


def show_cases_to_call(filtered: Filters, topic: str, kind: str | None = None) -> None:
    """What a case pack is, and a button a form of it; the cases are drawn when one is pressed."""
    parts.section("Cases to call")
    parts.caption(case_pack_wording.WHAT)
    with parts.saving("cases"):
        for suffix, mime in _PACKS.items():
            made: Any = partial(_pack, filtered, topic, kind, suffix)
            st.download_button(
                f"Cases as {suffix.removeprefix('.').upper()}",
                made,
                file_name=f"cases-{labels.slug(kind or topic)}{suffix}",
                mime=mime,
                on_click="ignore",
                key=f"save_cases_{suffix.removeprefix('.')}",
                type="tertiary",
            )


def _pack(filtered: Filters, topic: str, kind: str | None, suffix: str) -> bytes:
    made = store.measured(notes.pack_on, topic, kind, filters=filtered)
    return (
        store.case_sheet(made, suffix.removeprefix("."))
        if suffix in case_pack.SHEETS
        else notes.render(made.pack, suffix)
    )
