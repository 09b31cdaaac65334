"""The sentences of pages and notes, each written once.

A sentence is a row of parts, some of them strong. It becomes Markdown for a page, HTML in a note's template, and plain
text for an export; names out of the reports are escaped there and nowhere else.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

import pandas as pd

from dashboard import labels
from dashboard.measures import lumber
from dashboard.measures.rows import each
from dashboard.measures.summary import Intake, Share, Summary

#: So many builders, regions and heights that stand out are named; the page's table has all.
_NAMED_GROUPS = 2
#: Fewer judged calls than this, and a page names the cases instead of a rate.
LEAST_JUDGED = 20
#: How a value without a published source is known, and what stands in place of its source.
_COMMON_PRACTICE = "common practice"


class Strong(str):
    """A part of a sentence that is set in bold: the finding."""


@dataclass(frozen=True)
class Sentence:
    """Text in parts; those of the class :class:`Strong` are bold."""

    parts: tuple[str, ...]

    @property
    def plain(self) -> str:
        return "".join(self.parts)

    @property
    def markdown(self) -> str:
        escaped = ((part, labels.escape_markdown(part)) for part in self.parts)
        return "".join(f"**{text}**" if isinstance(part, Strong) else text for part, text in escaped)

    @property
    def runs(self) -> list[tuple[str, bool]]:
        """Text and whether it is strong, for a template that escapes it."""
        return [(str(part), isinstance(part, Strong)) for part in self.parts]


def said(*parts: str) -> Sentence:
    """A sentence of these parts."""
    return Sentence(tuple(part for part in parts if part))


def together(*sentences: Sentence | None) -> Sentence:
    """Sentences one after the other."""
    parts: list[str] = []
    for sentence in sentences:
        if sentence is not None and sentence.parts:
            parts += ([" "] if parts else []) + list(sentence.parts)
    return Sentence(tuple(parts))


def in_brackets(share: Share) -> str:
    """``(15 %, 12 to 19)``; nothing where there is no share."""
    if share.value is None or share.low is None or share.high is None:
        return ""
    return f" ({labels.percent(share.value)}, {labels.interval(share.low, share.high)})"


def all_or_part(some: int, of: int, one: str, many: str | None = None) -> str:
    """How many could be judged: ``All 83 write-ups were judged``, ``42 of 45 write-ups could be judged``."""
    if some == of:
        return f"{_capital(labels.all_of(of, one, many))} {'was' if of == 1 else 'were'} judged"
    return f"{labels.part_of(some, of)} {many or f'{one}s'} could be judged"


def holds_or_not(wrong: Share) -> tuple[str, str]:
    """What to say of write-ups that were judged, as finding and rate; where none or all hold, the rate of holding."""
    if wrong.of == 1:
        return Strong("it does not hold" if wrong.count else "it holds"), ""
    rate = in_brackets(_those_that_hold(wrong) if wrong.count in {0, wrong.of} else wrong)
    finding = {0: "all hold", wrong.of: "none holds"}.get(wrong.count, labels.do_not_hold(wrong.count))
    return Strong(finding), rate if wrong.of >= LEAST_JUDGED else " (too few for a rate)"


def _those_that_hold(wrong: Share) -> Share:
    value, low, high = (None if bound is None else 1 - bound for bound in (wrong.value, wrong.high, wrong.low))
    return Share(wrong.of - wrong.count, wrong.of, value, low, high)


def passes_over(wrong: Share) -> str:
    """``102 pass over a defect``, of those judged; where each does, that."""
    if wrong.count == wrong.of:
        return "it passes over a defect" if wrong.of == 1 else "each of them passes over a defect"
    return f"{labels.count(wrong.count)} {'passes' if wrong.count == 1 else 'pass'} over a defect"


def noted_or_advised(missed: int, understated: int) -> str:
    """How a defect was passed over: ``: 4 with no defect noted, 2 only advised upon``; without what there is not."""
    if missed and understated:
        return f": {labels.count(missed)} with no defect noted, {labels.count(understated)} only advised upon"
    return f", {'only advised upon' if understated else 'with no defect noted'}"


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


# ---- what needs a decision -------------------------------------------------------------------------------------------


def needs_a_decision(found: Summary, came_in: bool) -> Sentence:
    """What came in, how much of it could be judged, how many write-ups hold, what fails its own measures.

    Parameters
    ----------
    came_in
        Whether these are the reports of the newest load; else whatever the filters leave.
    """
    reports = labels.plural(found.reports, "report")
    first = f"{reports} came in." if came_in else f"{reports} {labels.are(found.reports)} looked at."
    if not found.judged.count:
        return said(f"{first} ", Strong(f"None of {labels.plural(found.calls, 'call')} could be judged."))
    share = found.judged.value or 0.0
    judged = said(
        Strong(f"{labels.percent(share)} of {'their' if found.reports > 1 else 'its'} calls could be judged"),
        f" ({labels.interval(found.judged.low or 0.0, found.judged.high or 0.0)}, of {labels.count(found.calls)}).",
    )
    return together(said(first), judged, _held(found), _fail_their_measures(found))


def _held(found: Summary) -> Sentence | None:
    wrong = found.overcalled
    if not found.written_up:
        return said("Nothing was written up.")
    if not wrong.of:
        return said(f"None of {labels.plural(found.written_up, 'write-up')} could be judged.")
    if not wrong.count:
        return said(_all_judged_hold(wrong.of))
    if wrong.of == 1:
        return said(Strong("The one write-up that could be judged does not hold."))
    finding, rate = holds_or_not(wrong)
    return said(f"Of {labels.plural(wrong.of, 'write-up')} judged, ", finding, f"{rate}.")


def _all_judged_hold(judged: int) -> Strong:
    verb = "holds" if judged == 1 else "hold"
    return Strong(f"{_capital(labels.all_of(judged, 'write-up'))} that could be judged {verb}.")


def _fail_their_measures(found: Summary) -> Sentence | None:
    wrong = found.wrong_passes
    if not wrong.of:
        return None
    if not wrong.count:
        return said("No call without a write-up fails its own measures.")
    verb = "fails its" if wrong.count == 1 else "fail their"
    rate = in_brackets(wrong) if wrong.of >= LEAST_JUDGED else f" of {labels.count(wrong.of)} judged"
    return said(Strong(f"{labels.plural(wrong.count, 'call')} without a write-up {verb} own measures"), f"{rate}.")


def may_need_a_correction(reports: int, advised: int, came_in_last: bool) -> tuple[str, str]:
    """The finding on safety matters that were passed over, and a plain line below it."""
    also = f", or only advised upon ({labels.count(advised)})" if advised else ""
    how = f"Passed over{also}, though its own measures fail the rule."
    if came_in_last:
        finding = f"{labels.plural(reports, 'issued report')} may need a correction in a safety matter"
        return finding, f"{how} That goes to a person the same day."
    finding = f"{labels.plural(reports, 'report')} passed over a safety matter, at any time"
    return finding, f"{how} Those that came in last stand under what came in last."


def refused(held: Intake) -> tuple[str, str]:
    """The finding on refused rows, and a plain line below it."""
    newest = labels.count(held.refused_newest) if held.refused_newest else "None"
    lack = labels.plural(held.incomplete_reports, "report")
    verb = "lacks" if held.incomplete_reports == 1 else "lack"
    return (
        f"{labels.plural(held.refused_rows, 'row')} {labels.are(held.refused_rows)} refused until mended",
        f"{newest} of them came in last.{f' {lack} {verb} rows.' if held.incomplete_reports else ''}",
    )


# ---- calls that do not hold ------------------------------------------------------------------------------------------


def write_ups(found: Summary, grid: pd.DataFrame, titles: Mapping[str, str], missing: str | None) -> Sentence:
    """How many write-ups do not hold, of those that could be judged, and which kinds make up most of them.

    Parameters
    ----------
    grid
        Rows of ``hanger_grid`` within the same filters.
    titles
        The topics' titles by id.
    missing
        Title of the measure whose absence left most calls undecided; None for none.
    """
    judged, wrong = found.judged_write_ups, found.overcalled
    if not found.written_up:
        return said("Nothing was written up here.")
    wanted = f" {labels.missing_most(missing)}." if missing else ""
    if judged.count == 0:
        return said(Strong(f"None of {labels.plural(judged.of, 'write-up')} could be judged."), wanted)
    if wrong.count == 0:
        left = judged.of - judged.count
        others = f" {labels.plural(left, 'other')} could not be." if left else ""
        return said(_all_judged_hold(judged.count), others, wanted if left else "")
    finding, rate = holds_or_not(wrong)
    first = said(f"{all_or_part(judged.count, judged.of, 'write-up')}; ", finding, f"{rate}.")
    return together(first, _most_of_them(found, grid, titles)) if judged.count >= LEAST_JUDGED else first


def _most_of_them(found: Summary, grid: pd.DataFrame, titles: Mapping[str, str]) -> Sentence:
    """Hangers one size down where they are the largest kind, as one; else the one kind, or the two largest."""
    down = lumber.fared(grid, lumber.one_size_down)
    others = found.patterns.loc[found.patterns["topic"] != "hanger_size", "overcalled"]
    if down.overcalled > (others.max() if len(others) else 0):
        return said(
            Strong("The largest kind is a hanger one size down:"),
            f" {labels.count(down.written_up)} {'was' if down.written_up == 1 else 'were'} written up, "
            f"{'none holds' if not down.upheld else _hold(down.upheld)}.",
        )
    first = found.patterns.head(2)
    named = [kind_in_sentence(row.topic, titles[row.topic], row.recorded) for row in each(first)]
    if len(first) == 1:
        return said("Its kind: " if found.overcalled.count == 1 else "All are of one kind: ", Strong(named[0]), ".")
    if 2 * first["overcalled"].iloc[0] > found.overcalled.count:
        return said("Most are of one kind: ", Strong(named[0]), f" ({labels.count(first['overcalled'].iloc[0])}).")
    if first["topic"].nunique() == 1:
        named[1] = first["recorded"].iloc[1]  # the first names their topic
    counted = [f"{name} ({labels.count(row.overcalled)})" for name, row in zip(named, each(first), strict=True)]
    return said("The two largest kinds are ", Strong(labels.listed(counted)), ".")


def _hold(number: int) -> str:
    return f"{labels.count(number)} {'holds' if number == 1 else 'hold'}"


def passed_over(found: Summary) -> Sentence:
    """How many calls passed over a defect that their own measures show."""
    judged, wrong = found.judged_passes, found.wrong_passes
    if judged.count == 0:
        return said(
            Strong("No call without a write-up could be judged:"), " nothing was measured where no defect was noted."
        )
    could = all_or_part(judged.count, judged.of, "call without a write-up", "calls without a write-up")
    if wrong.count == 0:
        none = "it passes over no defect" if judged.count == 1 else "none of them passes over a defect"
        return said(f"{could}; ", Strong(f"{none}."))
    rate = in_brackets(wrong) if judged.count >= LEAST_JUDGED else " (too few for a rate)"
    own = "its" if wrong.count == 1 or wrong.count == wrong.of else "their"
    return said(
        f"{could}; ",
        Strong(f"{passes_over(wrong)} that {own} own measures show"),
        f"{rate}{noted_or_advised(found.missed, found.understated)}.",
    )


# ---- where defects occur ---------------------------------------------------------------------------------------------


def where_defects_occur(title: str, rates: pd.DataFrame) -> Sentence:
    """Which groups of a topic stand out beyond luck and the mix of deck ages, or that none does.

    Parameters
    ----------
    title
        The topic's title.
    rates
        Rows of ``defect_rates`` of the topic, over all groupings shown.
    """
    if rates.empty:
        return said(f"{title} was not looked at here.")
    first = rates.iloc[0]
    judged = labels.part_of(_of_one(rates, "judged"), _of_one(rates, "trials"))
    if not labels.is_known(first["firm_share"]):
        return said(
            Strong(f"{title}: too little was judged for a share."),
            f" {judged} decks looked at could be judged.",
        )
    firm = (
        f"{title}: {labels.percent(first['firm_share'])} of decks have the defect "
        f"({labels.interval(first['firm_share_low'], first['firm_share_high'])}; {judged} judged)"
    )
    out = rates[rates["stands_out"].isin(["higher", "lower"])]
    if out.empty:
        return said(f"{firm}. ", Strong("No group stands out"), " beyond what luck and the mix of deck ages explain.")
    return together(said(firm, *_ages(out[out["by"] == "deck_age"]), "."), _others(out[out["by"] != "deck_age"], rates))


def elsewhere(rates: pd.DataFrame, topic: str) -> Sentence | None:
    """Which builder, region or height stands out with more defects in another topic; None where none does.

    How much, the page's table of all that stands out tells: the answer is on one topic, and short.

    Parameters
    ----------
    rates
        Rows of ``defect_rates`` of all topics and groupings, with the topics' ``title``.
    topic
        The topic that the page already speaks of.
    """
    out = rates[(rates["stands_out"] == "higher") & (rates["by"] != "deck_age") & (rates["topic"] != topic)]
    if out.empty:
        return None
    first = out.sort_values("q", kind="stable").iloc[0]
    group, topic = Strong(_group(first)), labels.in_sentence(first["title"])
    if len(out) == 1:
        return said(f"In {topic} ", group, f" {'stand' if first['by'] == 'deck_height' else 'stands'} out.")
    return said(f"In other topics {labels.count(len(out))} groups stand out, first ", group, f" in {topic}.")


def _of_one(rates: pd.DataFrame, column: str) -> int:
    """A count over one grouping: the groups of any one grouping hold every deck once."""
    return int(rates.loc[rates["by"] == rates["by"].iloc[0], column].sum())


def _ages(out: pd.DataFrame) -> list[str]:
    """The bands of deck age that stand out, adjoining ones as one, with the rate of the most extreme of them."""
    parts: list[str] = []
    for side, words, largest in (("higher", "more often", True), ("lower", "less often", False)):
        rows = out[out["stands_out"] == side]
        if rows.empty:
            continue
        extreme = rows.sort_values("defect_share", ascending=not largest, kind="stable").iloc[0]
        spans = [labels.ages_in_sentence(first, last) for first, last in _adjoining(set(rows["group"]))]
        unknown = ["of unknown age"] if labels.UNKNOWN in set(rows["group"]) else []
        which = "" if len(rows) == 1 else f"{labels.group(str(extreme['group']))}: "
        parts += [f", {words} ", Strong(f"on decks {labels.listed([*spans, *unknown])}"), f" ({which}{_rate(extreme)})"]
    return parts


def _adjoining(bands: set[str]) -> list[tuple[str, str]]:
    """The first and the last band of each run of neighbors; a band that is lacking ends a run."""
    runs: list[tuple[str, str]] = []
    before = ""
    for band in labels.AGE_BANDS:
        if band in bands:
            first = runs.pop()[0] if before in bands else band
            runs.append((first, band))
        before = band
    return runs


def _others(out: pd.DataFrame, rates: pd.DataFrame) -> Sentence:
    """Which builders, regions and heights stand out beyond their mix of ages, and of which none does."""
    shown = [by for by in ("builder", "region", "deck_height") if (rates["by"] == by).any()]
    silent = labels.listed((labels.SPLITS[by].lower() for by in shown if not (out["by"] == by).any()), "or")
    if out.empty:
        return said(f"No {silent} stands out.")
    named = out.sort_values("q", kind="stable").head(_NAMED_GROUPS).to_dict("records")
    parts: list[str] = ["Beyond the mix of ages "]
    for place, row in enumerate(named):
        between = "" if not place else " and " if place == len(out) - 1 else ", "
        parts += [between, Strong(_group(row)), f" ({_rate_and_expected(row)})"]
    if len(out) > len(named):
        parts.append(f" and {labels.count(len(out) - len(named))} more")
    alone = len(out) == 1 and out["by"].iloc[0] != "deck_height"
    return said(*parts, f" {'stands' if alone else 'stand'} out", f", no {silent} does." if silent else ".")


def _group(row: pd.Series | dict[Any, Any]) -> str:
    """A group that stands out, as the subject of a sentence."""
    name = str(row["group"])
    if row["by"] == "deck_height" or name == labels.UNKNOWN:
        return labels.group_in_sentence(str(row["by"]), name)
    return name


def _rate(row: pd.Series | dict[Any, Any]) -> str:
    low, high = row["defect_share_low"], row["defect_share_high"]
    return f"{labels.percent(row['defect_share'])}, {labels.interval(low, high)}"


def _rate_and_expected(row: pd.Series | dict[Any, Any]) -> str:
    return f"{_rate(row)}; {labels.percent(row['expected_share'])} expected"


def scope(first_day: object, last_day: object, chosen: list[str]) -> str:
    """What a page looks at: ``Whole firm · 1 Apr 2025 to 30 Sep 2026``."""
    named = " · ".join(chosen) if chosen else "Whole firm"
    return f"{named} · {labels.period(first_day, last_day)}" if first_day and last_day else named  # type: ignore[arg-type]


def one_inspector_alone(rates: pd.DataFrame) -> str:
    """The groups behind which one inspector alone stands; nothing where there are none."""
    names = list(dict.fromkeys(labels.group(name) for name in rates.loc[rates["one_inspector"], "group"]))
    if not names:
        return ""
    subject = "the group" if len(names) == 1 else "these groups"
    return (
        f"One inspector alone stands behind {labels.listed(names)}: {subject} and the inspector cannot be told apart."
    )


# ---- a kind, a case --------------------------------------------------------------------------------------------------


def kind_name(topic: str, title: str, recorded: str) -> str:
    """A pattern as shown: what was recorded, after its topic where that does not speak for itself."""
    return recorded if topic == "hanger_size" and recorded != labels.NO_VALUE else f"{title}: {recorded}"


def kind_in_sentence(topic: str, title: str, recorded: str) -> str:
    """The same within a sentence: ``gap at the joist end up to 1/8 in``, ``hanger fastener kind, structural screw``."""
    noun, _, rest = title.partition(" ")
    if topic == "hanger_size" and recorded != labels.NO_VALUE:
        return recorded
    if noun == "Gap" and rest and recorded.startswith("gap "):
        return f"{labels.in_sentence(title)}{recorded.removeprefix('gap')}"
    return f"{labels.in_sentence(title)}, {recorded}"


def source_line(criterion: dict | pd.Series | None) -> str:
    """Where a rule comes from and how its value is known: ``IRC 2021 R507.6.2 (secondary)``."""
    if criterion is None:
        return ""
    where = _cited(criterion)
    known = str(criterion["known"]) if labels.is_known(criterion["known"]) else ""
    return f"{where} ({known})" if known and known not in where else where


def source_in_words(criterion: dict | pd.Series) -> str:
    """The same in words: ``IRC 2021 R507.6.2, from a public transcription or the trade press``."""
    where, known = _cited(criterion), criterion["known"]
    told = labels.KNOWN.get(str(known), str(known)) if labels.is_known(known) else ""
    return f"{where}, {told}" if told and told not in where else where


def limits(criterion: dict | pd.Series) -> list[tuple[str, str]]:
    """What makes a rule decide, in words: ``("A defect", "gap at the joist end over 3/8 in")``; what it never says is
    left out."""
    told = ((words, criterion[f"{verdict}_told"]) for verdict, words in labels.VERDICT_ROWS.items())
    return [(words, str(text)) for words, text in told if labels.is_known(text)]


def applies(criterion: dict | pd.Series) -> str:
    """Where a rule holds at all, in words; empty where it always does."""
    where = criterion["applies"]
    return str(where) if labels.is_known(where) else ""


def looked_up(criterion: dict | pd.Series) -> str:
    """The tables that a rule reads, and how their rows are known; empty where it reads none."""
    tables = criterion["rows_known"]
    return f"Looked up in {labels.choice(str(tables))}." if labels.is_known(tables) else ""


def local_rule(criterion: dict | pd.Series) -> str:
    """Whose a local rule is, by whom and of when; empty for a rule of the catalog."""
    if not labels.is_known(criterion["jurisdiction"]):
        return ""
    day = labels.day(date.fromisoformat(str(criterion["dated"])))
    return f"A local rule of {criterion['jurisdiction']}, written down by {criterion['author']} on {day}."


def second_look(facts: Mapping[str, Any]) -> str:
    """What a person who looked again ruled, when, how the case was chosen, and what the rule alone says."""
    told = f"by a second look on {labels.day(facts['looked_on'])}: {labels.SAID[facts['verdict']]}."
    parts = [told, labels.LOOKS[facts["chosen"]]]
    if facts["ruled"] in ("defect", "acceptable", "judgment"):
        parts.append(f"By the rule alone: {labels.SAID[facts['ruled']]}; a person's ruling stands above it.")
    if facts["looked"] != "random":
        parts.append("Rates count this case by the rule alone, since it was not drawn at random.")
    return " ".join(parts)


def without_source(reason: str, criterion: dict | pd.Series) -> str:
    """A verdict's sentence without the source in brackets that it carries, for where the source stands beside it."""
    # A local rule names its document, whatever it rests on.
    nowhere = criterion["known"] == _COMMON_PRACTICE and not labels.is_known(criterion["jurisdiction"])
    start = reason.rfind(f" ({_COMMON_PRACTICE if nowhere else criterion['document']}")
    if start < 0:
        return reason
    return reason[:start] + reason[_closing(reason, start + 1) + 1 :]


def _closing(text: str, opening: int) -> int:
    """Where the bracket that opens there closes; a section may have brackets of its own: ``Table R507.5(1)``."""
    depth = 0
    for place in range(opening, len(text)):
        depth += {"(": 1, ")": -1}.get(text[place], 0)
        if depth == 0:
            return place
    return len(text)


def _cited(criterion: dict | pd.Series) -> str:
    named = [criterion[part] for part in ("document", "edition", "section")]
    told = [str(part) for part in named if labels.is_known(part) and part]
    # An edition and a section follow their document as they stand; a remark on a source without edition is set off.
    separator = " " if labels.is_known(criterion["edition"]) and criterion["edition"] else ", "
    # The deck guide is known by its year as one name.
    return separator.join(told).replace("DCA 6 20", "DCA 6-20") or "no published source"
