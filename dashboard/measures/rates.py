"""Where defects occur: the share of trials with a defect, by topic and by a grouping of decks.

Trials are counted in SQL by topic x group x deck age x call class; :mod:`strata` holds the counts and the weighted
share, :mod:`comparison` sets each group against all others, and this module draws up the table.
"""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from dashboard.filters import EVERYTHING, Filters
from dashboard.measures import order
from dashboard.measures.comparison import Comparison, compare
from dashboard.measures.strata import Array, Counts, Strata, weighted_share
from dashboard.stats import discovery, intervals, shrinkage
from dashboard.warehouse import Snapshot

GROUPINGS = ("deck_age", "builder", "region", "deck_height")
#: Groupings whose others are brought to the group's mix of deck ages before they are compared.
ADJUSTED_FOR_AGE = ("builder", "region", "deck_height")

LEAST_DECKS = 20
LEAST_INSPECTORS = 2

COLUMNS = [
    *("topic", "by", "group", "trials", "written_up"),
    *("written_up_share", "written_up_share_low", "written_up_share_high", "judged", "judged_share", "defects"),
    *("defect_share", "defect_share_low", "defect_share_high", "defect_share_least", "defect_share_most"),
    *("shrunken", "shrunken_low", "shrunken_high", "no_spread", "firm_share", "firm_share_low", "firm_share_high"),
    *("expected_share", "difference", "difference_low", "difference_high"),
    *("inspectors", "decks", "one_inspector", "p", "q", "stands_out"),
]


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
          together, as close as the firm's own share is known); False where the firm has no share
        - firm_share, firm_share_low, firm_share_high: the topic's share over all groups of the filter
        - expected_share: the share of all other groups together, for builder, region and deck_height brought to the
          group's own mix of deck ages
        - difference, difference_low, difference_high: defect_share less expected_share
        - inspectors, decks: how many are behind the cell
        - one_inspector: True where one inspector alone is: group and inspector cannot be told apart
        - p, q: of no difference; q with false discovery control over the table; NaN where too_few
        - stands_out: ``higher``, ``lower`` (q at most 0.05), ``none``, or ``too_few`` (fewer than 20 decks, fewer
          than 2 inspectors here or behind all others together, or no share to compare)

    Raises
    ------
    ValueError
        ``by`` is not a grouping.
    """
    if by not in GROUPINGS:
        raise ValueError(f"{by!r} is not one of {', '.join(GROUPINGS)}")
    return every_rate(snapshot, filters, [by])


def every_rate(snapshot: Snapshot, filters: Filters = EVERYTHING, groupings: Iterable[str] = GROUPINGS) -> pd.DataFrame:
    """The rows of :func:`defect_rates` of several groupings."""
    cells = snapshot.query("rate_cells", **filters.parameters())
    people = snapshot.query("rate_people", **filters.parameters())
    catalog = snapshot.query("topics")
    tables = [rates_of_cells(cells[cells["by"] == by], people[people["by"] == by], catalog, by) for by in groupings]
    return pd.concat(tables, ignore_index=True)


def rates_of_cells(cells: pd.DataFrame, people: pd.DataFrame, catalog: pd.DataFrame, by: str) -> pd.DataFrame:
    """The table of :func:`defect_rates` from counted trials.

    Parameters
    ----------
    cells
        topic, group, deck_age, written_up, trials, judged, defects: one row a combination that occurs.
    people
        topic, group, inspectors, other_inspectors (behind all other groups together), decks.
    catalog
        topic, position, has_rule.
    by
        The grouping, which decides on the order and on the adjustment for age.
    """
    topics = order.topics(cells["topic"].unique(), catalog)
    groups = order.groups(by, cells["group"].unique())
    counts = Counts.of_frame(cells, topics, groups)
    group = counts.by_class()
    has_rule = np.isin(topics, catalog.loc[catalog["has_rule"], "topic"].to_numpy())[:, None]
    shares = _shares(group, counts.firm(), has_rule)
    comparison = compare(counts, adjusted=by in ADJUSTED_FOR_AGE)
    inspectors, other_inspectors, decks = _people(people, topics, groups)
    names = {
        "topic": np.array(topics, dtype=object)[:, None],
        "by": np.array([[by]], dtype=object),
        "group": np.array(groups, dtype=object)[None, :],
    }
    behind = {"inspectors": inspectors, "decks": decks, "one_inspector": inspectors == 1}
    flags = _flags(shares["defect_share"], comparison, np.minimum(inspectors, other_inspectors), decks)
    table = _as_table(names | shares | behind | flags, group.total_trials.shape)
    return table[table["trials"] > 0][COLUMNS].reset_index(drop=True)


def _shares(group: Strata, firm: Strata, has_rule: NDArray[np.bool_]) -> dict[str, NDArray]:
    """Counts, shares, bounds and shrunken shares of each cell, and the firm's share of its topic."""
    trials, judged, defects = group.total_trials, group.total_judged, group.total_defects
    written_up = group.trials[..., 0]
    share, low, high = weighted_share(group)
    firm_share, firm_low, firm_high = weighted_share(firm)
    (shrunken, shrunken_low, shrunken_high), spread = _shrink(share, group, firm_share)
    written_up_low, written_up_high = intervals.wilson(written_up, trials)
    with np.errstate(invalid="ignore", divide="ignore"):
        return {
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
            "defect_share_least": np.where(has_rule, defects / trials, np.nan),
            "defect_share_most": np.where(has_rule, (defects + trials - judged) / trials, np.nan),
            "shrunken": shrunken,
            "shrunken_low": shrunken_low,
            "shrunken_high": shrunken_high,
            "no_spread": (~spread & ~np.isnan(firm_share))[:, None],
            "firm_share": firm_share[:, None],
            "firm_share_low": firm_low[:, None],
            "firm_share_high": firm_high[:, None],
        }


