"""Same deck, two looks: how often two inspectors who saw one deck agree, where they differ, and calibration rounds; how
often calls are right where the truth is known, and which second looks would tell more."""

from __future__ import annotations

from collections.abc import Mapping
from functools import partial
from typing import Any

import pandas as pd
import streamlit as st

from dashboard import address, controls, labels, state, store
from dashboard.charts import agreement_dots
from dashboard.filters import Filters
from dashboard.measures.agreement import agreement
from dashboard.measures.not_seen import ALL
from dashboard.measures.pairs import cases_of_pair, pairs, that_differ
from dashboard.measures.round_results import round_results
from dashboard.measures.rounds import round_agreement
from dashboard.measures.rows import each
from dashboard.measures.summary import extent
from dashboard.notes import agreement_wording, wording
from dashboard.views import links, parts
from dashboard.views.case import show_cases
from dashboard.views.looks import show_looks
from dashboard.views.truth import show_truth

#: More topics than these are not drawn: those with most write-ups are.
_DRAWN = 12
_BEYOND = {"kappa": "Kappa", "ac1": "AC1"}
_NAMED_ROUNDS = 3


def show() -> None:
    """Title, answer, the picture and what it cannot show; decks on which looks differ; rounds; truth; looks to make."""
    top, picture, below = st.container(), st.container(), st.container()
    with below:
        filtered = controls.filters()
    found = store.measured(extent, filtered)
    rows = named(store.measured(agreement, filtered))
    with top:
        parts.head("Same deck, two looks", wording.scope(found.first_day, found.last_day, controls.chosen(filtered)))
        if not found.calls:
            parts.nothing_within()
        elif rows.empty:
            parts.message(*agreement_wording.none_of_them(not filtered.is_empty))
        else:
            parts.answer(agreement_wording.how_often_they_agree(rows.iloc[0]))
    if len(rows):
        with picture:
            _picture(rows)
            _figures(rows, filtered)
        _where_they_differ(rows, filtered)
    _rounds(filtered)
    if found.calls:
        show_truth(filtered)
        show_looks(filtered)


def named(rows: pd.DataFrame) -> pd.DataFrame:
    """Rows of ``agreement`` or ``round_agreement`` with the ``name`` of their topic."""
    titles = controls.topic_titles() | {ALL: "All topics"}
    return rows.assign(name=[titles.get(topic, labels.choice(topic)) for topic in rows["topic"]])


# ---- the picture -----------------------------------------------------------------------------------------------------


def _picture(rows: pd.DataFrame) -> None:
    enough = rows[(rows["status"] == "ok") | (rows["topic"] == ALL)]
    if rows.iloc[0]["status"] == "ok":
        parts.section("Where one wrote it up, did the other?")
        drawing, switching = st.container(), st.container()
        with switching:
            beyond = controls.switch("Beyond chance, by", list(_BEYOND), state.LOOKS_BEYOND, _BEYOND.__getitem__)
        with drawing:
            _dots(_drawn(enough), beyond, len(rows))
    with st.grid(2, min_column_width=460, gap="large"):
        with st.container():
            parts.section("Repairs look like disagreement")
            st.markdown(agreement_wording.repairs(enough).markdown)
        with st.container():
            parts.section("Why kappa falls when a fault is rare")
            st.markdown(agreement_wording.why_kappa_falls(enough.iloc[1:]).markdown)
            st.markdown(agreement_wording.how_many_more(enough).markdown)


def _dots(drawn: pd.DataFrame, beyond: str, in_all: int) -> None:
    parts.chart(
        store.drawn(agreement_dots.agreement_dots, drawn, beyond, parts.colors()),
        key=state.LOOKS_CHART,
        on_select=state.clicked(state.LOOKS_CHART, agreement_dots.SELECTION, _choose_topic),
    )
    left_out = in_all - len(drawn)
    parts.caption(
        "Agreement is not correctness: two inspectors can agree and both be wrong. Bar: 95 % interval, all looks at a "
        "deck taken together. Referred, advised and no defect noted count as not written up.",
        f"{labels.plural(left_out, 'topic')} {labels.are(left_out)} not drawn: fewer than 20 such decks, or fewer "
        "write-ups; the figures are below."
        if left_out
        else "",
    )


