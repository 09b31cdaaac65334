"""The sentences of the page on time: which months lie beyond luck, and whose write-ups changed for good."""

from __future__ import annotations

from typing import Any

import pandas as pd

from dashboard import labels
from dashboard.measures.over_time import Followed, Phase, beyond, by_luck, told
from dashboard.measures.rows import each
from dashboard.measures.summary import Share
from dashboard.notes.wording import Sentence, Strong, all_or_part, in_brackets, said, together

#: So many months beyond luck are named; the page's table has all.
_NAMED = 2
HOW_DRIFT_IS_READ = (
    "What the calls on a deck say for doubled, or halved, odds of a write-up is added up, deck by deck; the sum never "
    "falls below zero. A signal is a sum that luck reaches at most once a year in the whole firm. It is read against "
    "what is usual for each colleague over all the time shown: who writes up more than others has not changed by that. "
    "A change may also lie in the decks or in the form."
)
#: An expected number below this would be told as 0.0.
_HARDLY = 0.05
_SUBJECTS = {
    "written_up": "Write-ups{of}",
    "overcalled": "The share of write-ups{of} that do not hold",
    "missed": "The share of defects passed over{among}",
    "judged": "The share of calls{on} that could be judged",
}
_EVENTS = {
    "written_up": "write-ups{of}",
    "overcalled": "write-ups{of} that do not hold",
    "missed": "defects passed over{among}",
    "judged": "calls{on} that could be judged",
}
_BASES = {
    "written_up": "calls{on}",
    "overcalled": "judged write-ups{of}",
    "missed": "judged calls without a write-up{on}",
    "judged": "calls{on}",
}
_JUDGED = {
    "overcalled": ("write-up", "write-ups"),
    "missed": ("call without a write-up", "calls without a write-up"),
}
#: What a share is of, and what stands below the picture.
_COUNTED = {
    "written_up": ("call", "were written up", "how many calls"),
    "overcalled": ("judged write-up", "do not hold", "write-ups that could be judged"),
    "missed": ("judged call without a write-up", "pass over a defect", "calls without a write-up that could be judged"),
    "judged": ("call", "could be judged", "how many calls"),
}


def moved(title: str | None, outcome: str, rows: pd.DataFrame, found: list[Phase]) -> Sentence:
    """Which months of a topic, or of all topics together, lie beyond luck.

    Parameters
    ----------
    title
        The topic's title; None for all topics together.
    rows
        Its months, or quarters, or years.
    found
        Its phases.
    """
    unit = str(rows["period"].iloc[0])
    known, out = told(rows), beyond(rows)
    since = _since(title, outcome, found)
    if known.empty:
        return together(since or _too_few(title, outcome, rows, unit), None if since else _in_all(outcome, found))
    if len(out):
        others = _others(len(known) - len(out), unit)
        return together(since, *_beyond(title, outcome, out, unit), others, None if since else _in_all(outcome, found))
    which = f"{labels.all_of(len(known), unit)}{_with_enough(rows)}"
    if since:
        return together(since, said(f"On each side of it luck explains {which}."))
    share = found[0].share
    rate = f"{in_brackets(share)[:-1]}; {labels.part_of(share.count, share.of)})."
    return said(f"{_form(_SUBJECTS, outcome, title)} ", Strong(f"moved within luck in {which}"), rate)


def could_be_judged(outcome: str, counts: tuple[int, int] | None) -> Sentence | None:
    """How much could be judged, before a share of wrong calls; None for other shares."""
    if counts is None:
        return None
    one, many = _JUDGED[outcome]
    return said(f"{all_or_part(*counts, one, many)}.")


def _form(forms: dict[str, str], outcome: str, title: str | None) -> str:
    topic = labels.in_sentence(title) if title else ""
    words = {"of": "of", "on": "on", "among": "in"}
    return forms[outcome].format(**{name: f" {word} {topic}" if topic else "" for name, word in words.items()})


