"""Over time: which months lie beyond luck and the mix of decks, and whose write-ups changed for good."""

from __future__ import annotations

from collections.abc import Mapping
from functools import partial
from typing import Any

import pandas as pd
import streamlit as st

from dashboard import address, controls, labels, state, store
from dashboard.charts import month_chart
from dashboard.filters import Filters
from dashboard.measures.cases import cases
from dashboard.measures.changes import changes, changes_of, guidelines
from dashboard.measures.months import ALL
from dashboard.measures.over_time import (
    SHOWN,
    OverTime,
    beyond,
    followed,
    over_time,
    phases,
    told,
    with_cases,
    within_period,
)
from dashboard.measures.rows import each
from dashboard.measures.summary import extent
from dashboard.notes import time_wording, wording
from dashboard.views import links, parts
from dashboard.views.case import show_cases
from dashboard.views.trained import show_trained

_ALL_TITLE = "All topics together"
#: The calls and outcomes that are read where a month is opened.
_BEHIND: dict[str, dict[str, tuple[str, ...]]] = {
    "written_up": {"calls": ("written_up",)},
    "overcalled": {"outcomes": ("overcalled",)},
    "missed": {"outcomes": ("missed", "understated")},
    "judged": {"outcomes": ("undecided",)},
}
_CASES = {
    "written_up": "write-ups",
    "overcalled": "write-ups that do not hold",
    "missed": "defects passed over",
    "judged": "calls that could not be judged",
}


def show() -> None:
    """Title, answer, picture, controls, colleagues' own changes, and the cases of a month."""
    top, picture, below = st.container(), st.container(), st.container()
    with below:
        with st.container(horizontal=True, vertical_alignment="top"):
            picking, switching = st.container(width=260), st.container(width="content")
        filtered = controls.filters()
    found = store.measured(extent, filtered)
    with top:
        parts.head("Over time", wording.scope(found.first_day, found.last_day, controls.chosen(filtered)))
    if not found.calls:
        with top:
            parts.nothing_within()
        return
    with top, st.spinner("Counting the months and following each colleague …"):
        moved = store.measured(over_time, filtered)
    titles = {ALL: _ALL_TITLE} | controls.topic_titles()
    with switching:
        shown = controls.switch("Show", SHOWN, state.TIME_SHOW, labels.OVER_TIME.__getitem__)
    of_shown = moved.of(shown)
    with picking:
        topic = controls.pick(
            "Topic", list(of_shown["topic"].unique()), state.TIME_TOPIC, lambda topic: titles.get(topic, topic)
        )
    if topic is None:
        with top:
            parts.message(*time_wording.nothing_to_show(shown))
        return
    rows, sessions = of_shown[of_shown["topic"] == topic], _sessions(moved, topic)
    with top:
        parts.answer(
            wording.together(
                time_wording.could_be_judged(shown, moved.judged_of(topic, shown)),
                _answer(topic, shown, rows, of_shown, sessions, titles),
            )
        )
    with picture:
        _picture(rows, sessions, _changes(rows, topic, filtered), shown)
        show_trained(moved.trained, topic, titles[topic], controls.within(filtered))
    _figures(rows, of_shown, titles[topic], titles, controls.within(filtered))
    _colleagues(moved.drift, controls.within(filtered))
    _cases(rows, filtered, topic, shown, titles)


def _answer(
    topic: str,
    shown: str,
    rows: pd.DataFrame,
    of_shown: pd.DataFrame,
    sessions: pd.DataFrame,
    titles: dict[str, str],
) -> wording.Sentence:
    title = None if topic == ALL else titles[topic]
    others = of_shown[of_shown["topic"] != ALL]
    return wording.together(
        time_wording.moved(title, shown, rows, phases(rows, sessions)),
        time_wording.elsewhere(others, titles) if topic == ALL else None,
    )


def _sessions(moved: OverTime, topic: str) -> pd.DataFrame:
    """The sessions on a topic; of all topics together every day on which one was held, once."""
    held = moved.sessions
    return held.drop_duplicates("held_on") if topic == ALL else held[held["topic"] == topic]


def _changes(rows: pd.DataFrame, topic: str, filtered: Filters) -> pd.DataFrame:
    """What else changed among these months; what reports name as their guideline, within the filters."""
    found = pd.concat([store.measured(changes), store.measured(guidelines, filtered)], ignore_index=True)
    return changes_of(found, topic, rows)


