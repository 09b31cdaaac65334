"""What needs a decision: what came in with the newest load, and what of it wants somebody's attention."""

from __future__ import annotations

from dataclasses import replace

import pandas as pd
import streamlit as st

from dashboard import controls, labels, state, store
from dashboard.charts import outcome_bars, pattern_list
from dashboard.filters import Filters
from dashboard.measures.arrivals import Arrivals, newest_load
from dashboard.measures.call_outcomes import call_outcomes
from dashboard.measures.corrections import corrections
from dashboard.measures.missing import missing_measures
from dashboard.measures.rows import each
from dashboard.measures.summary import Summary, intake, summary
from dashboard.notes import wording
from dashboard.views import links, parts

NEWEST, ALL = "newest", "all"
_SHOWN = {NEWEST: "What came in last", ALL: "All that is loaded"}
_NAMED_CORRECTIONS, _DRAWN_KINDS = 3, 3
#: Where no kind failed more often than this, there is nothing to compare, and the kinds are only named.
_LEAST_DRAWN = 3


def show() -> None:
    """Title, answer, the bars, then what to decide, what fails most, and what came in."""
    top, picture, below = st.container(), st.container(), st.container()
    came_in = store.measured(newest_load)
    with below:
        scope = _pick_scope(came_in)
        filtered = controls.filters()
    if scope == NEWEST and came_in:
        filtered = replace(filtered, loads=(came_in.load_id,))
    found = store.measured(summary, filtered)
    with top:
        parts.head("What needs a decision", wording.scope(found.first_day, found.last_day, controls.chosen(filtered)))
    if not found.calls:
        with top:
            parts.nothing_within()
        return
    with top:
        parts.answer(wording.needs_a_decision(found, scope == NEWEST))
    with picture:
        _bars(filtered)
    left, right = parts.picture_beside()
    with left:
        _to_decide(filtered, scope)
        _fail_most(found, filtered)
    with right:
        _came_in(came_in, filtered)


def _pick_scope(came_in: Arrivals | None) -> str:
    """The newest load or everything; with a single load the two are one."""
    loaded = store.measured(controls.choices).loads
    if came_in is None or came_in.load_id not in loaded:
        return ALL
    if len(loaded) < 2:
        return NEWEST
    return controls.switch("Look at", list(_SHOWN), state.SCOPE, _SHOWN.__getitem__)


def _bars(filtered: Filters) -> None:
    calls = store.measured(call_outcomes, filtered)
    parts.chart(store.drawn(outcome_bars.outcome_bars, calls, parts.colors(), links.of_bars(filtered, calls)))
    with st.container(horizontal=True):
        links.to_write_ups(filtered, "Write-ups that do not hold")
        links.to_passed_over(filtered, "Defects passed over")
        links.to_data(filtered, "What could not be judged")
    without_rule = int(calls.loc[calls["outcome"] == "no_rule", "trials"].sum())
    parts.caption(
        "A call is one topic on one deck in one report. Lengths are shares of each kind of call. Hatched: a measure "
        "that the rule needs was not written down, or the topic has no rule.",
        labels.MISSES_CAUTION,
        f"{labels.plural(without_rule, 'call')} {labels.are(without_rule)} on topics without a rule."
        if without_rule
        else "",
    )


# ---- to decide -------------------------------------------------------------------------------------------------------


def _to_decide(filtered: Filters, scope: str) -> None:
    parts.section("To decide")
    urgent, held = store.measured(corrections, filtered), store.measured(intake)
    if len(urgent):
        _corrections(urgent, filtered, scope)
    if held.refused_rows:
        parts.item(*wording.refused(held))
        links.to_data(filtered, "See and mend")
    missing = store.measured(missing_measures, filtered)
    if len(missing):
        first = missing.iloc[0]
        parts.item(
            labels.missing_most(controls.measure_titles()[first["measure"]]),
            f"{controls.topic_titles()[first['topic']]}: {labels.part_of(first['undecided'], first['calls'])} calls "
            "could not be judged without it.",
        )
        links.to_data(filtered, "See what is missing")
    if not len(urgent) and not held.refused_rows and missing.empty:
        st.markdown("Nothing: no safety matter was passed over, no row refused, no measure missing.")


