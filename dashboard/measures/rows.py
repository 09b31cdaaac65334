"""Reading a frame row by row."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pandas as pd


def each(frame: pd.DataFrame) -> Iterator[Any]:
    """The rows as named tuples; what a column holds is the reader's knowledge, not the type checker's."""
    return frame.itertuples()
