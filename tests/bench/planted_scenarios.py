"""What is planted in simulated firms, and what the product says of one: a function a question, one firm a call.

Each takes a plan and a seed and returns plain counts, so that firms can be drawn in parallel and added up.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray
from scipy.stats import hypergeom

from dashboard.measures import wrong_calls
from dashboard.measures.call_classes import CLAIMING, FINDING, ClassCounts, count_classes
from dashboard.measures.case_mix import CaseMix, sort_into_cells
from dashboard.measures.peers import Firm, compare
from dashboard.measures.signals import Family
from dashboard.measures.write_ups import ALL, WriteUps, write_ups
from dashboard.measures.wrong_calls import WrongCalls
from dashboard.stats import discovery
from tests.bench.simulated_firm import ODD, Plan, SimulatedFirm, draw

Array = NDArray[np.float64]
Counts = dict[str, float]
Seed = int | tuple[int, ...]

FLAGGED = ("higher", "lower")
#: The families of comparisons, each with its own false discovery control: signals of write-ups and of wrong calls, topic
#: by topic and over all topics.
FAMILIES = ("signal", "signal_all", "overcalled", "overcalled_all", "missed", "missed_all")
SMALL_P = (0.05, 0.01, 0.001)


@dataclass(frozen=True)
class Compared:
    """A simulated firm with what the product says of it; each part is worked out when asked for."""

    firm: SimulatedFirm

    @cached_property
    def case(self) -> CaseMix:
        return sort_into_cells(self.firm.visits, self.firm.trials)

    @cached_property
    def found(self) -> Firm:
        return compare(self.case)

    @cached_property
    def write_ups(self) -> dict[str, WriteUps]:
        return write_ups(self.found)

    @cached_property
    def wrong(self) -> dict[str, Family]:
        return wrong_calls.signals_by_side(self.firm.judged_kinds(), self.case.inspectors)

    def signals(self, family: str) -> NDArray[np.object_]:
        """Of one family: comparisons x inspectors, by name."""
        side, _, over_all = family.partition("_")
        if side == "signal":
            topics = [ALL] if over_all else list(self.found.family.topics)
            return np.stack([self.write_ups[topic].columns["signal"] for topic in topics])
        wrong = self.wrong[side]
        if over_all:
            dispersion = float(self.write_ups[ALL].columns["dispersion"][0])
            return wrong_calls.over_topics(wrong, dispersion).signal[None]
        return np.stack([wrong_calls.in_topic(wrong, topic).signal for topic in wrong.topics])


def nothing_planted(plan: Plan, seed: Seed) -> Counts:
    """Signals of a firm in which nobody differs, by family and of the inspector with odd decks; and :func:`intervals`."""
    firm = Compared(draw(plan, seed))
    counts: Counts = {"firms": 1}
    for family in FAMILIES:
        signals = firm.signals(family)
        compared, flagged = np.isin(signals, [*FLAGGED, "none"]), np.isin(signals, FLAGGED)
        counts |= {
            f"{family}_compared": int(compared.sum()),
            f"{family}_flagged": int(flagged.sum()),
            f"{family}_any": int(flagged.any()),
            f"{family}_odd_compared": int(compared[:, ODD].sum()),
            f"{family}_odd_flagged": int(flagged[:, ODD].sum()),
        }
    counts["write_ups_any"] = max(counts["signal_any"], counts["signal_all_any"])
    counts["any"] = max(counts[f"{family}_any"] for family in FAMILIES)
    p = np.where(firm.found.family.compared, np.stack([of.p for of in firm.found.family.topics.values()]), np.nan)
    for limit in SMALL_P:
        counts |= {f"p_{limit}": int((p < limit).sum()), f"p_odd_{limit}": int((p[:, ODD] < limit).sum())}
    return counts | _intervals(firm)


def habit(plan: Plan, seed: Seed) -> Counts:
    """Whether the odd inspector's first habit shows in its topic, by write-ups and by wrong calls; and other signals."""
    planted = plan.habits[0]
    firm = Compared(draw(plan, seed))
    family = firm.found.family
    row = list(family.topics).index(planted.topic)
    way = 1 if planted.call == "written_up" else -1
    found = family.flagged[row, ODD] and way * family.topics[planted.topic].score[ODD] > 0
    return {
        "by_write_ups": int(found),
        "others_flagged": int(family.flagged.sum() - family.flagged[row, ODD]),
        "others_compared": int(family.compared.sum() - family.compared[row, ODD]),
        **_by_wrong_calls(firm, plan),
    }


def wrong_calls_only(plan: Plan, seed: Seed) -> Counts:
    """As :func:`habit`, without the models of write-ups, which take most of the time."""
    return _by_wrong_calls(Compared(draw(plan, seed)), plan)


def _by_wrong_calls(firm: Compared, plan: Plan) -> Counts:
    planted = plan.habits[0]
    family = firm.wrong["overcalled" if planted.call == "written_up" else "missed"]
    found = wrong_calls.in_topic(family, planted.topic)
    return {
        "firms": 1,
        "by_wrong_calls": int(found.signal[ODD] == "higher"),
        "by_exact_test": int(_exact_mid_p(found) <= _bar(family, planted.topic)),
        "too_few": int(found.signal[ODD] == "too_few"),
        "judged": int(found.judged[ODD]),
        "reports": firm.firm.visits.loc[firm.firm.visits["inspector_id"] == firm.firm.odd, "report_id"].nunique(),
    }


def _exact_mid_p(found: WrongCalls) -> float:
    """Fisher's exact test, with mid-p: the own wrong calls, given how many there are of all and among the judged."""
    given = hypergeom(int(found.judged.sum()), int(found.wrong.sum()), int(found.judged[ODD]))
    wrong = int(found.wrong[ODD])
    return float(2 * (given.sf(wrong) + given.pmf(wrong) / 2))