def _picture(rows: pd.DataFrame, sessions: pd.DataFrame, changed: pd.DataFrame, shown: str) -> None:
    if told(rows).empty:
        return
    parts.chart(
        store.drawn(month_chart.month_chart, rows, sessions, changed, shown, parts.colors()),
        key=state.TIME_CHART,
        on_select=state.clicked(state.TIME_CHART, month_chart.SELECTION, _choose_month),
    )
    parts.caption(*time_wording.how_to_read(shown, rows, sessions, changed))


def _choose_month(fields: Mapping[str, Any]) -> None:
    state.choose(state.TIME_MONTH, fields["id"])


def _figures(rows: pd.DataFrame, of_shown: pd.DataFrame, title: str, titles: dict[str, str], within: str) -> None:
    """The numbers of the picture, and all months of single topics beyond luck."""
    unit = str(rows["period"].iloc[0])
    with st.expander(labels.escape_markdown(f"{title} in figures, by {unit}")):
        _table(rows.assign(title=title), with_topic=False)
        parts.download("Save these figures", rows, f"months-{labels.slug(title)}", f"{title}, by {unit}", within)
    out = beyond(of_shown[of_shown["topic"] != ALL])
    if len(out):
        with st.expander(f"Beyond luck in single topics: {labels.count(len(out))}"):
            _table(out.assign(title=out["topic"].map(titles)), with_topic=True)


def _table(rows: pd.DataFrame, with_topic: bool) -> None:
    shown = rows.assign(
        when=[labels.period_of(row.period, row.month) for row in each(rows)],
        told=[labels.percent_with_interval(row.share, row.share_low, row.share_high) for row in each(rows)],
        luck=[_luck(row) for row in each(rows)],
        slow=[_slow(row) for row in each(rows)],
        so=rows["signal"].map(labels.MONTH_SIGNALS),
    )
    columns = {"title": "Topic"} if with_topic else {}
    columns |= {"when": "When", "count": "Count", "trials": "Of", "told": "Share", "luck": "By luck", "so": "Beyond"}
    columns |= {"slow": "Slow change, and by luck"} if rows["course"].notna().any() else {}
    parts.table(shown, columns)


def _luck(row: Any) -> str:
    if row.signal in {"too_few", "session"}:
        return ""
    return labels.join(labels.count(row.lower), "to", labels.count(row.upper))


def _slow(row: Any) -> str:
    if not labels.is_known(row.course):
        return ""
    return f"{labels.percent(row.course)} ({labels.interval(row.course_low, row.course_high)})"


def _colleagues(drift: pd.DataFrame, within: str) -> None:
    """Whose write-ups changed for good, in a line each; folded away where luck gives as many signals."""
    found = followed(drift)
    parts.section("Did one colleague's own write-ups change for good?")
    st.markdown(time_wording.changed_for_good(found).markdown)
    lines = time_wording.signal_lines(drift)
    with st.expander("How this is told, and its signals") if found.explained else st.container():
        for finding, plain in lines:
            parts.item(finding, plain)
        parts.hint(time_wording.HOW_DRIFT_IS_READ)
        parts.download("Save the charts' figures", drift, "drift", "Whether own write-ups changed", within)


def _cases(rows: pd.DataFrame, filtered: Filters, topic: str, shown: str, titles: dict[str, str]) -> None:
    """The calls behind a month: the one that was chosen here, else the latest beyond luck, else the latest."""
    if not address.asks_for(state.TIME_MONTH):
        state.forget_if_of_another(state.TIME_MONTH, f"{topic} {shown}")
    unit = str(rows["period"].iloc[0])
    latest_first = with_cases(rows, shown)
    starts = {row.month.strftime("%Y-%m"): row.month for row in each(latest_first)}
    out = beyond(latest_first)
    st.divider()
    start = controls.pick(
        f"Open a {unit}",
        list(starts),
        state.TIME_MONTH,
        lambda start: labels.period_of(unit, starts[start]),
        index=list(latest_first.index).index(out.index[0]) if len(out) else 0,
        width=260,
    )
    if start is None:
        return
    within = within_period(filtered, starts[start], unit)
    of = f" on {labels.in_sentence(titles[topic])}" if topic != ALL else ""
    behind = partial(store.measured, cases, within, topic=None if topic == ALL else topic, **_BEHIND[shown])
    title = f"{_CASES[shown]}{of} in {labels.period_of(unit, starts[start])}"
    show_cases(behind, state.TIME_CASE, title, within=controls.within(within))
    with st.container(horizontal=True):
        if unit == "month":
            links.to_note_on_month(filtered, "The note of this month", start)
        if topic != ALL:
            links.to_note_on_topic(filtered, "The note on this topic", topic)
            links.to_rule(filtered, "The rules on it", topic)


show()
