"""Who differs from peers by more than luck and the mix of decks allow: one family of score tests over all topics.

A colleague who is far from the others would move what they are all compared with. Whoever is flagged therefore gets a
term of their own in the topic's model, and the tests are made again, until the same people are flagged twice.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import NDArray
from scipy.special import expit, ndtr

from dashboard.stats import discovery
from dashboard.stats.case_mix import Cells, Fit, Peers, fit, overlap, p_values, peers, score_tests

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]

LEAST_OVERLAP = 0.25
WEAK_OVERLAP = 0.5
LEAST_PEERS = 2
LEAST_PEER_DECKS = 10
MOST_FLAGGED = 1 / 3  # of the inspectors in a topic: beyond it there is no common habit left to compare with
_ROUNDS = 6


class Tested(Protocol):
    """What a test rests on; arrays over inspectors."""

    @property
    def trials(self) -> Array: ...

    @property
    def events(self) -> Array: ...

    @property
    def score(self) -> Array: ...

    @property
    def overlap(self) -> Array: ...


@dataclass(frozen=True)
class TopicTest:
    """A topic's tests; arrays over inspectors.

    Attributes
    ----------
    cells
        The counted trials.
    fitted
        The model, with a term for each flagged inspector.
    flagged
        Who has such a term.
    score, information, alone
        See :class:`dashboard.stats.case_mix.Scores`; of a flagged inspector from the model without the own term.
    p
        Two-sided.
    """

    cells: Cells
    fitted: Fit
    flagged: Flags
    score: Array
    information: Array
    alone: Array
    p: Array

    @property
    def overlap(self) -> Array:
        """The share of the information left after case mix."""
        return overlap(self.information, self.alone)

    @property
    def left(self) -> Array:
        """The share of the own trials' variance that the model's terms have not taken up; above 0, at most 1."""
        own = self.cells.by_inspector(self.cells.trials * (share := expit(self.log_odds())) * (1 - share))
        return np.clip(self.information / np.maximum(own, 1e-12), 1e-6, 1.0)

    @property
    def trials(self) -> Array:
        return self.cells.by_inspector(self.cells.trials)

    @property
    def events(self) -> Array:
        return self.cells.by_inspector(self.cells.events)

    def model_without(self, inspector: int) -> tuple[Cells, Fit]:
        """The model in which this inspector has no own term, and every flagged colleague has."""
        if not self.flagged[inspector]:
            return self.cells.with_own_terms(_who(self.flagged)), self.fitted
        others = [at for at in _who(self.flagged) if at != inspector]
        cells = self.cells.with_own_terms(others)
        own_term = self.cells.terms.shape[1] + _who(self.flagged).index(inspector)
        return cells, fit(cells, self.fitted.spread, self.fitted.without_term(own_term))

    def peers(self, inspector: int) -> Peers:
        """What the peers would have written up on this inspector's decks."""
        cells, fitted = self.model_without(inspector)
        return peers(cells, fitted, inspector)

    def log_odds(self) -> Array:
        """Of each cell by the model, flagged inspectors' own terms left out: what the others would do there."""
        own = self.cells.with_own_terms(_who(self.flagged)).terms[:, self.cells.terms.shape[1] :]
        return self.fitted.log_odds - own @ self.fitted.fixed[self.cells.terms.shape[1] :]


def _who(flagged: Flags) -> list[int]:
    return [int(at) for at in np.flatnonzero(flagged)]


def tried(cells: Cells, flagged: Flags) -> TopicTest:
    """Fit a topic's model with a term for each flagged inspector, and test everyone."""
    everyone = cells.with_own_terms(_who(flagged))
    fitted = fit(everyone)
    scores = score_tests(everyone, fitted)
    parts = [scores.score, scores.information, scores.alone, p_values(everyone, fitted, scores)]
    tested = TopicTest(cells, fitted, flagged, *(part.copy() for part in parts))
    for at in _who(flagged):
        without, refitted = tested.model_without(at)
        own = score_tests(without, refitted)
        tested.score[at], tested.information[at], tested.alone[at] = own.score[at], own.information[at], own.alone[at]
        tested.p[at] = p_values(without, refitted, own)[at]
    return tested


@dataclass(frozen=True)
class Family:
    """All tests of a firm.

    Attributes
    ----------
    topics
        The tests by topic.
    compared
        Topics x inspectors, in the order of ``topics``: which pairs take part in the false discovery control.
    q
        Topics x inspectors; NaN where a pair does not take part.
    """

    topics: dict[str, TopicTest]
    compared: Flags
    q: Array

    @property
    def flagged(self) -> Flags:
        """Topics x inspectors: q at most 5 percent."""
        return np.nan_to_num(self.q, nan=1.0) <= discovery.RATE


