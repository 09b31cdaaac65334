"""A session entered on the page What to train: by the real command, into a real warehouse, and the ways it is refused."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from datetime import date
from pathlib import Path

import pandas as pd
import pytest
from streamlit.testing.v1 import AppTest

from dashboard import session_entry as module
from dashboard.command import TookTooLong
from dashboard.session_entry import NotEntered, Session, enter, held, session_id
from dashboard.warehouse import Snapshot
from etl.load import load
from etl.warehouse import Warehouse
from tests.dashboard.app.test_training_pages import TRAINING, shown
from tests.etl.conftest import csv_text, make_row

DAY = date(2026, 3, 2)


@pytest.fixture(scope="module")
def loaded(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Four colleagues, each with a wide gap passed over."""
    folder = tmp_path_factory.mktemp("loaded")
    rows = [make_row(report_id=f"R{who}", inspector_id=who, joist_gap_in="3/4") for who in "ABCD"]
    (folder / "rows.csv").write_text(csv_text(rows))
    load([str(folder / "rows.csv")], folder / "warehouse")
    return folder / "warehouse"


@pytest.fixture
def warehouse(loaded: Path, tmp_path: Path) -> Path:
    return Path(shutil.copytree(loaded, tmp_path / "firm's warehouse"))


@pytest.fixture
def form(opened: Callable[..., AppTest], warehouse: Path, monkeypatch: pytest.MonkeyPatch) -> AppTest:
    """The page, with a session on joist gaps filled in."""
    app = opened(page=TRAINING)  # on an empty folder: the caches know nothing of the warehouse yet
    monkeypatch.setenv("EVENHAND_WAREHOUSE", str(warehouse))
    app.run()
    app.date_input(key="session_day").set_value(DAY)
    app.selectbox(key="session_topic").set_value("joist_gap")
    app.multiselect(key="session_who").set_value(["A", "B"])
    return app.run()


def held_in(warehouse: Path) -> list[tuple[str, str, tuple[str, ...], float]]:
    with Snapshot.open(warehouse) as snapshot:
        found = held(snapshot)
    return list(found[["session_id", "topic", "inspectors", "hours"]].itertuples(index=False, name=None))


def test_a_session_is_shown_entered_and_leads_to_its_effect(form: AppTest, warehouse: Path) -> None:
    assert "No session has been entered yet" in shown(form)
    form.number_input(key="session_hours").set_value(1.5).run()
    told = "Will be entered: **gap at the joist end, 2 Mar 2026**, as 2026-03-02-joist\\_gap; attended by A and B, 1.5 hours"
    assert told in shown(form)
    assert held_in(warehouse) == []
    form.button(key="enter_session").click().run()
    assert "**Entered:** gap at the joist end, 2 Mar 2026, 2 colleagues." in shown(form)
    assert "This is among the sessions held" in shown(form)
    assert held_in(warehouse) == [("2026-03-02-joist_gap", "joist_gap", ("A", "B"), 1.5)]
    (table,) = [each.value for each in form.dataframe if "Attended" in each.value]
    assert table[["Topic", "Attended", "Hours each"]].values.tolist() == [["Gap at the joist end", 2, "1.5"]]
    assert "Gap at the joist end over time" in " ".join(link.proto.label for link in form.get("page_link"))
    # Who is entered later for the same day and topic joins the session; who was in it stays in it.
    form.multiselect(key="session_who").set_value(["B", "C"]).run()
    assert "It joins the session of that day, with 2 colleagues in it; B is among them." in shown(form)
    form.button(key="enter_session").click().run()
    assert "**Entered:** gap at the joist end, 2 Mar 2026, 1 colleague." in shown(form)
    assert held_in(warehouse) == [("2026-03-02-joist_gap", "joist_gap", ("A", "B", "C"), 1.5)]
    assert not form.exception


def test_what_the_load_refuses_is_told_in_its_words_and_nothing_is_entered(form: AppTest, warehouse: Path) -> None:
    form.date_input(key="session_day").set_value(date(2036, 3, 2)).run()
    form.button(key="enter_session").click().run()
    assert "The load refused it: held\\_on '2036-03-02' is not between 1990-01-01 and tomorrow." in shown(form)
    form.date_input(key="session_day").set_value(DAY).run()
    with Warehouse(warehouse).locked():  # somebody else loads at this moment
        form.button(key="enter_session").click().run()
    assert "Another load is running in " in shown(form)
    assert "Then press the button again." in shown(form)
    assert held_in(warehouse) == []
    assert not form.exception


def known(*sessions: tuple[str, date, str]) -> pd.DataFrame:
    columns = ["session_id", "held_on", "topic"]
    return pd.DataFrame(sessions, columns=columns).assign(held_on=lambda rows: pd.to_datetime(rows["held_on"]))


@pytest.mark.parametrize(
    ("there", "named"),
    [
        ([], "2026-03-02-joist_gap"),
        ([("T1", DAY, "joist_gap")], "T1"),
        ([("T1", DAY, "hanger_size"), ("T2", date(2026, 3, 3), "joist_gap")], "2026-03-02-joist_gap"),
        ([("2026-03-02-joist_gap", date(2026, 5, 1), "hanger_size")], "2026-03-02-joist_gap-2"),
        (
            [
                ("2026-03-02-joist_gap", date(2026, 5, 1), "hanger_size"),
                ("2026-03-02-joist_gap-2", DAY, "guard_height"),
            ],
            "2026-03-02-joist_gap-3",
        ),
    ],
)
def test_a_session_keeps_its_id_and_never_takes_anothers(there: list[tuple[str, date, str]], named: str) -> None:
    assert session_id(known(*there), DAY, "joist_gap") == named


def test_a_load_that_cannot_be_started_or_does_not_end_is_a_sentence(
    warehouse: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with Snapshot.open(warehouse) as snapshot:
        for error, told in (
            (OSError("secret"), "could not be entered"),
            (TookTooLong(), "took longer than 600 seconds"),
        ):

            def fail(*_: object, error: Exception = error) -> None:
                raise error

            monkeypatch.setattr(module, "run", fail)
            with pytest.raises(NotEntered, match=told) as raised:
                enter(snapshot, Session("S", DAY, "joist_gap", ("A",)))
            assert "secret" not in str(raised.value)
