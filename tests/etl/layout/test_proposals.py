"""What is proposed for files that nobody has seen: what speaks for itself, and what is asked."""

from __future__ import annotations

import tomllib
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

from etl.layout.aliases import column_like, column_within, is_private, severity, unit_of, word_like
from etl.layout.suggest import suggest
from etl.readers.sources import find_sources


def proposed(firm, *paths: str) -> dict[str, Any]:
    return tomllib.loads(suggest(find_sources(list(paths), firm.folder), firm.folder))


@pytest.mark.parametrize(
    ("label", "column", "sure"),
    [
        ("Jst gap", "joist_gap_in", True),  # short words in full
        ("Height of the deck", "deck_height_in", True),  # in any order
        ("srvyr_cd", "inspector_id", True),  # a code of a thing
        ("cmAboveGround", "deck_height_in", True),  # a unit before it
        ("Girder height", None, False),
        ("area_sqm", None, False),  # an area is no region
        ("Lowest riser height", None, False),
        ("Observateur", None, False),
    ],
)
def test_a_label_is_read_in_full_in_any_order_and_with_its_unit(label, column, sure):
    found = column_like(label)
    assert (found and found.meant, bool(found and found.sure)) == (column, sure)


def test_what_is_lowest_is_never_taken_for_what_is_tallest():
    assert column_like("Tallest step").meant == "riser_max_in"
    assert column_like("Lowest step").meant == "riser_min_in"
    assert column_within("Rail height where it is lowest") == "guard_height_in"
    assert unit_of("cmAboveGround") == "cm"


def test_small_words_are_nothing_in_a_label_and_all_there_is_in_an_answer():
    assert word_like("No", "call") is None
    assert word_like("There", "call") is None
    assert word_like("balustrade too low", "topic").meant == "guard_height"
    assert (severity("fault, minor"), severity("fault"), severity("minor, and urgent")) == ("1", None, None)


def test_advice_to_a_client_is_advice_and_a_client_is_private():
    assert not is_private("Advice to client")
    assert is_private("Client")
    assert is_private("cust_eml")


def test_groups_of_numbered_columns_are_an_observation_each_and_load(firm):
    header = "File,Went,Tech,Zone,Item 1,Rating 1,Note 1,Item 2,Rating 2,Note 2"
    rows = [f"J{n},2026-03-0{n},jg{n % 2},Ridge,Joist gap,Fail,Gap seen {n},Rot,Pass," for n in range(1, 6)]
    path = firm.write("groups.csv", "\n".join([header, *rows]) + "\n")
    text = suggest(find_sources([path], firm.folder), firm.folder)
    layout = tomllib.loads(text)
    assert [wide["columns"]["topic"]["from"] for wide in layout["wide"]] == ["Item 1", "Item 2"]
    assert layout["columns"]["report_id"]["confirmed"] is False  # found by its cells
    settled = firm.folder / firm.write("layout.toml", text.replace("confirmed = false", "confirmed = true"))
    assert firm.load(path, layout=settled).observations == 10
    assert firm.query("select distinct observation_no, topic, call from recorded order by 1") == [
        ("1", "joist_gap", "written_up"),
        ("2", "wood_decay", "passed"),
    ]


def test_a_name_that_two_columns_bear_is_asked_and_years_that_stand_first_are_seen(firm):
    header = "Report,Seen,Inspector,Region,Zone,Topic,Call"
    days = ["25/05/31", "25/06/14", "26/01/20", "26/02/27", "25/11/09", "26/03/18"]
    rows = [f"R{n},{day},AB,{'NS'[n % 2]}W sales,Ridge {n % 3},Joist gap,Pass" for n, day in enumerate(days)]
    columns = proposed(firm, firm.write("rows.csv", "\n".join([header, *rows]) + "\n"))["columns"]
    assert columns["region"]["from"] == "Region"
    assert "'Zone' is called like it too" in columns["region"]["ask"]
    assert (columns["inspected_on"]["dates"], columns["inspected_on"]["confirmed"]) == ("year month day", False)


