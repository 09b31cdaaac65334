"""Which topics training could do most about: the table ``training_topics``.

The wrong calls that training could avoid in the next quarter are the decks expected, times wrong calls per trial, less
what remains after good training, times how much a wrong call matters, times how far training reaches. Calls that claim
too much and calls that claim too little are added up apart and never set off against each other.

How far training reaches is an assumption that the reader can change, no measurement (common practice, no published
source): who did not know the rule gets half of such calls right afterwards, an eye that passed over a fault improves by
a quarter, a stock sentence that fails is mended where it is kept, once for all, and a form without the field for a
measure is mended by a new form and by no training at all.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, fields

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from dashboard.filters import EVERYTHING, Filters
from dashboard.measures import order
from dashboard.measures.stock_sentences import stock_sentences, surely_failing
from dashboard.problems import WrongUsage
from dashboard.stats import shrinkage
from dashboard.warehouse import Snapshot

Array = NDArray[np.float64]

KINDS = ("overcalled", "missed", "understated")
TOO_MUCH, TOO_LITTLE = ("overcalled",), ("missed", "understated")
WHOLE_TEAM, A_FEW, ONE = "whole team", "a few", "one"
WORST = 3

_QUARTER_DAYS = 365 / 4
_DRAWS, _SEED = 4000, 6
_LOWER_QUARTILE = 0.25
_MOST_OF = 0.5


@dataclass(frozen=True)
class Reach:
    """The share of wrong calls that training takes away.

    Attributes
    ----------
    rule
        Where the rule was not known.
    eye
        Where the eye missed it.
    sentence
        Of write-ups with a stock sentence that surely fails: where it is mended.
    """

    rule: float = 0.5
    eye: float = 0.25
    sentence: float = 1.0

    @classmethod
    def told(cls, texts: Iterable[str]) -> Reach:
        """From texts like ``rule=0.5`` and ``eye=0.25``; what none of them names is as usual.

        Raises
        ------
        UnreadableReach
        """
        shares: dict[str, float] = {}
        for text in texts:
            name, _, value = (part.strip() for part in text.partition("="))
            share = _share(value)
            if name not in {field.name for field in fields(cls)} or share is None:
                raise UnreadableReach(text, "not understood")
            if name in shares:
                raise UnreadableReach(text, f"{name} is given twice")
            shares[name] = share
        return cls(**shares)


class UnreadableReach(WrongUsage):
    """A text does not say how far training reaches."""

    def __init__(self, text: str, why: str) -> None:
        super().__init__(
            f"--reach {text}: {why}. Write rule=SHARE, eye=SHARE or sentence=SHARE, each once, with a share "
            "from 0 to 1: rule=0.5."
        )


def _share(text: str) -> float | None:
    """A number from 0 to 1; None where it is another, or none."""
    try:
        share = float(text)
    except ValueError:
        return None
    return share if 0 <= share <= 1 else None


@dataclass(frozen=True)
class _Calls:
    """Counts by topic x inspector x kind (the order of ``KINDS``)."""

    trials: Array
    judged: Array
    wrong: Array
    by_eye: Array
    by_sentence: Array
    weight: Array
    recent: Array
    days: float

    @property
    def quarter(self) -> Array:
        """Trials expected of each topic in a quarter: those of the last year, or of as much of one as there is."""
        return self.recent.sum(axis=(1, 2)) * _QUARTER_DAYS / max(self.days, 1.0)


def training_topics(snapshot: Snapshot, filters: Filters = EVERYTHING, reach: Reach = Reach()) -> pd.DataFrame:
    """Topics by the wrong calls that training could avoid in the next quarter, and how sure their order is.

    Returns
    -------
    DataFrame
        One row a topic with a judged call; most avoidable first. The columns are told in docs/tables.md.
    """
    failing = surely_failing(stock_sentences(snapshot, filters))
    counts = snapshot.query("training_calls", sentences=list(failing["sentence_id"]), **filters.parameters())
    counts = counts[counts.groupby("topic")["judged"].transform("sum") > 0]
    topics = order.topics(counts["topic"], snapshot.query("topics"))
    if not topics:
        return pd.DataFrame(columns=COLUMNS)
    weights = snapshot.query("topics").set_index("topic")["weight"].reindex(topics).fillna(1.0).to_numpy(float)
    return _table(_calls(counts, topics), topics, weights, reach)


COLUMNS = [
    *("topic", "expected_decks", "overcalled", "missed", "understated", "in_sentences"),
    *("avoidable", "avoidable_low", "avoidable_high", "avoidable_too_much", "avoidable_too_little"),
    *("avoidable_least", "avoidable_most", "judged_share", "undecided"),
    *("common", "spread", "suggested", "inspectors"),
    *("rank_low", "rank_high", "p_worst_three", "rank_least", "rank_most"),
]


def _calls(counts: pd.DataFrame, topics: list[str]) -> _Calls:
    people = sorted(counts["inspector_id"].unique())
    place = (
        pd.Categorical(counts["topic"], categories=topics).codes,
        pd.Categorical(counts["inspector_id"], categories=people).codes,
        pd.Categorical(counts["kind"], categories=list(KINDS)).codes,
    )

    def dense(name: str) -> Array:
        values = np.zeros((len(topics), len(people), len(KINDS)))
        values[place] = counts[name].to_numpy(float)
        return values

    return _Calls(
        dense("trials"),
        dense("judged"),
        dense("wrong"),
        dense("wrong_by_eye"),
        dense("wrong_by_sentence"),
        dense("weight"),
        dense("recent"),
        float(counts["days"].iloc[0]),
    )


def _table(calls: _Calls, topics: list[str], weights: Array, reach: Reach) -> pd.DataFrame:
    trials, judged, wrong = (part.sum(axis=1) for part in (calls.trials, calls.judged, calls.wrong))
    by_eye, by_sentence = (
        np.divide(part.sum(axis=1), wrong, out=np.zeros_like(wrong), where=wrong > 0)
        for part in (calls.by_eye, calls.by_sentence)
    )
    per_trial = trials / np.maximum(trials.sum(axis=1, keepdims=True), 1)
    share = np.divide(wrong, judged, out=np.zeros_like(wrong), where=judged > 0)
    matters = calls.quarter[:, None] * _weight(calls, weights)
    remains = _remaining(calls)

    def avoidable(rate: Array) -> Array:
        """topic x kind from wrong calls per trial (any axes before)."""
        by_rule, eye = rate * (1 - by_eye - by_sentence), np.maximum(rate * by_eye - remains * per_trial, 0.0)
        return matters * (reach.rule * by_rule + reach.eye * eye + reach.sentence * rate * by_sentence)

    found = avoidable(per_trial * share)
    drawn = avoidable(_draws(trials, judged, wrong)).sum(axis=-1)
    all_right = per_trial * wrong / np.maximum(trials, 1)
    all_wrong = per_trial * (wrong + trials - judged) / np.maximum(trials, 1)
    least, most = avoidable(all_right), avoidable(all_wrong)
    total = found.sum(axis=1)
    low, high = np.quantile(drawn, [0.025, 0.975], axis=0)
    ranks = _ranks(drawn)
    rank_low, rank_high = rank_interval(ranks)
    common, suggested, n_wrong = _who(calls)
    table = pd.DataFrame(
        {
            "topic": topics,
            "expected_decks": calls.quarter,
            **{kind: calls.quarter * (per_trial * share)[:, at] for at, kind in enumerate(KINDS)},
            "in_sentences": calls.quarter * (per_trial * share * by_sentence).sum(axis=1),
            "avoidable": total,
            # Where nothing wrong was found the posterior still allows for some; the estimate is what was found.
            "avoidable_low": np.minimum(low, total),
            "avoidable_high": np.maximum(high, total),
            "avoidable_too_much": found[:, [KINDS.index(kind) for kind in TOO_MUCH]].sum(axis=1),
            "avoidable_too_little": found[:, [KINDS.index(kind) for kind in TOO_LITTLE]].sum(axis=1),
            "avoidable_least": least.sum(axis=1),
            "avoidable_most": most.sum(axis=1),
            "judged_share": judged.sum(axis=1) / trials.sum(axis=1),
            "undecided": calls.quarter * (1 - judged.sum(axis=1) / trials.sum(axis=1)),
            "common": total * common,
            "spread": total * (1 - common),
            "suggested": suggested,
            "inspectors": n_wrong,
            "rank_low": rank_low,
            "rank_high": rank_high,
            "p_worst_three": (ranks <= WORST).mean(axis=0),
            "rank_least": _rank(least.sum(axis=1)),
            "rank_most": _rank(most.sum(axis=1)),
        }
    )
    return table.sort_values("avoidable", ascending=False, kind="stable")[COLUMNS].reset_index(drop=True)


def _weight(calls: _Calls, weights: Array) -> Array:
    """Topic x kind: how much a wrong call matters on average; the topic's own weight where none was found."""
    wrong, weight = calls.wrong.sum(axis=1), calls.weight.sum(axis=1)
    return np.divide(weight, wrong, out=np.repeat(weights[:, None], len(KINDS), axis=1), where=wrong > 0)


