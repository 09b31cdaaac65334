"""The lateral value of one nail: through wood or steel into wood, with the length that it really has."""

from __future__ import annotations

from dataclasses import dataclass

from dashboard.fasteners import strength, yielding
from dashboard.fasteners.yielding import Bearing, Mode

#: Penetration of the point's member, tip included, in diameters: under the first no value is permitted, from the
#: second on the printed tables hold as they stand.
LEAST_DIAMETERS, FULL_DIAMETERS = 6, 10
#: How long a nail's tip is, in diameters.
TIP_DIAMETERS = 2
#: A penetration of exactly 6 D must not fall below it by the last digit of a subtraction.
_ROUNDING_IN = 1e-9


@dataclass(frozen=True)
class Lateral:
    """The lateral value of one nail.

    Attributes
    ----------
    value_lb
        In pounds, for a load of ten years, dry; None where no value is permitted.
    mode
        The mode that governs; None where there is no value.
    penetration_in
        How far the nail reaches into the member of its point, tip included.
    note
        What the penetration means for the value; empty where it is 10 diameters or more.
    """

    value_lb: float | None
    mode: Mode | None
    penetration_in: float
    note: str = ""


def bearing_length_in(penetration_in: float, diameter_in: float) -> float:
    """How much of a nail's penetration bears: all but half of its tip, in inches; 0 at the least.

    One reading of the standard counts the whole tip from 10 diameters on. No value of a listed nail and species
    through steel or up to 1-1/2 in of wood changes by it: modes III in the side member and IV come first there.

    References
    ----------
    NDS 2018 section 12.3.5.
    """
    return max(penetration_in - TIP_DIAMETERS * diameter_in / 2, 0.0)


def wood_side(thickness_in: float, specific_gravity: float) -> Bearing:
    """A side member of wood for a nail: its length in the wood in inches, the strength by the wood's G."""
    # Under 1/4 in the strength is that of any diameter.
    return Bearing(thickness_in, strength.wood_bearing_psi(specific_gravity, strength.THINNEST_IN))


def steel_side(thickness_in: float) -> Bearing:
    """A side plate of steel, by its thickness in inches."""
    return Bearing(thickness_in, strength.steel_bearing_psi(thickness_in))


def nail_lateral(diameter_in: float, penetration_in: float, side: Bearing, specific_gravity: float) -> Lateral:
    """The reference lateral value of one nail in single shear, in the side grain of the member of its point.

    Between 6 and 10 diameters of penetration the equations are worked out with the true length. The standard leaves
    another way too: p / (10 D) of the printed value.

    Parameters
    ----------
    diameter_in
        The shank, 0.099 in to under 1/4 in.
    penetration_in
        Into the member of the point, tip included; nothing or less where the nail does not reach it.
    side
        What the nail passes before, see :func:`wood_side` and :func:`steel_side`.
    specific_gravity
        G of the member of the point.

    Raises
    ------
    ValueError
        The diameter is outside these limits, or a size or G is not positive.

    References
    ----------
    NDS 2018 section 12.3.1; section 12.1.6 and footnotes 2 and 3 of Tables 12N and 12P for the penetration.
    """
    if not strength.THINNEST_IN <= diameter_in < strength.LARGE_IN:
        raise ValueError(f"no nail value for a diameter of {diameter_in} in; 0.099 in to under 1/4 in")
    note = penetration_note(penetration_in, diameter_in)
    if penetration_in + _ROUNDING_IN < LEAST_DIAMETERS * diameter_in:
        return Lateral(None, None, penetration_in, note)
    main = Bearing(
        bearing_length_in(penetration_in, diameter_in), strength.wood_bearing_psi(specific_gravity, diameter_in)
    )
    values = yielding.design_values_lb(diameter_in, strength.bending_psi(diameter_in), main, side)
    least = yielding.governing(values)
    return Lateral(least.value_lb, least.mode, penetration_in, note)


def penetration_note(penetration_in: float, diameter_in: float) -> str:
    """What a penetration means, in words; empty from 10 diameters on."""
    deep = penetration_in + _ROUNDING_IN
    if deep <= _ROUNDING_IN * 2:
        return "the nail does not reach the member of its point"
    if deep < LEAST_DIAMETERS * diameter_in:
        return f"under {LEAST_DIAMETERS} diameters of penetration no value is permitted"
    if deep < FULL_DIAMETERS * diameter_in:
        return f"under {FULL_DIAMETERS} diameters of penetration: worked out with the true length"
    return ""
