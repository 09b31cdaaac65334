"""The cases behind a mark, and one of them in full: what was said, what was measured, what the rule says, and why."""

from __future__ import annotations

from typing import Any

import pandas as pd
import streamlit as st

from dashboard import controls, labels, store
from dashboard.charts import theme
from dashboard.charts.case_drawing import Hanger, case_drawing
from dashboard.measures import lumber
from dashboard.measures.cases import MOST_ROWS, Case, case
from dashboard.notes import wording
from dashboard.views import parts

_LIST_COLUMNS = {
    "inspected_on": "Day",
    "place": "Place",
    "called": "Call",
    "outcome_shown": "Outcome",
    "recorded": "Recorded",
    "reason": "Why",
    "comment": "What the report says",
    "report_id": "Report",
}


def show_cases(found: pd.DataFrame, key: str, title: str, about: str = "") -> None:
    """A list to choose from, and the chosen case.

    Parameters
    ----------
    found
        Rows of ``measures.cases``.
    key
        The session key of the choice.
    title
        What the cases are of.
    about
        One more sentence on them.
    """
    if found.empty:
        st.markdown("There are no such cases within these filters.")
        return
    by_id = found.set_index("observation_id")
    newest = "the newest " if len(found) >= MOST_ROWS else ""
    parts.section(labels.escape_markdown(f"{title}: {newest}{labels.plural(len(found), 'case')}"))
    parts.caption("A case is one place on a deck; a write-up may name several.", about)
    chosen = controls.pick(
        "Open a case", list(by_id.index), key, lambda identity: _line(by_id.loc[identity]), bind=None, width=560
    )
    show_case(store.measured(case, chosen))
    with st.expander(f"All {labels.plural(len(found), 'case')} as a table"):
        table = found.assign(
            called=found["call"].map(labels.CALLS), outcome_shown=found["outcome"].map(labels.OUTCOMES)
        )
        st.dataframe(
            table[list(_LIST_COLUMNS)].rename(columns=_LIST_COLUMNS),
            hide_index=True,
            column_config={"Day": st.column_config.DateColumn(format="D MMM YYYY")},
        )
        parts.download("Save this table", found, f"cases-{key}.csv")


def _line(row: pd.Series) -> str:
    pieces = [labels.day(row["inspected_on"]), labels.OUTCOMES[row["outcome"]]]
    pieces += [str(row["place"])] if labels.is_known(row["place"]) else []
    return " · ".join([*pieces, str(row.name)])


def show_case(found: Case) -> None:
    """One observation: said and measured, the drawing where it explains, the verdict with its rule and source."""
    drawing = _drawing(found)
    with st.grid(3 if drawing else 2, min_column_width=300, gap="medium"):
        with st.container():
            _what_was_said(found)
        if drawing:
            with st.container():
                parts.chart(drawing, width="content")
        with st.container():
            _what_the_rule_says(found)


def _what_was_said(found: Case) -> None:
    facts: dict[str, Any] = found.facts
    pieces = [facts["observation_id"], labels.day(facts["inspected_on"]), labels.CALLS[str(facts["call"])]]
    pieces += [facts["place"]] if facts["place"] else []
    parts.caption(" · ".join(str(piece) for piece in pieces))
    st.text(f"“{facts['comment']}”" if facts["comment"] else "The report has no sentence on it.")
    if facts["recommendation"]:
        st.text(f"“{facts['recommendation']}”")
    rows = [(str(row["title"]), labels.value(row["value"], row["unit"])) for row in found.measures.to_dict("records")]
    rows += [(labels.SPLITS["deck_age"] + ", years", labels.group(str(facts["deck_age"])))]
    parts.facts(rows)
    if found.measures.empty:
        parts.caption("No measure was recorded with it.")


def _what_the_rule_says(found: Case) -> None:
    facts = found.facts
    outcome = str(facts["outcome"])
    parts.section(f"{_glyph(outcome)}{labels.OUTCOME_HEADINGS[outcome]}")
    verdict = labels.VERDICTS.get(str(facts["verdict"]), "")
    if verdict:
        st.markdown(labels.escape_markdown(f"{verdict[0].upper()}{verdict[1:]}."))
    if facts["reason"]:
        reason = str(facts["reason"])
        st.markdown(f"**{labels.escape_markdown(reason[0].upper() + reason[1:])}**")
    if found.criterion:
        st.markdown(f"*In plain words:* {labels.escape_markdown(str(found.criterion['plain']))}")
        if found.criterion["caution"]:
            parts.caption(str(found.criterion["caution"]))
        basis = labels.BASES.get(str(facts["basis"]), "")
        parts.caption(f"Source: {wording.source_line(found.criterion)}. {basis}")


def _glyph(outcome: str) -> str:
    """The outcome's mark in its color, and a blank; nothing for outcomes without a mark."""
    glyph, color = labels.GLYPHS.get(outcome, ""), labels.GLYPH_COLORS.get(outcome)
    return f":{color}[{glyph}] " if color else f"{glyph} " if glyph else ""


def _drawing(found: Case) -> theme.Picture | None:
    """Joist and hanger to scale, where the depth of both is known; None elsewhere."""
    if found.facts["topic"] != "hanger_size":
        return None
    recorded: dict[str, Any] = dict(zip(found.measures["measure"], found.measures["value"], strict=True))
    joist = recorded.get("joist_nominal")
    depth = recorded.get("joist_depth_in") or lumber.DEPTH_IN.get(str(joist))
    reach = _reach(recorded.get("hanger_nominal"), recorded.get("hanger_height_in"))
    if depth is None or reach is None:
        return None
    name = f"{joist} joist" if joist else "Joist"
    return case_drawing(float(depth), f"{name}: {labels.quantity(depth, 'in')}", [reach], parts.colors(), 26)


def _reach(size: str | None, height: float | None) -> Hanger | None:
    """The hanger as high as it was measured, else as the lumber that it is made for; None where neither is known."""
    name = f"{size} hanger" if size else "Hanger"
    if height is not None:
        return Hanger(float(height), f"{name} reaches {labels.quantity(height, 'in')}")
    made_for = lumber.DEPTH_IN.get(str(size))
    if made_for is None:
        return None
    return Hanger(made_for, f"{name}: lumber {labels.quantity(made_for, 'in')}", measured=False)
