"""The sentences that only notes have: titles, what we see, what was judged."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import pandas as pd

from dashboard import labels
from dashboard.measures import lumber
from dashboard.measures.summary import Summary
from dashboard.notes.wording import Sentence, Strong, in_brackets, said, together

ONE_SIZE_DOWN = "One size down usually holds"
#: Facts of a case that would tell who, in which report, or where.
_TELLING = ("inspector_id", "report_id", "observation_id", "property_id", "deck_id", "builder", "place")


def kicker(title: str, found: Summary) -> str:
    """``Calibration note · Hanger size · 1 Apr 2025 to 30 Sep 2026``."""
    days = [labels.period(found.first_day, found.last_day)] if found.first_day and found.last_day else []
    return " · ".join(["Calibration note", title, *days])


def topic_title(title: str, topic: str, found: Summary, grid: pd.DataFrame) -> str:
    """The finding on a topic, promising no more than the rule."""
    down = lumber.fared(grid, lumber.one_size_down)
    if topic == "hanger_size" and down.judged and 2 * down.overcalled > down.judged:
        return ONE_SIZE_DOWN
    return _write_ups_title(title, found.overcalled.count, found.overcalled.of, found.missed)


def pattern_title(
    name: str, topic: str, recorded: str, wrote: Mapping[str, Any] | None, missed: Mapping[str, Any] | None
) -> str:
    """The finding on one kind of call."""
    joist, _, hanger = recorded.removesuffix(" hanger").partition(" joist in ")
    sizes = topic == "hanger_size" and {joist, hanger} <= set(lumber.SIZES)
    if sizes and wrote and lumber.one_size_down(joist, hanger) and 2 * wrote["overcalled"] > wrote["judged"]:
        return ONE_SIZE_DOWN
    wrong, judged = (wrote["overcalled"], wrote["judged"]) if wrote else (0, 0)
    return _write_ups_title(name, wrong, judged, missed["missed"] if missed else 0)


def _write_ups_title(name: str, wrong: int, judged: int, missed: int) -> str:
    if wrong:
        verb = "does" if wrong == 1 else "do"
        return f"{name}: {labels.part_of(wrong, judged)} write-ups {verb} not hold"
    if missed:
        return f"{name}: {labels.plural(missed, 'defect')} passed over"
    return f"{name}: every write-up that could be judged holds" if judged else f"{name}: nothing could be judged yet"


def topic_seen(topic: str, found: Summary, grid: pd.DataFrame) -> Sentence:
    """What we see in a topic: write-ups that hold and do not, then what was passed over."""
    down = lumber.fared(grid, lumber.one_size_down)
    never = lumber.fared(grid, lumber.never_enough)
    sizes = None
    if topic == "hanger_size" and down.written_up:
        sizes = said(
            f"{labels.plural(down.written_up, 'hanger')} one size down {_was(down.written_up)} written up; of "
            f"{labels.count(down.judged)} judged ",
            Strong(f"{labels.do_not_hold(down.overcalled)}."),
            f" Of {labels.count(never.judged)} under {labels.join('60', '%')} of the joist, "
            f"{labels.count(never.upheld)} hold.",
        )
    return together(_wrote(found), sizes, _passed(found.missed, found.understated))


def _wrote(found: Summary) -> Sentence:
    if not found.written_up:
        return said("Nothing was written up.")
    judged = found.judged_write_ups
    return said(
        f"Of {labels.plural(found.written_up, 'write-up')} {labels.count(judged.count)} could be judged; ",
        Strong(labels.do_not_hold(found.overcalled.count)),
        f"{in_brackets(found.overcalled)}.",
    )


def pattern_seen(name: str, wrote: Mapping[str, Any] | None, missed: Mapping[str, Any] | None) -> Sentence:
    """What we see of one kind of call."""
    first = None
    if wrote and wrote["judged"]:
        first = said(
            f"{name}: written up {labels.plural(wrote['written_up'], 'time')}, "
            f"{labels.count(wrote['judged'])} judged; ",
            Strong(labels.do_not_hold(wrote["overcalled"])),
            f" ({labels.percent(wrote['share'])}, {labels.interval(wrote['share_low'], wrote['share_high'])}), by "
            f"{labels.part_of(wrote['inspectors_overcalled'], wrote['inspectors'])} inspectors who wrote it up.",
        )
    elif wrote:
        first = said(f"{name}: written up {labels.plural(wrote['written_up'], 'time')}, none of them could be judged.")
    return together(first, _passed(missed["missed"], missed["understated"]) if missed else None)


def _passed(missed: int, understated: int) -> Sentence | None:
    if not missed + understated:
        return None
    return said(
        Strong(f"{labels.plural(missed, 'defect')} {_was(missed)} passed over"),
        f", {labels.count(understated)} only advised upon. {labels.MISSES_CAUTION}",
    )


def judged(found: Summary) -> str:
    """How much of a topic could be judged."""
    all_calls = found.judged
    share = f" ({labels.percent(all_calls.value)})" if all_calls.value is not None else ""
    return (
        f"Judged: {labels.part_of(all_calls.count, all_calls.of)} calls{share}; of the write-ups "
        f"{labels.part_of(found.judged_write_ups.count, found.judged_write_ups.of)}. {labels.MISSES_CAUTION} "
        "You may ask for a second look at any verdict."
    )


def pattern_judged(wrote: Mapping[str, Any] | None, missed: Mapping[str, Any] | None) -> str:
    """How much of one kind could be judged."""
    parts = []
    if wrote:
        parts.append(f"{labels.part_of(wrote['judged'], wrote['written_up'])} write-ups")
    if missed:
        parts.append(f"{labels.part_of(missed['judged'], missed['trials'])} calls without a write-up")
    return f"Judged: {labels.listed(parts)}. {labels.MISSES_CAUTION} You may ask for a second look at any verdict."


def size_verdict(joist: str, hanger: str) -> str:
    """What the rule says of a pair of sizes, in the words of the note's picture."""
    if lumber.never_enough(joist, hanger):
        return f"under {labels.join('60', '%')}: a defect"
    if (joist, hanger) in lumber.HEIGHT_DECIDES:
        return "its height decides"
    return "same size: acceptable" if joist == hanger else "one size down: acceptable"


def without_names(text: str, facts: Mapping[str, object]) -> str:
    """A report's sentence without the ids, the builder and the place of its case; … stands for them."""
    for telling in sorted({str(facts[name]) for name in _TELLING if facts.get(name)}, key=len, reverse=True):
        if len(telling) > 1:
            text = text.replace(telling, "…")
    return text


def capital(text: str) -> str:
    """The text with a capital at its start."""
    return text[:1].upper() + text[1:]


def _was(number: int) -> str:
    return "was" if number == 1 else "were"
