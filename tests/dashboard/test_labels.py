"""Words and numbers as readers see them, and user text that never becomes markup or a formula."""

from __future__ import annotations

from datetime import date

import pytest

from dashboard import labels
from etl import vocabulary
from etl.criteria.wording import word_in_words


@pytest.mark.parametrize(
    ("share", "shown"),
    [(0, "0 %"), (0.059, "5.9 %"), (0.0996, "10 %"), (0.1, "10 %"), (0.124, "12 %"), (1, "100 %"), (0.0004, "0.0 %")],
)
def test_percent_has_one_decimal_below_ten(share: float, shown: str) -> None:
    assert labels.percent(share).replace(labels.NO_BREAK, " ") == shown


def test_figures_that_belong_together_stay_on_one_line() -> None:
    shown = [
        labels.percent_with_interval(0.15, 0.096, 0.19).split(" (")[1],
        labels.day(date(2026, 3, 4)),
        labels.quantity(6.5, "in"),
        labels.part_of(1263, 2000),
    ]
    assert [text.replace(labels.NO_BREAK, "_") for text in shown] == [
        "9.6_to_19)",
        "4_Mar_2026",
        "6.5_in",
        "1,263_of_2,000",
    ]


def test_bands_stand_in_their_own_order_and_not_known_stands_last() -> None:
    found = ["unknown", "10 to 14", "under 5", "5 to 9"]
    assert labels.ordered_groups("deck_age", found) == ["under 5", "5 to 9", "10 to 14", "unknown"]
    assert labels.ordered_groups("region", ["unknown", "ridge", "Flats"]) == ["Flats", "ridge", "unknown"]


@pytest.mark.parametrize(
    ("text", "escaped"),
    [
        ("![x](http://a)", "!\\[x\\](\u2060http\\://a)"),
        ("See WWW.a.b, me@a.b", "See \u2060WWW.a.b, me\u2060@a.b"),
        (":red[stop]", r"\:red\[stop\]"),
        ("<img src=x>", r"\<img src=x\>"),
        ("$x$ `code` **bold**", r"\$x\$ \`code\` \*\*bold\*\*"),
        ("# head", r"\# head"),
        ("1. item", r"1\. item"),
        ("- item\n- item", r"\- item - item"),
        ("2x10 joist, 6.5 in (70 %)", "2x10 joist, 6.5 in (70 %)"),
        ("R-2606-118:14", "R-2606-118:14"),
    ],
)
def test_markup_in_user_text_is_escaped_and_plain_text_is_left_alone(text: str, escaped: str) -> None:
    assert labels.escape_markdown(text) == escaped


@pytest.mark.parametrize("text", ["=1+1", "+1", "-1", "@SUM(A1)", " =1", "\t=1", "＝1", "\rx"])
def test_text_that_a_spreadsheet_would_run_is_guarded(text: str) -> None:
    assert labels.safe_cell(text) == f"'{text}"


@pytest.mark.parametrize("value", [-1.5, 3, None, True, "plain", "a=b"])
def test_numbers_and_plain_text_pass_unchanged(value: object) -> None:
    assert labels.safe_cell(value) is value


@pytest.mark.parametrize(
    ("first", "last", "told"),
    [
        ("under 5", "under 5", "under 5 years old"),
        ("under 5", "10 to 14", "under 15 years old"),
        ("5 to 9", "5 to 9", "of 5 to 9 years"),
        ("5 to 9", "15 to 19", "of 5 to 19 years"),
        ("20 to 29", "30 and more", "of 20 years and more"),
        ("30 and more", "30 and more", "of 30 years and more"),
    ],
)
def test_adjoining_bands_of_deck_age_are_told_as_one(first: str, last: str, told: str) -> None:
    assert labels.ages_in_sentence(first, last) == told


def test_one_call_does_not_hold_and_several_do_not():
    assert [labels.do_not_hold(number) for number in (0, 1, 1200)] == [
        "0 do not hold",
        "1 does not hold",
        "1,200 do not hold",
    ]


def test_a_word_of_a_closed_list_is_spelled_as_the_verdicts_spell_it() -> None:
    for measure in vocabulary.measures().values():
        for word in measure.choices:
            assert labels.choice(word) == word_in_words(word)


@pytest.mark.parametrize(
    ("inches", "told"), [(142, "11 ft 10 in"), (144, "12 ft"), (9.5, "9-1/2 in"), (0, "0 in"), (76.25, "6 ft 4-1/4 in")]
)
def test_a_long_measure_is_told_in_feet_and_inches(inches: float, told: str) -> None:
    assert labels.feet(inches).replace(labels.NO_BREAK, " ") == told
