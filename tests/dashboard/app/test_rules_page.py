"""The page of rules, driven through app.py, on small firms and on the shipped catalog."""

from __future__ import annotations

import html
import shutil
from collections.abc import Callable
from functools import cache
from pathlib import Path

import pytest
from streamlit.testing.v1 import AppTest

from dashboard.warehouse import Snapshot
from etl.criteria import spoken
from etl.criteria.catalog import Catalog, load_catalog
from etl.criteria.pages import tables_known
from etl.load import load
from tests.dashboard import firms
from tests.dashboard.app.conftest import turned_to
from tests.dashboard.builders import Firm

RULES = "views/rules.py"


@pytest.fixture
def opened(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Callable[..., AppTest]:
    """The page on a firm's warehouse; on no firm, on whatever lies in the folder."""

    def open_page(firm: Firm | None = None, **linked: str) -> AppTest:
        if firm is not None:
            firm.publish(tmp_path)
        app = turned_to(RULES, tmp_path, monkeypatch)
        for key, value in linked.items():
            app.query_params[key] = value
        return app.run()

    return open_page


def shown(app: AppTest) -> str:
    """All text of the page; no-break spaces as blanks."""
    kinds = (app.title, app.header, app.subheader, app.markdown, app.text, app.code)
    told = [element.value for elements in kinds for element in elements]
    told += [element.proto.body for element in app.get("html")]
    return " ".join(told).replace("\u00a0", " ")


LOCAL = """
[local]
jurisdiction = "Tallow County"
regions = ["Ridge"]
author = "A. Tester"
date = 2026-01-31

[[criterion]]
id = "joist_gap.gap"
topic = "joist_gap"
title = "Our own gap"
needs = ["joist_gap_in"]
defect = "joist_gap_in > 0.25"
reason = { defect = "gap {joist_gap_in} in is over our limit" }
source = { document = "Tallow ordinance", known = "read" }
plain = "We want it tighter."
weight = 3
"""
ROWS = """report_id,inspected_on,inspector_id,region,code_basis,observation_no,topic,call,joist_gap_in,guard_infill
R1,2026-03-04,I1,Ridge,IRC 2021,1,joist_gap,written_up,0.5,
R1,2026-03-04,I1,Ridge,IRC 2021,2,guard_climbable,written_up,,horizontal
R2,2026-03-04,I1,Ridge,DCA 6,1,guard_climbable,passed,,cable
"""


def reports(folder: Path) -> Path:
    """A file of three rows. Whether infill can be climbed is a matter of the IRC; DCA 6 does not say."""
    file = folder / "in.csv"
    file.write_text(ROWS, encoding="utf-8")
    return file


@pytest.fixture(scope="module")
def loaded(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The warehouse of :func:`shipped`, which is loaded once."""
    folder = tmp_path_factory.mktemp("shipped")
    load([str(reports(folder))], folder)
    return folder


@pytest.fixture
def shipped(loaded: Path, tmp_path: Path) -> None:
    """A warehouse of three rows, judged by the shipped catalog."""
    shutil.copytree(loaded, tmp_path, dirs_exist_ok=True)


@cache
def catalog() -> Catalog:
    """The shipped catalog, as the tests compare with it."""
    return load_catalog()


def test_the_answer_says_how_many_topics_are_judged_and_against_what(opened):
    assert opened(firms.one_size_down()).header[0].value.replace("\u00a0", " ") == (
        "Of 5 topics **3 are judged by a rule**, 1 is counted only, 1 waits for its rule. "
        "Calls are measured against IRC 2021 unless a report names another guideline."
    )


def test_the_page_opens_on_a_topic_that_has_a_rule(opened, shipped):
    assert opened().selectbox(key="rules_topic").value == "ledger_wall"


def test_a_link_to_a_topic_brings_its_part_of_the_deck_along(opened, shipped):
    app = opened(rules_topic="guard_height")
    assert app.selectbox(key="rules_topic").value == "guard_height"
    assert app.get("button_group")[0].value == "Guards and stairs"


def test_another_part_of_the_deck_opens_its_first_topic_with_a_rule(opened, shipped):
    app = opened(rules_topic="hanger_size")
    app.get("button_group")[0].set_value("Condition and surroundings").run()
    assert app.selectbox(key="rules_topic").value == "wood_decay"
    assert "Decay found by probing" in shown(app)


def test_a_topic_is_told_in_plain_words_with_source_and_how_it_is_known(opened, shipped):
    text = shown(opened(rules_topic="joist_gap"))
    page, rule = catalog().pages["joist_gap"], catalog().criterion("joist_gap.gap")
    for told in (page.plain, page.habit, page.caution, rule.plain):
        assert str(told) in text.replace("\\", "")
    assert "Source: common practice, no published source, 1/8 and 3/8 in as quoted in the trade press" in text
    assert "Gap at the joist end</td><td>inches" in text
    assert "A defect<div>Gap at the joist end over 3/8 in</div></td><td>1 call</td>" in text
    assert "Acceptable<div>Gap at the joist end at most 1/8 in</div></td><td>no call so far</td>" in text


@pytest.mark.parametrize("topic", ["joist_gap", "hanger_fastener_length", "joist_span", "stair_open_riser"])
def test_a_rule_is_told_in_the_words_of_the_command_and_never_in_code(opened, shipped, topic):
    text = html.unescape(shown(opened(rules_topic=topic))).replace("\\", "")
    for rule in catalog().of_topic(topic):
        told = [*spoken.limits(catalog(), rule).values()]
        assert all(f"<div>{limit[0].upper()}{limit[1:]}</div>" in text for limit in told)
        assert spoken.applies(catalog(), rule) in text
        assert tables_known(catalog(), rule).replace("_", " ") in text
        assert rule.id not in text
        assert not any(name in text for name in (*rule.needs, *rule.uses) if "_" in name)


def test_a_kind_is_told_by_the_words_to_choose_from(opened, shipped):
    text = shown(opened(rules_topic="ledger_carries_beam"))
    assert "What the ledger carries<div>joists, doubled joist or beam</div></td><td>one of these" in text


def test_a_local_rule_says_whose_it_is_by_whom_and_of_when(opened, tmp_path):
    (tmp_path / "criteria.toml").write_text(LOCAL, encoding="utf-8")
    load([str(reports(tmp_path))], tmp_path)
    text = shown(opened(rules_topic="joist_gap"))
    assert "A local rule of Tallow County, written down by A. Tester on 31 Jan 2026." in text
    assert "*Applies where:* in Ridge" in text
    assert "*Applies where:* anywhere but in Ridge" in text


def test_a_rule_that_never_says_something_is_told_so(opened, shipped):
    assert "Left to the inspector</td><td>never by this rule" in shown(opened(rules_topic="guard_required"))


@pytest.mark.parametrize(
    ("topic", "told"),
    [("footing_depth", "Its rule is not in the catalog yet"), ("other", "It has no rule, and is never judged")],
)
def test_a_topic_without_a_rule_says_so_and_why(opened, topic, told):
    app = opened(firms.one_size_down(), rules_topic=topic)
    assert told in shown(app)
    assert not app.exception


def test_every_topic_of_the_shipped_catalog_has_a_page(opened, shipped):
    app = opened()
    for part in app.get("button_group")[0].options:
        app.get("button_group")[0].set_value(part).run()
        for topic in list(app.selectbox(key="rules_topic").options):
            app.selectbox(key="rules_topic").select(topic).run()
            assert topic.split(" · ")[0] in shown(app)
            assert not app.exception


def test_the_list_of_everything_has_every_topic(opened, shipped):
    everything = opened().dataframe[-1].value
    assert everything["Topic"].nunique() == 61
    assert (everything["Is"] == "counted only").sum() == 14


def test_an_empty_warehouse_says_what_to_do(opened):
    assert "No reports are loaded" in shown(opened())


# ---- another guideline -----------------------------------------------------------------------------------------------


def press(app: AppTest) -> AppTest:
    next(button for button in app.button if button.label == "See what would change").click()
    return app.run()


def test_the_guideline_after_the_firms_own_is_offered_and_nothing_is_tried_before_the_button_is_pressed(
    opened, shipped, monkeypatch
):
    monkeypatch.setattr("subprocess.run", None)
    app = opened()
    assert app.selectbox(key="guideline").value == "IRC 2024"
    assert app.selectbox(key="guideline").options == ["IRC 2015", "IRC 2018", "IRC 2021", "IRC 2024", "DCA 6"]
    assert "nothing is published" in shown(app)
    assert "`evenhand rejudge --criteria FILE`" in shown(app)
    assert not app.exception


def test_another_guideline_says_how_many_verdicts_would_flip_and_publishes_nothing(opened, shipped, tmp_path):
    before = sorted(path.name for path in (tmp_path / "snapshots").iterdir())
    app = press(opened(guideline="DCA 6"))
    assert (
        "Of 3 calls, **1 would get another verdict under DCA 6**: it could no longer be judged. "
        "It is on guard that can be climbed."
    ) in shown(app)
    table = next(each.value for each in app.dataframe if "Now → then" in each.value)
    assert table.to_dict("list") == {
        "Topic": ["Guard that can be climbed"],
        "Calls": [1],
        "Now → then": ["acceptable → could not be judged"],
        "Of these written up": [1],
    }
    assert app.query_params["guideline"] == "DCA 6"
    assert sorted(path.name for path in (tmp_path / "snapshots").iterdir()) == before


def test_a_report_that_names_another_guideline_is_measured_against_the_chosen_one_too(opened, shipped):
    text = shown(press(opened(guideline="IRC 2021")))
    assert "1 would get another verdict under IRC 2021**: it would be acceptable." in text


def test_another_choice_hides_the_answer_until_the_button_is_pressed_again(opened, shipped):
    app = press(opened(guideline="DCA 6"))
    app.selectbox(key="guideline").select("IRC 2018").run()
    assert "would get another verdict" not in shown(app)
    app.selectbox(key="guideline").select("DCA 6").run()
    assert "would get another verdict" in shown(app)


def test_settings_that_cannot_be_used_are_a_sentence_and_no_trace(opened, shipped, tmp_path):
    app = opened(guideline="DCA 6")
    (tmp_path / "firm.toml").write_text('code_bases = "IRC 2021"\n', encoding="utf-8")
    text = shown(press(app))
    assert "**firm.toml" in text
    assert "no such setting" in text
    assert "Then press the button again." in text
    assert "Traceback" not in text
    assert not app.exception


def test_the_answer_is_of_the_settings_as_they_are_now(opened, shipped, tmp_path):
    app = press(opened(guideline="IRC 2018"))
    (tmp_path / "firm.toml").write_text("[guard_bands]\njoist_gap_in = 0.2\n", encoding="utf-8")
    assert "The rules have changed since the last load" in shown(app.run())
    with Snapshot.open(tmp_path) as snapshot:
        assert snapshot.info.snapshot == "0001"
