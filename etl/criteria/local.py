"""A firm's own rules beside those of the catalog: what a local file adds, and what it stands above where."""

from __future__ import annotations

from etl.criteria.models import Criterion, Local
from etl.errors import CatalogError

LACKING = (
    "{name} does not say whose rules it holds; begin it with\n"
    "[local]\n"
    'jurisdiction = "…"\n'
    'regions = ["…"]      # as in the reports, or "all"\n'
    'author = "…"\n'
    "date = 2026-01-31"
)


def with_local(catalog: dict[str, Criterion], own: tuple[Criterion, ...], local: Local | None, name: str) -> None:
    """Add a firm's own criteria to those of the catalog.

    A criterion of a new id is added. One of an id that the catalog has stands in its place: everywhere, or in the
    file's regions alone; there it is called by that id with ``.local`` behind it, and elsewhere the catalog's holds.

    Raises
    ------
    CatalogError
        The file holds criteria and does not say whose they are.
    """
    if own and local is None:
        raise CatalogError(LACKING.format(name=name))
    for criterion in own:
        rule = criterion.model_copy(update={"local": local})
        if rule.regions and rule.id in catalog:
            catalog[rule.id] = catalog[rule.id].model_copy(update={"not_in_regions": rule.regions})
            rule = rule.model_copy(update={"id": f"{rule.id}.local"})
        catalog[rule.id] = rule
