"""From a foreign file to a load: suggested, reviewed, loaded, with exact counts and the rows of the source."""

from __future__ import annotations

from pathlib import Path

import duckdb
import pytest
from click.testing import CliRunner

from dashboard.cli import evenhand
from etl.errors import LayoutError, MixedPassesError
from etl.layout.model import settled
from etl.layout.suggest import suggest
from etl.readers import find_sources
from tests.etl.conftest import csv_text, make_row
from tests.etl.layout import foreign_firms


def suggested(firm, *paths: str) -> str:
    return suggest(find_sources(list(paths), firm.folder), firm.folder)


def reviewed(firm, text: str, **answers: str) -> Path:
    """The layout with its guesses confirmed and its question marks answered, as a person who knows the firm would."""
    text = text.replace("confirmed = false", "confirmed = true")
    for word, meant in answers.items():
        asked = f'{word} = "?"'
        assert asked in text
        text = text.replace(asked, f'{word} = "{meant}"')
    return Path(firm.write("layout.toml", text))


def counts(summary) -> tuple[int, int, int]:
    return summary.rows_read, summary.rows_loaded, summary.rows_rejected


def test_a_sheet_with_title_bands_and_merged_cells(firm):
    path = firm.write("findings.xlsx", foreign_firms.titled_sheet())
    text = suggested(firm, path)
    assert "header_row = 4\nheader_rows = 2" in text
    summary = firm.load(path, layout=reviewed(firm, text))
    assert counts(summary) == (6, 6, 0)
    assert summary.notices == [f"{path}: 1 row is no observation, as the layout says"]
    found = firm.query("select report_id, region, joist_nominal, call, observation_no from observations order by 1, 5")
    assert found[:2] == [("100", "North", "2x10", "written_up", "1"), ("100", "North", "2x10", "passed", "2")]


def test_two_sheets_are_joined_and_a_row_without_its_partner_is_refused_by_its_number(firm):
    path = firm.write("book.xlsx", foreign_firms.two_sheets())
    summary = firm.load(path, layout=reviewed(firm, suggested(firm, path)))
    assert counts(summary) == (7, 6, 1)
    (reject,) = firm.rejects()
    assert (reject["file"], reject["row"], reject["report_id"]) == (f"{path} [Items]", 11, "J9")
    assert reject["reasons"] == "not_joined: no row of the table jobs has its Job No"
    found = "select distinct joist_gap_in::double, deck_height_in::double from observations where call = 'written_up'"
    assert firm.query(found) == [(0.314961, 90.0)]  # 8 mm at 25.4 mm an inch; 7 ft 6 in


def test_a_wide_table_becomes_long_and_blank_cells_say_nothing(firm):
    path = firm.write("wide.csv", foreign_firms.wide_table())
    text = suggested(firm, path)
    assert 'decimal = ","  # proved by 91,5' in text
    assert 'dates = "day month year"  # proved by 14.03.2026' in text
    summary = firm.load(path, layout=reviewed(firm, text))
    assert counts(summary) == (3, 3, 0)
    found = "select observation_no, call, guard_height_in::double, comment from observations order by report_id, 1"
    assert firm.query(found) == [
        ("guard_height", "passed", 36.023622, None),
        ("guard_opening", "written_up", None, "Lücke zu weit"),
        ("guard_opening", "passed", None, None),
    ]


def test_documents_of_another_form_are_read_with_their_named_values(firm):
    path = firm.write("export.json", foreign_firms.nested_documents())
    summary = firm.load(path, layout=reviewed(firm, suggested(firm, path)))
    assert counts(summary) == (2, 2, 0)
    assert summary.unknown_columns == ["made"]
    assert firm.query("select report_id, joist_gap_in::double, comment from observations order by 1")[0] == (
        "I1",
        0.314961,
        "gap at the end",
    )


