"""Nonsense in the address of each page: it is passed over, and the address then says what the page shows."""

from __future__ import annotations

import re
from collections.abc import Callable

import pytest
from streamlit.testing.v1 import AppTest

from tests.dashboard import firms

_MARKUP = "<img src=http://example.com/p.png onerror=alert(1)>![x](http://example.com/q.png):red[no]"
_FILTERS = {
    "region": "Atlantis",
    "builder": _MARKUP,
    "age": "%00",
    "from": ["2026-02-31", "0001-01-01", "soon"],
    "to": _MARKUP,
    "who": _MARKUP,
}
_TRACES = ("Traceback", "Error", "example.com", "Atlantis", "could not be shown")


@pytest.mark.parametrize(
    ("page", "choices"),
    [
        ("", {"look_at": "the_moon", "load": "9999"}),
        ("where", {"part": "Cellar", "topic": "no_such_topic", "by": "zodiac", "group": _MARKUP, "where_case": "X:1"}),
        ("holds", {"show": _MARKUP, "kind": _MARKUP, "case": "nobody:01"}),
        ("side_by_side", {"compared": "zodiac", "order": "rank", "grid": _MARKUP, "grid_part": "Cellar", "open_topic": "%00"}),
        ("inspector", {"inspector": "E", "own": "the_moon", "own_topic": _MARKUP, "own_case": "nobody:01"}),
        ("agreement", {"looks_topic": "zodiac"}),
        ("over_time", {"time_topic": _MARKUP, "time_show": "zodiac"}),
        ("training", {"train": _MARKUP, "reach_rule": "zodiac"}),
        ("note", {"note_about": "weather", "note_topic": _MARKUP, "note_kind": "hanger_size:"}),
        ("data", {"missing": f"{_MARKUP}:{_MARKUP}", "data_case": "%00"}),
        ("rules", {"rules_part": _MARKUP, "rules_topic": "no_such_topic", "guideline": "zodiac"}),
        ("before_you_go", {"deck_age": "zodiac", "deck_height": "-3", "deck_region": "Cellar"}),
    ],
    ids=lambda value: (value or "decisions") if isinstance(value, str) else "",
)  # fmt: skip
def test_nonsense_in_the_address_does_no_harm(
    opened: Callable[..., AppTest], page: str, choices: dict[str, str]
) -> None:
    app = opened(firms.colleagues(), page and f"views/{page}.py")
    usual = _told(app)
    for key, value in {**choices, **_FILTERS}.items():
        app.query_params[key] = value
    app.run()
    told = _told(app)
    assert not app.exception
    assert [trace for trace in _TRACES if trace in told] == []
    assert not re.search("Atlantis|example|Cellar|zodiac|the_moon|weather", str(dict(app.query_params)))
    assert len(app.header[0].value) > 20
    if page != "inspector":  # nobody is shown there until the address says who
        assert told == usual


def _told(app: AppTest) -> str:
    kinds = (app.title, app.header, app.subheader, app.markdown, app.text)
    return " ".join(element.value for elements in kinds for element in elements)
