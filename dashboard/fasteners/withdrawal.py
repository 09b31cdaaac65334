"""What holds a fastener against being pulled out of side grain, per inch that is in the wood.

Reference values of NDS 2018 section 12.2 in pounds per inch, for a load of ten years, dry. A nail in end grain has no
withdrawal value at all. Every function raises ValueError where G or the diameter is not positive.
"""

from __future__ import annotations


def nail_withdrawal_lb_per_in(specific_gravity: float, diameter_in: float) -> float:
    """A smooth nail or spike, per inch of penetration: 1,380 G^2.5 D (equation 12.2-3)."""
    _require_positive(specific_gravity, diameter_in)
    return 1_380 * specific_gravity**2.5 * diameter_in


def wood_screw_withdrawal_lb_per_in(specific_gravity: float, diameter_in: float) -> float:
    """A wood screw by its nominal diameter, per inch of thread: 2,850 G^2 D (equation 12.2-2)."""
    _require_positive(specific_gravity, diameter_in)
    return 2_850 * specific_gravity**2 * diameter_in


def lag_screw_withdrawal_lb_per_in(specific_gravity: float, diameter_in: float) -> float:
    """A lag screw by its nominal diameter, per inch of thread without the tip: 1,800 G^1.5 D^0.75 (equation 12.2-1)."""
    _require_positive(specific_gravity, diameter_in)
    return 1_800 * specific_gravity**1.5 * diameter_in**0.75


def _require_positive(specific_gravity: float, diameter_in: float) -> None:
    if not (specific_gravity > 0 and diameter_in > 0):
        raise ValueError(f"specific gravity {specific_gravity} and diameter {diameter_in} in must be positive")