def _drawn(enough: pd.DataFrame) -> pd.DataFrame:
    """All topics together, and of the others those with most write-ups, in their order."""
    most = enough.iloc[1:].sort_values("write_ups", ascending=False, kind="stable").head(_DRAWN)
    return enough[(enough["topic"] == ALL) | enough["topic"].isin(most["topic"])]


def _choose_topic(fields: Mapping[str, Any]) -> None:
    if fields["topic"] != ALL:
        state.choose(state.LOOKS_TOPIC, fields["topic"])


# ---- where they differ -----------------------------------------------------------------------------------------------


def _where_they_differ(rows: pd.DataFrame, filtered: Filters) -> None:
    found = store.measured(pairs, filtered)
    differing = that_differ(found)
    st.divider()
    parts.section("Decks on which two looks differ")
    if differing.empty:
        st.markdown("There is none within these filters.")
        return
    counts = differing["topic"].value_counts()
    names = dict(zip(rows["topic"], rows["name"], strict=True))
    topic = controls.pick(
        "Topic",
        list(counts.index),
        state.LOOKS_TOPIC,
        lambda chosen: f"{names[chosen]}: {labels.plural(int(counts[chosen]), 'pair')} differ",
        width=420,
    )
    # Said even where it is the default: with the next load another would be, and a link must go on showing this one.
    address.stands(state.LOOKS_TOPIC, topic)
    own = that_differ(found, topic)
    st.markdown(agreement_wording.pairs_of_topic(rows[rows["topic"] == topic].iloc[0]).markdown)
    lines = {row.pair_id: agreement_wording.pair_line(row) for row in each(own)}
    pair = controls.pick(
        f"Open a deck ({labels.all_of(len(own), 'pair')})", list(lines), state.LOOKS_PAIR, lines.__getitem__, width=560
    )
    address.stands(state.LOOKS_PAIR, pair)
    _two_looks(own[own["pair_id"] == pair].iloc[0], names[topic], filtered)
    with st.container(horizontal=True):
        links.to_rule(filtered, "The rules on it", topic)
        links.to_note_on_topic(filtered, "The note on this topic", topic)


def _two_looks(pair: pd.Series, name: str, filtered: Filters) -> None:
    """The two looks beside each other, then all places behind them as cases."""
    reports = [pair["earlier_report_id"], pair["later_report_id"]]
    behind = partial(store.measured, cases_of_pair, pair["topic"], pair["deck_id"], reports)
    places = behind()
    with st.grid(2, min_column_width=300, gap="large"):
        for which, report in zip(("earlier", "later"), reports, strict=True):
            with st.container():
                _look(pair, which, places[places["report_id"] == report])
    show_cases(behind, state.LOOKS_CASE, f"{name} on deck {pair['deck_id']}", within=controls.within(filtered))


def _look(pair: pd.Series, which: str, places: pd.DataFrame) -> None:
    st.markdown(f"**{which.capitalize()} look, {labels.day(pair[f'{which}_on'])}**")
    parts.facts(agreement_wording.look_facts(places, str(pair[f"{which}_call"]), pair[f"{which}_verdict"]))
    comment = places["comment"].iloc[0]
    st.text(f"“{comment}”" if labels.is_known(comment) else "The report has no sentence on it.")


# ---- figures ---------------------------------------------------------------------------------------------------------


def _figures(rows: pd.DataFrame, filtered: Filters) -> None:
    within = controls.within(filtered)
    with st.expander(f"All figures, by topic: {labels.plural(len(rows) - 1, 'topic')}"):
        shown = rows.assign(
            shared=[_told(row, "positive_agreement", labels.percent_with_interval) for row in each(rows)],
            same=[_told(row, "raw", labels.percent_with_interval) for row in each(rows)],
            kappa_told=[_told(row, "kappa", labels.coefficient_with_interval) for row in each(rows)],
            ac1_told=[_told(row, "ac1", labels.coefficient_with_interval) for row in each(rows)],
        )
        columns = {
            "name": "Topic",
            "pairs": "Pairs",
            "decks": "Decks",
            "both_up": "Both",
            "earlier_only": "Earlier only",
        }
        columns |= {"later_only": "Later only", "neither": "Neither", "shared": "The other wrote it up too"}
        columns |= {
            "same": "Same",
            "kappa_told": "Kappa",
            "ac1_told": "AC1",
            "more_pairs_needed": "More for kappa",
        }
        parts.table(shown, columns | {"more_pairs_for_order": "More for the order"})
        parts.caption(
            "More for kappa: pairs that are lacking until it is known to 0.1 either way. More for the order: until it "
            "would show that one look alone writes up twice as often as the other."
        )
        parts.download("Save these figures", rows.drop(columns="name"), "agreement", "Agreement by topic", within)
        parts.download(
            "Save all pairs", partial(_all_pairs, filtered), "pairs", "Decks that two inspectors saw", within
        )


