"""From a snapshot to a note: the numbers come from the measures, the sentences from ``wording``."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import partial
from itertools import islice, product
from typing import Any

import pandas as pd

from dashboard import labels
from dashboard.filters import EVERYTHING, Filters
from dashboard.measures.cases import Case, case, cases
from dashboard.measures.catalog import criteria, measures, topics
from dashboard.measures.choices import choices
from dashboard.measures.hanger_grid import hanger_grid
from dashboard.measures.missing import missing_measures
from dashboard.measures.patterns import misses, patterns
from dashboard.measures.summary import Summary, summary
from dashboard.notes import note_wording, pictures, wording
from dashboard.notes.errors import UnknownPattern, UnknownTopic
from dashboard.notes.kind import Kind
from dashboard.notes.model import Note, NoteCase, Part, Picture
from dashboard.notes.names import without_names
from dashboard.warehouse import Snapshot

_MOST_CASES, _MOST_KINDS, _LOOKED_AT = 3, 5, 40
#: Which cases a note wants, by what is its point: one of each row, as long as there is room.
_WANTED = {
    "overcalled": (("overcalled",), ("upheld",), ("undecided",), ("missed", "understated")),
    "missed": (("missed", "understated"), ("upheld",), ("undecided",), ("overcalled",)),
}
#: Facts of a case that would tell who, in which report, or where.
_TELLING = ("inspector_id", "report_id", "observation_id", "property_id", "deck_id", "builder", "region", "place")
_Cases = Callable[..., pd.DataFrame]


def note_on(
    snapshot: Snapshot, topic: str | None = None, pattern: str | None = None, filters: Filters = EVERYTHING
) -> Note:
    """The note on a topic or on a pattern; the same snapshot gives the same note.

    Parameters
    ----------
    topic, pattern
        One of them: a topic's id, or a ``pattern_id`` of the tables patterns and misses.

    Raises
    ------
    UnknownTopic, UnknownPattern
        With what there is instead.
    ValueError
        Neither or both of topic and pattern are given.
    """
    if (topic is None) == (pattern is None):
        raise ValueError("a note is on a topic or on a pattern: name one of them")
    if topic is not None:
        return _note_on_topic(snapshot, topic, filters)
    return _note_on_pattern(snapshot, str(pattern), filters)


def kinds(snapshot: Snapshot, filters: Filters = EVERYTHING) -> pd.DataFrame:
    """What a note on a kind of call can be on: of topics with a rule, the kinds that do not hold or were passed over.

    Returns
    -------
    DataFrame
        pattern_id, name, wrong (calls that do not hold, either way); most wrong first.
    """
    titles = _titles(topics(snapshot), "topic")
    both = pd.concat(
        [
            patterns(snapshot, filters).assign(wrong=lambda found: found["overcalled"]),
            misses(snapshot, filters).assign(wrong=lambda found: found["missed"] + found["understated"]),
        ]
    )
    found = both.groupby(["pattern_id", "topic", "recorded"], sort=False, as_index=False)["wrong"].sum()
    found = found[found["wrong"] > 0].sort_values("wrong", ascending=False, kind="stable", ignore_index=True)
    rows = found.to_dict("records")
    named = [wording.kind_name(row["topic"], titles[row["topic"]], row["recorded"]) for row in rows]
    return found.assign(name=pd.Series(named, dtype="str"))[["pattern_id", "name", "wrong"]]


def _note_on_topic(snapshot: Snapshot, topic: str, filters: Filters) -> Note:
    about = topic_with_rule(snapshot, topic)
    title = str(about["title"])
    within = replace(filters, topics=(topic,))
    found = summary(snapshot, within)
    grid = hanger_grid(snapshot, within) if topic == "hanger_size" else None
    passed_over = note_wording.passed_over_is_the_point(found)
    of_topic = partial(cases, snapshot, within, topic=topic)
    samples = sample_cases(snapshot, (of_topic,), "missed" if passed_over else "overcalled")
    rules = criteria(snapshot, topic).to_dict("records")
    return Note(
        kicker=note_wording.kicker(title, filters, found),
        title=note_wording.topic_title(title, found, grid),
        answer=runs(note_wording.topic_answer(title, found)),
        seen=runs(note_wording.topic_seen(found, grid)),
        rule=str(about["plain"]),
        source=note_wording.rule_source(rules, _text(about["caution"]), choices(snapshot).regions),
        judged=note_wording.judged(found),
        picture=_topic_picture(snapshot, topic, within, found, samples),
        **about_note(snapshot, about, within),
        **told_cases(snapshot, samples, rules),
    )


def _topic_picture(
    snapshot: Snapshot, topic: str, within: Filters, found: Summary, samples: list[Case]
) -> Picture | None:
    """For hanger size the joist in three hangers; what was passed over, to scale if it can be drawn; else the kinds."""
    if topic == "hanger_size":
        return pictures.hangers()
    if note_wording.passed_over_is_the_point(found):
        return pictures.of_case(samples) or _passed_over(snapshot, within, found)
    return _write_ups(snapshot, within, found)


def _pattern_picture(
    snapshot: Snapshot, kind: Kind, within: Filters, found: Summary, samples: list[Case]
) -> Picture | None:
    """For hanger size the joist in three hangers; else the case to scale, or the kind beside others of its topic.

    A kind that is about plies is no matter of height, and is not drawn as one.
    """
    show = _passed_over if kind.passed_over_is_the_point else _write_ups
    if kind.is_of_plies:
        return show(snapshot, within, found, kind.recorded)
    if kind.topic == "hanger_size":
        return pictures.hangers(kind.sizes[0]) if kind.sizes else pictures.hangers()
    drawn = pictures.of_case(samples)
    if drawn:
        return drawn
    return show(snapshot, within, found, kind.recorded)


def _passed_over(snapshot: Snapshot, within: Filters, found: Summary, first: str = "") -> Picture | None:
    rows = misses(snapshot, within)
    return pictures.passed_over(_drawn(rows, rows["missed"] + rows["understated"], first), found.wrong_passes.value)


def _write_ups(snapshot: Snapshot, within: Filters, found: Summary, first: str = "") -> Picture | None:
    rows = patterns(snapshot, within)
    return pictures.write_ups(_drawn(rows, rows["overcalled"], first), found.overcalled.value)


def _drawn(rows: pd.DataFrame, wrong: pd.Series, first: str) -> pd.DataFrame:
    """The kinds of one topic to draw, ``first`` before the others; the kicker says the topic, their names need not."""
    kept = rows.assign(wrong=wrong, name=rows["recorded"], later=rows["recorded"] != first)
    return kept[kept["judged"] > 0].sort_values("later", kind="stable").head(_MOST_KINDS)


def _note_on_pattern(snapshot: Snapshot, pattern: str, filters: Filters) -> Note:
    kind = _kind(snapshot, pattern, filters)
    about = topic_with_rule(snapshot, kind.topic)
    title = str(about["title"])
    within = replace(filters, topics=(kind.topic,))
    found = summary(snapshot, within)
    of_kind = partial(cases, snapshot, within, topic=kind.topic, kinds=(kind.recorded,))
    of_topic = partial(cases, snapshot, within, topic=kind.topic)
    samples = sample_cases(snapshot, (of_kind, of_topic), "missed" if kind.passed_over_is_the_point else "overcalled")
    decided = next((each.criterion for each in samples if each.facts["recorded"] == kind.recorded), None)
    rules = [decided] if decided else criteria(snapshot, kind.topic).to_dict("records")
    return Note(
        kicker=note_wording.kicker(title, filters, found),
        title=note_wording.pattern_title(title, kind),
        answer=runs(note_wording.pattern_answer(title, kind)),
        seen=runs(note_wording.pattern_seen(kind)),
        rule=str(decided["plain"]) if decided else str(about["plain"]),
        source=note_wording.rule_source(rules, _text(about["caution"]), choices(snapshot).regions),
        judged=note_wording.pattern_judged(kind),
        picture=_pattern_picture(snapshot, kind, within, found, samples),
        **about_note(snapshot, about, within),
        **told_cases(snapshot, samples, rules),
    )


def _kind(snapshot: Snapshot, pattern: str, filters: Filters) -> Kind:
    # The topic alone is looked through; the whole firm only to say what there is instead.
    topic = pattern.partition(":")[0]
    if not filters.topics or topic in filters.topics:
        within = replace(filters, topics=(topic,))
        rows = [_row(frame, pattern) for frame in (patterns(snapshot, within), misses(snapshot, within))]
        if first := rows[0] or rows[1]:
            return Kind(first["topic"], first["recorded"], rows[0], rows[1])
    known = [*patterns(snapshot, filters)["pattern_id"], *misses(snapshot, filters)["pattern_id"]]
    raise UnknownPattern(pattern, list(dict.fromkeys(known)))


def _row(frame: pd.DataFrame, pattern: str) -> dict[Any, Any] | None:
    found = frame[frame["pattern_id"] == pattern].to_dict("records")
    return found[0] if found else None


def topic_with_rule(snapshot: Snapshot, topic: str) -> pd.Series:
    """A topic's row of the catalog.

    Raises
    ------
    UnknownTopic
        It is none, or has no rule.
    """
    known = topics(snapshot)
    known = known[known["has_rule"]]
    row = known[known["topic"] == topic]
    if row.empty:
        raise UnknownTopic(topic, known["topic"])
    return row.iloc[0]


def about_note(snapshot: Snapshot, about: pd.Series, within: Filters) -> dict[str, Any]:
    """What does not hang on the cases: headings, what to do and record, cautions, and what the note was made from."""
    info = snapshot.info
    return {
        "rule_heading": note_wording.RULE,
        "habit_heading": note_wording.HABIT,
        "habit": str(about["habit"]),
        "record": note_wording.record(missing_measures(snapshot, within), _titles(measures(snapshot), "measure")),
        "cautions": " ".join(labels.CAUTIONS),
        "origin": note_wording.origin(info),
        "made_at": info.created_at,
    }


# ---- cases -----------------------------------------------------------------------------------------------------------


def sample_cases(snapshot: Snapshot, sources: tuple[_Cases, ...], point: str) -> list[Case]:
    """Up to three cases of different outcomes: one of what the note is about, one that holds, one not judged.

    Each is taken from the first source that has one: a kind that never holds is set beside one of its topic that does.
    """
    wanted = (_first(sources, outcomes) for outcomes in _WANTED[point])
    return [case(snapshot, identity) for identity in islice(filter(None, wanted), _MOST_CASES)]


def _first(sources: tuple[_Cases, ...], outcomes: tuple[str, ...]) -> str | None:
    """The newest case with a sentence of the first outcome that there is, else its newest; write-ups before others."""
    for some, outcome, calls in product(sources, outcomes, (("written_up",), ())):
        found = some(outcomes=(outcome,), calls=calls, most=_LOOKED_AT)
        if len(found):
            worded = found[found["comment"].notna()]
            return str((worded if len(worded) else found)["observation_id"].iloc[0])
    return None


def told_cases(snapshot: Snapshot, samples: list[Case], rules: list[dict[Any, Any]]) -> dict[str, Any]:
    """The cases of a note; ``rules`` are those whose sources it names above them."""
    everybody = choices(snapshot)
    names = {*everybody.inspectors, *everybody.builders, *everybody.regions}
    one_source = len({wording.source_in_words(rule) for rule in rules}) == 1
    cited = {rule["criterion_id"] for rule in rules} if one_source else set()
    told = tuple(_note_case(sample, names, sample.facts["criterion_id"] in cited) for sample in samples)
    return {"cases": told, "cases_heading": note_wording.cases_heading(len(told))}


def _note_case(found: Case, names: set[str], cited_above: bool) -> NoteCase:
    outcome = str(found.facts["outcome"])
    said = said_without_names(found, names)
    return NoteCase(
        outcome_id=outcome,
        glyph=labels.GLYPHS.get(outcome, ""),
        heading=f"{note_wording.capital(labels.OUTCOMES[outcome])}.",
        comment=f"“{said}”" if said else "",
        why=note_wording.why(found, cited_above),
    )


def said_without_names(found: Case, names: set[str]) -> str:
    """A case's sentence without what would tell whose it is; empty where there is none, or nothing of it is left."""
    return without_names(_text(found.facts["comment"]), telling_names(found, names))


def telling_names(found: Case, names: set[str]) -> set[str]:
    """The firm's names, and what would tell of a case who, in which report, or where."""
    own = {str(found.facts[fact]) for fact in _TELLING if labels.is_known(found.facts.get(fact))}
    return (names | own) - {labels.UNKNOWN}


def _titles(frame: pd.DataFrame, key: str) -> dict[str, str]:
    return dict(zip(frame[key], frame["title"], strict=True))


def runs(sentence: wording.Sentence) -> tuple[Part, ...]:
    return tuple(Part(text=text, strong=strong) for text, strong in sentence.runs)


def _text(value: object) -> str:
    return str(value) if labels.is_known(value) else ""
