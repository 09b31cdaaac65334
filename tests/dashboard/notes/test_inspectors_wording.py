"""What is said of inspectors and their peers, compared with literals."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest

from dashboard.measures.comparisons import MISSED, OVERCALLED, WRITTEN_UP, WorthALook
from dashboard.measures.funnel import Funnel
from dashboard.notes import inspectors_wording as told

TITLES = {"hanger_size": "Hanger size", "joist_gap": "Gap at the joist end"}
NOBODY = pd.DataFrame(columns=["inspector_id", "by", "group", "visits", "own"])
FLATS = pd.DataFrame([("C", "region", "Flats", 40, 40)], columns=NOBODY.columns)


def row(**facts: object) -> dict[str, object]:
    plain = {"inspector_id": "A", "topic": "all", "trials": 300, "written_up": 40, "expected": 41.2, "ratio": 0.97}
    plain |= {"ratio_low": 0.71, "ratio_high": 1.31, "signal": "none", "q": 0.8, "peers": 4, "not_seen": 12}
    plain |= {"not_seen_expected": 14.6, "adjusted_for": "age, region", "judged_write_ups": 30, "overcalled": 4}
    plain |= {"overcalled_found": 4, "overcalled_expected": 3.9, "missed_found": 1, "missed_expected": 1.2}
    return plain | {"first_signalled": pd.NaT, "held": None} | facts


def rows(*facts: dict[str, object]) -> pd.DataFrame:
    return pd.DataFrame([row(**each) for each in facts])


MORE = {"inspector_id": "B", "signal": "higher", "ratio": 1.16, "ratio_low": 1.06, "ratio_high": 1.26}
APART = {"inspector_id": "C", "signal": "cannot_separate", "expected": np.nan, "ratio": np.nan, "peers": 0}


def plain(sentence: object) -> str:
    text = sentence if isinstance(sentence, str) else sentence.markdown  # type: ignore[attr-defined]
    return text.replace("\u00a0", " ")


@pytest.mark.parametrize(
    ("found", "title", "only", "answer"),
    [
        (
            rows({}, MORE, APART, {"inspector_id": "D", "signal": "too_few"}),
            None,
            FLATS,
            "4 inspectors looked at 200 decks. **1 writes up as often as peers would on the same decks**, within what "
            "luck allows. B writes up more (1.2 times, 1.1 to 1.3). 1 has seen too few to compare. C cannot be told "
            "apart from Flats.",
        ),
        (
            rows({}, {"inspector_id": "B"}, {"inspector_id": "C"}),
            "Hanger size",
            NOBODY,
            "3 inspectors looked at hanger size on 200 decks. **All of them write up as often as peers would on the same "
            "decks**, within what luck allows.",
        ),
        (
            rows(
                MORE, MORE | {"inspector_id": "D", "signal": "lower", "ratio": 0.5, "ratio_low": 0.3, "ratio_high": 0.8}
            ),
            None,
            NOBODY,
            "2 inspectors looked at 200 decks. B writes up more (1.2 times, 1.1 to 1.3) and D writes up fewer "
            "(0.5 times, 0.3 to 0.8).",
        ),
        (
            rows({"signal": "too_few"}, {"inspector_id": "B", "signal": "too_few"}),
            None,
            NOBODY,
            "2 inspectors looked at 200 decks. **Too few to compare**: under 20 looks, or fewer than 2 write-ups expected.",
        ),
        (
            rows(APART),
            None,
            NOBODY,
            "1 inspector looked at 200 decks. **One inspector alone is in these reports: there is nobody to compare "
            "with.**",
        ),
        (
            rows(APART, APART | {"inspector_id": "E"}),
            None,
            FLATS,
            "2 inspectors looked at 200 decks. **Nobody can be compared with peers.** C cannot be told apart from Flats. "
            "E cannot be told apart from the decks: too few colleagues saw such decks.",
        ),
    ],
    ids=["all kinds", "all within luck", "both ways", "too few", "one alone", "nobody separable"],
)
def test_the_answer_says_who_is_within_luck_and_who_is_not(
    found: pd.DataFrame, title: str | None, only: pd.DataFrame, answer: str
) -> None:
    people = 1 if len(found) == 1 else 5
    assert plain(told.side_by_side(found, people, 200, title, only)) == answer


def test_topics_that_differ_are_named_with_who_and_which_way() -> None:
    out = pd.DataFrame(
        [
            ("B", "hanger_size", WRITTEN_UP, "higher"),
            ("D", "hanger_size", WRITTEN_UP, "higher"),
            ("E", "hanger_size", WRITTEN_UP, "lower"),
            ("E", "joist_gap", WRITTEN_UP, "lower"),
            ("E", "joist_gap", MISSED, "higher"),
        ],
        columns=["inspector_id", "topic", "kind", "signal"],
    )
    assert plain(told.topic_by_topic(out, 50, TITLES)) == (
        "Topic by topic, **4 of 50 comparisons differ**: hanger size (B and D more, E fewer) and gap at the joist end "
        "(E fewer)."
    )
    assert plain(told.topic_by_topic(out[out["kind"] == MISSED], 50, TITLES)) == (
        "Topic by topic, none of 50 comparisons differs by more than luck."
    )
    assert told.topic_by_topic(out, 0, TITLES) is None


def test_an_inspectors_own_answer_counts_the_topics_within_luck_and_names_nobody_else() -> None:
    topics = [{"topic": "joist_gap"}, {"topic": "stringer", "signal": "too_few"}]
    far = {"topic": "hanger_size", "written_up": 84, "expected": 17.4, "signal": "higher", "q": 0.001}
    assert plain(told.own_calls(rows({}, *topics, far), 3, 90, TITLES, NOBODY)) == (
        "A looked at 90 decks and made 40 write-ups; peers would have made about 41 on the same decks (0.97 times, "
        "0.71 to 1.31: within what luck allows). **1 of 2 topics that can be compared differ by no more than luck.** "
        "Hanger size (84 against about 17) does."
    )
    assert plain(told.own_calls(rows({}, *topics), 3, 90, TITLES, NOBODY)).endswith(
        "**The one topic that can be compared does not differ by more than luck.**"
    )
    assert plain(told.own_calls(rows({}, *topics, {"topic": "x"}), 3, 90, TITLES, NOBODY)).endswith(
        "**2 topics can be compared; none of them differs by more than luck.**"
    )


@pytest.mark.parametrize(
    ("facts", "only", "said"),
    [
        (APART, FLATS, "**C alone covers Flats: region and inspector cannot be told apart.**"),
        (APART, NOBODY, "**There is nobody to compare with**: no colleague saw such decks."),
        (
            APART | {"peers": 1},
            NOBODY,
            "**Decks and inspector cannot be told apart**: too few colleagues saw such decks.",
        ),
        ({"signal": "too_few"}, NOBODY, "**That is too few to compare with peers**: under 20 looks"),
    ],
    ids=["alone in a region", "no peers", "few peers", "too few"],
)
def test_why_nothing_is_compared_is_said(facts: dict[str, object], only: pd.DataFrame, said: str) -> None:
    assert said in plain(told.own_calls(rows(facts), 3, 40, TITLES, only))


def test_a_topic_worth_a_look_says_what_differs_what_holds_and_since_when() -> None:
    facts = {"topic": "joist_gap", "written_up": 27, "expected": 45.2, "missed_found": 23, "missed_expected": 4.8}
    facts |= {"judged_write_ups": 25, "overcalled": 5, "first_signalled": pd.Timestamp("2023-05-01"), "held": True}
    found = WorthALook(pd.Series(row(**facts)), (MISSED, WRITTEN_UP))
    assert [plain(each) for each in told.why_worth_a_look(found, "Gap at the joist end")] == [
        "**Gap at the joist end.** 27 written up, where peers would have written up about 45. 23 recorded defects were "
        "passed over; peers who recorded the same, about 4.8.",
        "25 of 27 write-ups could be judged; **5 do not hold** (20 %, 8.9 to 39).",
        "Since May 2023; later reports alone show it too.",
    ]
    sound = WorthALook(pd.Series(row(**facts | {"judged_write_ups": 0})), (OVERCALLED,))
    assert [plain(each) for each in told.why_worth_a_look(sound, "Gap")] == [
        "**Gap.** 4 times sound work was written up; peers who recorded the same, about 3.9.",
        "None of 27 write-ups could be judged.",
    ]


def test_whether_a_difference_held_is_said_as_far_as_it_is_known() -> None:
    first = pd.Timestamp("2023-05-01")
    said = [told.since_when(pd.Series({"first_signalled": first, "held": held})) for held in (True, False, None)]
    assert [plain(each) for each in said] == [
        "since May 2023; later reports alone show it too",
        "since May 2023; later reports alone do not show it",
        "since May 2023; too little since then to say whether it holds",
    ]
    assert told.since_when(pd.Series({"first_signalled": pd.NaT, "held": None})) == ""


def test_what_the_bands_are_and_what_they_leave_out_is_said() -> None:
    limits = pd.DataFrame({"highest": [1.5, 1.2], "spread_highest": [1.6, 1.3]})
    wide = told.how_to_read_the_funnel(Funnel(limits, 0.1, 0.0, 0.2, 1.14))
    assert plain(wide) == (
        "Shaded: where luck leaves 95 %, and 99.8 % (dashed: with the usual differences between colleagues). By luck "
        "alone one dot in twenty lies outside the inner band; in color is what remains once all comparisons are counted, "
        "and how well the peers' number is known. Those who do not stand out lie 1.1 times as far apart as by luck."
    )
    alike = told.how_to_read_the_funnel(Funnel(limits.assign(spread_highest=limits["highest"]), 0.0, 0.0, 0.1, None))
    assert "dashed" not in alike
    assert "Hollow" not in alike
    assert " Hollow: too few to compare." in told.how_to_read_the_funnel(Funnel(limits, 0.1, 0.0, 0.2, None), True)
    assert "as far apart" not in alike
    own = rows({}, {"topic": "joist_gap"})
    assert plain(told.how_to_read_the_bands(own, 5, 8)).endswith(
        "Peers are 4 colleagues, never shown singly. 3 more topics are in the figures below; all of them lie within luck."
    )
    assert plain(told.not_seen(own.iloc[0])) == (
        "Not seen: 12 of 312 looks, where peers leave about 15 unseen in the same regions and seasons. Not seen is no "
        "fault, and it is not fine either."
    )
    assert plain(told.alone_on_their_ground(FLATS, ["A", "C"])) == (
        "C alone covers Flats: region and inspector cannot be told apart."
    )
    assert told.alone_on_their_ground(FLATS, ["A"]) == ""
    signals = ["none", "none", "higher", "lower", "too_few", "higher"]
    cells = pd.DataFrame({"topic": [*"abcde", "all"], "signal": signals})
    assert plain(told.how_many_were_compared(cells)) == (
        "4 comparisons of all inspectors and topics were made, 2 differ by more than luck. At this limit about one in "
        "twenty of those marked is luck after all."
    )
