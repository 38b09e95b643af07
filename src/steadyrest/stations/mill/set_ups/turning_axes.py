"""Where a mill's turning axes bring a side to the spindle: by how far they go, and by what they are divided into."""

from __future__ import annotations

import math
from collections.abc import Sequence

from steadyrest.shop.floor import MillLimits
from steadyrest.shop.part import Vec3

QUARTER = math.pi / 2.0
NEAR_RAD = math.radians(0.5)


def tilts_to(limits: MillLimits, lean_rad: float) -> bool:
    """Whether the table or head leans so far, to either side.

    Args:
        limits: of the mill.
        lean_rad: angle between a direction and the work's own up.
    Returns: whether it does.
    """
    low, high = limits.tilt_rad
    return low - NEAR_RAD <= lean_rad <= high + NEAR_RAD or low - NEAR_RAD <= -lean_rad <= high + NEAR_RAD


def quarters(limits: MillLimits) -> int:
    """How many of the four quarter turns about the turning axis it comes to, the work set as suits best.

    Args:
        limits: of the mill.
    Returns: 1 to 4.
    """
    step = limits.turn_step_rad
    if step > 0.0 and abs(QUARTER / step - round(QUARTER / step)) * step > NEAR_RAD:
        # The step divides no quarter turn: only the half, or none.
        half = abs(2.0 * QUARTER / step - round(2.0 * QUARTER / step)) * step <= NEAR_RAD
        return 2 if half and _span(limits) >= 2.0 * QUARTER - NEAR_RAD else 1
    return min(int((_span(limits) + NEAR_RAD) / QUARTER) + 1, 4)


def _span(limits: MillLimits) -> float:
    return 2.0 * math.pi if limits.turn_rad is None else limits.turn_rad[1] - limits.turn_rad[0]


def turns_to(limits: MillLimits, turn_rad: float) -> bool:
    """Whether the turning axis stops at an angle, counted from any of its stops.

    Args:
        limits: of the mill.
        turn_rad: how far the work must be turned.
    Returns: whether it does.
    """
    turn = turn_rad % (2.0 * math.pi)
    step = limits.turn_step_rad
    if step > 0.0 and abs(turn / step - round(turn / step)) * step > NEAR_RAD:
        return False
    return _span(limits) >= min(turn, 2.0 * math.pi - turn) - NEAR_RAD


def level_sides(base: int, limits: MillLimits) -> tuple[int, ...]:
    """The sides about a base that tilting and turning bring up, those across the shorter way of turning first.

    Args:
        base: side up when nothing is tilted.
        limits: of the mill.
    Returns: sides 0 to 5, base and the one it lies on left out.
    """
    if not tilts_to(limits, QUARTER):
        return ()
    first, second = (axis for axis in range(3) if axis != base // 2)
    about = (2 * first, 2 * second, 2 * first + 1, 2 * second + 1)
    low, high = limits.tilt_rad
    reach = quarters(limits)
    found = set(about[:reach])
    if low <= -QUARTER + NEAR_RAD and high >= QUARTER - NEAR_RAD:
        # A table that leans both ways shows the side opposite without being turned.
        found |= {side ^ 1 for side in about[:reach]}
    return tuple(side for side in about if side in found)


def about_level_axis(end: int, limits: MillLimits) -> tuple[int, ...]:
    """The sides about a level turning axis that it brings up.

    Args:
        end: the side that looks along it.
        limits: of the mill.
    Returns: sides 0 to 5.
    """
    first, second = (axis for axis in range(3) if axis != end // 2)
    return (2 * first, 2 * second, 2 * first + 1, 2 * second + 1)[: quarters(limits)]


def slants_reached(up: Vec3, slants: Sequence[Vec3], limits: MillLimits, across: Vec3) -> tuple[Vec3, ...]:
    """Of slanted directions those that tilting and turning bring to the spindle.

    Args:
        up: of the work when nothing is tilted.
        slants: directions out of the part.
        limits: of the mill.
        across: a level direction of the work, from which turning is counted.
    Returns: those reached.
    """
    (a, b, c), (x, y, z) = up, across
    beside = b * z - c * y, c * x - a * z, a * y - b * x
    found: list[Vec3] = []
    for slant in slants:
        lean = math.acos(max(min(_dot(slant, up), 1.0), -1.0))
        turn = math.atan2(_dot(slant, beside), _dot(slant, across))
        if tilts_to(limits, lean) and turns_to(limits, turn):
            found.append(slant)
    return tuple(found)


def _dot(one: Vec3, other: Vec3) -> float:
    return sum(a * b for a, b in zip(one, other, strict=True))
