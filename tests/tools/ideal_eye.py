"""The eye as a plane arc and two straight legs: the closed form that the built eye tends to without ramps."""

from __future__ import annotations

import math


def ideal_eye(pin: float, half_angle: float) -> tuple[float, float, float]:
    """Return (length, leg, crossing_to_centre) of an arc round a pin closed by two straight legs, D.

    pin: diameter of the pin > 0, D (the wire is 1); half_angle: between each leg and the joint axis where
    the legs cross, rad, above 0 and below pi/2. With r = (pin + 1)/2: leg r/tan(g) from crossing to arc,
    length r (pi + 2 g) + 2 r/tan(g), crossing to pin centre r/sin(g). Raises ValueError outside these.

    >>> length, leg, to_centre = ideal_eye(4.0, math.radians(30.0))
    >>> round(length, 6), round(leg, 6), round(to_centre, 6)
    (19.13223, 4.330127, 5.0)
    """
    if not (pin > 0.0 and math.isfinite(pin)):
        raise ValueError(f"pin must be positive and finite; got {pin!r}")
    if not 0.0 < half_angle < 0.5 * math.pi:
        raise ValueError(f"half_angle must be above 0 and below pi/2 rad; got {half_angle!r}")
    r = 0.5 * (pin + 1.0)
    leg = r / math.tan(half_angle)
    return r * (math.pi + 2.0 * half_angle) + 2.0 * leg, leg, r / math.sin(half_angle)
