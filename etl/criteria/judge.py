"""The judge: one select that gives every observation its verdict, and says why.

Everything is worked out by DuckDB over all rows at once. For each row a decision number is found first (which
criterion gives which verdict); verdict, sentence and missing measures are then written for that number alone.
A condition over something that was not recorded is null, and null does not decide.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator
from decimal import Decimal
from functools import cache
from itertools import zip_longest

import duckdb

from etl import tables, vocabulary
from etl.criteria import conditions
from etl.criteria.catalog import DECK_COLUMNS, Catalog, look_up_column
from etl.criteria.faults import other_fault_sql
from etl.criteria.look_ups import UNKNOWN, look_up_sql
from etl.criteria.models import DECIDING, Criterion, Derived, Note, Said
from etl.criteria.settings import DECK_GUIDE
from etl.criteria.wording import Value, in_a_sentence, number_in_words, template_sql, text_sql, value_as_text

#: Groups of topics in which an engineer's letter stands above the rule.
STRUCTURAL_GROUPS = ("Ledger", "Hangers and joists", "Beams, posts, footings")
NOT_BUILT = "the rules of this topic are not in the catalog yet"
LEFT_OPEN = "the rule leaves this kind open"
ENGINEER = "; an engineer's letter was seen and stands above this rule"

_DECK_WORDS = {
    "deck_built_year": "the year the deck was built",
    "deck_height_in": "the deck height",
    "ledger_attached": "whether the deck is attached",
    "region": "the region",
}
#: Decision numbers: a criterion's position, raised by its verdict; a structural defect is not raised.
_STEP = 10_000
_OTHER_DEFECT, _JUDGMENT, _ACCEPTABLE = _STEP, 2 * _STEP, 3 * _STEP
_TOPIC_NO = "topic_no__"
_SECOND_LOOK = "coalesce('; but the comment names another fault (' || other_fault__ || '): for a second look', '')"
#: A derived value whose text is longer than this is worked out once a row, not wherever it is named.
_LONG = 100
#: A text of the catalog by entry id and field; the field of what is worked out once, and not named by its column.
Key = tuple[str, str]
_WORKED_OUT = "worked out"
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
        decided, else null), ``recorded`` (the kind of what was recorded), ``measured`` (something was) and
        ``second_look`` (a write-up that would not hold, but for a comment that names another fault).
    """
    return _Writer(catalog, frozenset(columns), vocabulary.topics() if topics is None else topics).select(relation)


def conditions_sql(catalog: Catalog, criterion: Criterion, relation: str, columns: Collection[str]) -> str:
    """The select that tries one criterion on the rows of a relation, each taken as of the criterion's topic.

    Returns
    -------
    str
        SQL that gives every row of the relation with all its columns, and for each verdict of ``DECIDING`` whether the
        criterion gives it there; null where it has no such condition.
    """
    writer = _Writer(catalog, frozenset(columns), [criterion.topic])
    worked_out, relation = _steps(
        f"(select *, {text_sql(criterion.topic)} as topic from {relation})", [*writer.steps()]
    )
    given = [
        f"{writer.condition(criterion, verdict) if getattr(criterion, verdict) else 'null'} as {verdict}"
        for verdict in DECIDING
    ]
    names = ", ".join([*columns, *given])
    return f"with {worked_out} tried as (select {names} from {relation}) select * from tried"


