"""Arcs: centre from radius, swept angle, length. Compiled, for both the quick and the careful reader.

In a plane's own axes (u, v), turning from u to v is counter-clockwise. Lengths mm, angles rad.
"""

from __future__ import annotations

import math

from steadyrest.compiled import loop

# Two ends nearer than this are the same point, and the arc a full circle.
SAME_MM = 1e-6


@loop()
def swept(
    u0: float, v0: float, u1: float, v1: float, cu: float, cv: float, clockwise: bool
) -> float:  # pragma: no cover
    """Angle that an arc turns through, more than 0 and up to a full turn.

    Args:
        u0, v0: start. u1, v1: end. cu, cv: centre. clockwise: G2.
    Returns: rad; a full turn where both ends are the same point.
    """
    if abs(u1 - u0) < SAME_MM and abs(v1 - v0) < SAME_MM:
        return 2.0 * math.pi
    turn = math.atan2(v1 - cv, u1 - cu) - math.atan2(v0 - cv, u0 - cu)
    if clockwise:
        turn = -turn
    while turn <= 0.0:
        turn += 2.0 * math.pi
    while turn > 2.0 * math.pi:
        turn -= 2.0 * math.pi
    return turn


@loop()
def centre_of(
    u0: float, v0: float, u1: float, v1: float, radius: float, clockwise: bool
) -> tuple[float, float]:  # pragma: no cover
    """Centre of an arc that is given by its radius; the chord's middle where the chord is as long as two radii or more.

    Args:
        u0, v0: start. u1, v1: end. radius: negative for the arc of more than half a turn. clockwise: G2.
    Returns: (u, v).
    """
    chord = math.hypot(u1 - u0, v1 - v0)
    high = radius * radius - 0.25 * chord * chord
    high = math.sqrt(high) if high > 0.0 else 0.0
    side = -1.0 if clockwise else 1.0
    if radius < 0.0:
        side = -side
    middle_u, middle_v = 0.5 * (u0 + u1), 0.5 * (v0 + v1)
    if chord == 0.0:
        return middle_u, middle_v
    return middle_u - side * high * (v1 - v0) / chord, middle_v + side * high * (u1 - u0) / chord
