"""What the difference between an inspector's write-ups and those of colleagues is made of: the table ``differences``.

Counted from what peers write up of as many trials, six terms lead to what the inspector wrote up, and add up exactly:

- not seen: trials left unseen beyond (or short of) what peers leave unseen there, at the peers' share
- decks: what peers would have written up on these decks, less what they write up of as many others
- false calls: write-ups that do not hold, less those that peers would have among as many expected write-ups
- misses: defects passed over, against those of peers; more misses make fewer write-ups
- advice: defects only advised upon or referred instead of written up, against those of peers
- rest: what no judged call explains

False calls, misses and advice are counted where they could be judged and scaled to all calls of their class.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from dashboard.filters import EVERYTHING, Filters
from dashboard.measures.case_mix import CaseMix, read_case_mix
from dashboard.measures.comparisons import DIFFERS
from dashboard.measures.inspectors import chosen, inspectors
from dashboard.measures.write_ups import ALL
from dashboard.warehouse import Snapshot

TERMS = ("by_not_seen", "by_decks", "by_false_calls", "by_misses", "by_advice", "by_rest")

#: Those that rest on judged calls.
JUDGED_TERMS = ("by_false_calls", "by_misses", "by_advice")

_DECIDED = ("defect", "acceptable")
_ADVICE = ("advised", "referred")
_PAIR = ["inspector_id", "topic"]


def differences(snapshot: Snapshot, filters: Filters = EVERYTHING) -> pd.DataFrame:
    """The parts of each inspector's difference from peers.

    Returns
    -------
    DataFrame
        One row an inspector x topic that is compared with peers, as in ``inspectors``; ``all`` is left out.

        - inspector_id, topic, trials, written_up
        - of_as_many: what peers write up of as many trials of the topic, whatever the decks
        - difference: written_up less of_as_many
        - by_not_seen, by_decks, by_false_calls, by_misses, by_advice, by_rest: its parts; NaN from by_false_calls on
          where no write-up, or no other call, of the inspector or of the peers could be judged
        - judged_share_written_up, judged_share_passed: what the parts rest on
    """
    everyone = replace(filters, inspectors=(), topics=())
    return chosen(differences_of(snapshot, inspectors(snapshot, everyone), filters), filters)


def differences_of(snapshot: Snapshot, everybody: pd.DataFrame, filters: Filters = EVERYTHING) -> pd.DataFrame:
    """The rows of :func:`differences` of everybody, from the table ``inspectors`` where that is at hand.

    Parameters
    ----------
    everybody
        All rows of ``inspectors`` within the same filters, those for inspectors and topics left aside.
    """
    if everybody.empty:
        return pd.DataFrame(columns=_COLUMNS)
    table = everybody[(everybody["topic"] != ALL) & everybody["expected"].notna()]
    classes = calls_by_class(read_case_mix(snapshot, filters), flagged_pairs(table))
    return split(table, classes).reset_index(drop=True)


_COLUMNS = [
    *("inspector_id", "topic", "trials", "written_up", "of_as_many", "difference"),
    *TERMS,
    *("judged_share_written_up", "judged_share_passed"),
]


def flagged_pairs(table: pd.DataFrame) -> pd.MultiIndex:
    """Inspectors and topics that are flagged: they are nobody's peers there. ``table``: rows of ``inspectors``."""
    return pd.MultiIndex.from_frame(table.loc[table["signal"].isin(DIFFERS), _PAIR])


