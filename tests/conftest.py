"""The order in which files of tests are begun, and which go together.

The long ones come first, so that no worker waits for another at the end. Those in the browser are one worker's: another
would start a second server and a second browser, and have all pages of the sample firm worked out again.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    from collections.abc import Callable

    from xdist.scheduler import LoadFileScheduling

_BROWSER = "tests/dashboard/browser/"
_LONG = (_BROWSER, "tests/test_command_line.py", "tests/test_sample_firm.py", "tests/dashboard/app/")


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    items.sort(key=lambda item: next((at for at, file in enumerate(_LONG) if item.nodeid.startswith(file)), len(_LONG)))


@pytest.hookimpl(optionalhook=True)
def pytest_xdist_make_scheduler(config: pytest.Config, log: Callable[..., None]) -> LoadFileScheduling | None:
    """As ``--dist loadfile`` does it, but for the browser; any other ``--dist`` is xdist's own affair."""
    if config.getoption("dist") != "loadfile":
        return None
    from xdist.scheduler import LoadFileScheduling

    class BrowserAtOnce(LoadFileScheduling):
        def _split_scope(self, nodeid: str) -> str:
            return _BROWSER if nodeid.startswith(_BROWSER) else str(super()._split_scope(nodeid))

    return BrowserAtOnce(config, log)
