"""Defect rates: expected figures are worked out by hand beside each firm; simulations are of properties."""

from __future__ import annotations

from datetime import date

import numpy as np
import pandas as pd
import pytest
from numpy.testing import assert_allclose
from pandas.testing import assert_frame_equal
from statsmodels.stats.proportion import confint_proportions_2indep, proportion_confint

from dashboard.filters import Filters
from dashboard.measures.rates import GROUPINGS, defect_rates, rates_of_cells
from dashboard.measures.strata import Strata, weighted_share

BOTH = ("I1", "I2")
CATALOG = pd.DataFrame({"topic": [f"topic{at}" for at in range(8)], "position": range(8), "has_rule": True})


def add(firm, count, call, verdict, topic="hanger_size", **facts):
    """``count`` trials, shared out between two inspectors."""
    for at in range(count):
        firm.note(topic, call, verdict, **{"inspector_id": BOTH[at % 2]} | facts)


def cell(table, group, topic="hanger_size"):
    found = table[(table["topic"] == topic) & (table["group"] == group)]
    assert len(found) == 1
    return found.iloc[0]


def test_a_share_is_weighted_by_call_class_and_bounded(firm, published):
    # 10 written up, 9 judged, 6 defects; 30 passed, 5 judged, 1 defect.
    add(firm, 6, "written_up", "defect")
    add(firm, 3, "written_up", "acceptable")
    add(firm, 1, "written_up", "cannot_tell")
    add(firm, 1, "passed", "defect")
    add(firm, 4, "passed", "acceptable")
    add(firm, 25, "passed", "cannot_tell")
    row = cell(defect_rates(published(firm), "region"), "Ridge")
    assert (row.trials, row.written_up, row.judged, row.defects) == (40, 10, 14, 7)
    assert row.written_up_share == 0.25
    assert row.judged_share == 0.35
    assert_allclose(row.defect_share, 0.25 * 6 / 9 + 0.75 * 1 / 5)
    assert_allclose([row.defect_share_least, row.defect_share_most], [7 / 40, 33 / 40])
    up_low, up_high = proportion_confint(6, 9, method="wilson")
    pass_low, pass_high = proportion_confint(1, 5, method="wilson")
    class_low, class_high = proportion_confint(10, 40, method="wilson")
    slope = 6 / 9 - 1 / 5  # how the share moves with the share of calls that are write-ups
    down = (0.25 * (6 / 9 - up_low), 0.75 * (1 / 5 - pass_low), slope * (0.25 - class_low))
    up = (0.25 * (up_high - 6 / 9), 0.75 * (pass_high - 1 / 5), slope * (class_high - 0.25))
    below, above = np.linalg.norm(down), np.linalg.norm(up)
    assert_allclose([row.defect_share_low, row.defect_share_high], [row.defect_share - below, row.defect_share + above])


def test_under_30_percent_judged_only_the_bounds_stand(firm, published):
    add(firm, 6, "written_up", "defect")
    add(firm, 5, "passed", "acceptable")
    add(firm, 29, "passed", "cannot_tell")
    row = cell(defect_rates(published(firm), "region"), "Ridge")
    assert row.judged_share < 0.3
    assert np.isnan([row.defect_share, row.defect_share_low, row.defect_share_high, row.shrunken]).all()
    assert_allclose([row.defect_share_least, row.defect_share_most], [6 / 40, 35 / 40])
    assert row.stands_out == "too_few"


def test_a_call_class_without_a_judged_trial_leaves_only_the_bounds(firm, published):
    add(firm, 30, "written_up", "defect")
    add(firm, 10, "passed", "cannot_tell")
    row = cell(defect_rates(published(firm), "region"), "Ridge")
    assert np.isnan(row.defect_share)
    assert_allclose([row.defect_share_least, row.defect_share_most], [0.75, 1])


def test_a_topic_without_a_rule_has_write_up_shares_only(firm, published):
    add(firm, 10, "written_up", None, topic="other")
    add(firm, 30, "passed", None, topic="other")
    row = cell(defect_rates(published(firm), "region"), "Ridge", "other")
    assert row.written_up_share == 0.25
    assert np.isnan([row.defect_share, row.defect_share_least, row.defect_share_most]).all()
    assert not row.no_spread


