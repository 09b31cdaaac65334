"""Which second looks would teach most, and how much: the tables ``looks_to_make`` and ``looks_gain``.

Half of the looks are drawn at random from the calls that could not be judged, with a known probability each: these, and
no others, tell missed and overcalled shares without assuming that unjudged calls are like judged ones. The other half
goes where a person is needed anyway, or where least can be said.
"""

from __future__ import annotations

from hashlib import sha256

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from dashboard.filters import EVERYTHING, Filters
from dashboard.measures import order
from dashboard.measures.call_classes import CLAIMING, FINDING, ClassCounts, count_classes
from dashboard.measures.contradictions import contradictions
from dashboard.measures.rows import each
from dashboard.warehouse import Snapshot

Array = NDArray[np.float64]

LOOKS = 20
#: Random looks go to one topic for each so many: spread over all of them they would tell nothing of any.
LOOKS_A_TOPIC = 10
#: Targeted looks go where an inspector has so many trials of a topic, and so many defects of the topic are known.
LEAST_TRIALS = 20
LEAST_DEFECTS = 10

COLUMNS = ["observation_id", "report_id", "inspected_on", "topic", "call", "how", "probability", "why"]
GAIN_COLUMNS = [
    *("topic", "weight", "unjudged", "unjudged_written_up", "looks", "looks_written_up"),
    *("missed_low", "missed_high", "missed_half_width", "missed_half_width_then"),
    *("overcalled_low", "overcalled_high", "overcalled_half_width", "overcalled_half_width_then"),
]


def looks_gain(snapshot: Snapshot, filters: Filters = EVERYTHING, looks: int = LOOKS) -> pd.DataFrame:
    """How far so many random looks at a topic's unjudged calls would narrow what is known of it.

    The ranges assume nothing of unjudged calls: every one wrong at one end, every one right at the other, but where at
    least eight random looks speak for a class of calls; chance goes on top. What the looks would rule is taken to be as
    the judged calls of the class are.

    Returns
    -------
    DataFrame
        One row a topic with a rule and an unjudged call; those that the looks teach most about come first: by how
        far the missed share narrows, times the topic's trials, times its weight.

        - topic, weight
        - unjudged, unjudged_written_up: trials that a look could be at, and those of them written up
        - looks, looks_written_up: how many would be looked at, in proportion, at least one of either kind
        - missed_low, missed_high: the missed share of all inspectors together may be anything between
        - missed_half_width, missed_half_width_then: half the way from one end to the other, now and after the looks
        - overcalled_low, overcalled_high, overcalled_half_width, overcalled_half_width_then: the same of sound work
          written up
    """
    counts = snapshot.query("call_classes", **filters.parameters())
    catalog = snapshot.query("topics").set_index("topic")
    ruled = catalog.index[catalog["has_rule"]]
    topics = order.topics(set(counts["topic"]) & set(ruled), catalog.reset_index())
    people = sorted(counts["inspector_id"].unique())
    finding, claiming = (
        count_classes(counts, people, topics, called).over_inspectors() for called in (FINDING, CLAIMING)
    )
    table = pd.DataFrame({"topic": topics, "weight": catalog.loc[topics, "weight"].to_numpy()})
    left = (claiming.totals - claiming.judged - claiming.looked).astype(np.int64)
    table["unjudged"], table["unjudged_written_up"] = left.sum(axis=1), left[:, 0]
    made = _shared_out(left, looks)
    table["looks"], table["looks_written_up"] = made.sum(axis=1), made[:, 0]
    # A referral finds a defect and claims none: looks at it count with the others that claim none.
    then = finding.after(_shared_out((finding.totals - finding.judged - finding.looked).astype(np.int64), looks))
    _add_range(table, "missed", _missed(finding), _missed(then))
    _add_range(table, "overcalled", claiming.ranges()[1], claiming.after(made).ranges()[1])
    narrowed = table["missed_half_width"] - table["missed_half_width_then"]
    gain = narrowed * finding.totals.sum(axis=1) * table["weight"]
    chosen = table.assign(_gain=gain)[table["unjudged"] > 0]
    return chosen.sort_values("_gain", ascending=False, kind="stable").reset_index(drop=True)[GAIN_COLUMNS]


def _missed(finding: ClassCounts) -> tuple[Array, Array]:
    low, high = finding.ranges()[0]
    return 1 - high, 1 - low


def _add_range(table: pd.DataFrame, name: str, now: tuple[Array, Array], then: tuple[Array, Array]) -> None:
    table[f"{name}_low"], table[f"{name}_high"] = now
    table[f"{name}_half_width"] = (now[1] - now[0]) / 2
    table[f"{name}_half_width_then"] = (then[1] - then[0]) / 2


def _shared_out(left: NDArray[np.int64], looks: int) -> NDArray[np.int64]:
    """Looks by class, in proportion to the unjudged calls, at least one where there are any; never more than these."""
    total = left.sum(axis=1)
    made = np.minimum(total, looks)
    with np.errstate(invalid="ignore", divide="ignore"):
        first = np.nan_to_num(np.rint(made * left[:, 0] / total)).astype(np.int64)
    # One for each class that has any, as long as there are two looks.
    at_least = np.minimum(left[:, 0], 1)
    at_most = made - np.minimum(left[:, 1], 1)
    first = np.where(made >= 2, np.clip(first, at_least, np.maximum(at_most, at_least)), first)
    first = np.clip(first, made - left[:, 1], left[:, 0])
    return np.stack([first, made - first], axis=1)


