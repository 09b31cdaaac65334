"""The sentences on inspectors and their peers: who differs by more than luck, in what, and what that cannot say.

Colleagues are named where an owner looks at all of them, and never on the page of one.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Any

import pandas as pd

from dashboard import labels
from dashboard.measures import comparisons
from dashboard.measures.comparisons import DIFFERS, MADE, MISSED, OVERCALLED, WRITTEN_UP, WorthALook
from dashboard.measures.funnel import Funnel
from dashboard.measures.rows import each
from dashboard.measures.signals import WRITE_UPS
from dashboard.measures.summary import Share
from dashboard.measures.write_ups import ALL
from dashboard.notes.wording import Sentence, Strong, holds_or_not, said, together

NOBODY_ELSE = "One inspector alone is in these reports: there is nobody to compare with."
NOT_A_GRADE = "More or fewer is not better or worse: see which calls hold."
WHOSE_CALLS = (
    "Whose calls? Choose an inspector from the list.",
    "The page then shows their calls beside those that peers would have made on the same decks.",
)
ONLY_LUCK = "Nothing differs by more than luck."
NOT_FOR_PAY = "Nothing here is for pay or dismissal."
#: So many topics, and so many people of a topic, are named in an answer; the table has all.
_NAMED = 3
_LEAST_OF = f"under {WRITE_UPS.trials} looks, or fewer than {labels.number(WRITE_UPS.expected)} write-ups expected"


# ---- inspectors side by side -----------------------------------------------------------------------------------------


def side_by_side(rows: pd.DataFrame, people: int, decks: int, title: str | None, only: pd.DataFrame) -> Sentence:
    """How many inspectors write up as often as peers would, within what luck allows; who does not, and how far.

    Parameters
    ----------
    rows
        Rows of ``inspectors`` of one topic, or of ``all``.
    people
        How many inspectors the reports have, chosen or not.
    decks
        How many decks they looked at together.
    title
        The topic's title; None for all topics.
    only
        What ``ground.alone`` gives.
    """
    n, compared = len(rows), rows[rows["signal"].isin(MADE)]
    at = f" at {labels.in_sentence(title)} on" if title else " at"
    looked = said(f"{labels.plural(n, 'inspector')} looked{at} {labels.plural(decks, 'deck')}.")
    if compared.empty:
        return together(looked, said(Strong(NOBODY_ELSE)) if people == 1 else _nobody(rows, only))
    within = int((compared["signal"] == "none").sum())
    finding = said(Strong(_as_often(within, n)), ", within what luck allows.") if within else None
    return together(looked, finding, _who(compared), _too_few(rows), _not_separable(rows, only))


def _as_often(within: int, n: int) -> str:
    if within == n:
        who = {1: "It writes", 2: "Both write"}.get(n, "All of them write")
    else:
        who = f"{labels.count(within)} {'writes' if within == 1 else 'write'}"
    return f"{who} up as often as peers would on the same decks"


def _nobody(rows: pd.DataFrame, only: pd.DataFrame) -> Sentence:
    if (rows["signal"] == "too_few").all():
        return said(Strong("Too few to compare"), f": {_LEAST_OF}.")
    return together(said(Strong("Nobody can be compared with peers.")), _too_few(rows), _not_separable(rows, only))


def _who(compared: pd.DataFrame) -> Sentence | None:
    parts: list[str] = []
    for side, word in labels.MORE_OR_FEWER.items():
        rows = compared[compared["signal"] == side]
        if rows.empty:
            continue
        far = [f"({labels.times(row.ratio, row.ratio_low, row.ratio_high)})" for row in each(rows)]
        if len(rows) == 1:
            parts.append(f"{rows['inspector_id'].iloc[0]} writes up {word} {far[0]}")
        else:
            named = [f"{person} {times}" for person, times in zip(rows["inspector_id"], far, strict=True)]
            parts.append(f"{labels.listed(named)} write up {word}")
    return said(f"{labels.listed(parts)}.") if parts else None


def _too_few(rows: pd.DataFrame) -> Sentence | None:
    few = int((rows["signal"] == "too_few").sum())
    return said(f"{labels.count(few)} {'has' if few == 1 else 'have'} seen too few to compare.") if few else None


def _not_separable(rows: pd.DataFrame, only: pd.DataFrame) -> Sentence | None:
    people = list(rows.loc[rows["signal"] == "cannot_separate", "inspector_id"])
    return said(" ".join(_apart_from(person, only) for person in people)) if people else None


def _apart_from(person: str, only: pd.DataFrame) -> str:
    """Why an inspector cannot be told apart from the decks: from a region or builder of one's own, where there is."""
    own = only[only["inspector_id"] == person]
    if own.empty:
        return f"{person} cannot be told apart from the decks: too few colleagues saw such decks."
    first = own.iloc[0]
    return f"{person} cannot be told apart from {'the builder ' if first['by'] == 'builder' else ''}{first['group']}."


