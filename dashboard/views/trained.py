"""What a training session changed, as a part of a page: the finding, and those who took part beside the others."""

from __future__ import annotations

from typing import Any

import pandas as pd
import streamlit as st

from dashboard import labels
from dashboard.measures.rows import each
from dashboard.measures.training_effect import Trained, before_and_after
from dashboard.notes import training_wording as told
from dashboard.notes.wording import together
from dashboard.views import parts

_COLUMNS = {
    "who": "Who",
    "people": "Colleagues",
    "before": "Written up before",
    "before_decks": "By the decks, before",
    "after": "Written up after",
    "after_decks": "By the decks, after",
    "moved": "Change in 100",
}


def show_trained(found: Trained, topic: str, title: str, within: str) -> None:
    """The sessions on a topic, the newest first; nothing where there was none."""
    own = found.effect[found.effect["topic"] == topic].sort_values("held_on", ascending=False, kind="stable")
    for row in each(own):
        decay = found.decay[(found.decay["session_id"] == row.session_id) & (found.decay["topic"] == topic)]
        parts.section(f"What the session of {labels.day(row.held_on)} changed")
        st.markdown(told.what_changed(title, row).markdown)
        _table(row)
        st.markdown(together(*told.wrong_calls(row), told.by_quarter(decay)).markdown)
        parts.caption(*told.what_it_cannot_say(row))
    if len(own):
        what = f"Effect of sessions on {labels.in_sentence(title)}"
        parts.download("Save this comparison", own, f"training-effect-{labels.slug(title)}", what, within)


def _table(row: Any) -> None:
    shown = before_and_after(row)
    if shown.empty:
        return
    worded = [_worded(group) for group in each(shown)]
    parts.table(pd.DataFrame(worded).assign(people=shown["people"].to_numpy()), _COLUMNS)


def _worded(row: Any) -> dict[str, str]:
    """The cells of one group."""
    return {
        "who": told.WHO[row.group],
        "before": _share(
            row.before_share, row.before_share_low, row.before_share_high, row.before_count, row.before_trials
        ),
        "before_decks": _percent(row.before_expected_share),
        "after": _share(row.after_share, row.after_share_low, row.after_share_high, row.after_count, row.after_trials),
        "after_decks": _percent(row.after_expected_share),
        "moved": labels.more_or_fewer(row.change) if labels.is_known(row.change) else "",
    }


def _percent(share: float) -> str:
    return labels.percent(share) if labels.is_known(share) else ""


def _share(share: float, low: float, high: float, count: int, trials: int) -> str:
    if not trials:
        return "none looked at"
    return f"{labels.percent_with_interval(share, low, high)}; {labels.part_of(count, trials)}"
