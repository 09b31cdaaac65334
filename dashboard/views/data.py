"""Data: can what is loaded be trusted, and what would make more of it judgeable?"""

from __future__ import annotations

from collections.abc import Mapping
from functools import partial
from typing import Any

import pandas as pd
import streamlit as st

from dashboard import controls, labels, state, store
from dashboard.charts import missing_bars, not_seen_dots
from dashboard.filters import Filters
from dashboard.measures.cases import cases
from dashboard.measures.contradictions import TOLD, contradictions
from dashboard.measures.loads import loads
from dashboard.measures.missing import cases_without, missing_measures
from dashboard.measures.not_seen import ALL, not_seen, reasons_of, totals
from dashboard.measures.refused import incomplete_reports, refused_reasons, to_mend
from dashboard.measures.rows import each
from dashboard.measures.summary import Intake, intake, summary
from dashboard.notes import data_wording, wording
from dashboard.notes.layout_wording import TITLES
from dashboard.views import parts, upload
from dashboard.views.case import show_cases
from dashboard.warehouse import EmptyWarehouse, NoWarehouse, SnapshotTooOld, default_folder, kept_snapshots

#: How many are drawn or listed; all of them stand in the tables below.
_DRAWN, _DRAWN_TOPICS, _LISTED_REASONS, _LISTED_FILES = 10, 8, 5, 12
_LOAD_COLUMNS = {
    "name": "File",
    "rows_read": "Rows read",
    "rows_loaded": "New",
    "rows_replaced": "Replaced",
    "rows_unchanged": "Unchanged",
    "rows_rejected": "Refused",
    "loaded_at": "When (UTC)",
}


def show() -> None:
    """Files that are being loaded, alone on the page; else what is loaded, and the place to bring more."""
    if upload.is_under_way():
        upload.show()
        return
    try:
        store.snapshot()
    except (NoWarehouse, EmptyWarehouse, SnapshotTooOld) as error:
        parts.head("Data", "")
        is_old = isinstance(error, SnapshotTooOld)
        parts.message(error.sentence, data_wording.BRING_ANY if is_old else data_wording.NOTHING_YET)
        upload.bring()
        return
    _show()


def _show() -> None:
    """Title, answer, the rows to mend; then what calls lack and the cases behind it; then what was loaded."""
    top, bringing, mending, pictures, below = (st.container() for _ in range(5))
    with below:
        picking = st.container()
        filtered = controls.filters()
    found, held = store.measured(summary, filtered), store.measured(intake)
    missing = _titled(store.measured(missing_measures, filtered))
    seen = bool(found.calls or found.not_seen)
    with top:
        parts.head("Data", wording.scope(found.first_day, found.last_day, controls.chosen(filtered)))
        if seen:
            parts.answer(data_wording.can_be_trusted(found, missing, held.refused_rows))
        else:
            parts.nothing_within()
    with bringing:
        upload.bring()
    with mending:
        _refused(held, narrowed=not filtered.is_empty)
    if seen:
        with pictures, st.grid(2, min_column_width=460, gap="large"):
            with st.container():
                _missing(missing)
            with st.container():
                _not_seen(filtered)
        with picking:
            chosen = _pick(missing, totals(store.measured(not_seen, filtered), None))
        with below:
            _cases(chosen, missing, filtered)
            _contradictions(filtered)
            _tables(missing, filtered)
    _whole_warehouse()


def _titled(missing: pd.DataFrame) -> pd.DataFrame:
    """The missing measures with the titles of measure and topic, and one id for the two."""
    measures, topics = controls.measure_titles(), controls.topic_titles()
    return missing.assign(
        id=missing["topic"] + ":" + missing["measure"],
        name=[measures.get(measure, labels.choice(measure)) for measure in missing["measure"]],
        topic_title=[topics.get(topic, labels.choice(topic)) for topic in missing["topic"]],
    )


# ---- what calls lack -------------------------------------------------------------------------------------------------


def _missing(missing: pd.DataFrame) -> None:
    parts.section("Measures missing most")
    if missing.empty:
        st.markdown("No call stayed undecided for want of a measure.")
        return
    parts.chart(
        store.drawn(missing_bars.missing_bars, missing.head(_DRAWN), parts.colors()),
        key=state.MISSING_CHART,
        on_select=state.clicked(state.MISSING_CHART, missing_bars.SELECTION, _choose),
    )
    parts.caption(
        "Calls on the topic that stayed undecided and lacked the measure, of all calls on it; in brackets the 95 % "
        "interval. A call that lacks two measures counts under both, so the bars do not add up. Which way the rule "
        "would have gone nobody can say.",
        f"The first {len(missing.head(_DRAWN))} of {len(missing)}." if len(missing) > _DRAWN else "",
    )


def _choose(fields: Mapping[str, Any]) -> None:
    state.choose(state.MISSING, f"{fields['topic']}:{fields.get('measure', '')}")


