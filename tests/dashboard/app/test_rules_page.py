"""The page of rules, driven through app.py, on small firms and on the shipped catalog."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from streamlit.testing.v1 import AppTest

from etl.criteria.catalog import load_catalog
from etl.load import load
from tests.dashboard import firms
from tests.dashboard.builders import Firm

APP = Path(__file__).parents[3] / "dashboard" / "app.py"
RULES = "views/rules.py"


@pytest.fixture
def opened(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Callable[..., AppTest]:
    """The page on a firm's warehouse; on no firm, on whatever lies in the folder."""

    def open_page(firm: Firm | None = None, **linked: str) -> AppTest:
        if firm is not None:
            firm.publish(tmp_path)
        monkeypatch.setenv("EVENHAND_WAREHOUSE", str(tmp_path))
        app = AppTest.from_file(str(APP), default_timeout=30).run().switch_page(RULES)
        for key, value in linked.items():
            app.query_params[key] = value
        return app.run()

    return open_page


def shown(app: AppTest) -> str:
    """All text of the page, conditions included; no-break spaces as blanks."""
    kinds = (app.title, app.header, app.subheader, app.markdown, app.text, app.code)
    told = [element.value for elements in kinds for element in elements]
    told += [element.proto.body for element in app.get("html")]
    return " ".join(told).replace("\u00a0", " ")


@pytest.fixture
def shipped(tmp_path: Path) -> None:
    """A warehouse of one row, judged by the shipped catalog."""
    header = "report_id,inspected_on,inspector_id,region,observation_no,topic,call,joist_gap_in\n"
    file = tmp_path / "in.csv"
    file.write_text(f"{header}R1,2026-03-04,I1,Ridge,1,joist_gap,written_up,0.5\n", encoding="utf-8")
    load([str(file)], tmp_path)


def test_the_answer_says_how_many_topics_are_judged_and_against_what(opened):
    assert opened(firms.one_size_down()).header[0].value.replace("\u00a0", " ") == (
        "Of 5 topics **3 are judged by a rule**, 1 is counted only, 1 waits for its rule. "
        "Calls are measured against IRC 2021 unless a report names another guideline."
    )


def test_the_page_opens_on_a_topic_that_has_a_rule(opened, shipped):
    assert opened().selectbox(key="rules_topic").value == "hanger_missing"


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
    page, rule = load_catalog().pages["joist_gap"], load_catalog().criterion("joist_gap.gap")
    for told in (page.plain, page.habit, page.caution, rule.plain):
        assert str(told) in text.replace("\\", "")
    assert "Source: common practice, no published source, 1/8 and 3/8 in as quoted in the trade press" in text
    assert "Gap at the joist end</td><td>inches" in text
    assert "joist_gap_in > 0.375" in text
    assert "A defect</td><td>1 call</td>" in text
    assert "Acceptable</td><td>no call so far</td>" in text


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