def subject(title: str | None, outcome: str) -> str:
    """What is counted: ``The share of write-ups of hanger size that do not hold``."""
    return _form(_SUBJECTS, outcome, title)


def _with_enough(rows: pd.DataFrame) -> str:
    return " with enough calls" if (rows["signal"] == "too_few").any() else ""


def than_luck_allows(title: str | None, outcome: str, signal: str) -> str:
    """``more write-ups of hanger size than luck allows``; ``title`` is None for all topics together."""
    side = "more" if signal == "higher" else "fewer"
    return f"{side} {_form(_EVENTS, outcome, title)} than luck allows"


def beyond_luck(title: str | None, outcome: str, row: Any, unit: str) -> Sentence:
    """A month beyond luck, with its count and how far luck goes."""
    bound = f"at most {labels.count(row.upper)}" if row.signal == "higher" else f"at least {labels.count(row.lower)}"
    return said(
        f"In {labels.period_of(unit, row.month)} ",
        Strong(than_luck_allows(title, outcome, row.signal)),
        f": {labels.part_of(row.count, row.trials)} "
        f"({labels.percent(row.share)}, {labels.interval(row.share_low, row.share_high)}), by luck {bound}.",
    )


def _beyond(title: str | None, outcome: str, out: pd.DataFrame, unit: str) -> list[Sentence]:
    """The latest months beyond luck, each with its count and how far luck goes; the rest counted."""
    latest = out.sort_values("month", ascending=False).head(_NAMED)
    sentences = [beyond_luck(title, outcome, row, unit) for row in each(latest)]
    if len(out) > _NAMED:
        more = len(out) - _NAMED
        verb = "lies" if more == 1 else "lie"
        sentences.append(said(f"{labels.plural(more, f'earlier {unit}')} {verb} beyond luck too."))
    return sentences


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def _others(number: int, unit: str) -> Sentence | None:
    if not number:
        return None
    rest = labels.plural(number, f"other {unit}")
    return said(f"{rest} {labels.are(number)} within luck.")


def _too_few(title: str | None, outcome: str, rows: pd.DataFrame, unit: str) -> Sentence:
    trials = labels.plural(int(rows["trials"].sum()), _COUNTED[outcome][0])
    on = f" on {labels.in_sentence(title)}" if title else ""
    return said(Strong(f"Too few a {unit} to say{on}:"), f" {trials} in {labels.plural(len(rows), unit)}.")


def _in_all(outcome: str, found: list[Phase]) -> Sentence | None:
    """The share over the whole time."""
    if not found or not found[0].share.of:
        return None
    share = found[0].share
    return said(
        f"In all {labels.part_of(share.count, share.of)} {_COUNTED[outcome][1]}{in_brackets(share)}.",
    )


def _since(title: str | None, outcome: str, found: list[Phase]) -> Sentence | None:
    """The share since the latest session that divides the time, and before it; None where none does."""
    if len(found) < 2 or found[-1].since is None:
        return None
    before, since, moved = found[-2].share, found[-1].share, found[-1].moved
    events = _form(_EVENTS, outcome, title)
    finding = {
        "higher": f"more {events}",
        "lower": f"fewer {events}",
        "none": f"neither more nor fewer {events}, beyond luck",
    }[moved]
    verb = _COUNTED[outcome][1]
    return said(
        Strong(f"Since the session of {labels.day(found[-1].since)} {finding}:"),
        f" {_percent(since)} of {_form(_BASES, outcome, title)} {verb} ({_interval(since)}), "
        f"before it {_percent(before)} ({_interval(before)}).",
    )


def _percent(share: Share) -> str:
    return labels.percent(share.value or 0.0)


def _interval(share: Share) -> str:
    return f"{labels.interval(share.low or 0.0, share.high or 0.0)}; {labels.part_of(share.count, share.of)}"


