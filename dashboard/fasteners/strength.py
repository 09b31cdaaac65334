"""How strong wood and steel bear against a fastener, and how much a fastener resists bending."""

from __future__ import annotations

import math
from typing import Literal

Direction = Literal["parallel", "perpendicular"]

#: From this diameter on, wood bears more along its grain than across it.
LARGE_IN = 0.25
#: From this thickness on, side plates are of hot-rolled plate; thinner ones of gauge steel.
PLATE_IN = 0.25
GAUGE_STEEL_PSI = 61_850.0
PLATE_STEEL_PSI = 87_000.0
#: Printed bearing strengths end in 00 or 50, and the values worked out from them rest on that.
_ROUNDED_TO_PSI = 50

THINNEST_IN = 0.099
#: NDS 2018 Table I1: up to this diameter (included), this bending yield strength; known from a public transcription.
_BENDING = (
    (0.142, 100_000.0),
    (0.177, 90_000.0),
    (0.236, 80_000.0),
    (0.273, 70_000.0),
    (0.344, 60_000.0),
    (1.0, 45_000.0),
)


def wood_bearing_psi(specific_gravity: float, diameter_in: float, direction: Direction = "parallel") -> float:
    """The dowel bearing strength Fe of wood in psi, rounded to 50 psi as in the printed tables.

    Under 1/4 in the direction of the grain makes no difference.

    Parameters
    ----------
    specific_gravity
        G of the species, oven dry.
    diameter_in
        The nominal diameter, for lag screws too.
    direction
        Of the load against the grain.

    Raises
    ------
    ValueError
        G or the diameter is not positive.

    References
    ----------
    NDS 2018 section 12.3.3 and Table 12.3.3: 16,600 G^1.84 under 1/4 in, else 11,200 G along the grain and
    6,100 G^1.45 / sqrt(D) across it.
    """
    if not (specific_gravity > 0 and diameter_in > 0):
        raise ValueError(f"specific gravity {specific_gravity} and diameter {diameter_in} in must be positive")
    if diameter_in < LARGE_IN:
        exact = 16_600 * specific_gravity**1.84
    elif direction == "parallel":
        exact = 11_200 * specific_gravity
    else:
        exact = 6_100 * specific_gravity**1.45 / math.sqrt(diameter_in)
    return float(_ROUNDED_TO_PSI * math.floor(exact / _ROUNDED_TO_PSI + 0.5))


def steel_bearing_psi(thickness_in: float) -> float:
    """The bearing strength of a steel side plate in psi: gauge steel (ASTM A653 grade 33), from 1/4 in on A36 plate.

    Raises
    ------
    ValueError
        The thickness is not positive.

    References
    ----------
    NDS 2018, footnotes of the tables with steel side plates, such as 12P.
    """
    if not thickness_in > 0:
        raise ValueError(f"steel {thickness_in} in thick")
    return PLATE_STEEL_PSI if thickness_in >= PLATE_IN else GAUGE_STEEL_PSI


def bending_psi(nominal_diameter_in: float) -> float:
    """The bending yield strength Fyb of a nail, screw, lag screw or bolt in psi: the thicker, the softer its steel.

    Screws go by their nominal diameter, not by the root of the thread.

    Raises
    ------
    ValueError
        The diameter is under 0.099 in or over 1 in, where the table has no value.

    References
    ----------
    NDS 2018 Table I1.
    """
    if nominal_diameter_in >= THINNEST_IN:
        for up_to_in, strength_psi in _BENDING:
            if nominal_diameter_in <= up_to_in:
                return strength_psi
    raise ValueError(f"no bending strength for a diameter of {nominal_diameter_in} in; 0.099 to 1 in are listed")