def topic_by_topic(out: pd.DataFrame, made: int, titles: Mapping[str, str]) -> Sentence | None:
    """In which topics write-ups differ by more than luck.

    Parameters
    ----------
    out
        Rows of ``comparisons.that_differ``.
    made
        How many comparisons of write-ups were made.
    """
    if not made:
        return None
    own = out[out["kind"] == WRITTEN_UP]
    if own.empty:
        return said(f"Topic by topic, none of {labels.plural(made, 'comparison')} differs by more than luck.")
    named = []
    for topic, rows in list(own.groupby("topic", sort=False))[:_NAMED]:
        people = [
            f"{labels.listed(rows.loc[rows['signal'] == side, 'inspector_id'])} {word}"
            for side, word in labels.MORE_OR_FEWER.items()
            if (rows["signal"] == side).any()
        ]
        named.append(f"{labels.in_sentence(titles.get(str(topic), str(topic)))} ({', '.join(people)})")
    more = own["topic"].nunique() - len(named)
    named += [f"{labels.plural(more, 'more topic')}"] if more else []
    verb = "differs" if len(own) == 1 else "differ"
    return said(
        "Topic by topic, ", Strong(f"{labels.part_of(len(own), made)} comparisons {verb}"), f": {labels.listed(named)}."
    )


def expected_from(rows: pd.DataFrame) -> str:
    """What the peers' number takes into account."""
    told = str(rows["adjusted_for"].iloc[0]) if len(rows) else ""
    if not told:
        return "The peers' number is their share of all decks: nothing told of decks varies here."
    return f"The peers' number takes the decks' {labels.listed(told.split(', '))} into account; own calls are left out."


def how_to_read_the_funnel(found: Funnel, some_too_few: bool = False) -> str:
    """What the bands and hollow dots are, and how far those within luck scatter."""
    hollow = " Hollow: too few to compare." if some_too_few else ""
    widened = " (dashed: with the usual differences between colleagues)" if _is_widened(found) else ""
    scattered = (
        f" Those who do not stand out lie {labels.factor(found.scatter)} times as far apart as by luck."
        if found.scatter is not None
        else ""
    )
    return (
        f"Shaded: where luck leaves {labels.join('95', '%')}, and {labels.join('99.8', '%')}{widened}. By luck alone "
        "one dot in twenty lies outside the inner band; in color is what remains once all comparisons are counted, "
        f"and how well the peers' number is known.{hollow}{scattered}"
    )


def _is_widened(found: Funnel) -> bool:
    return bool((found.limits["spread_highest"] > found.limits["highest"]).any())


def alone_on_their_ground(only: pd.DataFrame, people: list[str]) -> str:
    """Who alone covers a region or a builder, of these people."""
    rows = only[only["inspector_id"].isin(people)].drop_duplicates("inspector_id")
    return " ".join(
        f"{row.inspector_id} alone {'covers' if row.by == 'region' else 'saw decks by'} {row.group}: {row.by} and "
        "inspector cannot be told apart."
        for row in each(rows)
    )


def how_to_read_the_grid(kind: str) -> str:
    """What the cells of topics by inspectors count, and what their looks mean."""
    return (
        f"{labels.COMPARISONS[kind]} / what peers would have. Filled: more than peers. Outlined: fewer. "
        "–: inspector and decks cannot be told apart."
    )


def how_many_were_compared(cells: pd.DataFrame) -> str:
    """The number of comparisons of a kind, and what that means for each that is marked.

    Parameters
    ----------
    cells
        Rows of ``comparisons.compared``, of everybody.
    """
    made = comparisons.made(cells)
    differ = int((cells["signal"].isin(DIFFERS) & (cells["topic"] != ALL)).sum())
    return (
        f"{labels.plural(made, 'comparison')} of all inspectors and topics {'was' if made == 1 else 'were'} made, "
        f"{labels.count(differ)} {'differs' if differ == 1 else 'differ'} by more than luck. At this limit about one "
        "in twenty of those marked is luck after all."
    )


def since_when(row: Any) -> str:
    """When a difference first showed, and whether it was still there afterwards."""
    if not labels.is_known(row.first_signalled):
        return ""
    return f"since {labels.month(row.first_signalled)}{_held(row.held)}"


