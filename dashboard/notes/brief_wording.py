"""The sentences of "Before you go": what was found on decks like this one, what was passed over, what to measure."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

import pandas as pd

from dashboard import labels
from dashboard.measures.brief import LEAST_DEFECTS, LEAST_TRIALS, Deck
from dashboard.measures.rows import each
from dashboard.notes.wording import Sentence, Strong, said, together

TITLE = "Before you go"
FOUND, PASSED_OVER, TO_MEASURE = "What was found", "What was passed over most", "What to measure there"
PAST_DECKS = "This is about past decks and not about the one you go to: look at everything, as always."
FOUND_CAPTION = (
    "The surest first. A look is one topic on one deck in one report. Found: written up or referred, and a defect by "
    f"the rule; bar: {labels.join('95', '%')} interval. What could not be judged is not among them, so that these "
    "shares are the least."
)
FEW_LAST = f"Topics of fewer than {LEAST_DEFECTS} judged defects come last."
NOTHING_FOUND = "Nothing that was found there is a defect by the rules."
NOTHING_PASSED = "No defect was seen to be passed over there."
_NAMED, _HABITS = 3, 3
_TRAITS = {"deck_age": "age", "region": "region", "deck_height": "height", "builder": "builder"}


def deck_in_words(like: Deck) -> str:
    """``decks of 20 to 29 years, in Ridge, 73 to 120 in high``; ``all decks`` where nothing is asked."""
    if not like.traits:
        return "all decks"
    told = {trait: labels.group_in_sentence(trait, str(getattr(like, trait))) for trait in like.traits}
    return f"decks {', '.join(words.removeprefix('decks ') for words in told.values())}"


def kicker(like: Deck, first_day: Any, last_day: Any) -> str:
    """What the page is about, and from when to when."""
    return " · ".join([TITLE, deck_in_words(like), labels.period(first_day, last_day)])


def title(found: pd.DataFrame, names: Mapping[str, str]) -> str:
    """The finding: what was found most."""
    some = _some(found).head(_NAMED)
    if some.empty:
        return "Nothing was found on decks like this"
    listed = labels.listed(labels.in_sentence(names[topic]) for topic in some["topic"])
    return f"On decks like this: {listed}"


def _some(found: pd.DataFrame) -> pd.DataFrame:
    return found[found["found"] > 0]


def answer(like: Deck, found: pd.DataFrame, passed: pd.DataFrame, names: Mapping[str, str]) -> Sentence:
    """What was found most on such decks, and which defect was passed over most, each with its count and interval."""
    some = _some(found).head(_NAMED)
    if some.empty:
        return together(said(Strong(NOTHING_FOUND)), _passed(passed, names))
    parts: list[str] = []
    for row in each(some):
        share = labels.percent_with_interval(row.found_share, row.found_share_low, row.found_share_high)
        topic = Strong(labels.in_sentence(names[row.topic]))
        parts += [", " if parts else "", topic, f" in {share} of {labels.count(row.trials)} looks"]
    where = _past_decks(like, pd.concat([some, passed.head(1)]))
    return together(said(f"Found most on {where}: ", *parts, "."), _passed(passed, names))


def _past_decks(like: Deck, rows: pd.DataFrame) -> str:
    """In what the decks behind these rows are alike, all of them: no more than what the rarest topic left."""
    if not like.traits:
        return "all past decks"
    kinds = sorted(set(rows["alike"]), key=len)
    least = kinds[0].split()
    if not least:
        return "past decks, some of them not like this at all"
    return f"past decks alike {'at least ' if len(kinds) > 1 else ''}in {_listed(least)}"


def _listed(traits: Iterable[str]) -> str:
    return labels.listed(_TRAITS[trait] for trait in traits)


def _passed(passed: pd.DataFrame, names: Mapping[str, str]) -> Sentence | None:
    if passed.empty:
        return None
    row = next(each(passed))
    return said("Passed over most: ", Strong(labels.in_sentence(names[row.topic])), f", {_of_defects(row)}.")


def _of_defects(row: Any) -> str:
    """``6 of 14 defects (43 %, 21 to 67)``."""
    share = labels.percent(row.passed_over_share)
    ends = labels.interval(row.passed_over_share_low, row.passed_over_share_high)
    return f"{labels.part_of(row.passed_over, row.defects)} judged defects ({share}, {ends})"


def passed_over(passed: pd.DataFrame, names: Mapping[str, str]) -> str:
    """The defects that were passed over most, with their counts."""
    if passed.empty:
        return NOTHING_PASSED
    told = [f"{names[row.topic]}: {_of_defects(row)}" for row in each(passed.head(_NAMED))]
    more = len(passed) - len(told)
    rest = f" On {labels.plural(more, 'other topic')} a defect was passed over, too." if more else ""
    return f"{'; '.join(told)}.{rest} {FEW_LAST if more else ''}".rstrip()


def alike(table: pd.DataFrame, like: Deck) -> str:
    """In what the decks are alike, and for which share of the topics something had to be given up."""
    if not like.traits:
        return "Nothing is known of the deck: these are all decks of the firm."
    counts = table.groupby("alike", sort=False).size().sort_values(ascending=False, kind="stable")
    told = [f"{_in_traits(str(traits))} for {labels.plural(number, 'topic')}" for traits, number in counts.items()]
    asked = _listed(like.traits)
    few = int((table["trials"] < LEAST_TRIALS).sum())
    rare = f" {labels.plural(few, 'topic')} {labels.are(few)} rare even so: read the counts." if few else ""
    if list(counts.index) == [" ".join(like.traits)]:
        return f"The decks are alike in {asked}.{rare}"
    return (
        f"Alike in {asked} as far as that leaves {labels.count(LEAST_TRIALS)} looks at a topic; else the builder is "
        f"given up, then the height, then the region: {'; '.join(told)}.{rare}"
    )


def _in_traits(traits: str) -> str:
    """``alike in age and region``."""
    return f"alike in {_listed(traits.split())}" if traits else "any deck"


def to_measure(topics: Iterable[str], names: Mapping[str, str], habits: Mapping[str, Any]) -> str:
    """What the rules of these topics ask to be measured and recorded."""
    known = _with_habit(topics, habits)
    return " ".join(f"{names[topic]}: {labels.in_sentence(str(habits[topic]))}" for topic in known)


def judged(table: pd.DataFrame) -> str:
    """How much of what is told could be judged."""
    of = labels.part_of(int(table["judged"].sum()), int(table["trials"].sum()))
    return f"Judged: {of} looks at these decks. {labels.MISSES_CAUTION}"


def nothing_alike(like: Deck) -> tuple[str, str]:
    """In place of the page's content where no such deck was looked at."""
    return f"No look at {deck_in_words(like)} is in these reports.", "Leave out what you know least of the deck."


