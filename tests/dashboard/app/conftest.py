"""Pages driven through app.py, on small firms."""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
import streamlit as st
from streamlit import config
from streamlit.testing.v1 import AppTest
from streamlit.testing.v1.local_script_runner import LocalScriptRunner

from tests.dashboard.builders import Firm

APP = Path(__file__).parents[3] / "dashboard" / "app.py"


@pytest.fixture(autouse=True, scope="session")
def _no_search_for_components() -> Iterator[None]:
    """Each AppTest looks through every installed package for components of Streamlit, of which we use none."""
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr("streamlit.components.v2.manifest_scanner.scan_component_manifests", list)
        yield


@pytest.fixture(autouse=True, scope="session")
def _run_as_the_server_does() -> None:
    """An AppTest does not read the settings beside the app, and would take apart each page for what stands alone in it."""
    settings = tomllib.loads((APP.parent / ".streamlit" / "config.toml").read_text(encoding="utf-8"))
    config.set_option("runner.magicEnabled", settings["runner"]["magicEnabled"])


@pytest.fixture(autouse=True, scope="session")
def _wait_without_asking() -> Iterator[None]:
    """An AppTest asks a thousand times a second whether its run has ended, and takes the time from that run."""
    waits = "streamlit.testing.v1.local_script_runner.require_widgets_deltas"
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(waits, _run_has_ended)
        yield


def _run_has_ended(runner: LocalScriptRunner, timeout: float) -> None:
    thread = runner._script_thread
    assert thread is not None
    thread.join(timeout)
    if thread.is_alive():
        runner.request_stop()
        runner.join()
        raise RuntimeError(f"the page took longer than {timeout} s")


@pytest.fixture(autouse=True)
def _fresh_caches() -> None:
    # AppTest objects share one session and one process, so that a cache would carry one test's firm to the next.
    st.cache_data.clear()
    st.cache_resource.clear()


def turned_to(page: str, warehouse: Path, environment: pytest.MonkeyPatch) -> AppTest:
    """An app on a warehouse that is about to run the page as its first.

    An AppTest knows our pages by their files only after a run. That one finds no warehouse, so that it costs nothing.
    """
    environment.setenv("EVENHAND_WAREHOUSE", str(warehouse / "nowhere"))
    app = AppTest.from_file(str(APP), default_timeout=30)
    app = app.run().switch_page(page) if page else app
    environment.setenv("EVENHAND_WAREHOUSE", str(warehouse))
    return app


@pytest.fixture
def opened(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Callable[..., AppTest]:
    """Open a page on a firm's warehouse; on no firm, on an empty folder."""

    def open_page(firm: Firm | None = None, page: str = "", **snapshot: object) -> AppTest:
        if firm is not None:
            firm.publish(tmp_path, **snapshot)  # type: ignore[arg-type]
        return turned_to(page, tmp_path, monkeypatch).run()

    return open_page
