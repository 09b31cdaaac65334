"""How often a training session is said to have changed something, over simulated firms of twelve inspectors.

    PYTHONPATH=. python tests/bench/simulate_training.py [FIRMS] [--page]

With --page it writes docs/training-accuracy.md (200 firms a plan, 400 where nothing changes: a few minutes). The same seed
gives the same firms. A small version is a test. How often intervals of a topic's place hold the true one is tried too. Every colleague has a level of their own (a normal draw, log-odds), and moves a little between windows
for reasons of their own. A session is held after one or two windows of 181 days; another follows it.
"""

from __future__ import annotations

import argparse
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pandas as pd
from numpy.typing import NDArray
from scipy.special import expit, logit

from dashboard.measures import training_effect, training_topics
from dashboard.stats import permutation
from tests.bench.training_page import page

Array = NDArray[np.float64]

PAGE = Path(__file__).parents[2] / "docs" / "training-accuracy.md"
#: Firms a plan, and where nothing changes.
FIRMS, NULL_FIRMS, RANK_FIRMS = 200, 400, 100
#: Topics of a firm, and judged calls in each.
RANKED = ((10, 120), (30, 120), (60, 120), (60, 60))
INSPECTORS = 12
TOPIC, SESSION = "hanger_size", pd.Timestamp("2025-07-10")
_STARTS = {"choosing": "2024-07-04", "before": "2025-01-01", "after": "2025-08-01"}
_DAYS = 181
_NOBODY_JUDGED = pd.DataFrame(
    columns=["inspector_id", "topic", "inspected_on", "judged_write_up", "overcalled", "defect", "missed"]
).astype({"judged_write_up": bool, "defect": bool, "inspected_on": "datetime64[us]"})


@dataclass(frozen=True)
class Plan:
    """What a simulated firm is like.

    Attributes
    ----------
    trained
        How many take part.
    share, afterwards
        The chance of a write-up, and what the session makes of it in those who took part.
    decks
        Each inspector's decks in a window.
    plain_decks
        Further decks, of which one in twenty is written up whatever happens; the case-mix model knows them apart.
    chosen
        ``lot``; ``choosing`` (the highest in a window that lies before the one before the session); or ``before`` (the
        highest in the window before the session itself, with nothing earlier).
    spread, drift
        Standard deviations, log-odds: of levels, and of a colleague's moves between windows.
    """

    trained: int
    share: float = 0.2
    afterwards: float = 0.2
    decks: int = 60
    plain_decks: int = 0
    chosen: str = "lot"
    spread: float = 0.4
    drift: float = 0.15


PLANS = {
    "nothing changes, 2 of 12 by lot": Plan(2),
    "nothing changes, 3 of 12 by lot": Plan(3),
    "nothing changes, 6 of 12 by lot": Plan(6),
    "nothing changes, worst 3 of a window before": Plan(3, chosen="choosing"),
    "nothing changes, worst 3 of the baseline itself": Plan(3, chosen="before"),
    "the same, 25 decks": Plan(3, decks=25, chosen="before"),
    "the same, colleagues hardly differ": Plan(3, chosen="before", spread=0.1),
    "the same, colleagues differ much": Plan(3, chosen="before", spread=0.8),
    "40 to 12 percent in 6 of 12, 50 decks": Plan(6, 0.40, 0.12, 50),
    "the same among 100 plain decks": Plan(6, 0.40, 0.12, 50, plain_decks=100),
    "12 to 6 percent in 6 of 12, 75 decks": Plan(6, 0.12, 0.06, 75),
    "12 to 6 percent in 3 of 12, 75 decks": Plan(3, 0.12, 0.06, 75),
}


def firm(plan: Plan, random: np.random.Generator) -> tuple[pd.DataFrame, pd.DataFrame]:
    """Scored trials and attendances of one firm."""
    windows = ("before", "after") if plan.chosen == "before" else ("choosing", "before", "after")
    level = plan.spread * random.standard_normal(INSPECTORS)
    parts = {}
    for window in windows:
        moved = level + plan.drift * random.standard_normal(INSPECTORS)
        parts[window] = _window(plan, window, moved, random)
    if plan.chosen == "lot":
        trained = random.permutation(INSPECTORS)[: plan.trained]
    else:
        seen = parts[plan.chosen].groupby("who")["written_up"].mean()
        trained = seen.nlargest(plan.trained).index.to_numpy()
    after = parts["after"]
    taught = np.isin(after["who"], trained) & ~after["plain"].to_numpy()
    fewer = logit(plan.afterwards) - logit(plan.share)
    after["written_up"] = after["draw"] < expit(after["log_odds"] + np.where(taught, fewer, 0.0))
    trials = pd.concat(parts.values(), ignore_index=True)
    # What the firm's inspectors write up of such decks, as the model would find it.
    trials["expected"] = trials.groupby("plain")["written_up"].transform("mean")
    attendances = pd.DataFrame(
        {"session_id": "T1", "held_on": SESSION, "topic": TOPIC, "inspector_id": [f"I{at:02}" for at in trained]}
    )
    return trials, attendances