def _bar(family: Family, topic: str) -> float:
    """The p at which the odd inspector would be flagged beside the flags of all others."""
    others = family.q.copy()
    others[list(family.topics).index(topic), ODD] = np.nan
    n = np.count_nonzero(~np.isnan(others)) + 1
    return discovery.RATE * (np.count_nonzero(others <= discovery.RATE) + 1) / n


def alone(plan: Plan, seed: Seed) -> Counts:
    """What is said of the inspector who is alone in a region, where there are trials enough to say anything."""
    firm = Compared(draw(plan, seed))
    told = np.concatenate([firm.signals(family)[:, ODD] for family in ("signal", "signal_all")])
    return {
        "firms": 1,
        "every_pair_kept_apart": int(np.isin(told, ["cannot_separate", "too_few"]).all()),
        "pairs": int((told != "too_few").sum()),
        "kept_apart": int((told == "cannot_separate").sum()),
    }


# ---- shares and intervals against the truth --------------------------------------------------------------------------

#: What is a wrong call, of which cases, and the calls by which a case is called a defect.
SHARES = {"missed": ("defect", FINDING), "false_calls": ("acceptable", CLAIMING)}


def shares(plan: Plan, seed: Seed) -> Counts:
    """Missed and false-call shares less the truth of the same trials; a firm counts as one.

    ``pairs``: shares of an inspector in a topic. ``topics``: of all inspectors together. Within a firm each counts with
    its number of true cases; only those that the product tells enter. ``plain`` is the share of judged cases that is
    wrong, without weights.
    """
    firm = draw(plan, seed)
    people, topics = np.unique(firm.who.astype(str)), np.unique(firm.trials["topic"].to_numpy(str))
    counts: Counts = {"firms": 1}
    for name, (standing, calls) in SHARES.items():
        of_pairs = count_classes(firm.call_classes(), people.tolist(), topics.tolist(), calls)
        cases = _cases(firm, standing, calls, people, topics)
        for level in ("pairs", "topics"):
            of_level = of_pairs if level == "pairs" else _all_inspectors(of_pairs)
            cases_of_level = cases if level == "pairs" else cases.sum(axis=2, keepdims=True)
            true, judged = cases_of_level[0], cases_of_level[1]
            told = of_level.shares()
            estimate = 1 - told.finds.estimate if name == "missed" else told.false_calls.estimate
            known = ~np.isnan(estimate) & (true[0] > 0) & (judged[0] > 0)
            weight = true[0][known] / true[0][known].sum()
            truth = true[1][known] / true[0][known]
            error = float(weight @ (estimate[known] - truth))
            counts |= {
                f"{name}_{level}_told": int(known.sum()),
                f"{name}_{level}_of": int((true[0] > 0).sum()),
                f"{name}_{level}_truth": float(weight @ truth),
                f"{name}_{level}_error": error,
                f"{name}_{level}_error_squared": error**2,
                f"{name}_{level}_plain_error": float(weight @ (judged[1][known] / judged[0][known] - truth)),
            }
    return counts


def _all_inspectors(of: ClassCounts) -> ClassCounts:
    parts = (of.totals, of.judged, of.defects, of.looked, of.looked_defects)
    return ClassCounts(*(part.sum(axis=0, keepdims=True) for part in parts))


def _cases(
    firm: SimulatedFirm, standing: str, calls: Sequence[str], people: NDArray[np.str_], topics: NDArray[np.str_]
) -> Array:
    """(all, judged) x (cases, wrong calls of them) x inspectors x topics."""
    true = (firm.trials["seen"] & (firm.trials["standing"] == standing)).to_numpy()
    rows = firm.trials[true]
    called = rows["call"].isin(calls).to_numpy()
    wrong = ~called if standing == "defect" else called
    place = np.searchsorted(people, firm.who[true].astype(str)), np.searchsorted(topics, rows["topic"].to_numpy(str))
    counts = np.zeros((2, 2, people.size, topics.size))
    for at, counted in enumerate((np.ones(len(rows), bool), (rows["verdict"] == standing).to_numpy())):
        np.add.at(counts[at, 0], place, counted)
        np.add.at(counts[at, 1], place, counted & wrong)
    return counts


EXPECTED = (2.0, 5.0, 20.0)  # bands of how many write-ups peers would have made


def intervals(plan: Plan, seed: Seed) -> Counts:
    """Whether 95 percent intervals of the ratio and of the shrunken ratio hold the true ratio.

    Pairs that the product does not compare are left out.
    """
    return {"firms": 1, **_intervals(Compared(draw(plan, seed)))}


def _intervals(firm: Compared) -> Counts:
    counts: dict[str, float] = defaultdict(int)
    people = np.arange(len(firm.case.inspectors))
    for at, topic in enumerate(firm.found.family.topics):
        truth = firm.firm.true_ratios(topic, firm.found.family.flagged[at])
        columns = firm.write_ups[topic].columns
        known = firm.found.family.compared[at] & ~np.isnan(truth)
        band = np.digitize(columns["expected"], EXPECTED)
        groups = {"typical": people != ODD, "odd": people == ODD}
        groups |= {f"band{at}": band == at for at in range(1, len(EXPECTED) + 1)}
        for name in ("ratio", "shrunken_ratio"):
            below, above = truth < columns[f"{name}_low"], truth > columns[f"{name}_high"]
            for key, which in groups.items():
                counts[f"{name}_{key}_pairs"] += int((known & which).sum())
                counts[f"{name}_{key}_outside"] += int((known & which & (below | above)).sum())
    return dict(counts)