def test_noting_the_same_at_more_places_changes_nothing(firm, published):
    add(firm, 12, "written_up", "defect")
    add(firm, 20, "passed", "acceptable")
    before = [defect_rates(published(firm), by) for by in GROUPINGS]
    for row in list(firm.rows):
        for _ in range(2):
            firm.note(
                row["topic"], row["call"], row["verdict"],
                report=row["report_id"], deck=row["deck_id"], inspector_id=row["inspector_id"],
            )  # fmt: skip
    after = [defect_rates(published(firm), by) for by in GROUPINGS]
    for once, thrice in zip(before, after, strict=True):
        assert_frame_equal(once, thrice)


def test_a_trial_is_a_defect_if_any_place_is_and_counts_once(firm, published):
    firm.note("hanger_size", "passed", "acceptable", report="R1", deck="D1")
    firm.note("hanger_size", "written_up", "defect", report="R1", deck="D1")
    firm.note("hanger_size", "not_seen", "cannot_tell", report="R1", deck="D1")
    firm.note("hanger_size", "not_seen", "defect", report="R2", deck="D2")
    row = cell(defect_rates(published(firm), "region"), "Ridge")
    assert (row.trials, row.written_up, row.judged, row.defects, row.decks) == (1, 1, 1, 1, 1)


def test_one_inspector_behind_a_group_says_so_and_is_never_flagged(firm, published):
    for region, inspectors, defects in (("Flats", ("I3", "I3"), 25), ("Ridge", BOTH, 5), ("Lakeshore", BOTH, 5)):
        for at in range(30):
            verdict = "defect" if at < defects else "acceptable"
            firm.note("joist_gap", "passed", verdict, region=region, inspector_id=inspectors[at % 2])
    table = defect_rates(published(firm), "region")
    flats, ridge = cell(table, "Flats", "joist_gap"), cell(table, "Ridge", "joist_gap")
    assert flats.one_inspector
    assert flats.inspectors == 1
    assert flats.stands_out == "too_few"
    assert np.isnan(flats.p)
    assert not ridge.one_inspector
    assert ridge.stands_out == "lower"


def test_fewer_than_20_decks_are_too_few_however_many_visits(firm, published):
    for at in range(40):  # 19 decks, most of them seen twice
        firm.note("joist_gap", "passed", "defect", deck=f"D{at % 19}", builder="Birch", inspector_id=BOTH[at % 2])
    add(firm, 60, "passed", "acceptable", topic="joist_gap", builder="Cedar")
    birch = cell(defect_rates(published(firm), "builder"), "Birch", "joist_gap")
    assert (birch.trials, birch.decks) == (40, 19)
    assert birch.stands_out == "too_few"


def test_a_builder_is_compared_at_the_age_of_its_decks(firm, published):
    def build(builder, deck_age, defects, sound):
        add(firm, defects, "passed", "defect", topic="joist_gap", builder=builder, deck_age=deck_age)
        add(firm, sound, "passed", "acceptable", topic="joist_gap", builder=builder, deck_age=deck_age)

    build("Everyone else", "under 5", 10, 90)
    build("Everyone else", "30 and more", 30, 30)
    build("Old Oak", "30 and more", 20, 20)  # half, as old decks have elsewhere
    build("Bad Beams", "under 5", 20, 20)  # half, where new decks have a tenth
    table = defect_rates(published(firm), "builder")
    oak, beams = cell(table, "Old Oak", "joist_gap"), cell(table, "Bad Beams", "joist_gap")
    assert_allclose(oak.expected_share, 0.5)
    assert oak.stands_out == "none"
    # All others together have 60 of 200, at their own ages: against that, Old Oak would stand out.
    crude_low, _crude_high = confint_proportions_2indep(20, 40, 60, 200, method="newcomb", compare="diff")
    assert crude_low > 0
    assert_allclose(beams.expected_share, 0.1)
    assert_allclose(beams.difference, 0.4)
    assert beams.stands_out == "higher"


def test_a_band_that_no_other_builder_has_takes_the_others_share_over_all_bands(firm, published):
    def build(builder, deck_age, defects, sound):
        add(firm, defects, "passed", "defect", builder=builder, deck_age=deck_age)
        add(firm, sound, "passed", "acceptable", builder=builder, deck_age=deck_age)

    build("Birch", "under 5", 5, 15)
    build("Birch", "5 to 9", 5, 15)
    build("Cedar", "5 to 9", 8, 32)
    build("Cedar", "10 to 14", 4, 36)
    birch = cell(defect_rates(published(firm), "builder"), "Birch")
    assert_allclose(birch.expected_share, 0.5 * 12 / 80 + 0.5 * 8 / 40)