def calls_by_class(case: CaseMix, flagged: pd.MultiIndex) -> pd.DataFrame:
    """By inspector and topic: estimated wrong write-ups, misses and defects advised upon, own and peers'.

    Returns
    -------
    DataFrame
        Indexed by inspector_id and topic: trials, written_up, false_calls, misses, advice, and the same of peers (all
        others that are not flagged in the topic) as ``…_of_peers``. Judged calls of a class are scaled to all of the
        class; NaN where the class has calls and none is judged.
    """
    seen = case.trials[case.trials["seen"].to_numpy(bool)]
    seen = seen.assign(
        inspector_id=case.visits["inspector_id"].to_numpy()[seen["visit"].to_numpy()],
        judged=seen["verdict"].isin(_DECIDED),
        defect=seen["verdict"] == "defect",
    )
    by = [seen[name] for name in _PAIR]
    counts = seen.groupby(_PAIR).agg(trials=("seen", "size"), written_up=("written_up", "sum")).astype(float)
    is_peer = ~counts.index.isin(flagged)
    for name in ("trials", "written_up"):
        counts[f"{name}_of_peers"] = _of_peers(counts[name], is_peer)
    classes = {
        "false_calls": (seen["call"] == "written_up", ~seen["defect"]),
        "misses": (seen["call"] == "passed", seen["defect"]),
        "advice": (seen["call"].isin(_ADVICE), seen["defect"]),
    }
    for name, (in_class, wrong) in classes.items():
        masks = (in_class, in_class & seen["judged"], in_class & seen["judged"] & wrong)
        parts = [mask.groupby(by).sum().astype(float) for mask in masks]
        counts[name] = _scaled(*parts)
        counts[f"{name}_of_peers"] = _scaled(*(_of_peers(part, is_peer) for part in parts))
    return counts


def _of_peers(counts: pd.Series, is_peer: NDArray[np.bool_]) -> pd.Series:
    """The sum over the topic's other inspectors, flagged ones left out."""
    kept = counts.where(is_peer, 0.0)
    return kept.groupby("topic").transform("sum") - kept


def _scaled(total: pd.Series, judged: pd.Series, found: pd.Series) -> pd.Series:
    return (total * found / judged.where(judged > 0)).where(total > 0, 0.0)


def split(table: pd.DataFrame, classes: pd.DataFrame) -> pd.DataFrame:
    """The rows of :func:`differences` from rows of ``inspectors`` and the calls of each class."""
    own = classes.reindex(pd.MultiIndex.from_frame(table[_PAIR]))
    per_trial = (own["written_up_of_peers"] / own["trials_of_peers"]).to_numpy()
    trials, expected = table["trials"].to_numpy(float), table["expected"].to_numpy(float)
    unseen = table["not_seen"].to_numpy(float) - table["not_seen_expected"].to_numpy(float)
    of_as_many = (trials + unseen) * per_trial
    # Peers' wrong calls, brought to as many expected write-ups: on decks with more faults there are more to miss, too.
    scale = expected / own["written_up_of_peers"].replace(0.0, np.nan).to_numpy()
    excess = {
        name: own[name].to_numpy() - scale * own[f"{name}_of_peers"].to_numpy()
        for name in ("false_calls", "misses", "advice")
    }
    parts = {
        "by_not_seen": -unseen * per_trial,
        "by_decks": expected - trials * per_trial,
        "by_false_calls": excess["false_calls"],
        "by_misses": -excess["misses"],
        "by_advice": -excess["advice"],
    }
    difference = table["written_up"].to_numpy(float) - of_as_many
    parts["by_rest"] = difference - sum(parts.values())
    return table.assign(of_as_many=of_as_many, difference=difference, **parts)[_COLUMNS]


def in_parts(rows: pd.DataFrame) -> pd.Series:
    """An inspector's difference in a topic, or over several, with its parts; they add up whatever could be judged.

    Parameters
    ----------
    rows
        Rows of :func:`differences` of one inspector, one or more.

    Returns
    -------
    Series
        topics (how many), written_up, of_as_many, difference; each of ``TERMS``, summed over the topics in which it is
        known; ``by_rest`` is what is then left. For ``by_false_calls``, ``by_misses`` and ``by_advice`` also
        ``…_untold``: in how many topics it is not known, so that it stands in the rest.
    """
    sums = rows[["written_up", "of_as_many", "difference", *TERMS[:-1]]].sum()
    untold = {f"{term}_untold": int(rows[term].isna().sum()) for term in JUDGED_TERMS}
    rest = sums["difference"] - sums[list(TERMS[:-1])].sum()
    return pd.concat([sums, pd.Series({"by_rest": rest, "topics": len(rows)} | untold)])
