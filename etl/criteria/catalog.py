"""The catalog, read and checked as a whole: criteria, topic pages, derived values, tables, the firm's settings."""

from __future__ import annotations

import hashlib
import json
import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Any, TypeVar

import duckdb
from pydantic import ValidationError

from etl import tables, vocabulary
from etl.comments.rules import rules_version
from etl.criteria import conditions, faults, look_ups
from etl.criteria.conditions import Expression, Place, Tree
from etl.criteria.local import with_local
from etl.criteria.models import DECIDING, Criterion, Derived, LookUp, RulesFile, Said, TopicPage
from etl.criteria.settings import FirmSettings, settings_text
from etl.criteria.wording import Template, read_template, text_sql
from etl.errors import CatalogError

#: Columns of the deck and the report that a rule may read, beside the measures.
DECK_COLUMNS = ("deck_built_year", "deck_height_in", "ledger_attached", "code_basis", "region")
_RULES = (
    "shared.toml",
    "ledger.toml",
    "hangers.toml",
    "joists.toml",
    "spans.toml",
    "beams_posts_footings.toml",
    "guards_stairs.toml",
    "condition.toml",
)
_SAMPLE = "sample"

Entry = TypeVar("Entry", Criterion, Derived, TopicPage)


@dataclass(frozen=True)
class Catalog:
    """A checked catalog. ``expressions`` and ``templates`` hold each text of it by entry id and field."""

    settings: FirmSettings
    criteria: tuple[Criterion, ...]
    pages: dict[str, TopicPage]
    derived: dict[str, Derived]
    expressions: dict[tuple[str, str], Expression]
    templates: dict[tuple[str, str], Template]
    types: dict[str, str]
    version: str

    def of_topic(self, topic: str) -> tuple[Criterion, ...]:
        """The criteria of a topic, in the order of the files."""
        return tuple(criterion for criterion in self.criteria if criterion.topic == topic)

    def criterion(self, id: str) -> Criterion:
        """The criterion of an id; KeyError where there is none."""
        return {criterion.id: criterion for criterion in self.criteria}[id]

    def measures_of(self, topic: str) -> tuple[str, ...]:
        """The measures that belong to a topic, in the order of the parts of a deck."""
        named: set[str] = set()
        for criterion in self.of_topic(topic):
            named |= {*criterion.needs, *criterion.uses, *criterion.unless_recorded}
        if topic in self.pages:
            named |= set(self.pages[topic].also_measures)
        reached = self.recorded_names(named)
        return tuple(measure for measure in vocabulary.measures() if measure in reached)

    def recorded_names(self, names: Iterable[str]) -> frozenset[str]:
        """The measures and deck columns behind names, derived values opened up."""
        found: set[str] = set()
        for name in names:
            found |= self.recorded_names(self.derived[name].made_of) if name in self.derived else {name}
        return frozenset(found)

    def look_ups(self) -> dict[str, LookUp]:
        """The derived values that are looked up in a table, in the order of the catalog."""
        return {name: value.look_up for name, value in self.derived.items() if value.look_up is not None}

    def derived_behind(self, names: Iterable[str]) -> list[str]:
        """The derived values among names and behind them, in the order of the catalog."""
        reached = set()
        for name in set(names) & set(self.derived):
            inside = self.expressions[name, "derived"].names
            reached |= {name, *self.derived_behind(inside)}
        return [name for name in self.derived if name in reached]


def look_up_column(id: str) -> str:
    """The column in which the judge keeps what was looked up for a derived value."""
    return f"{id}__"


def load_catalog(settings: FirmSettings | None = None, extra: Path | None = None) -> Catalog:
    """Read and check the catalog.

    Parameters
    ----------
    settings
        The firm's settings; the defaults where there are none.
    extra
        A firm's own ``criteria.toml``: what it holds is added, or stands in for what has the same id.

    Raises
    ------
    CatalogError
        At the first thing that is wrong, naming it and what to do.
    """
    settings = settings or FirmSettings()
    rules = [*_shipped_rules()]
    criteria = _merged((file.criterion for file in rules), "id")
    if extra is not None:
        rules.append(_read_rules(extra.name, _text_of(extra)))
        own = _merged([rules[-1].criterion], "id")
        with_local(criteria, tuple(own.values()), rules[-1].local, extra.name)
    pages = _merged((file.topic for file in rules), "topic")
    derived = _merged((file.derived for file in rules), "id")
    with duckdb.connect(config={"enable_external_access": "false"}) as connection:
        check = _Check(connection, settings, derived)
        check.parse_ahead(criteria.values(), pages.values())
        check.add_derived()
        for criterion in criteria.values():
            check.add_criterion(criterion)
        for page in pages.values():
            check.add_page(page)
        check.bind()
    return Catalog(
        settings=settings,
        criteria=tuple(criteria.values()),
        pages=pages,
        derived=derived,
        expressions=check.expressions,
        templates=check.templates,
        types=check.types,
        version=_version(settings, [*criteria.values(), *pages.values(), *derived.values()]),
    )