def _window(plan: Plan, window: str, level: Array, random: np.random.Generator) -> pd.DataFrame:
    each = plan.decks + plan.plain_decks
    who = np.repeat(np.arange(INSPECTORS), each)
    plain = np.tile(np.arange(each) >= plan.decks, INSPECTORS)
    log_odds = np.where(plain, logit(0.05), logit(plan.share) + level[who])
    day = random.integers(0, _DAYS, who.size)
    day[:2] = 0, _DAYS - 1
    draw = random.random(who.size)
    return pd.DataFrame(
        {
            "topic": TOPIC,
            "who": who,
            "inspector_id": [f"I{at:02}" for at in who],
            "inspected_on": (np.datetime64(_STARTS[window]) + day).astype("datetime64[us]"),
            "plain": plain,
            "log_odds": log_odds,
            "draw": draw,
            "written_up": draw < expit(log_odds),
        }
    )


def told(plan: Plan, random: np.random.Generator) -> pd.Series:
    """What the product says of one firm."""
    trials, attendances = firm(plan, random)
    return training_effect.of_scored(trials, _NOBODY_JUDGED, attendances).effect.iloc[0]


@dataclass(frozen=True)
class Result:
    """Shares over firms; NaN of intervals where there are figures only.

    Attributes
    ----------
    firms, told
        How many firms, and how many of them have more than figures.
    changes
        Whether the session changed anything.
    refused
        p at most 0.05 of the plain comparison, whatever the product makes of it.
    fewer, more, cannot_tell
        What the product says.
    held
        The interval holds the truth (of a session without effect: 0).
    held_by_cr2
        The one by regression does, of the plain comparison.
    needed
        The middle one of the numbers of further decks, where any is told.
    """

    firms: int
    told: int
    changes: bool
    refused: float
    fewer: float
    more: float
    cannot_tell: float
    held: float
    held_by_cr2: float
    needed: float


def simulate(plan: Plan, firms: int, seed: int = 1) -> Result:
    """The results of one plan."""
    random = np.random.default_rng(seed)
    rows = pd.DataFrame([told(plan, random) for _ in range(firms)])
    told_of = rows["status"] != "figures_only"
    clean = rows["baseline"] == "clean"
    low = rows["change_low"].where(clean, rows["change_less_regression_low"]).fillna(-np.inf)
    high = rows["change_high"].where(clean, rows["change_less_regression_high"]).fillna(np.inf)
    truth = 100 * (plan.afterwards - plan.share) * plan.decks / (plan.decks + plan.plain_decks)
    return Result(
        firms=firms,
        told=int(told_of.sum()),
        changes=truth != 0,
        refused=float((rows["p_permutation"] <= 0.05).mean()),
        fewer=float((told_of & (rows["signal"] == "lower")).mean()),
        more=float((told_of & (rows["signal"] == "higher")).mean()),
        cannot_tell=float((rows["status"] == "cannot_tell_yet").mean()),
        held=float(((low <= truth) & (truth <= high))[told_of].mean()),
        held_by_cr2=float(((rows["change_cr2_low"] <= truth) & (truth <= rows["change_cr2_high"]))[told_of].mean()),
        needed=float(rows.loc[rows["status"] == "cannot_tell_yet", "needed"].dropna().median()),
    )


def refused_by_lot(trained: int, firms: int, seed: int = 1) -> int:
    """How often the test alone refuses where nothing changes: also for groups so small that the product tells figures."""
    random = np.random.default_rng(seed)
    refused = 0
    for _ in range(firms):
        trials, attendances = firm(Plan(trained), random)
        share = trials.assign(after=trials["inspected_on"] > SESSION)
        share = share[share["inspected_on"] >= _STARTS["before"]]
        levels = share.groupby(["inspector_id", "after"])["written_up"].mean().unstack()
        took_part = levels.index.isin(attendances["inspector_id"])
        refused += permutation.difference(levels[True] - levels[False], took_part).p <= 0.05
    return int(refused)


def ranks_held(topics: int, judged: int, firms: int, seed: int = 1) -> tuple[int, int]:
    """How many 95 percent intervals of a topic's place hold the true one, of how many.

    The topics' true shares of passed-over defects are drawn (beta 2, 20), and so are the calls found wrong.
    """
    random = np.random.default_rng(seed)
    held = 0
    for _ in range(firms):
        true = random.beta(2, 20, topics)
        calls = np.zeros((topics, len(training_topics.KINDS)))
        missed = training_topics.KINDS.index("missed")
        calls[:, missed] = judged
        wrong = np.zeros_like(calls)
        wrong[:, missed] = random.binomial(judged, true)
        low, high = training_topics.rank_interval(
            training_topics._ranks(training_topics._draws(calls, calls, wrong).sum(axis=-1))
        )
        place = training_topics._rank(true)
        held += int(((low <= place) & (place <= high)).sum())
    return held, topics * firms


def main() -> None:
    arguments = argparse.ArgumentParser(description=__doc__.partition("\n")[0])
    arguments.add_argument("firms", nargs="?", type=int, help="of each plan")
    arguments.add_argument("--page", action="store_true", help="write docs/training-accuracy.md")
    asked = arguments.parse_args()
    null = asked.firms or NULL_FIRMS
    by_lot = {trained: (refused_by_lot(trained, null), null) for trained in (2, 3, 6)}
    print("the test alone, by lot:", by_lot)
    found = {}
    for name, plan in PLANS.items():
        firms = asked.firms or (NULL_FIRMS if plan.share == plan.afterwards else FIRMS)
        found[name] = simulate(plan, firms)
        print(f"{name:<48} {found[name]}", flush=True)
    ranks = {size: ranks_held(*size, asked.firms or RANK_FIRMS) for size in RANKED}
    print("places held:", ranks)
    if asked.page:
        PAGE.write_text(page(found, by_lot, ranks), encoding="utf-8")


if __name__ == "__main__":
    main()
