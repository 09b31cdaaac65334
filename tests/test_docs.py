"""The documents say what the code does."""

from __future__ import annotations

import importlib.util
import re
import sys
from pathlib import Path

import pytest

from dashboard.cli import evenhand
from dashboard.measures.tables import TABLES

ROOT = Path(__file__).parents[1]


PAGES = sorted(ROOT.glob("*.md")) + sorted((ROOT / "docs").glob("*.md"))
GUIDES = [ROOT / "docs" / f"{user}.md" for user in ("owner", "inspector", "trainer")]
PICTURES = ROOT / "docs" / "pictures"
_IMAGE = re.compile(r"!\[([^\]]*)\]\(([^)]+)\)")
_MOST_BYTES = 1_500_000


def script(name: str):
    """A script of docs/ as a module."""
    spec = importlib.util.spec_from_file_location(name, ROOT / "docs" / f"{name}.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    # Where a data class of it looks for its own module.
    sys.modules[name] = module
    spec.loader.exec_module(module)
    return module


def images(page: Path) -> list[tuple[str, Path]]:
    """The images of a page: alternative text and file."""
    found = _IMAGE.findall(page.read_text(encoding="utf-8"))
    return [(text, (page.parent / target).resolve()) for text, target in found]


def anchors(page: Path) -> set[str]:
    """The names by which a page's headings can be linked to, as code hosts make them."""
    headings = re.findall(r"^#+ (.+)$", page.read_text(encoding="utf-8"), re.MULTILINE)
    return {re.sub(r"[^\w -]", "", heading.lower()).replace(" ", "-") for heading in headings}


@pytest.mark.parametrize("name", ["data.md", "commands.md", "rules.md", "tables.md"])
def test_a_generated_page_is_what_the_code_would_write_now(name):
    assert (ROOT / "docs" / name).read_text(encoding="utf-8") == script("generate").PAGES[name]()


def test_every_command_and_every_table_is_documented():
    commands = (ROOT / "docs" / "commands.md").read_text(encoding="utf-8")
    assert all(f"## evenhand {name}" in commands for name in evenhand.commands)
    tables = (ROOT / "docs" / "tables.md").read_text(encoding="utf-8")
    assert all(f"## {name}" in tables for name in TABLES)


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.name)
def test_links_lead_to_files_and_headings_that_are_there(page):
    for target in re.findall(r"\]\(([^)]+)\)", page.read_text(encoding="utf-8")):
        if "://" not in target:
            name, _, heading = target.partition("#")
            file = page.parent / name if name else page
            assert file.exists(), target
            assert not heading or heading in anchors(file), target


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


# ---- the guides and their pictures -----------------------------------------------------------------------------------


def test_the_pictures_are_those_that_the_script_makes_and_each_is_shown():
    names = {f"{name}.png" for name in script("screenshots").SHOWN}
    assert {file.name for file in PICTURES.iterdir()} == names
    assert {file.name for page in PAGES for _, file in images(page)} == names


def test_the_pictures_are_small():
    assert sum(file.stat().st_size for file in PICTURES.iterdir()) < _MOST_BYTES
    for file in PICTURES.iterdir():
        assert file.read_bytes().startswith(b"\x89PNG"), file.name


@pytest.mark.parametrize("page", [page for page in PAGES if images(page)], ids=lambda page: page.name)
def test_an_alternative_text_says_what_the_script_finds_on_the_page(page):
    shown = script("screenshots").SHOWN
    for text, file in images(page):
        assert file.parent == PICTURES, file
        assert shown[file.stem].says in text, f"{file.stem}: {text}"


@pytest.mark.parametrize("guide", GUIDES, ids=lambda guide: guide.name)
def test_what_a_guide_names_in_bold_stands_on_a_page(guide):
    modules = (ROOT / "dashboard").rglob("*.py")
    written = "\n".join(module.read_text(encoding="utf-8") for module in modules)
    named = set(re.findall(r"\*\*(.+?)\*\*", guide.read_text(encoding="utf-8"))) - {"bold"}
    assert len(named) > 5
    assert {words for words in named if words not in written} == set()


@pytest.mark.parametrize("guide", GUIDES, ids=lambda guide: guide.name)
def test_each_guide_has_its_cautions_and_is_led_to(guide):
    text = guide.read_text(encoding="utf-8")
    assert "no statement that a deck is safe" in text
    assert "for learning, not for pay or dismissal" in text
    assert f"](docs/{guide.name})" in (ROOT / "README.md").read_text(encoding="utf-8")


def test_the_readme_shows_two_pictures_before_its_first_command():
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    assert len(images(ROOT / "README.md")) == 2
    assert text.rindex("![") < text.index("<!-- demo command -->")


def test_the_last_month_of_the_sample_goes_into_a_file_of_its_own(tmp_path):
    file = tmp_path / "reports_2026_h2.csv"
    lines = [
        "report_id,inspected_on,joist_gap_in",
        "A,2026-09-30,1/2",
        "B,2026-10-01,001",
        "B,31.02.2025,",
        "C,2026-07-02,x",
    ]
    file.write_text("\n".join(lines) + "\n", encoding="utf-8")
    script("screenshots").move_last_month(file, tmp_path / "last")
    assert file.read_text(encoding="utf-8").splitlines() == [lines[0], lines[1], lines[4]]
    moved = [path.read_text(encoding="utf-8").splitlines() for path in (tmp_path / "last").iterdir()]
    assert moved == [[lines[0], lines[2], lines[3]]]
