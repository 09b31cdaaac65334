"""The catalog as the tables of a snapshot, so that a reader of the snapshot needs no catalog."""

from __future__ import annotations

from collections.abc import Iterator

import pyarrow as pa

from etl import vocabulary
from etl.criteria import spoken
from etl.criteria.catalog import DECK_COLUMNS, Catalog
from etl.criteria.models import DECIDING, Criterion
from etl.criteria.pages import tables_known


def catalog_tables(catalog: Catalog) -> dict[str, pa.Table]:
    """The catalog as the tables of a snapshot: ``topics``, ``criteria``, ``measures``."""
    return {
        "topics": pa.Table.from_pylist(list(_topic_rows(catalog)), _TOPICS),
        "criteria": pa.Table.from_pylist(list(_criterion_rows(catalog)), _CRITERIA),
        "measures": pa.Table.from_pylist(list(_measure_rows()), _MEASURES),
    }


def _topic_rows(catalog: Catalog) -> Iterator[dict[str, object]]:
    for position, topic in enumerate(vocabulary.topics().values(), start=1):
        page = catalog.pages.get(topic.id)
        weights = [criterion.weight for criterion in catalog.of_topic(topic.id)]
        yield {
            "topic": topic.id,
            "title": topic.title,
            "topic_group": topic.group,
            "position": position,
            "judged": topic.judged,
            "built": bool(weights),
            "plain": page.plain if page else None,
            "habit": page.habit if page else None,
            "caution": page.caution if page else None,
            "weight": max(weights, default=None),
        }


def _criterion_rows(catalog: Catalog) -> Iterator[dict[str, object]]:
    for position, criterion in enumerate(catalog.criteria, start=1):
        source, local = criterion.source, criterion.local
        told = spoken.limits(catalog, criterion)
        yield {
            "criterion_id": criterion.id,
            "topic": criterion.topic,
            "title": criterion.title,
            "position": position,
            **{verdict: getattr(criterion, verdict) for verdict in DECIDING},
            "plain": criterion.plain,
            "caution": criterion.caution,
            "weight": criterion.weight,
            "document": source.document,
            "edition": source.edition,
            "section": source.sections(),
            "known": source.known,
            "needs": _recorded(catalog, criterion),
            **{f"{verdict}_told": told.get(verdict) for verdict in DECIDING},
            "applies": spoken.applies(catalog, criterion) or None,
            "rows_known": tables_known(catalog, criterion) or None,
            "jurisdiction": local.jurisdiction if local else None,
            "author": local.author if local else None,
            "dated": local.date.isoformat() if local else None,
        }


def _recorded(catalog: Catalog, criterion: Criterion) -> list[str]:
    """The measures and deck columns that a rule reads, what is worked out opened up."""
    reached = catalog.recorded_names([*criterion.needs, *criterion.uses])
    return [name for name in (*vocabulary.measures(), *DECK_COLUMNS) if name in reached and name != "code_basis"]


def _measure_rows() -> Iterator[dict[str, object]]:
    for position, measure in enumerate(vocabulary.measures().values(), start=1):
        shown = {"title": measure.title, "kind": measure.kind, "unit": measure.unit}
        yield {"measure": measure.id, **shown, "position": position, "choices": list(measure.choices)}


def _schema(texts: str, integers: str = "", booleans: str = "", lists: str = "") -> pa.Schema:
    kinds = ((texts, pa.string()), (integers, pa.int32()), (booleans, pa.bool_()), (lists, pa.list_(pa.string())))
    return pa.schema([(name, kind) for names, kind in kinds for name in names.split()])


_TOPICS = _schema("topic title topic_group plain habit caution", "position weight", "judged built")
_CRITERIA = _schema(
    "criterion_id topic title defect acceptable judgment plain caution document edition section known "
    "defect_told judgment_told acceptable_told applies rows_known jurisdiction author dated",
    "position weight",
    lists="needs",
)
_MEASURES = _schema("measure title kind unit", "position", lists="choices")
