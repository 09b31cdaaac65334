"""How many defects each inspector finds, and how much sound work each one calls wrong: the table ``accuracy``.

Where enough calls could be judged, or a person looked at enough unjudged ones chosen at random, the shares are counted
and weighted by call class. Where not, a model tells them, if the truth of enough decks is known or enough decks had
three looks. Else nothing is told: that inspectors agree does not make them right.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from dashboard.filters import EVERYTHING, Filters
from dashboard.measures import order
from dashboard.measures.call_classes import CLAIMING, FINDING, ClassCounts, count_classes, share_columns
from dashboard.measures.known_truths import known_calls, known_truths
from dashboard.measures.pairs import MOST_DAYS
from dashboard.stats import latent_class
from dashboard.stats.verification import Share
from dashboard.warehouse import Snapshot

Array = NDArray[np.float64]

#: So many known defects are needed for finds to be told, and so many known sound trials for false calls.
LEAST_OF_KIND = 5
#: An inspector with fewer trials is not told by the model either.
LEAST_TRIALS = 10
#: How far outside the interval of the known decks a figure of the model may lie; no model is quite true.
CLOSE = 0.03

_ENDS = ("", "_low", "_high", "_least", "_most")
COLUMNS = [
    *("inspector_id", "topic", "trials", "known", "defects", "sound"),
    *(f"finds{end}" for end in _ENDS),
    *(f"false_calls{end}" for end in _ENDS),
    *("status", "basis"),
]


def accuracy(snapshot: Snapshot, filters: Filters = EVERYTHING) -> pd.DataFrame:
    """Finds and false calls of each inspector and topic, where they can be told.

    The filter for inspectors chooses among the rows; the model takes all inspectors together.

    Returns
    -------
    DataFrame
        One row an inspector x topic with a seen trial, of topics with a rule or a known truth; topics in load-path
        order, inspectors by code.

        - inspector_id, topic
        - trials: seen, and not left to the inspector by the rule
        - known, defects, sound: of those, trials whose truth is known by the rule or a random second look
        - finds, finds_low, finds_high: share of defects written up or referred; blank below 5 known defects where it
          is direct
        - false_calls, false_calls_low, false_calls_high: share of sound trials written up; likewise
        - finds_least, finds_most, false_calls_least, false_calls_most: were every unjudged call wrong, or right
        - status: direct, latent, not_identified, too_few
        - basis: what it rests on, or why it is not identified: ``rules``, ``random_looks``; ``known_decks``,
          ``three_looks``; ``too_little_known``, ``known_decks_disagree``, ``no_convergence``; None where too_few
    """
    everyone = replace(filters, inspectors=())
    counts = snapshot.query("call_classes", **everyone.parameters())
    truths = known_truths(snapshot, everyone).set_index("topic")
    topics = order.topics(_told_topics(counts, snapshot), snapshot.query("topics"))
    people = sorted(counts["inspector_id"].unique())
    finding = count_classes(counts, people, topics, FINDING)
    claiming = count_classes(counts, people, topics, CLAIMING)
    figures = _direct(finding, claiming)
    needed = (figures.status == "not_identified").any(axis=0)
    identified = {topic: str(truths.loc[topic, "identified_by"]) for topic in topics}
    modelled = [topic for topic, needs in zip(topics, needed, strict=True) if needs and identified[topic] != "nothing"]
    looks = snapshot.query("deck_looks", **everyone.parameters(), most_days=MOST_DAYS, looked_at=modelled)
    known = known_calls(snapshot, everyone, modelled)
    for number, topic in enumerate(modelled):
        model = _model(looks[looks["topic"] == topic], people, known.alone(number))
        figures.take(topics.index(topic), model, identified[topic])
    table = _as_table(people, topics, finding, figures)
    own = table["inspector_id"].isin(filters.inspectors) if filters.inspectors else table["trials"] > 0
    return table[own & (table["trials"] > 0)].reset_index(drop=True)[COLUMNS]


def _told_topics(counts: pd.DataFrame, snapshot: Snapshot) -> list[str]:
    """Topics with a rule, or with a known truth."""
    catalog = snapshot.query("topics")
    known = counts.loc[counts["judged"] + counts["looked"] > 0, "topic"]
    ruled = catalog.loc[catalog["has_rule"], "topic"]
    return sorted(set(counts["topic"]) & (set(known) | set(ruled)))


@dataclass(frozen=True)
class _Figures:
    """Shares, status and basis by inspector x topic; filled in as they are found."""

    finds: Share
    false_calls: Share
    status: NDArray[np.object_]
    basis: NDArray[np.object_]

    def take(self, at: int, model: _Model, identified_by: str) -> None:
        """Take a topic's model for the inspectors who are not told otherwise."""
        rows = self.status[:, at] == "not_identified"
        if model.problem is not None:
            self.basis[rows, at] = model.problem
            return
        self.status[rows, at], self.basis[rows, at] = "latent", identified_by
        for share, found in ((self.finds, model.finds), (self.false_calls, model.false_calls)):
            for own, modelled in zip((share.estimate, share.low, share.high), found, strict=True):
                own[rows, at] = modelled[rows]


