"""Before you go: counts by hand on small firms; intervals against scipy's Wilson interval; what is given up, and said."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner
from scipy.stats import binomtest

from dashboard.cli import evenhand
from dashboard.measures.brief import Deck, UnknownDeck, band, brief, deck, of_conditions, passed_over_most
from dashboard.notes.brief_note import brief_on
from dashboard.notes.errors import NothingAlike, UnknownTopic

OLD = {"deck_age": "20 to 29", "region": "Ridge", "deck_height": "73 to 120 in", "builder": "Own work"}
ALL_FOUR = "deck_age region deck_height builder"


def looks(firm, topic, number, call="passed", verdict="acceptable", **facts):
    return firm.many(number, topic, call, verdict, **(OLD | facts))


def row(table, topic):
    return table[table["topic"] == topic].iloc[0]


def test_found_and_passed_over_are_counted_among_looks_and_among_judged_defects(firm, published):
    looks(firm, "joist_gap", 9, "written_up", "defect")
    looks(firm, "joist_gap", 1, "referred", "defect")
    looks(firm, "joist_gap", 2, "written_up", "acceptable")
    looks(firm, "joist_gap", 3, "passed", "defect")
    looks(firm, "joist_gap", 1, "advised", "defect")
    looks(firm, "joist_gap", 4, "written_up", "cannot_tell")
    looks(firm, "joist_gap", 5, "not_seen", None)
    looks(firm, "joist_gap", 30, "written_up", "defect", deck_age="under 5")
    looks(firm, "other", 30, "written_up", None)
    table = brief(published(firm), Deck(**OLD))
    assert list(table["topic"]) == ["joist_gap"]
    own = row(table, "joist_gap")
    assert own["alike"] == ALL_FOUR
    assert (own["trials"], own["written_up"], own["judged"], own["found"]) == (20, 15, 16, 10)
    assert (own["defects"], own["passed_over"]) == (14, 4)
    for name, some, of in (("found_share", 10, 20), ("passed_over_share", 4, 14)):
        ends = binomtest(some, of).proportion_ci(method="wilson")
        assert own[name] == pytest.approx(some / of)
        assert (own[f"{name}_low"], own[f"{name}_high"]) == pytest.approx((ends.low, ends.high))


def test_the_builder_is_given_up_first_then_the_height_then_the_region(firm, published):
    for topic, same in (("hanger_size", 20), ("joist_gap", 19), ("guard_height", 10)):
        looks(firm, topic, same)
    looks(firm, "joist_gap", 1, builder="Another")
    looks(firm, "guard_height", 9, builder="Another")
    looks(firm, "guard_height", 1, deck_height="over 120 in")
    looks(firm, "guard_height", 40, region="Flats")
    snapshot = published(firm)
    table = brief(snapshot, Deck(**OLD)).set_index("topic")
    assert table["alike"].to_dict() == {
        "hanger_size": ALL_FOUR,
        "joist_gap": "deck_age region deck_height",
        "guard_height": "deck_age region",
    }
    assert table["trials"].to_dict() == dict.fromkeys(table.index, 20)
    # What is not asked for is not named, and a trait that no deck has leaves the one before.
    assert set(brief(snapshot, Deck(deck_age="20 to 29"))["alike"]) == {"deck_age"}
    rare = brief(snapshot, Deck(deck_age="20 to 29", region="Flats")).set_index("topic")
    assert rare["alike"].to_dict() == dict(zip(rare.index, ["deck_age", "deck_age", "deck_age"], strict=True)) | {
        "guard_height": "deck_age region"
    }
    assert set(brief(snapshot)["alike"]) == {""}


def test_a_look_that_was_chosen_is_as_if_never_made_and_a_random_one_counts(firm, published):
    looks(firm, "joist_gap", 20)
    for chosen in ("targeted", "random"):
        firm.note("joist_gap", "passed", "cannot_tell", **OLD).look("defect", chosen)
    own = row(brief(published(firm), Deck(**OLD)), "joist_gap")
    assert (own["trials"], own["judged"], own["defects"], own["passed_over"]) == (22, 21, 1, 1)


@pytest.mark.parametrize(
    ("by", "value", "name"),
    [
        *(("deck_age", years, "under 5") for years in (0, 4)),
        *(("deck_age", years, "5 to 9") for years in (5, 9)),
        *(("deck_age", years, "20 to 29") for years in (20, 29)),
        *(("deck_age", years, "30 and more") for years in (30, 150)),
        *(("deck_height", inches, "30 in or less") for inches in (0, 30)),
        *(("deck_height", inches, "31 to 72 in") for inches in (30.5, 72)),
        *(("deck_height", inches, "73 to 120 in") for inches in (72.25, 120)),
        ("deck_height", 120.5, "over 120 in"),
    ],
)
def test_a_value_lies_in_the_band_that_the_loader_would_give_it(by, value, name):
    # The ends are those of etl/sql/marts/outcomes.sql.
    assert band(by, value) == name


def test_a_name_that_is_not_known_is_answered_with_the_nearest(firm, published):
    snapshot = published(looks(firm, "joist_gap", 1))
    assert deck(snapshot, 22, "Ridge", 96, "Own work") == Deck(**OLD)
    with pytest.raises(UnknownDeck, match=r"no region 'Rigde'\. Did you mean Ridge"):
        deck(snapshot, region="Rigde")
    with pytest.raises(UnknownDeck, match=r"no builder 'own work'\. Did you mean Own work"):
        deck(snapshot, builder="own work")
    assert of_conditions([("region", "Ridge"), ("topic", "joist_gap")]) == Deck(region="Ridge")


def test_a_share_of_one_defect_does_not_stand_before_one_of_many(firm, published):
    looks(firm, "hanger_size", 1, "passed", "defect")
    for call, number in (("passed", 6), ("written_up", 54)):
        looks(firm, "joist_gap", number, call, "defect")
    passed = passed_over_most(brief(published(firm), Deck(**OLD)))
    assert list(passed["topic"]) == ["joist_gap", "hanger_size"]
    assert passed["passed_over_share_low"].is_monotonic_increasing


def test_the_page_tells_the_counts_of_the_table_and_that_it_is_about_past_decks(firm, published):
    looks(firm, "joist_gap", 6, "written_up", "defect", builder="Another")
    looks(firm, "joist_gap", 2, "passed", "defect")
    looks(firm, "joist_gap", 16)
    snapshot = published(firm)
    note = brief_on(snapshot, deck(snapshot, 22, "Ridge", 96))
    own = row(passed_over_most(brief(snapshot, Deck(**OLD))), "joist_gap")
    assert (own["found"], own["trials"], own["passed_over"], own["defects"]) == (6, 24, 2, 8)
    text = " ".join(note.texts()).replace("\u00a0", " ")
    assert "Found most on past decks alike in age, region and height: joist gap in 25 % (12 to 45) of 24 looks." in text
    assert "joist gap, 2 of 8 judged defects (25 %, 7.1 to 59)" in text
    assert "The decks are alike in age, region and height." in text
    assert "the builder is given up, then the height" in brief_on(snapshot, Deck(**OLD)).source
    assert "This is about past decks and not about the one you go to" in text
    run, folder = CliRunner(), str(snapshot.file.parents[1])
    asked = ["brief", "--deck-age", "22", "--region", "Ridge", "--height", "96", "--warehouse", folder]
    assert note.sentence.markdown in run.invoke(evenhand, asked).stdout
    assert run.invoke(evenhand, [*asked, "--out", f"{folder}/brief.md"]).exit_code == 0
    assert (Path(folder) / "brief.md").read_text(encoding="utf-8").startswith("Before you go · decks of 20 to 29")
    with pytest.raises(NothingAlike, match="No look at decks under 5 years old is in these reports"):
        brief_on(snapshot, Deck(deck_age="under 5"))
    with pytest.raises(UnknownTopic, match="Did you mean joist_gap"):
        brief_on(snapshot, Deck(), ["joist_gape"])
