"""On a terminal a long command says that it works and for how long; in a pipe it says nothing."""

from __future__ import annotations

import sys
import time

import pytest

from dashboard import terminal


@pytest.mark.parametrize("on_terminal", [True, False])
def test_a_person_sees_what_is_worked_out_and_a_pipe_nothing(on_terminal, monkeypatch, capsys):
    monkeypatch.setattr(terminal, "_QUIET_SECONDS", 0.01)
    monkeypatch.setattr(sys.stderr, "isatty", lambda: on_terminal)
    with terminal.working("Working out inspectors"):
        time.sleep(0.1)
    told = capsys.readouterr()
    assert told.out == ""
    assert ("\rWorking out inspectors … 0 s" in told.err) is on_terminal
    assert not on_terminal or told.err.endswith(" \r")


def test_an_error_ends_it_too(monkeypatch, capsys):
    monkeypatch.setattr(sys.stderr, "isatty", lambda: True)
    with pytest.raises(ValueError, match="no"), terminal.working("Writing"):
        raise ValueError("no")
    assert capsys.readouterr().err == ""