def looks_to_make(snapshot: Snapshot, filters: Filters = EVERYTHING, looks: int = LOOKS) -> pd.DataFrame:
    """The second looks that would teach most: half drawn at random, half chosen.

    The random ones are of one topic for every ten of them, those on top of :func:`looks_gain`. Within a topic and class
    (written up, or not) every unjudged call is equally likely. Which are drawn hangs on the snapshot and the
    observation alone, so that the list stays the same until the next load. Of the chosen ones, up to half are write-ups
    whose comment names another fault, the newest first; the rest are calls that could not be judged and claim nothing,
    where the bounds of an inspector's missed share of a topic lie farthest apart, the newest of each.

    Parameters
    ----------
    looks
        How many.

    Returns
    -------
    DataFrame
        One row a look, random ones first.

        - observation_id, report_id, inspected_on, topic, call
        - how: random or targeted, as the column ``chosen`` of second looks has it
        - probability: of being drawn; NaN for targeted looks
        - why: random_sample, comment_names_another_fault or bounds_far_apart
    """
    at_random = (looks + 1) // 2
    drawn = _drawn(snapshot, filters, at_random)
    chosen = _chosen(snapshot, filters, looks - len(drawn), set(drawn["observation_id"]))
    return pd.concat([part for part in (drawn, chosen) if len(part)] or [drawn], ignore_index=True)[COLUMNS]


def _drawn(snapshot: Snapshot, filters: Filters, looks: int) -> pd.DataFrame:
    """Random looks, the topics that they teach most about first."""
    topics = list(looks_gain(snapshot, filters)["topic"][: max(1, looks // LOOKS_A_TOPIC)])
    calls = snapshot.query("unjudged_calls", **filters.parameters(), looked_at=topics)
    # A look that was chosen does not keep a call out of the draw; one that could not tell does.
    calls = calls[calls["looked"].fillna("") != "random"]
    shares = np.array_split(np.arange(looks), max(len(topics), 1))
    parts = []
    for topic, share in zip(topics, shares, strict=False):
        of_topic = calls[calls["topic"] == topic]
        parts.append(draw(of_topic, len(share), snapshot.info.snapshot))
    return pd.concat(parts or [calls.assign(how="random", probability=np.nan, why="random_sample")])


def draw(calls: pd.DataFrame, looks: int, seed: str) -> pd.DataFrame:
    """So many calls at random from each class in proportion, with the probability that each had.

    Parameters
    ----------
    calls
        observation_id, call; each call of a class is equally likely.
    looks
        How many in all.
    seed
        What the draw hangs on, beside the observation ids.
    """
    written_up = calls["call"] == "written_up"
    classes = calls[written_up], calls[~written_up]
    sizes = _shared_out(np.array([[len(of_class) for of_class in classes]]), looks)[0]
    parts = []
    for of_class, size in zip(classes, sizes, strict=True):
        lot = [sha256(f"{seed}:{observation}".encode()).hexdigest() for observation in of_class["observation_id"]]
        first = of_class.iloc[np.argsort(np.array(lot), kind="stable")[:size]]
        parts.append(first.assign(how="random", probability=size / max(len(of_class), 1), why="random_sample"))
    return pd.concat(parts, ignore_index=True)


def _chosen(snapshot: Snapshot, filters: Filters, looks: int, taken: set[str]) -> pd.DataFrame:
    """Targeted looks: write-ups whose comment names another fault, then calls where least can be said."""
    found = contradictions(snapshot, filters)
    due = found[(found["contradiction"] == "comment_names_another_fault") & ~found["observation_id"].isin(taken)]
    due = due.sort_values("inspected_on", ascending=False, kind="stable").head((looks + 1) // 2)
    due = due.assign(why="comment_names_another_fault")
    seen = taken | set(due["observation_id"])
    open_calls = _least_said(snapshot, filters, looks - len(due), seen).assign(why="bounds_far_apart")
    return pd.concat([due, open_calls], ignore_index=True).assign(how="targeted", probability=np.nan)


def _least_said(snapshot: Snapshot, filters: Filters, looks: int, taken: set[str]) -> pd.DataFrame:
    """The newest unjudged pass of each inspector and topic whose bounds of the missed share lie farthest apart."""
    counts = snapshot.query("call_classes", **filters.parameters())
    catalog = snapshot.query("topics")
    topics = order.topics(set(counts["topic"]) & set(catalog.loc[catalog["has_rule"], "topic"]), catalog)
    people = sorted(counts["inspector_id"].unique())
    finding = count_classes(counts, people, topics, FINDING)
    finds = finding.shares().finds
    enough = (finding.totals.sum(axis=-1) >= LEAST_TRIALS) & (finding.known_defects.sum(axis=0) >= LEAST_DEFECTS)
    apart = np.where(enough, finds.most - finds.least, np.nan)
    widest = [
        (people[at // len(topics)], topics[at % len(topics)])
        for at in np.argsort(-np.nan_to_num(apart, nan=-1.0), axis=None, kind="stable")
        if apart.flat[at] > 0
    ][: 2 * looks]
    calls = snapshot.query(
        "unjudged_calls", **filters.parameters(), looked_at=sorted({topic for _who, topic in widest})
    )
    passes = calls["looked"].isna() & ~calls["call"].isin(FINDING)
    free = calls[passes & ~calls["observation_id"].isin(taken)]
    newest = free.sort_values("inspected_on", kind="stable").groupby(["inspector_id", "topic"]).tail(1)
    place = {cell: at for at, cell in enumerate(widest)}
    at = [place.get((row.inspector_id, row.topic), -1) for row in each(newest)]
    return newest.assign(_at=at).query("_at >= 0").sort_values("_at").head(looks)
