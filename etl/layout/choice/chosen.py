"""What is chosen: for each column of the contract a foreign one, with what speaks for it."""

from __future__ import annotations

from dataclasses import dataclass, field

from etl.layout.profile import Profile

#: A foreign column, and the joined table that it stands in; None in the rows.
Foreign = tuple[str | None, Profile]


@dataclass
class Choice:
    """A foreign column that was chosen for one of the contract.

    Attributes
    ----------
    table
        The joined table that it stands in; None in the rows.
    sure
        Whether its label says so; else a person has to confirm it, and ``why`` says what spoke for it.
    """

    label: str
    profile: Profile
    table: str | None = None
    sure: bool = True
    why: str = ""
    #: Columns of other files that hold the same where this one is not there.
    else_from: list[str] = field(default_factory=list)
    optional: bool = False
    #: What the codes of the column mean, by a list of codes that stands in another table.
    codes: dict[str, str] = field(default_factory=dict)
    #: It is taken only where another column holds one of these words.
    only: dict[str, list[str]] = field(default_factory=dict)


@dataclass
class Block:
    """What was chosen for one observation of a wide row; its topic is None where a column of its own says it."""

    topic: str | None
    columns: dict[str, Choice] = field(default_factory=dict)
    sure: bool = True


@dataclass
class Chosen:
    """What was chosen of the columns of a table and of those that are joined to it."""

    columns: dict[str, Choice] = field(default_factory=dict)
    wide: list[Block] = field(default_factory=list)
    private: list[tuple[str, str]] = field(default_factory=list)
    unused: list[str] = field(default_factory=list)
    unit_of: dict[str, str] = field(default_factory=dict)
    #: Of columns that come again with a number: what was chosen of all its numbers together.
    grouped: dict[str, Choice] = field(default_factory=dict)

    def by_name(self) -> list[tuple[str, Choice]]:
        """Each choice with the contract's column that it is for, those of wide rows too."""
        wide = [(name, choice) for block in self.wide for name, choice in block.columns.items()]
        return [*self.columns.items(), *wide]