def _corrections(urgent: pd.DataFrame, filtered: Filters, scope: str) -> None:
    reports, advised = urgent["report_id"].nunique(), int((urgent["outcome"] == "understated").sum())
    parts.item(*wording.may_need_a_correction(reports, advised, scope == NEWEST))
    titles = controls.topic_titles()
    for row in each(urgent.head(_NAMED_CORRECTIONS)):
        links.to_case(
            filtered,
            f"{row.report_id}, {labels.day(row.inspected_on)}: {titles[row.topic].lower()}, {row.reason}",
            row.topic,
            row.recorded,
            row.observation_id,
        )
    if len(urgent) > _NAMED_CORRECTIONS:
        with st.expander(f"All {labels.count(len(urgent))}"):
            parts.table(
                urgent.assign(topic=urgent["topic"].map(titles), call=urgent["call"].map(labels.CALLS)),
                {
                    "report_id": "Report",
                    "inspected_on": "Day",
                    "topic": "Topic",
                    "place": "Place",
                    "call": "Call",
                    "reason": "Why",
                },
            )
            parts.download(
                "Save all of them", urgent, "corrections", "Safety matters passed over", controls.within(filtered)
            )


# ---- what fails most, what came in -----------------------------------------------------------------------------------


def _fail_most(found: Summary, filtered: Filters) -> None:
    parts.section("Where most write-ups fail")
    if found.patterns.empty:
        st.markdown("No write-up that could be judged fails.")
        return
    titles = controls.topic_titles()
    if found.patterns["overcalled"].iloc[0] < _LEAST_DRAWN:
        verb = "does" if found.overcalled.count == 1 else "do"
        wrong = labels.plural(found.overcalled.count, "write-up")
        st.markdown(f"{wrong} {verb} not hold, and no kind came up more than twice. For instance:")
        for row in each(found.patterns):
            links.to_kind(filtered, wording.kind_name(row.topic, titles[row.topic], row.recorded), row.pattern_id)
        _fail_most_of_all(filtered, titles)
        return
    kinds = found.patterns.head(_DRAWN_KINDS).assign(
        wrong=found.patterns["overcalled"],
        name=[wording.kind_name(row.topic, titles[row.topic], row.recorded) for row in each(found.patterns)],
    )
    parts.key_of_glyphs(pattern_list.key())
    share, addresses = found.overcalled.value, links.of_kinds(filtered, kinds)
    parts.chart(store.drawn(pattern_list.pattern_list, kinds, share, parts.colors(), addresses=addresses))
    parts.caption(pattern_list.how_to_read())
    with st.container(horizontal=True):
        for row in each(kinds):
            links.to_kind(filtered, row.name, row.pattern_id)


def _fail_most_of_all(filtered: Filters, titles: dict[str, str]) -> None:
    """The largest kind in all that is loaded, where the newest load is too small to show any."""
    everything = replace(filtered, loads=())
    largest = store.measured(summary, everything).patterns
    if filtered.loads and len(largest):
        row = next(each(largest))
        name = wording.kind_name(row.topic, titles[row.topic], row.recorded)
        links.to_kind(everything, f"In all that is loaded most often: {name} ({row.overcalled})", row.pattern_id)


def _came_in(came_in: Arrivals | None, filtered: Filters) -> None:
    parts.section("What came in last")
    if came_in is None:
        st.markdown("The snapshot does not tell of a load.")
        return
    files = labels.plural(came_in.files, "file")
    parts.facts(
        [
            (f"Rows read, {files}", labels.count(came_in.read)),
            ("– new", labels.count(came_in.new)),
            ("– replaced", labels.count(came_in.replaced)),
            ("– unchanged", labels.count(came_in.unchanged)),
            ("– refused, kept with reasons", labels.count(came_in.refused)),
            *([("Files that could not be read", labels.count(came_in.unreadable))] if came_in.unreadable else []),
        ]
    )
    info = store.snapshot().info
    parts.caption(f"Loaded {labels.moment(came_in.loaded_at)}. Snapshot {info.snapshot}.")
    links.to_data(filtered, "All loads")


show()
