"""What a firm decides for itself: the guideline its reports are measured against, and when editions were adopted."""

from __future__ import annotations

import json
import re
import tomllib
from pathlib import Path

from pydantic import BaseModel, ConfigDict, Field, ValidationError, field_validator

from etl.errors import SettingsError

#: The editions of the IRC, each by its year of publication.
EDITIONS = (2000, 2003, 2006, 2009, 2012, 2015, 2018, 2021, 2024)
DEFAULT_GUIDELINE = "IRC 2021"
_GUIDELINE = r"IRC (\d{4})"


class FirmSettings(BaseModel):
    """The firm's own settings, from ``firm.toml``.

    Attributes
    ----------
    code_basis
        The guideline for reports that name none, ``IRC 2021``.
    adopted
        The year in which an edition came into force here, by edition: ``{2021: 2023}``. A deck built in that very
        year counts as older, since its permit may have been drawn before.
    """

    model_config = ConfigDict(extra="forbid", frozen=True)

    code_basis: str = DEFAULT_GUIDELINE
    adopted: dict[int, int] = Field(default_factory=dict)

    @field_validator("code_basis")
    @classmethod
    def _names_an_edition(cls, guideline: str) -> str:
        match = re.fullmatch(_GUIDELINE, guideline)
        if match is None or int(match[1]) not in EDITIONS:
            raise ValueError(f"no guideline that the rules know; write IRC and one of {_listed()}, as in IRC 2021")
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
    return json.dumps([settings.code_basis, years, sorted(settings.adopted)])


def _problem(kind: str, message: str) -> str:
    if kind == "extra_forbidden":
        return f"no such setting; the settings are {', '.join(FirmSettings.model_fields)}. Take it out"
    if kind == "value_error":
        return message.removeprefix("Value error, ")
    return f"{message[0].lower()}{message[1:]}; correct it or take it out"


def _listed() -> str:
    return ", ".join(str(edition) for edition in EDITIONS)
