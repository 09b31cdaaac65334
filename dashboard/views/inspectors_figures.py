"""The figures behind the comparison of inspectors with peers: what differs, and all there is on a topic."""

from __future__ import annotations

import pandas as pd
import streamlit as st

from dashboard import controls, labels
from dashboard.measures import comparisons
from dashboard.measures.rows import each
from dashboard.measures.write_ups import ALL
from dashboard.notes import inspectors_wording as told
from dashboard.views import parts


def show_differences(table: pd.DataFrame, within: str) -> None:
    """All comparisons, of all topics, that differ by more than luck; since when, and whether it held."""
    out = comparisons.that_differ(table)
    titles = controls.topic_titles()
    with st.expander(f"Everything beyond luck, in all topics: {labels.plural(len(out), 'comparison')}"):
        if out.empty:
            st.markdown(told.ONLY_LUCK)
            return
        shown = out.assign(
            title=out["topic"].map(titles).fillna(out["topic"]),
            what=out["kind"].map(labels.COMPARISONS),
            peers=[labels.few(row.expected) for row in each(out)],
            way=out["signal"].map(labels.MORE_OR_FEWER),
            since=[told.since_when(row) for row in each(out)],
        )
        columns = {
            "title": "Topic",
            "inspector_id": "Inspector",
            "what": "What",
            "found": "Own",
            "peers": "Peers, about",
        }
        parts.table(shown, columns | {"way": "Is", "since": "Since when, and whether it held"})
        parts.download("Save these", out, "beyond-luck", "Comparisons with peers that luck does not explain", within)


def show_figures(rows: pd.DataFrame, table: pd.DataFrame, within: str) -> None:
    """The figures of one topic, inspector by inspector; those of all topics to save.

    Parameters
    ----------
    rows
        Rows of ``table`` of the topic.
    """
    topic = str(rows["topic"].iloc[0])
    title = (controls.topic_titles() | {ALL: "All topics"}).get(topic, topic)
    with st.expander(labels.escape_markdown(f"{title} in figures")):
        shown = rows.assign(
            peers_about=[labels.few(row.expected) if labels.is_known(row.expected) else "" for row in each(rows)],
            as_often=[_times(row.ratio, row.ratio_low, row.ratio_high) for row in each(rows)],
            drawn_in=[
                _times(row.shrunken_ratio, row.shrunken_ratio_low, row.shrunken_ratio_high) for row in each(rows)
            ],
            apart=[labels.percent(row.overlap) if labels.is_known(row.overlap) else "" for row in each(rows)],
            judged=[
                labels.part_of(row.overcalled, row.judged_write_ups) if row.judged_write_ups else "none judged"
                for row in each(rows)
            ],
            lacking=[
                labels.count(row.trials_lacking) if labels.is_known(row.trials_lacking) else "" for row in each(rows)
            ],
            means=rows["signal"].map(labels.COMPARED),
        )
        columns = {
            "inspector_id": "Inspector",
            "trials": "Looks",
            "written_up": "Written up",
            "peers_about": "Peers, about",
        }
        columns |= {"as_often": "As often as peers", "drawn_in": "Drawn toward 1", "apart": "Told apart"}
        columns |= {"lacking": "Looks lacking"}
        parts.table(shown, columns | {"judged": "Do not hold", "means": "Is"})
        parts.caption(
            "Drawn toward 1: the less is known of an inspector, the nearer to peers; never tested. Told apart: the "
            "share of what is known of an inspector that the mix of decks leaves; under a quarter nothing is compared. "
            "Looks lacking: how many more until twice the odds of peers would show with a chance of 80 %."
        )
        parts.download("Save the figures of all topics", table, "inspectors", "Inspectors against peers", within)


def _times(ratio: float, low: float, high: float) -> str:
    return labels.times(ratio, low, high) if labels.is_known(ratio) else ""


def show_own_figures(own: pd.DataFrame, within: str) -> None:
    """The figures of one inspector, topic by topic; colleagues are in it as one number."""
    titles = controls.topic_titles() | {ALL: "All topics"}
    with st.expander("All topics in figures"):
        shown = own.assign(
            title=own["topic"].map(titles).fillna(own["topic"]),
            peers_about=[labels.few(row.expected) if labels.is_known(row.expected) else "" for row in each(own)],
            as_often=[_times(row.ratio, row.ratio_low, row.ratio_high) for row in each(own)],
            means=own["signal"].map(labels.COMPARED),
            judged=[labels.part_of(row.overcalled, row.judged_write_ups) for row in each(own)],
            passed_over=[labels.part_of(row.missed_found, row.missed_of) for row in each(own)],
            since=[told.since_when(row) for row in each(own)],
        )
        columns = {"title": "Topic", "trials": "Looks", "written_up": "Written up", "peers_about": "Peers, about"}
        columns |= {
            "as_often": "As often as peers",
            "means": "Is",
            "judged": "Do not hold",
            "passed_over": "Passed over",
        }
        parts.table(shown, columns | {"since": "Since when"})
        parts.caption(
            "Do not hold: of write-ups that could be judged. Passed over: of recorded defects.", labels.MISSES_CAUTION
        )
        parts.download("Save these figures", own, "own-calls", "Own calls against those of peers", within)
