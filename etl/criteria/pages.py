"""The catalog in plain text: the list of topics and rules, one topic, one rule."""

from __future__ import annotations

import textwrap
from dataclasses import dataclass
from difflib import get_close_matches
from typing import Any

from etl import vocabulary
from etl.criteria.catalog import Catalog
from etl.criteria.models import DECIDING, Criterion
from etl.errors import UsageError

_WIDTH = 100
#: How a value is known, in words.
KNOWN = {
    "read": "read in the document",
    "secondary": "from a public transcription or the trade press",
    "computed": "computed from published equations",
    "from memory": "from memory, not confirmed",
    "common practice": "common practice, no published source",
}


@dataclass(frozen=True)
class Page:
    """A page as text for a terminal, and the same as data."""

    text: str
    data: dict[str, Any]


def catalog_list(catalog: Catalog) -> Page:
    """Every topic in load-path order with its rules."""
    lines = [
        f"Catalog {catalog.version}. Measured against {catalog.settings.code_basis} unless a report names another."
    ]
    group = ""
    for topic in vocabulary.topics().values():
        if topic.group != group:
            group = topic.group
            lines += ["", group]
        lines.append(f"  {topic.id:26}{topic.title:32}{_state(catalog, topic)}")
    lines += ["", "One topic or rule in full: evenhand criteria ID"]
    data = {"catalog": catalog.version, "topics": [_topic_data(catalog, topic) for topic in vocabulary.topics()]}
    return Page("\n".join(lines), data)


def page(catalog: Catalog, id: str) -> Page:
    """One topic with its rules, or one rule.

    Raises
    ------
    UsageError
        Where the catalog has neither, with the nearest ids.
    """
    if id in vocabulary.topics():
        return Page(_topic_text(catalog, id), _topic_data(catalog, id))
    for criterion in catalog.criteria:
        if criterion.id == id:
            return Page("\n".join(_rule_lines(criterion)), _rule_data(criterion))
    known = [*vocabulary.topics(), *(criterion.id for criterion in catalog.criteria)]
    near = get_close_matches(id, known, n=3)
    meant = f" Did you mean {' or '.join(near)}?" if near else ""
    raise UsageError(f"The catalog has no topic and no rule {id}.{meant} `evenhand criteria` lists them.")


def _state(catalog: Catalog, topic: vocabulary.Topic) -> str:
    if not topic.judged:
        return "counted, never judged"
    rules = len(catalog.of_topic(topic.id))
    return f"{rules} rule{'' if rules == 1 else 's'}" if rules else "its rules are not in the catalog yet"


def _topic_text(catalog: Catalog, id: str) -> str:
    topic, words = vocabulary.topics()[id], catalog.pages.get(id)
    lines = [f"{topic.title} ({id})", f"{topic.group}; {_state(catalog, topic)}"]
    if words:
        lines += ["", *_wrapped("The rule", words.plain), *_wrapped("To do, to record", words.habit)]
        lines += _wrapped("Caution", words.caution) if words.caution else []
    measures = [vocabulary.measures()[name] for name in catalog.measures_of(id)]
    if measures:
        lines += ["", "Measures"]
        lines += [f"  {measure.id:28}{measure.title}{_unit(measure)}" for measure in measures]
    for criterion in catalog.of_topic(id):
        lines += ["", *_rule_lines(criterion)]
    return "\n".join(lines)


def _unit(measure: vocabulary.Measure) -> str:
    if measure.unit:
        return f", {measure.unit}"
    return f": {', '.join(measure.choices)}" if measure.choices else ""


def _rule_lines(criterion: Criterion) -> list[str]:
    source = criterion.source
    cited = " ".join(part for part in (source.document, source.edition, source.sections()) if part)
    lines = [f"{criterion.title} ({criterion.id}), weight {criterion.weight}"]
    lines += _wrapped("In plain words", criterion.plain)
    for verdict in DECIDING:
        if condition := getattr(criterion, verdict):
            lines += _wrapped(verdict.capitalize(), " ".join(condition.split()))
    if criterion.when:
        lines += _wrapped("Applies where", " ".join(criterion.when.split()))
    if criterion.unless_recorded:
        lines += _wrapped("Skipped where recorded", ", ".join(criterion.unless_recorded))
    if criterion.editions:
        lines += _wrapped("Editions", ", ".join(map(str, criterion.editions)))
    if criterion.built_from or criterion.built_to:
        lines += _wrapped("Built", f"{criterion.built_from or ''} to {criterion.built_to or ''}".strip())
    lines += _wrapped("Source", f"{cited}; known: {KNOWN[source.known]}")
    return lines + (_wrapped("Caution", criterion.caution) if criterion.caution else [])


def _wrapped(label: str, text: str) -> list[str]:
    return textwrap.wrap(f"  {label}: {text}", _WIDTH, subsequent_indent="    ")


def _topic_data(catalog: Catalog, id: str) -> dict[str, Any]:
    topic, words = vocabulary.topics()[id], catalog.pages.get(id)
    return {
        **topic.model_dump(),
        "plain": words.plain if words else None,
        "habit": words.habit if words else None,
        "caution": words.caution if words else None,
        "measures": list(catalog.measures_of(id)),
        "criteria": [_rule_data(criterion) for criterion in catalog.of_topic(id)],
    }


def _rule_data(criterion: Criterion) -> dict[str, Any]:
    return criterion.model_dump(mode="json", exclude_defaults=True)
