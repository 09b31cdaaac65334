"""The catalog in plain text: the list of topics and rules, one topic, one rule."""

from __future__ import annotations

import textwrap
from collections import Counter
from dataclasses import dataclass
from difflib import get_close_matches
from typing import Any

from etl import vocabulary
from etl.criteria import look_ups, spoken
from etl.criteria.catalog import Catalog
from etl.criteria.models import COMMON_PRACTICE, Criterion
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


_VERDICTS = {"defect": "A defect", "judgment": "Left to the inspector", "acceptable": "Acceptable"}


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
            return Page("\n".join(_rule_lines(catalog, criterion)), _rule_data(catalog, criterion))
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
        lines += ["", *_rule_lines(catalog, criterion)]
    return "\n".join(lines)


def _unit(measure: vocabulary.Measure) -> str:
    if measure.unit:
        return f", {measure.unit}"
    return f": {', '.join(measure.choices)}" if measure.choices else ""


def _rule_lines(catalog: Catalog, criterion: Criterion) -> list[str]:
    lines = [f"{criterion.title} ({criterion.id}), weight {criterion.weight}"]
    lines += _wrapped("In plain words", criterion.plain)
    if where := spoken.applies(catalog, criterion):
        lines += _wrapped("Applies where", where)
    for verdict, words in spoken.limits(catalog, criterion).items():
        lines += _wrapped(_VERDICTS[verdict], words)
    if known := tables_known(catalog, criterion):
        lines += _wrapped("Looked up in", known)
    lines += _wrapped("Source", _cited(criterion))
    return lines + (_wrapped("Caution", criterion.caution) if criterion.caution else [])


def _cited(criterion: Criterion) -> str:
    """Where the rule stands, how its value is known, and whose it is where it is a local one."""
    source = criterion.source
    if source.known == source.document or source.document.startswith(COMMON_PRACTICE):
        cited = KNOWN[COMMON_PRACTICE]
    else:
        named = source.cited(source.sections())
        cited = f"{named}; known: {KNOWN[source.known]}"
    local = criterion.local
    return cited + (f"; local rule of {local.jurisdiction}, {local.author}, {local.date}" if local else "")


def tables_known(catalog: Catalog, criterion: Criterion) -> str:
    """The tables that a rule looks up in, and how their rows are known; empty where it looks up in none."""
    read = {*criterion.needs, *criterion.uses}
    behind = [catalog.derived[name].look_up for name in catalog.derived_behind(read)]
    tables = dict.fromkeys(look_up.table for look_up in behind if look_up)
    return "; ".join(f"{table}, {_rows_known(table)}" for table in tables)


def _rows_known(table: str) -> str:
    """``144 rows: 36 read in the document, 108 from a public transcription or the trade press``."""
    rows = look_ups.tables()[table]
    counts = Counter(row["known"] for row in rows)
    if len(counts) == 1:
        return f"{len(rows)} rows, all {KNOWN[rows[0]['known']]}"
    return f"{len(rows)} rows: " + ", ".join(f"{number} {KNOWN[known]}" for known, number in counts.items())


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
        "criteria": [_rule_data(catalog, criterion) for criterion in catalog.of_topic(id)],
    }


def _rule_data(catalog: Catalog, criterion: Criterion) -> dict[str, Any]:
    return {
        **criterion.model_dump(mode="json", exclude_defaults=True),
        "limits": spoken.limits(catalog, criterion),
        "applies": spoken.applies(catalog, criterion),
    }
