"""Where defects occur: by deck age, builder and region; which differences are more than luck."""

from __future__ import annotations

from collections.abc import Mapping
from functools import partial
from typing import Any

import pandas as pd
import streamlit as st

from dashboard import address, controls, labels, state, store
from dashboard.charts import dots, topic_grid
from dashboard.charts.dots import rated_rows
from dashboard.filters import Filters
from dashboard.measures.cases import cases
from dashboard.measures.catalog import topics
from dashboard.measures.rates import GROUPINGS, every_rate
from dashboard.measures.rows import each
from dashboard.measures.summary import extent
from dashboard.notes import wording
from dashboard.views import links, parts
from dashboard.views.case import show_cases

#: Groupings that the dots always show; the one that the grid is split by joins them.
_SHOWN = ("deck_age", "region", "builder")
#: More builders than this, and the picture shows those that stand out and the most frequent; the table has all.
_MOST_GROUPS = 8
#: The grid has room for the names of fewer builders; bands and regions stand there all, since a gap would mislead.
_MOST_COLUMNS = {"builder": 6}
_FULL_SCALE = 0.5
_SHARE_OF = "share with the defect"
_DEFECTS = ("upheld", "missed", "understated")


def show() -> None:
    """Title, answer, two pictures, controls, what stands out in all topics, and the cases of a cell."""
    top, pictures, below = st.container(), st.container(), st.container()
    with below:
        with st.container(horizontal=True, vertical_alignment="top"):
            parting, picking = st.container(width="content"), st.container(width=240)
            splitting = st.container(width="content")
        filtered = controls.filters()
    found = store.measured(extent, filtered)
    rates = all_rates(filtered)
    with top:
        parts.head("Where defects occur", wording.scope(found.first_day, found.last_day, controls.chosen(filtered)))
    if rates.empty:
        with top:
            parts.nothing_within()
        return
    titles = dict(zip(rates["topic"], rates["title"], strict=True))
    ranked = topics_by_signal(rates)
    groups = dict(zip(rates["topic"], rates["topic_group"], strict=True))
    first = [groups[ranked[0]]]
    linked = state.chosen(state.TOPIC)
    if address.asks_for(state.TOPIC) and linked in groups:
        state.choose(state.PART, groups[linked])
    with parting:
        part = controls.switch(
            "Part of the deck",
            first + [group for group in dict.fromkeys(groups.values()) if group not in first],
            state.PART,
            str,
        )
    with picking:
        topic = controls.pick(
            "Topic", [topic for topic in ranked if groups[topic] == part], state.TOPIC, titles.__getitem__
        )
    with splitting:
        split = controls.switch("Split the grid by", GROUPINGS, state.SPLIT, labels.SPLITS.__getitem__)
    own = rates[(rates["topic"] == topic) & rates["by"].isin([*_SHOWN, split])]
    with top:
        parts.answer(wording.together(wording.where_defects_occur(titles[topic], own), wording.elsewhere(rates, topic)))
    with pictures, st.grid(2, min_column_width=460, gap="medium"):
        with st.container():
            _dots(titles[topic], own, split)
        with st.container():
            _grid(rates[(rates["by"] == split) & (rates["topic_group"] == part)], part, split)
    _figures(titles[topic], own, controls.within(filtered))
    _signals(rates, controls.within(filtered))
    _cell(rates, filtered, topic, split, titles)


def all_rates(filtered: Filters) -> pd.DataFrame:
    """The rows of ``defect_rates`` of every grouping, of topics with a rule, with their titles."""
    known = store.measured(topics)
    every = store.measured(every_rate, filtered)
    return every.merge(known.loc[known["has_rule"], ["topic", "title", "topic_group"]], on="topic", how="inner")


def topics_by_signal(rates: pd.DataFrame) -> list[str]:
    """Topics, those with most groups that stand out first, and those of which nothing can be shown last; equal ones in
    load-path order."""
    told = rates.assign(out=rates["stands_out"].isin(["higher", "lower"]), shown=rated_rows(rates))
    signals = told.groupby("topic", sort=False).agg(out=("out", "sum"), shown=("shown", "any"))
    return list(signals.sort_values(["out", "shown"], ascending=False, kind="stable").index)


def busiest_groups(rates: pd.DataFrame, by: str, at_most: int = _MOST_GROUPS) -> list[str]:
    """The groups of a grouping to draw: all of a few; of many those that stand out, then the most frequent."""
    groups = rates[rates["by"] == by]
    out = groups["stands_out"].isin(["higher", "lower"])
    ranked = groups.assign(out=out).groupby("group").agg(out=("out", "max"), trials=("trials", "sum"))
    most = max(at_most, int(ranked["out"].sum()))
    first = ranked.sort_values(["out", "trials"], ascending=False).head(most)
    return labels.ordered_groups(by, first.index)


