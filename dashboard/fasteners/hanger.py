"""How much of the lateral value of a hanger's nails is left: nails that are missing, nails that are too short.

Shares of what the nails alone would carry if the schedule had been followed. Hanger ratings come from tests, and may be
set by the steel or the joist instead; a calculation bounds the nails only.

The angled holes, as they are taken here: the nail goes through the hanger's side flange into the joist and on, at an
angle of 45 degrees, out of the joist's end into the header. 1-1/2 in of it lie in the joist (`joist_path_in`), which is
a hole 1-1/16 in from the header; the steel is passed at the same slant. What then remains is in the header, and only
that carries the joist: a 3 in nail has 1.43 in there, a nail 1-1/2 in long never reaches it. Were the joist crossed
through its whole thickness, the path would be 2.12 in, and even the 3 in nail would stay under 6 diameters. On any path
of more than 0.55 in nothing is left of a 10d nail 1-1/2 in long.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from dashboard.fasteners import lists
from dashboard.fasteners.lateral import Lateral, nail_lateral, steel_side, wood_side


@dataclass(frozen=True)
class Joint:
    """What is assumed of a hanger, since reports do not say it.

    Attributes
    ----------
    diameter_in, length_in
        The nail that the schedule asks for in faces and angled holes: 10d common.
    joist_side_length_in
        The length that is enough on the joist's side.
    gauge
        Of the hanger's steel.
    joist_species, header_species
        Species combinations that :func:`lists.specific_gravity` knows.
    joist_path_in
        How much of an angled nail lies in the joist before it reaches the header, along the nail.
    angle_deg
        Between an angled nail and a line square to the hanger's side; 0 to under 90.
    """

    diameter_in: float = 0.148
    length_in: float = 3.0
    joist_side_length_in: float = 1.5
    gauge: int = 18
    joist_species: str = "Southern Pine"
    header_species: str = "Southern Pine"
    joist_path_in: float = 1.5
    angle_deg: float = 45.0


ASSUMED = Joint()


@dataclass(frozen=True)
class NailLeft:
    """One nail against the nail that the schedule asks for.

    Attributes
    ----------
    share
        Its lateral value / that of the full nail; 0 where no value is permitted for it, None where none is permitted
        for the full nail either, so that there is nothing to compare with.
    found, full
        The two values.
    """

    share: float | None
    found: Lateral
    full: Lateral


def angled_lateral(diameter_in: float, length_in: float, joint: Joint = ASSUMED) -> Lateral:
    """The lateral value of a nail in an angled hole, from joist (side member) to header (main member).

    Parameters
    ----------
    diameter_in, length_in
        The nail that is there.

    Raises
    ------
    ValueError
        A length is not positive, the angle not from 0 to under 90 degrees, the diameter not 0.099 to under 0.25 in.
    KeyError
        The gauge or a species is not listed.

    References
    ----------
    The geometry is that of this module; the value that of :func:`lateral.nail_lateral`.
    """
    if not (length_in > 0 and 0 <= joint.angle_deg < 90 and joint.joist_path_in > 0):
        raise ValueError(f"a nail {length_in} in long at {joint.angle_deg} degrees, {joint.joist_path_in} in of joist")
    steel_in = lists.thickness_in(joint.gauge) / math.cos(math.radians(joint.angle_deg))
    joist = wood_side(joint.joist_path_in, lists.specific_gravity(joint.joist_species))
    penetration_in = length_in - steel_in - joint.joist_path_in
    return nail_lateral(diameter_in, penetration_in, joist, lists.specific_gravity(joint.header_species))


def joist_side_lateral(diameter_in: float, length_in: float, joint: Joint = ASSUMED) -> Lateral:
    """The lateral value of a nail driven square through the hanger's steel into the joist's side.

    Arguments and errors as in :func:`angled_lateral`.
    """
    if not length_in > 0:
        raise ValueError(f"a nail {length_in} in long")
    steel_in = lists.thickness_in(joint.gauge)
    wood = lists.specific_gravity(joint.joist_species)
    return nail_lateral(diameter_in, length_in - steel_in, steel_side(steel_in), wood)


def angled_nail_left(diameter_in: float, length_in: float, joint: Joint = ASSUMED) -> NailLeft:
    """What a nail in an angled hole has of the value of the full nail there; as :func:`angled_lateral`."""
    full = angled_lateral(joint.diameter_in, joint.length_in, joint)
    return _compared(angled_lateral(diameter_in, length_in, joint), full)


def joist_side_nail_left(diameter_in: float, length_in: float, joint: Joint = ASSUMED) -> NailLeft:
    """What a nail on the joist's side has of the value of one that is long enough; as :func:`angled_lateral`."""
    full = joist_side_lateral(joint.diameter_in, joint.joist_side_length_in, joint)
    return _compared(joist_side_lateral(diameter_in, length_in, joint), full)


def _compared(found: Lateral, full: Lateral) -> NailLeft:
    if full.value_lb is None:
        return NailLeft(None, found, full)
    return NailLeft((found.value_lb or 0.0) / full.value_lb, found, full)


def share_left(holes_total: int, holes_filled: int, short_nails: int = 0, short_share: float = 0.0) -> float:
    """How much of the lateral value of all its nails a hanger has, from 0 to 1, all holes counting alike.

    Parameters
    ----------
    holes_total
        Holes that must be filled.
    holes_filled
        Those that are, short nails included.
    short_nails
        How many of the filled ones hold a nail that is too short.
    short_share
        What is left of each of these, as :func:`angled_nail_left` says.

    Raises
    ------
    ValueError
        There is no hole, more are filled than there are, more nails are short than are driven, or a share is not
        from 0 to 1.

    References
    ----------
    NDS 2018 section 11.3.6: equal fasteners under 1/4 in add up, with no group action factor (from memory).
    """
    if not (holes_total > 0 and 0 <= short_nails <= holes_filled <= holes_total and 0 <= short_share <= 1):
        raise ValueError(
            f"{holes_filled} of {holes_total} holes filled, {short_nails} with short nails, {short_share} left of each"
        )
    return (holes_filled - short_nails + short_nails * short_share) / holes_total
