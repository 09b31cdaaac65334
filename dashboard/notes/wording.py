"""The sentences of pages and notes, each written once.

A sentence is a row of parts, some of them strong. It becomes Markdown for a page, HTML in a note's template, and plain
text for an export; names out of the reports are escaped there and nowhere else.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import pandas as pd

from dashboard import labels
from dashboard.measures import lumber
from dashboard.measures.rows import each
from dashboard.measures.summary import Intake, Share, Summary

#: Fewer judged calls than this, and a page names the cases instead of a rate.
LEAST_JUDGED = 20


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
        return said(Strong(f"All {labels.plural(wrong.of, 'write-up')} that could be judged hold."))
    rate = in_brackets(wrong) if wrong.of >= LEAST_JUDGED else ", too few for a rate"
    return said(
        f"Of {labels.plural(wrong.of, 'write-up')} judged, ", Strong(labels.do_not_hold(wrong.count)), f"{rate}."
    )


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
        f"{newest} of them came in last.{f' {lack} {verb} rows for want of them.' if held.incomplete_reports else ''}",
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
    could = said(f"{labels.part_of(judged.count, judged.of)} write-ups could be judged; ")
    if judged.count == 0:
        wanted = f" {missing} is the measure missing most." if missing else ""
        return said(Strong(f"None of {labels.plural(judged.of, 'write-up')} could be judged."), wanted)
    if wrong.count == 0:
        wanted = f" {labels.plural(judged.of - judged.count, 'other')} could not be" if judged.of > judged.count else ""
        why = f": {missing.lower()} is the measure missing most." if missing and wanted else "." if wanted else ""
        return said(Strong(f"All {labels.plural(judged.count, 'write-up')} that could be judged hold."), wanted, why)
    if judged.count < LEAST_JUDGED:
        return said(
            f"{labels.plural(judged.of, 'write-up')}, {labels.count(judged.count)} judged: too few for a rate. ",
            Strong(f"{labels.do_not_hold(wrong.count)}."),
        )
    first = Sentence(
        (
            *could.parts,
            Strong(labels.do_not_hold(wrong.count)),
            f"{in_brackets(wrong)}.",
        )
    )
    return together(first, _most_of_them(found, grid, titles))


def _most_of_them(found: Summary, grid: pd.DataFrame, titles: Mapping[str, str]) -> Sentence:
    """Hangers one size down where they are the largest kind, as one; else the two largest kinds by name."""
    down = lumber.fared(grid, lumber.one_size_down)
    others = found.patterns.loc[found.patterns["topic"] != "hanger_size", "overcalled"]
    if down.overcalled > (others.max() if len(others) else 0):
        return said(
            Strong("The largest kind is a hanger one size down:"),
            f" {labels.count(down.written_up)} were written up, "
            f"{'none holds' if not down.upheld else f'{labels.count(down.upheld)} hold'}.",
        )
    named = [
        f"{kind_name(row.topic, titles[row.topic], row.recorded)} ({labels.count(row.overcalled)})"
        for row in each(found.patterns.head(2))
    ]
    return said("The largest kinds: ", Strong(labels.listed(named)), ".")


def passed_over(found: Summary) -> Sentence:
    """How many calls passed over a defect that their own measures show."""
    judged, wrong = found.judged_passes, found.wrong_passes
    if judged.count == 0:
        return said(
            Strong("No call without a write-up could be judged:"), " nothing was measured where no defect was noted."
        )
    if wrong.count == 0:
        return said(
            f"{labels.part_of(judged.count, judged.of)} calls without a write-up could be judged; ",
            Strong("in none of them does a recorded measure fail its rule."),
        )
    rate = in_brackets(wrong) if judged.count >= LEAST_JUDGED else ", too few for a rate"
    return said(
        f"{labels.part_of(judged.count, judged.of)} calls without a write-up could be judged; ",
        Strong(f"{labels.count(wrong.count)} pass over a defect that their own measures show"),
        f"{rate}: {labels.count(found.missed)} with no defect noted, "
        f"{labels.count(found.understated)} only advised upon.",
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
    if not labels.is_known(first["firm_share"]):
        return said(
            Strong(f"{title}: too little was judged for a share."),
            f" Of {labels.plural(_of_one(rates, 'trials'), 'deck')} looked at, "
            f"{labels.count(_of_one(rates, 'judged'))} could be judged.",
        )
    judged = labels.part_of(_of_one(rates, "judged"), _of_one(rates, "trials"))
    firm = (
        f"{judged} decks looked at could be judged; {labels.percent(first['firm_share'])} "
        f"({labels.interval(first['firm_share_low'], first['firm_share_high'])}) have the defect"
    )
    out = rates[rates["stands_out"].isin(["higher", "lower"])]
    if out.empty:
        return said(
            f"{title}: {firm}. ",
            Strong("No group stands out"),
            " beyond what luck and the mix of deck ages explain.",
        )
    return together(
        said(f"{title}: {firm}."),
        _ages(out[out["by"] == "deck_age"]),
        _others(out[out["by"] != "deck_age"], rates),
    )


def elsewhere(rates: pd.DataFrame, topic: str) -> Sentence | None:
    """Which builders, regions and heights stand out with more defects in other topics; None where there are none.

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
    named = [f"{row.group} in {row.title.lower()}" for row in each(out.sort_values("q").head(2))]
    more = len(out) - len(named)
    rest = f", and {labels.count(more)} more" if more else ""
    verb = "stands" if len(out) == 1 else "stand"
    return said("Elsewhere ", Strong(f"{labels.listed(named)}{rest}"), f" {verb} out beyond the mix of ages.")


