"""Where defects occur: the share of trials with a defect, by topic and by a grouping of decks.

Measures are kept more often for write-ups than for passes, so a plain share of judged trials is too high. The share is
therefore estimated within written-up and within all other calls, and weighted by how many there are of each:
C. B. Begg and R. A. Greenes (1983), Biometrics 39, 207-215.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from dashboard.filters import EVERYTHING, Filters
from dashboard.measures import order
from dashboard.stats import discovery, intervals, shrinkage
from dashboard.warehouse import Snapshot

Array = NDArray[np.float64]

GROUPINGS = ("deck_age", "builder", "region", "deck_height")
#: Groupings whose others are brought to the group's mix of deck ages before they are compared.
ADJUSTED_FOR_AGE = ("builder", "region", "deck_height")

LEAST_JUDGED_SHARE = 0.3  # below it only the bounds are shown
LEAST_DECKS = 20
LEAST_INSPECTORS = 2


def defect_rates(snapshot: Snapshot, by: str, filters: Filters = EVERYTHING) -> pd.DataFrame:
    """How often each topic has a defect in each group of decks, and which groups stand out from all others together.

    Parameters
    ----------
    by
        One of ``GROUPINGS``.

    Returns
    -------
    DataFrame
        One row a topic x group that has seen trials; topics in load-path order, groups as in :mod:`order`.

        - topic, by, group: the cell (``unknown`` where blank)
        - trials, written_up: seen report x deck x topic, and those written up at any place
        - written_up_share, written_up_share_low, written_up_share_high: share of trials (Wilson)
        - judged, judged_share: trials in which a rule decided, and their share of trials
        - defects: judged trials with a defect at any place (a count of what was measured, not weighted)
        - defect_share, defect_share_low, defect_share_high: weighted by call class; NaN where a class with trials has
          no judged trial, or fewer than 30 percent of the trials are judged
        - defect_share_least, defect_share_most: bounds, all unjudged trials sound and all defects; NaN without a rule
        - shrunken, shrunken_low, shrunken_high: the share drawn toward firm_share, the more the fewer trials
        - no_spread: True where the groups of the topic differ no more than chance (the shrunken shares then lie
          together, as close as the firm's own share is known)
        - firm_share, firm_share_low, firm_share_high: the topic's share over all groups of the filter
        - expected_share: the share of all other groups together, for builder, region and deck_height brought to the
          group's own mix of deck ages
        - difference, difference_low, difference_high: defect_share less expected_share
        - inspectors, decks: how many are behind the cell
        - one_inspector: True where one inspector alone is: group and inspector cannot be told apart
        - p, q: of no difference; q with false discovery control over the table; NaN where too_few
        - stands_out: ``higher``, ``lower`` (q at most 0.05), ``none``, or ``too_few`` (fewer than 20 decks or 2
          inspectors, or no share to compare)

    Raises
    ------
    ValueError
        ``by`` is not a grouping.
    """
    if by not in GROUPINGS:
        raise ValueError(f"{by!r} is not one of {', '.join(GROUPINGS)}")
    return rates_of_cells(
        snapshot.query("rate_cells", by=by, **filters.parameters()),
        snapshot.query("rate_people", by=by, **filters.parameters()),
        snapshot.query("topics"),
        by,
    )


def rates_of_cells(cells: pd.DataFrame, people: pd.DataFrame, catalog: pd.DataFrame, by: str) -> pd.DataFrame:
    """The table of :func:`defect_rates` from counted trials.

    Parameters
    ----------
    cells
        topic, group, deck_age, written_up, trials, judged, defects: one row a combination that occurs.
    people
        topic, group, inspectors, decks.
    catalog
        topic, position, has_rule.
    by
        The grouping, which decides on the order and on the adjustment for age.
    """
    topics = order.topics(cells["topic"], catalog)
    groups = order.groups(by, cells["group"])
    counts = _Counts.of_frame(cells, topics, groups)
    group, others = counts.by_class(), counts.others()

    share, low, high = _shown(group, *intervals.combination(group.class_shares, group.defects, group.judged))
    firm = counts.firm()
    firm_share, firm_low, firm_high = _shown(
        firm, *intervals.combination(firm.class_shares, firm.defects, firm.judged)
    )
    shrunken, spread = _shrink(share, group, firm_share)
    comparison = _compare(group, others, counts.age_mix(), by in ADJUSTED_FOR_AGE)

    trials, judged, defects = group.total_trials, group.total_judged, group.total_defects
    written_up = group.trials[..., 0]
    written_up_low, written_up_high = intervals.wilson(written_up, trials)
    ruled = np.isin(topics, catalog.loc[catalog["has_rule"], "topic"])[:, None]
    inspectors, decks = _people(people, topics, groups)
    too_few = (
        (decks < LEAST_DECKS) | (inspectors < LEAST_INSPECTORS) | np.isnan(share) | np.isnan(comparison.expected)
    )
    p = np.where(too_few, np.nan, comparison.p)
    q = discovery.q_values(np.where(trials > 0, p, np.nan))

    def each_group(of_topic: NDArray) -> NDArray:
        return np.broadcast_to(of_topic[:, None], trials.shape)

    with np.errstate(invalid="ignore", divide="ignore"):
        columns = {
            "topic": each_group(np.array(topics, dtype=object)),
            "by": np.full(trials.shape, by, dtype=object),
            "group": np.broadcast_to(np.array(groups, dtype=object), trials.shape),
            "trials": trials.astype(np.int64),
            "written_up": written_up.astype(np.int64),
            "written_up_share": written_up / trials,
            "written_up_share_low": written_up_low,
            "written_up_share_high": written_up_high,
            "judged": judged.astype(np.int64),
            "judged_share": judged / trials,
            "defects": defects.astype(np.int64),
            "defect_share": share,
            "defect_share_low": low,
            "defect_share_high": high,
            "defect_share_least": np.where(ruled, defects / trials, np.nan),
            "defect_share_most": np.where(ruled, (defects + trials - judged) / trials, np.nan),
            "shrunken": shrunken[0],
            "shrunken_low": shrunken[1],
            "shrunken_high": shrunken[2],
            "no_spread": each_group(~spread),
            "firm_share": each_group(firm_share),
            "firm_share_low": each_group(firm_low),
            "firm_share_high": each_group(firm_high),
            "expected_share": comparison.expected,
            "difference": share - comparison.expected,
            "difference_low": np.where(np.isnan(share), np.nan, comparison.low),
            "difference_high": np.where(np.isnan(share), np.nan, comparison.high),
            "inspectors": inspectors.astype(np.int64),
            "decks": decks.astype(np.int64),
            "one_inspector": inspectors == 1,
            "p": p,
            "q": q,
            "stands_out": _stands_out(q, share - comparison.expected),
        }
    table = pd.DataFrame({name: values.ravel() for name, values in columns.items()})
    for name in ("topic", "by", "group", "stands_out"):
        table[name] = table[name].astype("str")
    return table[table["trials"] > 0].reset_index(drop=True)


@dataclass(frozen=True)
class _Strata:
    """Trials, judged trials and defects; the last axis runs over strata (call classes, or age bands x call classes)."""

    trials: Array
    judged: Array
    defects: Array

    @property
    def total_trials(self) -> Array:
        return self.trials.sum(axis=-1)

    @property
    def total_judged(self) -> Array:
        return self.judged.sum(axis=-1)

    @property
    def total_defects(self) -> Array:
        return self.defects.sum(axis=-1)

    @property
    def class_shares(self) -> Array:
        """The share of all trials that lies in each stratum; 0 without trials."""
        return self.trials / np.maximum(self.total_trials, 1)[..., None]

    @property
    def enough_judged(self) -> NDArray[np.bool_]:
        """Whether 30 percent of the trials are judged, and some in every stratum that has trials."""
        every_class = ((self.trials == 0) | (self.judged > 0)).all(axis=-1)
        enough = self.total_judged >= LEAST_JUDGED_SHARE * self.total_trials
        return every_class & enough & (self.total_trials > 0)

    def apply(self, change) -> _Strata:  # type: ignore[no-untyped-def]
        return _Strata(change(self.trials), change(self.judged), change(self.defects))


@dataclass(frozen=True)
class _Counts:
    """Counts by topic x group x deck age x call class (written up first, then all other calls)."""

    cells: _Strata

    @classmethod
    def of_frame(cls, frame: pd.DataFrame, topics: list[str], groups: list[str]) -> _Counts:
        ages = sorted(set(frame["deck_age"]))
        shape = (len(topics), len(groups), len(ages), 2)
        place = (
            pd.Index(topics).get_indexer(frame["topic"]),
            pd.Index(groups).get_indexer(frame["group"]),
            pd.Index(ages).get_indexer(frame["deck_age"]),
            np.where(frame["written_up"], 0, 1),
        )

        def dense(name: str) -> Array:
            counts = np.zeros(shape)
            np.add.at(counts, place, frame[name].to_numpy(float))
            return counts

        return cls(_Strata(dense("trials"), dense("judged"), dense("defects")))

    def by_class(self) -> _Strata:
        """topic x group x class."""
        return self.cells.apply(lambda counts: counts.sum(axis=2))

    def firm(self) -> _Strata:
        """topic x class."""
        return self.cells.apply(lambda counts: counts.sum(axis=(1, 2)))

    def others(self) -> _Strata:
        """topic x group x age x class: all groups but this one, together."""
        return self.cells.apply(lambda counts: counts.sum(axis=1, keepdims=True) - counts)

    def age_mix(self) -> Array:
        """topic x group x age: the share of the group's trials in each age band."""
        by_age = self.cells.trials.sum(axis=3)
        return by_age / np.maximum(by_age.sum(axis=2, keepdims=True), 1)


def _shown(strata: _Strata, share: Array, low: Array, high: Array) -> tuple[Array, Array, Array]:
    """A weighted share with its interval, where enough is judged for it to be said."""
    enough = strata.enough_judged
    return tuple(np.where(enough, figure, np.nan) for figure in (share, low, high))  # type: ignore[return-value]


def _shrink(share: Array, group: _Strata, firm_share: Array) -> tuple[tuple[Array, Array, Array], NDArray[np.bool_]]:
    """The shares of each topic's groups drawn toward the firm's; and whether the groups differ beyond chance.

    A weighted share is worth as many plain trials as give it the same variance (L. Kish 1965, Survey Sampling).
    """
    with np.errstate(invalid="ignore", divide="ignore"):
        variance = np.where(group.trials > 0, np.square(group.class_shares) / group.judged, 0.0).sum(axis=-1)
        worth = np.where(np.isnan(share), 0.0, 1 / variance)
    counts = np.where(np.isnan(share), 0.0, share * worth)
    prior = shrinkage.fit(counts, worth, mean=firm_share)
    figures = shrinkage.posterior(counts, worth, prior)
    return tuple(np.where(np.isnan(share), np.nan, figure) for figure in figures), prior.spread  # type: ignore[return-value]


@dataclass(frozen=True)
class _Comparison:
    """Each group against all others: their share, the difference with its interval, and the p of no difference."""

    expected: Array
    low: Array
    high: Array
    p: Array


def _compare(group: _Strata, others: _Strata, age_mix: Array, adjusted: bool) -> _Comparison:
    """All shares of both sides stand in one weighted sum: the group's by call class, the others' by age and class."""
    pooled = others.apply(lambda counts: counts.sum(axis=2))
    weights = _weights_brought_to_mix(others, pooled, age_mix) if adjusted else pooled.class_shares
    side = others.apply(lambda counts: counts.reshape(*counts.shape[:2], np.prod(counts.shape[2:]))) if adjusted else pooled
    weights = weights.reshape(side.trials.shape)
    expected, _low, _high = _shown(pooled, *intervals.combination(weights, side.defects, side.judged))
    terms = (
        np.concatenate([group.class_shares, -weights], axis=-1),
        np.concatenate([group.defects, side.defects], axis=-1),
        np.concatenate([group.judged, side.judged], axis=-1),
    )
    _difference, low, high = intervals.combination(*terms)
    known = ~np.isnan(expected)
    return _Comparison(
        expected,
        np.where(known, low, np.nan),
        np.where(known, high, np.nan),
        np.where(known, intervals.p_value(*terms), np.nan),
    )


def _weights_brought_to_mix(others: _Strata, pooled: _Strata, age_mix: Array) -> Array:
    """What each age x class share of the others weighs, once their ages are mixed as the group's are.

    Where the others have no judged trial of a class in a band, their share of that class over all bands stands in.
    That share is itself a mean of the bands' shares by judged trials, so its weight is dealt out to them in that
    proportion: every share then stands in the sum once, and the shares stay independent.
    """
    in_band = others.trials.sum(axis=3, keepdims=True)
    # A band in which the others have no trials takes their mix of calls over all bands.
    class_shares = np.where(in_band > 0, others.trials / np.maximum(in_band, 1), pooled.class_shares[:, :, None, :])
    wanted = age_mix[..., None] * class_shares
    own = np.where(others.judged > 0, wanted, 0.0)
    borrowed = (wanted - own).sum(axis=2, keepdims=True)
    return own + borrowed * others.judged / np.maximum(pooled.judged, 1)[:, :, None, :]


def _people(people: pd.DataFrame, topics: list[str], groups: list[str]) -> tuple[Array, Array]:
    place = (pd.Index(topics).get_indexer(people["topic"]), pd.Index(groups).get_indexer(people["group"]))
    inspectors, decks = np.zeros((len(topics), len(groups))), np.zeros((len(topics), len(groups)))
    inspectors[place] = people["inspectors"]
    decks[place] = people["decks"]
    return inspectors, decks


def _stands_out(q: Array, difference: Array) -> NDArray:
    flagged = q <= discovery.RATE
    return np.select(
        [np.isnan(q), flagged & (difference > 0), flagged & (difference < 0)],
        ["too_few", "higher", "lower"],
        default="none",
    ).astype(object)
