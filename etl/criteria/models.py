"""What the catalog's files may hold: criteria, topic pages, derived values, and where each is known from.

Every model refuses fields that it does not know. The conditions in them are checked in
:mod:`etl.criteria.conditions`; whether they fit together, in :mod:`etl.criteria.catalog`.
"""

from __future__ import annotations

from datetime import date
from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field, StringConstraints, field_validator, model_validator

from etl.criteria.settings import DECK_GUIDE, EDITIONS

#: How a value is known. "read" is a copy of the document that was read; "secondary" a transcription or the
#: trade press quoting it; "from memory" is unconfirmed; "common practice" has no published source.
Known = Literal["read", "secondary", "from memory", "computed", "common practice"]
COMMON_PRACTICE = "common practice"
DECIDING = ("defect", "judgment", "acceptable")  # in the order in which they stand before each other

Words = Annotated[str, StringConstraints(min_length=1, strip_whitespace=True)]


class _Entry(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)


class Source(_Entry):
    """Where a rule is written, and how that is known.

    ``later`` gives the section in editions that have renumbered it: ``{ 2024 = "R321.1.1" }``.
    """

    document: Words
    edition: str = ""
    section: str = ""
    known: Known
    later: dict[int, Words] = Field(default_factory=dict)

    def section_in(self, edition: int) -> str:
        """The section as an edition numbers it."""
        renumbered = [year for year in self.later if year <= edition]
        return self.later[max(renumbered)] if renumbered else self.section

    def cited(self, section: str | None = None) -> str:
        """As a reason names it: ``IRC 2021 Table R507.6``; with another way of writing its section."""
        if self.known == COMMON_PRACTICE:
            return COMMON_PRACTICE
        parted = "-" if self.document == DECK_GUIDE and self.edition else " "
        named = f"{self.document}{parted}{self.edition}".strip()
        return " ".join(part for part in (named, self.section if section is None else section) if part)

    def sections(self) -> str:
        """The section, with its later numbers in brackets."""
        return self.section + "".join(f" ({year}: {section})" for year, section in self.later.items())


class Said(_Entry):
    """Words for the rows where ``when`` holds (always, where there is none).

    In the words ``{measure}`` stands for what was recorded; a part in square brackets is left out where
    one of its values is not recorded.
    """

    when: Words | None = None
    say: Words


class Reasons(_Entry):
    """The sentence for each verdict that a criterion can give; ``{measure}`` and ``[…]`` as in :class:`Said`."""

    defect: Words | None = None
    judgment: Words | None = None
    acceptable: Words | None = None


class Local(_Entry):
    """Whose rules a firm's file holds, where, by whom written down and when.

    ``regions`` are those of the reports, or ``all``; elsewhere the catalog's own rules hold.
    """

    jurisdiction: Words
    regions: Literal["all"] | Annotated[tuple[Words, ...], Field(min_length=1)]
    author: Words
    date: date


class Criterion(_Entry):
    """A written rule that turns measures into a verdict.

    Attributes
    ----------
    needs
        Measures, deck columns and derived values that it cannot do without: asked for where they are missing.
    uses
        The same, read where recorded, never asked for.
    when
        A condition for the rule to apply at all.
    unless_recorded
        The rule is skipped where one of these is recorded: a better measure decides.
    defect, judgment, acceptable
        Conditions for the verdicts. A condition over something not recorded does not decide.
    editions
        The editions of the IRC, or ``DCA 6``, for which it holds; none listed means all.
    built_from, built_to
        The years of building for which it holds.
    plain, caution, weight
        One sentence for a note; what not to read into it; how much a wrong call matters (1, 3, 10).
    local, not_in_regions
        Whose rule it is, where it is no rule of the catalog; the regions in which a local rule stands in its place.
        Both come with the file, never from the entry itself.
    """

    id: Annotated[str, StringConstraints(pattern=r"^[a-z0-9_]+(\.[a-z0-9_]+)+$")]
    topic: str
    title: Words
    needs: tuple[str, ...] = ()
    uses: tuple[str, ...] = ()
    when: Words | None = None
    unless_recorded: tuple[str, ...] = ()
    defect: Words | None = None
    judgment: Words | None = None
    acceptable: Words | None = None
    reason: Reasons
    source: Source
    editions: tuple[int | Literal["DCA 6"], ...] = ()
    built_from: int | None = None
    built_to: int | None = None
    plain: Words
    caution: str = ""
    weight: Literal[1, 3, 10]
    local: Local | None = None
    not_in_regions: tuple[str, ...] = ()

    @property
    def regions(self) -> tuple[str, ...]:
        """The regions in which a local rule holds; empty where it holds in all."""
        return () if self.local is None or self.local.regions == "all" else self.local.regions

    @model_validator(mode="after")
    def _complete(self) -> Criterion:
        if not any(getattr(self, verdict) for verdict in DECIDING):
            raise ValueError("it has no condition: give at least one of defect, judgment, acceptable")
        for verdict in DECIDING:
            if (getattr(self, verdict) is None) != (getattr(self.reason, verdict) is None):
                raise ValueError(f"{verdict} and reason.{verdict} belong together: give both or neither")
        for edition in self.editions:
            if edition != DECK_GUIDE and edition not in EDITIONS:
                known = ", ".join(map(str, EDITIONS))
                raise ValueError(f'editions: {edition} is no edition of the IRC; write some of {known}, "{DECK_GUIDE}"')
        return self


