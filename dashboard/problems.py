"""What the dashboard's parts raise when something asked for cannot be had; the text is a sentence for the user.

    Problem        the command ends with 1
    └── WrongUsage what was asked for is not there; the command ends with 2

This module imports nothing, so that the command can tell these from faults without loading what raised them.
"""

from __future__ import annotations


class Problem(Exception):
    """Something cannot be had; ``str()`` says what and what to do."""


class WrongUsage(Problem, LookupError):
    """A name, a format or a port was asked for that is not there."""
