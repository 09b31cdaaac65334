"""The command ``evenhand`` as a process of its own, for the price of what it does and not of what it imports.

A server imports the large libraries once, none of our modules, and forks for each command. So each command has its own
memory, folder, environment, output and exit code, imports our modules in its own order, and ends as any Python does.
Nothing that starts threads runs in the server, least of all a connection to DuckDB. Where a process may not fork once
libraries are loaded, as on macOS, each command is started in full.
"""

from __future__ import annotations

import atexit
import functools
import gc
import importlib
import json
import os
import signal
import subprocess
import sys
import tempfile
from pathlib import Path
from typing import Any, NoReturn

ROOT = Path(__file__).parents[1]
#: A load of the whole sample firm on a busy machine.
PATIENCE_SECONDS = 240
#: The day on which the tests run.
TODAY = "2026-11-25"
#: What commands import that is not ours; one forgotten here costs time and nothing else.
_LIBRARIES = (
    "altair", "click", "concurrent.futures.process", "docx", "duckdb", "filelock", "fontTools.subset", "fontTools.varLib.instancer",
    "glob", "jinja2", "numpy", "pandas", "pyarrow.compute", "pyarrow.csv", "pyarrow.parquet", "pydantic.json_schema", "pydantic.main",
    "python_calamine", "scipy.optimize", "scipy.stats", "tomllib", "typst", "vl_convert", "xlsxwriter",
)  # fmt: skip


class Command:
    """``evenhand`` in a folder and on the warehouse in it.

    ``command("load", "rows.csv", code=1)`` runs it, holds that it exits with that code and shows no trace, and returns
    what it printed; with None any code will do. With ``in_full`` it is started as users start it, imports included.
    """

    def __init__(self, folder: Path, warehouse: str = "warehouse") -> None:
        self.folder = folder
        self.environment = os.environ | {
            "EVENHAND_WAREHOUSE": str(folder / warehouse),
            "EVENHAND_TODAY": TODAY,
            "PYTHONPATH": str(ROOT),
        }

    def __call__(
        self, *arguments: str, code: int | None = 0, in_full: bool = False
    ) -> subprocess.CompletedProcess[str]:
        run = _in_full if in_full or sys.platform != "linux" else _forked
        done = run(arguments, self.folder, self.environment)
        assert code is None or done.returncode == code, done.stdout + done.stderr
        assert "Traceback" not in done.stderr
        return done


def _in_full(arguments: tuple[str, ...], folder: Path, environment: dict[str, str]) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-m", "dashboard.cli", *arguments]
    return subprocess.run(
        command, cwd=folder, env=environment, capture_output=True, text=True, timeout=PATIENCE_SECONDS, check=False
    )


def _forked(arguments: tuple[str, ...], folder: Path, environment: dict[str, str]) -> subprocess.CompletedProcess[str]:
    server = _server()
    assert server.stdin is not None
    assert server.stdout is not None
    with tempfile.TemporaryDirectory() as printed:
        out, err = Path(printed, "out"), Path(printed, "err")
        asked = {"arguments": arguments, "folder": str(folder), "environment": environment}
        server.stdin.write(json.dumps(asked | {"out": str(out), "err": str(err)}) + "\n")
        server.stdin.flush()
        answer = server.stdout.readline()
        assert answer, "the server of commands has ended"
        return subprocess.CompletedProcess(arguments, int(answer), out.read_text("utf-8"), err.read_text("utf-8"))


# ---- the server ------------------------------------------------------------------------------------------------------


@functools.cache
def _server() -> subprocess.Popen[str]:
    """The server of this process, which ends with it."""
    compiled = tempfile.TemporaryDirectory()
    command = [sys.executable, "-m", "tests.commands", compiled.name]
    server = subprocess.Popen(command, cwd=ROOT, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True)
    atexit.register(compiled.cleanup)
    atexit.register(server.communicate)  # first, as the last that is registered
    return server


def _serve(compiled: str) -> None:
    """Fork for each line that asks for a command, and answer with its exit code. In a fork, return as the command.

    ``compiled`` is a folder for what forks compile, where Python keeps nothing of it beside the modules.
    """
    for name in _LIBRARIES:
        importlib.import_module(name)
    if sys.dont_write_bytecode:  # as in many containers; each fork would compile our modules anew
        sys.dont_write_bytecode, sys.pycache_prefix = False, compiled
    gc.collect()
    gc.freeze()  # so that a fork does not copy what it only looks through
    for line in iter(sys.stdin.readline, ""):
        child = os.fork()
        if child == 0:
            _become(json.loads(line))
        _, status = os.waitpid(child, 0)
        print(os.waitstatus_to_exitcode(status), flush=True)


def _become(asked: dict[str, Any]) -> NoReturn:
    """Be the command that was asked for: its folder, environment, output and arguments."""
    signal.alarm(PATIENCE_SECONDS)
    os.chdir(asked["folder"])
    os.environ.clear()
    os.environ.update(asked["environment"])
    for number, file, way in (
        (0, os.devnull, os.O_RDONLY),
        (1, asked["out"], os.O_WRONLY | os.O_CREAT),
        (2, asked["err"], os.O_WRONLY | os.O_CREAT),
    ):
        opened = os.open(file, way)
        os.dup2(opened, number)
        os.close(opened)
    sys.argv = ["evenhand", *asked["arguments"]]
    from dashboard.cli import main

    main()
    sys.exit()


if __name__ == "__main__":
    _serve(sys.argv[1])
