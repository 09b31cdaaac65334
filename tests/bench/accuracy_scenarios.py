"""Firms whose inspectors find and miss by known chances, and how far the figures of ``accuracy`` hold what is true of them.

A firm is 12 inspectors and one topic of 2,500 decks, of which each sees about as many; what they find and call wrong differs
from one to the next, and one misses most defects. ``simulate_inspectors.py`` draws two hundred firms a question and writes
docs/accuracy.md; small versions are tests.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from dashboard.stats import latent_class
from dashboard.stats.verification import LEAST_LOOKS, WeightedShares, weighted_shares

Array = NDArray[np.float64]

INSPECTORS = 12
DECKS = 2500
DEFECTS = 0.2


@dataclass(frozen=True)
class Firm:
    """What the inspectors are made of, and their calls on decks, deck x look."""

    finds: Array
    false_calls: Array
    defect: NDArray[np.bool_]
    inspector: NDArray[np.int64]
    called: NDArray[np.bool_]


@dataclass(frozen=True)
class Told:
    """Estimate, low and high of a share by inspector, beside the truth; NaN where it is not told."""

    estimate: Array
    low: Array
    high: Array
    truth: Array


def make_firm(random: np.random.Generator, decks: int = DECKS, looks: int = 1) -> Firm:
    """A firm in which inspector 0 misses most defects."""
    finds, false_calls = random.beta(16, 4, INSPECTORS), random.beta(2, 28, INSPECTORS)
    finds[0] = 0.35
    defect = random.random(decks) < DEFECTS
    inspector = np.argsort(random.random((decks, INSPECTORS)), axis=1)[:, :looks]
    share = np.where(defect[:, None], finds[inspector], false_calls[inspector])
    return Firm(finds, false_calls, defect, inspector, random.random((decks, looks)) < share)


def direct(random: np.random.Generator, kept_defects: float = 0.2, looks_each: int = 0) -> tuple[Told, Told]:
    """Measures kept for 0.9 of write-ups and 0.2 of passes, for passed defects perhaps more; and random second looks.

    Parameters
    ----------
    kept_defects
        For how many of the passed defects a measure is kept; above 0.2 the weighting alone is misled.
    looks_each
        Random second looks at each inspector's unjudged calls of each class.
    """
    firm = make_firm(random)
    called = firm.called[:, 0]
    kept = random.random(len(called)) < np.where(called, 0.9, np.where(firm.defect, kept_defects, 0.2))
    looked = np.zeros(len(called), bool)
    cell = _cells(firm, called)
    for of_cell in (np.flatnonzero((cell == which) & ~kept) for which in range(2 * INSPECTORS)):
        looked[random.permutation(of_cell)[:looks_each]] = True
    return _told(_shares(firm, called, kept, looked), firm.finds, firm.false_calls)


def _cells(firm: Firm, called: NDArray[np.bool_]) -> NDArray[np.int64]:
    """The class of each deck's first call: its inspector, and whether it is written up."""
    return 2 * firm.inspector[:, 0] + ~called


def _shares(
    firm: Firm, called: NDArray[np.bool_], kept: NDArray[np.bool_], looked: NDArray[np.bool_] | None = None
) -> WeightedShares:
    """What the product makes of the calls, of whose decks the truth is known where ``kept`` or ``looked`` at."""
    cell, looked = _cells(firm, called), np.zeros_like(kept) if looked is None else looked

    def counted(which: NDArray[np.bool_]) -> Array:
        return np.bincount(cell[which], minlength=2 * INSPECTORS).reshape(INSPECTORS, 2)

    parts = (np.ones_like(kept), kept, kept & firm.defect, looked, looked & firm.defect)
    return weighted_shares(*map(counted, parts))


def _told(found: WeightedShares, finds: Array, false_calls: Array) -> tuple[Told, Told]:
    return (
        Told(found.finds.estimate, found.finds.low, found.finds.high, finds),
        Told(found.false_calls.estimate, found.false_calls.low, found.false_calls.high, false_calls),
    )


def latent(random: np.random.Generator, decks: int, looks: int, known: float) -> tuple[Told, Told]:
    """Truths known for a share of the decks, each looked at by so many inspectors."""
    firm = make_firm(random, decks, looks)
    truth = np.where(random.random(decks) < known, firm.defect, latent_class.UNKNOWN)
    deck = np.repeat(np.arange(decks), looks)
    draws = latent_class.sample(deck, firm.inspector.ravel(), firm.called.ravel(), truth, raters=INSPECTORS)
    return (
        Told(*latent_class.interval(draws.finds), firm.finds),
        Told(*latent_class.interval(draws.false_calls), firm.false_calls),
    )


def wrong_rule(random: np.random.Generator) -> tuple[Told, Told]:
    """All share a rule that makes a defect of a third of the sound decks; the truth of four decks in ten is known."""
    firm = make_firm(random)
    decks = len(firm.defect)
    tempting = ~firm.defect & (random.random(decks) < 1 / 3)
    called = random.random(decks) < np.where(firm.defect | tempting, 0.95, 0.03)
    found = _shares(firm, called, kept=random.random(decks) < 0.4)
    wrongly = np.full(INSPECTORS, 0.95 / 3 + 0.03 * 2 / 3)
    return _told(found, np.full(INSPECTORS, 0.95), wrongly)


Simulation = Callable[[np.random.Generator], tuple[Told, Told]]

SIMULATIONS: dict[str, Simulation] = {
    "direct: measures kept for 0.9 of write-ups, 0.2 of passes": direct,
    f"direct: kept for 0.5 of passed defects, {LEAST_LOOKS} random looks a class": lambda random: direct(
        random, 0.5, LEAST_LOOKS
    ),
    "latent: truth of a quarter of the decks known, one look a deck": lambda random: latent(random, DECKS, 1, 0.25),
    "latent: three looks at each of 300 decks, no truth known": lambda random: latent(random, 300, 3, 0.0),
    "latent: three looks at each of 500 decks, a quarter known": lambda random: latent(random, 500, 3, 0.25),
    "direct: a wrong rule that all share, the truth of four decks in ten known": wrong_rule,
}


def figures_of_a_firm(name: str, seed: int | tuple[int, ...]) -> dict[str, float]:
    """What one firm of a simulation gives, as counts that can be added up over firms.

    Returns
    -------
    dict
        ``firms`` 1, and for ``finds`` and ``false_calls`` each ``…_told`` (figures), ``…_held`` (of them, intervals that
        hold the truth), ``…_error`` (mean of figure less truth) and ``…_error_squared`` (of that mean).
    """
    counts = {"firms": 1.0}
    for share, told in zip(("finds", "false_calls"), SIMULATIONS[name](np.random.default_rng(seed)), strict=True):
        known = ~np.isnan(told.estimate)
        held = (told.low <= told.truth) & (told.truth <= told.high)
        error = float((told.estimate - told.truth)[known].mean())
        counts |= {f"{share}_told": float(known.sum()), f"{share}_held": float(held[known].sum())}
        counts |= {f"{share}_error": error, f"{share}_error_squared": error**2}
    return counts