def elsewhere(rows: pd.DataFrame, titles: dict[str, str]) -> Sentence | None:
    """How many months of single topics lie beyond luck, and how many luck alone would put there.

    Parameters
    ----------
    rows
        Months, quarters or years of single topics, of one outcome.
    """
    known, out = told(rows), beyond(rows)
    if known.empty:
        return None
    units = list(known["period"].unique())
    of = f"Of {labels.count(len(known))} {labels.listed((f'{unit}s' for unit in units), 'or')} of single topics "
    luck = f"luck alone gives {about(by_luck(rows))}"
    if out.empty:
        return said(f"{of}none lies beyond luck; {luck}.")
    first = out.sort_values("month", kind="stable").iloc[-1]
    topic = labels.in_sentence(titles.get(first["topic"], first["topic"]))
    named = f"{topic} in {labels.period_of(first['period'], first['month'])}"
    if len(out) == 1:
        return said(f"{of}one lies beyond luck, {named}; {luck}.")
    return said(f"{of}{labels.count(len(out))} lie beyond luck, the latest {named}; {luck}.")


def nothing_to_show(outcome: str) -> tuple[str, str]:
    """In place of the page where no call is counted in what is shown."""
    return (
        f"There are no {_COUNTED[outcome][2]} within these filters.",
        "Show something else, or widen the filters below.",
    )


def about(expected: float) -> str:
    """An expected number of signals: ``about 1.8``."""
    return f"about {labels.few(expected)}" if expected >= _HARDLY else "hardly any"


# ---- below the picture -----------------------------------------------------------------------------------------------


def how_to_read(outcome: str, rows: pd.DataFrame, sessions: pd.DataFrame, changes: pd.DataFrame) -> tuple[str, ...]:
    """What the picture cannot show, and how it is read; sessions and changes are those of the topic that it is of."""
    unit, spread = str(rows["period"].iloc[0]), float(rows["spread"].max())
    wider = (
        f" The limits are {labels.number(round(spread, 1))} times as wide as for single calls, since calls of one "
        f"report go together and quiet {unit}s scatter."
        if spread >= 1.05
        else ""
    )
    line, mix = "each topic's own share over all the time", ""
    if outcome == "written_up":
        line, mix = "what the same people usually write up on such decks", ", the mix of decks taken out"
    divided = bool((rows["phase"] != 0).any())
    return (
        "It cannot show why something moved: a new form, a session, other decks or a new habit look alike.",
        labels.MISSES_CAUTION if outcome == "missed" else "",
        f"Small figures: {_COUNTED[outcome][2]}. Shaded: where luck leaves a {unit}; {labels.join('0.1', '%')} lie "
        f"above it and as many below.{wider} Thin line: {line}. Without a point: too few.",
        f"The thick pale line follows slow change{mix}: each {unit} moves it about a fifth of the way, from what is "
        "expected on. Where luck leaves it is told at each point and in figures below; it gives no signal."
        if rows["course"].notna().any()
        else "",
        "" if unit == "month" else f"By {unit}, since most months hold too few.",
        f"Plum: a session ({_attended(sessions)}). The line is drawn anew after it; its own {unit} (hollow) counts for "
        "neither side."
        if divided
        else "",
        *what_changed(changes),
        ""
        if outcome == "written_up" or (changes["kind"] == "catalog").any()
        else "All calls are judged by the rules as they stand now.",
    )


def what_changed(changes: pd.DataFrame) -> tuple[str, ...]:
    """What the dashed lines mark, a sentence each kind; nothing where nothing changed.

    Parameters
    ----------
    changes
        Rows of :func:`dashboard.measures.changes.changes_of`.
    """
    own = {kind: changes[changes["kind"] == kind] for kind in ("catalog", "guideline", "measure", "topic")}
    told = []
    if len(own["catalog"]):
        since = labels.listed(f"{labels.day(row.since)} by catalog {row.what}" for row in each(own["catalog"]))
        told.append(
            f"Judged since {since}; all months here are judged by the newest one, so a new catalog makes no step."
        )
    for row in each(own["guideline"]):
        which = f"name {row.what}" if row.what else "name no guideline"
        told.append(f"Since {labels.month(row.since)} most reports {which} ({_of_calls(row)}).")
    for kind, one in (("measure", "call"), ("topic", "report")):
        if len(own[kind]):
            told.append(_first_recorded(own[kind], one))
    return (f"Dashed: {told[0][:1].lower()}{told[0][1:]}", *told[1:]) if told else ()


