"""Sentences as a person would say them: none, one, several and all; what stands out, in one sentence."""

from __future__ import annotations

import pandas as pd
import pytest

from dashboard.measures.summary import Share
from dashboard.notes import wording


def plain(text: str) -> str:
    return text.replace("\u00a0", " ")


@pytest.mark.parametrize(
    ("wrong", "of", "told"),
    [
        # Wilson limits: statsmodels proportion_confint(0, 83, method="wilson") = 0, 0.0442; of (20, 83): 0.1619, 0.3431.
        (83, 83, "none holds (0 %, 0 to 4.4)"),
        (0, 83, "all hold (100 %, 96 to 100)"),
        (20, 83, "20 do not hold (24 %, 16 to 34)"),
        (1, 83, "1 does not hold (1.2 %, 0.2 to 6.5)"),
        (3, 3, "none holds (too few for a rate)"),
        (1, 1, "it does not hold"),
        (0, 1, "it holds"),
    ],
)
def test_write_ups_hold_or_not_as_one_would_say_it(wrong: int, of: int, told: str) -> None:
    assert plain("".join(wording.holds_or_not(Share.wilson(wrong, of)))) == told


@pytest.mark.parametrize(
    ("some", "of", "told"),
    [
        (83, 83, "All 83 write-ups were judged"),
        (42, 45, "42 of 45 write-ups could be judged"),
        (1, 1, "The one write-up was judged"),
    ],
)
def test_all_is_not_told_as_a_part(some: int, of: int, told: str) -> None:
    assert plain(wording.all_or_part(some, of, "write-up")) == told


@pytest.mark.parametrize(
    ("topic", "title", "recorded", "told"),
    [
        ("joist_gap", "Gap at the joist end", "gap up to 1/8 in", "gap at the joist end up to 1/8 in"),
        ("joist_seat", "Gap under the joist", "gap 1/4 in or more", "gap under the joist 1/4 in or more"),
        ("hanger_size", "Hanger size", "2x10 joist in 2x8 hanger", "2x10 joist in 2x8 hanger"),
        ("hanger_size", "Hanger size", "not recorded", "hanger size, not recorded"),
        ("handrail", "Handrail", "no handrail", "handrail, no handrail"),
    ],
)
def test_a_kind_within_a_sentence_says_its_topic_once(topic: str, title: str, recorded: str, told: str) -> None:
    assert wording.kind_in_sentence(topic, title, recorded) == told


def rates(*out: tuple[str, str, str, float]) -> pd.DataFrame:
    row = {"trials": 200, "judged": 100, "firm_share": 0.25, "firm_share_low": 0.2, "firm_share_high": 0.31, "q": 0.01}
    quiet = [("deck_age", "15 to 19", "none", 0.2), ("builder", "A", "none", 0.2), ("region", "B", "none", 0.2)]
    rows = [
        row
        | {"by": by, "group": group, "stands_out": side, "defect_share": share, "expected_share": 0.16}
        | {
            "defect_share_low": share - 0.05,
            "defect_share_high": share + 0.05,
            "topic": "t",
            "title": "Hanger corrosion",
        }
        for by, group, side, share in [*quiet, *out]
    ]
    return pd.DataFrame(rows)


def test_adjoining_ages_that_stand_out_are_one_and_the_most_extreme_gives_its_rate() -> None:
    ages = [("deck_age", "under 5", "lower", 0.12), ("deck_age", "5 to 9", "lower", 0.1)]
    ages += [("deck_age", "10 to 14", "lower", 0.14), ("deck_age", "30 and more", "higher", 0.6)]
    assert plain(wording.where_defects_occur("Hanger corrosion", rates(*ages)).plain) == (
        "Hanger corrosion: 25 % of decks have the defect (20 to 31; 500 of 1,000 judged), more often on decks of 30 years "
        "and more (60 %, 55 to 65), less often on decks under 15 years old (5 to 9: 10 %, 5.0 to 15). "
        "No builder or region stands out."
    )


def test_ages_that_do_not_adjoin_are_told_apart() -> None:
    ages = [("deck_age", "under 5", "higher", 0.4), ("deck_age", "10 to 14", "higher", 0.5)]
    told = plain(wording.where_defects_occur("Hanger corrosion", rates(*ages)).plain)
    assert "more often on decks under 5 years old and of 10 to 14 years (10 to 14: 50 %, 45 to 55)." in told


def test_a_builder_that_stands_out_is_told_with_what_would_be_expected() -> None:
    found = rates(("builder", "Oak Builders", "higher", 0.57))
    assert plain(wording.where_defects_occur("Hanger corrosion", found).plain).endswith(
        "judged). Beyond the mix of ages Oak Builders (57 %, 52 to 62; 16 % expected) stands out, no region does."
    )
    elsewhere = wording.elsewhere(found, "another")
    assert elsewhere is not None
    assert plain(elsewhere.plain) == ("In hanger corrosion Oak Builders stands out.")
    assert wording.elsewhere(found, "t") is None
    two = rates(("builder", "Oak Builders", "higher", 0.57), ("region", "Ridge", "higher", 0.5))
    assert plain(str(wording.elsewhere(two, "another").plain)) == (  # type: ignore[union-attr]
        "In other topics 2 groups stand out, first Oak Builders in hanger corrosion."
    )
