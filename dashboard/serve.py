"""Serving the dashboard: Streamlit in a child process, on this machine only."""

from __future__ import annotations

import os
import signal
import socket
import subprocess
import sys
import time
import urllib.request
import webbrowser
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from dashboard.problems import WrongUsage

ADDRESS = "127.0.0.1"
FIRST_PORT = 8520
_START_SECONDS = 60


class PortTaken(WrongUsage):
    """The port that was asked for is in use; its text is the sentence for the user."""


def serve(warehouse: Path, port: int | None, browser: bool, tell: Callable[[str], None]) -> int:
    """Serve the dashboard of a warehouse until Ctrl-C; returns the exit code.

    Parameters
    ----------
    warehouse
        The warehouse folder; it may still be empty.
    port
        The port to serve on; None takes the first free one from ``FIRST_PORT`` on.
    browser
        Whether to open the page in the user's browser.
    tell
        Called with what the user should know.

    Raises
    ------
    PortTaken
        Where the port asked for is in use.
    """
    with served(warehouse, port) as server:
        previous = signal.signal(signal.SIGTERM, lambda *_: server.stop())
        try:
            if not server.answers():
                return server.process.wait() or 1
            tell(f"The dashboard is at {server.address} (this machine only). Ctrl-C ends it.")
            if browser:
                webbrowser.open(server.address)
            server.process.wait()
            return 0
        except KeyboardInterrupt:
            return 0
        finally:
            signal.signal(signal.SIGTERM, previous)


@contextmanager
def served(warehouse: Path, port: int | None = None) -> Iterator[Server]:
    """The dashboard of a warehouse in a child process, which ends with the block.

    Parameters
    ----------
    warehouse, port
        As :func:`serve` takes them.

    Raises
    ------
    PortTaken
    """
    port = _free_port() if port is None else _asked_port(port)
    environment = os.environ | {"EVENHAND_WAREHOUSE": str(warehouse.resolve())}
    # Streamlit greets on stdout, with the address that the caller tells; warnings and errors come on stderr.
    child = subprocess.Popen(_command(port), env=environment, stdout=subprocess.DEVNULL)
    server = Server(f"http://{ADDRESS}:{port}", child)
    try:
        yield server
    finally:
        server.stop()


@dataclass(frozen=True)
class Server:
    """A running server: its address and its process."""

    address: str
    process: subprocess.Popen[bytes]

    def answers(self) -> bool:
        """Wait until the server answers; False where it ended before it did."""
        deadline = time.monotonic() + _START_SECONDS
        while time.monotonic() < deadline and self.process.poll() is None:
            try:
                with urllib.request.urlopen(f"{self.address}/_stcore/health", timeout=1):
                    return True
            except OSError:
                time.sleep(0.1)
        return False

    def stop(self) -> None:
        """End it, if it has not ended: asked first, then made to."""
        if self.process.poll() is None:
            self.process.terminate()
            try:
                self.process.wait(timeout=5)
            except subprocess.TimeoutExpired:
                self.process.kill()


def _command(port: int) -> list[str]:
    app = Path(__file__).with_name("app.py")
    options = [f"--server.port={port}", f"--server.address={ADDRESS}", "--server.headless=true"]
    options.append("--logger.level=warning")
    return [sys.executable, "-m", "dashboard.server", "run", str(app), *options]


def _is_free(port: int) -> bool:
    with socket.socket() as probe:
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind((ADDRESS, port))
        except OSError:
            return False
    return True


def _free_port() -> int:
    return next(port for port in range(FIRST_PORT, 65536) if _is_free(port))


def _asked_port(port: int) -> int:
    if not _is_free(port):
        raise PortTaken(f"Port {port} is in use. Choose another with --port, or leave it out.")
    return port