def test_deck_ages_are_compared_as_they_are_and_the_difference_is_newcombes(firm, published):
    add(firm, 24, "passed", "defect", deck_age="30 and more")
    add(firm, 6, "passed", "acceptable", deck_age="30 and more")
    add(firm, 20, "passed", "defect", deck_age="unknown")
    add(firm, 40, "passed", "acceptable", deck_age="unknown")
    table = defect_rates(published(firm), "deck_age")
    old = cell(table, "30 and more")
    assert list(table["group"]) == ["30 and more", "unknown"]
    assert_allclose(old.expected_share, 20 / 60)
    expected = confint_proportions_2indep(24, 30, 20, 60, method="newcomb", compare="diff")
    assert_allclose([old.difference_low, old.difference_high], expected)
    assert old.stands_out == "higher"
    assert cell(table, "unknown").stands_out == "lower"


def test_shrunken_shares_lie_between_the_groups_and_the_firms(firm, published):
    for builder, defects, sound in (("Birch", 2, 2), ("Cedar", 30, 70), ("Maple", 4, 96), ("Pine", 20, 80)):
        add(firm, defects, "passed", "defect", builder=builder)
        add(firm, sound, "passed", "acceptable", builder=builder)
    table = defect_rates(published(firm), "builder")
    firm_share = 56 / 304
    assert_allclose(table["firm_share"], firm_share)
    pulled = (table["shrunken"] - table["defect_share"]) / (firm_share - table["defect_share"])
    assert pulled.between(0, 1).all()
    assert pulled[0] > 0.5 > pulled[1]  # four decks are drawn far, a hundred little
    assert not table["no_spread"].any()


def test_groups_without_spread_say_so(firm, published):
    for builder in ("Birch", "Cedar", "Maple"):
        add(firm, 5, "passed", "defect", builder=builder)
        add(firm, 25, "passed", "acceptable", builder=builder)
    assert defect_rates(published(firm), "builder")["no_spread"].all()


def test_filters_leave_out_what_they_name(firm, published):
    add(firm, 3, "passed", "defect", region="Ridge", inspected_on=date(2026, 3, 1))
    add(firm, 4, "passed", "defect", region="Flats", inspected_on=date(2026, 3, 1))
    add(firm, 5, "passed", "defect", region="Flats", inspected_on=date(2026, 4, 1), topic="joist_gap", builder="Birch")
    snapshot = published(firm)

    def trials(**chosen):
        return defect_rates(snapshot, "region", Filters(**chosen))["trials"].sum()

    assert trials() == 12
    assert trials(regions=("Flats",)) == 9
    assert trials(regions=("Flats", "Ridge"), last_day=date(2026, 3, 1)) == 7
    assert trials(first_day=date(2026, 3, 2)) == 5
    assert trials(topics=("joist_gap",)) == 5
    assert trials(builders=("unknown",)) == 7
    assert trials(inspectors=("I2",)) == 1 + 2 + 2
    assert trials(deck_ages=("under 5",)) == 0


def test_an_unknown_grouping_is_refused(firm, published):
    with pytest.raises(ValueError, match="'county' is not one of deck_age, builder, region, deck_height"):
        defect_rates(published(firm), "county")


def test_the_weighted_share_is_near_the_truth_where_measures_are_kept_more_often_for_write_ups():
    """Planted truth: 20 percent defects; measures kept for 0.9 of write-ups and 0.3 of passes."""
    rng = np.random.default_rng(3)
    trials = 6000
    defect = rng.random(trials) < 0.2
    written_up = rng.random(trials) < np.where(defect, 0.85, 0.05)
    judged = rng.random(trials) < np.where(written_up, 0.9, 0.3)
    frame = pd.DataFrame({"written_up": written_up, "trials": 1, "judged": judged, "defects": judged & defect})
    cells = frame.groupby("written_up", as_index=False).sum().assign(topic="topic0", group="Birch", deck_age="5 to 9")
    people = pd.DataFrame(
        {"topic": ["topic0"], "group": ["Birch"], "inspectors": [5], "other_inspectors": [5], "decks": [trials]}
    )
    row = rates_of_cells(cells, people, CATALOG, "builder").iloc[0]
    truth = defect.mean()
    assert abs(row.defect_share - truth) < 0.02
    assert row.defect_share_low < truth < row.defect_share_high
    assert row.defects / row.judged > truth + 0.1
    assert row.defect_share_least < truth < row.defect_share_most


