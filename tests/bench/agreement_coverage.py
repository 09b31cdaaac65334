"""How often the 95 percent intervals of agreement hold the truth, in simulated pairs and calibration rounds.

    python tests/bench/agreement_coverage.py

Pairs: each firm is a table drawn from known shares; the share of firms whose interval holds the true figure is told for
the intervals as they are shown, and for plain redrawing of whole decks. Rounds: items are drawn from two kinds, one that
is mostly written up and one that mostly is not. Takes five minutes.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from dashboard.measures.agreement import FIGURES, Decks
from dashboard.measures.rounds import Items
from dashboard.stats.agreement import REDRAWS, fleiss_kappa, group_agreement, krippendorff_alpha

Array = NDArray[np.float64]
FIRMS = 400
#: Decks; share written up and kappa.
DECKS = (20, 40, 66, 150)
TRUTHS = ((0.05, 0.4), (0.1, 0.0), (0.1, 0.4), (0.1, 0.9), (0.15, 0.6), (0.2, 0.8), (0.3, 0.2), (0.3, 0.6), (0.4, 0.8))
#: Items; inspectors, share of items with a defect, chance to write up such a one and a sound one, chance of not seen.
ITEMS = (5, 8, 10, 20, 40)
ROUNDS = (
    (8, 0.5, 0.85, 0.1, 0.0),
    (8, 0.3, 0.9, 0.05, 0.1),
    (5, 0.4, 0.7, 0.2, 0.0),
    (12, 0.5, 0.95, 0.02, 0.1),
    (4, 0.2, 0.8, 0.05, 0.2),
)


def main() -> None:
    rng = np.random.default_rng(1)
    print("Pairs: least and mean share of firms whose interval holds the truth, over", len(TRUTHS), "truths")
    print("decks | figure | as shown: least, mean | whole decks redrawn: least, mean")
    for decks in DECKS:
        shown, plain = zip(*(_pairs(rng, decks, *truth) for truth in TRUTHS), strict=True)
        for name in FIGURES:
            ends = [(min(run[name] for run in runs), np.mean([run[name] for run in runs])) for runs in (shown, plain)]
            print(f"{decks} | {name} |", " | ".join(f"{least:.2f}, {mean:.2f}" for least, mean in ends), flush=True)
    print("Rounds: least and mean, over", len(ROUNDS), "truths")
    for items in ITEMS:
        runs = [_rounds(rng, items, *truth) for truth in ROUNDS]
        for name in ("raw", "fleiss", "alpha", "known_share"):
            held = [run[name] for run in runs]
            print(f"{items} items | {name} | {min(held):.2f}, {np.mean(held):.2f}", flush=True)


def _pairs(
    rng: np.random.Generator, decks: int, share: float, kappa: float
) -> tuple[dict[str, float], dict[str, float]]:
    both = kappa * share * (1 - share) + share**2
    shares = np.array([both, share - both, share - both, 1 - 2 * share + both])
    truth = {name: float(figure(shares.reshape(2, 2))) for name, figure in FIGURES.items()}
    held: dict[str, list[bool]] = {name: [] for name in FIGURES}
    held_by_plain: dict[str, list[bool]] = {name: [] for name in FIGURES}
    for counts in rng.multinomial(decks, shares, size=FIRMS).astype(float):
        told = Decks(np.eye(4), counts).figures()
        redrawn = rng.multinomial(decks, counts / decks, size=REDRAWS).reshape(-1, 2, 2)
        for name, figure in FIGURES.items():
            if np.isnan(told[name]):
                continue
            held[name].append(told[f"{name}_low"] <= truth[name] <= told[f"{name}_high"])
            low, high = np.nanquantile(figure(redrawn), [0.025, 0.975])
            held_by_plain[name].append(low - 1e-9 <= truth[name] <= high + 1e-9)
    return {name: float(np.mean(of)) for name, of in held.items()}, {
        name: float(np.mean(of)) for name, of in held_by_plain.items()
    }


def _rounds(
    rng: np.random.Generator, items: int, people: int, share: float, on_defect: float, on_sound: float, unseen: float
) -> dict[str, float]:
    def drawn(number: int) -> tuple[Array, Array]:
        defect = rng.random(number) < share
        calls = np.maximum(rng.binomial(people, 1 - unseen, number), 1)
        up = rng.binomial(calls, np.where(defect, on_defect, on_sound))
        right = np.where(defect, up, calls - up)
        return np.stack([up, calls - up], axis=1).astype(float), np.stack([right, calls], axis=1).astype(float)

    counts, right = drawn(200_000)
    figures = {"raw": group_agreement, "fleiss": fleiss_kappa, "alpha": krippendorff_alpha}
    truth = {name: float(figure(counts)) for name, figure in figures.items()}
    truth["known_share"] = float(right[:, 0].sum() / right[:, 1].sum())
    held: dict[str, list[bool]] = {name: [] for name in truth}
    for _ in range(FIRMS):
        own = Items(*drawn(items), np.arange(items))
        told = own.figures() | own.known()
        for name, value in truth.items():
            if not np.isnan(told[name]):
                held[name].append(told[f"{name}_low"] <= value <= told[f"{name}_high"])
    return {name: float(np.mean(of)) for name, of in held.items()}


if __name__ == "__main__":
    main()
