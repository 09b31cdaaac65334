"""How each inspector's calls compare with those of peers on the same decks: the table ``inspectors``.

Write-ups are set against the case-mix model of each topic (:mod:`write_ups`), wrong calls against peers who recorded
the same (:mod:`wrong_calls`); the shares of missed defects and of false calls are weighted by call class
(:mod:`call_classes`). The row ``all`` adds up an inspector's topics.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from dashboard.filters import EVERYTHING, Filters
from dashboard.measures import order
from dashboard.measures.call_classes import CLAIMING, FINDING, ClassCounts, count_classes, share_columns
from dashboard.measures.case_mix import CaseMix
from dashboard.measures.peers import Firm, firm
from dashboard.measures.signal_record import signal_record
from dashboard.measures.signals import WEAK_OVERLAP, Array, Family
from dashboard.measures.write_ups import ALL, WriteUps, write_ups
from dashboard.measures.wrong_calls import in_topic, over_topics, wrong_call_signals
from dashboard.stats import intervals
from dashboard.stats.verification import Share
from dashboard.warehouse import Snapshot

_CALLS = ("referred", "advised", "passed")
_SHARE_ENDS = ("", "_low", "_high", "_least", "_most")
_WRONG_FIGURES = ("of", "found", "expected", "p", "q", "signal")

COLUMNS = [
    *("inspector_id", "topic", "trials", "written_up", "expected", "expected_sd", "expected_error"),
    *("ratio", "ratio_low", "ratio_high", "shrunken_ratio", "shrunken_ratio_low", "shrunken_ratio_high"),
    *("p", "q", "signal", "trials_lacking"),
    *("overlap", "weak", "peers", "peer_decks", "adjusted_for", "dispersion"),
    *("spread", "spread_low", "spread_high", "first_signalled", "held"),
    *("referred", "advised", "passed", "not_seen", "not_seen_expected"),
    *("judged_write_ups", "overcalled", "not_holding_share", "not_holding_share_low", "not_holding_share_high"),
    *("judged_share_written_up", "judged_share_passed"),
    *(f"{share}{end}" for share in ("overcalled_share", "missed_share") for end in _SHARE_ENDS),
    *(f"{wrong}_{figure}" for wrong in ("overcalled", "missed") for figure in _WRONG_FIGURES),
]


def inspectors(snapshot: Snapshot, filters: Filters = EVERYTHING) -> pd.DataFrame:
    """Each inspector against peers on similar decks, topic by topic and over all topics.

    The filters for inspectors and topics choose among the rows; what these are compared with, and how many comparisons
    are counted, stays the same.

    Returns
    -------
    DataFrame
        One row an inspector x topic with a trial, seen or not; ``all`` first, then topics in load-path order,
        inspectors by code. Counts are of trials (report x deck x topic). The columns are told in docs/tables.md.
    """
    return inspectors_of(firm(snapshot, filters), snapshot, filters)


def inspectors_of(found: Firm, snapshot: Snapshot, filters: Filters) -> pd.DataFrame:
    """The table of :func:`inspectors` from a firm that has been compared."""
    everyone = replace(filters, inspectors=(), topics=())
    topics = order.topics(found.family.topics, snapshot.query("topics"))
    if not topics:
        return pd.DataFrame(columns=COLUMNS)
    compared = write_ups(found)
    dispersion = float(compared[ALL].columns["dispersion"][0])
    wrong = wrong_call_signals(snapshot, everyone, found.case.inspectors)
    parts = [
        _of_write_ups(compared, topics, found),
        _of_record(found, topics),
        _of_calls(found.case, topics),
        _of_not_seen(snapshot.query("not_seen_counts", **everyone.parameters()), found.case.inspectors, topics),
        _of_shares(snapshot.query("call_classes", **everyone.parameters()), found.case.inspectors, topics),
        *(_of_wrong_calls(name, family, topics, dispersion) for name, family in wrong.items()),
    ]
    table = _as_table(found.case.inspectors, topics, parts)
    table["adjusted_for"] = ", ".join(found.case.adjusted_for)
    return chosen(table.loc[table["trials"] + table["not_seen"] > 0, COLUMNS], filters)


def chosen(table: pd.DataFrame, filters: Filters) -> pd.DataFrame:
    """The rows that the filters for inspectors and topics leave; ``all`` topics together stay."""
    if table.empty:
        return table
    own = table["inspector_id"].isin(filters.inspectors) if filters.inspectors else True
    topic = table["topic"].isin([ALL, *filters.topics]) if filters.topics else True
    return table[pd.Series(True, index=table.index) & own & topic].reset_index(drop=True)


Columns = dict[str, NDArray]  # each inspectors x (all and the topics)


def _as_table(people: tuple[str, ...], topics: list[str], parts: list[Columns]) -> pd.DataFrame:
    rows = [ALL, *topics]
    columns: Columns = {
        "inspector_id": np.array(people, dtype=object)[:, None],
        "topic": np.array(rows, dtype=object)[None, :],
    }
    for part in parts:
        columns |= part
    shape = (len(people), len(rows))
    # Topic by topic: the topic's rows stand together.
    flat = {name: np.broadcast_to(values, shape).T.ravel() for name, values in columns.items()}
    return pd.DataFrame(flat)


def _of_write_ups(compared: dict[str, WriteUps], topics: list[str], found: Firm) -> Columns:
    rows = [compared[topic] for topic in (ALL, *topics)]
    columns = {name: np.stack([row.columns[name] for row in rows], axis=1) for name in rows[0].columns}
    columns["weak"] = (columns["overlap"] < WEAK_OVERLAP) & ~np.isnan(columns["q"])
    spread = np.array([row.spread for row in rows])
    return columns | {
        "spread": spread[None, :, 0],
        "spread_low": spread[None, :, 1],
        "spread_high": spread[None, :, 2],
    }


def _of_record(found: Firm, topics: list[str]) -> Columns:
    record = signal_record(found.family, found.dated, len(found.months))
    of_topic = {topic: at for at, topic in enumerate(found.family.topics)}
    nothing = np.full(len(found.case.inspectors), np.nan)
    at = [of_topic[topic] for topic in topics]
    months = np.append(found.months.astype("datetime64[s]"), np.datetime64("NaT"))  # -1 takes the last: never
    never = np.full(len(nothing), np.datetime64("NaT"), "datetime64[s]")
    first = np.stack([never, *months[record.first[at]]], axis=1)
    held = np.stack([nothing, *record.held[at]], axis=1)
    return {"first_signalled": first, "held": _yes_no(held)}


def _yes_no(values: Array) -> NDArray[np.object_]:
    """1 and 0 as yes and no, NaN as not known."""
    known = (values == 1).astype(object)
    known[np.isnan(values)] = None
    return known


def _of_calls(case: CaseMix, topics: list[str]) -> Columns:
    """Seen trials by their call, and how many of the written-up and of the passed ones could be judged."""
    seen = case.trials[case.trials["seen"].to_numpy(bool)]
    judged = seen["verdict"].isin(["defect", "acceptable"])
    columns: Columns = {call: _counted(case, seen[seen["call"] == call], topics) for call in _CALLS}
    written_up = seen["call"] == "written_up"
    columns["judged_write_ups"] = _counted(case, seen[judged & written_up], topics)
    columns["overcalled"] = _counted(case, seen[written_up & seen["overcalled"]], topics)
    all_written_up = _counted(case, seen[written_up], topics)
    judged_passes = _counted(case, seen[judged & (seen["call"] == "passed")], topics)
    low, high = intervals.wilson(columns["overcalled"], columns["judged_write_ups"])
    return columns | {
        "not_holding_share": _over(columns["overcalled"], columns["judged_write_ups"]),
        "not_holding_share_low": low,
        "not_holding_share_high": high,
        "judged_share_written_up": _over(columns["judged_write_ups"], all_written_up),
        "judged_share_passed": _over(judged_passes, columns["passed"]),
    }


def _over(part: NDArray, whole: NDArray) -> Array:
    with np.errstate(invalid="ignore", divide="ignore"):
        return np.where(whole > 0, part / whole, np.nan)


def _counted(case: CaseMix, trials: pd.DataFrame, topics: list[str]) -> NDArray[np.int64]:
    inspector = case.visits["inspector_id"].to_numpy()[trials["visit"].to_numpy()]
    counts = np.zeros((len(case.inspectors), len(topics)), np.int64)
    place = pd.Categorical(inspector, categories=list(case.inspectors)).codes
    np.add.at(counts, (place, pd.Categorical(trials["topic"], categories=topics).codes), 1)
    return _with_all(counts)


def _with_all(counts: NDArray) -> NDArray:
    return np.concatenate([counts.sum(axis=1, keepdims=True), counts], axis=1)


def _of_not_seen(counts: pd.DataFrame, people: tuple[str, ...], topics: list[str]) -> Columns:
    """Not seen, and how many of these trials peers do not see in the same regions and seasons.

    Indirect standardization: the peers' share of each region and season times the own trials there; where no peer
    looked at the topic there, the peers' share of the topic.
    """
    keys = ["topic", "region", "season"]
    totals = counts.groupby(keys)[["trials", "not_seen"]].transform("sum")
    of_topic = counts.groupby("topic")[["trials", "not_seen"]].transform("sum")
    own_of_topic = counts.groupby(["topic", "inspector_id"])[["trials", "not_seen"]].transform("sum")
    there, anywhere = totals - counts[["trials", "not_seen"]], of_topic - own_of_topic
    share = _over(there["not_seen"].to_numpy(), there["trials"].to_numpy())
    fallback = _over(anywhere["not_seen"].to_numpy(), anywhere["trials"].to_numpy())
    expected = counts["trials"].to_numpy() * np.where(np.isnan(share), fallback, share)
    place = (
        pd.Categorical(counts["inspector_id"], categories=list(people)).codes,
        pd.Categorical(counts["topic"], categories=topics).codes,
    )
    known = place[1] >= 0  # a topic that nobody ever saw has no row here
    columns: Columns = {}
    for name, values in (("not_seen", counts["not_seen"].to_numpy(float)), ("not_seen_expected", expected)):
        summed = np.zeros((len(people), len(topics)))
        np.add.at(summed, (place[0][known], place[1][known]), values[known])
        columns[name] = _with_all(summed)
    return columns | {"not_seen": columns["not_seen"].astype(np.int64)}


def _of_shares(counts: pd.DataFrame, people: tuple[str, ...], topics: list[str]) -> Columns:
    """Shares of sound trials called wrong, and of defects missed.

    Over all topics only the bounds are told: topics differ in how much of them is judged.
    """
    false_calls = _by_topic_and_all(count_classes(counts, people, topics, CLAIMING), "false_calls")
    finds = _by_topic_and_all(count_classes(counts, people, topics, FINDING), "finds")
    missed = Share(1 - finds.estimate, 1 - finds.high, 1 - finds.low, 1 - finds.most, 1 - finds.least)
    return share_columns("overcalled_share", false_calls) | share_columns("missed_share", missed)


def _by_topic_and_all(counts: ClassCounts, name: str) -> Share:
    of_topic, of_all = getattr(counts.shares(), name), getattr(counts.over_topics().shares(), name)
    untold = np.full_like(of_all.estimate, np.nan)
    together = Share(untold, untold, untold, of_all.least, of_all.most)
    names = ("estimate", "low", "high", "least", "most")
    return Share(*(np.concatenate([getattr(together, of), getattr(of_topic, of)], axis=1) for of in names))


def _of_wrong_calls(name: str, family: Family, topics: list[str], dispersion: float) -> Columns:
    """Wrong calls of one kind against those of peers who recorded the same; over all topics their sums."""
    rows = [over_topics(family, dispersion), *(in_topic(family, topic) for topic in topics)]
    return {
        f"{name}_of": np.stack([row.judged for row in rows], axis=1).astype(np.int64),
        f"{name}_found": np.stack([row.wrong for row in rows], axis=1).astype(np.int64),
        f"{name}_expected": np.stack([row.expected for row in rows], axis=1),
        f"{name}_p": np.stack([row.p for row in rows], axis=1),
        f"{name}_q": np.stack([row.q for row in rows], axis=1),
        f"{name}_signal": np.stack([row.signal for row in rows], axis=1),
    }
