"""Conditions of the catalog: parsed by DuckDB's own parser, admitted piece by piece, and bound before any use.

A condition is kept as DuckDB's parse tree, and all SQL is written from that tree, never from the text of a file.
Only what is listed here can be in it: a firm's own criteria cannot read a file, a table or a setting.
"""

from __future__ import annotations

import difflib
import json
import re
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

import duckdb

from etl import contract
from etl.errors import CriterionError

Tree = dict[str, Any]

#: What a condition may call: exact in decimals, no look outside.
FUNCTIONS = frozenset({"+", "-", "*", "abs", "least", "greatest", "nullif"})
#: What a derived value may call besides: it may take text apart and divide (for wording only).
DERIVED_FUNCTIONS = FUNCTIONS | {"/", "round", "floor", "split_part", "regexp_extract", "upper"}
NUMBERS = frozenset({"NUMERIC", "INTEGER"})  # what DuckDB's parser calls a plain number
TYPES = frozenset({"INTEGER", "INT", "DECIMAL", "VARCHAR", "BOOLEAN"})
_OPERATORS = frozenset({"OPERATOR_NOT", "OPERATOR_IS_NULL", "OPERATOR_IS_NOT_NULL", "OPERATOR_COALESCE", "COMPARE_IN"})
#: The parts of a tree that hold others.
_NESTED = (dict, list)
#: What a select list of one expression leaves empty.
_NOTHING_ELSE: Tree = {
    "modifiers": [],
    "where_clause": None,
    "group_expressions": [],
    "group_sets": [],
    "having": None,
    "sample": None,
    "qualify": None,
}


@dataclass(frozen=True)
class Place:
    """Where a text of the catalog stands, so that an error can name it."""

    id: str
    field: str
    text: str

    def error(self, problem: str) -> CriterionError:
        return CriterionError(self.id, self.field, self.text, problem)


@dataclass(frozen=True)
class Expression:
    """A checked condition or derived value: its place, its parse tree, and the names that it uses."""

    place: Place
    tree: Tree
    names: frozenset[str]


class Parser:
    """Turns texts into parse trees. DuckDB is asked at once for those known ahead: each question takes time."""

    def __init__(self, connection: duckdb.DuckDBPyConnection) -> None:
        self._connection = connection
        self._serialized: dict[str, str] = {}

    def ahead(self, texts: Iterable[str]) -> None:
        """Parse texts that will be asked for; what is wrong with one is told when it is."""
        new = [text for text in dict.fromkeys(texts) if text not in self._serialized]
        rows = self._connection.execute(
            "select json_serialize_sql('select ' || x) from unnest(?::varchar[]) t(x)", [new]
        ).fetchall()
        self._serialized |= {text: row[0] for text, row in zip(new, rows, strict=True)}

    def tree(self, place: Place) -> Tree:
        """The parse tree of a text, which must be a single expression.

        Raises
        ------
        CriterionError
            Where the text does not parse, or is more than an expression.
        """
        if place.text not in self._serialized:
            self.ahead([place.text])
        return _only_expression(place, json.loads(self._serialized[place.text]))


def _only_expression(place: Place, parsed: Tree) -> Tree:
    if parsed["error"]:
        raise place.error(f"it does not parse ({parsed['error_message']}); write one SQL expression")
    statements = parsed["statements"]
    node = statements[0]["node"]
    single = len(statements) == 1 and len(node.get("select_list", ())) == 1 and not node["cte_map"]["map"]
    empty = single and node["from_table"]["type"] == "EMPTY"
    if not empty or any(node[part] != nothing for part, nothing in _NOTHING_ELSE.items()):
        raise place.error("it is more than one expression; write a single condition, no select, no from")
    tree: Tree = node["select_list"][0]
    return tree


def admit(place: Place, tree: Tree, known: Collection[str], functions: frozenset[str] = FUNCTIONS) -> Expression:
    """The expression, if it holds nothing but what is listed and uses only ``known`` names."""
    used: set[str] = set()
    _admit(place, tree, known, functions, used)
    return Expression(place, tree, frozenset(used))


