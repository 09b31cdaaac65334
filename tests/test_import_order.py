"""One way only: nothing is imported by what stands to its left in the flow (see DEVELOPERS.md)."""

from __future__ import annotations

import ast
import re
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]

#: The stages in the order in which data passes through them; a module may import its own stage and earlier ones.
ETL = [
    "errors vocabulary values private",
    "contract input_tables comments",
    "readers",
    "layout",
    "tables",
    "checks rejects",
    "criteria",
    "warehouse",
    "further_rows staging by_comment build load what_if trial",
]
DASHBOARD = [
    "problems labels filters",
    "stats fasteners",
    "warehouse command",
    "measures what_if session_entry uploads",
    "charts",
    "notes",
    "findings export serve terminal",
    "store state address controls",
    "views",
    "app server",
]
#: Which modules may import a library that is kept in one place.
ONLY = {
    "streamlit": {f"dashboard.{name}" for name in ("app", "address", "store", "state", "controls", "views", "server")},
    "altair": {"dashboard.charts"},
    "duckdb": {"dashboard.warehouse", "etl"},
    "click": {"dashboard.cli", "dashboard.terminal"},
}

STATEMENT = re.compile(r"\s*(select\s.+\sfrom\s|insert\s+into\s|with\s+\w+\s+as\s*\()", re.IGNORECASE | re.DOTALL)


def modules() -> dict[str, ast.Module]:
    found = {}
    for package in ("etl", "dashboard", "sample_warehouse"):
        for path in sorted((ROOT / package).rglob("*.py")):
            name = ".".join(path.relative_to(ROOT).with_suffix("").parts).removesuffix(".__init__")
            found[name] = ast.parse(path.read_text(encoding="utf-8"))
    return found


MODULES = modules()


def imported(tree: ast.Module) -> set[str]:
    names = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            names |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module:
            names |= {node.module, *(f"{node.module}.{alias.name}" for alias in node.names)}
    return names


def stage_of(module: str, stages: list[str]) -> int | None:
    part = module.split(".")[1] if "." in module else None
    return next((number for number, names in enumerate(stages) if part in names.split()), None)


@pytest.mark.parametrize(("package", "stages"), [("etl", ETL), ("dashboard", DASHBOARD)])
def test_no_module_imports_from_a_later_stage(package, stages):
    for module, tree in MODULES.items():
        if not module.startswith(f"{package}.") or module == "dashboard.cli":
            continue
        here = stage_of(module, stages)
        assert here is not None, f"{module} has no place in the order; give it one"
        for name in imported(tree):
            if name.startswith(f"{package}."):
                there = stage_of(name, stages)
                assert there is None or there <= here, f"{module} imports {name}"


def test_etl_never_imports_the_dashboard_and_only_the_command_imports_etl():
    for module, tree in MODULES.items():
        tops = {name.split(".")[0] for name in imported(tree)}
        if module.startswith("etl"):
            assert not tops & {"dashboard", "sample_warehouse", "streamlit", "altair", "scipy"}, module
        if module.startswith("dashboard") and module != "dashboard.cli":
            assert not tops & {"etl", "sample_warehouse"}, module


@pytest.mark.parametrize("library", ONLY)
def test_a_library_stays_in_its_place(library):
    for module, tree in MODULES.items():
        if library in {name.split(".")[0] for name in imported(tree)}:
            assert any(module == place or module.startswith(f"{place}.") for place in ONLY[library]), module


def test_the_statistics_load_with_numpy_and_scipy_alone():
    code = (
        "import sys, dashboard.stats.intervals, dashboard.stats.shrinkage, dashboard.stats.discovery\n"
        "print(sorted({'pandas', 'duckdb', 'streamlit', 'altair'} & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, cwd=ROOT)
    assert done.stdout.strip() == "[]"


def test_sql_is_written_in_python_only_from_the_contract_and_the_catalog():
    """Longer statements stand in .sql files; the two generators and the tables of the contract are the exceptions."""
    loading = ("etl.further_rows", "etl.staging", "etl.by_comment", "etl.build", "etl.load", "etl.what_if")
    allowed = ("etl.checks", "etl.criteria", "etl.tables", *loading)
    for module, tree in MODULES.items():
        if module.startswith(allowed):
            continue
        for node in ast.walk(tree):
            if isinstance(node, ast.Constant) and isinstance(node.value, str):
                assert not STATEMENT.match(node.value), module
