"""The note of a month: each number is the table's, what luck gives stands beside what lies beyond it, nobody is named."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pandas as pd
import pytest
from click.testing import CliRunner

from dashboard import labels, notes
from dashboard.cli import evenhand
from dashboard.measures.months import ALL
from dashboard.measures.over_time import OverTime, over_time
from dashboard.measures.tables import table
from dashboard.warehouse import Snapshot
from tests.dashboard.builders import Firm
from tests.dashboard.notes.readers import plain, words_of
from tests.dashboard.notes.rendered import check_looks, pages

BAD, QUIET, THIN = "2026-03", "2026-02", "2026-09"
PEOPLE = ("Quill", "Quoin", "Quartz")
TABLES = {"written_up": "months", "missed": "months_of_outcomes", "overcalled": "months_of_outcomes"}


def year() -> Firm:
    """Fourteen months of joist gaps: 2 of 30 wide ones passed over in each, 20 of 30 in one; then a month of 3 calls."""
    firm = Firm()
    for at in range(14):
        day = date(2025 + (at + 6) // 12, (at + 6) % 12 + 1, 5)
        missed = 20 if day.strftime("%Y-%m") == BAD else 2
        for number in range(30):
            facts = {"inspected_on": day, "inspector_id": PEOPLE[number % 3], "joist_gap_in": 1.0}
            verdict = "defect" if number < missed else "acceptable"
            firm.note("joist_gap", "passed", verdict, comment=f"Seen by {PEOPLE[number % 3]}.", **facts)
        firm.many(12, "hanger_size", "written_up", "defect", inspected_on=day, inspector_id="Quill")
    firm.many(3, "joist_gap", "passed", "acceptable", inspected_on=date(2026, 9, 5), inspector_id="Quoin")
    return firm


@pytest.fixture(scope="module")
def snapshot(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Snapshot]:
    with Snapshot.open(year().publish(tmp_path_factory.mktemp("year"))) as opened:
        yield opened


@pytest.fixture(scope="module")
def moved(snapshot: Snapshot) -> OverTime:
    return over_time(snapshot)


@pytest.fixture(scope="module")
def shares(snapshot: Snapshot) -> pd.DataFrame:
    """The two tables of months as anybody gets them, one below the other."""
    written = table(snapshot, "months").rename(columns=lambda name: name.replace("written_up", "count", 1))
    renamed = {f"count_share{end}": f"share{end}" for end in ("", "_low", "_high")}
    return pd.concat(
        [written.rename(columns=renamed).assign(outcome="written_up"), table(snapshot, "months_of_outcomes")]
    )


def of_month(shares: pd.DataFrame, month: str) -> pd.DataFrame:
    return shares[pd.to_datetime(shares["month"]).dt.strftime("%Y-%m") == month]


def tallied(rows: pd.DataFrame) -> tuple[str, str]:
    told = rows[rows["signal"].isin(["none", "higher", "lower"])]
    luck = told["luck"].sum()
    return labels.plural(len(told), "share"), f"about {labels.few(luck)}" if luck >= 0.05 else "hardly any"


def figures(row: pd.Series) -> str:
    share = labels.percent_with_interval(row["share"], row["share_low"], row["share_high"])
    return f"{labels.part_of(row['count'], row['trials'])} {share} {row['lower']} to {row['upper']}"


@pytest.mark.parametrize("suffix", [".md", ".pdf"])
def test_what_stands_out_is_told_as_the_tables_have_it(
    snapshot: Snapshot, moved: OverTime, shares: pd.DataFrame, suffix: str
) -> None:
    note = notes.note_of_month(snapshot, BAD, moved=moved)
    text = words_of(suffix, notes.render(note, suffix))
    own = of_month(shares, BAD)
    gap = own[(own["topic"] == "joist_gap") & (own["outcome"] == "missed")].iloc[0]
    assert (gap["count"], gap["trials"], gap["signal"]) == (20, 30, "higher")
    interval = labels.interval(gap["share_low"], gap["share_high"])
    assert plain(f"20 of 30 ({labels.percent(gap['share'])}, {interval}), by luck at most {gap['upper']}.") in text
    together = own[own["topic"] == ALL]
    assert len(together) == 4
    for _, row in together.iterrows():
        assert plain(figures(row)) in text, row["outcome"]
    assert note.title == "More defects passed over in joist gap than luck allows"
    beyond = own["signal"].isin(["higher", "lower"]).sum()
    followed, by_luck = tallied(own)
    assert plain(f"Of {followed} followed in Mar 2026, {beyond} lie beyond luck; luck alone gives {by_luck}.") in text
    followed, by_luck = tallied(shares)
    assert plain(f"of {followed} lie beyond luck; luck alone gives {by_luck}.") in text


def test_it_has_a_rule_a_habit_cases_of_the_month_and_no_name(snapshot: Snapshot, moved: OverTime) -> None:
    note = notes.note_of_month(snapshot, BAD, moved=moved)
    assert (note.rule_heading, note.habit) == ("The rule: Joist gap", "The habit.")
    assert [case.outcome_id for case in note.cases] == ["missed"]
    assert note.cases[0].comment == "“Seen by ….”"
    assert "snapshot 0001" in note.origin
    assert "rules c0ffee" in note.origin
    assert note.cautions == " ".join(labels.CAUTIONS)
    for suffix in notes.FORMATS:
        text = words_of(suffix, notes.render(note, suffix))
        assert [name for name in PEOPLE if name in text] == []
        assert all(plain(sentence) in text for sentence in note.texts()), suffix
    check_looks(note)
    assert len(pages(note)) == 1


def test_where_nothing_is_beyond_luck_it_says_so_and_what_luck_gives(
    snapshot: Snapshot, moved: OverTime, shares: pd.DataFrame
) -> None:
    note = notes.note_of_month(snapshot, QUIET, moved=moved)
    followed, by_luck = tallied(of_month(shares, QUIET))
    assert note.title == "Nothing moved beyond luck"
    told = f"Of {followed} followed in Feb 2026, none lies beyond luck; luck alone gives {by_luck}."
    assert plain(told) in plain(note.sentence.plain)
    assert (note.rule_heading, note.cases) == ("How luck is told", ())
    assert note.picture is not None


def test_a_month_of_too_few_calls_says_so_and_one_without_calls_is_none(snapshot: Snapshot, moved: OverTime) -> None:
    thin = notes.note_of_month(snapshot, THIN, moved=moved)
    assert thin.title == "Sep\u00a02026: too few calls to say"
    assert "nothing has the 10 calls that it takes" in thin.sentence.plain.replace("\u00a0", " ")
    for month in ("2026-13", "2020-01", "March"):
        with pytest.raises(notes.UnknownMonth, match=f"{month} is no month .* calls from 2025-07 to 2026-09"):
            notes.note_of_month(snapshot, month, moved=moved)


def test_a_note_is_of_one_thing(tmp_path: Path) -> None:
    out = str(tmp_path / "note.md")
    told = CliRunner().invoke(evenhand, ["note", "--month", "2026-03", "--topic", "joist_gap", "--out", out])
    assert told.exit_code == 2
    assert "Name one of --topic, " in told.output
