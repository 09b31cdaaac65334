"""What part of the firm a page looks at."""

from __future__ import annotations

from dataclasses import dataclass, fields
from datetime import date
from typing import Any

_LISTS = ("regions", "builders", "topics", "deck_ages", "inspectors", "loads")


@dataclass(frozen=True)
class Filters:
    """A choice of days, regions, builders, topics, deck ages, inspectors and loads; an empty choice means all of them.

    Lists are kept sorted and without repeats, so that two equal choices are equal, hash alike, and can be the key
    of a cache. A blank region, builder or age is chosen by its group, ``unknown``.

    Attributes
    ----------
    first_day, last_day
        Days of inspection, both included; None leaves that end open.
    deck_ages
        Bands of deck age (``labels.AGE_BANDS``, ``unknown``).
    loads
        Loads that brought in the reports as they now stand.
    """

    first_day: date | None = None
    last_day: date | None = None
    regions: tuple[str, ...] = ()
    builders: tuple[str, ...] = ()
    topics: tuple[str, ...] = ()
    deck_ages: tuple[str, ...] = ()
    inspectors: tuple[str, ...] = ()
    loads: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        for name in _LISTS:
            object.__setattr__(self, name, tuple(sorted(set(getattr(self, name)))))

    @property
    def is_empty(self) -> bool:
        """Whether nothing is chosen, which means the whole firm at all times."""
        return self == Filters()

    def parameters(self) -> dict[str, Any]:
        """The bound parameters of every query that takes filters; null means no condition."""
        chosen = {field.name: getattr(self, field.name) for field in fields(self)}
        return {name: (list(value) or None) if name in _LISTS else value for name, value in chosen.items()}


EVERYTHING = Filters()
