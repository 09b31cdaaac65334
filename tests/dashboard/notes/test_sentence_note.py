"""The note on a stock sentence: its numbers are the table's, and it names nobody."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from click.testing import CliRunner

from dashboard import notes
from dashboard.cli import evenhand
from dashboard.measures.tables import table
from dashboard.warehouse import Snapshot
from tests.dashboard.builders import Firm
from tests.dashboard.notes.readers import plain, words_of


@pytest.fixture(scope="module")
def snapshot(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Snapshot]:
    firm = Firm()
    for at, person in enumerate(("Quill", "Quoin", "Quill", "Quoin", "Quill", "Quill")):
        facts = {"comment": f"Small gap, {at}/8 in, seen by Quill.", "inspector_id": person, "recorded": "small gap"}
        firm.note("joist_gap", "written_up", "acceptable" if at else "defect", **facts)
    firm.many(6, "other", "written_up", None, comment="Odd.")
    with Snapshot.open(firm.publish(tmp_path_factory.mktemp("firm"))) as opened:
        yield opened


@pytest.mark.parametrize("suffix", [".md", ".pdf"])
def test_each_number_is_the_tables_and_nobody_is_named(snapshot: Snapshot, suffix: str) -> None:
    row = next(row for row in table(snapshot, "stock_sentences").itertuples() if row.topic == "joist_gap")
    told = words_of(suffix, notes.render(notes.note_on_sentence(snapshot, row.sentence_id), suffix))
    low, high = f"{100 * row.share_low:.0f}", f"{100 * row.share_high:.0f}"
    for wanted in (
        f"{row.overcalled} of {row.judged} write-ups with it do not hold",
        f"{row.overcalled} of {row.judged} judged do not hold ({low} to {high} %)",
        f"it stands in {row.uses} write-ups by {row.inspectors} inspectors",
        f"the interval counts {row.habits} habits",
        "Small gap, …, seen by …",
    ):
        assert plain(wanted) in told
    assert not any(name in told for name in ("Quill", "Quoin"))


def test_a_sentence_that_is_none_or_has_no_rule_is_refused_with_what_to_do(snapshot: Snapshot) -> None:
    odd = next(row for row in table(snapshot, "stock_sentences").itertuples() if row.topic == "other")
    for asked in ("S-0", odd.sentence_id):
        with pytest.raises(notes.UnknownSentence, match="`evenhand table stock_sentences` lists them"):
            notes.note_on_sentence(snapshot, asked)
    assert CliRunner().invoke(evenhand, ["note", "--out", "x.md"]).exit_code == 2