def _not_seen(filtered: Filters) -> None:
    found = store.measured(not_seen, filtered)
    parts.section("What was not seen, and why")
    st.markdown(data_wording.not_seen(found[found["topic"] == ALL]).markdown)
    drawn = totals(found, _DRAWN_TOPICS)
    if drawn.empty:
        return
    titles = controls.topic_titles()
    drawn = drawn.assign(
        name=[titles.get(topic, labels.choice(topic)) for topic in drawn["topic"]],
        reasons=[data_wording.reasons(reasons_of(found, topic)) for topic in drawn["topic"]],
    )
    parts.chart(
        store.drawn(not_seen_dots.not_seen_dots, drawn, parts.colors()),
        key=state.NOT_SEEN_CHART,
        on_select=state.clicked(state.NOT_SEEN_CHART, not_seen_dots.SELECTION, _choose),
    )
    parts.caption(
        "Bar: 95 % interval. A topic on a deck counts as not seen where no place of it was seen. The topics that were "
        "most often not seen come first; a deck with two reasons counts under both.",
    )


def _pick(missing: pd.DataFrame, unseen: pd.DataFrame) -> str | None:
    """A topic and a measure that was lacking, or a topic alone that was not seen, as one id."""
    titles = controls.topic_titles()
    named = {
        row.id: f"{data_wording.without(row.topic_title, row.name)}: {labels.count(row.undecided)}"
        for row in each(missing)
    } | {
        f"{row.topic}:": f"Not seen, {titles.get(row.topic, row.topic).lower()}: {labels.count(row.not_seen)}"
        for row in each(unseen)
    }
    if not named:
        return None
    if state.chosen(state.MISSING) not in named:
        # Chosen, not left to the list's default: the browser would go on showing what the filters have taken away.
        state.choose(state.MISSING, None)
    return controls.pick(
        "Show the calls behind a mark",
        list(named),
        state.MISSING,
        named.__getitem__,
        index=None,
        placeholder="choose what they lack, or what was not seen",
        width=560,
    )


def _cases(chosen: str | None, missing: pd.DataFrame, filtered: Filters) -> None:
    if chosen is None:
        return
    topic, _, measure = chosen.partition(":")
    if not measure:
        behind = partial(store.measured, cases, filtered, topic=topic, calls=("not_seen",))
        title = f"{controls.topic_titles().get(topic, topic)}, not seen"
        show_cases(behind, state.DATA_CASE, title, within=controls.within(filtered))
        return
    lacked = missing[missing["id"] == chosen].iloc[0]
    behind = partial(store.measured, cases_without, lacked["topic"], lacked["measure"], filtered)
    title = data_wording.without(lacked["topic_title"], lacked["name"])
    about = f"They belong to {labels.plural(lacked['undecided'], 'call')}."
    show_cases(behind, state.DATA_CASE, title, about, controls.within(filtered))


def _contradictions(filtered: Filters) -> None:
    """Observations to be read by a person; where there are none, not a word."""
    found = store.measured(contradictions, filtered)
    if found.empty:
        return
    parts.section("Observations that contradict themselves")
    st.markdown(data_wording.contradictory(found).markdown)
    titles = controls.topic_titles()
    shown = found.assign(
        title=found["topic"].map(titles),
        why=found["contradiction"].map(TOLD),
        said=found["comment"].fillna(found["not_seen_reason"].map(labels.choice, na_action="ignore")).fillna(""),
    )
    with st.expander(f"{labels.plural(len(found), 'such observation')} as a table"):
        columns = {"observation_id": "Observation", "title": "Topic", "why": "Why", "reason": "By the measures"}
        parts.table(shown, columns | {"said": "The report says"})
        within = controls.within(filtered)
        parts.download("Save this table", found, "contradictions", "Observations that contradict themselves", within)


def _tables(missing: pd.DataFrame, filtered: Filters) -> None:
    within = controls.within(filtered)
    if len(missing):
        with st.expander(f"All {labels.plural(len(missing), 'missing measure')} as a table"):
            parts.table(
                missing.assign(share=_told(missing)),
                {
                    "name": "Measure",
                    "topic_title": "Topic",
                    "undecided": "Undecided without it",
                    "calls": "Calls on the topic",
                    "share": "Share, 95 %",
                },
            )
            plain = missing.drop(columns=["id", "name", "topic_title"])
            parts.download("Save this table", plain, "missing-measures", "Missing measures", within)
    unseen = store.measured(not_seen, filtered)
    shown = unseen[unseen["not_seen"] > 0]
    if len(shown):
        titles = controls.topic_titles() | {ALL: "All topics"}
        with st.expander("Everything that was not seen, with its reasons, as a table"):
            parts.table(
                shown.assign(
                    title=shown["topic"].map(titles),
                    reason=[labels.choice(reason) for reason in shown["reason"]],
                    share=_told(shown),
                ),
                {
                    "title": "Topic",
                    "reason": "Reason",
                    "not_seen": "Not seen",
                    "trials": "Looked for",
                    "share": "Share, 95 %",
                },
            )
            parts.download("Save this table", unseen, "not-seen", "What was not seen, and why", within)