# -- Reading


@cache
def _shipped_rules() -> tuple[RulesFile, ...]:
    """The files of rules that come with the program; they stay as they are while it runs."""
    return tuple(_read_rules(name, _text("rules", name)) for name in _RULES)


def _text(folder: str, name: str) -> str:
    return files("etl").joinpath("catalog", folder, name).read_text(encoding="utf-8")


def _text_of(path: Path) -> str:
    try:
        return path.read_text(encoding="utf-8-sig")
    except (OSError, UnicodeDecodeError) as error:
        raise CatalogError(f"{path.name} cannot be read ({error}); give a TOML file in UTF-8.") from None


def _read_rules(name: str, text: str) -> RulesFile:
    try:
        received = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise CatalogError(f"{name} is no TOML file ({error}); mend that line.") from None
    try:
        return RulesFile.model_validate(received)
    except ValidationError as error:
        raise _entry_error(name, received, error) from None


def _entry_error(name: str, received: Mapping[str, Any], error: ValidationError) -> CatalogError:
    first = error.errors()[0]
    kind, *rest = first["loc"]
    entries = received[str(kind)]
    entry = entries[rest[0]] if rest and isinstance(entries, list) and isinstance(rest[0], int) else {}
    id = entry.get("id") or entry.get("topic") if isinstance(entry, dict) else None
    field = ".".join(map(str, rest[1:] if rest and isinstance(rest[0], int) else rest))
    place = Place(str(id or f"{name}: {kind}"), field or str(kind), _shown(first["input"]))
    message = first["msg"].removeprefix("Value error, ")
    return place.error(f"{message[0].lower()}{message[1:]} (in {name})")


def _shown(value: object) -> str:
    text = value if isinstance(value, str) else json.dumps(value, default=str)
    return text if len(text) <= 80 else text[:79] + "…"


def _merged(parts: Iterable[tuple[Entry, ...]], key: str) -> dict[str, Entry]:
    """All entries by id: within a file an id stands once, a later file's entry takes the place of an earlier one."""
    merged: dict[str, Entry] = {}
    for entries in parts:
        seen: set[str] = set()
        for entry in entries:
            id = getattr(entry, key)
            if id in seen:
                raise Place(id, key, id).error("it stands twice in one file; give one of them another id")
            seen.add(id)
            merged[id] = entry
    return merged


def _version(settings: FirmSettings, entries: list[Any]) -> str:
    """A short hash over everything that can change a verdict."""
    listed = [*entries, *vocabulary.topics().values(), *vocabulary.measures().values()]
    parts = [type(entry).__name__ + entry.model_dump_json() for entry in listed]
    parts += [settings_text(settings), json.dumps(look_ups.tables(), sort_keys=True)]
    parts += [fault.model_dump_json() for fault in faults.faults()]
    parts.append(rules_version())
    return hashlib.sha256("\n".join(parts).encode()).hexdigest()[:12]


# -- Checking


