"""The order in which files of tests are begun: the long ones first, so that no worker waits for another at the end."""

from __future__ import annotations

import pytest

_LONG = ("tests/test_command_line.py", "tests/dashboard/browser/", "tests/test_sample_firm.py", "tests/dashboard/app/")


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    items.sort(key=lambda item: next((at for at, file in enumerate(_LONG) if item.nodeid.startswith(file)), len(_LONG)))
