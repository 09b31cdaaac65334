"""What a reference value is multiplied by: wet wood, a nail driven at a slant.

Factors without unit, of NDS 2018 chapters 11 and 12; known from a public transcription. They are the same for every
nail of a joint, so that a share of its value does not depend on them.
"""

from __future__ import annotations

import math
from typing import Literal

Load = Literal["lateral", "withdrawal"]
Fastener = Literal["nail", "wood_screw", "lag_screw"]

#: A toe-nail's angle to the member's face, and where it enters, as a part of its length from the end.
TOE_NAIL_DEG, TOE_NAIL_ENTRY = 30, 1 / 3


def wet_service(
    load: Load, fastener: Fastener = "nail", *, wet_when_made: bool = False, wet_in_service: bool = True
) -> float:
    """The wet service factor CM; wet is wood above 19 percent of moisture, which decks outdoors reach.

    A smooth nail loses its hold where the wood was wet when it was driven and dries later, or the other way around.
    For lateral loads only service counts: wood that dries after it was nailed is not covered.

    References
    ----------
    NDS 2018 Table 11.3.3.
    """
    if load == "withdrawal" and fastener == "nail":
        return 1.0 if wet_when_made == wet_in_service else 0.25
    return 0.7 if wet_in_service else 1.0


def toe_nail(load: Load) -> float:
    """The factor Ctn of a nail driven at a slant: 0.83 lateral, 0.67 in withdrawal (NDS 2018 section 12.5.4)."""
    return 0.83 if load == "lateral" else 0.67


def toe_nail_lengths_in(length_in: float) -> tuple[float, float]:
    """Of a toe-nail, how much counts in the side member and how far it reaches into the main one, in inches.

    It is driven at 30 degrees to the face, a third of its length from the end.

    Raises
    ------
    ValueError
        The length is not positive.

    References
    ----------
    NDS 2018 section 12.1.6.3 and the figure beside it.
    """
    if not length_in > 0:
        raise ValueError(f"a nail {length_in} in long")
    side_in = length_in * TOE_NAIL_ENTRY
    return side_in, length_in * math.cos(math.radians(TOE_NAIL_DEG)) - side_in
