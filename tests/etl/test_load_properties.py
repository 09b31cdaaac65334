"""Whatever the bytes: no row is lost, and what a report says does not depend on how it was written down."""

from __future__ import annotations

import csv
import tempfile
from pathlib import Path

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.etl.conftest import Firm, csv_text, make_row

RELAXED = settings(
    max_examples=7,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)
cell = st.text(
    st.characters(exclude_categories=["Cs"], exclude_characters="\0"),
    max_size=12,
)
rows = st.lists(
    st.builds(
        lambda report, number, comment, gap, call: make_row(
            report_id=report, observation_no=number, comment=comment, joist_gap_in=gap, call=call
        ),
        st.sampled_from(["R1", "R2", "R3", ""]),
        st.sampled_from(list("12345")),
        cell,
        st.sampled_from(["", "1/2", "½", "0.5", "1/4 or so", "13"]),
        st.sampled_from(["passed", "written_up", "maybe"]),
    ),
    min_size=1,
    max_size=12,
)


def new_firm() -> Firm:
    return Firm(Path(tempfile.mkdtemp(prefix="evenhand-test-")))


def accounted_for(summary) -> bool:
    parts = (summary.rows_loaded, summary.rows_replaced, summary.rows_unchanged, summary.rows_rejected)
    return sum(parts) == summary.rows_read


@RELAXED
@given(st.binary(max_size=400), st.sampled_from(["csv", "jsonl", "json", "xlsx", "parquet"]))
def test_any_bytes_are_read_or_refused_by_name_and_the_good_file_beside_them_loads(content, ending):
    firm = new_firm()
    bad = firm.write(f"bad.{ending}", content)
    summary = firm.load(bad, firm.write("good.csv", [make_row()]))
    assert accounted_for(summary)
    assert summary.observations == 1
    read = next(file for file in summary.loads if file.file == bad)
    assert read.problem or read.rows_read == read.rows_rejected


@RELAXED
@given(rows, st.sampled_from([",", ";", "\t"]), st.sampled_from(["\n", "\r\n"]))
def test_every_row_that_was_written_is_accounted_for(written, delimiter, line_end):
    """Counted independently: the rows that a writer wrote into a valid CSV file, whatever their cells hold."""
    firm = new_firm()
    path = firm.folder / "rows.csv"
    with path.open("w", encoding="utf-8", newline="") as file:
        # Python 3.11 leaves a carriage return in a cell unquoted, where it would be a line end: no valid CSV (RFC 4180).
        quoting = csv.QUOTE_ALL if any("\r" in row["comment"] for row in written) else csv.QUOTE_MINIMAL
        writer = csv.DictWriter(file, list(written[0]), delimiter=delimiter, lineterminator=line_end, quoting=quoting)
        writer.writeheader()
        writer.writerows(written)
    summary = firm.load(str(path))
    assert summary.rows_read == len(written)
    assert accounted_for(summary)
    kept = firm.query("select count(*) from observations")[0][0] if summary.published else 0
    assert kept == summary.rows_loaded
    assert len(firm.rejects()) == summary.rows_rejected


@RELAXED
@given(rows, st.data())
def test_the_bytes_of_a_damaged_file_are_accounted_for_too(written, data):
    """A valid file with some bytes changed: rows may break, none may vanish from the counts, none may be added."""
    content = bytearray(csv_text(written).encode())
    for _ in range(data.draw(st.integers(1, 3))):
        content[data.draw(st.integers(0, len(content) - 1))] = data.draw(st.integers(0, 255))
    firm = new_firm()
    summary = firm.load(firm.write("rows.csv", bytes(content)), firm.write("good.csv", [make_row(report_id="G")]))
    assert accounted_for(summary)
    assert summary.rows_read - 1 <= content.count(b"\n") + content.count(b"\r") + 1
    assert firm.query("select count(*) from observations where report_id = 'G'")[0][0] >= 1


@RELAXED
@given(rows)
def test_loading_the_same_file_again_changes_nothing(written):
    firm = new_firm()
    path = firm.write("rows.csv", written)
    first = firm.load(path)
    second = firm.load(path)
    assert not second.published
    assert second.rows_unchanged == first.rows_loaded + first.rows_unchanged
    assert second.rows_rejected == first.rows_rejected


@RELAXED
@given(
    st.sampled_from(["passed", "written_up", "advised", "not_seen"]),
    st.sampled_from(["", "1/16", "1/4", "1/2"]),
    st.integers(1, 4),
)
def test_repeating_an_observation_at_more_places_changes_no_trial(call, gap, places):
    def trials_of(n):
        firm = new_firm()
        firm.load_rows(
            [make_row(observation_no=str(i), place=f"bay {i}", call=call, joist_gap_in=gap) for i in range(n)]
        )
        return firm.query("select * exclude (rows) from trials")

    assert trials_of(1) == trials_of(1 + places)
