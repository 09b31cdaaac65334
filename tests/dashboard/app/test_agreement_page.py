"""The page on decks that two inspectors saw, driven through app.py; what a reader is told is compared."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

from streamlit.testing.v1 import AppTest

from tests.dashboard.app.test_pages import shown
from tests.dashboard.builders import Firm
from tests.dashboard.firms import HOSTILE, calibration_round, look, seen_twice

PAGE = "views/agreement.py"


def test_the_answer_says_how_many_decks_which_share_of_write_ups_and_kappa(opened: Callable[..., AppTest]) -> None:
    app = opened(seen_twice(Firm(), 6, 5, 3, 20), PAGE)
    answer = app.header[0].value.replace("\u00a0", " ")
    # Positive agreement 12 of 20; kappa of the table by statsmodels cohens_kappa([[6, 5], [3, 20]]): 0.4357.
    assert answer.startswith(
        "34 decks were seen by two inspectors within 60 days. **Of 20 write-ups the other inspector made 60 % too** ("
    )
    assert "Kappa, their agreement beyond chance, is 0.44 (" in answer
    text = shown(app)
    assert "Agreement is not correctness: two inspectors can agree and both be wrong." in text
    assert "5 write-ups are of the earlier look only, 3 of the later only: no more than luck would give" in text
    assert "on joist gap two looks say the same in 76 % of 34 pairs, and kappa is 0.44 (" in text
    assert "No calibration round is loaded." in text
    assert not app.exception


def test_where_the_earlier_look_alone_writes_up_more_the_page_says_that_repairs_would_do_so(
    opened: Callable[..., AppTest],
) -> None:
    text = shown(opened(seen_twice(Firm(), 4, 20, 3, 20), PAGE))
    assert "20 write-ups are of the earlier look only, 3 of the later only: more by the earlier look than luck" in text
    assert "one look writes up more than luck explains on **joist gap (20 earlier only, 3 later only)**" in text


def test_a_deck_on_which_two_looks_differ_shows_both_and_their_cases(opened: Callable[..., AppTest]) -> None:
    firm = seen_twice(Firm(), 1, 1, 0, 1)
    look(firm, "D9", "I1", "passed", date(2026, 5, 3), comment="Gaps are fine.", topic="hanger_size")
    look(firm, "D9", "I2", "written_up", date(2026, 6, 4), "hanger_size", comment="Gap at the stair.", place="stair")
    app = opened(firm, PAGE)
    assert "That is too few for a rate." in app.header[0].value
    app.selectbox(key="looks_topic").set_value("hanger_size").run()
    text = shown(app)
    assert "1 pair: 0 written up by the earlier look only, 1 by the later only, 0 by both, 0 by neither." in text
    assert "**Earlier look, 3 May 2026**" in text
    assert "**Later look, 4 Jun 2026**" in text
    assert "“Gaps are fine.”" in text
    assert "“Gap at the stair.”" in text
    assert "2 cases of hanger size on deck D9" in text
    assert not app.exception


def test_without_a_pair_the_page_says_how_pairs_come_about_and_still_shows_the_rounds(
    opened: Callable[..., AppTest],
) -> None:
    firm = Firm().note("joist_gap", "passed")
    calibration_round(firm, "uuuu uuup pppp uppp pppp uuuu pppp ppup uuuu pppp", "dda" + "a" * 7)
    app = opened(firm, PAGE)
    text = shown(app)
    assert "No deck was seen by two inspectors within 60 days." in text
    assert "Pairs come of themselves where two colleagues report on one deck" in text
    assert "**C1, 1 Jun 2026:** 4 inspectors called 10 items. Two calls on an item agree in 85 % of cases (" in text
    # 7 of 8 on the two defects, 22 of 32 on the sound ones.
    assert "Of 40 calls on items whose verdict is known 29 agree with it (72 %, " in text
    results = next(frame.value for frame in app.dataframe if "False alarms" in frame.value)
    first = results.replace("\u00a0", " ", regex=True).iloc[0]
    # The exact interval of 0 of 2 by scipy's binomtest: 0 to 0.842; under 2 percent it takes 183.
    assert first["Defects missed"] == "0 of 2 (0 to 84 %), cannot tell under 183 items"
    assert first["False alarms"].startswith("3 of 8 (")


def test_names_out_of_the_reports_are_no_markup(opened: Callable[..., AppTest]) -> None:
    firm = Firm()
    for inspector, call in (("I1", "passed"), ("I2", "written_up")):
        look(firm, HOSTILE, inspector, call, date(2026, 5, 1), comment=HOSTILE, place=HOSTILE)
    calibration_round(firm, "up pp", round_id=HOSTILE)
    app = opened(firm, PAGE)
    markdown = " ".join(element.value for kind in (app.header, app.subheader, app.markdown) for element in kind)
    assert "![x](" not in markdown
    assert "[go](http:" not in markdown
    assert "cases of joist gap on deck =HYPERLINK" in shown(app)
    assert not app.exception


def some_known(firm: Firm) -> Firm:
    """I1 and I2: of 50 write-ups of hanger size 40 judged, 30 hold; of 350 passes 150, 15 defects. I3: 6 looks."""
    for inspector in ("I1", "I2"):
        for call, counts in {"written_up": (30, 10, 10), "passed": (15, 135, 200)}.items():
            for verdict, count in zip(("defect", "acceptable", "cannot_tell"), counts, strict=True):
                firm.many(count, "hanger_size", call, verdict, inspector_id=inspector)
    firm.many(4, "hanger_size", "passed", "acceptable", inspector_id="I3")
    firm.note("hanger_size", "written_up", "defect", inspector_id="I3", report="R9", deck="D9")
    return firm.many(1, "hanger_size", "passed", "defect", inspector_id="I3")


def test_how_often_calls_are_right_is_told_with_counts_and_which_looks_would_tell_more(
    opened: Callable[..., AppTest],
) -> None:
    app = opened(some_known(Firm()), PAGE)
    text = shown(app)
    # By call class: of 101 write-ups 61 of 81 judged hold, of 705 passes 31 of 305 have the defect.
    assert "Hanger size on 806 decks, all inspectors together: **51 % of the defects are found** (" in text
    assert "Their truth is known of 386: 92 with the defect, 294 without." in text
    # I3 knows 2 defects and 4 sound ones; 92 in 386 known decks have the defect: 3 of them come with about 13 looks.
    assert "How many defects are found cannot be told of 1 inspector" in text
    assert "It takes about 13 more looks of known truth." in text
    assert "Agreement is not correctness: two colleagues can agree and both be wrong." in text
    figures = next(frame.value for frame in app.dataframe if "Defects found" in frame.value)
    assert list(figures["Inspector"]) == ["I1", "I2", "I3"]
    assert figures["Defects found"].iloc[2].replace("\u00a0", " ") == "too few: 2 known, about 13 more looks"
    # Below it the list of second looks: the same again, and each of them leads to its case.
    assert "**Looks at random at hanger size would teach most.**" in text
    assert "if nothing is assumed of the 420 calls that could not be judged." in text
    assert "10 drawn at random from the calls on hanger size that could not be judged, each with a known chance" in text
    listed = next(frame.value for frame in app.dataframe if "Chance" in frame.value)
    assert set(listed["How"]) == {"at random", "targeted"}
    again = next(frame.value for frame in app.run().dataframe if "Chance" in frame.value)
    assert list(again["Case"]) == list(listed["Case"])
    app.selectbox(key="look_to_make").set_value(listed["Case"].iloc[0]).run()
    assert "This could not be judged" in shown(app)
    assert not app.exception


def test_where_nothing_is_known_and_nothing_is_open_the_page_says_so(opened: Callable[..., AppTest]) -> None:
    text = shown(opened(Firm().note("other", "passed", None), PAGE))
    assert "The truth of no deck is known." in text
    assert "No call that a rule could judge is left open, so that no second look would teach more." in text
