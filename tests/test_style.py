"""The style that pre-commit checks, for those who have not installed it."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]


@pytest.mark.parametrize("arguments", [("check",), ("format", "--check")], ids=["check", "format"])
def test_ruff_finds_nothing(arguments):
    done = subprocess.run(
        [sys.executable, "-m", "ruff", *arguments, "."], cwd=ROOT, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stdout + done.stderr