def test_what_is_not_settled_is_named_with_its_line_and_nothing_is_loaded(firm):
    path = firm.write("rows.csv", [make_row(call="Marginal"), make_row(call="Pass", observation_no="2")])
    text = suggested(firm, path)
    layout = firm.write("layout.toml", text)
    done = CliRunner().invoke(evenhand, ["load", path, "--layout", layout, "--warehouse", str(firm.warehouse)])
    assert isinstance(done.exception, LayoutError)
    places = {line: number for number, line in enumerate(text.splitlines(), 1)}
    told = str(done.exception)
    assert "nothing was loaded, since 2 things are not settled yet" in told
    assert f"line {places['confirmed = false']}, columns.call.confirmed: Do these words stand for these calls?" in told
    question = places['Marginal = "?"  # 1 row']
    assert f"line {question}, columns.call.words.Marginal: nobody has said what this stands for" in told
    assert not firm.warehouse.exists()


@pytest.mark.parametrize(
    ("days", "order"),
    [
        (["03/04/2026", "05/06/2026"], '"?"'),
        (["03/14/2026", "05/06/2026"], '"month day year"'),
        (["14/03/2026", "05/06/2026"], '"day month year"'),
        (["14/03/2026", "03/14/2026"], '"?"'),
        (["14.03.2026", "03/14/2026"], '{ "/" = "month day year", "." = "day month year" }'),
    ],
)
def test_the_order_of_dates_is_written_only_where_the_data_prove_it(firm, days, order):
    rows = [make_row(report_id=str(i), inspected_on=day) for i, day in enumerate(days)]
    assert f"\ndates = {order}" in suggested(firm, firm.write("rows.csv", rows))


def test_a_word_that_could_mean_two_calls_is_asked_for(firm):
    rows = [make_row(call=word, observation_no=str(i)) for i, word in enumerate(["Marginal", "Unsat", "Pass"])]
    text = suggested(firm, firm.write("rows.csv", rows))
    assert 'Marginal = "?"  # 1 row' in text
    assert 'Unsat = "written_up"' in text
    layout = reviewed(firm, text, Marginal="refuse")
    summary = firm.load(str(firm.folder / "rows.csv"), layout=layout)
    assert counts(summary) == (3, 2, 1)
    assert firm.rejects()[0]["reasons"] == "refused_by_layout: call holds a word that is refused"


IMPLIED = """
layout = 1
passes = "implied"
covered_topics = ["joist_gap", "guard_height", "wood_decay"]
[[tables]]
files = "findings.csv"
[[tables]]
name = "jobs"
files = "jobs.csv"
join = { job = "job" }
[columns]
report_id = { from = "job" }
inspected_on = { from = "day", table = "jobs" }
inspector_id = { from = "who", table = "jobs" }
region = { default = "North" }
topic = { from = "what" }
call = { default = "written_up" }
"""


def test_what_a_report_of_write_ups_does_not_mention_is_passed_and_never_beside_explicit_passes(firm):
    firm.write("jobs.csv", "job,day,who\n1,2026-03-04,AB\n2,2026-03-05,AB\n")
    firm.write("findings.csv", "job,what\n1,joist_gap\n")
    layout = Path(firm.write("implied.toml", IMPLIED))
    paths = [str(firm.folder / name) for name in ("findings.csv", "jobs.csv")]
    assert counts(firm.load(*paths, layout=layout)) == (6, 6, 0)
    found = firm.query("select report_id, topic, call, passes from observations order by 1, 2")
    assert found[:3] == [
        ("1", "guard_height", "passed", "implied"),
        ("1", "joist_gap", "written_up", "implied"),
        ("1", "wood_decay", "passed", "implied"),
    ]
    assert [row[1:3] for row in found[3:]] == [
        (topic, "passed") for topic in ("guard_height", "joist_gap", "wood_decay")
    ]
    assert firm.load(*paths, layout=layout).published is False
    with pytest.raises(MixedPassesError):
        firm.load_rows([make_row(report_id="R9")], "explicit.csv")


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("layout = ", "it is not TOML"),
        ("layout = 1\n[[tables]]\n", "no column says report_id"),
        (IMPLIED.replace('"what"', '"what", unit = "furlong"'), "line 16, columns.topic.unit: it is not one of in, ft"),
        (
            IMPLIED.replace("[columns]", '[columns]\nclient = { default = "x" }'),
            "client is not a column of the contract",
        ),
        (IMPLIED.replace("covered_topics", "covered"), "line 4, covered: a layout has no such key"),
    ],
)
def test_a_layout_that_cannot_be_used_says_where_and_why(text, says):
    with pytest.raises(LayoutError) as error:
        settled("layout.toml", text)
    assert says in str(error.value)