def test_the_interval_covers_the_truth_where_nearly_every_write_up_is_right():
    """Nearly all chance then lies in how many are written up; an interval that takes that as given is far too short."""
    rng = np.random.default_rng(5)
    firms, trials, truth = 1000, 80, 0.2
    defects = rng.binomial(trials, truth, firms)
    written_up = rng.binomial(defects, 0.97)
    strata = Strata(
        trials=np.stack([written_up, trials - written_up], axis=-1).astype(float),
        judged=np.stack([written_up, trials - written_up], axis=-1).astype(float),
        defects=np.stack([written_up, defects - written_up], axis=-1).astype(float),
    )
    _share, low, high = weighted_share(strata)
    assert 0.93 < ((low <= truth) & (truth <= high)).mean() < 0.99


def simulated_firm(rng, builders=10, topics=4, problem=None):
    """Counted trials of a firm whose builders differ in the ages of their decks, and in ``problem`` alone besides."""
    ages, chance = ["under 5", "10 to 14", "30 and more"], np.array([0.08, 0.2, 0.45])
    chances = np.broadcast_to(chance, (topics, builders, 3)).copy()
    if problem:
        chances[problem] = np.minimum(chances[problem] * 2.5, 1)
    trials = rng.multinomial(60, rng.dirichlet([1, 1, 1], builders), (topics, builders))
    defects = rng.binomial(trials, chances)
    found, false = rng.binomial(defects, 0.7), rng.binomial(trials - defects, 0.1)
    by_class = {True: (found, false, 0.9), False: (defects - found, trials - defects - false, 0.5)}
    index = pd.MultiIndex.from_product(
        [[f"topic{at}" for at in range(topics)], [f"B{at}" for at in range(builders)], ages],
        names=["topic", "group", "deck_age"],
    )
    frames = []
    for written_up, (wrong, sound, kept) in by_class.items():
        judged_wrong, judged_sound = rng.binomial(wrong, kept), rng.binomial(sound, kept)
        counts = {"trials": wrong + sound, "judged": judged_wrong + judged_sound, "defects": judged_wrong}
        columns = {name: values.ravel() for name, values in counts.items()}
        frames.append(pd.DataFrame(columns, index=index).reset_index().assign(written_up=written_up))
    cells = pd.concat(frames)
    people = (
        cells.groupby(["topic", "group"], as_index=False)
        .agg(decks=("trials", "sum"))
        .assign(inspectors=4, other_inspectors=4)
    )
    return cells[cells["trials"] > 0], people


def test_where_builders_do_not_differ_flags_are_rare():
    """A hundred and twenty firms of forty cells each. All flags are false here, so at most about 5 percent of firms have one."""
    rng = np.random.default_rng(11)
    flagged = 0
    for _ in range(120):
        table = rates_of_cells(*simulated_firm(rng), CATALOG, "builder")
        assert (table["stands_out"] != "too_few").sum() > 20
        flagged += table["stands_out"].isin(["higher", "lower"]).any()
    assert flagged <= 13


def test_a_builder_with_a_real_problem_is_found_most_of_the_time():
    rng = np.random.default_rng(12)
    found = 0
    for _ in range(50):
        table = rates_of_cells(*simulated_firm(rng, problem=(1, 3)), CATALOG, "builder")
        found += (table[(table["group"] == "B3") & (table["topic"] == "topic1")]["stands_out"] == "higher").any()
    assert found > 25


def test_where_one_inspector_alone_is_behind_all_others_nothing_stands_out(firm, published):
    """Two regions, one of them covered by one person: the difference may be that person's."""
    add(firm, 40, "written_up", "acceptable", region="Ridge")
    for _ in range(40):
        firm.note("hanger_size", "written_up", "defect", region="Flats", inspector_id="ALONE")
    table = defect_rates(published(firm), "region")
    assert cell(table, "Flats").one_inspector
    assert not cell(table, "Ridge").one_inspector
    assert [cell(table, group).stands_out for group in ("Flats", "Ridge")] == ["too_few", "too_few"]


def test_a_second_inspector_behind_the_others_lets_the_difference_stand_out(firm, published):
    add(firm, 40, "written_up", "acceptable", region="Ridge")
    add(firm, 40, "written_up", "defect", region="Flats")
    table = defect_rates(published(firm), "region")
    assert [cell(table, group).stands_out for group in ("Flats", "Ridge")] == ["higher", "lower"]
