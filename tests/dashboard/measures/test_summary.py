"""The firm in numbers, what a filter can be set to, and the catalog."""

from datetime import date

from dashboard.filters import Filters
from dashboard.measures import catalog
from dashboard.measures.choices import choices
from dashboard.measures.summary import Share, intake, summary


def some_calls(firm):
    firm.many(3, "hanger_size", "written_up", "defect")
    firm.many(2, "hanger_size", "written_up", "acceptable", recorded="one size down", inspector_id="I2")
    firm.many(1, "hanger_size", "written_up", "cannot_tell", inspected_on=date(2026, 8, 9))
    firm.many(4, "joist_gap", "passed", "acceptable", region="Flats", builder="Birch")
    firm.many(1, "joist_gap", "passed", "defect", recorded="wide")
    firm.many(1, "joist_gap", "advised", "defect", recorded="wide")
    firm.many(2, "joist_gap", "not_seen", "cannot_tell")
    return firm


def test_the_summary_counts_trials(firm, published):
    found = summary(published(some_calls(firm)))
    assert (found.reports, found.decks, found.inspectors, found.regions, found.builders) == (14, 14, 2, 2, 1)
    assert (found.first_day, found.last_day) == (date(2026, 5, 1), date(2026, 8, 9))
    assert (found.calls, found.not_seen, found.observations) == (12, 2, 14)
    assert (found.judged.count, found.judged.of) == (11, 12)
    assert found.written_up == 6
    assert (found.judged_write_ups.count, found.judged_write_ups.of) == (5, 6)
    assert (found.overcalled.count, found.overcalled.of, found.overcalled.value) == (2, 5, 0.4)
    assert (found.missed, found.understated) == (1, 1)
    assert (found.judged_passes.count, found.judged_passes.of) == (6, 6)
    assert (found.wrong_passes.count, found.wrong_passes.of) == (2, 6)
    assert list(found.patterns["recorded"]) == ["one size down"]
    assert list(found.misses["recorded"]) == ["wide"]


def test_the_summary_follows_its_filters(firm, published):
    found = summary(published(some_calls(firm)), Filters(regions=("Flats",)))
    assert (found.reports, found.written_up, found.missed) == (4, 0, 0)
    assert found.overcalled == Share(0, 0, None, None, None)
    assert found.patterns.empty


def test_an_empty_firm_has_a_summary_and_no_choices(firm, published):
    snapshot = published(firm)
    found = summary(snapshot)
    assert (found.reports, found.calls, found.first_day) == (0, 0, None)
    assert found.judged.value is None
    assert choices(snapshot).first_day is None
    assert choices(snapshot).topics == ()
    assert intake(snapshot).reports == 0


def test_choices_stand_in_the_order_in_which_they_are_shown(firm, published):
    firm.note("joist_gap", "passed", region="Ridge", builder="unknown", deck_age="unknown", inspector_id="I2")
    firm.note("hanger_size", "passed", region="Flats", builder="Cedar", deck_age="10 to 14")
    firm.note("hanger_size", "passed", region="Flats", builder="Birch", deck_age="5 to 9")
    found = choices(published(firm))
    assert found.regions == ("Flats", "Ridge")
    assert found.builders == ("Birch", "Cedar", "unknown")
    assert found.deck_ages == ("5 to 9", "10 to 14", "unknown")
    assert found.topics == ("hanger_size", "joist_gap")
    assert found.inspectors == ("I1", "I2")


def test_the_catalog_comes_in_load_path_order_with_what_has_a_rule(firm, published):
    snapshot = published(firm)
    topics = catalog.topics(snapshot)
    assert list(topics["topic"])[:2] == ["hanger_size", "joist_gap"]
    assert list(topics.loc[topics["has_rule"], "topic"]) == ["hanger_size", "joist_gap", "guard_height"]
    assert list(catalog.criteria(snapshot, "joist_gap")["criterion_id"]) == ["joist_gap_rule"]
    assert catalog.measures(snapshot)["measure"][0] == "joist_nominal"