def _all_pairs(filtered: Filters) -> pd.DataFrame:
    return store.measured(pairs, filtered).drop(columns="pair_id")


def _told(row: Any, figure: str, words: Any) -> str:
    if row.status != "ok":
        return "too few decks"
    value, low, high = (getattr(row, f"{figure}{end}") for end in ("", "_low", "_high"))
    return words(value, low, high) if labels.is_known(value) else agreement_wording.NO_KAPPA[row.no_kappa]


# ---- calibration rounds ----------------------------------------------------------------------------------------------


def _rounds(filtered: Filters) -> None:
    found = named(store.measured(round_agreement, filtered))
    st.divider()
    parts.section("Calibration rounds")
    if found.empty:
        st.markdown(agreement_wording.no_round(not filtered.is_empty))
        return
    whole = found[found["topic"] == ALL]
    for _, row in whole.head(_NAMED_ROUNDS).iterrows():
        st.markdown(agreement_wording.of_round(row).markdown)
    parts.caption(
        "In a round referred, advised and no defect noted count as not written up, and not seen as no call; against "
        "what is known a referred defect counts as found. Its items were chosen, so that it says how alike people "
        "call, not how often they do so on decks.",
    )
    with st.expander(f"{labels.all_of(len(whole), 'round').capitalize()} by topic"):
        shown = found.assign(
            same=[_of_round(row, "raw", labels.percent_with_interval) for row in each(found)],
            fleiss_told=[_of_round(row, "fleiss", labels.coefficient_with_interval) for row in each(found)],
            alpha_told=[_of_round(row, "alpha", labels.coefficient_with_interval) for row in each(found)],
            right=[labels.part_of(row.known_right, row.known_calls) if row.known_calls else "" for row in each(found)],
        )
        columns = {"round_id": "Round", "held_on": "Day", "name": "Topic", "items": "Items", "inspectors": "Inspectors"}
        columns |= {"calls": "Calls", "written_up": "Written up", "same": "Same", "fleiss_told": "Fleiss"}
        parts.table(shown, columns | {"alpha_told": "Krippendorff", "right": "As known"})
        parts.download(
            "Save this table",
            found.drop(columns="name"),
            "round-agreement",
            "Agreement in calibration rounds",
            controls.within(filtered),
        )
    _by_inspector(filtered)


def _by_inspector(filtered: Filters) -> None:
    """A small table of what each colleague's calls came to where the truth is known; the file has the topics too."""
    found = named(store.measured(round_results, filtered))
    if found.empty:
        return
    with st.expander("Right calls, misses and false alarms by inspector"):
        whole = found[found["topic"] == ALL]
        told = {
            name: [agreement_wording.against_bounds(row, count, of) for row in each(whole)]
            for name, (count, of) in agreement_wording.RESULTS.items()
        }
        columns = {"round_id": "Round", "held_on": "Day", "inspector_id": "Inspector"}
        parts.table(whole.assign(**told), columns | {name: name for name in told})
        parts.caption(agreement_wording.BOUNDS)
        parts.download(
            "Save the results by topic",
            found.drop(columns="name"),
            "round-results",
            "Right calls, misses and false alarms in calibration rounds",
            controls.within(filtered),
        )


def _of_round(row: Any, figure: str, words: Any) -> str:
    if row.status != "ok":
        return "too few items"
    value, low, high = (getattr(row, f"{figure}{end}") for end in ("", "_low", "_high"))
    return words(value, low, high) if labels.is_known(value) else agreement_wording.NO_KAPPA[row.no_kappa]


show()