def _first_recorded(changes: pd.DataFrame, one: str) -> str:
    """What went from never to often, the latest named."""
    latest_first = changes.sort_values("since", ascending=False, kind="stable")
    named = [
        f"{labels.in_sentence(row.what)} ({labels.month(row.since)}: {_of_calls(row)} {one}s since, "
        f"none of {labels.count(row.before)} before)"
        for row in each(latest_first.head(_NAMED))
    ]
    if len(changes) > _NAMED:
        named.append(f"{labels.count(len(changes) - _NAMED)} more")
    where = f"First recorded in the whole firm: {labels.listed(named)}"
    return f"{where}: a new form, or a new habit; what could be judged may move with it."


def _of_calls(row: Any) -> str:
    return labels.part_of(row.recorded, row.calls)


def _attended(sessions: pd.DataFrame) -> str:
    return labels.listed(
        f"{labels.day(row.held_on)}, {labels.plural(row.attended, 'colleague')}" for row in each(sessions)
    )


# ---- one inspector ---------------------------------------------------------------------------------------------------


def changed_for_good(found: Followed) -> Sentence:
    """How many signals the charts of colleagues gave, how many luck alone gives, how soon a change shows."""
    if not found.people:
        return said("No colleague has enough decks for this yet.")
    luck = labels.few(found.by_luck)
    signals = labels.plural(found.signals, "signal")
    if not found.signals:
        finding = said(Strong("Nobody's write-ups became twice or half as frequent beyond luck."))
    elif found.explained:
        finding = said(
            Strong("No more signals than luck gives:"), f" {signals} in this time, by luck alone about {luck}."
        )
    else:
        finding = said(Strong("More signals than luck gives:"), f" {signals} in this time, by luck alone about {luck}.")
    people = labels.plural(found.people, "colleague")
    how = f"{_capital(people)} {labels.are(found.people)} followed deck by deck, all topics together"
    return together(
        finding,
        said(f"{how}." if found.signals else f"{how}; by luck alone there would be about {luck} signals in this time."),
        _how_soon(found),
    )


def _how_soon(found: Followed) -> Sentence:
    parts = []
    for direction, what in (("higher", "doublings"), ("lower", "halvings")):
        if direction in found.decks_to_detect:
            low, high = found.decks_to_detect[direction]
            reach = labels.count(low) if low == high else labels.join(labels.count(low), "to", labels.count(high))
            parts.append(f"half of all {what} show within {labels.join(reach, 'decks')}")
    return said(f"{_capital(labels.listed(parts))}.") if parts else said()


def signal_lines(drift: pd.DataFrame) -> list[tuple[str, str]]:
    """One line a chart that gave a signal: the finding, and since when."""
    lines = []
    for row in each(drift[drift["signal"].isin(["higher", "lower"])]):
        days = labels.day(row.last_signalled)
        earlier = int(row.signals) - 1
        before = (
            f", and {labels.plural(earlier, 'time')} before, first on {labels.day(row.first_signalled)}"
            if earlier
            else ""
        )
        side = "more" if row.signal == "higher" else "fewer"
        since = labels.day(row.changed_since)
        lines.append(
            (
                f"{row.inspector_id}: {side} write-ups than is usual for this colleague, from about {since}",
                f"The signal came on {days}{before}; after a signal the count starts anew.",
            )
        )
    return lines
