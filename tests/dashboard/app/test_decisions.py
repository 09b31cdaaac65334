"""What needs a decision: what came in, what of it was judged, what wants attention; and that it leads on."""

from __future__ import annotations

from collections.abc import Callable

from streamlit.testing.v1 import AppTest

from tests.dashboard import firms
from tests.dashboard.app.test_pages import shown
from tests.dashboard.builders import Firm


def two_loads() -> Firm:
    """A first load of 30 sound hangers, and a second one: 25 write-ups of which 5 do not hold, and a passed-over guard."""
    firm = Firm().many(30, "hanger_size", "passed", "acceptable")
    firm.many(20, "hanger_size", "written_up", "defect", load="0002")
    firm.many(5, "hanger_size", "written_up", "acceptable", load="0002", recorded="2x10 joist in 2x8 hanger")
    firm.note("guard_height", "passed", "defect", load="0002", report="R-GUARD", reason="guard is 30 in; 36 in needed")
    firm.rule_weights["guard_height"] = 10
    firm.file("old.csv", load="0001", rows_read=30, rows_loaded=30)
    return firm.file("new.csv", load="0002", rows_read=29, rows_loaded=26, rows_unchanged=1, rows_rejected=2)


def links(app: AppTest) -> list[str]:
    return [element.proto.label for element in app.get("page_link")]


def test_the_answer_is_on_what_came_in_last(opened: Callable[..., AppTest]) -> None:
    app = opened(two_loads())
    answer = app.header[0].value.replace("\u00a0", " ")
    assert answer.startswith("26 reports came in. **100 % of their calls could be judged** (87 to 100, of 26).")
    assert "Of 25 write-ups judged, **5 do not hold** (20 %, 8.9 to 39)." in answer
    assert "**1 call without a write-up fails its own measures** of 1 judged." in answer
    assert not app.exception


def test_all_that_is_loaded_can_be_looked_at_instead(opened: Callable[..., AppTest]) -> None:
    app = opened(two_loads())
    app.get("button_group")[0].set_value("all").run()
    assert app.header[0].value.replace("\u00a0", " ").startswith("56 reports are looked at.")
    assert app.query_params["look_at"] == "all"


def test_a_safety_matter_that_was_passed_over_leads_to_its_case(opened: Callable[..., AppTest]) -> None:
    app = opened(two_loads())
    text = shown(app)
    assert "**1 issued report may need a correction in a safety matter**" in text
    assert "That goes to a person the same day." in text
    found = [element.proto for element in app.get("page_link") if "R-GUARD" in element.proto.label]
    assert len(found) == 1
    assert "guard is 30 in; 36 in needed" in found[0].label.replace("\u00a0", " ")
    assert "show=passed_over" in found[0].query_string
    assert "case=R-GUARD" in found[0].query_string
    assert "load=0002" in found[0].query_string


def test_what_came_in_adds_up(opened: Callable[..., AppTest]) -> None:
    app = opened(two_loads())
    table = next(element.proto.body for element in app.get("html") if "Rows read" in element.proto.body)
    counts = [int(cell.split("</td>")[0].replace(",", "")) for cell in table.split("<td>")[2::2]]
    assert counts == [29, 26, 0, 1, 2]
    assert counts[0] == sum(counts[1:])


def test_the_largest_kinds_lead_to_their_cases(opened: Callable[..., AppTest]) -> None:
    assert ":primary[2x10 joist in 2x8 hanger]" in links(opened(two_loads()))


def test_a_firm_without_anything_to_decide_is_told_so(opened: Callable[..., AppTest]) -> None:
    app = opened(Firm().many(30, "hanger_size", "written_up", "defect"))
    text = shown(app)
    assert "Nothing: no safety matter was passed over, no row refused, no measure missing." in text
    assert "No write-up that could be judged fails." in text
    assert "**All 30 write-ups that could be judged hold.**" in text


def test_none_judged_is_said(opened: Callable[..., AppTest]) -> None:
    app = opened(Firm().many(3, "hanger_size", "written_up", "cannot_tell", missing=["hanger_height_in"]))
    assert "3 reports are looked at. **None of 3 calls could be judged.**" in shown(app)
    assert "**Missing most: hanger height in**" in shown(app)


def test_the_address_of_a_view_reproduces_it(opened: Callable[..., AppTest]) -> None:
    app = opened(firms.old_decks_gap())
    app.multiselect(key="region").set_value(["Ridge"]).run()
    address = dict(app.query_params)
    assert address == {"region": "Ridge"}
    again = opened()
    again.query_params["region"] = "Ridge"
    again.query_params["age"] = ["under 5", "no such age"]
    again.run()
    assert again.multiselect(key="region").value == ["Ridge"]
    assert again.multiselect(key="age").value == ["under 5"]
    assert not again.exception
