"""What can go wrong, each with its sentence.

    EvenhandError
    ├── UsageError            the command was called for something that is not there
    ├── SourceError           a whole file cannot be read
    ├── CatalogError          a criterion, a table of the catalog or a firm's setting is wrong
    │   ├── CriterionError    a criterion, by its id and field
    │   └── SettingsError     a setting of firm.toml
    ├── WarehouseError        the warehouse folder cannot be used as it is
    │   └── LockedError       another load is running
    └── AuditError            the new snapshot contradicts itself; nothing was published

Refused rows are no exceptions: they are collected (see ``rejects.py``).
"""

from __future__ import annotations


class EvenhandError(Exception):
    """The root: its text is a sentence for the person who ran the command."""


class UsageError(EvenhandError):
    """The command was called for something that is not there."""


class SourceError(EvenhandError):
    """A whole file cannot be read; the other files can."""


class CatalogError(EvenhandError):
    """A criterion, a table of the catalog or a firm's setting is wrong: which one, where, and what to do."""


class CriterionError(CatalogError):
    """A field of a criterion, a derived value or a topic page cannot be used.

    Parameters
    ----------
    id
        The criterion, derived value or topic that the field belongs to.
    field
        The field, as the file names it: ``defect``, ``reason.defect``, ``needs`` …
    text
        What the field says.
    problem
        What is wrong with it, and what to do, as a sentence without its capital.
    """

    def __init__(self, id: str, field: str, text: str, problem: str) -> None:
        self.id, self.field, self.text, self.problem = id, field, text, problem
        super().__init__(f"{id}: {field} `{' '.join(text.split())}` cannot be used: {problem}.")


class SettingsError(CatalogError):
    """A setting of the firm is wrong.

    Parameters
    ----------
    file, key, value
        Where it stands, what it is called (empty where the whole file is meant), and what it says.
    problem
        What is wrong with it, and what to do, as a sentence without its capital.
    """

    def __init__(self, file: str, key: str, value: object, problem: str) -> None:
        self.file, self.key, self.value = file, key, value
        named = f", {key} = {value!r}" if key else ""
        super().__init__(f"{file}{named}: {problem}.")


class WarehouseError(EvenhandError):
    """The warehouse folder cannot be used as it is."""


class LockedError(WarehouseError):
    """Another load is running in the same warehouse folder."""


class AuditError(EvenhandError):
    """The new snapshot contradicts itself, so it was not published.

    Parameters
    ----------
    failures
        The name of each failed audit with the number of rows that it returned.
    """

    def __init__(self, failures: dict[str, int]) -> None:
        told = ", ".join(f"{name} ({rows} rows)" for name, rows in failures.items())
        super().__init__(f"The new snapshot contradicts itself and was not published: {told}. Please report this.")