def _direct(finding: ClassCounts, claiming: ClassCounts) -> _Figures:
    """The counted and weighted shares, and what they leave open."""
    found, claimed = finding.shares(), claiming.shares()
    finds = _enough_of_kind(found.finds, finding.known_defects)
    false_calls = _enough_of_kind(claimed.false_calls, finding.known_sound)
    judged = found.enough & claimed.enough
    told = ~(np.isnan(finds.estimate) & np.isnan(false_calls.estimate))
    few = finding.totals.sum(axis=-1) < LEAST_TRIALS
    status = np.where(told, "direct", np.where(judged | few, "too_few", "not_identified")).astype(object)
    looked = found.by_looks & (finding.looked.sum(axis=-1) > 0)
    basis = np.where(told, np.where(looked, "random_looks", "rules"), "too_little_known").astype(object)
    basis[status == "too_few"] = None
    return _Figures(finds, false_calls, status, basis)


def _enough_of_kind(share: Share, of_kind: Array) -> Share:
    """A share without its estimate where too few trials of its kind are known."""
    estimate, low, high = (
        np.where(of_kind >= LEAST_OF_KIND, part, np.nan) for part in (share.estimate, share.low, share.high)
    )
    return Share(estimate, low, high, share.least, share.most)


@dataclass(frozen=True)
class _Model:
    """Mean, low and high by inspector of finds and false calls; or why the model is not to be believed."""

    finds: tuple[Array, Array, Array]
    false_calls: tuple[Array, Array, Array]
    problem: str | None


def _model(looks: pd.DataFrame, people: list[str], known_alone: tuple[Share, Share] | None) -> _Model:
    """The latent-class model of a topic.

    What finds a defect (written up or referred) and what claims one (written up) differ: where somebody referred, each
    of the two has a run of its own.
    """
    finding = _sample(looks, people, FINDING)
    referred = bool((looks["call"] == "referred").any())
    claiming = _sample(looks, people, CLAIMING) if referred else finding
    trials = np.bincount(pd.Categorical(looks["inspector_id"], categories=people).codes, minlength=len(people))
    problem = None
    if not (finding.chains_agree and claiming.chains_agree):
        problem = "no_convergence"
    elif known_alone is not None:
        finds, false_calls = (
            float(draws.mean(axis=0) @ trials / trials.sum()) for draws in (finding.finds, claiming.false_calls)
        )
        if not (_within(finds, known_alone[0]) and _within(false_calls, known_alone[1])):
            problem = "known_decks_disagree"
    return _Model(latent_class.interval(finding.finds), latent_class.interval(claiming.false_calls), problem)


def _within(figure: float, share: Share) -> bool:
    return bool(np.isnan(share.estimate) or share.low - CLOSE <= figure <= share.high + CLOSE)


def _sample(looks: pd.DataFrame, people: list[str], called: tuple[str, ...]) -> latent_class.Draws:
    state, states = pd.factorize(looks["state"])
    known = np.full(len(states), latent_class.UNKNOWN)
    truth = looks["known"].map({"defect": 1, "acceptable": 0})
    has_truth = truth.notna().to_numpy()
    known[state[has_truth]] = truth[has_truth].astype(int)
    age = np.zeros(len(states), np.int64)
    age[state] = pd.factorize(looks["deck_age"])[0]
    rater = pd.Categorical(looks["inspector_id"], categories=people).codes
    return latent_class.sample(state, rater, looks["call"].isin(called), known, age, raters=len(people))


def _as_table(people: list[str], topics: list[str], finding: ClassCounts, figures: _Figures) -> pd.DataFrame:
    """Topic by topic, one row an inspector."""
    defects, sound = finding.known_defects, finding.known_sound
    columns = {
        "inspector_id": np.array(people, dtype=object)[:, None],
        "topic": np.array(topics, dtype=object)[None, :],
        "trials": finding.totals.sum(axis=-1).astype(np.int64),
        "known": (defects + sound).astype(np.int64),
        "defects": defects.astype(np.int64),
        "sound": sound.astype(np.int64),
        **share_columns("finds", figures.finds),
        **share_columns("false_calls", figures.false_calls),
        "status": figures.status,
        "basis": figures.basis,
    }
    shape = (len(people), len(topics))
    return pd.DataFrame({name: np.broadcast_to(values, shape).T.ravel() for name, values in columns.items()})
