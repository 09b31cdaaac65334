"""How often the comparison of inspectors errs, and what it finds, on simulated firms: writes docs/accuracy.md.

    python tests/bench/simulate_inspectors.py [--quick] [--again NAME ...] [--page-only]

Takes half an hour on two free cores; --quick a twentieth of the firms, to try it out, and writes no page. What was
counted is kept in tests/bench/simulated_inspectors.json, a scenario a name: one that stands there is not drawn again
unless --again names it (or "all"), and --page-only writes the page from it. The same seed gives the same firms.
"""

from __future__ import annotations

import os

os.environ.setdefault("OMP_NUM_THREADS", "1")  # two processes already keep two cores busy
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

import argparse
import json
import sys
import time
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from multiprocessing import Pool
from pathlib import Path

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT))

from tests.bench import planted_scenarios  # noqa: E402
from tests.bench.accuracy_page import page  # noqa: E402
from tests.bench.accuracy_scenarios import SIMULATIONS, figures_of_a_firm  # noqa: E402
from tests.bench.planted_scenarios import Counts, Seed  # noqa: E402
from tests.bench.simulated_firm import Plan, misser, overcaller  # noqa: E402

SEED = 2026
COUNTED = Path(__file__).with_name("simulated_inspectors.json")
PAGE = ROOT / "docs" / "accuracy.md"
SIZES = (500, 1000, 1500, 2500, 4000)


@dataclass(frozen=True)
class Scenario:
    """A question, the firms to put it to, and how many of them."""

    ask: Callable[[Seed], Counts]
    firms: int


def scenarios() -> dict[str, Scenario]:
    """What is asked, by name, each of how many firms."""
    found: dict[str, Scenario] = {}

    def ask(name: str, question: Callable[[Plan, Seed], Counts], firms: int, plan: Plan) -> None:
        found[name] = Scenario(partial(question, plan), firms)

    here = planted_scenarios
    ask("nothing planted, 12 x 2500", here.nothing_planted, 200, Plan())
    ask("nothing planted, 14 x 1000", here.nothing_planted, 200, Plan(n_inspectors=14, n_reports=1000))
    for share in (0.7, 0.4):
        for reports in SIZES:
            plan = Plan(n_reports=reports, habits=(overcaller(share), misser(0.12)))
            ask(
                f"sound cases written up at {share}, {reports}", here.habit, 40 if reports in (1500, 2500) else 20, plan
            )
    for share in (0.7, 0.5):
        for reports in SIZES:
            plan = Plan(n_reports=reports, habits=(misser(share), overcaller(0.1)))
            name = f"defects passed over at {share}, {reports}"
            ask(name, here.wrong_calls_only, 60 if reports == 2500 else 20, plan)
    by_write_ups = Plan(habits=(misser(0.7), overcaller(0.1)))
    ask("defects passed over at 0.7, by write-ups", here.habit, 20, by_write_ups)
    for decks in ("old", "one_builder"):
        ask(f"{decks}, nothing planted", here.nothing_planted, 40, Plan(decks=decks))
        biased = Plan(decks=decks, habits=(overcaller(0.7), misser(0.12)))
        ask(f"{decks}, sound cases written up at 0.7", here.habit, 20, biased)
    ask("alone", here.alone, 20, Plan(decks="alone"))
    ask("measures kept unevenly", here.shares, 30, Plan(kept=(0.9, 0.2)))
    for spread in (0.2, 0.4):
        ask(f"spread {spread}", here.intervals, 20, Plan(decks="old", spread=spread))
    for name in SIMULATIONS:
        found[f"accuracy, {name}"] = Scenario(partial(figures_of_a_firm, name), 200)
    return found


def _one(task: tuple[Callable[[Seed], Counts], Seed]) -> Counts:
    ask, seed = task
    return ask(seed)


def run(scenario: Scenario, number: int, firms: int, pool) -> Counts:
    """The counts of all firms of a scenario, added up."""
    tasks = [(scenario.ask, (SEED, number, firm)) for firm in range(firms)]
    total: Counter[str] = Counter()
    for counts in pool.imap_unordered(_one, tasks):
        total.update(counts)
    return {name: round(value, 6) for name, value in sorted(total.items())}


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--quick", action="store_true")
    parser.add_argument("--again", nargs="*", default=[])
    parser.add_argument("--page-only", action="store_true")
    wanted = parser.parse_args()
    counted: dict[str, Counts] = {} if wanted.quick or not COUNTED.exists() else json.loads(COUNTED.read_text())
    if not wanted.page_only:
        with Pool(2) as pool:
            for number, (name, scenario) in enumerate(scenarios().items()):
                if name in counted and not {name, "all"} & set(wanted.again):
                    continue
                start = time.perf_counter()
                counted[name] = run(scenario, number, max(scenario.firms // (20 if wanted.quick else 1), 2), pool)
                print(f"{name}: {counted[name]['firms']:.0f} firms, {time.perf_counter() - start:.0f} s", flush=True)
                if not wanted.quick:
                    COUNTED.write_text(json.dumps(counted, indent=1, sort_keys=True) + "\n", encoding="utf-8")
    if wanted.quick:
        print(page(counted, SEED))
    else:
        PAGE.write_text(page(counted, SEED), encoding="utf-8")


if __name__ == "__main__":
    main()
