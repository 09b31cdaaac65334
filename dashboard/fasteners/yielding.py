"""The six ways in which a fastener through two members gives way, and which of them comes first.

Im, Is: the wood of the main or of the side member is crushed. II: the fastener turns in both. IIIm, IIIs: it bends
once, and crushes the main or the side member. IV: it bends in both members.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from dashboard.fasteners.strength import LARGE_IN

Mode = Literal["Im", "Is", "II", "IIIm", "IIIs", "IV"]
MODES: tuple[Mode, ...] = ("Im", "Is", "II", "IIIm", "IIIs", "IV")


@dataclass(frozen=True)
class Bearing:
    """A member as the fastener feels it: how much of its length bears in it, and how strong the member is."""

    length_in: float
    strength_psi: float


@dataclass(frozen=True)
class Governing:
    """The mode with the least value, and that value in pounds."""

    mode: Mode
    value_lb: float


def yield_loads_lb(diameter_in: float, bending_psi: float, main: Bearing, side: Bearing) -> dict[Mode, float]:
    """The load in pounds at which each mode is reached, before it is reduced to a design value.

    Parameters
    ----------
    diameter_in
        The shank of a nail or bolt, the root of a screw's thread.
    bending_psi
        The fastener's bending yield strength.
    main
        The member that holds the point.
    side
        The member, or the steel, on the side of the head.

    Raises
    ------
    ValueError
        A number is not positive.

    References
    ----------
    NDS 2018 Table 12.3.1A, single shear.
    """
    given = (diameter_in, bending_psi, main.length_in, main.strength_psi, side.length_in, side.strength_psi)
    if not all(number > 0 and math.isfinite(number) for number in given):
        raise ValueError(f"every size and strength must be positive: {given}")
    re, rt = main.strength_psi / side.strength_psi, main.length_in / side.length_in
    crushed_main = diameter_in * main.length_in * main.strength_psi
    crushed_side = diameter_in * side.length_in * side.strength_psi
    # What bending adds in modes III, against the member of that mode.
    stiff = 2 * bending_psi * diameter_in**2 / (3 * main.strength_psi)
    k1 = (math.sqrt(re + 2 * re**2 * (1 + rt + rt**2) + rt**2 * re**3) - re * (1 + rt)) / (1 + re)
    k2 = -1 + math.sqrt(2 * (1 + re) + stiff * (1 + 2 * re) / main.length_in**2)
    k3 = -1 + math.sqrt(2 * (1 + re) / re + stiff * (2 + re) / side.length_in**2)
    return {
        "Im": crushed_main,
        "Is": crushed_side,
        "II": k1 * crushed_side,
        "IIIm": k2 * crushed_main / (1 + 2 * re),
        "IIIs": k3 * diameter_in * side.length_in * main.strength_psi / (2 + re),
        "IV": diameter_in**2 * math.sqrt(2 * main.strength_psi * bending_psi / (3 * (1 + re))),
    }


def reduction_terms(diameter_in: float, grain_angle_deg: float = 0.0) -> dict[Mode, float]:
    """What each mode's load is divided by (Rd), a number without unit.

    Parameters
    ----------
    diameter_in
        As in :func:`yield_loads_lb`. Nominal 1/4 and 5/16 in lag screws, whose thread is cut below 1/4 in, are a case
        of their own that is not covered.
    grain_angle_deg
        The largest angle between load and grain in any member, 0 to 90; no matter under 1/4 in.

    Raises
    ------
    ValueError
        The diameter is not above 0 and at most 1 in, or the angle not within 0 to 90.

    References
    ----------
    NDS 2018 Table 12.3.1B.
    """
    if not (0 < diameter_in <= 1 and 0 <= grain_angle_deg <= 90):
        raise ValueError(f"no reduction for a diameter of {diameter_in} in at {grain_angle_deg} degrees to the grain")
    if diameter_in < LARGE_IN:
        return dict.fromkeys(MODES, 2.2 if diameter_in <= 0.17 else 10 * diameter_in + 0.5)
    across = 1 + 0.25 * grain_angle_deg / 90
    by_mode: dict[Mode, float] = {"Im": 4.0, "Is": 4.0, "II": 3.6, "IIIm": 3.2, "IIIs": 3.2, "IV": 3.2}
    return {mode: factor * across for mode, factor in by_mode.items()}


def design_values_lb(
    diameter_in: float, bending_psi: float, main: Bearing, side: Bearing, grain_angle_deg: float = 0.0
) -> dict[Mode, float]:
    """The lateral design value of each mode in pounds; arguments and errors as in the two functions above."""
    reduced = reduction_terms(diameter_in, grain_angle_deg)
    loads = yield_loads_lb(diameter_in, bending_psi, main, side)
    return {mode: loads[mode] / reduced[mode] for mode in MODES}


def governing(values_lb: dict[Mode, float]) -> Governing:
    """The mode with the least value; of equal ones that which stands first."""
    mode = min(values_lb, key=lambda name: values_lb[name])
    return Governing(mode, values_lb[mode])