class _Check:
    """Collects the expressions and templates of a catalog, each checked as it comes."""

    def __init__(
        self,
        connection: duckdb.DuckDBPyConnection,
        settings: FirmSettings,
        derived: dict[str, Derived],
    ) -> None:
        self.connection = connection
        self.settings = settings
        self.derived = derived
        self.facts = {name: tables.sql_type(name) for name in (*DECK_COLUMNS, *vocabulary.measures())}
        conditions.make_sample(connection, _SAMPLE, self.facts)
        self.parser = conditions.Parser(connection)
        self.types = dict(self.facts)
        self.expressions: dict[tuple[str, str], Expression] = {}
        self.templates: dict[tuple[str, str], Template] = {}
        self.opened: dict[str, Tree] = {}

    def parse_ahead(self, criteria: Iterable[Criterion], pages: Iterable[TopicPage]) -> None:
        """Have all texts of these and of the derived values parsed in one go; one by one takes half a second."""
        texts = [getattr(criterion, field) for criterion in criteria for field in ("when", *DECIDING)]
        texts += [said.when for page in pages for said in (*page.recorded, *page.open)]
        texts += [value.sql for value in self.derived.values()]
        texts += [value.note.when for value in self.derived.values() if value.note]
        self.parser.ahead(text for text in texts if text is not None)

    def add_derived(self) -> None:
        """Derived values in order: each may use those before it."""
        for value in self.derived.values():
            self._check_names(value.id, "made_of", value.made_of)
            if value.look_up is not None:
                self._add_look_up(value.id, value.look_up)
            else:
                self._add_expression(value)
        for value in self.derived.values():
            if value.note:
                self._add_said(value.id, "note", Said(when=value.note.when, say=value.note.say))

    def _add_expression(self, value: Derived) -> None:
        place = Place(value.id, *self._derived_text(value))
        tree = self.parser.tree(place)
        expression = conditions.admit(place, tree, self.types, conditions.DERIVED_FUNCTIONS)
        self.expressions[value.id, "derived"] = expression
        self.opened[value.id] = conditions.substitute(tree, self.opened)
        (sql,) = conditions.write_sql(self.connection, [self.opened[value.id]])
        self.types[value.id] = conditions.bind(self.connection, [(place, sql)], _SAMPLE)[0]

    def _derived_text(self, value: Derived) -> tuple[str, str]:
        if value.sql is not None:
            return "sql", value.sql
        if value.setting == "adopted":
            return "setting", str(self.settings.adopted_year(value.edition or 0))
        if value.setting == "code_basis":
            return "setting", text_sql(self.settings.code_basis)
        by_region = getattr(self.settings, str(value.setting))
        cases = " ".join(f"when {text_sql(region)} then {number}" for region, number in by_region.items())
        return "setting", f"cast({f'case region {cases} end' if cases else 'null'} as decimal(12, 6))"

    def _add_look_up(self, id: str, look_up: LookUp) -> None:
        """A look-up is worked out beforehand, as a column of its own; the sample gets that column too."""
        place = Place(id, "look_up", look_up.table)
        rows = look_ups.tables().get(look_up.table)
        if rows is None:
            raise place.error(f"there is no such table; the tables are {', '.join(look_ups.tables())}")
        for column in (look_up.value, *look_up.keys, *look_up.up_to):
            if column not in rows[0]:
                raise place.error(f"it has no column {column}; its columns are {', '.join(rows[0])}")
        self._check_names(id, "look_up", look_up.names)
        column = look_up_column(id)
        most = max(look_ups.number(row[look_up.value]) for row in rows)
        self.connection.execute(f"alter table {_SAMPLE} add column {column} decimal(12, 6) default {most}")
        tree = self.parser.tree(Place(id, "look_up", column))
        self.expressions[id, "derived"] = Expression(place, tree, frozenset(look_up.names))
        self.opened[id] = tree
        self.types[id] = "DECIMAL(12,6)"

    def add_criterion(self, criterion: Criterion) -> None:
        topic = vocabulary.topics().get(criterion.topic)
        if topic is None:
            raise Place(criterion.id, "topic", criterion.topic).error("there is no such topic; see the list of topics")
        if not topic.judged:
            raise Place(criterion.id, "topic", criterion.topic).error("this topic is counted, never judged")
        for field in ("needs", "uses", "unless_recorded"):
            self._check_names(criterion.id, field, getattr(criterion, field))
        listed = {*criterion.needs, *criterion.uses}
        for field in ("when", *DECIDING):
            text = getattr(criterion, field)
            if text is not None:
                expression = self._add_condition(Place(criterion.id, field, text))
                self._check_listed(expression, listed)
        for verdict in DECIDING:
            text = getattr(criterion.reason, verdict)
            if text is not None:
                self._add_template(Place(criterion.id, f"reason.{verdict}", text))

    def add_page(self, page: TopicPage) -> None:
        if page.topic not in vocabulary.topics():
            raise Place(page.topic, "topic", page.topic).error("there is no such topic; see the list of topics")
        self._check_names(page.topic, "also_measures", page.also_measures)
        for field in ("recorded", "open"):
            for number, said in enumerate(getattr(page, field)):
                self._add_said(page.topic, f"{field}.{number}", said)

    def _add_said(self, id: str, field: str, said: Said) -> None:
        if said.when is not None:
            self._add_condition(Place(id, f"{field}.when", said.when))
        self._add_template(Place(id, f"{field}.say", said.say))

    def _add_condition(self, place: Place) -> Expression:
        tree = self.parser.tree(place)
        expression = conditions.admit(place, tree, self.types)
        for name in expression.names:
            if self.types[name] == "DOUBLE":
                raise place.error(f"{name} is not exact; it serves for wording only, so compare what it is made of")
        self.expressions[place.id, place.field] = expression
        return expression

    def _add_template(self, place: Place) -> None:
        self.templates[place.id, place.field] = read_template(place, self.types)

    def _check_names(self, id: str, field: str, names: tuple[str, ...]) -> None:
        for name in names:
            if name not in self.types and name not in self.derived:
                raise Place(id, field, name).error(
                    "it is no measure, deck column or derived value; correct it, or add it to the catalog"
                )

    def _check_listed(self, expression: Expression, listed: set[str]) -> None:
        for name in sorted(expression.names - listed):
            setting = name in self.derived and self.derived[name].setting is not None
            if not setting:
                raise expression.place.error(f"it reads {name}, which is in neither needs nor uses; add it there")

    def bind(self) -> None:
        """Every condition must come out as true or false."""
        named = [(key, expression) for key, expression in self.expressions.items() if key[1] != "derived"]
        trees = [conditions.substitute(expression.tree, self.opened) for _, expression in named]
        written = conditions.write_sql(self.connection, trees)
        bound = [(expression.place, sql) for (_, expression), sql in zip(named, written, strict=True)]
        for (place, _), kind in zip(bound, conditions.bind(self.connection, bound, _SAMPLE), strict=True):
            if kind != "BOOLEAN":
                raise place.error(f"it gives a {kind.lower()}, not true or false; compare it with something")