class _Writer:
    """Writes the parts of the select for one catalog and one set of columns.

    With a ``shift`` it decides as if one measure were a little more or less, for the guard bands; ``mark`` then keeps
    what was looked up for that apart.
    """

    def __init__(
        self,
        catalog: Catalog,
        columns: frozenset[str],
        topics: Collection[str],
        shift: tuple[str, Decimal] | None = None,
        mark: str = "",
    ) -> None:
        self.catalog = catalog
        self.columns = columns
        self.shift = shift
        self.mark = mark
        self.positions = {topic: number for number, topic in enumerate(vocabulary.topics(), start=1)}
        self.topics = [topic for topic in vocabulary.topics() if topic in topics]
        self.built = [topic for topic in self.topics if catalog.of_topic(topic)]
        #: Derived values that are worked out once, as columns: what is looked up, and what takes long to write.
        self.kept = [name for name, derived in catalog.derived.items() if _is_kept(derived)]
        #: Numbers that sentences tell, each with the topics whose sentences do.
        self.told: dict[Value, list[str]] = {}
        self._parser = conditions.Parser(_connection())
        self._parser.ahead(map(self._name_written, (*DECK_COLUMNS, *vocabulary.measures(), *self.kept)))
        self._opened: dict[str, conditions.Tree] = {}
        self._written: dict[Key, str] = {}
        self._write(self._asked_for())
        for topic in self.built:
            for value in self._numbers_told(topic):
                self.told.setdefault(value, []).append(topic)

    # -- Names and conditions as SQL

    def written(self, id: str, field: str) -> str:
        """The SQL of a condition or a derived value, derived values opened up."""
        if (id, field) not in self._written:
            self._write([(id, field)])
        return self._written[id, field]

    def _write(self, keys: list[Key]) -> None:
        trees = [self._tree(*key) for key in keys]
        self._written |= dict(zip(keys, conditions.write_sql(_connection(), trees), strict=True))

    def _asked_for(self) -> list[Key]:
        """What the topics ask for, so that it is written in one go."""
        behind = frozenset[str]().union(*map(self._behind, self.built))
        ids = behind.union(
            self.built, (criterion.id for criterion in self.catalog.criteria if criterion.topic in self.built)
        )
        keys = [key for key in self.catalog.expressions if key[0] in ids]
        return keys + [(name, _WORKED_OUT) for name in self.kept if name in behind and not self._is_looked_up(name)]

    def _tree(self, id: str, field: str) -> conditions.Tree:
        if field == "derived":
            return self._tree_of(id)
        expression = self.catalog.expressions[id, "derived" if field == _WORKED_OUT else field]
        tree: conditions.Tree = conditions.substitute(
            expression.tree, {name: self._tree_of(name) for name in expression.names}
        )
        return tree

    def _tree_of(self, name: str) -> conditions.Tree:
        """What stands for a name: a fact, the column of what is worked out once, or a derived value opened up."""
        if name not in self._opened:
            opened = name in self.catalog.derived and name not in self.kept
            place = conditions.Place(name, "column", name if opened else self._name_written(name))
            self._opened[name] = self._tree(name, _WORKED_OUT) if opened else self._parser.tree(place)
        return self._opened[name]

    def _name_written(self, name: str) -> str:
        return self.kept_column(name) if name in self.kept else self._fact(name)

    def _fact(self, name: str) -> str:
        """A measure or deck column: itself, or null of its type."""
        if name not in self.columns:
            return f"cast(null as {tables.sql_type(name)})"
        return f"({name} + ({self.shift[1]}))" if self.shift and self.shift[0] == name else name

    # -- What is worked out once

    def kept_column(self, name: str) -> str:
        return look_up_column(name) + self.mark

    def steps(self) -> Iterator[list[str]]:
        """Columns to be added one step after the other: each may depend on those before it.

        First the number of the topic, which is quicker to compare than its name; last the numbers as texts. What is
        worked out is so only where the row's topic asks for it.
        """
        listed = ", ".join(vocabulary.topics())
        yield [] if self.mark else [f"list_position('[{listed}]'::varchar[], topic) as {_TOPIC_NO}"]
        depths: dict[str, int] = {}
        for name in self.kept:
            before = [depths[other] for other in self._reads(name) if other in depths]
            depths[name] = 1 + max(before, default=0)
        asked = {topic: self._behind(topic) for topic in self.built}
        for depth in range(1, max(depths.values(), default=0) + 1):
            columns = []
            for name in self.kept:
                topics = [topic for topic in self.built if name in asked[topic]]
                if depths[name] == depth and topics:
                    columns.append(f"{self._for(topics, self._worked_out(name))} as {self.kept_column(name)}")
            if columns:
                yield columns
        if self.told and not self.mark:
            yield [
                f"{self._for(topics, self._as_text(value))} as {_told(value)}" for value, topics in self.told.items()
            ]

    def _for(self, topics: list[str], sql: str) -> str:
        numbers = ", ".join(str(self.positions[topic]) for topic in topics)
        return f"case when {_TOPIC_NO} in ({numbers}) then {sql} end"

    def _reads(self, name: str) -> list[str]:
        return self.catalog.derived_behind(self.catalog.expressions[name, "derived"].names)

    def _worked_out(self, name: str) -> str:
        look_up = self.catalog.derived[name].look_up
        return look_up_sql(look_up, self.value) if look_up else self.written(name, _WORKED_OUT)

    def _is_looked_up(self, name: str) -> bool:
        return self.catalog.derived[name].look_up is not None

    def _behind(self, topic: str) -> frozenset[str]:
        """The derived values that a topic's conditions and sentences read."""
        ids = {topic, *(criterion.id for criterion in self.catalog.of_topic(topic))}
        named = [expression.names for (id, _), expression in self.catalog.expressions.items() if id in ids]
        named += [template.names() for (id, _), template in self.catalog.templates.items() if id in ids]
        for criterion in self.catalog.of_topic(topic):
            named.append(frozenset({*criterion.needs, *criterion.uses, *criterion.unless_recorded}))
            if criterion.editions or criterion.source.later:
                named.append(frozenset({"edition", "deck_guide"}))
        behind = self.catalog.derived_behind(frozenset().union(*named))
        told = [self.catalog.templates[name, "note.say"].names() for name in behind if self.catalog.derived[name].note]
        return frozenset({*behind, *self.catalog.derived_behind(frozenset().union(*told))})

    def value(self, name: str) -> str:
        return self.written(name, "derived") if name in self.catalog.derived else f"({self._fact(name)})"

    def _numbers_told(self, topic: str) -> frozenset[Value]:
        """The numbers in the sentences of a topic that are written with care: see :func:`value_as_text`."""
        ids = {topic, *(criterion.id for criterion in self.catalog.of_topic(topic))} | self._behind(topic)
        values = [template.values() for (id, _), template in self.catalog.templates.items() if id in ids]
        found = frozenset[Value]().union(*values)
        return frozenset(value for value in found if self.catalog.types[value.name].upper().startswith("DECIMAL"))

    def value_text(self, value: Value) -> str:
        return _told(value) if value in self.told else self._as_text(value)

    def _as_text(self, value: Value) -> str:
        measure = vocabulary.measures().get(value.name)
        choices = measure.choices if measure is not None else ()
        return value_as_text(self.value(value.name), self.catalog.types[value.name], choices, value.feet)

    def words(self, id: str, field: str) -> str:
        return template_sql(self.catalog.templates[id, field], self.value_text)

    # -- The decision

    def decision(self) -> str:
        branches = [
            f"when {self.positions[topic.id]} then {self._topic_decision(topic.id) if topic.judged else _UNJUDGED}"
            for topic in map(vocabulary.topics().__getitem__, self.topics)
            if topic.id in self.built or not topic.judged
        ]
        return f"case {_TOPIC_NO} {' '.join(branches)} else {_UNBUILT} end" if branches else f"({_UNBUILT})"

    def _topic_decision(self, topic: str) -> str:
        branches = [
            f"when {self.condition(criterion, verdict)} then {number}"
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

    def condition(self, criterion: Criterion, verdict: str) -> str:
        when = [self.written(criterion.id, "when")] if criterion.when else []
        return " and ".join([*self._holds(criterion), *when, self.written(criterion.id, verdict)])

    def _holds(self, criterion: Criterion) -> list[str]:
        """Where a criterion holds at all: no better measure, its editions, its years of building."""
        parts = [f"{self.value(name)} is null" for name in criterion.unless_recorded]
        if criterion.editions:
            parts.append(self._in_editions(criterion.editions))
        if criterion.regions:
            parts.append(f"{self.value('region')} in ({_listed(criterion.regions)})")
        if criterion.not_in_regions:
            parts.append(f"{self.value('region')} not in ({_listed(criterion.not_in_regions)})")
        if criterion.built_from is not None:
            parts.append(f"{self.value('deck_built_year')} >= {criterion.built_from}")
        if criterion.built_to is not None:
            parts.append(f"{self.value('deck_built_year')} <= {criterion.built_to}")
        return parts

    def _in_editions(self, editions: Iterable[int | str]) -> str:
        years = ", ".join(str(edition) for edition in editions if edition != DECK_GUIDE)
        ways = [f"{self.value('edition')} in ({years})"] if years else []
        ways += [self.value("deck_guide")] if DECK_GUIDE in editions else []
        return f"({' or '.join(ways)})"

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
        when = self.written(criterion.id, "when") if criterion.when else "true"
        year = ["deck_built_year"] if criterion.built_from or criterion.built_to else []
        region = ["region"] if criterion.regions or criterion.not_in_regions else []
        for name, parts in self._missing([*criterion.needs, *year, *region]):
            yield name, [*better, when, *parts]
        if criterion.when:
            unknown = self.catalog.expressions[criterion.id, "when"].names
            for name, parts in self._missing(unknown & {*criterion.needs}):
                yield name, [*better, f"{when} is null", *parts]

    def _may_hold(self, criterion: Criterion) -> list[str]:
        """As :meth:`_holds`, but an unknown year of building does not stand against it: that is asked for."""
        unsure = {"built_from": None, "built_to": None, "local": None, "not_in_regions": ()}
        sure = criterion.model_copy(update=unsure)
        open_ = criterion.model_copy(update={"unless_recorded": (), "editions": ()})
        return self._holds(sure) + [f"coalesce({part}, true)" for part in self._holds(open_)]

    def _missing(self, names: Iterable[str]) -> Iterator[tuple[str, list[str]]]:
        """Where each is missing; of what a derived value is made of, the first that is not recorded."""
        for name in names:
            if name not in self.catalog.derived:
                yield name, [self._not_recorded(name)]
                continue
            recorded = [f"{self.value(name)} is null"]
            for part in self.catalog.derived[name].made_of:
                if part != "code_basis":
                    yield part, [*recorded, self._not_recorded(part)]
                recorded.append(f"{self.value(part)} is not null")

    def _not_recorded(self, name: str) -> str:
        """A measure that was recorded as unknown is as good as not recorded."""
        measure = vocabulary.measures().get(name)
        value = self.value(name)
        if measure is not None and UNKNOWN in measure.choices:
            return f"({value} is null or {value} = '{UNKNOWN}')"
        return f"{value} is null"

    # -- What is told

    def recorded(self) -> str:
        """By topic, the kind of what was recorded."""
        return _case(
            _TOPIC_NO,
            [
                f"when {self.positions[topic]} then {self._first_said(topic, 'recorded', page.recorded)}"
                for topic, page in self.catalog.pages.items()
                if page.recorded and topic in self.topics
            ],
        )

    def _first_said(self, id: str, field: str, said: tuple[Said, ...]) -> str:
        choices = []
        for number, words in enumerate(said):
            spoken = self.words(id, f"{field}.{number}.say")
            when = f"case when {self.written(id, f'{field}.{number}.when')} then {spoken} end" if words.when else spoken
            choices.append(when)
        return f"coalesce({', '.join(choices)})"

    def measured(self) -> str:
        """By topic, whether one of its measures was recorded; of any measure, where a topic has none of its own."""
        branches = [
            f"when {self.positions[topic]} then {self._any_recorded(self.catalog.measures_of(topic))}"
            for topic in self.built
        ]
        other = self._any_recorded(vocabulary.measures())
        return f"case {_TOPIC_NO} {' '.join(branches)} else {other} end" if branches else f"({other})"

    def _any_recorded(self, measures: Iterable[str]) -> str:
        parts = [f"{self.value(measure)} is not null" for measure in measures if measure in self.columns]
        return " or ".join(parts) or "false"

    def other_fault(self) -> str:
        """By topic, the words of the comment that name another fault, where a write-up would not hold."""
        if "comment" not in self.columns:
            return "null::varchar"
        named = _case(
            _TOPIC_NO, [f"when {self.positions[topic]} then {other_fault_sql(topic)}" for topic in self.built]
        )
        return f"case when call = 'written_up' and verdict = 'acceptable' then {named} end"

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
        return " || ".join([told, self._cited(criterion), *self._notes(criterion, verdict)])

    def _cited(self, criterion: Criterion) -> str:
        """The source in brackets, under the number of its section in the edition that the row is measured against."""
        source = criterion.source
        if criterion.local:
            return text_sql(f" ({source.document}{f' {source.section}' if source.section else ''}: local rule)")
        cited = text_sql(f" ({source.cited()})")
        cases = [
            f"when {self.value('edition')} >= {edition} then {text_sql(f' ({source.document} {edition} {section})')}"
            for edition, section in sorted(source.later.items(), reverse=True)
        ]
        return f"case {' '.join(cases)} else {cited} end" if cases else cited

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
        when = self.written(name, "note.when") if note.when else "true"
        return f"case when {when} then {spoken} else '' end"

    def criterion_id(self) -> str:
        """Out of a list of all ids: a decision's number, less what its verdict has raised it by, is its place there."""
        ids = ", ".join(criterion.id for criterion in self.catalog.criteria)
        return f"('[{ids}]'::varchar[])[case when decision__ > 0 then decision__ % {_STEP} end]"

    # -- The select

    def select(self, relation: str) -> str:
        told = _DECK_WORDS | {measure.id: in_a_sentence(measure) for measure in vocabulary.measures().values()}
        names = {name: name for name in told}
        letter = self.value("engineer_letter")
        above = f"decision__ between 1 and {_OTHER_DEFECT - 1} and {letter}"
        bands = [*self._bands()]
        steps = list(_zipped(self.steps(), *(writer.steps() for _, writer in bands)))
        looked_up, relation = _steps(relation, steps)
        banded = _case_when([f"when {turns} then {text_sql(words)}" for turns, words in self._turns(bands)])
        decisions = [f"{self.decision()} as decision__"]
        decisions += [f"{writer.decision()} as decision__{writer.mark}" for _, writer in bands]
        return f"""
with {looked_up}
decided as (select *, {", ".join(decisions)} from {relation}),
told as (
    select *,
        {banded} as banded__,
        {_verdict("decision__")} as ruled__,
        {self.gaps(names, ",")} as gaps__,
        regexp_replace({self.gaps(told, ", ")}, ', ([^,]*)$', ' and \\1') as gaps_told__,
        {self.recorded()} as recorded__
    from decided
),
ruled as (
    select *, case when {above} or banded__ is not null then 'judgment' else ruled__ end as verdict from told
),
compared as (select *, {self.other_fault()} as other_fault__ from ruled)
select * exclude ({", ".join(self._helpers(bands, steps))}),
    {self.criterion_id()} as criterion_id,
    case when decision__ > 0 then 'measured' end as basis,
    {_outcome()} as outcome,
    {self.reason()} || coalesce(banded__, '') || {_SECOND_LOOK}
        || case when {above} then {text_sql(ENGINEER)} else '' end as reason,
    string_split(gaps__, ',') as missing,
    recorded__ as recorded,
    {self.measured()} as measured,
    other_fault__ is not null as second_look
from compared
"""

    def _helpers(self, bands: list[tuple[str, _Writer]], steps: list[list[str]]) -> list[str]:
        decisions = [f"decision__{mark}" for mark in ("", *(writer.mark for _, writer in bands))]
        looked_up = [column.rsplit(" as ", 1)[1] for columns in steps for column in columns]
        return [*decisions, "other_fault__", "banded__", "ruled__", "gaps__", "gaps_told__", "recorded__", *looked_up]

    # -- Guard bands

    def _bands(self) -> Iterator[tuple[str, _Writer]]:
        """For each guard band of the firm, the same decision with the measure that much less, and that much more."""
        for number, (name, width) in enumerate(self.catalog.settings.guard_bands.items()):
            topics = [topic for topic in self.built if name in self.catalog.measures_of(topic)]
            if name in self.columns and topics:
                for side, by in (("less", -width), ("more", width)):
                    yield name, _Writer(self.catalog, self.columns, topics, (name, by), f"{side}{number}")

    def _turns(self, bands: list[tuple[str, _Writer]]) -> Iterator[tuple[str, str]]:
        """Where a decided verdict turns within a band, and the words for it."""
        decided = f"decision__ > 0 and {_verdict('decision__')} <> 'judgment'"
        for name, writer in bands:
            other = f"decision__{writer.mark}"
            width = self.catalog.settings.guard_bands[name]
            measure = vocabulary.measures()[name]
            words = f"; the verdict turns within {number_in_words(width)} {measure.unit}, the firm's guard band of the "
            words += f"{in_a_sentence(measure)}: left to the inspector"
            yield f"{decided} and {other} > 0 and {_verdict(other)} <> {_verdict('decision__')}", words


@cache
def _connection() -> duckdb.DuckDBPyConnection:
    """What parses and writes expressions, for the whole process: to open another takes as long as to write a select."""
    return duckdb.connect()


def _told(value: Value) -> str:
    return f"{value.name}_{'feet' if value.feet else 'told'}__"


def _is_kept(derived: Derived) -> bool:
    return derived.look_up is not None or len(derived.sql or "") > _LONG


def _zipped(*writers: Iterable[list[str]]) -> Iterator[list[str]]:
    """The steps of several writers taken together: the first of each, the second of each, and so on."""
    for step in zip_longest(*writers, fillvalue=[]):
        yield [column for columns in step for column in columns]


def _steps(relation: str, steps: list[list[str]]) -> tuple[str, str]:
    """The steps as named selects, one upon the other, and the name of the last."""
    written = []
    for number, columns in enumerate(steps):
        written.append(f"looked_up_{number} as (select *, {', '.join(columns)} from {relation}),\n")
        relation = f"looked_up_{number}"
    return "".join(written), relation


def _verdict(decision: str) -> str:
    return (
        f"case when {decision} <= 0 then 'cannot_tell' when {decision} < {_JUDGMENT} then 'defect' "
        f"when {decision} < {_ACCEPTABLE} then 'judgment' else 'acceptable' end"
    )


def _case_when(branches: list[str]) -> str:
    return f"case {' '.join(branches)} end" if branches else "null::varchar"


def _listed(words: Iterable[str]) -> str:
    return ", ".join(map(text_sql, words))


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
    first = (
        f"when call = 'not_seen' then 'not_seen' when decision__ = {_UNJUDGED} then 'no_rule' "
        "when other_fault__ is not null then 'undecided'"
    )
    return f"case {first} {' '.join(branches)} end"


def _case(subject: str, branches: list[str]) -> str:
    return f"case {subject} {' '.join(branches)} end" if branches else "null::varchar"