def _dots(title: str, own: pd.DataFrame, split: str) -> None:
    blocks = []
    for by in dict.fromkeys([*_SHOWN, split]):
        kept = busiest_groups(own, by)
        rows = own[(own["by"] == by) & own["group"].isin(kept)]
        blocks.append(rows.sort_values("group", key=lambda names: names.map(kept.index)))
    drawn = pd.concat(blocks)
    firm = own["firm_share"].iloc[0]
    parts.section(labels.escape_markdown(title))
    parts.chart(
        store.drawn(dots.dots, drawn, firm if labels.is_known(firm) else None, _SHARE_OF, parts.colors()),
        key=state.DOTS_CHART,
        on_select=state.clicked(state.DOTS_CHART, dots.SELECTION, _choose_group),
    )
    left_out = len(own) - len(drawn)
    parts.caption(
        "Bar: 95 % interval. In color: beyond what luck and the mix of deck ages explain. Shares are weighted, since "
        "write-ups are measured more often than the rest.",
        f"{labels.plural(left_out, 'builder')} with fewer decks {labels.are(left_out)} not drawn; "
        f"{'it does not stand' if left_out == 1 else 'none of them stands'} out."
        if left_out
        else "",
        wording.one_inspector_alone(drawn),
    )


def _grid(cells: pd.DataFrame, part: str, split: str) -> None:
    kept = busiest_groups(cells, split, _MOST_COLUMNS.get(split, cells["group"].nunique()))
    drawn = cells[cells["group"].isin(kept)]
    left_out = cells["group"].nunique() - len(kept)
    parts.section(f"{part}: share of decks with the defect, by topic and {labels.SPLITS[split].lower()}")
    parts.chart(
        store.drawn(topic_grid.topic_grid, drawn, split, _FULL_SCALE, parts.colors()),
        key=state.GRID_CHART,
        on_select=state.clicked(state.GRID_CHART, topic_grid.SELECTION, _choose_cell),
    )
    parts.caption(
        "In each cell the share, and below it how many were judged. Hatched: too few judged. Framed: beyond luck. "
        f"The stronger the shade, the more often: 0 to {labels.percent(_FULL_SCALE)}; above that the same shade.",
        f"{labels.plural(left_out, 'more builder')} {labels.are(left_out)} in the figures below." if left_out else "",
    )


def _choose_group(fields: Mapping[str, Any]) -> None:
    state.choose(state.SPLIT, fields["by"])
    state.choose(state.CELL, fields["group"])


def _choose_cell(fields: Mapping[str, Any]) -> None:
    state.choose(state.TOPIC, fields["topic"])
    state.choose(state.CELL, fields["group"])


def _figures(title: str, own: pd.DataFrame, within: str) -> None:
    """The numbers of the pictures, and who is behind each group."""
    with st.expander(labels.escape_markdown(f"{title} in figures, with the inspectors and decks behind each group")):
        _rates_table(own.assign(topic_shown=title), with_topic=False)
        parts.download("Save these figures", own, f"defect-rates-{labels.slug(title)}", f"{title}, by group", within)


def _signals(rates: pd.DataFrame, within: str) -> None:
    out = rates[rates["stands_out"].isin(["higher", "lower"])].sort_values("q", kind="stable")
    with st.expander(f"Everything that stands out, in all topics: {labels.plural(len(out), 'group')}"):
        _rates_table(out.assign(topic_shown=out["title"]), with_topic=True)
        parts.download("Save all rates", rates, "defect-rates", "How often defects occur, by group", within)


def _rates_table(rates: pd.DataFrame, with_topic: bool) -> None:
    shown = rates.assign(
        split=rates["by"].map(labels.SPLITS),
        group=rates["group"].map(labels.group),
        told=[_told(row) for row in each(rates)],
        expected=[labels.percent(row.expected_share) if _is_told(row) else "" for row in each(rates)],
        out=rates["stands_out"].map(labels.STANDS_OUT),
    )
    columns = {"topic_shown": "Topic"} if with_topic else {}
    columns |= {"split": "By", "group": "Group", "told": "With the defect", "expected": "Expected"}
    columns |= {"judged": "Judged", "trials": "Looked at", "inspectors": "Inspectors", "decks": "Decks"}
    parts.table(shown, columns | {"out": "Beyond luck"})


def _told(row: Any) -> str:
    if not _is_told(row):
        return "too little judged"
    return labels.percent_with_interval(row.defect_share, row.defect_share_low, row.defect_share_high)


def _is_told(row: Any) -> bool:
    return labels.is_known(row.defect_share) and labels.is_known(row.expected_share)


def _cell(rates: pd.DataFrame, filtered: Filters, topic: str, split: str, titles: dict[str, str]) -> None:
    own = rates[(rates["by"] == split) & (rates["topic"] == topic)]
    groups = list(own["group"])
    signals = own.loc[own["stands_out"] == "higher", "group"]
    st.divider()
    group = controls.pick(
        f"Open a group: {labels.SPLITS[split].lower()}",
        groups,
        state.CELL,
        labels.group,
        # Where nothing stands out, the group with most defects: the first may have none to read.
        index=groups.index(signals.iloc[-1]) if len(signals) else int(own["defects"].argmax()),
        width=300,
    )
    behind = partial(store.measured, cases, filtered, topic=topic, by=split, group=group, outcomes=_DEFECTS)
    title = f"{titles[topic]} on {labels.group_in_sentence(split, group)}"
    people = own[own["group"] == group].iloc[0]
    about = (
        f"{labels.plural(people['inspectors'], 'inspector')} looked at {labels.plural(people['decks'], 'such deck')}; "
        f"{labels.part_of(people['judged'], people['trials'])} looks could be judged."
    )
    show_cases(behind, state.WHERE_CASE, title, about, controls.within(filtered))
    with st.container(horizontal=True):
        links.to_note_on_topic(filtered, "The note on this topic", topic)
        links.to_rule(filtered, "The rules on it", topic)


show()