def _held(held: object) -> str:
    if not labels.is_known(held):
        return "; too little since then to say whether it holds"
    return "; later reports alone show it too" if held else "; later reports alone do not show it"


# ---- one inspector ---------------------------------------------------------------------------------------------------


def own_calls(
    own: pd.DataFrame, people: int, decks: int, titles: Mapping[str, str], only: pd.DataFrame, named: bool = True
) -> Sentence:
    """What an inspector wrote up, what peers would have, and in how many topics the two differ by more than luck.

    Parameters
    ----------
    own
        Rows of ``inspectors`` of one inspector.
    people
        How many inspectors the reports have.
    decks
        How many decks the inspector looked at.
    titles
        The topics' titles by id.
    only
        What ``ground.alone`` gives.
    named
        Whether the topics that differ are named; a note tells them one by one.
    """
    everything = own[own["topic"] == ALL].iloc[0]
    person, up = str(everything["inspector_id"]), int(everything["written_up"])
    looked = f"{person} looked at {labels.plural(decks, 'deck')} and made {labels.plural(up, 'write-up')}"
    if everything["signal"] not in MADE:
        return together(
            said(f"{looked}."), said(Strong(NOBODY_ELSE)) if people == 1 else _not_compared(everything, only)
        )
    luck = labels.COMPARED[str(everything["signal"])]
    times = labels.times(everything["ratio"], everything["ratio_low"], everything["ratio_high"])
    peers = said(
        f"{looked}; peers would have made about {labels.few(everything['expected'])} on the same decks ({times}: "
        f"{luck})."
    )
    return together(peers, _topics_that_differ(own, titles, named))


def _not_compared(everything: pd.Series, only: pd.DataFrame) -> Sentence:
    if everything["signal"] == "too_few":
        return said(Strong("That is too few to compare with peers"), f": {_LEAST_OF}.")
    own = alone_on_their_ground(only, [str(everything["inspector_id"])])
    if own:
        return said(Strong(own), " The calls themselves are below.")
    if everything["peers"] == 0:
        return said(Strong("There is nobody to compare with"), ": no colleague saw such decks.")
    return said(Strong("Decks and inspector cannot be told apart"), ": too few colleagues saw such decks.")


def _topics_that_differ(own: pd.DataFrame, titles: Mapping[str, str], named: bool) -> Sentence:
    compared = own[(own["topic"] != ALL) & own["signal"].isin(MADE)]
    out = own[(own["topic"] != ALL) & own["signal"].isin(DIFFERS)]
    if compared.empty:
        return said("In no single topic are there enough to compare.")
    n = len(compared)
    if out.empty:
        verb = "differs" if n == 1 else "none of them differs"
        return said(
            Strong(f"{labels.plural(n, 'topic')} can be compared; {verb} by more than luck.")
            if n > 1
            else Strong("The one topic that can be compared does not differ by more than luck.")
        )
    within = Strong(f"{labels.part_of(n - len(out), n)} topics that can be compared differ by no more than luck.")
    if not named:
        return said(within if len(out) < n else Strong("Every topic that can be compared differs by more than luck."))
    told = [
        f"{labels.in_sentence(titles.get(row.topic, row.topic))} ({labels.count(row.written_up)} against about "
        f"{labels.few(row.expected)})"
        for row in each(out.sort_values("q", kind="stable").head(_NAMED))
    ]
    more = len(out) - len(told)
    told += [labels.plural(more, "more topic")] if more else []
    if len(out) == n:
        return said(Strong(f"Every topic that can be compared differs: {labels.listed(told)}."))
    return said(within, f" {_capital(labels.listed(told))} {'does' if len(out) == 1 else 'do'}.")


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def why_worth_a_look(found: WorthALook, title: str) -> list[Sentence]:
    """What differs in a topic, how many of the own write-ups hold, and since when; a sentence each."""
    row = found.row
    told = [_DIFFERENCES[kind](row) for kind in _DIFFERENCES if kind in found.differs]
    parts = [said(Strong(f"{title}."), " ", " ".join(told)), _own_write_ups(row)]
    since = since_when(row)
    if WRITTEN_UP in found.differs and since:
        parts.append(said(f"{_capital(since)}."))
    return [part for part in parts if part is not None]


def _more_or_fewer(row: pd.Series) -> str:
    up, peers = labels.count(row["written_up"]), labels.few(row["expected"])
    return f"{up} written up, where peers would have written up about {peers}."


