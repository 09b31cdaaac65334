"""A real server and a real Chromium. Without a browser these tests are skipped, and in CI they fail."""

from __future__ import annotations

import os
import shutil
import socket
import subprocess
import sys
import time
import urllib.request
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.dashboard import firms

ROOT = Path(__file__).parents[3]
NAMES = ("chromium", "chromium-browser", "google-chrome")


@pytest.fixture(scope="session")
def browser_path() -> str:
    """``$EVENHAND_CHROMIUM``, else the first Chromium on the path."""
    found = os.environ.get("EVENHAND_CHROMIUM") or next(filter(None, map(shutil.which, NAMES)), None)
    if found:
        return found
    reason = f"no Chromium: none of {', '.join(NAMES)} is on the path, and EVENHAND_CHROMIUM is not set"
    if os.environ.get("CI"):
        pytest.fail(reason)
    pytest.skip(reason)


@pytest.fixture(scope="session")
def address(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """The address of a server on a small firm, started from a folder that is not the program's."""
    folder = tmp_path_factory.mktemp("served")
    firm = firms.one_size_down()
    firm.rows += firms.old_decks_gap().rows
    for number, row in enumerate(firm.rows):
        row |= {"report_id": f"S{number}", "deck_id": f"DS{number}", "observation_id": f"S{number}:1"}
    firm.publish(folder)
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    command = [sys.executable, "-m", "streamlit", "run", str(ROOT / "dashboard" / "app.py")]
    options = [f"--server.port={port}", "--server.headless=true"]
    settings = os.environ | {"EVENHAND_WAREHOUSE": str(folder), "PYTHONPATH": str(ROOT)}
    with (folder / "server.log").open("w") as log:
        server = subprocess.Popen([*command, *options], cwd=folder, env=settings, stdout=log, stderr=log)
    try:
        _wait_for(f"http://127.0.0.1:{port}/_stcore/health", server)
        yield f"http://127.0.0.1:{port}"
    finally:
        server.terminate()
        server.wait(timeout=10)


def _wait_for(health: str, server: subprocess.Popen[bytes]) -> None:
    deadline = time.monotonic() + 60
    while time.monotonic() < deadline:
        assert server.poll() is None, "the server ended before it answered"
        try:
            with urllib.request.urlopen(health, timeout=1):
                return
        except OSError:
            time.sleep(0.1)
    pytest.fail("the server did not answer")
