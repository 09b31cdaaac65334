"""The topic and the call that a comment tells, for rows that have no column for them."""

from __future__ import annotations

from dataclasses import dataclass

from etl.comments.reader import LONGEST, read_comment
from etl.comments.rules import CallRule, TopicRule, comment_rules
from etl.comments.scopes import Stops, find_stops
from etl.comments.spelling import spell
from etl.comments.words import Words, find_words

#: What is told of another structure, of decks in general or in a question is told of nothing here.
_NOT_HERE = frozenset({"elsewhere", "question", "rule"})


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
    said = _Said.of(comment)
    measures = {read.measure: read for read in read_comment(comment)}
    weighed = [(_weight(said, rule, frozenset(measures)), number) for number, rule in enumerate(rules.topic)]
    (first, best), (second, _) = sorted(weighed, key=lambda one: (-one[0], one[1]))[:2]
    rival = second >= rules.weights.least and first - second < rules.weights.ahead
    if first < rules.weights.least or rival:
        return None
    rule = rules.topic[best]
    if places := [(a, b, name) for name in rule.names for a, b in said.find(name)]:
        return _told(said.words, rule.id, *places[0])
    read = next(measures[measure] for measure in (*rule.measures, *rule.also_measures) if measure in measures)
    return Told(rule.id, read.text, read.start, read.end, f"measure: {read.measure}")


@dataclass(frozen=True)
class _Said:
    """The words of a comment, without those on another structure, on decks in general, or in a question."""

    words: Words
    stops: Stops

    @classmethod
    def of(cls, comment: str) -> _Said:
        words = find_words(spell(comment[:LONGEST]))
        return cls(words, find_stops(words, comment_rules()))

    def find(self, pattern: str) -> list[tuple[int, int]]:
        """Each place of a pattern: its first token, and the one after its last."""
        places = [(first, after) for first, after, _ in self.words.find(pattern)]
        return [place for place in places if not any(name in _NOT_HERE for name, _ in self.stops[place[0]])]


def _weight(said: _Said, rule: TopicRule, measures: frozenset[str]) -> float:
    """How much in a comment speaks for a topic: a second phrase or measure adds a quarter."""
    weights = comment_rules().weights
    if any(said.find(word) for word in rule.not_):
        return 0.0
    named = sum(1 for name in rule.names if said.find(name))
    measured = len(measures.intersection(rule.measures))
    hinted = sum(1 for hint in rule.hints if said.find(hint)) + len(measures.intersection(rule.also_measures))
    return _diminished(weights.name, named) + _diminished(weights.measure, measured) + weights.hint * min(hinted, 2)


def _diminished(weight: float, count: int) -> float:
    return weight * (count > 0) + weight / 4 * (count > 1)


def told_call(comment: str) -> Told | None:
    """What the inspector called what he found; None where the words only say what is there, or say both."""
    said = _Said.of(comment)
    found = [told for rule in comment_rules().call if (told := _call(said, rule))]
    values = {told.value for told in found}
    if {"written_up", "passed"} <= values and found[0].value == "written_up":
        return None
    return found[0] if found else None


def _call(said: _Said, rule: CallRule) -> Told | None:
    within = [place for pattern in rule.unless for place in said.find(pattern)]
    for pattern in rule.words:
        for first, after in said.find(pattern):
            if not any(a <= first < b for a, b in within):
                return _told(said.words, rule.call, first, after, pattern)
    return None


def _told(words: Words, value: str, first: int, after: int, rule: str) -> Told:
    start, end = words.place(first, after)
    return Told(value, words.spelled.comment[start:end], start, end, rule)
