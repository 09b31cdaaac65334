"""Case packs: drawn fairly and again the same, naming nobody, answered after the cases, and back again as a round."""

from __future__ import annotations

import csv
import io
import re
from collections import Counter
from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import Any

import openpyxl
import pypdf
import pytest
from click.testing import CliRunner
from hypothesis import given, settings
from hypothesis import strategies as st

from dashboard.cli import evenhand
from dashboard.measures import case_packs
from dashboard.measures.case_packs import GROUPS, NEAR, OPEN, RIGHT, WRONG, draw_cases
from dashboard.measures.limits import compared_with
from dashboard.measures.tables import table
from dashboard.notes import FORMATS, NoCases, UnknownPattern, UnknownTopic, case_pack, pack_on, render
from dashboard.warehouse import Snapshot
from etl.load import load
from tests.dashboard.builders import Firm
from tests.dashboard.notes.readers import plain, words_of
from tests.etl.conftest import csv_text, make_row

#: Gaps that are no defect, near a limit, a defect, not measured; each with a call that holds and one that does not.
GAPS = [
    ("0", "passed"),
    ("1/16", "written_up"),
    ("1/8", "passed"),
    ("7/16", "written_up"),
    ("1", "passed"),
    ("", "advised"),
]
PEOPLE = {"QX1": "Wilhelmina", "QX2": "Ferdinand", "QX3": "Leopoldine"}
#: Whatever of these stands in a pack tells whose case it is.
TELLING = re.compile(r"QX\d|Wilhelmina|Larkwhistle|Stonefield|north stair|2026-03-\d\d|\d Mar 2026|RR-\d|PP-\d|DD-\d")