def _admit(place: Place, tree: Tree, known: Collection[str], functions: frozenset[str], used: set[str]) -> None:
    inside = _INSIDE.get(tree["class"])
    if inside is None or tree["alias"]:
        raise place.error(f"{tree['class'].lower().replace('_', ' ')} is not allowed in it; {_ALLOWED}")
    if tree["class"] == "COLUMN_REF":
        used.add(_known_name(place, tree["column_names"], known))
    elif tree["class"] == "FUNCTION":
        _check_function(place, tree, functions)
    elif tree["class"] == "OPERATOR" and tree["type"] not in _OPERATORS:
        raise place.error(f"{tree['type'].lower().replace('_', ' ')} is not allowed in it; {_ALLOWED}")
    elif tree["class"] == "CAST" and tree["type_expr"]["type_name"].upper() not in TYPES:
        raise place.error(f"a cast to {tree['type_expr']['type_name']} is not allowed in it; {_ALLOWED}")
    elif tree["class"] == "CONSTANT" and "e" in _number(tree).lower():
        raise place.error(f"{_number(tree)} is not exact; write it out in decimals")
    if tree["class"] in ("COMPARISON", "BETWEEN") or tree["type"] == "COMPARE_IN":
        _check_words(place, list(inside(tree)))
    for child in inside(tree):
        _admit(place, child, known, functions, used)


def _known_name(place: Place, path: Sequence[str], known: Collection[str]) -> str:
    name = ".".join(path)
    if name in known:
        return name
    near = difflib.get_close_matches(name, known, n=1)
    hint = f"did you mean {near[0]}? Otherwise" if near else "correct it, or"
    raise place.error(f"{name} is no measure, deck column or derived value; {hint} add it to the catalog")


def _check_words(place: Place, compared: Sequence[Tree]) -> None:
    """A word that a measure is compared with must be one that the measure can hold."""
    columns = contract.columns()
    names = [part["column_names"][0] for part in compared if part["class"] == "COLUMN_REF"]
    words = [part["literal"]["text"] for part in compared if _is_word(part)]
    for name in names:
        for word in words if name in columns else ():
            rule = columns[name].rule
            if rule.kind not in ("choice", "size", "text"):
                raise place.error(f"{name} is not in words, so '{word}' does not go together with it")
            if rule.choices and word not in rule.choices:
                raise place.error(f"{name} is never '{word}'; it is one of {', '.join(rule.choices)}")
            if rule.pattern and not re.fullmatch(rule.pattern, word):
                raise place.error(f"{name} is never '{word}'; write a size as 2x10")


def _is_word(tree: Tree) -> bool:
    return bool(tree["class"] == "CONSTANT" and tree["literal"]["kind"] == "STRING")


def _check_function(place: Place, tree: Tree, functions: frozenset[str]) -> None:
    name = tree["function_name"].lower()
    if name == "/" and name not in functions:
        raise place.error("a division is not exact; multiply the other side instead")
    plain = not (tree["filter"] or tree["distinct"] or tree["order_bys"]["orders"] or tree["schema"] or tree["catalog"])
    if name not in functions or not plain:
        raise place.error(f"the function {name} is not allowed in it; {_ALLOWED}")


def _number(tree: Tree) -> str:
    return str(tree["literal"]["text"]) if tree["literal"]["kind"] in NUMBERS else ""


def _case_parts(tree: Tree) -> Iterator[Tree]:
    for check in tree["case_checks"]:
        yield check["when_expr"]
        yield check["then_expr"]
    yield tree["else_expr"]


#: The parts inside each kind of expression that is allowed.
_INSIDE: dict[str, Callable[[Tree], Iterator[Tree] | list[Tree]]] = {
    "COLUMN_REF": lambda tree: [],
    "CONSTANT": lambda tree: [],
    "COMPARISON": lambda tree: [tree["left"], tree["right"]],
    "BETWEEN": lambda tree: [tree["input"], tree["lower"], tree["upper"]],
    "CONJUNCTION": lambda tree: list(tree["children"]),
    "OPERATOR": lambda tree: list(tree["children"]),
    "FUNCTION": lambda tree: [argument["expression"] for argument in tree["arguments"]],
    "CASE": _case_parts,
    "CAST": lambda tree: [tree["child"]],
}
_ALLOWED = (
    "use names, numbers, 'words', = <> < <= > >=, and, or, not, in, between, is null, case, cast, + - *, "
    "coalesce, abs, least, greatest, nullif"
)


def constants(tree: Tree) -> Iterator[Decimal | str]:
    """The numbers and words in a tree."""
    if _number(tree) if tree["class"] == "CONSTANT" else False:
        yield Decimal(_number(tree))
    elif _is_word(tree):
        yield str(tree["literal"]["text"])
    for child in _children(tree):
        yield from constants(child)