def _sound_work(row: pd.Series) -> str:
    times, peers = labels.plural(row["overcalled_found"], "time"), labels.few(row["overcalled_expected"])
    return f"{times} sound work was written up; peers who recorded the same, about {peers}."


def _passed_over(row: pd.Series) -> str:
    found, peers = row["missed_found"], labels.few(row["missed_expected"])
    defects = f"{labels.plural(found, 'recorded defect')} {'was' if found == 1 else 'were'}"
    return f"{defects} passed over; peers who recorded the same, about {peers}."


_DIFFERENCES = {WRITTEN_UP: _more_or_fewer, OVERCALLED: _sound_work, MISSED: _passed_over}


def _own_write_ups(row: pd.Series) -> Sentence | None:
    up, judged = int(row["written_up"]), int(row["judged_write_ups"])
    if not up:
        return None
    if not judged:
        return said(f"None of {labels.plural(up, 'write-up')} could be judged.")
    finding, rate = holds_or_not(Share.wilson(int(row["overcalled"]), judged))
    return said(f"{labels.part_of(judged, up)} write-ups could be judged; ", finding, f"{rate}.")


def how_to_read_the_bands(own: pd.DataFrame, drawn: int, compared: int, others: str = "in the figures below") -> str:
    """What dot, tick and band are, who the peers are, and where the topics are that are not drawn."""
    everything = own[own["topic"] == ALL].iloc[0]
    told = str(everything["adjusted_for"])
    decks = f" ({told})" if told else ""
    left = compared - drawn
    rest = (
        f" {labels.plural(left, 'more topic')} {labels.are(left)} {others}; "
        f"{'it lies' if left == 1 else 'all of them lie'} within luck."
        if left
        else ""
    )
    return (
        f"Dot: own. Tick: peers on the same decks{decks}. Band: where luck would leave 19 in 20 who call as peers do. "
        f"Peers are {labels.plural(everything['peers'], 'colleague')}, never shown singly.{rest}"
    )


def nothing_else(worth: int, differ: int) -> str:
    """What there is beyond the topics that are worth a look."""
    if not worth:
        return ""
    more = differ - worth
    if more > 0:
        return f"{labels.plural(more, 'more topic')} {'differs' if more == 1 else 'differ'}; see the figures below."
    return "Nothing else differs by more than luck."


def not_seen(everything: pd.Series) -> str:
    """How often nothing could be seen, and how often peers cannot there."""
    unseen, looks = int(everything["not_seen"]), int(everything["not_seen"] + everything["trials"])
    expected = everything["not_seen_expected"]
    peers = (
        f", where peers leave about {labels.few(expected)} unseen in the same regions and seasons"
        if labels.is_known(expected) and everything["peers"] > 0
        else ""
    )
    return f"Not seen: {labels.part_of(unseen, looks)} looks{peers}. Not seen is no fault, and it is not fine either."


def note_kicker(inspector: str, first_day: date | None, last_day: date | None) -> str:
    """``Calibration note · Inspector KE · 1 Apr 2025 to 30 Sep 2026``: it says whose it is, and goes to nobody else."""
    days = [labels.period(first_day, last_day)] if first_day and last_day else []
    return " · ".join(["Calibration note", f"Inspector {inspector}", *days])


def note_title(first: WorthALook | None, titles: list[str], compared: bool) -> str:
    """The finding of an inspector's note: how the surest difference counts, or that there is none.

    Parameters
    ----------
    first
        The topic most worth a look; None where there is none.
    titles
        The titles of those worth a look.
    compared
        Whether any comparison was made.
    """
    if first is None:
        return ONLY_LUCK.removesuffix(".") if compared else "Own calls, too few to compare with peers"
    found, expected = _COUNTED_AS[first.differs[0]]
    counted = f"{labels.count(first.row[found])} {labels.COUNTED[first.differs[0]]}"
    return f"{titles[0]}: {counted}, peers about {labels.few(first.row[expected])}"


_COUNTED_AS = {
    WRITTEN_UP: ("written_up", "expected"),
    OVERCALLED: ("overcalled_found", "overcalled_expected"),
    MISSED: ("missed_found", "missed_expected"),
}
HOW_TO_ASK = (
    "You know more than the measures say? Save this line and let somebody else look at the photos and the record. "
    "They fill in who looked and on which day (2026-03-04), the ruling (`defect`, `acceptable` or `cannot_tell`) and "
    "the reason; `evenhand load {file}` brings it in, and from then on the ruling stands above the rule."
)
