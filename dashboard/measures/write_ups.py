"""Written up against expected, topic by topic and over all topics: ratio, shrunken ratio, test, what they rest on."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import expit

from dashboard.measures.case_mix import shared_ground
from dashboard.measures.peers import Firm
from dashboard.measures.signals import WRITE_UPS, Array, Together, TopicTest, q_over_topics, separable, signal_names
from dashboard.stats import discovery, power, ratios
from dashboard.stats.ratios import SHIFTS, Profiles

ALL = "all"
#: The difference whose showing is planned for, as an odds ratio; and how sure a flag among a hundred comparisons has to
#: be, with two flags: 0.05 x 2 / 100.
DOUBLED, SURE = 2.0, 0.001


@dataclass(frozen=True)
class WriteUps:
    """What is known of all inspectors in a topic, or over all of them; arrays over inspectors.

    Attributes
    ----------
    profiles
        What was found and expected, and what each shift of the own log-odds would lead to.
    columns
        trials, written_up, expected (and how far luck spreads it, and its error), ratio and shrunken ratio with their
        intervals, trials_lacking, p, q, signal, overlap, peers, peer_decks, dispersion.
    spread
        Of the unflagged inspectors around their peers, log-odds: estimate, low, high.
    """

    profiles: Profiles
    columns: dict[str, NDArray]
    spread: tuple[float, float, float]


def write_ups(found: Firm) -> dict[str, WriteUps]:
    """By topic, ``all`` first."""
    by_topic = {topic: _of_topic(found, topic, at) for at, topic in enumerate(found.family.topics)}
    return {ALL: _of_all(found, by_topic), **by_topic} if by_topic else {}


def _of_topic(found: Firm, topic: str, at: int) -> WriteUps:
    tested, compared, q = found.family.topics[topic], found.family.compared[at], found.family.q[at]
    n_peers, peer_decks = found.ground[topic]
    tests = {
        "p": np.where(compared, tested.p, np.nan),
        "q": q,
        "signal": signal_names(tested.score, WRITE_UPS.met(tested), compared, q),
        "overlap": tested.overlap,
        "peers": n_peers.astype(np.int64),
        "peer_decks": peer_decks.astype(np.int64),
        "dispersion": np.ones(tested.cells.n_inspectors),
    }
    return _told(_profiles(tested), tests, ~tested.flagged, discovery.bar(found.family.q))


def _profiles(tested: TopicTest) -> Profiles:
    """Each inspector's cells, as the peers would have called them."""
    cells = tested.cells
    log_odds, error = np.zeros(len(cells.trials)), np.zeros(cells.n_inspectors)
    for inspector in np.flatnonzero(tested.trials > 0):
        of_peers = tested.peers(int(inspector))
        log_odds[cells.inspector == inspector] = of_peers.log_odds
        error[inspector] = of_peers.error
    return ratios.profiles(log_odds, cells.inspector, cells.trials, cells.events, error, cells.n_inspectors)


def _told(profiles: Profiles, tests: dict[str, NDArray], alike: NDArray[np.bool_], bar: float) -> WriteUps:
    dispersion = tests["dispersion"]
    ratio, low, high = ratios.ratio(profiles, dispersion)
    shrunken = ratios.shrink(profiles, alike & (profiles.trials > 0), dispersion, bar)
    # Where nothing but the own reports tells of such decks, what the peers would have written up is not known.
    told = (profiles.expected > 0) & (tests["signal"] != "cannot_separate")
    figures = {
        "expected": profiles.expected,
        "expected_sd": np.sqrt(profiles.variances[:, SHIFTS.size // 2]),
        "expected_error": profiles.error,
        "ratio": ratio,
        "ratio_low": low,
        "ratio_high": high,
        "shrunken_ratio": shrunken.ratio,
        "shrunken_ratio_low": shrunken.low,
        "shrunken_ratio_high": shrunken.high,
    }
    figures["trials_lacking"] = _trials_lacking(profiles, tests)
    columns = {
        "trials": profiles.trials.astype(np.int64),
        "written_up": profiles.events.astype(np.int64),
    } | {name: np.where(told, figure, np.nan) for name, figure in figures.items()}
    return WriteUps(profiles, columns | tests, (shrunken.spread, shrunken.spread_low, shrunken.spread_high))


def _trials_lacking(profiles: Profiles, tests: dict[str, NDArray]) -> Array:
    """How many more trials until own odds twice those of peers would show with a chance of 80 percent."""
    with np.errstate(invalid="ignore", divide="ignore"):
        share = profiles.expected / profiles.trials
    twice = power.times_the_odds(share, DOUBLED)
    needed = power.trials_to_show(share, twice, alpha=SURE, information=tests["overlap"] / tests["dispersion"])
    return np.where(np.isfinite(needed), power.more(needed, profiles.trials), np.nan)


def _of_all(found: Firm, by_topic: dict[str, WriteUps]) -> WriteUps:
    """All topics together: sums of counts, scores and variances, these times the dispersion of whole reports."""
    together = Together.of(list(found.family.topics.values()))
    summed = ratios.add([of.profiles for of in by_topic.values()])
    dispersion = report_dispersion(found)
    n_peers, peer_decks = shared_ground(found.case, np.concatenate([dated.visit for dated in found.dated.values()]))
    enough = WRITE_UPS.met(together)
    compared = enough & separable(together, n_peers, peer_decks)
    p = np.where(compared, together.p(dispersion), np.nan)
    q = q_over_topics(p)
    columns = {
        "p": p,
        "q": q,
        "signal": signal_names(together.score, enough, compared, q),
        "overlap": together.overlap,
        "peers": n_peers.astype(np.int64),
        "peer_decks": peer_decks.astype(np.int64),
        "dispersion": np.full(len(found.case.inspectors), dispersion),
    }
    return _told(summed, columns, ~(np.nan_to_num(q, nan=1.0) <= discovery.RATE), discovery.bar(q))


def report_dispersion(found: Firm) -> float:
    """How many times the binomial variance the write-ups of a whole report have; at least 1.

    Calls of one report rise and fall together (a badly kept deck has many faults). The squared differences between a
    report's write-ups and those expected, each inspector's own mean taken out, are set against the sum of p (1 - p):
    Pearson's dispersion, reports as clusters.

    References
    ----------
    P. McCullagh and J. A. Nelder (1989), Generalized Linear Models, 2nd edition, section 4.5.
    """
    difference, variance = np.zeros(len(found.case.visits)), np.zeros(len(found.case.visits))
    for topic, dated in found.dated.items():
        share = expit(found.family.topics[topic].log_odds())[dated.cell]
        difference += np.bincount(dated.visit, dated.written_up - share, difference.size)
        variance += np.bincount(dated.visit, share * (1 - share), variance.size)
    reports, report = np.unique(found.case.visits["report_id"].to_numpy(str), return_inverse=True)
    of_report = np.bincount(report, difference), np.bincount(report, variance)
    who = np.zeros(reports.size, np.intp)
    who[report] = np.unique(found.case.visits["inspector_id"].to_numpy(str), return_inverse=True)[1]
    own = np.bincount(who, of_report[0]) / np.maximum(np.bincount(who, of_report[1]), 1e-12)
    left = of_report[0] - own[who] * of_report[1]
    free = max(reports.size - own.size, 1) / reports.size
    return max(1.0, float(np.square(left).sum() / max(of_report[1].sum() * free, 1e-12)))