def numbers_beside(tree: Tree) -> Iterator[tuple[str, Decimal]]:
    """Each name that is compared with a plain number, and that number."""
    if tree["class"] in ("COMPARISON", "BETWEEN") or tree["type"] == "COMPARE_IN":
        compared = _children(tree)
        names = [part["column_names"][0] for part in compared if part["class"] == "COLUMN_REF"]
        numbers = [Decimal(_number(part)) for part in compared if part["class"] == "CONSTANT" and _number(part)]
        yield from ((name, number) for name in names for number in numbers)
    for child in _children(tree):
        yield from numbers_beside(child)


def _children(tree: Tree) -> list[Tree]:
    """The parts inside an expression that was admitted; nothing where a case has no else."""
    inside = _INSIDE[tree["class"]]
    return [part for part in inside(tree) if part is not None]


def substitute(tree: Any, replacements: Mapping[str, Tree]) -> Any:
    """The tree with each name that has a replacement replaced by it."""
    if isinstance(tree, list):
        return [substitute(part, replacements) if isinstance(part, _NESTED) else part for part in tree]
    if not isinstance(tree, dict):
        return tree
    if tree.get("class") == "COLUMN_REF":
        return replacements.get(tree["column_names"][0], tree)
    # Most parts hold nothing else, and are not asked.
    return {key: substitute(part, replacements) if isinstance(part, _NESTED) else part for key, part in tree.items()}


def write_sql(connection: duckdb.DuckDBPyConnection, trees: Sequence[Tree]) -> list[str]:
    """Each tree as an SQL expression in brackets."""
    statements = [json.dumps(_statement(tree)) for tree in trees]
    rows = connection.execute(
        "select json_deserialize_sql(x::json) from unnest(?::varchar[]) t(x)", [statements]
    ).fetchall()
    return ["(" + row[0].removeprefix("SELECT ") + ")" for row in rows]


def _statement(tree: Tree) -> Tree:
    node = {"type": "SELECT_NODE", "cte_map": {"map": []}, "select_list": [tree]} | _NOTHING_ELSE
    node |= {"from_table": {"type": "EMPTY", "alias": "", "sample": None}, "aggregate_handling": "STANDARD_HANDLING"}
    return {"error": False, "statements": [{"node": node, "named_param_map": []}]}


def bind(connection: duckdb.DuckDBPyConnection, expressions: Sequence[tuple[Place, str]], table: str) -> list[str]:
    """The type of each expression over a table of samples, on which it is also tried.

    All are tried at once; only where that fails is each tried alone, to name the one that is wrong.
    """
    try:
        return _types_of(connection, [sql for _, sql in expressions], table)
    except duckdb.Error:
        return [_type_of(connection, place, sql, table) for place, sql in expressions]


def _type_of(connection: duckdb.DuckDBPyConnection, place: Place, sql: str, table: str) -> str:
    try:
        return _types_of(connection, [sql], table)[0]
    except duckdb.Error as error:
        sentence = str(error).splitlines()[0].split(": ", 1)[-1]
        raise place.error(f"its parts do not go together ({sentence}); compare like with like") from None


def _types_of(connection: duckdb.DuckDBPyConnection, written: Sequence[str], table: str) -> list[str]:
    if not written:
        return []
    select = "select " + ", ".join(f"{sql} as e{number}" for number, sql in enumerate(written)) + f" from {table}"
    types = [row[1] for row in connection.execute(f"describe {select}").fetchall()]
    connection.execute(select).fetchall()
    return types


def make_sample(connection: duckdb.DuckDBPyConnection, table: str, types: Mapping[str, str]) -> None:
    """Make a table of three rows: nothing recorded, everything at its least, everything at its most.

    What no plausible value may do, such as overflow, shows here and not in the middle of a load.
    """
    rows = [
        "(" + ", ".join(f"{_sample(contract.columns()[name].rule, least)}::{types[name]}" for name in types) + ")"
        for least in (None, True, False)
    ]
    connection.execute(f"create temp table {table} as from (values {', '.join(rows)}) t ({', '.join(types)})")


def _sample(rule: contract.Rule, least: bool | None) -> str:
    if least is None:
        return "null"
    if rule.choices:
        return f"'{rule.choices[0 if least else -1]}'"
    if rule.kind == "yes_no":
        return str(not least).lower()
    if rule.kind == "size":
        return "'2x10'"
    return str(rule.low if least else rule.high) if rule.kind in ("number", "integer") else "'IRC 2021'"
