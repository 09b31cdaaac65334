"""What the judge says: the sentence, the missing measures, the named defaults, the outcome, an engineer's letter."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from etl.criteria.catalog import load_catalog
from etl.criteria.settings import FirmSettings

Judge = Callable[..., list[dict[str, Any]]]


def test_the_reason_names_the_numbers_plainly(judge: Judge) -> None:
    rows = judge(
        {"topic": "hanger_size", "joist_nominal": "2x12", "hanger_height_in": 6.5},
        {"topic": "hanger_size", "joist_nominal": "2x12", "hanger_height_in": 7.25},
        {"topic": "guard_height", "guard_height_in": 36, "guard_place": "deck", "drop_in": 100},
    )

    assert [row["reason"] for row in rows] == [
        "hanger 6-1/2 in is 58 % of the 11-1/4 in joist; 60 % needed (IRC 2021 R507.6.2)",
        "hanger 7-1/4 in is 64 % of the 11-1/4 in joist; 60 % needed (IRC 2021 R507.6.2)",
        "guard 36 in high, deck; 36 in is enough on a deck, 34 in on a stair (IRC 2018, 2021 R312.1.2)",
    ]


def test_a_share_just_short_of_the_limit_is_not_told_as_the_limit(judge: Judge) -> None:
    (row,) = judge({"topic": "hanger_size", "joist_nominal": "2x10", "hanger_height_in": 5.549})

    assert row["verdict"] == "defect"
    assert row["reason"] == "hanger 5.549 in is 59 % of the 9-1/4 in joist; 60 % needed (IRC 2021 R507.6.2)"


def test_a_measure_that_is_missing_is_named(judge: Judge) -> None:
    rows = judge(
        {"topic": "hanger_size", "joist_nominal": "2x12", "hanger_nominal": "2x8"},
        {"topic": "hanger_fastener_length", "fastener_kind": "short_nail"},
        {"topic": "handrail", "handrail_present": False},
        {"topic": "joist_bearing"},
        {"topic": "stair_riser_spread", "riser_max_in": 7.5},
    )

    assert [(row["missing"], row["reason"]) for row in rows] == [
        (["hanger_height_in"], "hanger height was not recorded"),
        (["fastener_position"], "fastener position was not recorded"),
        (["riser_count"], "the number of risers was not recorded"),
        (["bearing_length_in", "bearing_on"], "bearing length and what the joist bears on were not recorded"),
        (["riser_spread_in"], "riser spread was not recorded"),
    ]


def test_where_all_is_recorded_and_nothing_decides_the_rule_leaves_it_open(judge: Judge) -> None:
    rows = judge(
        {"topic": "hanger_fastener_kind", "fastener_kind": "unknown_screw"},
        {"topic": "hanger_size", "joist_nominal": "2x10", "hanger_nominal": "4x6", "hanger_height_in": None},
        {"topic": "hanger_corrosion", "rust": "none", "hanger_finish": "painted"},
    )

    assert [row["verdict"] for row in rows] == ["cannot_tell"] * 3
    assert rows[0]["reason"] == "the kind of screw was not made out"
    assert rows[0]["missing"] is None
    assert rows[1]["missing"] == ["hanger_height_in"]
    assert rows[2]["reason"] == "no rust, finish painted: the rule leaves this kind open"


def test_a_topic_that_is_never_judged_says_nothing(judge: Judge) -> None:
    (unjudged,) = judge({"topic": "deck_sway", "call": "written_up"})

    assert (unjudged["verdict"], unjudged["outcome"], unjudged["reason"]) == ("cannot_tell", "no_rule", None)


def test_what_decided_is_named_and_nothing_is_where_nothing_decided(judge: Judge) -> None:
    decided, undecided = judge({"topic": "joist_gap", "joist_gap_in": 0.5}, {"topic": "joist_gap"})

    assert (decided["criterion_id"], decided["basis"], decided["missing"]) == ("joist_gap.gap", "measured", None)
    assert (undecided["criterion_id"], undecided["basis"]) == (None, None)
    assert (decided["measured"], undecided["measured"]) == (True, False)
    assert (decided["recorded"], undecided["recorded"]) == ("gap 1/2 in or more", None)


@pytest.mark.parametrize(
    ("joist_gap_in", "outcomes"),
    [
        # call:   written_up    referred     advised        passed      not_seen
        (0.5, ["upheld", "upheld", "understated", "missed", "not_seen"]),
        (0.0, ["overcalled", "cleared", "cleared", "cleared", "not_seen"]),
        (0.25, ["judgment", "judgment", "judgment", "judgment", "not_seen"]),
        (None, ["undecided", "undecided", "undecided", "undecided", "not_seen"]),
    ],
)
def test_call_and_verdict_give_the_outcome(judge: Judge, joist_gap_in: float | None, outcomes: list[str]) -> None:
    """The table of product.md."""
    calls = ("written_up", "referred", "advised", "passed", "not_seen")

    rows = judge(*({"topic": "joist_gap", "call": call, "joist_gap_in": joist_gap_in} for call in calls))

    assert [row["outcome"] for row in rows] == outcomes


def test_a_row_that_was_not_seen_keeps_its_verdict(judge: Judge) -> None:
    (row,) = judge({"topic": "joist_gap", "call": "not_seen", "joist_gap_in": 0.5})

    assert (row["verdict"], row["outcome"]) == ("defect", "not_seen")


def test_an_engineers_letter_stands_above_a_structural_defect_only(judge: Judge) -> None:
    rows = judge(
        {"topic": "joist_gap", "call": "written_up", "joist_gap_in": 0.5, "engineer_letter": True},
        {"topic": "joist_gap", "call": "written_up", "joist_gap_in": 0.5, "engineer_letter": False},
        {"topic": "joist_gap", "call": "written_up", "joist_gap_in": 0.0, "engineer_letter": True},
        {"topic": "stair_riser", "call": "written_up", "riser_max_in": 8, "engineer_letter": True},
    )

    assert [row["verdict"] for row in rows] == ["judgment", "defect", "acceptable", "defect"]
    assert [row["outcome"] for row in rows] == ["judgment", "upheld", "overcalled", "upheld"]
    assert rows[0]["reason"] == (
        "gap 1/2 in is over 3/8 in (common practice); an engineer's letter was seen and stands above this rule"
    )


@pytest.mark.parametrize(
    ("row", "words"),
    [
        (
            {"topic": "guard_required", "deck_height_in": 48, "guard_present": False},
            "no guard at a drop of 48 in; one is required over 30 in (IRC 2018, 2021 R312.1.1); "
            "drop taken from the deck height",
        ),
        (
            {"topic": "guard_height", "guard_height_in": 30, "guard_place": "deck"},
            "guard 30 in high, deck; 36 in needed on a deck, 34 in on a stair (IRC 2018, 2021 R312.1.2); "
            "no drop was recorded, so a guard is taken as required",
        ),
        (
            {"topic": "stair_riser_spread", "riser_max_in": 8, "riser_min_in": 7},
            "risers differ by 1 in; 3/8 in is the most (IRC 2018, 2021 R311.7.5.1); "
            "spread taken as the tallest less the lowest riser",
        ),
        (
            {"topic": "guard_climbable", "guard_infill": "cable"},
            "cable infill; no rule of IRC 2021 against it (IRC 2000 R316.2); IRC 2021 assumed: the report names no guideline",
        ),
        (
            {"topic": "guard_post", "guard_post_notched": True, "post_nominal": "4x4", "deck_built_year": 2023},
            "notched 4x4 post on a deck built 2023, after the 2021 edition was adopted (IRC 2021 R507.10.2); "
            "adopted 2022 assumed",
        ),
    ],
)
def test_a_named_default_is_said(judge: Judge, row: dict[str, Any], words: str) -> None:
    (result,) = judge(row)

    assert result["reason"] == words


@pytest.mark.parametrize(
    "row",
    [
        {"topic": "guard_required", "deck_height_in": 20, "drop_in": 48, "guard_present": False},
        {"topic": "guard_climbable", "guard_infill": "cable", "code_basis": "IRC 2018"},
        {"topic": "joist_gap", "joist_gap_in": 0.5},
    ],
)
def test_no_default_is_said_where_none_stood_in(judge: Judge, row: dict[str, Any]) -> None:
    (result,) = judge(row)

    assert "assumed" not in result["reason"]
    assert "taken" not in result["reason"]


# -- Editions and adoption


@pytest.mark.parametrize(
    ("code_basis", "verdict", "missing"),
    [
        ("IRC 2012", "acceptable", None),
        ("IRC 2015", "acceptable", None),
        ("IRC 2018", "defect", None),
        ("2021 IRC", "defect", None),
        ("International Residential Code, 2024", "defect", None),
        (None, "defect", None),
        ("DCA 6", "cannot_tell", None),
    ],
)
def test_an_open_riser_is_judged_by_the_edition_that_the_report_names(
    judge: Judge, code_basis: str | None, verdict: str, missing: None
) -> None:
    """IRC R311.7.5.1: the total rise of the stair up to 2015, the height of the opening from 2018."""
    recorded = {"riser_opening_in": 5, "height_above_grade_in": 40, "stair_rise_in": 30}

    (row,) = judge({"topic": "stair_open_riser", "code_basis": code_basis, **recorded})

    assert (row["verdict"], row["missing"]) == (verdict, missing)
    if code_basis == "DCA 6":
        assert row["reason"].startswith("the guideline DCA 6 is not an edition of the IRC")


def test_the_firms_guideline_stands_in_where_a_report_names_none(judge: Judge) -> None:
    firm = load_catalog(FirmSettings(code_basis="IRC 2000"))

    (row,) = judge({"topic": "guard_climbable", "guard_infill": "horizontal"}, under=firm)

    assert row["verdict"] == "judgment"
    assert row["reason"].endswith("IRC 2000 assumed: the report names no guideline")


def test_the_firms_year_of_adoption_moves_the_verdict_and_is_not_called_assumed(judge: Judge) -> None:
    firm = load_catalog(FirmSettings(adopted={2021: 2024}))
    notched = {
        "topic": "guard_post",
        "guard_post_notched": True,
        "guard_post_fixing": "hold_down",
        "post_nominal": "4x4",
    }

    rows = judge(*({**notched, "deck_built_year": year} for year in (2023, 2024, 2025, None)), under=firm)

    assert [row["verdict"] for row in rows] == ["judgment", "judgment", "defect", "cannot_tell"]
    assert all("assumed" not in row["reason"] for row in rows)
    assert rows[3]["missing"] == ["deck_built_year"]


@pytest.mark.parametrize(
    ("criterion_id", "edition", "section"),
    [
        # IRC 2024 renumbers R312 as R321 and R311.7 as R318.7.
        ("guard_required.drop", 2018, "R312.1.1"),
        ("guard_required.drop", 2021, "R312.1.1"),
        ("guard_required.drop", 2024, "R321.1.1"),
        ("stair_riser.height", 2021, "R311.7.5.1"),
        ("stair_riser.height", 2024, "R318.7.5.1"),
        ("hanger_size.height", 2024, "R507.6.2"),
    ],
)
def test_a_source_names_the_section_as_the_edition_numbers_it(criterion_id: str, edition: int, section: str) -> None:
    assert load_catalog().criterion(criterion_id).source.section_in(edition) == section


def test_a_reason_cites_the_section_as_the_edition_of_the_report_numbers_it(judge: Judge) -> None:
    low = {"topic": "guard_height", "guard_height_in": 30, "guard_place": "deck", "drop_in": 48}

    newer, older = judge({**low, "code_basis": "IRC 2024"}, {**low, "code_basis": "IRC 2018"})

    assert newer["reason"].endswith("(IRC 2024 R321.1.2)")
    assert older["reason"].endswith("(IRC 2018, 2021 R312.1.2)")


# -- What is looked up


def test_a_table_names_its_row_its_limit_and_where_it_stands(judge: Judge) -> None:
    """IRC 2021 Table R507.9.1.3(1): 1/2 in lag screws, 40 psf, joists spanning up to 12 ft: 15 in."""
    spaced = {"topic": "ledger_fasteners", "ledger_fastener": "half_in_lag", "ledger_fastener_spacing_in": 24}

    long, short = judge(
        {**spaced, "joist_span_in": 144, "design_load_psf": 40}, {**spaced, "joist_span_in": 144, "design_load_psf": 45}
    )

    assert long["reason"] == (
        "lag screws every 24 in; 15 in is the most for joists spanning up to 12 ft at 40 psf "
        "(IRC 2021 Table R507.9.1.3(1))"
    )
    assert "at 50 psf" in short["reason"]


def test_feet_are_told_as_feet_and_inches(judge: Judge) -> None:
    """IRC 2021 Table R507.6: Southern Pine 2x8 every 16 in, 40 psf: 11 ft 10 in."""
    joist = {"topic": "joist_span", "joist_nominal": "2x8", "joist_spacing_in": 16, "joist_species": "southern_pine"}

    over, within = judge({**joist, "joist_span_in": 170.5}, {**joist, "joist_span_in": 142})

    assert over["reason"].startswith("2x8 joists every 16 in span 14 ft 2-1/2 in; 11 ft 10 in is the most")
    assert within["verdict"] == "acceptable"


def test_the_firms_load_and_frost_depth_hold_for_a_region_where_a_report_has_none(judge: Judge) -> None:
    firm = load_catalog(FirmSettings(design_load_psf={"Ridge": 70}, frost_depth_in={"Ridge": 48}))
    spaced = {
        "topic": "ledger_fasteners",
        "ledger_fastener": "half_in_lag",
        "ledger_fastener_spacing_in": 12,
        "joist_span_in": 144,
    }
    footing = {"topic": "footing_depth", "footing_depth_in": 36, "ledger_attached": True}

    rows = judge(
        *({**spaced, "region": region} for region in ("Ridge", "Flats")),
        *({**footing, "region": region} for region in ("Ridge", "Flats")),
        {**footing, "region": "Ridge", "frost_depth_in": 30},
        under=firm,
    )

    assert [row["verdict"] for row in rows] == ["defect", "acceptable", "defect", "cannot_tell", "acceptable"]


# -- Guard bands


@pytest.mark.parametrize(
    ("gap", "verdict"),
    [(0.0625, "acceptable"), (0.0626, "judgment"), (0.125, "judgment"), (0.4375, "judgment"), (0.4376, "defect")],
)
def test_where_the_verdict_turns_within_the_guard_band_it_is_left_to_the_inspector(
    judge: Judge, gap: float, verdict: str
) -> None:
    firm = load_catalog(FirmSettings(guard_bands={"joist_gap_in": "0.0625"}))

    (row,) = judge({"topic": "joist_gap", "joist_gap_in": gap}, under=firm)

    assert row["verdict"] == verdict
    if gap in (0.125, 0.4375):
        assert "within 1/16 in, the firm's guard band of the gap at the joist end" in row["reason"]


def test_a_guard_band_reaches_through_what_is_looked_up(judge: Judge) -> None:
    """Between the rows for 12 ft (15 in) and 14 ft (13 in) a joist span of 144 in is on the edge."""
    firm = load_catalog(FirmSettings(guard_bands={"joist_span_in": 1}))
    spaced = {"topic": "ledger_fasteners", "ledger_fastener": "half_in_lag", "ledger_fastener_spacing_in": 14}

    rows = judge(*({**spaced, "joist_span_in": span} for span in (142, 143.5, 145.5)), under=firm)

    assert [row["verdict"] for row in rows] == ["acceptable", "judgment", "defect"]


# -- A comment that names another fault


@pytest.mark.parametrize(
    ("comment", "second_look"),
    [
        ("Hanger too small for the joist, and nails missing.", True),
        ("Hangers are rusted through.", True),
        ("The hanger is undersized for the joist.", False),
        ("Hanger too small; no rust, no missing nails.", False),
        (None, False),
    ],
)
def test_a_write_up_whose_comment_names_another_fault_goes_to_a_second_look(
    judge: Judge, comment: str | None, second_look: bool
) -> None:
    sized = {"topic": "hanger_size", "joist_nominal": "2x10", "hanger_nominal": "2x8", "comment": comment}

    written_up, passed = judge({**sized, "call": "written_up"}, {**sized, "call": "passed"})

    assert written_up["verdict"] == "acceptable"
    assert written_up["second_look"] is second_look
    assert written_up["outcome"] == ("undecided" if second_look else "overcalled")
    assert ("the comment names another fault" in written_up["reason"]) is second_look
    assert (passed["outcome"], passed["second_look"]) == ("cleared", False)


def test_a_defect_is_upheld_whatever_else_the_comment_names(judge: Judge) -> None:
    (row,) = judge(
        {"topic": "joist_gap", "joist_gap_in": 0.5, "call": "written_up", "comment": "Gap, and rusted nails."}
    )

    assert (row["outcome"], row["second_look"]) == ("upheld", False)
