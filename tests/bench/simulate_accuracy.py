"""How often the intervals of finds and false calls hold, and how far their figures are off, over simulated firms.

Run by hand: ``PYTHONPATH=. python tests/bench/simulate_accuracy.py [FIRMS]`` (200 firms: some minutes). A small version is
a test. A firm is 12 inspectors and one topic of 2,500 decks, of which each sees about as many; what they find and call
wrong differs from one to the next, and one misses most defects.
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from dashboard.stats import latent_class
from dashboard.stats.verification import LEAST_LOOKS, weighted_shares

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
    called, inspector = firm.called[:, 0], firm.inspector[:, 0]
    kept = random.random(len(called)) < np.where(called, 0.9, np.where(firm.defect, kept_defects, 0.2))
    cell = 2 * inspector + ~called
    looked = np.zeros(len(called), bool)
    for of_cell in (np.flatnonzero((cell == which) & ~kept) for which in range(2 * INSPECTORS)):
        looked[random.permutation(of_cell)[:looks_each]] = True

    def counted(which: NDArray[np.bool_]) -> Array:
        return np.bincount(cell[which], minlength=2 * INSPECTORS).reshape(INSPECTORS, 2)

    found = weighted_shares(
        counted(np.ones_like(kept)),
        *(counted(part) for part in (kept, kept & firm.defect, looked, looked & firm.defect)),
    )
    finds, calls = found.finds, found.false_calls
    return (
        Told(finds.estimate, finds.low, finds.high, firm.finds),
        Told(calls.estimate, calls.low, calls.high, firm.false_calls),
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


Simulation = Callable[[np.random.Generator], tuple[Told, Told]]

SIMULATIONS: dict[str, Simulation] = {
    "direct: measures kept for 0.9 of write-ups, 0.2 of passes": direct,
    f"direct: kept for 0.5 of passed defects, {LEAST_LOOKS} random looks a class": lambda random: direct(
        random, 0.5, LEAST_LOOKS
    ),
    "latent: truth of a quarter of the decks known, one look a deck": lambda random: latent(random, DECKS, 1, 0.25),
    "latent: three looks at each of 300 decks, no truth known": lambda random: latent(random, 300, 3, 0.0),
    "latent: three looks at each of 500 decks, a quarter known": lambda random: latent(random, 500, 3, 0.25),
}


@dataclass(frozen=True)
class Result:
    """Over firms and inspectors: how many figures were told, how far off on average, how many intervals held."""

    simulation: str
    share: str
    told: int
    mean_error: float
    covered: float


def simulate(name: str, firms: int, seed: int = 1) -> Iterator[Result]:
    """The results of one simulation, for finds and for false calls."""
    random = np.random.default_rng(seed)
    runs = [SIMULATIONS[name](random) for _ in range(firms)]
    for at, share in enumerate(("finds", "false_calls")):
        told = [run[at] for run in runs]
        estimate, low, high, truth = (
            np.concatenate([getattr(figures, part) for figures in told])
            for part in ("estimate", "low", "high", "truth")
        )
        known = ~np.isnan(estimate)
        held = (low <= truth) & (truth <= high)
        error = float((estimate - truth)[known].mean())
        yield Result(name, share, int(known.sum()), error, float(held[known].mean()))


def main() -> None:
    firms = int(sys.argv[1]) if len(sys.argv) > 1 else 200
    print(f"{firms} firms of {INSPECTORS} inspectors; 95 percent intervals")
    for name in SIMULATIONS:
        print(name)
        for result in simulate(name, firms):
            print(
                f"  {result.share:<12} told {result.told:>5}  mean error {result.mean_error:+.3f}  held {result.covered:.3f}"
            )


if __name__ == "__main__":
    main()
