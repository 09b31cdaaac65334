"""Conditions in plain words: the limits of a rule with their units, as pages and notes show them.

The words are written from the parse tree that the judge works with, so that they cannot say anything else.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from decimal import Decimal

from etl import vocabulary
from etl.criteria.catalog import Catalog
from etl.criteria.conditions import NUMBERS, Tree
from etl.criteria.models import DECIDING, Criterion
from etl.criteria.wording import in_a_sentence, number_in_words, word_in_words

_COMPARED = {
    "COMPARE_EQUAL": "is",
    "COMPARE_NOTEQUAL": "is not",
    "COMPARE_LESSTHAN": "under",
    "COMPARE_LESSTHANOREQUALTO": "at most",
    "COMPARE_GREATERTHAN": "over",
    "COMPARE_GREATERTHANOREQUALTO": "at least",
}
_CALCULATED = {"+": "plus", "-": "less", "*": "×", "/": "by"}
_DECK = {
    "deck_built_year": "the year the deck was built",
    "deck_height_in": "the deck height",
    "ledger_attached": "the deck is attached",
    "region": "the region",
    "code_basis": "the guideline",
}


def limits(catalog: Catalog, criterion: Criterion) -> dict[str, str]:
    """What makes a criterion decide, by verdict: ``{"defect": "gap at the joist end over 3/8 in"}``."""
    told = _Words(catalog)
    return {
        verdict: told.of(catalog.expressions[criterion.id, verdict].tree)
        for verdict in DECIDING
        if (criterion.id, verdict) in catalog.expressions
    }


def applies(catalog: Catalog, criterion: Criterion) -> str:
    """Where a criterion holds at all: its condition, its editions, years and regions; empty where it always does."""
    parts = []
    if criterion.when:
        parts.append(_Words(catalog).of(catalog.expressions[criterion.id, "when"].tree))
    if criterion.unless_recorded:
        names = [_Words(catalog).name(name) for name in criterion.unless_recorded]
        parts.append(f"{_listed(names, 'and')} not recorded")
    if criterion.editions:
        editions = [f"IRC {edition}" if isinstance(edition, int) else edition for edition in criterion.editions]
        parts.append(f"measured against {_listed(editions, 'or')}")
    if criterion.built_from:
        parts.append(f"built in {criterion.built_from} or later")
    if criterion.built_to:
        parts.append(f"built in {criterion.built_to} or before")
    if criterion.regions:
        parts.append(f"in {_listed(list(criterion.regions), 'or')}")
    if criterion.not_in_regions:
        parts.append(f"anywhere but in {_listed(list(criterion.not_in_regions), 'and')}")
    return "; ".join(parts)


class _Words:
    """Writes the parts of a tree."""

    def __init__(self, catalog: Catalog) -> None:
        self.catalog = catalog

    def of(self, tree: Tree) -> str:
        write: Mapping[str, Callable[[Tree], str]] = {
            "COLUMN_REF": self._column,
            "CONSTANT": lambda constant: self._constant(constant, None),
            "COMPARISON": self._comparison,
            "BETWEEN": self._between,
            "CONJUNCTION": self._conjunction,
            "OPERATOR": self._operator,
            "FUNCTION": self._function,
            "CASE": self._case,
            "CAST": lambda cast: self.of(cast["child"]),
        }
        return write[tree["class"]](tree)

    def name(self, name: str) -> str:
        """What a measure, a deck column or a derived value is called."""
        measure = vocabulary.measures().get(name)
        if measure is not None:
            return in_a_sentence(measure).removesuffix(" (yes or no)")
        return _DECK.get(name) or self.catalog.derived[name].called or name.replace("_", " ")

    def _column(self, tree: Tree) -> str:
        """A name standing alone is a yes."""
        name = tree["column_names"][0]
        return f"{self.name(name)}: yes" if self._is_yes_no(name) else self.name(name)

    def _is_yes_no(self, name: str) -> bool:
        return self.catalog.types[name].upper() == "BOOLEAN"

    def _comparison(self, tree: Tree) -> str:
        left, right = tree["left"], tree["right"]
        if tree["type"] == "COMPARE_EQUAL" and _is_word(right):
            return f"{self._term(left)}: {self._value(right, None)}"
        return f"{self._term(left)} {_COMPARED[tree['type']]} {self._value(right, self._unit(left))}"

    def _between(self, tree: Tree) -> str:
        unit = self._unit(tree["input"])
        low, high = self._value(tree["lower"], None), self._value(tree["upper"], unit)
        return f"{self._term(tree['input'])} from {low} to {high}"

    def _conjunction(self, tree: Tree) -> str:
        is_or = tree["type"] == "CONJUNCTION_OR"
        parts = [
            f"({self.of(part)})" if not is_or and part["type"] == "CONJUNCTION_OR" else self.of(part)
            for part in tree["children"]
        ]
        return (", or " if is_or else " and ").join(parts)

    def _operator(self, tree: Tree) -> str:
        first, *rest = tree["children"]
        kind = tree["type"]
        if kind == "COMPARE_IN":
            return f"{self._term(first)}: {_listed([self._value(each, self._unit(first)) for each in rest], 'or')}"
        if kind == "OPERATOR_COALESCE":
            return self.of(first)
        if kind == "OPERATOR_IS_NULL":
            return f"{self._term(first)} not recorded"
        if kind == "OPERATOR_IS_NOT_NULL":
            return f"{self._term(first)} recorded"
        if first["class"] == "COLUMN_REF":
            return f"{self.name(first['column_names'][0])}: no"
        if first["type"] == "COMPARE_IN":
            of, *values = first["children"]
            return f"{self._term(of)}: none of {_listed([self._value(each, self._unit(of)) for each in values], 'and')}"
        return f"not ({self.of(first)})"

    def _function(self, tree: Tree) -> str:
        terms = [argument["expression"] for argument in tree["arguments"]]
        name = tree["function_name"].lower()
        if name in _CALCULATED:
            return f" {_CALCULATED[name]} ".join(self._term(term) for term in terms)
        return f"the {name} of {_listed([self._term(term) for term in terms], 'and')}"

    def _case(self, tree: Tree) -> str:
        branches = [
            f"{self.of(check['then_expr'])} where {self.of(check['when_expr'])}" for check in tree["case_checks"]
        ]
        rest = [] if _is_null(tree["else_expr"]) else [f"{self.of(tree['else_expr'])} otherwise"]
        return ", ".join([*branches, *rest])

    def _term(self, tree: Tree) -> str:
        """A value that is compared or reckoned with: a yes or no measure by its bare name."""
        return self.name(tree["column_names"][0]) if tree["class"] == "COLUMN_REF" else self.of(tree)

    def _value(self, tree: Tree, unit: str | None) -> str:
        return self._constant(tree, unit) if tree["class"] == "CONSTANT" else self._term(tree)

    def _constant(self, tree: Tree, unit: str | None) -> str:
        kind, text = tree["literal"]["kind"], str(tree["literal"].get("text", ""))
        if kind == "STRING":
            return word_in_words(text)
        if kind in NUMBERS:
            return f"{number_in_words(Decimal(text))}{f' {unit}' if unit else ''}"
        return text.lower() or "nothing"

    def _unit(self, tree: Tree) -> str | None:
        measure = vocabulary.measures().get(tree["column_names"][0]) if tree["class"] == "COLUMN_REF" else None
        if measure is None and tree["class"] == "COLUMN_REF":
            return self._unit_of_derived(tree["column_names"][0])
        return measure.unit if measure else None

    def _unit_of_derived(self, name: str) -> str | None:
        """That of what it is made of, where that is one unit and it is a number itself."""
        if name not in self.catalog.derived or not self.catalog.types[name].startswith("DECIMAL"):
            return None
        measures = [vocabulary.measures().get(part) for part in self.catalog.recorded_names([name])]
        units = {measure.unit for measure in measures if measure is not None and measure.unit}
        return units.pop() if len(units) == 1 else None


def _is_word(tree: Tree) -> bool:
    return bool(tree["class"] == "CONSTANT" and tree["literal"]["kind"] == "STRING")


def _is_null(tree: Tree | None) -> bool:
    return tree is None or (tree["class"] == "CONSTANT" and tree["literal"]["kind"] not in ("STRING", *NUMBERS))


def _listed(words: list[str], last: str) -> str:
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} {last} {words[-1]}"
