"""The documents say what the code does."""

from __future__ import annotations

import importlib.util
import re
from pathlib import Path

import pytest

from dashboard.cli import evenhand
from dashboard.measures.tables import TABLES

ROOT = Path(__file__).parents[1]


def generator():
    spec = importlib.util.spec_from_file_location("generate", ROOT / "docs" / "generate.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.mark.parametrize("name", ["data.md", "commands.md", "rules.md", "tables.md"])
def test_a_generated_page_is_what_the_code_would_write_now(name):
    assert (ROOT / "docs" / name).read_text(encoding="utf-8") == generator().PAGES[name]()


def test_every_command_and_every_table_is_documented():
    commands = (ROOT / "docs" / "commands.md").read_text(encoding="utf-8")
    assert all(f"## evenhand {name}" in commands for name in evenhand.commands)
    tables = (ROOT / "docs" / "tables.md").read_text(encoding="utf-8")
    assert all(f"## {name}" in tables for name in TABLES)


@pytest.mark.parametrize("page", sorted(ROOT.glob("*.md")) + sorted((ROOT / "docs").glob("*.md")), ids=lambda p: p.name)
def test_links_lead_to_files_that_are_there(page):
    for target in re.findall(r"\]\(([^)#]+)", page.read_text(encoding="utf-8")):
        if "://" not in target:
            assert (page.parent / target).exists(), target


def test_paths_named_for_developers_are_there():
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    for path in re.findall(r"`((?:etl|dashboard|sample_warehouse|tests|docs)/[\w./-]+)`", text):
        assert (ROOT / path).exists(), path


def test_the_readme_opens_with_the_job_and_gives_two_commands():
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    first = text.split("\n\n")[1]
    assert first.startswith("A home-inspection firm sends different inspectors")
    assert len(re.findall(r"<!-- (demo|test) command -->\n```\n(python3 -m venv .+)\n```", text)) == 2
    assert "licensed practice stand above them" in text
