"""Fixtures that every test of the dashboard may use."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from dashboard.warehouse import Snapshot
from tests.dashboard.builders import Firm


@pytest.fixture
def firm() -> Firm:
    """A firm without observations, to be filled by the test."""
    return Firm()


@pytest.fixture
def published(tmp_path: Path) -> Iterator[Callable[[Firm], Snapshot]]:
    """Publish a firm in a folder of its own and open its snapshot."""
    opened: list[Snapshot] = []

    def publish(firm: Firm) -> Snapshot:
        opened.append(Snapshot.open(firm.publish(tmp_path / f"warehouse{len(opened)}")))
        return opened[-1]

    yield publish
    for snapshot in opened:
        snapshot.close()
