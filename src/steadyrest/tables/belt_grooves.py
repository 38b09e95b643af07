"""Grooves of pulleys for classical V-belts: angle, width at the rim, depth."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from math import inf

from steadyrest import units
from steadyrest.tables.rows import rows

ANGLE_DEG = 1.0  # how far a groove's angle may lie off and still be meant
WORN_MM = 0.5  # a belt wears the flanks: a groove grows wider by as much; common practice, no source
CUT_MM = 0.3  # a rim may be turned down, or a groove cut less deep


@dataclass(frozen=True, slots=True)
class BeltGroove:
    """A groove for a classical V-belt. angle_deg: between its flanks. width_mm: at the rim, and within how much.

    outside_mm: from and to which diameter over the rim that angle is made. depth_mm: from the rim, at least.
    """

    name: str
    angle_deg: float
    outside_mm: tuple[float, float]
    width_mm: float
    within_mm: float
    depth_mm: float
    source: str
    standing: str


@cache
def belt_grooves() -> tuple[BeltGroove, ...]:
    """All grooves kept."""
    found: list[BeltGroove] = []
    for row in rows("belt_grooves"):
        mm = units.MM_PER_IN if row.text("unit") == "in" else 1.0
        to = row.number_or_none("outside_to")
        found.append(
            BeltGroove(
                name=row.text("name"),
                angle_deg=row.number("angle_deg"),
                outside_mm=(mm * row.number("outside_from"), inf if to is None else mm * to),
                width_mm=mm * row.number("width"),
                within_mm=mm * row.number("width_within"),
                depth_mm=mm * row.number("depth_least"),
                source=row.text("source"),
                standing=row.text("standing"),
            )
        )
    return tuple(found)


def belt_groove_like(
    width_mm: float, angle_deg: float, depth_mm: float, outside_mm: float, *, u_mm: float = 0.0, u_deg: float = 0.0
) -> BeltGroove | None:
    """The classical groove that one of these sizes is; None where none of the table fits.

    Args:
        width_mm: at the rim. angle_deg: between the flanks. depth_mm: from the rim. outside_mm: diameter over it.
        u_mm, u_deg: one sigma of width and angle.
    Returns: the nearest in width; wear may have widened it.
    """

    def fits(groove: BeltGroove) -> bool:
        wider = width_mm - groove.width_mm
        return (
            abs(angle_deg - groove.angle_deg) <= ANGLE_DEG + 3 * u_deg
            and -(groove.within_mm + CUT_MM + 3 * u_mm) <= wider <= groove.within_mm + WORN_MM + 3 * u_mm
            and depth_mm >= groove.depth_mm - CUT_MM - 3 * u_mm
            and groove.outside_mm[0] * 0.98 <= outside_mm <= groove.outside_mm[1] * 1.02
        )

    near = [groove for groove in belt_grooves() if fits(groove)]
    return min(near, key=lambda groove: abs(width_mm - groove.width_mm), default=None)