def test_codes_are_read_by_their_list_and_a_grade_that_says_how_bad_gives_the_consequence(firm):
    lines = firm.write(
        "lines.csv",
        "report no,date,inspector,area,seq,item_cd,grade\n"
        + "".join(f"R{n},2026-03-0{n},AB,North,{n},{100 + n % 3},{n % 4}\n" for n in range(1, 9)),
    )
    items = firm.write("items.csv", "item_cd,descr\n100,ledger bolts\n101,wood rot\n102,stair tread\n")
    grades = firm.write(
        "grades.csv", 'grade,descr\n0,satisfactory\n1,"fault, minor"\n2,"fault, urgent"\n3,maintenance\n'
    )
    layout = proposed(firm, lines, items, grades)
    columns = layout["columns"]
    assert columns["topic"]["words"] == {"100": "ledger_fasteners", "101": "wood_decay", "102": "stair_tread"}
    assert columns["call"]["words"] == {"0": "passed", "1": "written_up", "2": "written_up", "3": "advised"}
    assert columns["consequence"]["words"] == {"0": "", "1": "1", "2": "3", "3": ""}
    assert columns["consequence"]["confirmed"] is False
    assert len(layout["tables"]) == 1  # the lists are not needed for a load


def test_a_comment_that_tells_topic_and_call_is_offered_and_a_heading_before_it_is_preferred(firm):
    header = "Report,Day,Who,Area,Remarks\n"
    told = ["No flashing over the ledger, must be added.", "Hangers rusted through, replace.", "Guard wobbles; fix."]
    plain = "".join(f'R{n},2026-03-0{n % 9 + 1},AB,North,"{text}"\n' for n, text in enumerate(told * 3))
    columns = proposed(firm, firm.write("plain.csv", header + plain))["columns"]
    for name in ("topic", "call"):
        assert (columns[name]["from"], columns[name]["confirmed"]) == ("(comment)", False)
    assert "Of 3 that were looked at 3 tell it" in columns["topic"]["ask"]
    heads = ["Guard height: 34 in.", "Stair tread: short", "Guard height: fine now", "Stair tread: even"]
    headed = "".join(f"R{n},2026-03-0{n % 9 + 1},AB,North,{text} {n}\n" for n, text in enumerate(heads * 3))
    topic = proposed(firm, firm.write("headed.csv", header + headed))["columns"]["topic"]
    assert (topic["from"], topic["confirmed"]) == ("Remarks", False)
    assert topic["part"].startswith("^(")


SPREAD = """
[[tables]]
files = "lines.csv"
[[tables.skip]]
table = "visits"
column = "state"
equals = ["void"]
[[tables]]
name = "visits"
files = "visits.csv"
join = {visit = "visit"}
[[tables]]
name = "readings"
files = "readings.csv"
join = {line = "line"}
spread = {by = "what", value = "value", unit = "unit"}
[columns]
report_id.from = "visit"
inspected_on = {from = "day", table = "visits"}
inspector_id.default = "AB"
region.default = "Ridge"
observation_no.from = "line"
topic.from = "topic"
call.from = "call"
guard_height_in = {from = "RAIL", table = "readings", unit_from = "RAIL unit"}
opening_in = {from = "GAP", table = "readings", unit_from = "GAP unit"}
photo_count = {from = "shots", counted = true, default = "0"}
"""


def test_readings_one_a_row_become_columns_and_a_joined_table_leaves_rows_out(firm):
    lines = [("1", "V1", "a.jpg; b.jpg"), ("2", "V1", ""), ("3", "V2", ""), ("4", "V1", "c.jpg")]
    paths = [
        firm.write("visits.csv", "visit,day,state\nV1,2026-03-02,done\nV2,2026-03-03,void\n"),
        firm.write("readings.csv", "line,what,value,unit\n1,RAIL,900,mm\n1,GAP,4,in\n4,RAIL,34,in\n4,RAIL,35,in\n"),
        firm.write(
            "lines.csv",
            "line,visit,topic,call,shots\n" + "".join(f"{n},{v},guard_height,passed,{s}\n" for n, v, s in lines),
        ),
    ]
    firm.load(*paths, layout=Path(firm.folder / firm.write("layout.toml", SPREAD)))
    assert firm.query("select observation_no, guard_height_in, opening_in, photo_count from recorded order by 1") == [
        ("1", Decimal("35.433071"), Decimal(4), 2),
        ("2", None, None, 0),
    ]
    assert [reject["reasons"].split(":")[0] for reject in firm.rejects()] == ["joined_twice"]
