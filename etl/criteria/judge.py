"""The judge: one select that gives every observation its verdict, and says why.

Everything is worked out by DuckDB over all rows at once. For each row a decision number is found first (which
criterion gives which verdict); verdict, sentence and missing measures are then written for that number alone.
A condition over something that was not recorded is null, and null does not decide.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator

import duckdb

from etl import tables, vocabulary
from etl.criteria import conditions
from etl.criteria.catalog import DECK_COLUMNS, Catalog
from etl.criteria.models import DECIDING, Criterion, Note, Said
from etl.criteria.wording import in_a_sentence, template_sql, text_sql, value_as_text

#: Groups of topics in which an engineer's letter stands above the rule.
STRUCTURAL_GROUPS = ("Ledger", "Hangers and joists", "Beams, posts, footings")
NOT_BUILT = "the rules of this topic are not in the catalog yet"
LEFT_OPEN = "the rule leaves this kind open"
ENGINEER = "; an engineer's letter was seen and stands above this rule"

_DECK_WORDS = {
    "deck_built_year": "the year the deck was built",
    "deck_height_in": "the deck height",
    "ledger_attached": "whether the deck is attached",
}
#: Decision numbers: a criterion's position, raised by its verdict; a structural defect is not raised.
_STEP = 10_000
_OTHER_DEFECT, _JUDGMENT, _ACCEPTABLE = _STEP, 2 * _STEP, 3 * _STEP
_UNJUDGED, _UNBUILT = -2 * _STEP, -_STEP  # minus a topic's position is: its criteria do not decide


def judge_sql(catalog: Catalog, relation: str, columns: Collection[str], topics: Collection[str] | None = None) -> str:
    """The select that judges the rows of a table or view.

    Parameters
    ----------
    catalog
        The criteria, as :func:`etl.criteria.catalog.load_catalog` gives them.
    relation
        The name of a table or view of typed rows with the contract's columns, at least ``topic`` and ``call``.
    columns
        The columns that it has; a column of the contract that is not among them counts as not recorded.
    topics
        The topics that its rows can have, all if not said; the fewer, the shorter the select and its planning.

    Returns
    -------
    str
        SQL that gives every row of the relation once, with all its columns and: ``verdict``, ``criterion_id`` (null
        where none decided), ``basis``, ``outcome``, ``reason``, ``missing`` (measures for want of which nothing was
        decided, else null), ``recorded`` (the kind of what was recorded) and ``measured`` (something was).
    """
    return _Writer(catalog, frozenset(columns), vocabulary.topics() if topics is None else topics).select(relation)


class _Writer:
    """Writes the parts of the select for one catalog and one set of columns."""

    def __init__(self, catalog: Catalog, columns: frozenset[str], topics: Collection[str]) -> None:
        self.catalog = catalog
        self.columns = columns
        self.positions = {topic: number for number, topic in enumerate(vocabulary.topics(), start=1)}
        self.topics = [topic for topic in vocabulary.topics() if topic in topics]
        self.built = [topic for topic in self.topics if catalog.of_topic(topic)]
        with duckdb.connect() as connection:
            self.facts = self._fact_trees(connection)
            self.written = self._write_expressions(connection)

    # -- Names and conditions as SQL

    def _fact_trees(self, connection: duckdb.DuckDBPyConnection) -> dict[str, conditions.Tree]:
        """What stands for each measure and deck column: itself, or null of its type."""
        names = (*DECK_COLUMNS, *vocabulary.measures())
        texts = [name if name in self.columns else f"cast(null as {tables.sql_type(name)})" for name in names]
        places = [conditions.Place(name, "column", text) for name, text in zip(names, texts, strict=True)]
        return dict(zip(names, conditions.parse(connection, places), strict=True))

    def _write_expressions(self, connection: duckdb.DuckDBPyConnection) -> dict[tuple[str, str], str]:
        """The SQL of every fact, derived value and condition, derived values opened up."""
        opened = dict(self.facts)
        trees = {(name, "fact"): tree for name, tree in self.facts.items()}
        for name in self.catalog.derived:
            opened[name] = conditions.substitute(self.catalog.expressions[name, "derived"].tree, opened)
        for key, expression in self.catalog.expressions.items():
            trees[key] = conditions.substitute(expression.tree, opened)
        return dict(zip(trees, conditions.write_sql(connection, list(trees.values())), strict=True))

    def value(self, name: str) -> str:
        kind = "derived" if name in self.catalog.derived else "fact"
        return self.written[name, kind]

    def value_text(self, name: str) -> str:
        measure = vocabulary.measures().get(name)
        closed_list = measure is not None and measure.kind == "choice"
        return value_as_text(self.value(name), self.catalog.types[name], closed_list)

    def words(self, id: str, field: str) -> str:
        return template_sql(self.catalog.templates[id, field], self.value_text)

    # -- The decision

    def decision(self) -> str:
        branches = [
            f"when {text_sql(topic.id)} then {self._topic_decision(topic.id) if topic.judged else _UNJUDGED}"
            for topic in map(vocabulary.topics().__getitem__, self.topics)
            if topic.id in self.built or not topic.judged
        ]
        return f"case topic {' '.join(branches)} else {_UNBUILT} end" if branches else f"({_UNBUILT})"

    def _topic_decision(self, topic: str) -> str:
        branches = [
            f"when {self._condition(criterion, verdict)} then {number}"
            for number, criterion, verdict in self.decisions(topic)
        ]
        return f"case {' '.join(branches)} else {-self.positions[topic]} end"

    def decisions(self, topic: str) -> Iterator[tuple[int, Criterion, str]]:
        """Number, criterion and verdict of all that a topic's criteria can decide, the first to stand first."""
        structural = vocabulary.topics()[topic].group in STRUCTURAL_GROUPS
        raised = {"defect": 0 if structural else _OTHER_DEFECT, "judgment": _JUDGMENT, "acceptable": _ACCEPTABLE}
        numbers = {criterion.id: number for number, criterion in enumerate(self.catalog.criteria, start=1)}
        for verdict in DECIDING:
            for criterion in self.catalog.of_topic(topic):
                if getattr(criterion, verdict) is not None:
                    yield raised[verdict] + numbers[criterion.id], criterion, verdict

    def _condition(self, criterion: Criterion, verdict: str) -> str:
        when = [self.written[criterion.id, "when"]] if criterion.when else []
        return " and ".join([*self._holds(criterion), *when, self.written[criterion.id, verdict]])

    def _holds(self, criterion: Criterion) -> list[str]:
        """Where a criterion holds at all: no better measure, its editions, its years of building."""
        parts = [f"{self.value(name)} is null" for name in criterion.unless_recorded]
        if criterion.editions:
            parts.append(f"{self.value('edition')} in ({', '.join(map(str, criterion.editions))})")
        if criterion.built_from is not None:
            parts.append(f"{self.value('deck_built_year')} >= {criterion.built_from}")
        if criterion.built_to is not None:
            parts.append(f"{self.value('deck_built_year')} <= {criterion.built_to}")
        return parts

    # -- What is missing

    def gaps(self, told: dict[str, str], separator: str) -> str:
        """By topic, what was missing where nothing was decided, as one text; null where nothing is."""
        branches = []
        for topic in self.built:
            asked = [
                f"case when {' or '.join(f'({part})' for part in parts)} then {text_sql(told[name])} end"
                for name, parts in self._asked(topic).items()
            ]
            if asked:
                listed = f"nullif(concat_ws({text_sql(separator)}, {', '.join(asked)}), '')"
                branches.append(f"when {-self.positions[topic]} then {listed}")
        return _case("decision__", branches)

    def _asked(self, topic: str) -> dict[str, list[str]]:
        """Each measure or deck column that a topic's criteria ask for, with the conditions of its being missed."""
        asked: dict[str, list[str]] = {}
        for criterion in self.catalog.of_topic(topic):
            for name, parts in self._asked_by(criterion):
                asked.setdefault(name, []).append(" and ".join(parts))
        return asked

    def _asked_by(self, criterion: Criterion) -> Iterator[tuple[str, list[str]]]:
        """Its needs where it applies; where it is not known whether it applies, what decides that."""
        better = self._may_hold(criterion)
        when = self.written[criterion.id, "when"] if criterion.when else "true"
        year = ["deck_built_year"] if criterion.built_from or criterion.built_to else []
        for name, parts in self._missing([*criterion.needs, *year]):
            yield name, [*better, when, *parts]
        if criterion.when:
            unknown = self.catalog.expressions[criterion.id, "when"].names
            for name, parts in self._missing(unknown & {*criterion.needs}):
                yield name, [*better, f"{when} is null", *parts]

    def _may_hold(self, criterion: Criterion) -> list[str]:
        """As :meth:`_holds`, but an unknown year of building does not stand against it: that is asked for."""
        yearless = criterion.model_copy(update={"built_from": None, "built_to": None})
        years = criterion.model_copy(update={"unless_recorded": (), "editions": ()})
        return self._holds(yearless) + [f"coalesce({part}, true)" for part in self._holds(years)]

    def _missing(self, names: Iterable[str]) -> Iterator[tuple[str, list[str]]]:
        """Where each is missing; of what a derived value is made of, the first that is not recorded."""
        for name in names:
            if name not in self.catalog.derived:
                yield name, [f"{self.value(name)} is null"]
                continue
            recorded = [f"{self.value(name)} is null"]
            for part in self.catalog.derived[name].made_of:
                if part != "code_basis":
                    yield part, [*recorded, f"{self.value(part)} is null"]
                recorded.append(f"{self.value(part)} is not null")

    # -- What is told

    def recorded(self) -> str:
        """By topic, the kind of what was recorded."""
        return _case(
            "topic",
            [
                f"when {text_sql(topic)} then {self._first_said(topic, 'recorded', page.recorded)}"
                for topic, page in self.catalog.pages.items()
                if page.recorded and topic in self.topics
            ],
        )

    def _first_said(self, id: str, field: str, said: tuple[Said, ...]) -> str:
        choices = []
        for number, words in enumerate(said):
            spoken = self.words(id, f"{field}.{number}.say")
            when = f"case when {self.written[id, f'{field}.{number}.when']} then {spoken} end" if words.when else spoken
            choices.append(when)
        return f"coalesce({', '.join(choices)})"

    def measured(self) -> str:
        """By topic, whether one of its measures was recorded; of any measure, where a topic has none of its own."""
        branches = [
            f"when {text_sql(topic)} then {self._any_recorded(self.catalog.measures_of(topic))}" for topic in self.built
        ]
        other = self._any_recorded(vocabulary.measures())
        return f"case topic {' '.join(branches)} else {other} end" if branches else f"({other})"

    def _any_recorded(self, measures: Iterable[str]) -> str:
        parts = [f"{self.value(measure)} is not null" for measure in measures if measure in self.columns]
        return " or ".join(parts) or "false"

    def reason(self) -> str:
        branches = [
            f"when {number} then {self._reason_of(criterion, verdict)}"
            for topic in self.built
            for number, criterion, verdict in self.decisions(topic)
        ]
        for topic in self.built:
            page = self.catalog.pages.get(topic)
            said = self._first_said(topic, "open", page.open) if page and page.open else "null"
            branches.append(f"when {-self.positions[topic]} then {_undecided(said)}")
        branches.append(f"when {_UNBUILT} then {text_sql(NOT_BUILT)}")
        return _case("decision__", branches)

    def _reason_of(self, criterion: Criterion, verdict: str) -> str:
        told = f"coalesce({self.words(criterion.id, f'reason.{verdict}')}, {text_sql(criterion.plain)})"
        return " || ".join([told, *self._notes(criterion, verdict)])

    def _notes(self, criterion: Criterion, verdict: str) -> Iterator[str]:
        """The words for the named defaults that can stand behind a verdict."""
        names = set(self.catalog.expressions[criterion.id, verdict].names)
        if criterion.when:
            names |= self.catalog.expressions[criterion.id, "when"].names
        if criterion.editions:
            names.add("edition")
        for name in self.catalog.derived_behind(names):
            note = self.catalog.derived[name].note
            if note and not (note.if_assumed and self._is_set(name)):
                yield self._note(name, note)

    def _is_set(self, name: str) -> bool:
        return self.catalog.derived[name].edition in self.catalog.settings.adopted

    def _note(self, name: str, note: Note) -> str:
        spoken = f"'; ' || {self.words(name, 'note.say')}"
        when = self.written[name, "note.when"] if note.when else "true"
        return f"case when {when} then {spoken} else '' end"

    def criterion_id(self) -> str:
        return _case(
            "decision__",
            [
                f"when {number} then {text_sql(criterion.id)}"
                for topic in self.built
                for number, criterion, _ in self.decisions(topic)
            ],
        )

    # -- The select

    def select(self, relation: str) -> str:
        told = _DECK_WORDS | {measure.id: in_a_sentence(measure) for measure in vocabulary.measures().values()}
        names = {name: name for name in told}
        letter = self.value("engineer_letter")
        above = f"decision__ between 1 and {_OTHER_DEFECT - 1} and {letter}"
        return f"""
with decided as (select *, {self.decision()} as decision__ from {relation}),
told as (
    select *,
        case
            when decision__ <= 0 then 'cannot_tell'
            when {above} then 'judgment'
            when decision__ < {_JUDGMENT} then 'defect'
            when decision__ < {_ACCEPTABLE} then 'judgment'
            else 'acceptable'
        end as verdict,
        {self.gaps(names, ",")} as gaps__,
        regexp_replace({self.gaps(told, ", ")}, ', ([^,]*)$', ' and \\1') as gaps_told__,
        {self.recorded()} as recorded__
    from decided
)
select * exclude (decision__, verdict, gaps__, gaps_told__, recorded__),
    verdict,
    {self.criterion_id()} as criterion_id,
    case when decision__ > 0 then 'measured' end as basis,
    {_outcome()} as outcome,
    {self.reason()} || case when {above} then {text_sql(ENGINEER)} else '' end as reason,
    string_split(gaps__, ',') as missing,
    recorded__ as recorded,
    {self.measured()} as measured
from told
"""


def _undecided(open_words: str) -> str:
    return (
        "case when gaps_told__ is not null then "
        "gaps_told__ || case when contains(gaps_told__, ' and ') then ' were' else ' was' end || ' not recorded' "
        f"else coalesce({open_words}, coalesce(recorded__ || ': ', '') || {text_sql(LEFT_OPEN)}) end"
    )


def _outcome() -> str:
    branches = [
        f"when call = {text_sql(call)} and verdict = {text_sql(verdict)} then {text_sql(outcome)}"
        for (call, verdict), outcome in vocabulary.OUTCOME_OF.items()
    ]
    first = f"when call = 'not_seen' then 'not_seen' when decision__ = {_UNJUDGED} then 'no_rule'"
    return f"case {first} {' '.join(branches)} end"


def _case(subject: str, branches: list[str]) -> str:
    return f"case {subject} {' '.join(branches)} end" if branches else "null::varchar"
