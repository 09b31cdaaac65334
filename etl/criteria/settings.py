"""What a firm decides for itself: the guideline its reports are measured against, and when editions were adopted."""

from __future__ import annotations

import json
import re
import tomllib
from decimal import Decimal
from pathlib import Path
from typing import Annotated, Literal

from pydantic import (
    BaseModel,
    ConfigDict,
    Field,
    StringConstraints,
    ValidationError,
    ValidationInfo,
    field_validator,
)

from etl import vocabulary
from etl.errors import SettingsError

#: The editions of the IRC, each by its year of publication.
EDITIONS = (2000, 2003, 2006, 2009, 2012, 2015, 2018, 2021, 2024)
DEFAULT_GUIDELINE = "IRC 2021"
#: The deck construction guide of the wood council, whose tables differ from the IRC's.
DECK_GUIDE = "DCA 6"
_GUIDELINE = r"IRC (\d{4})"

Region = Annotated[str, StringConstraints(min_length=1, strip_whitespace=True)]


class FirmSettings(BaseModel):
    """The firm's own settings, from ``firm.toml``.

    Attributes
    ----------
    code_basis
        The guideline for reports that name none, ``IRC 2021``.
    adopted
        The year in which an edition came into force here, by edition: ``{2021: 2023}``. A deck built in that very
        year counts as older, since its permit may have been drawn before.
    design_load_psf, frost_depth_in
        By region, where a report does not record them: ``{"Ridge": 60}``.
    guard_bands
        By measure, in its unit: a value closer than this to where the verdict turns is left to the inspector.
    comments
        What becomes of the measures that comments state: ``unread``; ``shown`` (read, kept and shown in the case); or
        ``decide`` (where nothing was recorded they decide, too), which holds where nothing is said, unless a load
        brings more different comments than are read unasked. How often what is read is right: docs/comments.md.
    """

    model_config = ConfigDict(extra="forbid", frozen=True)

    code_basis: str = DEFAULT_GUIDELINE
    adopted: dict[int, int] = Field(default_factory=dict)
    design_load_psf: dict[Region, Decimal] = Field(default_factory=dict)
    frost_depth_in: dict[Region, Decimal] = Field(default_factory=dict)
    guard_bands: dict[str, Decimal] = Field(default_factory=dict)
    comments: Literal["unread", "shown", "decide"] | None = None

    @field_validator("code_basis")
    @classmethod
    def _names_an_edition(cls, guideline: str) -> str:
        match = re.fullmatch(_GUIDELINE, guideline)
        if guideline != DECK_GUIDE and (match is None or int(match[1]) not in EDITIONS):
            raise ValueError(
                f"no guideline that the rules know; write {DECK_GUIDE}, or IRC and one of {_listed()}, as in IRC 2021"
            )
        return guideline

    @field_validator("adopted")
    @classmethod
    def _adopts_an_edition(cls, adopted: dict[int, int]) -> dict[int, int]:
        for edition, year in adopted.items():
            if edition not in EDITIONS:
                raise ValueError(f"{edition} is no edition of the IRC; write one of {_listed()}")
            if not edition <= year <= edition + 50:
                raise ValueError(f"{year} cannot be the year in which the {edition} edition was adopted")
        return adopted

    @field_validator("design_load_psf", "frost_depth_in")
    @classmethod
    def _is_plausible(cls, by_region: dict[str, Decimal], info: ValidationInfo) -> dict[str, Decimal]:
        measure = vocabulary.measures()[str(info.field_name)]
        for region, value in by_region.items():
            _check_plausible(measure, value, f"of {region}")
        return by_region

    @field_validator("guard_bands")
    @classmethod
    def _bands_a_number(cls, bands: dict[str, Decimal]) -> dict[str, Decimal]:
        numbers = {measure.id: measure for measure in vocabulary.measures().values() if measure.kind == "number"}
        for name, width in bands.items():
            if name not in numbers:
                raise ValueError(f"{name} is no measured number; a guard band is for one of {', '.join(numbers)}")
            if not 0 < width <= Decimal(str(numbers[name].high)) / 4:
                raise ValueError(f"{width} {numbers[name].unit} cannot be a guard band of {name}; write a small number")
        return bands

    def adopted_year(self, edition: int) -> int:
        """The year in which an edition came into force: as set, else the year after its publication."""
        return self.adopted.get(edition, edition + 1)


def read_settings(path: Path) -> FirmSettings:
    """The settings of a ``firm.toml``; the defaults where there is no such file.

    Raises
    ------
    SettingsError
        Naming file, key and value, and what to do.
    """
    if not path.exists():
        return FirmSettings()
    try:
        received = tomllib.loads(path.read_text(encoding="utf-8-sig"))
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
        raise SettingsError(path.name, "", None, f"not a TOML file ({error}); mend or remove it") from None
    try:
        return FirmSettings.model_validate(received)
    except ValidationError as error:
        first = error.errors()[0]
        key = ".".join(str(part) for part in first["loc"] if part != "[key]")
        raise SettingsError(path.name, key, first["input"], _problem(first["type"], first["msg"])) from None


def settings_text(settings: FirmSettings) -> str:
    """The settings as one text, the same whenever they mean the same."""
    years = {edition: settings.adopted_year(edition) for edition in EDITIONS}
    by_name = [settings.design_load_psf, settings.frost_depth_in, settings.guard_bands]
    written = [{name: str(value.normalize()) for name, value in sorted(each.items())} for each in by_name]
    return json.dumps([settings.code_basis, settings.comments, years, sorted(settings.adopted), *written])


def _check_plausible(measure: vocabulary.Measure, value: Decimal, where: str) -> None:
    if not Decimal(str(measure.low)) <= value <= Decimal(str(measure.high)):
        raise ValueError(
            f"{value} {measure.unit} cannot be the {measure.title.lower()} {where}; "
            f"write {measure.low:g} to {measure.high:g} {measure.unit}"
        )


def _problem(kind: str, message: str) -> str:
    if kind == "extra_forbidden":
        return f"no such setting; the settings are {', '.join(FirmSettings.model_fields)}. Take it out"
    if kind == "value_error":
        return message.removeprefix("Value error, ")
    return f"{message[0].lower()}{message[1:]}; correct it or take it out"


def _listed() -> str:
    return ", ".join(str(edition) for edition in EDITIONS)
