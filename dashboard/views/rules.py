"""The rules: what is a call judged by?"""

from __future__ import annotations

from dataclasses import replace

import pandas as pd
import streamlit as st

from dashboard import address, controls, labels, state, store
from dashboard.measures import catalog
from dashboard.measures.rows import each
from dashboard.measures.rules import coverage, listed, rules
from dashboard.notes import rules_wording, wording
from dashboard.views import links, parts
from dashboard.views.what_if import show_what_if

_LISTED = {
    "topic_group": "Part",
    "topic_title": "Topic",
    "state": "Is",
    "title": "Rule",
    "source": "Source, and how it is known",
    "weight": "Weight",
    "decided": "Calls decided",
}


def show() -> None:
    """Title, answer, the choice of a topic, the topic as a page; what another guideline would change; a list of all."""
    info, known = store.snapshot().info, store.measured(catalog.topics)
    parts.head("The rules", f"As loaded on {labels.day(info.created_at)}")
    parts.answer(rules_wording.judged_by(store.measured(coverage), info.code_basis))
    topic = _pick(known)
    _topic(topic)
    if topic["has_rule"]:
        _leads_to(str(topic["topic"]))
    _rules(str(topic["topic"]))
    st.divider()
    show_what_if()
    _everything()


def _leads_to(topic: str) -> None:
    """The calls on a topic, and its note, within what is chosen on the other pages."""
    filtered = replace(state.filters(), topics=(topic,))
    with st.container(horizontal=True):
        links.to_write_ups(filtered, "Write-ups on it that do not hold")
        links.to_passed_over(filtered, "Defects of it that were passed over")
        links.to_note_on_topic(state.filters(), "The note on it", topic)


def _pick(known: pd.DataFrame) -> pd.Series:
    """The topic to show. A link to a topic brings its part of the deck along."""
    part_of = dict(zip(known["topic"], known["topic_group"], strict=True))
    linked = state.chosen(state.RULES_TOPIC)
    if address.asks_for(state.RULES_TOPIC) and linked in part_of:
        state.choose(state.RULES_PART, part_of[linked])
    elif state.chosen(state.RULES_PART) is None:
        # A page that opens on a topic without a rule would have nothing to say.
        state.choose(state.RULES_PART, pd.concat([known[known["has_rule"]], known])["topic_group"].iloc[0])
    with st.container(horizontal=True, vertical_alignment="top"):
        with st.container(width="content"):
            part = controls.switch("Part of the deck", list(dict.fromkeys(part_of.values())), state.RULES_PART, str)
        with st.container(width=360):
            own = known[known["topic_group"] == part]
            names = {row.topic: rules_wording.listed_as(row.title, row.judged, row.has_rule) for row in each(own)}
            if state.chosen(state.RULES_TOPIC) not in names:
                # Chosen, not left to the list's default: the browser would go on showing the topic of another part.
                state.choose(state.RULES_TOPIC, pd.concat([own[own["has_rule"]], own])["topic"].iloc[0])
            topic = controls.pick("Topic", list(names), state.RULES_TOPIC, names.__getitem__)
    return own[own["topic"] == topic].iloc[0]


# ---- a topic ---------------------------------------------------------------------------------------------------------


def _topic(topic: pd.Series) -> None:
    title = labels.escape_markdown(str(topic["title"]))
    if not topic["has_rule"]:
        parts.section(title)
        st.markdown(rules_wording.without_rule(bool(topic["judged"])).markdown)
        return
    left, right = parts.picture_beside()
    with left:
        parts.section(title)
        _said("The rule", topic["plain"])
        _said("What to do, and to record next time", topic["habit"])
        if labels.is_known(topic["caution"]):
            parts.caption(f"Caution: {topic['caution']}")
    with right:
        _measured_by(str(topic["topic"]))


def _measured_by(topic: str) -> None:
    own = store.measured(catalog.measures_of, topic)
    parts.section("What it is measured by")
    parts.explained(
        (str(row["title"]), rules_wording.words_of(row), rules_wording.what_it_is(row)) for _, row in own.iterrows()
    )
    named = store.measured(catalog.criteria, topic)["needs"]
    parts.caption(rules_wording.of_the_deck(name for needs in named for name in needs))


def _said(what: str, text: object) -> None:
    if labels.is_known(text):
        st.markdown(f"*{what}:* {labels.escape_markdown(str(text))}")


def _rules(topic: str) -> None:
    own = store.measured(catalog.criteria, topic)
    if own.empty:
        return
    counted = store.measured(rules).set_index("criterion_id")
    parts.section("Its rule" if len(own) == 1 else f"Its {len(own)} rules")
    parts.caption(
        "All of them are looked at: a defect by any stands before what is left to the inspector, and that before what "
        "is acceptable."
        if len(own) > 1
        else "",
        "Counts are of all calls loaded, each under the rule that settled it. Weight: how much a wrong call matters.",
    )
    with st.grid(2, min_column_width=400, gap="large"):
        for _, rule in own.iterrows():
            with st.container():
                _rule(rule, counted.loc[rule["criterion_id"]])


def _rule(rule: pd.Series, counted: pd.Series) -> None:
    st.markdown(f"**{labels.escape_markdown(str(rule['title']))}**")
    st.markdown(labels.escape_markdown(str(rule["plain"])))
    _said("Applies where", wording.applies(rule) or None)
    parts.explained(
        (words, rules_wording.limit(rule, verdict), rules_wording.said_so(counted, verdict, rule[f"{verdict}_told"]))
        for verdict, words in labels.VERDICT_ROWS.items()
    )
    parts.caption(wording.local_rule(rule))
    parts.caption(f"Source: {wording.source_in_words(rule)}.", wording.looked_up(rule), rules_wording.weight(rule))
    if labels.is_known(rule["caution"]) and rule["caution"]:
        parts.caption(f"Caution: {rule['caution']}")


# ---- all of them -----------------------------------------------------------------------------------------------------


def _everything() -> None:
    every = store.measured(listed)
    with st.expander("All topics and rules as a table"):
        shown = every.assign(
            state=[
                rules_wording.state_of(judged, has_rule)
                for judged, has_rule in zip(every["judged"], every["has_rule"], strict=True)
            ],
            source=[
                wording.source_in_words(row) if labels.is_known(row["criterion_id"]) else ""
                for _, row in every.iterrows()
            ],
        )
        parts.table(shown, _LISTED)
        parts.download("Save this table", every, "rules", "All topics with their rules, as judged in this firm")


show()
