"""What to train: the topics where training could do most, how sure their order is, and what goes wrong in one."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

import pandas as pd
import streamlit as st

from dashboard import controls, labels, state, store
from dashboard.charts import training_bars
from dashboard.filters import Filters
from dashboard.measures.catalog import criteria, topics
from dashboard.measures.missing import missing_measures
from dashboard.measures.rows import each
from dashboard.measures.summary import summary
from dashboard.measures.training_plan import DRAWN, first, judge_more, quarter, worst_kinds
from dashboard.measures.training_topics import ONE, Reach, training_topics
from dashboard.notes import note_wording, wording
from dashboard.notes import training_topics_wording as words
from dashboard.views import links, parts
from dashboard.views.cases_to_call import show_cases_to_call
from dashboard.views.sessions import show_sessions

_USUAL = Reach()
_WHOLE = 100


def show() -> None:
    """Title, answer, picture, the assumptions and filters, then one topic."""
    top, picture, below = st.container(), st.container(), st.container()
    with below:
        reach = _reach()
        filtered = controls.filters()
    found = store.measured(summary, filtered)
    with top:
        parts.head("What to train", wording.scope(found.first_day, found.last_day, controls.chosen(filtered)))
    if not found.calls:
        with top:
            parts.nothing_within()
        return
    with top, st.spinner("Weighing the topics …"):
        table = store.measured(training_topics, filtered, reach)
    if table.empty:
        with top:
            parts.message(*words.nothing_judged())
            links.to_data(filtered, "The measures missing most")
        show_sessions(filtered)
        return
    if len(filtered.inspectors) == 1:
        table = table.assign(suggested=ONE)
    titles = controls.topic_titles()
    with top:
        parts.answer(
            wording.together(words.could_be_judged(found.judged), words.where_most(first(table), table, titles))
        )
    with picture:
        _picture(table, titles, filtered)
    _figures(table, titles, controls.within(filtered))
    _topic(table, titles, filtered)
    show_sessions(filtered)


def _reach() -> Reach:
    """The assumption on how far training reaches, as the reader has it."""
    with st.container(horizontal=True, vertical_alignment="top"):
        with st.container(width=300):
            rule = _share("Mended where the rule was not known, %", state.REACH_RULE, _USUAL.rule)
        with st.container(width=300):
            eye = _share("Mended where the eye missed it, %", state.REACH_EYE, _USUAL.eye)
        with st.container(width=300):
            sentence = _share("Mended where a stock sentence fails, %", state.REACH_SENTENCE, _USUAL.sentence)
    parts.hint(words.REACH)
    return Reach(rule, eye, sentence)


def _share(label: str, key: str, usual: float) -> float:
    picked = controls.number(label, key, _WHOLE, round(usual * _WHOLE), step=5)
    return usual if picked is None else picked / _WHOLE


def _picture(table: pd.DataFrame, titles: dict[str, str], filtered: Filters) -> None:
    drawn = table.head(DRAWN).assign(name=lambda rows: rows["topic"].map(titles))
    bars, beside = parts.picture_beside()
    with bars:
        parts.key_of_glyphs(("overcalled", "missed"))
        parts.chart(
            store.drawn(training_bars.training_bars, drawn, len(table), parts.colors()),
            key=state.TRAIN_CHART,
            on_select=state.clicked(state.TRAIN_CHART, training_bars.SELECTION, _choose_topic),
        )
        more = len(table) - len(drawn)
        parts.caption(
            words.HOW_TO_READ,
            f"{labels.plural(more, 'more topic')} {labels.are(more)} in the figures below." if more else "",
            words.WHAT_IT_CANNOT_SHOW,
        )
    with beside:
        expected = quarter(table)
        parts.item(*words.both_ways(expected))
        if told := words.judge_more(judge_more(table), len(table), titles):
            parts.item(*told)
        parts.item(*words.not_by_training(expected))
        links.to_data(filtered, "The measures missing most")


def _choose_topic(fields: Mapping[str, Any]) -> None:
    state.choose(state.TRAIN_TOPIC, fields["topic"])


def _figures(table: pd.DataFrame, titles: dict[str, str], within: str) -> None:
    with st.expander(f"All {labels.plural(len(table), 'topic')} in figures"):
        shown = table.assign(
            title=table["topic"].map(titles),
            place=[training_bars.place(row, len(table)) for row in each(table)],
            told=[training_bars.figure(row) for row in each(table)],
            too_much=table["avoidable_too_much"].map(labels.few),
            too_little=table["avoidable_too_little"].map(labels.few),
            judged=table["judged_share"].map(labels.percent),
            chance=table["p_worst_three"].map(labels.percent),
            bounds=[labels.join(row.rank_least, "to", row.rank_most) for row in each(table)],
            open=table["undecided"].map(labels.few),
            whom=table["suggested"].map(labels.WHOM),
        )
        columns = {"title": "Topic", "told": "Avoidable", "too_much": "Too much", "too_little": "Too little"}
        columns |= {
            "place": "Place",
            "chance": "Among first three",
            "judged": "Judged",
            "bounds": "If open calls are right, wrong",
        }
        parts.table(shown, columns | {"open": "Stay open", "whom": "Whom"})
        parts.download("Save these figures", table, "training-topics", "Where training could do most", within)


def _topic(table: pd.DataFrame, titles: dict[str, str], filtered: Filters) -> None:
    """One topic: whom it takes, the largest kinds of wrong call, the rule, what to record, where to go from here."""
    st.divider()
    topic = controls.pick("Prepare a topic", list(table["topic"]), state.TRAIN_TOPIC, titles.__getitem__, width=320)
    row = next(each(table[table["topic"] == topic]))
    about = store.measured(topics).set_index("topic").loc[topic]
    kinds = store.measured(worst_kinds, topic, filtered)
    parts.section(labels.escape_markdown(titles[topic]))
    st.markdown(labels.escape_markdown(words.whom(row, alone=len(filtered.inspectors) == 1)))
    with st.grid(2, min_column_width=460, gap="medium"):
        with st.container():
            parts.item("What goes wrong", "" if len(kinds) else "No call on it that could be judged is wrong.")
            parts.explained(words.kind_rows(kinds))
            parts.caption(words.a_quarter(row), labels.MISSES_CAUTION)
        with st.container():
            parts.item("The rule", str(about["plain"]))
            parts.caption(words.sources(store.measured(criteria, topic)))
            parts.item("Next time", str(about["habit"]))
            missing = store.measured(missing_measures, replace(filtered, topics=(topic,)))
            parts.caption(note_wording.record(missing, controls.measure_titles()))
    with st.container(horizontal=True):
        links.to_own_cases(filtered, "Write-ups that do not hold", topic, state.WRITE_UPS)
        links.to_own_cases(filtered, "Defects passed over", topic, state.PASSED_OVER)
        links.to_note_on_topic(filtered, "The note on this topic", topic)
        links.to_time(filtered, "This topic over time", topic)
        links.to_rule(filtered, "The rules on it", topic)
    if about["has_rule"]:
        show_cases_to_call(filtered, topic)


show()
