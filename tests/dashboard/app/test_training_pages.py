"""The pages What to train and Before you go, driven through app.py; what a reader is told is compared."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

from streamlit.testing.v1 import AppTest

from tests.dashboard.builders import Firm

TRAINING, BRIEF = "views/training.py", "views/before_you_go.py"


def shown(app: AppTest) -> str:
    """All text of the page, that of its small tables included; no-break spaces as blanks."""
    kinds = (app.title, app.header, app.subheader, app.markdown, app.text)
    text = " ".join(element.value for elements in kinds for element in elements)
    tables = " ".join(each.proto.body for each in app.get("html"))
    return f"{text} {tables}".replace("\u00a0", " ")


def answer(app: AppTest) -> str:
    return app.header[0].value.replace("\u00a0", " ")


def year(*counts: tuple[str, str, str, int]) -> Firm:
    """So many calls of each topic, call and verdict, spread over a year: a quarter has a fourth of them."""
    firm = Firm()
    for topic, call, verdict, number in counts:
        for at in range(number):
            day = date(2025, 1, 1) if not at else date(2025, 12, 31)
            firm.note(topic, call, verdict, inspected_on=day, inspector_id=f"I{at % 4}", recorded=f"{call}, {verdict}")
    return firm


def test_where_the_order_is_clear_it_is_told_with_figures_and_the_topic_can_be_prepared(
    opened: Callable[..., AppTest],
) -> None:
    firm = year(
        ("hanger_size", "written_up", "acceptable", 200),
        ("hanger_size", "passed", "acceptable", 200),
        ("joist_gap", "passed", "defect", 40),
        ("joist_gap", "passed", "acceptable", 360),
        ("guard_height", "written_up", "cannot_tell", 100),
        ("guard_height", "passed", "acceptable", 100),
    )
    app = opened(firm, TRAINING)
    # 200 of 800 trials a year do not hold, weight 3, half within reach: 200 / 4 x 3 / 2 = 75 a quarter; 40 missed: 15.
    assert answer(app).startswith(
        "90 % of 1,000 calls could be judged (88 to 92). Training could do most about **hanger"
    )
    assert "size (75 avoidable a quarter, by weight; " in answer(app)
    assert "), then joist gap (15, " in answer(app)
    assert "▲ 75 too much, ▼ 15 too little" in shown(app)
    assert "25 of 250 calls a quarter will stay open" in shown(app)
    assert "Judge more of these first" not in shown(app)
    app.selectbox(key="train").set_value("joist_gap").run()
    assert "4 colleagues have such calls; of what training could avoid, " in shown(app)
    assert "▼ passed, defect" in shown(app)
    assert "40 of 400 (7.4 to 13 %)" in shown(app) or "40 of 40 (91 to 100 %)" in shown(app)
    assert app.query_params["train"] == "joist_gap"
    app.multiselect(key="inspector").set_value(["I1"]).run()
    assert "Narrowed down to one colleague: whether others need it too cannot be told here." in shown(app)
    assert "speak of it with the whole team" not in shown(app)
    assert not app.exception


def test_how_far_training_reaches_is_the_readers_to_change(opened: Callable[..., AppTest]) -> None:
    app = opened(year(("hanger_size", "written_up", "acceptable", 80)), TRAINING)
    assert "hanger size (30 avoidable a quarter" in answer(app)
    app.number_input(key="reach_rule").set_value(100).run()
    assert "hanger size (60 avoidable a quarter" in answer(app)
    assert app.query_params["reach_rule"] == "100"
    app.query_params["reach_rule"] = "no number"
    app.run()
    assert "hanger size (30 avoidable a quarter" in answer(app)
    assert not app.exception


def test_where_nothing_is_judged_or_nothing_wrong_the_page_says_so(opened: Callable[..., AppTest]) -> None:
    app = opened(year(("hanger_size", "passed", "acceptable", 8), ("joist_gap", "passed", "cannot_tell", 8)), TRAINING)
    assert "**No wrong call was found among them: there is nothing for training to avoid.**" in answer(app)
    app.multiselect(key="topics").set_value(["joist_gap"]).run()
    assert answer(app) == "No call within these filters could be judged, so that no topic can be told from another."
    assert not app.exception


def test_before_you_go_tells_what_was_found_on_decks_alike_and_follows_what_is_known(
    opened: Callable[..., AppTest],
) -> None:
    firm = Firm()
    old = {"deck_age": "20 to 29", "region": "Ridge", "deck_height": "73 to 120 in"}
    firm.many(6, "joist_gap", "written_up", "defect", **old).many(2, "joist_gap", "passed", "defect", **old)
    firm.many(16, "joist_gap", "passed", "acceptable", **old)
    firm.many(40, "hanger_size", "written_up", "defect", deck_age="under 5", region="Flats")
    app = opened(firm, BRIEF)
    assert "Found most on all past decks: **hanger size** in 100 % (91 to 100) of 40 looks" in answer(app)
    app.number_input(key="deck_age").set_value(22).run()
    app.number_input(key="deck_height").set_value(96).run()
    app.selectbox(key="deck_region").set_value("Ridge").run()
    told = "Found most on past decks alike in age, region and height: **joist gap** in 25 % (12 to 45) of 24 looks. "
    assert answer(app) == f"{told}Passed over most: **joist gap**, 2 of 8 judged defects (25 %, 7.1 to 59)."
    assert "This is about past decks and not about the one you go to" in shown(app)
    assert "2 of 8 defects" in shown(app)
    assert {app.query_params[key] for key in ("deck_age", "deck_height", "deck_region")} == {"22", "96", "Ridge"}
    app.number_input(key="deck_age").set_value(12).run()
    assert "No look at decks of 10 to 14 years" in answer(app)
    assert not app.exception
