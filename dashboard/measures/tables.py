"""The tables that the dashboard shows, by name: their columns in order, what each means, and how rows are chosen."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date

import pandas as pd

from dashboard.filters import EVERYTHING, Filters
from dashboard.measures.accuracy import accuracy
from dashboard.measures.agreement import agreement
from dashboard.measures.brief import brief, of_conditions
from dashboard.measures.call_outcomes import call_outcomes
from dashboard.measures.comments import comment_conflicts, comment_reads
from dashboard.measures.contradictions import contradictions
from dashboard.measures.corrections import corrections
from dashboard.measures.differences import differences
from dashboard.measures.drift import drift
from dashboard.measures.evidence import evidence
from dashboard.measures.inspectors import inspectors
from dashboard.measures.known_truths import known_truths
from dashboard.measures.loads import loads
from dashboard.measures.looks import looks_gain, looks_to_make
from dashboard.measures.luck import luck
from dashboard.measures.missing import missing_measures
from dashboard.measures.months import months, months_of_outcomes
from dashboard.measures.nails_left import nails_left
from dashboard.measures.not_seen import not_seen
from dashboard.measures.outcomes import outcomes
from dashboard.measures.pairs import pairs
from dashboard.measures.patterns import misses, patterns
from dashboard.measures.rates import GROUPINGS, every_rate
from dashboard.measures.refused import incomplete_reports, refused_reasons
from dashboard.measures.round_results import round_results
from dashboard.measures.rounds import round_agreement
from dashboard.measures.rules import rules
from dashboard.measures.stock_sentences import LEAST_REPORTS, stock_sentences
from dashboard.measures.training_effect import GROUPS, WINDOWS, training_decay, training_effect
from dashboard.measures.training_topics import Reach, training_topics
from dashboard.problems import UnknownName, WrongUsage
from dashboard.warehouse import Snapshot

Condition = tuple[str, str]  # a column, and the value that it must have


class TableError(UnknownName):
    """A table, a column or a grouping that is not known."""


class UnknownTable(TableError):
    """No table has this name."""


class UnknownColumn(TableError):
    """The table has no such column."""


class UnknownGrouping(TableError):
    """defect_rates knows no such grouping."""


class NoReach(WrongUsage):
    """The table rests on no assumption of how far training reaches."""

    def __init__(self, name: str) -> None:
        assuming = ", ".join(known.name for known in TABLES.values() if known.with_reach)
        super().__init__(f"How far training reaches does not enter the table {name}; it enters {assuming}.")


@dataclass(frozen=True)
class Table:
    """A table by name.

    Attributes
    ----------
    answers
        The question that it answers.
    row
        What one row is.
    columns
        The meaning of each column in one sentence, in the order of the columns.
    frame
        Snapshot, filters and conditions in, all rows out; it uses conditions only to leave out work.
    with_reach
        The rows under another assumption of how far training reaches; None where it enters nothing.
    """

    name: str
    answers: str
    row: str
    columns: dict[str, str]
    frame: Callable[[Snapshot, Filters, tuple[Condition, ...]], pd.DataFrame]
    with_reach: Callable[[Snapshot, Filters, Reach], pd.DataFrame] | None = None


def table(
    snapshot: Snapshot,
    name: str,
    conditions: Iterable[Condition] = (),
    filters: Filters = EVERYTHING,
    reach: Reach | None = None,
) -> pd.DataFrame:
    """The rows of a table that meet the conditions, with its columns in order and nothing rounded.

    Parameters
    ----------
    conditions
        Pairs of column and value. Conditions on different columns must all hold, of those on the same column any.
    reach
        How far training reaches, where that enters the table; None for what is usual.

    Raises
    ------
    UnknownTable, UnknownColumn, UnknownGrouping, NoReach
    """
    chosen = find(name)
    wanted = tuple(conditions)
    for column, _value in wanted:
        if column not in chosen.columns:
            raise UnknownColumn(f"column in {name}", column, chosen.columns)
    return where(_rows(chosen, snapshot, filters, wanted, reach)[list(chosen.columns)], wanted)


def _rows(
    chosen: Table, snapshot: Snapshot, filters: Filters, wanted: tuple[Condition, ...], reach: Reach | None
) -> pd.DataFrame:
    if reach is None:
        return chosen.frame(snapshot, filters, wanted)
    if chosen.with_reach is None:
        raise NoReach(chosen.name)
    return chosen.with_reach(snapshot, filters, reach)


def find(name: str) -> Table:
    """The table of that name.

    Raises
    ------
    UnknownTable
    """
    if name not in TABLES:
        raise UnknownTable("table", name, TABLES)
    return TABLES[name]


def where(frame: pd.DataFrame, conditions: Iterable[Condition]) -> pd.DataFrame:
    """The rows that meet the conditions; values are compared as they are written in CSV.

    Numbers are equal whatever their spelling (``3`` and ``3.0``), yes/no is ``true`` or ``false``, days are
    ``2026-03-04``, and an empty value stands for a blank cell.
    """
    wanted: dict[str, list[str]] = {}
    for column, value in conditions:
        wanted.setdefault(column, []).append(value)
    keep = pd.Series(True, index=frame.index)
    for column, values in wanted.items():
        keep &= _equals_any(frame[column], values)
    return frame[keep].reset_index(drop=True)


def _equals_any(cells: pd.Series, values: list[str]) -> pd.Series:
    blank = cells.isna() if "" in values else pd.Series(False, index=cells.index)
    if pd.api.types.is_bool_dtype(cells):
        truths = {"true": True, "false": False}
        return blank | cells.isin([truths[value.lower()] for value in values if value.lower() in truths])
    if pd.api.types.is_numeric_dtype(cells):
        return blank | cells.isin(pd.to_numeric(pd.Series(values, dtype="str"), errors="coerce").dropna())
    if pd.api.types.is_datetime64_any_dtype(cells):
        return blank | cells.dt.date.isin([day for day in map(_day, values) if day])
    return blank | cells.isin([value for value in values if value])


def _day(text: str) -> date | None:
    try:
        return date.fromisoformat(text)
    except ValueError:
        return None


def _rates(snapshot: Snapshot, filters: Filters, conditions: tuple[Condition, ...]) -> pd.DataFrame:
    asked = [value for column, value in conditions if column == "by"]
    for value in asked:
        if value not in GROUPINGS:
            raise UnknownGrouping("grouping", value, GROUPINGS)
    return every_rate(snapshot, filters, [by for by in GROUPINGS if by in asked or not asked])


_PATTERN = {
    "pattern_id": "Topic and what was recorded, as one id.",
    "topic": "Topic id.",
    "recorded": "What was recorded, as a kind; 'not recorded' where nothing decisive was.",
}
_SEEN = {
    "decks": "How many decks are behind the row.",
    "first_seen": "Day of the first such inspection.",
    "last_seen": "Day of the latest such inspection.",
}


def _against_bounds(whole: str, meaning: str, count: str, which: str) -> dict[str, str]:
    """A count of calls out of others, its share with the exact interval, and where that falls."""
    return {
        whole: meaning,
        count: f"Those of them {which}.",
        f"{count}_share": f"{count} / {whole}.",
        f"{count}_low": "Lower end of its exact interval.",
        f"{count}_high": "Upper end of its exact interval.",
        f"{count}_mark": "acceptable, marginal or not_acceptable by the customary bounds, where the interval decides; "
        "else cannot_tell.",
        f"{count}_needed": "Items in all from which on it would decide, were the share to stay; blank at a bound.",
    }


def _with_interval(name: str, meaning: str) -> dict[str, str]:
    """A figure and its interval."""
    ends = {"_low": "Its 95 percent interval, lower end.", "_high": "Its 95 percent interval, upper end."}
    return {name: meaning} | {f"{name}{end}": told for end, told in ends.items()}


def _of_both_groups(*counts: tuple[str, str]) -> dict[str, str]:
    """Counts of those who took part and of the others, before and after."""
    whose = {"attendees": "Those who took part", "others": "The others"}
    return {
        f"{group}_{window}_{count}": f"{whose[group]}, {window}: {meaning}."
        for group in GROUPS
        for window in WINDOWS
        for count, meaning in counts
    }


def _change_of(wrong: str, base: str) -> dict[str, str]:
    """The change of a kind of wrong call, attendees less others."""
    meaning = f"The same change of {wrong} per 100 {base}; blank where a group has fewer than 3 people or 10 of them."
    return _with_interval(f"{wrong}_change", meaning) | {f"{wrong}_p": "Its two-sided p by assignments."}


_LIMITS_OF_MONTH = {
    "phase": "0 before the first session on the topic that divides its months, then 1 …; -1 in the month of a session.",
    "expected": "How many luck would leave on average (see docs/measures.md); blank in phase -1.",
    "expected_share": "expected / trials.",
    "lower": "The fewest that luck allows, 0.1 percent beyond.",
    "upper": "The most that luck allows, 0.1 percent beyond.",
    "lower_share": "lower / trials.",
    "upper_share": "upper / trials.",
    "course": "Slow change: the phase's expected share and what has of late been beyond, smoothed; it gives no signal.",
    "course_low": "The least that luck leaves it: three standard deviations below the phase's expected share.",
    "course_high": "The most that luck leaves it: three standard deviations above the phase's expected share.",
    "spread": "The factor by which reports and the scatter of stable months widen these limits; at least 1.",
    "luck": "The chance that luck alone carries the month beyond them, were they not widened.",
    "signal": "higher, lower, none, too_few or session (phase -1).",
}

TABLES: dict[str, Table] = {
    entry.name: entry
    for entry in (
        Table(
            "outcomes",
            "What do the rules say of each observation, and why?",
            "an observation with what the rules say of it",
            {
                "observation_id": "Report and number of the observation, joined by a colon.",
                "report_id": "The report.",
                "inspected_on": "Day of the inspection.",
                "inspector_id": "The inspector's code.",
                "deck_id": "The deck; the same in every report that saw it.",
                "region": "Region as recorded.",
                "builder": "Builder as recorded.",
                "deck_age_years": "Year of inspection less year built; blank where unknown.",
                "deck_age": "Band of deck age.",
                "deck_height": "Band of deck height.",
                "topic": "Topic id.",
                "place": "Where on the deck.",
                "call": "What the inspector decided.",
                "not_seen_reason": "Why it was not seen.",
                "consequence": "The inspector's own rating, 1 to 3.",
                "criterion_id": "The rule that decided; blank where none did.",
                "verdict": "What the rules say: defect, acceptable, judgment or cannot_tell.",
                "basis": "Where the verdict came from; blank where none was reached.",
                "outcome": "Call and verdict together.",
                "reason": "Why, in a sentence with the numbers.",
                "missing": "Measures whose absence left the verdict open, joined by a comma.",
                "recorded": "What was recorded, as a kind.",
                "measured": "Whether at least one of the topic's measures was recorded.",
                "second_look": "Whether a write-up would not hold, but for a comment that names another fault.",
                "written_up_elsewhere": "Whether the fault missed here is written up at another place of the deck.",
                "comment": "The report's own sentences.",
                "read_from_comment": "That topic, call or both were read out of the comment: no column has them.",
                "recommendation": "What the report recommends.",
                "photo_count": "Photos.",
                "code_basis": "The guideline that the report is measured against.",
            },
            lambda snapshot, filters, conditions: outcomes(snapshot, filters),
        ),
        Table(
            "comment_reads",
            "Which measures were read out of the comments?",
            "a value read out of an observation's comment",
            {
                "observation_id": "Report and number of the observation, joined by a colon.",
                "topic": "Topic id of the observation.",
                "measure": "Measure id.",
                "value": "What the comment says, in the measure's unit.",
                "text": "The words that it was read from.",
                "start": "The comment's character that they begin with, counted from 0.",
                "end": "The character after their last.",
                "rule": "The rule of the catalog that read them.",
                "decided_by_comment": "Whether the observation's verdict needed what its comment says.",
                "comment": "The report's own sentences.",
            },
            lambda snapshot, filters, conditions: comment_reads(snapshot, filters),
        ),
        Table(
            "comment_conflicts",
            "Where does a comment say other than what was recorded beside it?",
            "a value of a comment that differs from the recorded one, which stands",
            {
                "observation_id": "Report and number of the observation, joined by a colon.",
                "topic": "Topic id of the observation.",
                "measure": "Measure id.",
                "recorded": "What was recorded, in the measure's unit.",
                "read": "What the comment says, in the measure's unit.",
                "text": "The words that it was read from.",
                "start": "The comment's character that they begin with, counted from 0.",
                "end": "The character after their last.",
                "rule": "The rule of the catalog that read them.",
                "inspector_id": "The inspector's code.",
                "comment": "The report's own sentences.",
            },
            lambda snapshot, filters, conditions: comment_conflicts(snapshot, filters),
        ),
        Table(
            "contradictions",
            "Which observations contradict themselves and should be read by a person?",
            "an observation noted as not seen whose measures decide, or a write-up whose comment names another fault",
            {
                "observation_id": "Report and number of the observation, joined by a colon.",
                "report_id": "The report.",
                "inspected_on": "Day of the inspection.",
                "inspector_id": "The inspector's code.",
                "deck_id": "The deck; the same in every report that saw it.",
                "topic": "Topic id.",
                "place": "Where on the deck.",
                "call": "What the inspector decided.",
                "contradiction": "not_seen_but_measured or comment_names_another_fault.",
                "verdict": "What the rules say by the measures.",
                "reason": "Why, in a sentence with the numbers.",
                "not_seen_reason": "Why it was noted as not seen.",
                "comment": "The report's own sentences.",
            },
            lambda snapshot, filters, conditions: contradictions(snapshot, filters),
        ),
        Table(
            "defect_rates",
            "Where do defects occur: by deck age, builder, region, deck height?",
            "a topic in a group of decks; every count is of seen trials (report x deck x topic)",
            {
                "topic": "Topic id.",
                "by": "What the decks are grouped by: deck_age, builder, region or deck_height.",
                "group": "The group; 'unknown' where blank.",
                "trials": "Seen trials.",
                "written_up": "Trials written up at any place.",
                "written_up_share": "written_up / trials.",
                "written_up_share_low": "Its 95 percent interval, lower end.",
                "written_up_share_high": "Its 95 percent interval, upper end.",
                "judged": "Trials in which a rule decided.",
                "judged_share": "judged / trials.",
                "defects": "Judged trials with a defect at any place, as counted.",
                "defect_share": "Share of trials with a defect, from the judged ones, weighted by call class; "
                "blank where too little is judged.",
                "defect_share_low": "Its 95 percent interval, lower end.",
                "defect_share_high": "Its 95 percent interval, upper end.",
                "defect_share_least": "The share if every unjudged trial were sound.",
                "defect_share_most": "The share if every unjudged trial were a defect.",
                "shrunken": "defect_share drawn toward firm_share, the more the fewer trials it rests on.",
                "shrunken_low": "Its 95 percent interval, lower end.",
                "shrunken_high": "Its 95 percent interval, upper end.",
                "no_spread": "Whether the groups of the topic differ no more than chance.",
                "firm_share": "The topic's share over all groups.",
                "firm_share_low": "Its 95 percent interval, lower end.",
                "firm_share_high": "Its 95 percent interval, upper end.",
                "expected_share": "The share of all other groups together, at the group's own mix of deck ages "
                "(not adjusted where the groups are deck ages).",
                "difference": "defect_share less expected_share.",
                "difference_low": "Its 95 percent interval, lower end.",
                "difference_high": "Its 95 percent interval, upper end.",
                "inspectors": "Inspectors behind the row.",
                "decks": "Decks behind the row.",
                "one_inspector": "Whether one inspector alone is behind the row: the two cannot be told apart.",
                "p": "Two-sided p-value of no difference; blank where too few.",
                "q": "The same after false discovery control over all rows of this grouping.",
                "stands_out": "higher, lower, none or too_few: the group against all others, two inspectors a side.",
            },
            _rates,
        ),
        Table(
            "patterns",
            "Which kinds of write-up do not hold?",
            "a topic and a recorded kind that was written up; every count is of trials",
            _PATTERN
            | {
                "written_up": "Trials written up with that kind.",
                "judged": "Of those, trials in which a rule decided.",
                "upheld": "Judged write-ups that hold.",
                "overcalled": "Judged write-ups that do not hold at some place.",
                "share": "overcalled / judged.",
                "share_low": "Its 95 percent interval, lower end.",
                "share_high": "Its 95 percent interval, upper end.",
                "judgment": "Write-ups that the rule leaves to the inspector.",
                "undecided": "Write-ups that could not be judged.",
                "inspectors": "Inspectors who wrote it up.",
                "inspectors_overcalled": "Inspectors with a write-up of it that does not hold.",
            }
            | _SEEN,
            lambda snapshot, filters, conditions: patterns(snapshot, filters),
        ),
        Table(
            "misses",
            "Which recorded defects were passed over, or only advised upon?",
            "a topic and a recorded kind that was passed or advised upon; every count is of trials",
            _PATTERN
            | {
                "passed": "Trials with a passed row of that kind.",
                "advised": "Trials with an advised row of that kind.",
                "trials": "Trials with either.",
                "judged": "Of those, trials in which a rule decided.",
                "missed": "Trials with a defect passed over, and not written up elsewhere in the trial.",
                "understated": "Trials with a defect only advised upon, and not written up elsewhere in the trial.",
                "share": "(missed + understated) / judged.",
                "share_low": "Its 95 percent interval, lower end.",
                "share_high": "Its 95 percent interval, upper end.",
                "inspectors": "Inspectors who passed it or advised upon it.",
                "inspectors_missed": "Inspectors with a missed or understated one.",
            }
            | _SEEN,
            lambda snapshot, filters, conditions: misses(snapshot, filters),
        ),
        Table(
            "stock_sentences",
            "Which sentences stand in report after report, and which of them do not hold?",
            f"a topic and a sentence that, places and numbers aside, {LEAST_REPORTS} reports have; counts: trials",
            {
                "sentence_id": "An id made of topic and text.",
                "topic": "Topic id.",
                "text": "The sentence, with gaps for places and numbers.",
                "uses": "Trials written up with it.",
                "reports": "Reports that have it.",
                "inspectors": "Inspectors who wrote it.",
                "judged": "Of the uses, those in which a rule decided.",
                "judged_share": "judged / uses.",
                "overcalled": "Judged uses that do not hold.",
                "share": "overcalled / judged.",
                "share_low": "Its 95 percent interval, each habit counted as one trial; lower end.",
                "share_high": "Its 95 percent interval, each habit counted as one trial; upper end.",
                "habits": "An inspector with the same recorded kind, among the judged: counted once, however often.",
                "first_seen": "Day of the first such inspection.",
                "last_seen": "Day of the latest such inspection.",
            },
            lambda snapshot, filters, conditions: stock_sentences(snapshot, filters),
        ),
        Table(
            "inspectors",
            "How do each inspector's calls compare with those of peers on similar decks?",
            "an inspector x topic, and `all` topics together; every count is of trials",
            {
                "inspector_id": "The inspector's code.",
                "topic": "Topic id; `all` for all topics together.",
                "trials": "Seen trials.",
                "written_up": "Of those, written up at any place.",
                "referred": "Referred for a further evaluation, nothing written up.",
                "advised": "Advised upon, nothing written up or referred.",
                "passed": "Passed.",
                "not_seen": "Trials not seen.",
                "not_seen_expected": "What peers leave unseen in the same regions and quarters of the year.",
                "expected": "Write-ups that peers would have made on the same decks, own trials left out; blank where "
                "decks and inspector cannot be told apart.",
                "expected_sd": "How far luck alone spreads the count around expected: standard deviation.",
                "expected_error": "How well expected is known: standard error.",
                "ratio": "written_up / expected.",
                "ratio_low": "Its 95 percent interval, lower end.",
                "ratio_high": "Its 95 percent interval, upper end.",
                "shrunken_ratio": "The ratio drawn toward 1, the more the less is known; never tested.",
                "shrunken_ratio_low": "Its 95 percent interval, lower end.",
                "shrunken_ratio_high": "Its 95 percent interval, upper end.",
                "p": "Two-sided p-value of no difference from peers; blank where not compared.",
                "q": "The same after false discovery control over all pairs compared (of `all`: over inspectors).",
                "signal": "higher, lower, none, too_few (under 20 trials or 2 write-ups expected) or cannot_separate "
                "(overlap under 0.25, under 2 peers or 10 peer decks on shared ground).",
                "trials_lacking": "How many more trials until own odds twice those of peers would show with a "
                "chance of 80 percent (at p = 0.001); 0 where there are enough.",
                "overlap": "Share of the information on the inspector that is left after case mix.",
                "weak": "Whether a comparison was made on an overlap under 0.5.",
                "peers": "Colleagues who saw such decks (region x band of age).",
                "peer_decks": "Decks that they saw there.",
                "adjusted_for": "What expected takes into account.",
                "dispersion": "How many times the binomial variance whole reports have; 1 for single topics.",
                "spread": "Standard deviation of inspectors around their peers, log-odds; flagged: as beyond the bar.",
                "spread_low": "Its 95 percent interval, lower end.",
                "spread_high": "Its 95 percent interval, upper end.",
                "first_signalled": "First month at whose end the pair was flagged; blank where never.",
                "held": "true where the reports after that month alone point the same way (one-sided p below 0.05), "
                "false where they do not; blank where never flagged, or where too little came later.",
                "judged_write_ups": "Write-ups that could be judged.",
                "overcalled": "Of those, wrong at some place.",
                "not_holding_share": "overcalled / judged_write_ups.",
                "not_holding_share_low": "Its 95 percent interval, lower end.",
                "not_holding_share_high": "Its 95 percent interval, upper end.",
                "judged_share_written_up": "Share of write-ups that could be judged.",
                "judged_share_passed": "Share of passed trials that could be judged.",
                "overcalled_share": "Share of sound trials written up, weighted by call class; blank where too little "
                "is judged, and for `all`.",
                "overcalled_share_low": "Its 95 percent interval, lower end.",
                "overcalled_share_high": "Its 95 percent interval, upper end.",
                "overcalled_share_least": "The share if every unjudged call were right.",
                "overcalled_share_most": "The share if every unjudged call were wrong.",
                "missed_share": "Share of trials with a defect that were passed or only advised upon, weighted by call "
                "class; blank where too little is judged, and for `all`.",
                "missed_share_low": "Its 95 percent interval, lower end.",
                "missed_share_high": "Its 95 percent interval, upper end.",
                "missed_share_least": "The share if every unjudged call were right.",
                "missed_share_most": "The share if every unjudged call were wrong.",
                "overcalled_of": "Trials with sound work by the measures.",
                "overcalled_found": "Of those, with sound work written up.",
                "overcalled_expected": "What peers would have written up of the same recorded kinds.",
                "overcalled_p": "Two-sided p-value of no difference; blank where not compared.",
                "overcalled_q": "The same after false discovery control over these comparisons.",
                "overcalled_signal": "higher, lower, none, too_few or cannot_separate.",
                "missed_of": "Trials with a defect by the measures.",
                "missed_found": "Of those, passed over and not written up elsewhere in the trial.",
                "missed_expected": "What peers would have passed over of the same recorded kinds.",
                "missed_p": "Two-sided p-value of no difference; blank where not compared.",
                "missed_q": "The same after false discovery control over these comparisons.",
                "missed_signal": "higher, lower, none, too_few or cannot_separate.",
            },
            lambda snapshot, filters, conditions: inspectors(snapshot, filters),
        ),
        Table(
            "differences",
            "What is each inspector's difference from peers made of?",
            "an inspector x topic that is compared with peers; numbers of trials, the parts add up to the difference",
            {
                "inspector_id": "The inspector's code.",
                "topic": "Topic id.",
                "trials": "Seen trials.",
                "written_up": "Of those, written up at any place.",
                "of_as_many": "What peers write up of as many trials of the topic, whatever the decks.",
                "difference": "written_up less of_as_many.",
                "by_not_seen": "What comes from leaving more or fewer unseen than peers do there.",
                "by_decks": "What comes from the decks: expected, less what peers write up of as many.",
                "by_false_calls": "Write-ups that do not hold, beyond those of peers; judged ones scaled to all.",
                "by_misses": "Defects passed over beyond those of peers, as write-ups lost; judged ones scaled to all.",
                "by_advice": "Defects only advised upon or referred beyond those of peers, as write-ups lost.",
                "by_rest": "What no judged call explains.",
                "judged_share_written_up": "Share of write-ups that could be judged.",
                "judged_share_passed": "Share of passed trials that could be judged.",
            },
            lambda snapshot, filters, conditions: differences(snapshot, filters),
        ),
        Table(
            "luck",
            "How many signals would luck alone give this firm?",
            "the firm, its reports handed out by lot again and again within region, builder and band of deck age",
            {
                "signals": "Pairs of inspector and topic that are flagged in the firm itself.",
                "compared": "Pairs that were compared.",
                "replays": "How often the reports were handed out by lot.",
                "mean_by_luck": "Signals of a replay, on average.",
                "most_by_luck": "Signals that 19 of 20 replays do not exceed.",
                "any_by_luck": "Share of replays with any signal.",
                "any_by_luck_low": "Its 95 percent interval, lower end.",
                "any_by_luck_high": "Its 95 percent interval, upper end.",
            },
            lambda snapshot, filters, conditions: luck(snapshot, filters),
        ),
        Table(
            "training_topics",
            "Which topics could training do most about?",
            "a topic with a judged call, most avoidable first; numbers of the next quarter at the last year's pace",
            {
                "topic": "Topic id.",
                "expected_decks": "Decks expected to show the topic in a quarter (seen trials).",
                "overcalled": "Write-ups expected that do not hold; judged ones scaled to all.",
                "missed": "Defects expected to be passed over; judged ones scaled to all.",
                "understated": "Defects expected to be only advised upon; judged ones scaled to all.",
                "in_sentences": "Of overcalled, those with a stock sentence that surely fails.",
                "avoidable": "Wrong calls that training could avoid, times their rules' weight, times its reach.",
                "avoidable_low": "Its 95 percent interval, lower end.",
                "avoidable_high": "Its 95 percent interval, upper end.",
                "avoidable_too_much": "Of avoidable, write-ups that do not hold.",
                "avoidable_too_little": "Of avoidable, defects passed over or only advised upon.",
                "avoidable_least": "Avoidable if every unjudged call were right.",
                "avoidable_most": "Avoidable if every unjudged call were wrong.",
                "judged_share": "Share of these calls that could be judged.",
                "undecided": "Calls expected that cannot be judged: mended by recording the measure, not by training.",
                "common": "Of avoidable, what the lower quartile of colleagues has as well.",
                "spread": "The rest.",
                "suggested": "whole team (half or more is common), one (half of the rest lies with one), or a few.",
                "inspectors": "Inspectors with such a wrong call.",
                "rank_low": "Place by avoidable, 1 the most; its 95 percent interval, lower end.",
                "rank_high": "The upper end.",
                "p_worst_three": "Chance of being among the three with most avoidable.",
                "rank_least": "Its place if every unjudged call were right.",
                "rank_most": "Its place if every unjudged call were wrong.",
            },
            lambda snapshot, filters, conditions: training_topics(snapshot, filters),
            training_topics,
        ),
        Table(
            "brief",
            "Before you go: what was found on decks like this, and what was passed over?",
            "a topic with a rule; past decks alike in what --where asks for (deck_age and deck_height as bands)",
            {
                "topic": "Topic id.",
                "alike": "In what the decks are alike; a trait is given up where it leaves fewer than 20 looks.",
                "trials": "Looks at such decks (report x deck x topic).",
                "decks": "How many decks that were.",
                "written_up": "Of these looks, written up.",
                "judged": "Of these looks, decided by a rule, or by a second look drawn at random.",
                "found": "Of these looks, with a defect that was written up or referred, and is one by the rule.",
            }
            | _with_interval("found_share", "found / trials: at least so often.")
            | {
                "defects": "Judged looks with a defect.",
                "passed_over": "Of these, missed or only advised upon.",
            }
            | _with_interval("passed_over_share", "passed_over / defects; blank without a defect.")
            | {
                "measures": "The measures that the topic's rules need.",
                "deck_age": "The band of age that was asked for; blank for any.",
                "region": "The region that was asked for; blank for any.",
                "deck_height": "The band of height that was asked for; blank for any.",
                "builder": "The builder that was asked for; blank for any.",
            },
            lambda snapshot, filters, conditions: brief(snapshot, of_conditions(conditions), filters),
        ),
        Table(
            "call_outcomes",
            "What became of the calls that were written up, referred, advised or passed?",
            "a kind of call and an outcome; every count is of seen trials, each of them in one row",
            {
                "call": "The strongest call of the trial: written_up, referred, advised or passed.",
                "outcome": "What the rules say of it; a trial that is wrong at any place is wrong.",
                "trials": "Seen trials.",
                "share": "Of all trials of that call.",
                "share_low": "Its 95 percent interval, lower end.",
                "share_high": "Its 95 percent interval, upper end.",
            },
            lambda snapshot, filters, conditions: call_outcomes(snapshot, filters),
        ),
        Table(
            "corrections",
            "Which issued reports may need a correction in a safety matter?",
            "a trial that passed over, or only advised upon, what fails a rule of the largest weight",
            {
                "observation_id": "The place, as an observation.",
                "report_id": "The report.",
                "deck_id": "The deck.",
                "inspected_on": "Day of the inspection.",
                "topic": "Topic id.",
                "call": "What the inspector decided there.",
                "outcome": "missed or understated.",
                "place": "Where on the deck.",
                "recorded": "What was recorded, as a kind.",
                "reason": "Why the rule is not met, in a sentence with the numbers.",
                "weight": "How much a wrong call matters, as the rule has it.",
            },
            lambda snapshot, filters, conditions: corrections(snapshot, filters),
        ),
        Table(
            "nails_left",
            "How much do missing or too short hanger nails matter, for training? (It judges no structure.)",
            "a judged defect of missing or too short hanger fasteners that has the measures needed; an observation",
            {
                "observation_id": "The place, as an observation.",
                "report_id": "The report.",
                "deck_id": "The deck.",
                "topic": "hanger_fasteners_missing or hanger_fastener_length.",
                "call": "What the inspector decided there.",
                "outcome": "Call and verdict together.",
                "holes_total": "Holes that must be filled; blank where not recorded.",
                "holes_filled": "Holes that are, or that the empty ones leave; blank where not recorded.",
                "fastener_kind": "The kind of fastener; blank where not recorded.",
                "fastener_position": "face, angled or joist_side; blank where not recorded.",
                "fastener_length_in": "Its length in inches; blank where not recorded.",
                "share_left": "Share of lateral value left, the nails alone: of all nails of the hanger where some "
                "are missing, of each such nail where it is too short. Hanger ratings come from tests.",
                "why": "How that comes, in one sentence.",
            },
            lambda snapshot, filters, conditions: nails_left(snapshot, filters),
        ),
        Table(
            "agreement",
            "How often do two inspectors who saw the same deck within 60 days agree that a topic is written up?",
            "a topic; every count is of pairs of looks (two reports by different inspectors on one deck)",
            {
                "topic": "Topic id; 'all' for all topics together.",
                "pairs": "Pairs of looks in which both saw the topic.",
                "decks": "Decks behind the row; a deck with three reports gives three pairs.",
                "inspectors": "Inspectors behind the row.",
                "days_between": "Median of the days between the two looks.",
                "both_up": "Pairs that both wrote up, at any place.",
                "earlier_only": "Pairs that only the earlier look wrote up.",
                "later_only": "Pairs that only the later look wrote up.",
                "neither": "Pairs that neither wrote up.",
                "write_ups": "Looks that wrote it up: both_up twice, earlier_only and later_only.",
            }
            | _with_interval("raw", "(both_up + neither) / pairs.")
            | _with_interval("positive_agreement", "Of all write-ups, the share that the other look wrote up too.")
            | _with_interval(
                "negative_agreement", "Of all looks without a write-up, the share whose other look has none."
            )
            | _with_interval("kappa", "Agreement beyond chance (Cohen), the earlier look first.")
            | _with_interval("ac1", "Agreement beyond chance (Gwet), which does not fall where a fault is rare.")
            | {
                "no_kappa": "Why kappa is blank: none_written_up or all_written_up.",
                "p_order": "Exact two-sided p-value of earlier_only against later_only, a deck's pairs together.",
                "q_order": "The same after false discovery control over all topics; blank where too few.",
                "order": "earlier or later: that look alone writes up more often than luck explains; none; too_few.",
                "more_pairs_needed": "Pairs that are lacking until the interval of kappa is 0.1 to either side.",
                "more_pairs_for_order": "Pairs that are lacking until it would show, with a chance of 80 percent, that "
                "one look alone writes up twice as often as the other.",
                "status": "ok, or too_few: fewer than 20 decks.",
            },
            lambda snapshot, filters, conditions: agreement(snapshot, filters),
        ),
        Table(
            "pairs",
            "Which decks did two inspectors see within 60 days, and what did each decide?",
            "a pair of looks at a topic: two reports by different inspectors on one deck",
            {
                "topic": "Topic id.",
                "deck_id": "The deck.",
                "earlier_report_id": "The earlier report; of two of one day the first in the alphabet.",
                "earlier_inspector_id": "Its inspector's code.",
                "earlier_on": "Day of the earlier inspection.",
                "earlier_call": "The strongest call on the topic in it.",
                "earlier_verdict": "What the rules say of the topic in it; blank where the topic has no rule.",
                "later_report_id": "The later report.",
                "later_inspector_id": "Its inspector's code.",
                "later_on": "Day of the later inspection.",
                "later_call": "The strongest call on the topic in it.",
                "later_verdict": "What the rules say of the topic in it; blank where the topic has no rule.",
                "days_between": "Days between the two.",
                "kind": "Who wrote it up: both_up, earlier_only, later_only or neither.",
            },
            lambda snapshot, filters, conditions: pairs(snapshot, filters),
        ),
        Table(
            "round_agreement",
            "How far do the inspectors of a calibration round agree, with each other and with what is known?",
            "a calibration round and a topic; not seen counts as no call",
            {
                "round_id": "The round.",
                "held_on": "Day of the round.",
                "topic": "Topic id; 'all' for all of the round.",
                "items": "Items with a call.",
                "inspectors": "Inspectors with a call.",
                "calls": "Calls.",
                "written_up": "Calls that wrote the item up.",
            }
            | _with_interval("raw", "Mean share of pairs of calls on an item that agree.")
            | _with_interval("fleiss", "Agreement beyond chance (Fleiss).")
            | _with_interval("alpha", "Agreement beyond chance (Krippendorff, nominal).")
            | {
                "no_kappa": "Why fleiss and alpha are blank: none_written_up, all_written_up or single_calls.",
                "known_calls": "Calls on items of which the truth is known.",
                "known_right": "Of those, calls that agree with it.",
            }
            | _with_interval("known_share", "known_right / known_calls.")
            | {"status": "ok, or too_few: fewer than 10 items."},
            lambda snapshot, filters, conditions: round_agreement(snapshot, filters),
        ),
        Table(
            "round_results",
            "How many of an inspector's calls in a calibration round are right, and is that within customary bounds?",
            "a calibration round x topic x inspector with a call on an item of which the truth is known",
            {
                "round_id": "The round.",
                "held_on": "Day of the round.",
                "topic": "Topic id; 'all' for all of the round.",
                "inspector_id": "The inspector.",
            }
            | _against_bounds("items_known", "Calls on items of which the truth is known.", "right", "that are right")
            | _against_bounds("defects", "Calls on defects.", "missed", "neither written up nor referred")
            | _against_bounds("sound", "Calls on sound items.", "false_alarms", "written up"),
            lambda snapshot, filters, conditions: round_results(snapshot, filters),
        ),
        Table(
            "accuracy",
            "How many defects does each inspector find, and how much sound work is called wrong?",
            "an inspector x topic with a seen trial; trials that the rule leaves to the inspector are left out",
            {
                "inspector_id": "The inspector's code.",
                "topic": "Topic id.",
                "trials": "Seen trials.",
                "known": "Of those, trials whose truth is known, by the rule or by a random second look.",
                "defects": "Known trials with a defect.",
                "sound": "Known trials without.",
                "finds": "Share of defects written up or referred (sensitivity); blank where it cannot be told.",
                "finds_low": "Its 95 percent interval, lower end.",
                "finds_high": "Its 95 percent interval, upper end.",
                "finds_least": "The share if every unjudged call were wrong.",
                "finds_most": "The share if every unjudged call were right.",
                "false_calls": "Share of sound trials written up (false-positive rate); blank where it cannot be told.",
                "false_calls_low": "Its 95 percent interval, lower end.",
                "false_calls_high": "Its 95 percent interval, upper end.",
                "false_calls_least": "The share if every unjudged call were right.",
                "false_calls_most": "The share if every unjudged call were wrong.",
                "status": "direct (counted, weighted by call class), latent (by a model), not_identified or too_few.",
                "basis": "direct: rules or random_looks; latent: known_decks or three_looks; not_identified: "
                "too_little_known, known_decks_disagree or no_convergence.",
            },
            lambda snapshot, filters, conditions: accuracy(snapshot, filters),
        ),
        Table(
            "known_truths",
            "Of how many decks is the truth known, and are calls there like those on the others?",
            "a topic; a deck counts once for each state that it was seen in (visits within sixty days saw one)",
            {
                "topic": "Topic id.",
                "decks": "Decks.",
                "known_decks": "Of those, decks whose truth is known, by the rule or by a random second look.",
                "known_share": "known_decks / decks.",
                "defects": "Known decks with a defect.",
                "sound": "Known decks without.",
                "three_looks": "Decks that at least three inspectors looked at.",
                "identified_by": "What a model of accuracy could rest on: known_decks, three_looks or nothing.",
                "known_trials": "Looks at decks of known truth.",
                "known_written_up": "Of those, written up.",
                "known_written_up_share": "known_written_up / known_trials.",
                "known_written_up_share_low": "Its 95 percent interval, lower end.",
                "known_written_up_share_high": "Its 95 percent interval, upper end.",
                "unknown_trials": "Looks at all other decks.",
                "unknown_written_up": "Of those, written up.",
                "unknown_written_up_share": "unknown_written_up / unknown_trials.",
                "unknown_written_up_share_low": "Its 95 percent interval, lower end.",
                "unknown_written_up_share_high": "Its 95 percent interval, upper end.",
                "difference": "known_written_up_share less unknown_written_up_share.",
                "difference_low": "Its 95 percent interval, lower end.",
                "difference_high": "Its 95 percent interval, upper end.",
                "finds": "Share of defects written up or referred by all inspectors together, weighted by call class; "
                "blank where too little is known.",
                "finds_low": "Its 95 percent interval, lower end.",
                "finds_high": "Its 95 percent interval, upper end.",
                "finds_least": "The share if every unjudged call were wrong.",
                "finds_most": "The share if every unjudged call were right.",
                "false_calls": "Share of sound trials written up by all inspectors together; likewise.",
                "false_calls_low": "Its 95 percent interval, lower end.",
                "false_calls_high": "Its 95 percent interval, upper end.",
                "false_calls_least": "The share if every unjudged call were right.",
                "false_calls_most": "The share if every unjudged call were wrong.",
            },
            lambda snapshot, filters, conditions: known_truths(snapshot, filters),
        ),
        Table(
            "looks_to_make",
            "Which 20 second looks would teach most?",
            "a call that could not be judged, to be looked at by a person",
            {
                "observation_id": "Report and number of the observation, joined by a colon.",
                "report_id": "The report.",
                "inspected_on": "Day of the inspection.",
                "topic": "Topic id.",
                "call": "What the inspector decided.",
                "how": "random or targeted: what the look is to be loaded as.",
                "probability": "How likely the call was to be drawn; blank for targeted looks.",
                "why": "random_sample, comment_names_another_fault or bounds_far_apart.",
            },
            lambda snapshot, filters, conditions: looks_to_make(snapshot, filters),
        ),
        Table(
            "looks_gain",
            "What would 20 random second looks at a topic's unjudged calls tell?",
            "a topic with a rule and calls that could not be judged; those that looks teach most about first",
            {
                "topic": "Topic id.",
                "weight": "How much a wrong call matters, as the topic's rules have it.",
                "unjudged": "Seen trials that could not be judged.",
                "unjudged_written_up": "Of those, written up.",
                "looks": "Looks: 20, or all where fewer are open.",
                "looks_written_up": "Of those, at write-ups.",
                "missed_low": "The missed share of all inspectors is at least this, whatever unjudged calls hold.",
                "missed_high": "It is at most this.",
                "missed_half_width": "Half the way between the two.",
                "missed_half_width_then": "The same once the looks are made, if unjudged calls are like judged ones.",
                "overcalled_low": "The share of sound work written up is at least this, whatever unjudged calls hold.",
                "overcalled_high": "It is at most this.",
                "overcalled_half_width": "Half the way between the two.",
                "overcalled_half_width_then": "The same once the looks are made.",
            },
            lambda snapshot, filters, conditions: looks_gain(snapshot, filters),
        ),
        Table(
            "months",
            "Did write-ups move beyond luck and the mix of decks, month by month?",
            "a month and a topic, or all topics together; every count is of seen trials",
            {
                "month": "Its first day.",
                "topic": "Topic id; 'all' for all topics together.",
                "trials": "Seen trials.",
                "written_up": "Trials written up.",
                "written_up_share": "written_up / trials.",
                "written_up_share_low": "Its 95 percent interval, lower end.",
                "written_up_share_high": "Its 95 percent interval, upper end.",
            }
            | _LIMITS_OF_MONTH,
            lambda snapshot, filters, conditions: months(snapshot, filters),
        ),
        Table(
            "months_of_outcomes",
            "Did what became of the calls move beyond luck, month by month?",
            "a month, a topic (or all together) and an outcome; every count is of seen trials",
            {
                "month": "Its first day.",
                "topic": "Topic id; 'all' for all topics together.",
                "outcome": "overcalled (of judged write-ups), missed (of judged calls passed or advised: missed or "
                "understated) or judged (of all calls).",
                "trials": "Seen trials that it is a share of.",
                "count": "Those of them of which it is so.",
                "share": "count / trials.",
                "share_low": "Its 95 percent interval, lower end.",
                "share_high": "Its 95 percent interval, upper end.",
            }
            | _LIMITS_OF_MONTH,
            lambda snapshot, filters, conditions: months_of_outcomes(snapshot, filters),
        ),
        Table(
            "drift",
            "Did an inspector's own write-ups become twice or half as frequent for good, and since when?",
            "an inspector and a direction: a cumulative sum over the decks in order of time, all topics together",
            {
                "inspector_id": "The inspector's code.",
                "direction": "higher (doubled odds of a write-up are looked for) or lower (halved ones).",
                "decks": "Decks in reports, which are the steps of the sum.",
                "decks_a_year": "The same a year.",
                "limit": "What the sum must reach for a signal; blank where too few.",
                "highest": "The most that it came to.",
                "signals": "How often it reached the limit; it then starts from zero.",
                "first_signalled": "Day of the first signal.",
                "last_signalled": "Day of the latest signal.",
                "changed_since": "Day of the first deck since which the sum rose to the latest signal.",
                "false_alarms_a_year": "Signals a year by luck alone, by simulation; of all rows together at most 1.",
                "false_alarms": "How many that makes over these decks.",
                "decks_to_detect": "After how many decks half of such changes have signalled, by simulation.",
                "signal": "higher, lower, none or too_few.",
            },
            lambda snapshot, filters, conditions: drift(snapshot, filters),
        ),
        Table(
            "training_effect",
            "Did a training session change anything in those who took part?",
            "a session and a topic; every count is of seen trials of those who have some before and after",
            {
                "session_id": "The session.",
                "held_on": "Its day; its month counts for neither side.",
                "topic": "Topic id.",
                "took_part": "How many inspectors took part.",
                "attendees": "How many of them are compared: those with trials in both windows.",
                "others": "How many others are: with trials in both, and in no other session on the topic meanwhile.",
                "status": "ok (a change shows, or one by half would have), cannot_tell_yet, figures_only (fewer than 3 "
                "attendees or 3 others) or controls_only (everyone took part: other topics of the same people stand in "
                "for other people, which is weaker).",
                "signal": "lower or higher (those who took part moved against the others beyond luck) or none; by "
                "change_less_regression where the baseline is 'chosen'; blank where there are figures only or no time "
                "after.",
                "needed": "How many more trials after it, of all compared, until half of the attendees' share would "
                "show in 80 percent, both windows growing alike; 0 for enough, blank where no number would do.",
                "lacking": "What is lacking for that: decks, before (the time before is too short for so long a "
                "window), people or write_ups (none before it; for both no number would do); blank where nothing is.",
                "window_days": "Length of each window.",
                "before_from": "First day of the window before.",
                "after_from": "First day of the window after.",
                "baseline": "clean (a window as long lies before it, in which topic and people may have been chosen) "
                "or chosen (none does: they may have been chosen by the baseline itself).",
                "controls": "How many topics stand in for other people (controls_only).",
            }
            | _of_both_groups(
                ("trials", "seen trials"),
                ("written_up", "trials written up"),
                ("expected", "write-ups to be expected of the firm's inspectors on these decks"),
            )
            | {
                "attendees_change": "Written up less expected per 100 trials, after less before; mean of those who "
                "took part, by their trials.",
                "others_change": "The same of the others; in controls_only of the same people's other topics.",
            }
            | _with_interval("change", "attendees_change less others_change; the interval is that of the assignments.")
            | {
                "p_permutation": "Two-sided p of change by all assignments of as many attendees.",
                "assignments": "How many were looked at.",
                "change_cr2_low": "Lower end by regression with CR2 errors.",
                "change_cr2_high": "Upper end by regression with CR2 errors.",
                "df": "Its degrees of freedom by Satterthwaite.",
                "expected_regression": "The change that regression to the mean alone would give, had people (in "
                "controls_only: the topic) been chosen by the baseline.",
            }
            | _with_interval("change_less_regression", "change less expected_regression.")
            | _of_both_groups(("judged_write_ups", "judged write-ups"), ("overcalled", "those that do not hold"))
            | _change_of("overcalled", "judged write-ups")
            | _of_both_groups(
                ("judged_defects", "judged defects"), ("missed", "those passed over or only advised upon")
            )
            | _change_of("missed", "judged defects"),
            lambda snapshot, filters, conditions: training_effect(snapshot, filters),
        ),
        Table(
            "training_decay",
            "Did a change after a training session last?",
            "a session, a topic and a quarter (91 days) after it; each is set against the same window before",
            {
                "session_id": "The session.",
                "held_on": "Its day.",
                "topic": "Topic id.",
                "quarter": "1 for the first, from the month after the session on.",
                "first_day": "Its first day.",
                "last_day": "Its last day; earlier than 91 days on where there is no more time as yet.",
                "attendees": "How many who took part have trials before and in it.",
                "others": "How many others do.",
                "attendees_trials": "Seen trials of those who took part, in the quarter.",
                "attendees_written_up": "Those of them written up.",
                "attendees_expected": "Write-ups to be expected of the firm's inspectors on these decks.",
                "others_trials": "Seen trials of the others.",
                "others_written_up": "Those of them written up.",
                "others_expected": "Write-ups to be expected on these.",
            }
            | _with_interval("change", "As in training_effect, per 100 trials; blank for too few people.")
            | {
                "p_permutation": "Two-sided p by assignments, before regression to the mean is taken off.",
                "less_regression": "Whether regression to the mean is taken off, the baseline being 'chosen'.",
                "signal": "lower, higher, none or too_few (fewer than 3 attendees or 3 others).",
            },
            lambda snapshot, filters, conditions: training_decay(snapshot, filters),
        ),
        Table(
            "evidence",
            "What stands beside each inspector's write-ups: measures, place, photo, recommendation?",
            "an inspector and a topic; every count is of seen trials",
            {
                "inspector_id": "The inspector's code.",
                "topic": "Topic id.",
                "trials": "Seen trials.",
                "written_up": "Trials written up.",
                "with_measures": "Write-ups with at least one of the topic's measures.",
                "with_place": "Write-ups that say where.",
                "with_photo": "Write-ups with a photo.",
                "with_recommendation": "Write-ups with a recommendation.",
                "judged": "Trials in which a rule decided, whatever the call.",
                "judged_share": "judged / trials.",
            },
            lambda snapshot, filters, conditions: evidence(snapshot, filters),
        ),
        Table(
            "missing_measures",
            "Which measure, had it been written down, would have let a rule decide?",
            "a topic and a measure whose absence left trials undecided",
            {
                "topic": "Topic id.",
                "measure": "Measure id.",
                "calls": "Seen trials of the topic.",
                "undecided": "Trials that stayed undecided and lacked the measure.",
                "share": "undecided / calls.",
                "share_low": "Its 95 percent interval, lower end.",
                "share_high": "Its 95 percent interval, upper end.",
            },
            lambda snapshot, filters, conditions: missing_measures(snapshot, filters),
        ),
        Table(
            "not_seen",
            "What was not seen, and why?",
            "a topic and a reason why it was not seen; every count is of trials (report x deck x topic)",
            {
                "topic": "Topic id; 'all' for all topics together.",
                "reason": "Why; 'all' for the topic's total, 'not recorded' where no reason was given. A trial whose "
                "rows give two reasons counts under both.",
                "trials": "Trials of the topic, seen or not.",
                "not_seen": "Of those, trials of which no row was seen, for that reason.",
                "share": "not_seen / trials.",
                "share_low": "Its 95 percent interval, lower end.",
                "share_high": "Its 95 percent interval, upper end.",
            },
            lambda snapshot, filters, conditions: not_seen(snapshot, filters),
        ),
        Table(
            "rules",
            "What is a call judged by, where does it come from, and how often did it decide?",
            "a rule; every count is of seen trials (report x deck x topic)",
            {
                "criterion_id": "The rule.",
                "topic": "Topic id.",
                "title": "What it looks at.",
                "weight": "How much a wrong call matters.",
                "document": "The document that it comes from.",
                "edition": "Its edition; blank where there is none.",
                "section": "The section in it; blank where there is none.",
                "known": "How its value is known.",
                "decided": "Trials in which it settled at least one place.",
                "defect": "Of those, with a defect by it at any place.",
                "acceptable": "Of those, acceptable at every place that it settled.",
                "judgment": "Of those, without a defect, and left to the inspector at any place.",
            },
            lambda snapshot, filters, conditions: rules(snapshot, filters),
        ),
        Table(
            "refused_reasons",
            "Why are rows still refused?",
            "a reason and the column that is at fault, over refused rows of all loads that are outstanding",
            {
                "reason": "The reason's code.",
                "column": "The column at fault; blank where it is not one alone.",
                "rows": "Rows refused for it; a row with two reasons counts under both.",
                "example": "What the first of them holds there.",
                "file": "The file of the first of them.",
                "row": "Its row in that file.",
            },
            lambda snapshot, filters, conditions: refused_reasons(snapshot),
        ),
        Table(
            "incomplete_reports",
            "Which reports lack rows, since these are still refused?",
            "a report with refused rows that are outstanding",
            {
                "report_id": "The report.",
                "inspected_on": "Day of the inspection; blank where nothing of the report is loaded.",
                "inspector_id": "The inspector's code; blank where nothing of the report is loaded.",
                "rows_refused": "Its refused rows.",
                "observations": "Rows of it that are loaded.",
                "file": "The files of its refused rows, joined by a semicolon.",
            },
            lambda snapshot, filters, conditions: incomplete_reports(snapshot),
        ),
        Table(
            "loads",
            "What came in, file by file?",
            "a file of a load",
            {
                "load_id": "The load.",
                "file": "The file.",
                "rows_read": "Rows read: the four counts that follow add up to it.",
                "rows_loaded": "Rows of new reports.",
                "rows_replaced": "Rows of reports that were there with other content.",
                "rows_unchanged": "Rows of reports that were there with the same content.",
                "rows_rejected": "Rows refused, with their reasons in the rejects.",
                "loaded_at": "When, in UTC.",
                "sha256": "Fingerprint of the file.",
                "problem": "Why the file could not be read; blank where it was.",
            },
            lambda snapshot, filters, conditions: loads(snapshot),
        ),
    )
}