@pytest.fixture(scope="module")
def warehouse(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Three colleagues' reports in a firm of its own; sentences name people, places, builders, days and reports."""
    folder = tmp_path_factory.mktemp("packs")
    rows = [
        make_row(
            report_id=(report := f"RR-2026-03-{10 + at}-{who}"),
            inspected_on=f"2026-03-{10 + at}",
            inspector_id=who,
            region="Stonefield",
            builder="Larkwhistle Outdoor",
            property_id=f"PP-{at}",
            deck_id=f"DD-{at}{who}",
            place="north stair",
            call=call,
            joist_gap_in=gap,
            comment=f"Gap {gap or 'there'} at the north stair, Stonefield, seen by {who} on 12 Mar 2026, built by "
            f"Larkwhistle Outdoor, see {report}.",
        )
        for who in PEOPLE
        for at, (gap, call) in enumerate(GAPS)
    ]
    (folder / "rows.csv").write_text(csv_text(rows))
    load([str(folder / "rows.csv")], folder / "warehouse")
    return folder / "warehouse"


@pytest.fixture(scope="module")
def snapshot(warehouse: Path) -> Iterator[Snapshot]:
    with Snapshot.open(warehouse) as opened:
        yield opened


@pytest.fixture(scope="module")
def made(snapshot: Snapshot) -> case_pack.DrawnPack:
    """A pack of twelve, three of each group."""
    return pack_on(snapshot, "joist_gap")


def run(warehouse: Path, *arguments: str, code: int = 0) -> str:
    done = CliRunner().invoke(evenhand, [*arguments, "--warehouse", str(warehouse)])
    assert done.exit_code == code, done.output
    return done.output


# ---- what is drawn ---------------------------------------------------------------------------------------------------


def of_groups(sizes: dict[tuple[str, str], int]) -> dict[str, list[dict[str, Any]]]:
    """Candidates: so many of each group and inspector, each with a lot of its own."""
    groups: dict[str, list[dict[str, Any]]] = {group: [] for group in GROUPS}
    for (group, inspector), number in sizes.items():
        for at in range(number):
            name = f"{group} {inspector} {at}"
            verdict = "cannot_tell" if group == OPEN else ("defect", "acceptable")[at % 2]
            facts = {"verdict": verdict, "recorded": None, "comment": None, "draw": f"{at}{inspector}"}
            groups[group].append({"observation_id": name, "deck_id": name, "inspector_id": inspector, **facts})
    return groups


sizes = st.dictionaries(st.tuples(st.sampled_from(GROUPS), st.sampled_from("ABCD")), st.integers(0, 6))


@settings(max_examples=30, deadline=None)
@given(sizes, st.integers(4, 30))
def test_groups_are_as_even_as_there_are_cases_and_no_case_comes_twice(numbers, count):
    drawn = case_packs._drawn(of_groups(numbers), count)
    there = Counter({group: sum(n for (own, _), n in numbers.items() if own == group) for group in GROUPS})
    taken = Counter(case["group"] for case in drawn)
    assert len(drawn) == len({case["observation_id"] for case in drawn}) == min(count, there.total())
    for group in GROUPS:
        # A group has fewer than another (by more than the turn that ends the draw) only where there are no more of it.
        assert taken[group] == there[group] or taken[group] >= max(taken.values()) - 1


@settings(max_examples=30, deadline=None)
@given(st.integers(1, 9), st.integers(4, 36))
def test_inspectors_are_even_where_each_has_enough_of_each_group(more, count):
    people = "ABC"
    drawn = case_packs._drawn(of_groups({(group, who): 12 + more for group in GROUPS for who in people}), count)
    by_person = Counter(case["inspector_id"] for case in drawn)
    assert max(by_person.values()) - min(by_person[who] for who in people) <= 1
    for group in (WRONG, RIGHT, NEAR):
        sides = Counter(case["verdict"] for case in drawn if case["group"] == group)
        assert abs(sides["defect"] - sides["acceptable"]) <= 2


def test_each_case_stands_in_a_group_that_is_its_own(snapshot):
    drawn = draw_cases(snapshot, "joist_gap", count=12)
    assert dict(drawn["group"].value_counts()) == dict.fromkeys(GROUPS, 3)
    assert set(drawn["inspector_id"].value_counts()) <= {3, 4, 5}
    by_group = drawn.groupby("group")["outcome"].agg(set)
    assert by_group[OPEN] == {"undecided"}
    assert by_group[WRONG] <= {"overcalled", "missed"}
    assert by_group[RIGHT] <= {"cleared", "upheld"}
    near = drawn.loc[drawn["group"] == NEAR, "observation_id"]
    measured = table(snapshot, "outcomes", []).set_index("observation_id")["reason"]
    assert all(re.search(r"7/16|1/8 in is|1/16 in is", measured[one]) for one in near)
    assert (drawn["known_verdict"].isna() == (drawn["group"] == OPEN)).all()


def test_what_cannot_be_shown_or_is_no_miss_is_not_drawn(firm, published):
    firm.note("joist_gap", "not_seen", None, comment="Snow.")
    firm.note("joist_gap", "passed", "cannot_tell")  # nothing of it to show
    firm.note("joist_gap", "passed", "judgment", joist_gap_in=0.25)
    firm.note("joist_gap", "written_up", "defect", joist_gap_in=1, report="R9", deck="D9")
    firm.note("joist_gap", "passed", "defect", joist_gap_in=1, report="R9", deck="D9")  # written up elsewhere
    snapshot = published(firm)
    assert list(draw_cases(snapshot, "joist_gap")["observation_id"]) == ["R9:4"]
    with pytest.raises(NoCases):
        pack_on(published(Firm()), "joist_gap")


@pytest.mark.parametrize(
    ("rule", "numbers"),
    [
        ({"defect": "joist_gap_in > 0.375", "acceptable": "joist_gap_in <= 0.125"}, [0.125, 0.375]),
        ({"defect": "joist_gap_in not between 34 and 38 and other_in > 2", "acceptable": None}, [34, 38]),
        ({"defect": "joist_gap_in < 0.60 * joist_depth", "acceptable": "not_joist_gap_in > 3"}, []),
        ({"defect": "joist_gap_in > case place when 'deck' then 4 when 'stair' then 4.375 end"}, [4, 4.375]),
    ],
)
def test_the_numbers_that_a_rule_compares_a_measure_with(rule, numbers):
    assert compared_with({"acceptable": None} | rule, "joist_gap_in") == numbers


def test_the_same_snapshot_gives_the_same_pack_and_another_one_another(firm, published, tmp_path):
    firm.many(30, "joist_gap", "passed", "defect", joist_gap_in=1)
    made = [pack_on(published(firm), "joist_gap", count=6) for _ in range(2)]
    for suffix in (".docx", ".pdf"):
        assert render(made[0].pack, suffix) == render(made[1].pack, suffix)
    with Snapshot.open(firm.publish(tmp_path / "later", snapshot="0002")) as later:
        assert pack_on(later, "joist_gap", count=6).pack.questions != made[0].pack.questions


def test_a_kind_a_topic_or_an_ending_that_is_not_there_is_told(snapshot, warehouse, tmp_path):
    with pytest.raises(UnknownTopic):
        pack_on(snapshot, "no_topic")
    for kind in ("joist_gap:no-such-kind", "hanger_size:2x10-joist-in-2x8-hanger"):
        with pytest.raises(UnknownPattern, match="joist_gap:gap-1-2-in-or-more"):
            pack_on(snapshot, "joist_gap", kind)
    only = pack_on(snapshot, "joist_gap", "joist_gap:gap-1-2-in-or-more", count=4)
    assert {question.recorded for question in only.pack.questions} == {(("Gap at the joist end", "1\u00a0in"),)}
    out = str(tmp_path / "pack.pdf")
    told = run(warehouse, "cases", "--topic", "joist_gap", "--out", out, "--with-answers", code=2)
    assert "are for a sheet" in told


# ---- what people see -------------------------------------------------------------------------------------------------


def test_every_format_has_every_sentence_in_order_and_names_nobody(made):
    for suffix in FORMATS:
        content = render(made.pack, suffix)
        text, at = words_of(suffix, content), 0
        if suffix == ".docx":  # the reader gives paragraphs first, then the cells of tables
            assert all(plain(sentence) in text for sentence in made.pack.texts())
        else:
            for sentence in map(plain, made.pack.texts()):
                found = text.find(sentence, at)
                assert found >= 0, (suffix, sentence)
                at = found + len(sentence)
        assert text.count(plain("Write up")) == 12 * ("Write up" in made.pack.boxes)
        assert not re.search(TELLING.pattern.replace(" ", ""), text), suffix
    sheet = case_pack.sheet(made, ["A1"]).to_csv()
    assert not TELLING.search(sheet)
    assert TELLING.search(case_pack.sheet(made, with_answers=True).to_csv())


def test_answers_stand_on_pages_after_the_cases(made):
    pages = [page.extract_text() for page in pypdf.PdfReader(io.BytesIO(render(made.pack, ".pdf"))).pages]
    first = next(at for at, text in enumerate(pages) if made.pack.answers_heading in text and at)
    before, after = plain("".join(pages[:first])), plain("".join(pages[first:]))
    assert {answer.verdict for answer in made.pack.answers} == {
        "A defect: write it up, or refer it.",
        "Acceptable: no defect.",
        "Cannot be told from this: measure first.",
    }
    for question, answer in zip(made.pack.questions, made.pack.answers, strict=True):
        assert plain(question.code) in before
        assert plain(question.code) not in after
        assert plain(answer.verdict) in after
        assert plain(answer.verdict) not in before
        assert plain(answer.called) not in before


def test_a_persons_reason_for_a_ruling_names_nobody(firm, published):
    firm.note("joist_gap", "passed", "defect", joist_gap_in=1, inspector_id="QX1", region="Stonefield")
    firm.look("acceptable", reason="QX1 showed me the shim in Stonefield on 2026-03-04")
    answer = pack_on(published(firm), "joist_gap").pack.answers[0]
    assert answer.verdict == "Acceptable: no defect."
    assert "the shim in" in answer.why
    assert not TELLING.search(answer.why)


def test_the_joist_gap_answer_says_its_numbers_and_its_rule(made):
    told = {answer.why: answer for answer in made.pack.answers}
    wide = told["Gap 1\u00a0in is over 3/8\u00a0in."]
    assert (wide.called, wide.glyph) == ("In the report it was passed over.", "▼")
    assert wide.source.startswith("Gap between joist end and support: common practice")


# ---- there and back --------------------------------------------------------------------------------------------------


def filled(sheet: list[dict[str, Any]], calls: dict[str, str]) -> list[dict[str, Any]]:
    return [row | {"call": calls[row["inspector_id"]]} for row in sheet]


@pytest.mark.parametrize("suffix", [".csv", ".xlsx"])
def test_a_sheet_filled_in_comes_back_as_a_round(warehouse, tmp_path, suffix):
    """A1 writes up everything, B2 nothing: what was drawn says what they must have come to."""
    name, out = f"June {suffix}", tmp_path / f"sheet{suffix}"
    options = ["--inspector", "A1", "--inspector", "B2", "--held-on", "2026-06-01", "--round-id", name]
    run(warehouse, "cases", "--topic", "joist_gap", "--out", str(out), *options)
    calls = {"A1": "written_up", "B2": "passed"}
    if suffix == ".csv":
        rows = list(csv.DictReader(io.StringIO(out.read_text("utf-8-sig"))))
        assert [*rows[0]] == [*case_pack.ROUND_COLUMNS, *case_pack.READ_COLUMNS]
        assert {row["observation_id"] + row["known_verdict"] for row in rows} == {""}
        out.write_text(csv_text(filled(rows, calls)))
    else:
        book = openpyxl.load_workbook(out)
        sheet = book.worksheets[0]
        (choice,) = sheet.data_validations.dataValidation
        assert choice.formula1 == '"written_up,referred,advised,passed,not_seen"'
        head = [cell.value for cell in sheet[1]]
        for row in sheet.iter_rows(min_row=2):
            row[head.index("call")].value = calls[row[head.index("inspector_id")].value]
        book.save(out)
    told = run(warehouse, "load", str(out))
    assert "Read 24 rows from 1 file: 24 new." in told
    found = csv.DictReader(io.StringIO(run(warehouse, "table", "round_results", "--where", f"round_id={name}")))
    result = {(row["topic"], row["inspector_id"]): row for row in found}
    defects, sound = result["joist_gap", "A1"]["defects"], result["joist_gap", "A1"]["sound"]
    assert int(defects) + int(sound) == 9  # three of the twelve could not be judged
    assert {int(defects), int(sound)} <= {4, 5}
    counts = ("right", "missed", "false_alarms")
    assert [result["joist_gap", "A1"][count] for count in counts] == [defects, "0", sound]
    assert [result["joist_gap", "B2"][count] for count in counts] == [sound, defects, "0"]
    assert result["joist_gap", "A1"]["held_on"].startswith("2026-06-01")
    assert result["joist_gap", "A1"]["missed_mark"] == "cannot_tell"
    assert result["joist_gap", "A1"]["missed_needed"] == "183.0"


def test_with_answers_the_truth_travels_with_the_sheet(made):
    known = case_pack.sheet(made, held_on=date(2026, 6, 1), with_answers=True)
    assert list(known["known_verdict"].fillna("")) == list(made.cases["known_verdict"].fillna(""))
    assert list(known["observation_id"]) == list(made.cases["observation_id"])
    assert known["inspector_id"].isna().all()
