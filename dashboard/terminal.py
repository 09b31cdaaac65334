"""What a person at a terminal sees while a command works."""

from __future__ import annotations

import sys
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager

import click

#: Until then nothing is said: most answers are there before.
_QUIET_SECONDS = 1.0


@contextmanager
def working(what: str) -> Iterator[None]:
    """On a terminal, say on stderr what is being worked out and for how long, and take it away at the end.

    In a pipe or a file nothing is said. How much is left nobody knows: the work is one statement, or one model.
    """
    if not sys.stderr.isatty():
        yield
        return
    done, start = threading.Event(), time.monotonic()

    def tell() -> None:
        while not done.wait(_QUIET_SECONDS):
            click.echo(f"\r{what} … {time.monotonic() - start:.0f} s", nl=False, err=True)

    teller = threading.Thread(target=tell, daemon=True)
    teller.start()
    try:
        yield
    finally:
        done.set()
        teller.join()
        if time.monotonic() - start > _QUIET_SECONDS:
            click.echo(f"\r{' ' * (len(what) + 12)}\r", nl=False, err=True)