def _shrink(share: Array, group: Strata, firm_share: Array) -> tuple[tuple[Array, Array, Array], NDArray[np.bool_]]:
    """The shares of each topic's groups drawn toward the firm's; and whether the groups differ beyond chance.

    A weighted share is worth as many plain trials as give it the same variance (L. Kish 1965, Survey Sampling).
    """
    known = ~np.isnan(share)
    worth = np.where(known, group.worth, 0.0)
    counts = np.where(known, share, 0.0) * worth
    prior = shrinkage.fit(counts, worth, mean=firm_share)
    mean, low, high = shrinkage.posterior(counts, worth, prior)
    return tuple(np.where(known, figure, np.nan) for figure in (mean, low, high)), prior.spread  # type: ignore[return-value]


def _flags(share: Array, comparison: Comparison, inspectors: Array, decks: Array) -> dict[str, NDArray]:
    """How each cell compares with all others together, and which stand out once all comparisons are counted.

    ``inspectors`` is the smaller number of the two sides: where one alone is behind the group, or behind all that it is
    compared with, the difference may be the inspector's.
    """
    difference = share - comparison.expected
    too_few = (decks < LEAST_DECKS) | (inspectors < LEAST_INSPECTORS) | np.isnan(difference)
    p = np.where(too_few, np.nan, comparison.p)
    q = discovery.q_values(p)
    flagged = q <= discovery.RATE
    return {
        "expected_share": comparison.expected,
        "difference": difference,
        "difference_low": np.where(np.isnan(difference), np.nan, comparison.low),
        "difference_high": np.where(np.isnan(difference), np.nan, comparison.high),
        "p": p,
        "q": q,
        "stands_out": np.select(
            [too_few, flagged & (difference > 0), flagged & (difference < 0)],
            ["too_few", "higher", "lower"],
            default="none",
        ).astype(object),
    }


def _people(people: pd.DataFrame, topics: list[str], groups: list[str]) -> tuple[NDArray, NDArray, NDArray]:
    counts = people.set_index(["topic", "group"])[["inspectors", "other_inspectors", "decks"]]
    wide = counts.reindex(pd.MultiIndex.from_product([topics, groups]), fill_value=0)
    shape = (len(topics), len(groups))
    return tuple(wide[name].to_numpy(np.int64).reshape(shape) for name in wide)  # type: ignore[return-value]


def _as_table(columns: dict[str, NDArray], shape: tuple[int, ...]) -> pd.DataFrame:
    table = pd.DataFrame({name: np.broadcast_to(values, shape).ravel() for name, values in columns.items()})
    return table.astype(dict.fromkeys(("topic", "by", "group", "stands_out"), "str"))
