"""Draws that stay the same from one version of numpy to the next.

Only the raw uniform stream of the generator is used: numpy promises that it does not change, while the methods for
other distributions may.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import chain
from statistics import NormalDist
from typing import TypeVar

import numpy as np

Item = TypeVar("Item")

_BLOCK = 256


class Dice:
    """A stream of uniform draws, and the few things that are made of them."""

    def __init__(self, draws: Iterator[float]) -> None:
        self._draws = draws

    @classmethod
    def of(cls, *key: int) -> Dice:
        """The endless stream that belongs to a key: the same key always gives the same draws."""
        generator = np.random.default_rng(key)
        return cls(chain.from_iterable(iter(lambda: generator.random(_BLOCK).tolist(), None)))

    def uniform(self) -> float:
        """A number from 0 up to, not including, 1."""
        return next(self._draws)

    def happens(self, share: float) -> bool:
        """True in this share of all draws."""
        return self.uniform() < share

    def whole(self, low: int, high: int) -> int:
        """A whole number, both ends included."""
        return low + int(self.uniform() * (high - low + 1))

    def pick(self, items: Sequence[Item]) -> Item:
        """One of the items, each as likely as the next."""
        return items[int(self.uniform() * len(items))]

    def weighted(self, shares: Mapping[Item, float]) -> Item:
        """One of the keys, as likely as its share of the total."""
        return at_share(self.uniform(), shares)

    def normal(self, mean: float, spread: float) -> float:
        """A draw from a normal distribution."""
        return NormalDist(mean, spread).inv_cdf(min(max(self.uniform(), 1e-9), 1 - 1e-9))


def at_share(point: float, shares: Mapping[Item, float]) -> Item:
    """The key in whose stretch the point (0 to 1) falls when the shares are laid end to end."""
    remaining = point * sum(shares.values())
    for item, share in shares.items():
        remaining -= share
        if remaining < 0:
            return item
    return item