def _told(rows: pd.DataFrame) -> list[str]:
    return [labels.percent_with_interval(row.share, row.share_low, row.share_high) for row in each(rows)]


# ---- the whole warehouse ---------------------------------------------------------------------------------------------


def _whole_warehouse() -> None:
    st.divider()
    parts.caption("From here on: the whole warehouse, whatever the filters say.")
    _loads()
    _snapshots()


def _refused(held: Intake, narrowed: bool) -> None:
    """What is refused and why, and beside it what to do about it: nobody but the firm can."""
    parts.section("Refused rows", anchor="refused-rows")
    if not held.refused_rows:
        st.markdown("No row is refused: whatever was read is loaded.")
        return
    reports = store.measured(incomplete_reports)
    st.markdown(data_wording.refused_of(held, reports).markdown)
    if narrowed:
        parts.caption("Of the whole warehouse, whatever the filters say.")
    left, right = parts.picture_beside()
    with left:
        _reasons()
    with right:
        st.markdown(
            "Save the rows, mend their cells, leave `file`, `row` and `reasons` as they stand, and bring the saved "
            "file to this page, above; or load it in a terminal: `evenhand load to-mend.csv --mend`."
        )
        parts.download("Save the rows to mend", partial(store.measured, to_mend), "to-mend", "Refused rows, to mend")
        if len(reports):
            with st.expander(f"The {labels.plural(len(reports), 'report')} that {_lack(len(reports))} rows"):
                _incomplete(reports)


def _reasons() -> None:
    reasons, titles = store.measured(refused_reasons), TITLES | controls.measure_titles()
    lines = [
        (
            data_wording.refused_for(row, _column(row["column"], titles) if labels.is_known(row["column"]) else ""),
            labels.count(row["rows"]),
        )
        for _, row in reasons.iterrows()
    ]
    parts.facts(lines[:_LISTED_REASONS])
    if len(lines) > _LISTED_REASONS:
        with st.expander(f"{labels.plural(len(lines) - _LISTED_REASONS, 'more reason')}"):
            parts.facts(lines[_LISTED_REASONS:])


def _incomplete(reports: pd.DataFrame) -> None:
    parts.table(
        reports.assign(file=[labels.file_name(file) for file in reports["file"]]),
        {
            "report_id": "Report",
            "inspected_on": "Day",
            "inspector_id": "Inspector",
            "rows_refused": "Rows refused",
            "observations": "Rows loaded",
            "file": "File",
        },
    )
    parts.download("Save this table", reports, "incomplete-reports", "Reports that lack rows")


def _lack(reports: int) -> str:
    return "lacks" if reports == 1 else "lack"


def _column(column: str, titles: Mapping[str, str]) -> str:
    words = labels.choice(column)
    return titles.get(column, f"{words[0].upper()}{words[1:]}")


def _snapshots() -> None:
    parts.section("Snapshots and catalog")
    kept, info = kept_snapshots(default_folder()), store.snapshot().info
    with st.container(width=560):
        parts.facts(
            [
                *((f"{one.snapshot}{', read now' if one.current else ''}", labels.moment(one.made_at)) for one in kept),
                ("Catalog of rules", info.catalog),
                *([("Guideline", info.code_basis)] if info.code_basis else []),
            ]
        )
        others = [one.snapshot for one in kept if not one.current]
        if others:
            with st.expander("To go back to an earlier snapshot"):
                st.markdown(f"`evenhand rollback {others[0]}`. Nothing is deleted by that.")
        else:
            parts.caption("Only this one is kept so far. After the next load you can go back to it.")


def _loads() -> None:
    files = store.measured(loads)
    parts.section("What was loaded")
    if files.empty:
        st.markdown("The snapshot does not tell of a load.")
        return
    read = files.assign(name=[labels.file_name(file) for file in files["file"]])
    parts.caption(
        "Rows read are new, put in place of an earlier version of their report (replaced), unchanged, or refused: the "
        "four add up. Newest load first."
    )
    _files(read.head(_LISTED_FILES))
    problems = read[read["problem"].notna()]
    if len(problems):
        parts.section("Files that could not be read")
        parts.facts((f"{row.name}, {labels.moment(row.loaded_at)}: {row.problem}", "") for row in each(problems))
    if len(read) > _LISTED_FILES:
        with st.expander(f"All {labels.plural(len(read), 'file')} of all loads"):
            _files(read)
    parts.download("Save this table", files, "loads", "What came in, file by file")


def _files(files: pd.DataFrame) -> None:
    when = st.column_config.DatetimeColumn(format="D MMM YYYY, HH:mm")
    shown = files[list(_LOAD_COLUMNS)].rename(columns=_LOAD_COLUMNS)
    st.dataframe(
        shown,
        hide_index=True,
        height="content",
        column_config=parts.counts(shown) | {_LOAD_COLUMNS["loaded_at"]: when},
    )


show()