PLANTED = ("Fenwick", "Tane", "555-0142", "Alder Street", "example.org", "Quilliam")


def everything_in(folder: Path) -> str:
    """All text that a warehouse folder holds: names of files, logs, and every cell of every table and Parquet file."""
    told = [str(path.relative_to(folder)) for path in folder.rglob("*")]
    told += [path.read_text() for path in folder.rglob("*.json")]
    with duckdb.connect() as connection:
        for path in folder.rglob("*.parquet"):
            told += map(str, connection.execute("from read_parquet(?)", [str(path)]).fetchall())
    for path in folder.rglob("*.duckdb"):
        with duckdb.connect(str(path), read_only=True) as connection:
            for (table,) in connection.execute("select table_name from duckdb_tables()").fetchall():
                told += map(str, connection.execute(f'from "{table}"').fetchall())
    return "\n".join(told)


def test_nothing_private_reaches_warehouse_log_rejects_or_export(firm):
    """Planted: in columns of names, addresses, mails and phones, above the header, in sentences, in a file's name, in a
    row that is shifted, in rows that are refused."""
    head = "Job No,Date,Inspector,Area,Client Name,Site Address,Phone,Item,Result,Notes\n"
    rows = [
        '1,2026-03-04,AB,North,Ada Fenwick,12 Alder Street,614-555-0142,Rot,Fail,"hanger loose, told Fenwick"',
        "2,2026-03-05,AB,North,Bo Tane,9 Alder Street,,Rot,Maybe,ask bo tane at tane@example.org or 614 555-0142",
        "3,2026-03-06,AB,North,Tane, Bo,9 Alder Street,,Rot,Fail,a comma too many",
        "4,2026-31-31,AB,North,Bo Tane,,,Rot,Fail,owner: Bo Tane lives at 9 Alder Street",
    ]
    path = firm.write("Quilliam.csv", f"Prepared for:,Cy Quilliam,,,,,,,,\n\n{head}" + "\n".join(rows) + "\n")
    text = suggested(firm, path)
    assert not [planted for planted in PLANTED if planted in text]
    assert 'private = ["Client Name", "Site Address", "Phone"' in text
    layout = reviewed(firm, text.replace("layout = 1", "layout = 1\nprivate_file_names = true"), Maybe="refuse")
    summary = firm.load(path, layout=layout)
    assert counts(summary) == (4, 1, 3)
    rejects = CliRunner().invoke(evenhand, ["rejects", "--warehouse", str(firm.warehouse)]).stdout
    exported = CliRunner().invoke(evenhand, ["table", "outcomes", "--warehouse", str(firm.warehouse)]).stdout
    held = everything_in(firm.warehouse)
    assert "hanger loose" in held
    assert "hanger loose" in exported
    for text in (held, rejects, exported, summary.model_dump_json()):
        assert not [planted for planted in PLANTED if planted.casefold() in text.casefold()]


def test_sentences_of_any_load_are_masked(firm):
    said = "Call Mr. Fenwick, 614-555-0142 or tane@example.org, at 12 Alder Street"
    for name in ("rows.csv", "rows.jsonl"):
        firm.load_rows(
            [make_row(report_id=name, comment=said), make_row(report_id="R2", call="maybe", comment=said)], name
        )
        assert firm.rejects()[0]["comment"] == "Call [name], [phone] or [e-mail], at [address]"
    assert firm.query("select distinct comment from observations") == [
        ("Call [name], [phone] or [e-mail], at [address]",)
    ]


def test_a_layout_and_the_contract_read_the_same_rows_alike(firm):
    """A file in the contract needs nothing settled but its calls, and loads to the same content."""
    rows = [make_row(comment="seen", joist_gap_in="1/2"), make_row(observation_no="2", topic="wood_decay")]
    path = firm.write("rows.csv", csv_text(rows))
    text = suggested(firm, path)
    assert "?" not in text.replace("question mark", "").split("layout = 1")[1].split("ask =")[0]
    firm.load(path)
    assert firm.load(path, layout=reviewed(firm, text)).rows_unchanged == 2
