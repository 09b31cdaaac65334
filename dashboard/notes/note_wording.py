"""The sentences that only notes have: titles, what we see, what was judged, what to write down."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from typing import Any

import pandas as pd

from dashboard import labels
from dashboard.filters import Filters
from dashboard.measures import lumber
from dashboard.measures.cases import Case
from dashboard.measures.summary import Share, Summary
from dashboard.notes import wording
from dashboard.notes.kind import Kind
from dashboard.notes.names import without_names
from dashboard.notes.wording import LEAST_JUDGED, Sentence, Strong, in_brackets, said, together
from dashboard.warehouse import SnapshotInfo

ONE_SIZE_DOWN = "One size down usually holds"
RULE, PICTURE, HABIT = "The rule", "The picture", "The habit"
TO_SCALE = "The joist and its hangers, to scale."
CASE_TO_SCALE = "To scale, as it was measured in the first case below."
_SECOND_LOOK = "You may ask for a second look at any verdict."
#: The blank between a figure and its unit.
_FIGURE = re.compile(r"(?<=\d) (?=(?:%|in)(?!\w))")
#: Longer limits are left to the page of rules: a note is one sheet.
_MOST_LIMIT_LETTERS = 300
_NUMBERS = ("", "One", "Two", "Three")


def kicker(title: str, filters: Filters, found: Summary) -> str:
    """``Calibration note · Hanger size · Whole firm · 1 Apr 2025 to 30 Sep 2026``: names of people and places never."""
    days = [labels.period(found.first_day, found.last_day)] if found.first_day and found.last_day else []
    return " · ".join(["Calibration note", title, _within(filters), *days])


def _within(filters: Filters) -> str:
    counted = [
        labels.plural(len(chosen), noun)
        for chosen, noun in (
            (filters.regions, "region"),
            (filters.builders, "builder"),
            (filters.inspectors, "inspector"),
            (filters.loads, "load"),
        )
        if chosen
    ]
    ages = [f"deck age {labels.listed(labels.group(age) for age in filters.deck_ages)}"] if filters.deck_ages else []
    return ", ".join([*counted, *ages]) or "Whole firm"


def passed_over_is_the_point(found: Summary) -> bool:
    """Whether a topic has more recorded defects passed over than write-ups that do not hold."""
    return found.wrong_passes.count > found.overcalled.count


def topic_title(title: str, found: Summary, grid: pd.DataFrame | None) -> str:
    """The finding on a topic, promising no more than the rule; ``grid``: of hanger size its ``hanger_grid``."""
    down = lumber.fared(grid, lumber.one_size_down) if grid is not None else None
    if down and down.judged and 2 * down.overcalled > down.judged:
        return ONE_SIZE_DOWN
    if passed_over_is_the_point(found):
        return _passed_title(title, found.wrong_passes.count)
    return _write_ups_title(title, found.overcalled.count, found.overcalled.of)


def pattern_title(title: str, kind: Kind) -> str:
    """The finding on one kind of call; the kicker above it names the topic."""
    if kind.one_size_down_holds:
        return ONE_SIZE_DOWN
    name = f"{title}: {kind.recorded}" if kind.recorded == labels.NO_VALUE else capital(kind.recorded)
    if kind.passed_over_is_the_point:
        return _passed_title(name, kind.passed_over)
    return _write_ups_title(name, kind.overcalled, kind.judged)


def _write_ups_title(name: str, wrong: int, judged: int) -> str:
    if wrong and wrong == judged:
        none = "the one write-up does not hold" if wrong == 1 else f"none of {labels.plural(wrong, 'write-up')} holds"
        return f"{name}: {none}"
    if wrong:
        verb = "does" if wrong == 1 else "do"
        return f"{name}: {labels.part_of(wrong, judged)} write-ups {verb} not hold"
    return f"{name}: every write-up that could be judged holds" if judged else f"{name}: nothing could be judged yet"


def _passed_title(name: str, passed: int) -> str:
    return f"{name}: {labels.plural(passed, 'defect')} passed over"


def topic_seen(found: Summary, grid: pd.DataFrame | None) -> Sentence:
    """What we see in a topic: write-ups that hold and do not, and what was passed over; the finding first."""
    wrote = together(_wrote(found.written_up, found.overcalled), _sizes(grid) if grid is not None else None)
    passed = wording.passed_over(found) if found.judged_passes.of else None
    return together(passed, wrote) if grid is None and passed_over_is_the_point(found) else together(wrote, passed)


def topic_answer(title: str, found: Summary) -> Sentence:
    """The finding on a topic in one sentence that names it, for the page above the note."""
    if passed_over_is_the_point(found):
        return _answer_passed(title, found.wrong_passes)
    return _answer_wrote(title, found.written_up, found.overcalled)


def pattern_answer(title: str, kind: Kind) -> Sentence:
    """The same on one kind of call."""
    name = capital(wording.kind_in_sentence(kind.topic, title, kind.recorded))
    if kind.missed and kind.passed_over_is_the_point:
        times = "once" if kind.passed_over == 1 else labels.plural(kind.passed_over, "time")
        how = wording.noted_or_advised(kind.missed["missed"], kind.missed["understated"])
        return said(f"{name}, ", Strong(f"passed over {times}"), f"{how}.")
    return _answer_wrote(name, kind.wrote["written_up"], _share(kind.wrote)) if kind.wrote else said(f"{name}.")


def _answer_wrote(name: str, written_up: int, wrong: Share) -> Sentence:
    if not wrong.of:
        nothing = "none of its write-ups could be judged yet" if written_up else "nothing was written up"
        return said(f"{name}: ", Strong(f"{nothing}."))
    finding, rate = wording.holds_or_not(wrong)
    return said(f"{name}: of {labels.plural(wrong.of, 'write-up')} judged, ", finding, f"{rate}.")


def _answer_passed(name: str, wrong: Share) -> Sentence:
    calls = labels.plural(wrong.of, "judged call")
    rate = in_brackets(wrong) if wrong.of >= LEAST_JUDGED else ""
    return said(f"{name}: of {calls} without a write-up, ", Strong(wording.passes_over(wrong)), f"{rate}.")


def _sizes(grid: pd.DataFrame) -> Sentence | None:
    down, never = lumber.fared(grid, lumber.one_size_down), lumber.fared(grid, lumber.never_enough)
    if not down.written_up:
        return None
    one_down = f"{labels.plural(down.written_up, 'hanger')} one size down {_was(down.written_up)} written up"
    if not down.judged:
        return said(f"{one_down}, {'not' if down.written_up == 1 else 'none of them'} judged.", _under(never))
    finding = wording.holds_or_not(Share(down.overcalled, down.judged, None, None, None))[0]
    if down.judged == down.written_up:
        return said(f"{one_down} and judged; ", finding, ".", _under(never))
    return said(f"{one_down}; of {labels.count(down.judged)} judged, ", finding, ".", _under(never))


def _under(never: lumber.Fared) -> str:
    """How write-ups of hangers that can never be tall enough fared."""
    if not never.judged:
        return ""
    under = f"under {labels.join('60', '%')} of the joist"
    if never.upheld == never.judged:
        verb = "holds" if never.judged == 1 else "hold"
        return f" {capital(labels.all_of(never.judged, 'write-up'))} {under} {verb}."
    holds = f"{labels.count(never.upheld)} {'holds' if never.upheld == 1 else 'hold'}" if never.upheld else "none holds"
    return f" Of {labels.plural(never.judged, 'write-up')} {under}, {holds}."


def _wrote(written_up: int, wrong: Share) -> Sentence:
    """Write-ups, how many could be judged, how many of these do not hold."""
    if not written_up:
        return said("Nothing was written up.")
    if not wrong.of:
        return said(f"None of {labels.plural(written_up, 'write-up')} could be judged.")
    finding, rate = wording.holds_or_not(wrong)
    return said(f"{wording.all_or_part(wrong.of, written_up, 'write-up')}; ", finding, f"{rate}.")


def pattern_seen(kind: Kind) -> Sentence:
    """What we see of one kind of call; named here where the title does not name it."""
    named = said(f"{kind.recorded}.") if kind.one_size_down_holds else None
    wrote = together(_wrote(kind.wrote["written_up"], _share(kind.wrote)), _people(kind.wrote)) if kind.wrote else None
    passed = _passed(kind.missed) if kind.missed else None
    first, second = (passed, wrote) if kind.passed_over_is_the_point else (wrote, passed)
    return together(named, first, second)


def _share(wrote: Mapping[str, Any]) -> Share:
    known = wrote["judged"] > 0
    bounds = (wrote["share"], wrote["share_low"], wrote["share_high"]) if known else (None, None, None)
    return Share(int(wrote["overcalled"]), int(wrote["judged"]), *bounds)


def _people(wrote: Mapping[str, Any]) -> Sentence | None:
    if not wrote["overcalled"]:
        return None
    wrong, all_of_them = wrote["inspectors_overcalled"], wrote["inspectors"]
    if all_of_them == 1 or wrote["overcalled"] == wrote["written_up"]:
        # Who wrote what, where none of it holds, is said by how many they are.
        return said(f"{labels.plural(all_of_them, 'inspector')} wrote it up.")
    who = labels.part_of(wrong, all_of_them) if wrong < all_of_them else capital(f"all {labels.count(wrong)}")
    return said(f"{who} inspectors who wrote it up {'has' if wrong == 1 else 'have'} one that does not hold.")


def _passed(missed: Mapping[str, Any]) -> Sentence | None:
    """Of calls on a kind without a write-up, those that pass over a defect; a share would say nothing of a kind."""
    passed = missed["missed"] + missed["understated"]
    if not passed:
        return None
    times, judged = missed["trials"], missed["judged"]
    recorded = "once" if times == 1 else labels.plural(times, "time")
    of_these = "and judged" if judged == times else f"{labels.count(judged)} of these judged"
    in_each = "" if times == 1 else "each time " if passed == judged else f"in {labels.count(passed)} "
    return said(
        f"Recorded {recorded} without a write-up, {of_these}; ",
        Strong(f"{in_each}a defect was passed over"),
        f"{wording.noted_or_advised(missed['missed'], missed['understated'])}.",
    )


def rule_source(rules: Iterable[Mapping[Any, Any]], caution: str, regions: Iterable[str]) -> str:
    """The limits of a rule that stands alone, where the rules come from, how their values are known, and what not to
    read into them. A note names none of the ``regions``."""
    listed = [dict(rule) for rule in rules]
    told = dict.fromkeys(f"{wording.source_in_words(rule)}{_if_local(rule)}" for rule in listed)
    limits = _limits(listed[0], regions) if len(listed) == 1 else ""
    return " ".join(part for part in (limits, f"Source: {'; '.join(told)}.", caution) if part)


def _if_local(rule: dict[Any, Any]) -> str:
    """Whose rule it is would name a place and a person; the page of rules does."""
    return ", a local rule" if labels.is_known(rule["jurisdiction"]) else ""


def _limits(rule: dict[Any, Any], regions: Iterable[str]) -> str:
    """``A defect: gap at the joist end over 3/8 in.``; nothing where that would fill the sheet."""
    where = without_names(wording.applies(rule), regions)
    rows = [*([("Applies where", where)] if where else []), *wording.limits(rule)]
    told = " ".join(f"{words}: {limit}." for words, limit in rows)
    return told if len(told) <= _MOST_LIMIT_LETTERS else ""


def record(missing: pd.DataFrame, titles: Mapping[str, str]) -> str:
    """The measure for want of which most calls of the topic could not be judged; empty where none was missing."""
    if missing.empty:
        return ""
    first = missing.iloc[0]
    return (
        f"{labels.missing_most(titles.get(first['measure'], labels.choice(first['measure'])))}. Without it "
        f"{labels.part_of(first['undecided'], first['calls'])} calls on this topic could not be judged."
    )


def judged(found: Summary) -> str:
    """How much of a topic could be judged."""
    all_calls, write_ups = found.judged, found.judged_write_ups
    share = in_brackets(all_calls) if all_calls.of >= LEAST_JUDGED else ""
    return (
        f"Judged: {labels.part_of(all_calls.count, all_calls.of)} calls{share}; of the write-ups "
        f"{labels.part_of(write_ups.count, write_ups.of)}. {labels.MISSES_CAUTION} {_SECOND_LOOK}"
    )


def pattern_judged(kind: Kind) -> str:
    """How much of one kind could be judged."""
    parts = []
    if kind.wrote:
        parts.append(f"{labels.part_of(kind.judged, kind.wrote['written_up'])} write-ups")
    if kind.missed:
        parts.append(f"{labels.part_of(kind.missed['judged'], kind.missed['trials'])} calls without a write-up")
    return f"Judged: {labels.listed(parts)}. {labels.MISSES_CAUTION} {_SECOND_LOOK}"


def cases_heading(number: int) -> str:
    """``Two of our own``; empty where there is none."""
    return f"{_NUMBERS[number]} of our own" if number else ""


def origin(info: SnapshotInfo) -> str:
    """What a note was made from, as its last line."""
    return f"{labels.PRODUCT} · snapshot {info.snapshot} of {labels.day(info.created_at)} · rules {info.catalog}"


def why(found: Case, cited_above: bool) -> str:
    """What was recorded of a case, and what follows by the rule; what the reason says already is not said twice.

    ``cited_above``: the note's one source stands above, and is not repeated with each case.
    """
    reason = str(found.facts["reason"] or "")
    if cited_above and found.criterion:
        reason = wording.without_source(reason, found.criterion)
    needs: Any = found.criterion["needs"] if found.criterion else None
    rows = found.measures if needs is None else found.measures[found.measures["measure"].isin(needs)]
    told = [
        f"{row['title']}: {labels.on_tape(row['value'], row['unit'])}"
        for row in rows.to_dict("records")
        if not any(_says(reason, form) for form in _forms(row["value"], row["unit"]))
    ]
    parts = [capital(part) for part in ("; ".join(told), reason) if part]
    return " ".join(f"{_FIGURE.sub(labels.NO_BREAK, part)}." for part in parts)


def _forms(value: Any, unit: Any) -> list[str]:
    """The ways in which a reason may tell a measure: as it is, as a tape shows it, in feet and inches."""
    forms = [labels.value(value, None)]
    if unit == "in":
        forms += [labels.inches(float(value)).partition(labels.NO_BREAK)[0], labels.feet(float(value))]
    return [form.replace(labels.NO_BREAK, " ") for form in forms]


def _says(text: str, recorded: str) -> bool:
    # 1/2 does not stand in 4-1/2, nor 3 in 3/8.
    return re.search(rf"(?<![\w./-]){re.escape(recorded)}(?!\.?\w|[/-]\d)", text) is not None


def size_verdict(joist: str, hanger: str) -> tuple[str, ...]:
    """What the rule says of a pair of sizes, in the lines of the note's picture."""
    if lumber.never_enough(joist, hanger):
        return f"under {labels.join('60', '%')}:", "a defect"
    if (joist, hanger) in lumber.HEIGHT_DECIDES:
        return "its height", "decides"
    return "same size:" if joist == hanger else "one size down:", "acceptable"


def hangers_say(joist: str, hangers: Iterable[str]) -> str:
    """The alternative text of a joist in several hangers: what the rule says of each."""
    depth = lumber.DEPTH_IN[joist]
    told = [f"{hanger} hanger, {' '.join(size_verdict(joist, hanger)).replace(':', ',')}" for hanger in hangers]
    return (
        f"A {joist} joist is {labels.quantity(depth, 'in')} deep; {labels.join('60', '%')} of that is "
        f"{labels.quantity(lumber.LEAST_SHARE * depth, 'in')}. {'; '.join(told)}."
    )


def capital(text: str) -> str:
    """The text with a capital at its start."""
    return text[:1].upper() + text[1:]


def _was(number: int) -> str:
    return "was" if number == 1 else "were"