def _of_one(rates: pd.DataFrame, column: str) -> int:
    """A count over one grouping: the groups of any one grouping hold every deck once."""
    return int(rates.loc[rates["by"] == rates["by"].iloc[0], column].sum())


def _ages(out: pd.DataFrame) -> Sentence | None:
    if out.empty:
        return None
    high, low = out[out["stands_out"] == "higher"], out[out["stands_out"] == "lower"]
    most = high.sort_values("defect_share").iloc[-1] if len(high) else None
    least = low.sort_values("defect_share").iloc[0] if len(low) else None
    parts: list[str] = []
    if most is not None:
        parts += ["It is found more often ", Strong(f"on {_named(most)}"), f": {_rate(most)}"]
    if least is not None:
        start = ", less often " if most is not None else "It is found less often "
        parts += [start, Strong(f"on {_named(least)}"), f": {_rate(least)}"]
    return said(*parts, ".")


def _others(out: pd.DataFrame, rates: pd.DataFrame) -> Sentence:
    shown = [by for by in ("builder", "region", "deck_height") if (rates["by"] == by).any()]
    silent = [labels.SPLITS[by].lower() for by in shown if not (out["by"] == by).any()]
    parts: list[str] = []
    for by in shown:
        for row in out[out["by"] == by].sort_values("q").head(2).to_dict("records"):
            parts += [
                " " if parts else "",
                Strong(str(row["group"]) if by in {"builder", "region"} else f"Decks {row['group']} high"),
                f" {'stands' if by != 'deck_height' else 'stand'} out beyond the mix of ages: "
                f"{_rate(row)}, where {labels.percent(row['expected_share'])} would be expected.",
            ]
    if silent:
        parts.append(f"{' ' if parts else ''}No {labels.listed(silent, 'or')} stands out beyond its mix of ages.")
    return said(*parts)


def _named(row: pd.Series) -> str:
    return labels.group_in_sentence(str(row["by"]), str(row["group"]))


def _rate(row: pd.Series | dict) -> str:
    share = labels.percent(row["defect_share"])
    return f"{share} ({labels.interval(row['defect_share_low'], row['defect_share_high'])})"


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


def _cited(criterion: dict | pd.Series) -> str:
    named = [criterion[part] for part in ("document", "edition", "section")]
    told = [str(part) for part in named if labels.is_known(part) and part]
    # An edition and a section follow their document as they stand; a remark on a source without edition is set off.
    separator = " " if labels.is_known(criterion["edition"]) and criterion["edition"] else ", "
    return separator.join(told) or "no published source"
