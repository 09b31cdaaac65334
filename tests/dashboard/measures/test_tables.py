"""Tables by name: evidence and missing measures by hand, columns and conditions of all."""

from datetime import date, datetime

import pandas as pd
import pytest
from numpy.testing import assert_allclose

from dashboard.measures import rates
from dashboard.measures.tables import TABLES, UnknownColumn, UnknownGrouping, UnknownTable, table, where


def filled(firm):
    firm.note("hanger_size", "written_up", "acceptable", report="R1", recorded="kind", builder="Birch")
    firm.note("joist_gap", "passed", "defect", report="R1", recorded="wide", consequence=2)
    firm.note("joist_gap", "passed", "cannot_tell", report="R2", missing=["joist_gap_in"], region="Flats")
    return firm


def test_evidence_counts_write_ups_by_what_stands_beside_them(firm, published):
    firm.note("hanger_size", "written_up", "defect", report="R1", place="north", photo_count=2)
    firm.note("hanger_size", "written_up", "cannot_tell", report="R1", recommendation="Replace.", photo_count=0)
    firm.note("hanger_size", "written_up", "cannot_tell", report="R2", photo_count=0)
    firm.note("hanger_size", "passed", "acceptable", report="R3", place="south")
    firm.note("hanger_size", "not_seen", "cannot_tell", report="R4")
    found = table(published(firm), "evidence")
    assert len(found) == 1
    row = found.iloc[0]
    assert (row.inspector_id, row.topic, row.trials, row.written_up) == ("I1", "hanger_size", 3, 2)
    assert (row.with_measures, row.with_place, row.with_photo, row.with_recommendation) == (1, 1, 1, 1)
    assert (row.judged, row.judged_share) == (2, 2 / 3)


def test_a_missing_measure_counts_the_trials_that_it_left_undecided(firm, published):
    sizes = ["joist_nominal", "hanger_nominal"]
    firm.note("hanger_size", "written_up", "cannot_tell", report="R1", missing=sizes)
    firm.note("hanger_size", "passed", "cannot_tell", report="R1", missing=sizes[:1])  # the same trial
    firm.note("hanger_size", "passed", "cannot_tell", report="R2", missing=sizes[:1])
    firm.note("hanger_size", "passed", "cannot_tell", report="R3", missing=sizes[:1])
    firm.note("hanger_size", "passed", "judgment", report="R3")  # decided at another place
    firm.note("hanger_size", "not_seen", "cannot_tell", report="R4", missing=sizes)
    firm.note("joist_gap", "passed", "cannot_tell", report="R5", missing=["joist_gap_in"])
    found = table(published(firm), "missing_measures")
    assert found[["topic", "measure", "calls", "undecided"]].values.tolist() == [
        ["hanger_size", "joist_nominal", 3, 2],
        ["hanger_size", "hanger_nominal", 3, 1],
        ["joist_gap", "joist_gap_in", 1, 1],
    ]
    assert_allclose(found["share"], [2 / 3, 1 / 3, 1])
    # statsmodels proportion_confint(2, 3, method="wilson")
    assert_allclose(found.loc[0, ["share_low", "share_high"]].astype(float), [0.207660, 0.938508], atol=1e-6)


@pytest.mark.parametrize("name", TABLES)
def test_every_table_has_its_columns_in_order_even_when_empty(name, firm, published):
    assert list(table(published(firm), name).columns) == list(TABLES[name].columns)
    assert list(table(published(filled(firm)), name).columns) == list(TABLES[name].columns)


@pytest.mark.parametrize("name", TABLES)
def test_counts_are_whole_numbers_and_yes_or_no_is_true_or_false(name, firm, published):
    found = table(published(filled(firm)), name)
    for column, meaning in TABLES[name].columns.items():
        if name == "training_topics" and column == "missed":
            continue  # what is expected in a quarter is no count
        if meaning.startswith("Whether"):
            assert found[column].dtype == bool, column
        elif column in {"trials", "written_up", "judged", "defects", "decks", "inspectors", "missed", "calls"}:
            assert pd.api.types.is_integer_dtype(found[column]), column


def test_conditions_on_a_column_are_ored_and_on_columns_anded(firm, published):
    snapshot = published(filled(firm))

    def numbers(*conditions):
        return list(table(snapshot, "outcomes", conditions)["observation_id"])

    assert numbers(("topic", "joist_gap")) == ["R1:2", "R2:3"]
    assert numbers(("topic", "joist_gap"), ("topic", "hanger_size")) == ["R1:1", "R1:2", "R2:3"]
    assert numbers(("topic", "joist_gap"), ("region", "Flats")) == ["R2:3"]
    assert numbers(("topic", "no_such")) == []


def test_values_are_compared_as_they_are_written_in_csv():
    frame = pd.DataFrame(
        {
            "yes": [True, False, True],
            "count": [1, 2, 3],
            "share": [0.5, None, 0.25],
            "day": pd.to_datetime(["2026-03-04", None, "2026-03-05"]),
            "word": ["a", None, "b"],
            "empty": [None, None, None],
        }
    )

    def kept(*conditions):
        return list(where(frame, conditions)["count"])

    assert kept(("yes", "true")) == [1, 3]
    assert kept(("yes", "false")) == [2]
    assert kept(("count", "3.0")) == [3]
    assert kept(("count", "three")) == []
    assert kept(("share", "0.25"), ("share", "")) == [2, 3]
    assert kept(("day", "2026-03-04")) == [1]
    assert kept(("day", "yesterday")) == []
    assert kept(("word", "")) == [2]
    assert kept(("word", "b")) == [3]
    assert kept(("empty", "x")) == []
    assert kept(("empty", "")) == [1, 2, 3]


def test_by_selects_the_groupings_that_are_worked_out(firm, published, monkeypatch):
    snapshot = published(filled(firm))
    asked = []
    real = rates.rates_of_cells
    monkeypatch.setattr(rates, "rates_of_cells", lambda *given: asked.append(given[-1]) or real(*given))
    assert set(table(snapshot, "defect_rates", [("by", "builder")])["by"]) == {"builder"}
    assert asked == ["builder"]
    assert set(table(snapshot, "defect_rates")["by"]) == {"deck_age", "builder", "region", "deck_height"}


def test_what_is_not_known_is_refused_with_what_is(firm, published):
    snapshot = published(firm)
    with pytest.raises(UnknownTable, match=r"no table 'pattern'. Did you mean patterns\?") as table_error:
        table(snapshot, "pattern")
    assert table_error.value.known == tuple(TABLES)
    with pytest.raises(UnknownColumn, match="no column in loads 'size'"):
        table(snapshot, "loads", [("size", "1")])
    with pytest.raises(UnknownGrouping, match="deck_age, builder, region, deck_height"):
        table(snapshot, "defect_rates", [("by", "county")])


def test_loads_stand_newest_first(firm, tmp_path):
    import duckdb

    from dashboard.warehouse import Snapshot

    warehouse = firm.publish(tmp_path / "warehouse")
    with duckdb.connect(warehouse / "snapshots" / "0001.duckdb") as connection:
        for load_id, day in (("1", 1), ("2", 2)):
            values = [load_id, "a.csv", 4, 1, 1, 1, 1, datetime(2026, 1, day), "ab", None]
            connection.execute(f"insert into loads values ({', '.join('?' * 10)})", values)
    with Snapshot.open(warehouse) as snapshot:
        found = table(snapshot, "loads")
        assert list(found["load_id"]) == ["2", "1"]
        assert found["loaded_at"][0].date() == date(2026, 1, 2)
