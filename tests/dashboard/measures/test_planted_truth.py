"""What is planted in firms is found, and luck and decks are not: small versions of docs/accuracy.md.

Firms are drawn with fixed seeds from tests/bench/simulated_firm.py, with ten topics in place of 61. The limits leave
room for another machine's last digit; how often a figure is really reached stands in docs/accuracy.md.
"""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Callable

import pandas as pd
import pytest

from dashboard.measures.inspectors import inspectors
from dashboard.warehouse import Snapshot
from etl.load import load
from tests.bench import planted_scenarios as scenarios
from tests.bench.accuracy_page import page
from tests.bench.planted_scenarios import Counts
from tests.bench.simulate_inspectors import COUNTED, PAGE, SEED
from tests.bench.simulate_inspectors import scenarios as asked
from tests.bench.simulated_firm import Plan, SimulatedFirm, draw, misser, overcaller

TOPICS = (
    *("hanger_size", "joist_gap", "hanger_missing", "hanger_fastener_kind", "hanger_corrosion"),
    *("guard_height", "wood_decay", "footing_depth", "stair_riser", "handrail"),
)


def counted(ask: Callable[..., Counts], firms: int, plan: Plan) -> Counter[str]:
    total: Counter[str] = Counter()
    for seed in range(firms):
        total.update(ask(plan, (7, seed)))
    return total


def test_where_nobody_differs_hardly_anybody_is_flagged_and_intervals_hold_the_truth():
    found = counted(scenarios.nothing_planted, 8, Plan(topics=TOPICS))
    assert found["signal_compared"] > 850
    assert found["signal_flagged"] <= 1
    assert found["overcalled_flagged"] + found["missed_flagged"] <= 2
    assert 0.03 < found["p_0.05"] / found["signal_compared"] < 0.075
    pairs, outside = found["ratio_typical_pairs"], found["ratio_typical_outside"]
    assert 0.025 < outside / pairs < 0.075
    assert found["shrunken_ratio_typical_outside"] / pairs < 0.02


def test_an_inspector_who_writes_up_what_tempts_is_found_and_nobody_beside():
    found = counted(scenarios.habit, 4, Plan(topics=TOPICS, habits=(overcaller(0.7), misser(0.12))))
    assert found["by_write_ups"] == 4
    assert found["by_wrong_calls"] == 4
    assert found["others_flagged"] == 0


def test_an_inspector_who_passes_over_defects_is_found_among_judged_defects():
    found = counted(scenarios.wrong_calls_only, 8, Plan(topics=TOPICS, habits=(misser(0.7), overcaller(0.1))))
    assert found["by_wrong_calls"] >= 7


@pytest.mark.parametrize("decks", ["old", "one_builder"])
def test_odd_decks_alone_flag_nobody_and_hide_nobody(decks):
    found = counted(scenarios.nothing_planted, 4, Plan(topics=TOPICS, decks=decks))
    assert found["signal_odd_compared"] >= 25
    assert found["signal_odd_flagged"] == 0
    assert found["p_odd_0.01"] <= 2
    biased = counted(scenarios.habit, 3, Plan(topics=TOPICS, decks=decks, habits=(overcaller(0.7), misser(0.12))))
    assert biased["by_write_ups"] >= 2


def test_whoever_is_alone_in_a_region_is_never_compared():
    found = counted(scenarios.alone, 2, Plan(topics=TOPICS, decks="alone"))
    assert found["every_pair_kept_apart"] == 2
    assert found["pairs"] >= 15


def test_shares_of_misses_and_false_calls_allow_for_what_was_measured():
    found = counted(scenarios.shares, 4, Plan(topics=TOPICS, kept=(0.9, 0.2)))
    for share, plain in (("missed", -1), ("false_calls", 1)):
        assert abs(found[f"{share}_topics_error"] / 4) < 0.03
        assert abs(found[f"{share}_pairs_error"] / 4) < 0.04
        assert plain * found[f"{share}_topics_plain_error"] / 4 > 0.05


def test_shrunken_intervals_hold_the_truth_where_colleagues_differ():
    found = counted(scenarios.intervals, 6, Plan(topics=TOPICS, spread=0.3))
    assert found["ratio_typical_pairs"] > 600
    assert 0.025 < found["ratio_typical_outside"] / found["ratio_typical_pairs"] < 0.085
    assert found["shrunken_ratio_typical_outside"] / found["shrunken_ratio_typical_pairs"] < 0.1


# ---- repeats ---------------------------------------------------------------------------------------------------------

_GAPS = {"wide": 0.5, "between": 0.25, "eighth": 0.125, "sound": 0.0}


def rows(firm: SimulatedFirm, places: int) -> pd.DataFrame:
    """The reports' rows on gaps, each at so many places of the deck."""
    trials = firm.trials[firm.trials["topic"] == "joist_gap"]
    visits = firm.visits.iloc[trials["visit"].to_numpy()].reset_index(drop=True)
    plain = pd.DataFrame(
        {
            "report_id": visits["report_id"] + visits["deck_id"],
            "inspected_on": visits["inspected_on"].dt.strftime("%Y-%m-%d"),
            "inspector_id": visits["inspector_id"],
            "region": visits["region"],
            "builder": visits["builder"].replace("unknown", ""),
            "deck_id": visits["deck_id"],
            "topic": "joist_gap",
            "call": trials["call"].to_numpy(),
        }
    )
    known = trials["seen"] & (trials["verdict"] != "cannot_tell")
    plain["joist_gap_in"] = trials["kind"].map(_GAPS).where(known).to_numpy()
    repeated = [plain.assign(place=f"bay {at}", observation_no=str(at)) for at in range(places)]
    return pd.concat(repeated, ignore_index=True)


def test_the_same_observation_at_more_places_changes_no_figure(tmp_path, monkeypatch):
    monkeypatch.setenv("EVENHAND_TODAY", "2026-12-01")
    firm = draw(Plan(n_inspectors=6, n_reports=300, topics=("joist_gap",)), 3)
    tables = []
    for places in (1, 3):
        folder = tmp_path / str(places)
        folder.mkdir()
        rows(firm, places).to_csv(folder / "reports.csv", index=False)
        load([str(folder / "reports.csv")], folder / "warehouse")
        with_places = Snapshot.open(folder / "warehouse")
        tables.append(inspectors(with_places))
        with_places.close()
    assert tables[0]["written_up"].sum() > 50
    pd.testing.assert_frame_equal(*tables)


# ---- the page --------------------------------------------------------------------------------------------------------


def test_the_page_is_what_the_command_writes_from_what_it_counted():
    kept = json.loads(COUNTED.read_text(encoding="utf-8"))
    assert kept.keys() == asked().keys()
    assert {name: counts["firms"] for name, counts in kept.items()} == {name: of.firms for name, of in asked().items()}
    assert PAGE.read_text(encoding="utf-8") == page(kept, SEED)
