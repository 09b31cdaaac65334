"""What can go wrong, each with its sentence.

    EvenhandError
    ├── UsageError            the command was called for something that is not there
    ├── SourceError           a whole file cannot be read
    ├── LayoutError           a layout cannot be used, or holds what nobody has confirmed
    ├── CatalogError          a criterion, a table of the catalog or a firm's setting is wrong
    │   ├── CriterionError    a criterion, by its id and field
    │   └── SettingsError     a setting of firm.toml
    ├── WarehouseError        the warehouse folder cannot be used as it is
    │   ├── LockedError       another load is running
    │   └── MixedPassesError  reports that list what was passed, and reports that leave it to be understood
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


class LayoutError(EvenhandError):
    """A layout cannot be used as it is.

    Parameters
    ----------
    file
        Its name.
    problems
        Each with the line that it stands in, as a sentence without its capital.
    unsettled
        Whether it could be read, and holds guesses that nobody has confirmed.
    """

    def __init__(self, file: str, problems: list[str], unsettled: bool = False) -> None:
        self.file, self.problems, self.unsettled = file, problems, unsettled
        told = "".join(f"\n  {problem}." for problem in problems)
        some = "one thing is" if len(problems) == 1 else f"{len(problems)} things are"
        what = f"nothing was loaded, since {some} not settled yet" if unsettled else "it cannot be used"
        super().__init__(f"{file}: {what}:{told}")


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


class MixedPassesError(WarehouseError):
    """Reports that list what was passed would stand beside reports that leave it to be understood."""

    def __init__(self) -> None:
        super().__init__(
            "Some of these reports list what was passed, and of others a layout says that what they do not mention is "
            "passed. No rate may count both, so nothing was published; load one kind into a warehouse of its own: "
            "--warehouse DIR."
        )


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