def _shrunken(wrong: Array, judged: Array) -> Array:
    """Topic x inspector: the share of wrong calls among judged ones, drawn toward the topic's."""
    total = judged.sum(axis=1)
    mean = np.divide(wrong.sum(axis=1), total, out=np.full(total.shape, np.nan), where=total > 0)
    shrunken, _, _ = shrinkage.posterior(wrong, judged, shrinkage.fit(wrong, judged, mean))
    return np.where(judged > 0, shrunken, np.nan)


def _lower_quartile(shares: Array) -> Array:
    """Over inspectors who have any; 0 where nobody has."""
    some = ~np.isnan(shares).all(axis=1)
    found = np.zeros(len(shares))
    found[some] = np.nanquantile(shares[some], _LOWER_QUARTILE, axis=1)
    return found


def _remaining(calls: _Calls) -> Array:
    """Topic x kind: the share of judged calls that the eye gets wrong even after good training.

    It is the lower quartile of colleagues, shrunken: what one in four manages already, and never the luckiest person.
    """
    kinds = [_lower_quartile(_shrunken(calls.by_eye[..., at], calls.judged[..., at])) for at in range(len(KINDS))]
    return np.stack(kinds, axis=1)


def _draws(trials: Array, judged: Array, wrong: Array) -> Array:
    """Draws x topic x kind of wrong calls per trial: class shares from a Dirichlet, the wrong ones from Jeffreys' beta.

    A kind of which nothing is judged has none: the bounds speak for it.
    """
    random = np.random.default_rng(_SEED)
    classes = random.standard_gamma(trials + 0.5, (_DRAWS, *trials.shape))
    share = random.beta(wrong + 0.5, judged - wrong + 0.5, (_DRAWS, *trials.shape))
    return classes / classes.sum(axis=-1, keepdims=True) * share * (judged > 0)


