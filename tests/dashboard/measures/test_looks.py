"""Second looks: drawn with the probability that is told, the same until the next load, and worth what was promised."""

from datetime import date

import numpy as np
import pandas as pd
import pytest
from numpy.testing import assert_allclose

from dashboard.measures.looks import draw, looks_gain, looks_to_make
from dashboard.stats.verification import ranges_without_assumption

TOPIC = "joist_gap"


def some_unjudged(firm, topic=TOPIC, inspector="I1"):
    """Of 50 write-ups 40 are judged, 30 defects; of 350 passes 150, 15; a tenth of the other passes have a defect."""
    for call, counts in {"written_up": (30, 10, 10), "passed": (15, 135, 200)}.items():
        for verdict, count in zip(("defect", "acceptable", "cannot_tell"), counts, strict=True):
            firm.many(count, topic, call, verdict, inspector_id=inspector)
    return firm


def test_each_call_is_drawn_as_often_as_is_told_and_the_weighted_sum_is_unbiased():
    names = [f"R{at}:1" for at in range(60)]
    calls = pd.DataFrame({"observation_id": names, "call": ["written_up"] * 8 + ["passed"] * 52})
    defect = pd.Series(np.arange(60) % 5 == 0, index=names)  # 12 of 60
    drawn = [draw(calls, 10, f"{seed:04}") for seed in range(250)]
    often, sums = pd.Series(0.0, index=names), []
    for one in drawn:
        assert len(one) == 10
        assert dict(zip(one["call"], one["probability"], strict=True)) == {"written_up": 1 / 8, "passed": 9 / 52}
        often[one["observation_id"]] += 1 / len(drawn)
        sums.append((defect[one["observation_id"]].to_numpy() / one["probability"]).sum())
    # 250 draws with probability 1/8 or 9/52 each: standard deviations of 0.021 and 0.024.
    assert (often - np.repeat([1 / 8, 9 / 52], [8, 52])).abs().max() < 0.09
    assert abs(np.mean(sums) - defect.sum()) < 4 * np.std(sums) / np.sqrt(len(sums))


@pytest.mark.parametrize(
    ("left", "looks", "sizes"),
    [((1, 99), 10, (1, 9)), ((50, 50), 10, (5, 5)), ((0, 4), 10, (0, 4)), ((3, 1), 2, (1, 1))],
)
def test_looks_are_shared_out_in_proportion_with_one_for_each_class(left, looks, sizes):
    calls = pd.DataFrame(
        {
            "observation_id": [str(at) for at in range(sum(left))],
            "call": ["written_up"] * left[0] + ["advised"] * left[1],
        }
    )
    found = draw(calls, looks, "0001")["call"]
    assert ((found == "written_up").sum(), (found == "advised").sum()) == sizes


def test_the_list_is_half_random_half_targeted_and_the_same_until_the_next_load(firm, published):
    some_unjudged(firm)
    firm.many(3, TOPIC, "written_up", "cannot_tell", second_look=True, inspected_on=date(2026, 5, 2))
    snapshot = published(firm)
    found = looks_to_make(snapshot, looks=20)
    due = {row["observation_id"] for row in firm.rows if row["second_look"]} - set(found["observation_id"][:10])
    # One inspector and one topic: one place where bounds are widest.
    assert list(found["how"]) == ["random"] * 10 + ["targeted"] * (len(due) + 1)
    assert found["observation_id"].is_unique
    pd.testing.assert_frame_equal(found, looks_to_make(snapshot, looks=20))
    verdicts = {row["observation_id"]: row["verdict"] for row in firm.rows}
    assert {verdicts[observation] for observation in found["observation_id"]} == {"cannot_tell"}
    random = found[found["how"] == "random"]
    # 13 write-ups and 200 passes are not judged.
    assert set(zip(random["call"], random["probability"], strict=True)) == {("written_up", 1 / 13), ("passed", 9 / 200)}
    assert list(found["why"][10:]) == ["comment_names_another_fault"] * len(due) + ["bounds_far_apart"]
    assert set(found["observation_id"][10:-1]) == due


def test_another_snapshot_draws_anew_and_a_call_that_was_looked_at_is_not_drawn_again(firm, published):
    some_unjudged(firm)
    first = looks_to_make(published(firm))
    at = {row["observation_id"]: number for number, row in enumerate(firm.rows)}
    random = first[first["how"] == "random"]["observation_id"]
    for observation in random:
        firm.look("cannot_tell", "random", at=at[observation])
    again = looks_to_make(published(firm))
    assert not set(random) & set(again["observation_id"])
    assert (again["how"] == "random").sum() == 10


def test_what_looks_would_narrow_is_what_such_looks_do_narrow(firm, published):
    some_unjudged(firm)
    before = looks_gain(published(firm), looks=20)
    assert len(before) == 1
    row = before.iloc[0]
    (low, high), _ = ranges_without_assumption([50, 350], [40, 150], [30, 15])
    assert_allclose([row.missed_low, row.missed_high], [1 - high, 1 - low])
    assert (row.unjudged, row.unjudged_written_up, row.looks, row.looks_written_up) == (210, 10, 20, 1)
    # The 20 looks are made: a pass in ten has a defect, as among the judged ones; so has the write-up.
    unjudged = [at for at, of in enumerate(firm.rows) if of["verdict"] == "cannot_tell"]
    write_ups, passes = unjudged[:10], unjudged[10:]
    firm.look("defect", "random", at=write_ups[0])
    for number in range(19):
        firm.look("defect" if number < 2 else "acceptable", "random", at=passes[number])
    after = looks_gain(published(firm), looks=20).iloc[0]
    assert_allclose(after.missed_half_width, row.missed_half_width_then, atol=0.02)
    assert after.missed_half_width < 0.6 * row.missed_half_width


def test_topics_come_in_the_order_of_what_looks_teach(firm, published):
    some_unjudged(firm, "joist_gap")
    some_unjudged(some_unjudged(firm, "guard_height"), "guard_height")  # twice as many trials
    firm.many(30, "hanger_size", "passed", "acceptable")  # nothing is open
    firm.many(30, "other", "passed", "cannot_tell")  # no rule
    assert list(looks_gain(published(firm))["topic"]) == ["guard_height", "joist_gap"]


def test_nothing_open_needs_no_look(firm, published):
    assert looks_to_make(published(firm)).empty
    firm.many(30, TOPIC, "passed", "acceptable")
    assert looks_to_make(published(firm)).empty
    assert looks_gain(published(firm)).empty
