"""Cumulative sums against published charts, weights and run lengths; limits by simulation against run lengths.

- Tabular sums: NIST/SEMATECH e-Handbook of Statistical Methods 6.3.2.3, read in tests that quote the page; halves are
  printed rounded either way.
- Weights: S. H. Steiner and others (2000), Biostatistics 1, 441-452, page 446 (read in a test of the R package vlad).
- Run lengths of one-sided sums of normal steps, k = 0.5: D. Brook and D. A. Evans (1972), Biometrika 59, 539-548: 117.59
  at h = 3; K.-H. Waldmann (1986), Technometrics 28, 61-67: 17.35 for a mean of 0.5; J. M. Lucas and R. B. Crosier (1982),
  Technometrics 24, 199-205: 168 at h = 4 on both sides, so 336 on one (all read in the manual of the R package spc).
"""

import numpy as np
import pytest
from numpy.testing import assert_allclose

from dashboard.stats.cusum import Decks, designs, histories, limit_for, shared_luck, sums, weights

MEASURED = """
324.925 324.675 324.725 324.35 325.35 325.225 324.125 324.525 325.225 324.6 324.625 325.15 328.325 327.25 327.825 328.5
326.675 327.775 326.875 328.35
"""
PARTS = np.array(MEASURED.split(), float)
HIGH = [0, 0, 0, 0, 0.03, 0, 0, 0, 0, 0, 0, 0, 3.01, 4.94, 7.45, 10.63, 11.99, 14.44, 16.0, 19.04]
LOW = [0, 0.01, 0, 0.33, 0, 0, 0.56, 0.72, 0.17, 0.25, 0.31, 0, 0, 0, 0, 0, 0, 0, 0, 0]
TARGET, SLACK, DECISION = 325, 0.3175, 4.1959


def test_the_published_tabular_sums_come_out():
    assert_allclose(sums(PARTS - TARGET - SLACK)[0], HIGH, atol=0.00501)
    assert_allclose(sums(TARGET - SLACK - PARTS)[0], LOW, atol=0.00501)


def test_the_signal_comes_at_the_published_part_and_the_sum_starts_anew():
    path, signal = sums(PARTS - TARGET - SLACK, DECISION)
    assert np.flatnonzero(signal)[0] + 1 == 14
    assert_allclose(path[14], PARTS[14] - TARGET - SLACK)


def test_the_published_weights_of_a_doubling_come_out():
    chance = 1 / (1 + np.exp(3.68 - 0.077 * np.array([0, 0, 50, 50])))
    assert_allclose(weights([0, 1, 0, 1], chance, 2), [-0.024, 0.669, -0.433, 0.26], atol=6e-4)


@pytest.fixture(scope="module")
def normal() -> np.ndarray:
    return np.random.default_rng(1).standard_normal((200, 4000)) - 0.5


def test_run_lengths_are_the_published_ones(normal):
    assert_allclose(1 / sums(normal, 3.0)[1].mean(), 117.59, rtol=0.03)
    assert_allclose(1 / sums(normal[:, :500] + 0.5, 3.0)[1].mean(), 17.35, rtol=0.03)


def test_a_limit_by_simulation_is_the_published_one_a_little_above(normal):
    # The aim is a tenth lower than allowed: about 0.1 in a limit whose run length grows as exp(h).
    assert 3.0 < limit_for(normal, 1 / 117.59) < 3.15
    assert 4.0 < limit_for(normal, 1 / 336) < 4.2


def some_decks(n: int = 240, seed: int = 2) -> Decks:
    rng = np.random.default_rng(seed)
    trials = rng.integers(6, 18, n)
    chance = rng.beta(1.2, 6.5, trials.sum())
    return Decks(chance, rng.random(chance.size) < chance, np.concatenate([[0], np.cumsum(trials)[:-1]]))


@pytest.mark.parametrize("shared", [0.0, 0.5])
def test_histories_have_the_chances_of_the_decks_and_share_as_much_luck_as_was_asked_for(shared):
    decks = some_decks()
    trials = np.diff(np.append(decks.start, decks.probability.size))
    found = histories(decks, shared, 400, np.random.default_rng(3))
    expected = np.add.reduceat(decks.probability, decks.start)
    assert_allclose(found.sum(axis=1).mean(), expected.sum(), rtol=0.01)
    variance = np.add.reduceat(decks.probability * (1 - decks.probability), decks.start)
    pairs = variance**2 - np.add.reduceat((decks.probability * (1 - decks.probability)) ** 2, decks.start)
    more = (found - expected).var(axis=0).sum() - variance.sum()
    assert more / pairs.sum() == pytest.approx(shared, abs=0.05)
    assert trials.min() >= 6


def test_shared_luck_is_found_where_it_is_and_not_where_it_is_not():
    rng = np.random.default_rng(4)
    deck = np.repeat(np.arange(6000), 10)
    for shared in (0.0, 0.4):
        effect = np.sqrt(shared) * rng.standard_normal(6000)
        chance = 1 / (1 + np.exp(1.7 - effect[deck]))
        p = chance.mean()
        event = rng.random(deck.size) < chance
        found = shared_luck(event - p, np.full(deck.size, p * (1 - p)), deck)
        assert found == pytest.approx(shared, abs=0.06)


def test_a_chart_gives_no_more_false_alarms_than_allowed_and_finds_a_doubling():
    allowed = 1 / (24 * 60)
    for shared in (0.0, 0.3):
        found = designs(some_decks(), shared, allowed, (2.0, 0.5), np.random.default_rng(5))
        for design in found:
            assert 0.75 * allowed < design.false_alarms_a_deck < 1.1 * allowed
        assert 5 < found[0].decks_to_detect < 30
        assert found[0].decks_to_detect < found[1].decks_to_detect


def test_the_fewer_decks_the_baseline_rests_on_the_higher_is_the_limit():
    few, many = (designs(some_decks(n), 0.0, 1e-3, (2.0,), np.random.default_rng(6))[0].limit for n in (40, 1000))
    assert few > many + 0.3


def test_where_the_trials_of_a_deck_go_together_the_limit_is_higher():
    alone, together = (
        designs(some_decks(), shared, 1e-3, (2.0,), np.random.default_rng(7))[0].limit for shared in (0.0, 0.5)
    )
    assert together > alone + 0.5
