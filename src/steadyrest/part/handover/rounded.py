"""Rounded corners of a part that is not turned: where two faces square to each other run into one another.

What lies between the sharp corner and the round is one shape: cut at an outer corner, added in an inner one. A slot's
round end is two of them.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from steadyrest.part.handover.levels import LOOSE_RAD, Levels
from steadyrest.part.handover.nominal_profile import named_mm
from steadyrest.part.handover.stepped import Round
from steadyrest.shop.part import Part, Surface

FloatArray = npt.NDArray[np.float64]
QUARTER_RAD = math.pi / 2
REACH = 1.05  # of its radius: how far short of a face a round ends that runs into another like it
OFF_RAD = {"solid": math.radians(3), "scan": math.radians(28)}  # a scan's walls take the first degrees of a round


@dataclass(frozen=True, slots=True)
class Corner:
    """A rounded corner. along: the direction (0, 1, 2) that it runs; low_mm, high_mm: from where to where.

    corner: the sharp corner, across: along the two other directions in their order after `along`. ways: to which side
    of the round's middle the corner lies. inner: it is filled, not cut. read_mm: the corner and radius as read.
    """

    along: int
    low_mm: float
    high_mm: float
    corner: tuple[float, float]
    ways: tuple[int, int]
    radius_mm: float
    inner: bool
    feature: str | None
    read_mm: tuple[float, float, float]

    def moved(self, zero: FloatArray) -> Corner:
        """The same with another zero."""
        u, v = (self.along + 1) % 3, (self.along + 2) % 3
        return replace(
            self,
            low_mm=self.low_mm - float(zero[self.along]),
            high_mm=self.high_mm - float(zero[self.along]),
            corner=(self.corner[0] - float(zero[u]), self.corner[1] - float(zero[v])),
        )


def corners_of(part: Part, frame: FloatArray, levels: Levels, near_mm: float) -> tuple[Corner, ...]:
    """Every rounded corner that runs along one of a part's directions, at nominal radius.

    Args:
        part: with its surfaces. frame: its own directions as rows. levels: along them. near_mm: how far from a level an
            end may lie and still be at it.
    Returns: corners; a round that turns by another angle than one or two right ones is left out.
    """
    found: list[Corner] = []
    for surface in part.surfaces:
        if surface.kind == "cylinder":
            found += quarters(surface, part, frame, levels, near_mm)
    return tuple(found)


def quarters(surface: Surface, part: Part, frame: FloatArray, levels: Levels, near_mm: float) -> list[Corner]:
    """The corners that one cylinder rounds."""
    axis = frame @ np.array(surface.axis)
    k = int(np.argmax(np.abs(axis)))
    count = round(surface.arc_rad / QUARTER_RAD)
    off = OFF_RAD["scan" if part.kind == "scan" else "solid"]
    if abs(axis[k]) < math.cos(LOOSE_RAD) or count not in (1, 2):
        return []
    if abs(surface.arc_rad - count * QUARTER_RAD) > off * count:
        return []
    u, v = (k + 1) % 3, (k + 2) % 3
    middle = frame @ np.array(surface.point_mm)
    points = np.array(surface.reach_mm) @ frame.T
    way = (points - middle)[:, [u, v]].mean(axis=0)
    low, high = float(points[:, k].min()), float(points[:, k].max())
    ends = [end_of(levels, k, end, sense, near_mm, surface.radius_mm) for end, sense in ((low, -1), (high, 1))]
    feature = next((f for f in part.features if f.id == surface.feature), None)
    size = feature.size("radius_mm") if feature is not None else None
    radius = named_mm(size, surface.radius_mm)
    found: list[Corner] = []
    for ways in ((1, 1), (-1, 1), (-1, -1), (1, -1)):
        turn = math.atan2(ways[1], ways[0]) - math.atan2(way[1], way[0])
        turn = abs((turn + math.pi) % (2 * math.pi) - math.pi)
        if turn > (count - 1) * QUARTER_RAD / 2 + math.radians(20):
            continue
        read = tuple(float(middle[axis]) + way * surface.radius_mm for axis, way in zip((u, v), ways, strict=True))
        sharp = tuple(levels.nominal(axis, at, within_mm=near_mm) for axis, at in zip((u, v), read, strict=True))
        found.append(
            Corner(
                along=k,
                low_mm=ends[0],
                high_mm=ends[1],
                corner=(sharp[0], sharp[1]),
                ways=ways,
                radius_mm=radius,
                inner=surface.inside,
                feature=surface.feature,
                read_mm=(read[0], read[1], surface.radius_mm),
            )
        )
    if len(found) != count:
        return []
    if count == 2:  # as wide as the walls that run into it stand apart
        apart = max(abs(a - b) for a, b in zip(found[0].corner, found[1].corner, strict=True))
        found = [replace(corner, radius_mm=apart / 2) for corner in found]
    return found


def end_of(levels: Levels, axis: int, at_mm: float, sense: int, near_mm: float, radius_mm: float) -> float:
    """Where a rounded corner ends: at the face it runs to, or through the round that takes its place there."""
    if not levels.stands_at(axis, at_mm, within_mm=near_mm):
        face = levels.beyond(axis, at_mm, sense, within_mm=REACH * radius_mm + near_mm)
        if face is not None:
            return face
    return levels.nominal(axis, at_mm, within_mm=near_mm)


def masked(corner: Corner) -> Round:
    """What the cells in a corner tell is the corner's own."""
    axis = np.zeros(3)
    axis[corner.along] = 1.0
    middle = np.zeros(3)
    middle[corner.along] = (corner.low_mm + corner.high_mm) / 2
    u, v = (corner.along + 1) % 3, (corner.along + 2) % 3
    middle[u], middle[v] = corner.read_mm[0], corner.read_mm[1]
    return Round(middle, axis, 0.3 * corner.read_mm[2], (corner.high_mm - corner.low_mm) / 2, filled=not corner.inner)
