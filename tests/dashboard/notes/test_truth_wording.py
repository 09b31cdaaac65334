"""What is said of how often calls are right, of second looks to make, and of the parts of a difference."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest

from dashboard.measures.differences import JUDGED_TERMS, TERMS
from dashboard.measures.look_sheet import sheet_of
from dashboard.measures.truth_lacking import with_lacking
from dashboard.notes import differences_wording, looks_wording, truth_wording

NAN = float("nan")


def plain(text: str) -> str:
    return text.replace("\u00a0", " ")


def inspector(**facts: object) -> dict[str, object]:
    """A row of ``accuracy`` of somebody of whom both shares are told."""
    row: dict[str, object] = {"inspector_id": "A", "topic": "joist_gap", "trials": 40, "known": 20}
    row |= {"defects": 8, "sound": 12, "status": "direct", "basis": "rules"}
    for name, value in (("finds", 0.75), ("false_calls", 0.1)):
        row |= {name: value, f"{name}_low": value / 2, f"{name}_high": 1 - (1 - value) / 2}
        row |= {f"{name}_least": value / 3, f"{name}_most": 1.0}
    return row | facts


FEW = {"finds": NAN, "finds_low": NAN, "finds_high": NAN}


def test_looks_lacking_are_those_until_five_of_the_kind_are_known_and_enough_is_judged() -> None:
    rows = pd.DataFrame(
        [
            inspector(),
            inspector(inspector_id="B", defects=3, **FEW),  # 2 more defects, one known deck in five has it: 10 looks
            inspector(inspector_id="C", trials=100, known=16, **FEW),  # (16 + 20) of (100 + 20) are 30 percent
            inspector(inspector_id="D", **FEW),  # neither is short: one kind of call has no judged one
        ]
    )
    lacking = with_lacking(rows, 0.2)["finds_lacking"].to_list()
    assert np.isnan(lacking[0])
    assert lacking[1:] == [10, 20, 1]
    assert np.isnan(with_lacking(rows, 0.0)["finds_lacking"][1])
    assert with_lacking(rows, 0.2)["false_calls_lacking"].isna().all()


def test_what_cannot_be_told_is_said_in_plain_words_with_the_looks_it_takes() -> None:
    few = inspector(inspector_id="B", defects=3, **FEW)
    told = truth_wording.what_cannot_be_told(with_lacking(pd.DataFrame([inspector(), few]), 0.2))
    assert told is not None
    assert plain(told.plain) == (
        "How many defects are found cannot be told of 1 inspector: under 5 defects known, or under 30 % of the calls "
        "judged. It takes about 10 more looks of known truth."
    )
    assert truth_wording.what_cannot_be_told(with_lacking(pd.DataFrame([inspector()]), 0.2)) is None
    nobody = truth_wording.what_cannot_be_told(with_lacking(pd.DataFrame([few]), 0.0))
    assert nobody is not None
    assert "cannot be told of any inspector" in plain(nobody.plain)
    assert nobody.plain.endswith("Not one defect is known yet, so that nobody can say how many more looks it takes.")
    columns = truth_wording.numbers(with_lacking(pd.DataFrame([inspector(), few]), 0.2))
    assert [plain(text) for text in columns["Defects found"]] == [
        "75 % (38 to 88) of 8",
        "too few: 3 known, about 10 more looks",
    ]
    assert plain(columns["Defects found, bounds"][0]) == "25 to 100 %"


def test_known_and_unknown_decks_are_compared_with_counts() -> None:
    row = {"known_trials": 1000, "unknown_trials": 400, "known_written_up_share": 0.2, "unknown_written_up_share": 0.1}
    row |= {f"{side}_written_up_share{end}": 0.15 for side in ("known", "unknown") for end in ("_low", "_high")}
    apart = pd.Series(row | {"difference": 0.1, "difference_low": 0.05, "difference_high": 0.15})
    told = truth_wording.known_and_unknown(apart)
    assert told is not None
    assert plain(told.plain) == (
        "Decks of known truth are written up in 20 % (15 to 15) of 1,000 looks, all others in 10 % (15 to 15) of 400: "
        "more than luck would give; that is no fault, since what is written up is measured more often, and each kind "
        "of call is weighed for it."
    )
    alike = truth_wording.known_and_unknown(pd.Series({**apart, "difference_low": -0.01}))
    assert alike is not None
    assert alike.plain.endswith("no more of a difference than luck would give.")
    assert truth_wording.known_and_unknown(pd.Series({**apart, "difference": NAN})) is None


@pytest.mark.parametrize(
    ("parts", "shown"),
    [
        ((0.44, 1.04, 20.04, -1.04, 0.04), ["0.4 more", "1.0 more", "20.0 more", "1.0 fewer", "0.0", "1.6 more"]),
        ((0.0, 0.0, NAN, -1.0, NAN), ["0.0", "0.0", "cannot be told", "1.0 fewer", "cannot be told", "23.0 more"]),
    ],
)
def test_the_parts_as_shown_add_up_to_the_whole_as_shown(parts: tuple[float, ...], shown: list[str]) -> None:
    found = pd.Series(dict(zip(TERMS, [*np.nan_to_num(parts), 0.0], strict=True)))
    found = pd.concat([found, pd.Series({"written_up": 30, "of_as_many": 8.02, "difference": 21.98, "topics": 1})])
    untold = dict(zip(JUDGED_TERMS, np.isnan(parts[2:]).astype(int), strict=True))
    found = pd.concat([found, pd.Series({f"{term}_untold": count for term, count in untold.items()})])
    rows = differences_wording.parts(found)
    assert [plain(value) for _, _, value in rows] == [*shown, "22.0 more"]
    signed = [value.replace("more", "").replace("fewer", "-").split() for _, _, value in rows if "told" not in value]
    numbers = [float(each[0]) * (-1 if "-" in each else 1) for each in signed]
    assert sum(numbers[:-1]) == pytest.approx(numbers[-1])
    largest = (
        "write-ups that do not hold, 20.0" if untold["by_false_calls"] == 0 else "what no judged call explains, 23.0"
    )
    assert plain(differences_wording.whole(found, "E").markdown) == (
        "E made 30 write-ups, peers about 8.0 in as many looks, whatever the decks: **22.0 more**. The largest part of "
        f"it: {largest} more."
    )


def looks(*kinds: tuple[str, str, float]) -> pd.DataFrame:
    rows = [
        {"observation_id": f"R:{at}:0{at}", "report_id": f"R:{at}", "topic": "joist_gap", "call": "passed"}
        | {"how": how, "why": why, "probability": chance}
        for at, (how, why, chance) in enumerate(kinds, 1)
    ]
    return pd.DataFrame(rows)


def test_what_is_drawn_says_how_many_at_random_with_which_chance_and_how_many_are_targeted_and_why() -> None:
    at_random, spread = ("random", "random_sample", 0.1), ("targeted", "bounds_far_apart", NAN)
    drawn = looks(at_random, ("random", "random_sample", 0.2), spread)
    assert plain(looks_wording.what_is_drawn(drawn, {"joist_gap": "Joist gap"}).plain) == (
        "The list has 3 looks: 2 drawn at random from the calls on joist gap that could not be judged, each with a "
        "known chance (10 % to 20 %) and 1 targeted, where least is known of what an inspector misses. Only those at "
        "random enter a rate; the others help with their case."
    )
    both = looks(spread, ("targeted", "comment_names_another_fault", NAN))
    assert "2 targeted (1 where a comment names another fault and 1 where least is known" in plain(
        looks_wording.what_is_drawn(both, {}).plain
    )


def test_the_sheet_names_report_and_number_even_where_the_report_has_a_colon() -> None:
    line = sheet_of(looks(("random", "random_sample", 0.1))).iloc[0].to_dict()
    assert line == {"report_id": "R:1", "observation_no": "01", "chosen": "random"} | dict.fromkeys(
        ("looked_by", "looked_on", "ruling", "reason"), ""
    )