class TopicPage(_Entry):
    """What the pages and notes say of a topic, and how its rows are grouped by what was recorded.

    Attributes
    ----------
    plain, habit, caution
        The rule in one or two sentences; what to do and record next time; what not to read into it.
    recorded
        The kind of what was recorded, by the first of these that applies and whose values are all recorded.
    open
        Why nothing was decided although nothing is missing, by the first that applies.
    also_measures
        Measures that belong to the topic although no criterion reads them.
    """

    topic: str
    plain: Words
    habit: Words
    caution: str = ""
    recorded: tuple[Said, ...] = ()
    open: tuple[Said, ...] = ()
    also_measures: tuple[str, ...] = ()


class LookUp(_Entry):
    """A value out of a table of the catalog (:mod:`etl.criteria.look_ups`).

    Attributes
    ----------
    table, value
        The file in ``catalog/tables`` and its column that is read.
    keys
        Columns whose cell must equal what the name holds; a cell may list several words, parted by blanks.
    up_to
        Numeric columns of which the first cell at or above what the name holds counts: between two rows the next one
        holds, and beyond the last nothing does.
    unknown
        What stands where a name of ``unknown_keys`` is not recorded, or recorded as ``unknown``: the ``least`` or the
        ``most`` over all rows that could hold.
    """

    table: str
    value: str
    keys: dict[str, str] = Field(default_factory=dict)
    up_to: dict[str, str] = Field(default_factory=dict)
    unknown: Literal["least", "most"] | None = None
    unknown_keys: tuple[str, ...] = ()

    @property
    def names(self) -> tuple[str, ...]:
        """The names that it is looked up by."""
        return (*self.keys.values(), *self.up_to.values())

    @model_validator(mode="after")
    def _complete(self) -> LookUp:
        if not self.names:
            raise ValueError("it has nothing to look up by; give keys or up_to")
        if (self.unknown is None) != (not self.unknown_keys):
            raise ValueError("unknown and unknown_keys belong together: give both or neither")
        if not {*self.unknown_keys} <= {*self.names}:
            raise ValueError("unknown_keys are names among keys and up_to")
        return self


class Note(_Entry):
    """Words added to a reason that a named default decided; ``if_assumed``: only where the firm has not set it."""

    when: Words | None = None
    say: Words
    if_assumed: bool = False


class Derived(_Entry):
    """A value worked out from what was recorded: by an expression, from a table, or from the firm's settings.

    Attributes
    ----------
    made_of
        What it comes from, the best first: where it is missing, the first of these that is not recorded is named.
    sql, look_up, setting
        How it is made; exactly one. ``setting`` is ``code_basis``, ``adopted`` with an ``edition``, or what the firm
        has set for the report's region: ``frost_depth_in``, ``design_load_psf``.
    called
        What it is called in a sentence, where its id with blanks is not good enough.
    note
        The words that a reason gets where a default stood in.
    """

    id: Annotated[str, StringConstraints(pattern=r"^[a-z][a-z0-9_]*$")]
    made_of: tuple[str, ...] = ()
    sql: Words | None = None
    look_up: LookUp | None = None
    setting: Literal["code_basis", "adopted", "frost_depth_in", "design_load_psf"] | None = None
    edition: int | None = None
    called: str = ""
    note: Note | None = None

    @model_validator(mode="after")
    def _one_way(self) -> Derived:
        if sum(way is not None for way in (self.sql, self.look_up, self.setting)) != 1:
            raise ValueError("give exactly one of sql, look_up and setting")
        if (self.setting == "adopted") != (self.edition is not None):
            raise ValueError("setting = 'adopted' and edition belong together")
        return self


class RulesFile(_Entry):
    """A file of the catalog, or a firm's own ``criteria.toml``, which says under ``local`` whose rules it holds."""

    local: Local | None = None
    derived: tuple[Derived, ...] = ()
    topic: tuple[TopicPage, ...] = ()
    criterion: tuple[Criterion, ...] = ()

    @field_validator("criterion")
    @classmethod
    def _whose_it_is_comes_with_the_file(cls, criteria: tuple[Criterion, ...]) -> tuple[Criterion, ...]:
        for criterion in criteria:
            for field in criterion.model_fields_set & {"local", "not_in_regions"}:
                raise ValueError(f"{criterion.id} has a field {field}; write once, at the top of the file, [local]")
        return criteria
