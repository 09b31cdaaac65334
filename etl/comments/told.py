"""The topic and the call that a comment tells, for rows that have no column for them."""

from __future__ import annotations

from dataclasses import dataclass

from etl.comments.reader import LONGEST, read_comment
from etl.comments.rules import CallRule, TopicRule, comment_rules
from etl.comments.spelling import spell
from etl.comments.words import Words, find_words


@dataclass(frozen=True)
class Told:
    """What a comment tells: a topic's or a call's name, the words that say so, their place, and the rule."""

    value: str
    text: str
    start: int
    end: int
    rule: str


def told_topic(comment: str) -> Told | None:
    """The one topic that a comment is about; None where none, or two as strongly, speak in it.

    Phrases that name a topic, hints and the measures that are read each count; the weights stand with the phrases in
    ``catalog/comments_topics.toml``.
    """
    rules = comment_rules()
    words = find_words(spell(comment[:LONGEST]))
    measures = {read.measure: read for read in read_comment(comment)}
    weighed = [(_weight(words, rule, measures.keys()), number) for number, rule in enumerate(rules.topic)]
    (first, best), (second, _) = sorted(weighed, key=lambda one: (-one[0], one[1]))[:2]
    if first < rules.weights.least or first - second < rules.weights.ahead:
        return None
    rule = rules.topic[best]
    if places := [(a, b, name) for name in rule.names for a, b, _ in words.find(name)]:
        return _told(words, rule.id, *places[0])
    read = next(measures[measure] for measure in (*rule.measures, *rule.also_measures) if measure in measures)
    return Told(rule.id, read.text, read.start, read.end, f"measure: {read.measure}")


def _weight(words: Words, rule: TopicRule, measures: object) -> float:
    """How much in a comment speaks for a topic: a second phrase or measure adds a quarter."""
    weights = comment_rules().weights
    if any(words.find(word) for word in rule.not_):
        return 0.0
    read = measures if isinstance(measures, (set, frozenset)) else set(measures)  # type: ignore[call-overload]
    named = sum(1 for name in rule.names if words.find(name))
    measured = len(read.intersection(rule.measures))
    hinted = sum(1 for hint in rule.hints if words.find(hint)) + len(read.intersection(rule.also_measures))
    return _diminished(weights.name, named) + _diminished(weights.measure, measured) + weights.hint * min(hinted, 2)


def _diminished(weight: float, count: int) -> float:
    return weight * (count > 0) + weight / 4 * (count > 1)


def told_call(comment: str) -> Told | None:
    """What the inspector called what he found; None where the words only say what is there, or say both."""
    words = find_words(spell(comment[:LONGEST]))
    found = [told for rule in comment_rules().call if (told := _said(words, rule))]
    said = {told.value for told in found}
    if {"written_up", "passed"} <= said and found[0].value == "written_up":
        return None
    return found[0] if found else None


def _said(words: Words, rule: CallRule) -> Told | None:
    within = [(a, b) for pattern in rule.unless for a, b, _ in words.find(pattern)]
    for pattern in rule.words:
        for first, after, _ in words.find(pattern):
            if not any(a <= first < b for a, b in within):
                return _told(words, rule.call, first, after, pattern)
    return None


def _told(words: Words, value: str, first: int, after: int, rule: str) -> Told:
    start, end = words.place(first, after)
    return Told(value, words.spelled.comment[start:end], start, end, rule)
