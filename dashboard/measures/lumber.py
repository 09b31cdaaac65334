"""The depths of lumber that pictures are drawn to, and what they say of a hanger's size.

Source: Voluntary Product Standard PS 20, American Softwood Lumber Standard, minimum dressed sizes, dry. The same
values stand in the catalog's table of dressed sizes, from which verdicts come; a test holds the two together.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import pandas as pd

#: Depth in inches of the sizes that joists and hangers come in, smallest first.
DEPTH_IN = {"2x4": 3.5, "2x6": 5.5, "2x8": 7.25, "2x10": 9.25, "2x12": 11.25}
#: Thickness of one ply in inches.
PLY_IN = 1.5
#: The share of the joist's depth that a hanger must reach, IRC R507.6.2.
LEAST_SHARE = 0.6
SIZES = tuple(DEPTH_IN)
#: (joist, hanger) that the nominal sizes cannot decide: the hanger's height must be measured.
HEIGHT_DECIDES = (("2x12", "2x8"), ("2x6", "2x4"))


def never_enough(joist: str, hanger: str) -> bool:
    """Whether the hanger's size alone says that it cannot reach 60 percent of the joist.

    So it is where the lumber that the hanger is made for is itself less than 60 percent as deep as the joist.
    """
    return DEPTH_IN[hanger] < LEAST_SHARE * DEPTH_IN[joist]


def one_size_down(joist: str, hanger: str) -> bool:
    """Whether the hanger is the next smaller size, where that is the usual practice (2x8, 2x10, 2x12 joists)."""
    return SIZES.index(joist) - SIZES.index(hanger) == 1 and joist in {"2x8", "2x10", "2x12"}


def pair(recorded: str) -> tuple[str, str] | None:
    """The joist's and the hanger's size where a recorded kind is a pair of them; None for any other kind.

    >>> pair("2x10 joist in 2x8 hanger")
    ('2x10', '2x8')
    """
    joist, _, hanger = recorded.removesuffix(" hanger").partition(" joist in ")
    return (joist, hanger) if {joist, hanger} <= set(SIZES) else None


def reaches(height_in: float, joist_depth_in: float) -> bool:
    """Whether a hanger of that height reaches 60 percent of the joist's depth; exactly at the line it does."""
    return short_by_in(height_in, joist_depth_in) == 0


def short_by_in(height_in: float, joist_depth_in: float) -> float:
    """How many inches a hanger of that height lacks to 60 percent of the joist's depth; 0 where it reaches that."""
    return max(0.0, round(LEAST_SHARE * joist_depth_in - height_in, 6))


def whole_percent_reached(height_in: float, joist_depth_in: float) -> int:
    """Height in percent of the joist's depth, for words: 59.6 percent is told as 59, since 60 would contradict.

    The catalog tells it the same way (``hanger_share``); a test holds the two together.
    """
    # Half goes up, as in SQL; Python's own rounding would take 66.5 to 66.
    percent = int(100 * height_in / joist_depth_in + 0.5 + 1e-9)
    return percent if reaches(height_in, joist_depth_in) else min(59, percent)


@dataclass(frozen=True)
class Fared:
    """How the write-ups of some pairs of sizes fare: written up, of these judged, hold, do not hold."""

    written_up: int
    judged: int
    upheld: int
    overcalled: int


def fared(grid: pd.DataFrame, chosen: Callable[[str, str], bool]) -> Fared:
    """The write-ups of the pairs for which ``chosen(joist, hanger)`` is true, added up.

    Parameters
    ----------
    grid
        Rows of :func:`dashboard.measures.hanger_grid.hanger_grid`. A write-up with two pairs of sizes counts in each.
    """
    pairs = zip(grid["joist_nominal"], grid["hanger_nominal"], strict=True)
    wanted = [joist in DEPTH_IN and hanger in DEPTH_IN and chosen(joist, hanger) for joist, hanger in pairs]
    some = grid[pd.Series(wanted, grid.index, dtype=bool)]
    upheld, overcalled = int(some["upheld"].sum()), int(some["overcalled"].sum())
    rest = int(some["judgment"].sum() + some["undecided"].sum())
    return Fared(upheld + overcalled + rest, upheld + overcalled, upheld, overcalled)