def traits(alike: str) -> str:
    """What decks are alike in, for a table: ``age, region``."""
    return ", ".join(_TRAITS[trait] for trait in alike.split()) or "nothing"


def passed_lines(passed: pd.DataFrame, names: Mapping[str, str]) -> list[tuple[str, str, str]]:
    """What was passed over, a line each: topic, interval, count."""
    return [
        (
            f"{labels.GLYPHS['missed']} {names[row.topic]}",
            labels.percent_with_interval(row.passed_over_share, row.passed_over_share_low, row.passed_over_share_high),
            f"{labels.part_of(row.passed_over, row.defects)} defects",
        )
        for row in each(passed)
    ]


def wanted(table: pd.DataFrame, passed: pd.DataFrame) -> list[str]:
    """The topics to be told what to measure of: passed over first, then found; all where there is neither."""
    found = [*passed["topic"], *_some(table)["topic"]]
    return list(dict.fromkeys(found or table["topic"]))


def habit_lines(
    topics: Iterable[str], names: Mapping[str, str], habits: Mapping[str, Any]
) -> list[tuple[str, str, str]]:
    """What to measure and record of the first topics, a line each."""
    return [(names[topic], str(habits[topic]), "") for topic in _with_habit(topics, habits)]


def _with_habit(topics: Iterable[str], habits: Mapping[str, Any]) -> list[str]:
    return [topic for topic in topics if labels.is_known(habits[topic])][:_HABITS]


def passed_rows(passed: pd.DataFrame, names: Mapping[str, str], most: int) -> tuple[tuple[str, ...], ...]:
    """The small table of a printed page: what was passed over, head first; empty where nothing was."""
    if passed.empty:
        return ()
    rows = [
        (
            names[row.topic],
            labels.part_of(row.passed_over, row.defects),
            labels.percent_with_interval(row.passed_over_share, row.passed_over_share_low, row.passed_over_share_high),
        )
        for row in each(passed.head(most))
    ]
    return (("Passed over", "of judged defects", "share"), *rows)