def _ranks(drawn: Array) -> NDArray[np.int64]:
    """Draws x topics: 1 for the topic with most avoidable."""
    return (-drawn).argsort(axis=1, kind="stable").argsort(axis=1, kind="stable") + 1


def rank_interval(ranks: NDArray[np.int64]) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """The 95 percent intervals of places from draws x topics, as whole places."""
    low = np.quantile(ranks, 0.025, axis=0, method="lower")
    high = np.quantile(ranks, 0.975, axis=0, method="higher")
    return low.astype(np.int64), high.astype(np.int64)


def _rank(total: Array) -> NDArray[np.int64]:
    return _ranks(total[None, :])[0]


def _who(calls: _Calls) -> tuple[Array, NDArray[np.object_], NDArray[np.int64]]:
    """How much of a topic's wrong calls is common to all, whom training should reach, how many people have any.

    What the lower quartile of colleagues has is common; the rest is spread. Where the rest lies mostly with one
    colleague, that one is spoken with.
    """
    wrong, judged = calls.wrong.sum(axis=2), calls.judged.sum(axis=2)
    shares = _shrunken(wrong, judged)
    common = _lower_quartile(shares)
    overall = wrong.sum(axis=1) / np.maximum(judged.sum(axis=1), 1)
    part = np.clip(np.divide(common, overall, out=np.ones_like(common), where=overall > 0), 0.0, 1.0)
    beyond = np.nan_to_num(np.maximum(shares - common[:, None], 0.0)) * judged
    first = beyond.max(axis=1) >= _MOST_OF * np.maximum(beyond.sum(axis=1), 1e-12)
    suggested = np.select([part >= _MOST_OF, first], [WHOLE_TEAM, ONE], default=A_FEW).astype(object)
    return part, suggested, (wrong > 0).sum(axis=1)