@dataclass(frozen=True)
class Least:
    """How much there must be for a comparison; it is about what could be found, never about how much was."""

    trials: float
    expected: float

    def met(self, tested: Tested) -> Flags:
        expected = tested.events - tested.score
        likely = np.minimum(expected, tested.trials - expected)
        return (tested.trials >= self.trials) & (likely >= self.expected)


WRITE_UPS = Least(trials=20, expected=2.0)
WRONG_CALLS = Least(trials=8, expected=1.0)


def separable(tested: Tested, n_peers: Array, peer_decks: Array) -> Flags:
    """Whose decks are enough like those of colleagues for the two to be told apart."""
    return (tested.overlap >= LEAST_OVERLAP) & (n_peers >= LEAST_PEERS) & (peer_decks >= LEAST_PEER_DECKS)


def find_signals(
    cells: Mapping[str, Cells], ground: Callable[[str], tuple[Array, Array]], least: Least = WRITE_UPS
) -> Family:
    """The tests of all pairs of topic and inspector, made again until the flags are stable.

    Parameters
    ----------
    cells
        By topic.
    ground
        Peers and peer decks of each inspector in a topic.
    least
        What a pair needs to take part.

    References
    ----------
    Y. Benjamini and Y. Hochberg (1995), Journal of the Royal Statistical Society B 57, 289-300. That outlying units
    must not shape what they are compared with: D. J. Spiegelhalter et al. (2012), Journal of the Royal Statistical
    Society A 175, 1-47.
    """
    if not cells:
        return no_family(0)
    nobody = {topic: np.zeros(of.n_inspectors, bool) for topic, of in cells.items()}
    tests = {topic: tried(of, nobody[topic]) for topic, of in cells.items()}
    compared = {topic: least.met(of) & separable(of, *ground(topic)) for topic, of in tests.items()}
    for _ in range(_ROUNDS):
        family = _family(tests, compared)
        wanted = {topic: _limited(row, tests[topic]) for topic, row in zip(tests, family.flagged, strict=True)}
        changed = [topic for topic in tests if (wanted[topic] != tests[topic].flagged).any()]
        if not changed:
            break
        tests |= {topic: tried(cells[topic], wanted[topic]) for topic in changed}
    return _family(tests, compared)


@dataclass(frozen=True)
class Together:
    """The sums of several topics' tests; arrays over inspectors."""

    trials: Array
    events: Array
    score: Array
    information: Array
    alone: Array

    @classmethod
    def of(cls, tests: Iterable[TopicTest]) -> Together:
        names = ("trials", "events", "score", "information", "alone")
        return cls(*(np.sum([getattr(tested, name) for tested in tests], axis=0) for name in names))

    @property
    def overlap(self) -> Array:
        """The share of the information left after case mix."""
        return overlap(self.information, self.alone)

    def p(self, dispersion: float) -> Array:
        """Two-sided, by the normal distribution: over all topics counts are large.

        Parameters
        ----------
        dispersion
            How many times the binomial variance the sums have.
        """
        with np.errstate(invalid="ignore", divide="ignore"):
            return 2 * ndtr(-np.abs(self.score / np.sqrt(self.information * dispersion)))


def q_over_topics(p: Array) -> Array:
    """Adjusted p-values of the row ``all``: a family of its own, at half the rate, as it is read beside the topics'."""
    return np.minimum(2 * discovery.q_values(p), 1.0)


def signal_names(score: Array, enough: Flags, compared: Flags, q: Array) -> NDArray[np.object_]:
    """``higher`` or ``lower`` than peers, or ``none``; ``too_few`` or ``cannot_separate`` where none was compared."""
    flagged = np.nan_to_num(q, nan=1.0) <= discovery.RATE
    return np.select(
        [~enough, ~compared, flagged & (score > 0), flagged],
        ["too_few", "cannot_separate", "higher", "lower"],
        default="none",
    ).astype(object)


def no_family(n_inspectors: int) -> Family:
    """The family of a firm in which nothing can be compared."""
    return Family({}, np.zeros((0, n_inspectors), bool), np.zeros((0, n_inspectors)))


def _family(tests: dict[str, TopicTest], compared: Mapping[str, Flags]) -> Family:
    taking_part = np.stack([compared[topic] for topic in tests])
    p = np.where(taking_part, np.stack([of.p for of in tests.values()]), np.nan)
    return Family(dict(tests), taking_part, discovery.q_values(p))


def _limited(flagged: Flags, tested: TopicTest) -> Flags:
    """At most a third of the topic's inspectors, those that the tests are surest of."""
    most = int((tested.trials > 0).sum() * MOST_FLAGGED)
    if flagged.sum() <= most:
        return flagged
    surest = np.argsort(np.where(flagged, tested.p, np.inf), kind="stable")[:most]
    kept = np.zeros_like(flagged)
    kept[surest] = True
    return kept
