"""From a snapshot to a note: the numbers come from the measures, the sentences from ``wording``."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import pandas as pd

from dashboard import labels
from dashboard.charts import theme
from dashboard.charts.case_drawing import Hanger, case_drawing
from dashboard.charts.pattern_list import pattern_list
from dashboard.filters import EVERYTHING, Filters
from dashboard.measures import lumber
from dashboard.measures.cases import Case, case, cases, cases_of_pattern
from dashboard.measures.catalog import criteria, topics
from dashboard.measures.hanger_grid import hanger_grid
from dashboard.measures.patterns import misses, patterns
from dashboard.measures.summary import Summary, summary
from dashboard.notes import note_wording, wording
from dashboard.notes.errors import UnknownPattern, UnknownTopic
from dashboard.notes.model import Note, NoteCase, Part
from dashboard.warehouse import Snapshot

_CASE_OUTCOMES = ("overcalled", "upheld", "missed", "undecided")
_MOST_CASES, _MOST_KINDS = 3, 5
_PICTURE_WIDTH = 660


def note_on_topic(snapshot: Snapshot, topic: str, filters: Filters = EVERYTHING) -> Note:
    """The note on all calls of a topic.

    Raises
    ------
    UnknownTopic
        With the topics that have a rule.
    """
    about = _topic(snapshot, topic)
    within = replace(filters, topics=(topic,))
    found = summary(snapshot, within)
    grid = hanger_grid(snapshot, within)
    kinds = _kinds(snapshot, within, about)
    samples = [
        row
        for outcome in _CASE_OUTCOMES
        for row in _first(cases(snapshot, within, topic=topic, outcomes=(outcome,), most=40))
    ]
    rules = criteria(snapshot, topic)
    return Note(
        kicker=note_wording.kicker(str(about["title"]), found),
        title=note_wording.topic_title(str(about["title"]), topic, found, grid),
        seen=_runs(note_wording.topic_seen(topic, found, grid)),
        rule=str(about["plain"]),
        sources=tuple(dict.fromkeys(wording.source_line(rule) for rule in rules.to_dict("records"))),
        caution=_text(about["caution"]),
        habit=str(about["habit"]),
        judged=note_wording.judged(found),
        **_picture(topic, "2x10", kinds, found),
        **_rest(snapshot, samples),
    )


def note_on_pattern(snapshot: Snapshot, pattern: str, filters: Filters = EVERYTHING) -> Note:
    """The note on one kind of wrong call.

    Raises
    ------
    UnknownPattern
        With the patterns of the snapshot, the most wrong first.
    """
    kind = _kind(snapshot, pattern, filters)
    about = _topic(snapshot, kind.topic)
    name = wording.kind_name(kind.topic, str(about["title"]), kind.recorded)
    found = summary(snapshot, replace(filters, topics=(kind.topic,)))
    samples = [
        row
        for outcome in _CASE_OUTCOMES
        for row in _first(cases_of_pattern(snapshot, pattern, filters, calls=(), outcomes=(outcome,), most=40))
    ]
    decided = next((rule for row in samples if (rule := case(snapshot, row).criterion)), None)
    rules = [decided] if decided else criteria(snapshot, kind.topic).to_dict("records")
    joist = kind.recorded.partition(" ")[0]
    return Note(
        kicker=note_wording.kicker(str(about["title"]), found),
        title=note_wording.pattern_title(name, kind.topic, kind.recorded, kind.wrote, kind.missed),
        seen=_runs(note_wording.pattern_seen(name, kind.wrote, kind.missed)),
        rule=str(decided["plain"]) if decided else str(about["plain"]),
        sources=tuple(dict.fromkeys(wording.source_line(rule) for rule in rules)),
        caution=_text(about["caution"]),
        habit=str(about["habit"]),
        judged=note_wording.pattern_judged(kind.wrote, kind.missed),
        **_picture(kind.topic, joist if joist in lumber.DEPTH_IN else "2x10", kind.drawn(name), found),
        **_rest(snapshot, samples),
    )


@dataclass(frozen=True)
class _Kind:
    """A pattern: its row among the write-ups and among the misses, either of which may be lacking."""

    topic: str
    recorded: str
    wrote: dict[str, Any] | None
    missed: dict[str, Any] | None

    def drawn(self, name: str) -> pd.DataFrame:
        """The row for the picture of write-ups; empty where none was judged."""
        rows = [self.wrote | {"name": name, "wrong": self.wrote["overcalled"]}] if self.wrote else []
        frame = pd.DataFrame(rows)
        return frame[frame["judged"] > 0] if len(frame) else frame


def _kind(snapshot: Snapshot, pattern: str, filters: Filters) -> _Kind:
    wrote, missed = patterns(snapshot, filters), misses(snapshot, filters)
    rows = [_row(frame, pattern) for frame in (wrote, missed)]
    first = rows[0] or rows[1]
    if first is None:
        raise UnknownPattern(pattern, list(dict.fromkeys([*wrote["pattern_id"], *missed["pattern_id"]])))
    return _Kind(first["topic"], first["recorded"], rows[0], rows[1])


def _row(frame: pd.DataFrame, pattern: str) -> dict[Any, Any] | None:
    found = frame[frame["pattern_id"] == pattern].to_dict("records")
    return found[0] if found else None


def _topic(snapshot: Snapshot, topic: str) -> pd.Series:
    known = topics(snapshot)
    known = known[known["has_rule"]]
    row = known[known["topic"] == topic]
    if row.empty:
        raise UnknownTopic(topic, known["topic"])
    return row.iloc[0]


def _kinds(snapshot: Snapshot, filters: Filters, about: pd.Series) -> pd.DataFrame:
    found = patterns(snapshot, filters)
    found = found[found["judged"] > 0].head(_MOST_KINDS)
    names = [wording.kind_name("hanger_size", str(about["title"]), recorded) for recorded in found["recorded"]]
    return found.assign(name=names, wrong=found["overcalled"])


def _picture(topic: str, joist: str, kinds: pd.DataFrame, found: Summary) -> dict[str, Any]:
    """For hanger size the joist in three hangers, with the 60 percent of each joist; else which kinds hold."""
    if topic == "hanger_size":
        chart = _hangers(joist)
        needed = [labels.quantity(lumber.LEAST_SHARE * depth, "in") for depth in lumber.DEPTH_IN.values()]
        table: tuple[tuple[str, ...], ...] = (
            ("Joist", *lumber.SIZES),
            (f"{labels.join('60', '%')} of its depth", *needed),
        )
    elif kinds.empty:
        return {"picture": None, "picture_says": "", "table": ()}
    else:
        chart = pattern_list(kinds, found.overcalled.value, "do not hold, of those judged", theme.LIGHT)
        chart, table = chart.properties(width=_PICTURE_WIDTH), ()
    white = chart.properties(background="#FFFFFF")
    return {"picture": white.to_dict(), "picture_says": str(chart.description), "table": table}


def _hangers(joist: str) -> theme.Picture:
    place = lumber.SIZES.index(joist)
    sizes = [lumber.SIZES[at] for at in (place, place - 1, place - 2) if at >= 0]
    drawn = [
        Hanger(
            lumber.DEPTH_IN[size],
            labels.quantity(lumber.DEPTH_IN[size], "in"),
            captions=(f"{size} hanger", note_wording.size_verdict(joist, size)),
        )
        for size in sizes
    ]
    name = f"{joist} joist: {labels.quantity(lumber.DEPTH_IN[joist], 'in')}"
    return case_drawing(lumber.DEPTH_IN[joist], name, drawn, theme.LIGHT, px_per_in=21, label_room_in=11.2)


def _first(found: pd.DataFrame) -> list[str]:
    """The newest case that has a sentence, else the newest; its id."""
    worded = found[found["comment"].notna()]
    return list((worded if len(worded) else found)["observation_id"].head(1))


def _rest(snapshot: Snapshot, samples: list[str]) -> dict[str, Any]:
    info = snapshot.info
    made = f"snapshot {info.snapshot} of {labels.day(info.created_at)}"
    return {
        "cases": tuple(_note_case(case(snapshot, identity)) for identity in samples[:_MOST_CASES]),
        "cautions": labels.CAUTIONS,
        "origin": f"{labels.PRODUCT} · {made} · rules {info.catalog}",
    }


def _note_case(found: Case) -> NoteCase:
    outcome = str(found.facts["outcome"])
    told = [f"{row['title']} {labels.value(row['value'], row['unit'])}" for row in found.measures.to_dict("records")]
    return NoteCase(
        outcome_id=outcome,
        outcome=labels.OUTCOMES[outcome].capitalize(),
        glyph=labels.GLYPHS.get(outcome, ""),
        comment=note_wording.without_names(_text(found.facts["comment"]), found.facts),
        measures=", ".join(told),
        reason=note_wording.capital(_text(found.facts["reason"])),
    )


def _runs(sentence: wording.Sentence) -> tuple[Part, ...]:
    return tuple(Part(text=text, strong=strong) for text, strong in sentence.runs)


def _text(value: object) -> str:
    return str(value) if labels.is_known(value) else ""
