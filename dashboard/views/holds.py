"""Calls that do not hold: which kinds of write-up fail, which recorded defects were passed over, and their cases."""

from __future__ import annotations

from collections.abc import Mapping
from functools import partial
from typing import Any

import pandas as pd
import streamlit as st

from dashboard import controls, labels, state, store
from dashboard.charts import joist_hanger, pattern_list
from dashboard.filters import Filters
from dashboard.measures.cases import cases_of_pattern
from dashboard.measures.catalog import measures, topics
from dashboard.measures.hanger_grid import HangerWriteUps, hanger_write_ups
from dashboard.measures.missing import missing_measures
from dashboard.measures.patterns import misses, pattern_id, patterns
from dashboard.measures.rows import each
from dashboard.measures.summary import Summary, summary
from dashboard.notes import wording
from dashboard.views import links, parts
from dashboard.views.case import show_cases
from dashboard.views.sentences import show_sentences

_SHOWN = {
    state.WRITE_UPS: "Write-ups that do not hold",
    state.PASSED_OVER: "Defects passed over",
    state.SENTENCES: "Stock sentences",
}
_DRAWN_KINDS = 8
#: Fewer write-ups than this in the cells, and the grid carries no answer.
_LEAST_IN_CELLS = 5
_WRONG = ("overcalled", "missed", "understated")


def show() -> None:
    """Title, answer, picture, controls, and the cases of a kind."""
    top, pictures, below = st.container(), st.container(), st.container()
    with below:
        switching = st.container()
        filtered = controls.filters()
    with switching:
        shown = controls.switch("Show", list(_SHOWN), state.SHOW, _SHOWN.__getitem__)
    found = store.measured(summary, filtered)
    with top:
        parts.head("Calls that do not hold", wording.scope(found.first_day, found.last_day, controls.chosen(filtered)))
    if not found.calls:
        with top:
            parts.nothing_within()
        return
    with st.container():
        if shown == state.WRITE_UPS:
            _write_ups(top, pictures, filtered, found)
        elif shown == state.SENTENCES:
            show_sentences(top, pictures, filtered, found)
        else:
            _passed_over(top, pictures, filtered, found)


def _write_ups(top: Any, pictures: Any, filtered: Filters, found: Summary) -> None:
    hangers = store.measured(hanger_write_ups, filtered)
    kinds = named(store.measured(patterns, filtered), "overcalled")
    with top:
        parts.answer(wording.write_ups(found, hangers.grid, _titles(), _most_missing(filtered)))
    with pictures:
        beside = _beside_hangers(hangers) if hangers.drawn >= _LEAST_IN_CELLS else st.container()
        with beside:
            _kinds(kinds, found.overcalled.value, "overcalled")
            chosen = _pick_kind(kinds)
    _cases(chosen, kinds, filtered, ("written_up",))


def _beside_hangers(hangers: HangerWriteUps) -> Any:
    """Draw the grid; the place beside it."""
    left, right = parts.picture_beside()
    with left:
        _hangers(hangers)
    return right


def _passed_over(top: Any, pictures: Any, filtered: Filters, found: Summary) -> None:
    kinds = named(store.measured(misses, filtered), "missed", "understated")
    with top:
        parts.answer(wording.passed_over(found))
    with pictures:
        _kinds(kinds, found.wrong_passes.value, "missed", labels.MISSES_CAUTION)
        chosen = _pick_kind(kinds)
    _cases(chosen, kinds, filtered, ("passed", "advised"))


def named(found: pd.DataFrame, *wrong: str) -> pd.DataFrame:
    """The kinds with the ``name`` that is shown and how many are ``wrong``; kinds without a wrong call stand last."""
    titles = _titles()
    return found.assign(
        wrong=found[list(wrong)].sum(axis=1),
        name=[wording.kind_name(row.topic, titles[row.topic], row.recorded) for row in each(found)],
    )


def _titles() -> dict[str, str]:
    known = store.measured(topics)
    return dict(zip(known["topic"], known["title"], strict=True))


def _most_missing(filtered: Filters) -> str | None:
    wanted = store.measured(missing_measures, filtered)
    if wanted.empty:
        return None
    titles = store.measured(measures).set_index("measure")["title"]
    return str(titles.get(wanted["measure"].iloc[0], wanted["measure"].iloc[0]))


def _hangers(hangers: HangerWriteUps) -> None:
    parts.section("Hanger size: what was written up, and what holds")
    parts.key_of_glyphs(("upheld", "overcalled", "judgment", "undecided"))
    parts.chart(
        store.drawn(joist_hanger.joist_hanger, hangers.grid, parts.colors()),
        key=state.HANGER_CHART,
        on_select=state.clicked(state.HANGER_CHART, joist_hanger.SELECTION, _choose_pair),
    )
    parts.caption(
        "Rows are joists. Left of the heavy line the hanger cannot reach 60 % of the joist. Where its height decides, "
        "it must be measured. Load capacity is not checked.",
        joist_hanger.adds_up(hangers),
    )


def _choose_pair(fields: Mapping[str, Any]) -> None:
    recorded = f"{fields['joist_nominal']} joist in {fields['hanger_nominal']} hanger"
    state.choose(state.KIND, pattern_id("hanger_size", recorded))


def _choose_kind(fields: Mapping[str, Any]) -> None:
    state.choose(state.KIND, fields["pattern_id"])


def _kinds(kinds: pd.DataFrame, firm_share: float | None, outcome: str, caution: str = "") -> None:
    parts.section("Kinds of write-up that fail" if outcome == "overcalled" else "Kinds of defect passed over")
    failing = kinds[kinds["wrong"] > 0]
    if failing.empty:
        st.markdown("There is none within these filters.")
        return
    drawn = failing.head(_DRAWN_KINDS)
    parts.key_of_glyphs(pattern_list.key(outcome))
    parts.chart(
        store.drawn(pattern_list.pattern_list, drawn, firm_share, parts.colors(), outcome),
        key=state.KINDS_CHART,
        on_select=state.clicked(state.KINDS_CHART, pattern_list.SELECTION, _choose_kind),
    )
    parts.caption(pattern_list.how_to_read(len(drawn), len(failing)), caution)


def _pick_kind(kinds: pd.DataFrame) -> str | None:
    names = dict(zip(kinds["pattern_id"], kinds["name"], strict=True))
    return controls.pick("Show the cases of", list(names), state.KIND, names.__getitem__) if names else None


def _cases(chosen: str | None, kinds: pd.DataFrame, filtered: Filters, calls: tuple[str, ...]) -> None:
    if chosen is None:
        return
    kind = kinds[kinds["pattern_id"] == chosen].iloc[0]
    st.divider()
    # Those that the picture counts come first, the newest of them open.
    behind = partial(store.measured, cases_of_pattern, chosen, filtered, calls=calls, first=_WRONG)
    people = labels.plural(kind["inspectors"], "inspector")
    days = labels.period(kind["first_seen"], kind["last_seen"])
    about = f"By {people} on {labels.plural(kind['decks'], 'deck')}, {days}."
    show_cases(behind, state.HOLDS_CASE, str(kind["name"]), about, controls.within(filtered))
    with st.container(horizontal=True):
        if kind["wrong"]:
            links.to_note_on_kind(filtered, "The note on this kind", chosen)
        else:
            # A note on a kind says what does not hold; of this kind all holds.
            links.to_note_on_topic(filtered, "The note on its topic", str(kind["topic"]))
        links.to_rule(filtered, f"The rules on {_titles()[kind['topic']].lower()}", str(kind["topic"]))


show()
