"""Chamfers, slants and gussets of a part that is not turned: three-sided prisms between a slanted face and the levels.

The face is the long side; the corner over it is cut where the part has nothing there, the corner under it is filled
where the part is solid there.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from steadyrest.part.handover.levels import Levels
from steadyrest.shop.part import Part, Surface, Vec2
from steadyrest.shop.solid_grid import SolidGrid

FloatArray = npt.NDArray[np.float64]
Boxes = Sequence[tuple[FloatArray, FloatArray]]
ALONG = 0.9998  # cosine from which a face stands square to a direction
EMPTY = 0.1  # share of the cells in a corner, up to which there is nothing and from 1 less which all is solid
STEPS = 24


@dataclass(frozen=True, slots=True)
class Slant:
    """A three-sided prism. along: the direction (0, 1, 2) that it runs; low_mm, high_mm: from where to where.

    corners: across, along the two other directions in their order after `along`; the square one last. added: filled,
    not cut.
    """

    along: int
    low_mm: float
    high_mm: float
    corners: tuple[Vec2, Vec2, Vec2]
    added: bool
    feature: str | None

    def moved(self, zero: FloatArray) -> Slant:
        """The same with another zero."""
        u, v = float(zero[(self.along + 1) % 3]), float(zero[(self.along + 2) % 3])
        a, b, c = ((x - u, y - v) for x, y in self.corners)
        off = float(zero[self.along])
        return replace(self, low_mm=self.low_mm - off, high_mm=self.high_mm - off, corners=(a, b, c))


def slants_of(part: Part, frame: FloatArray, levels: Levels, boxes: Boxes, near_mm: float) -> tuple[Slant, ...]:
    """The prisms by which a part's slanted faces differ from its boxes.

    Args:
        part: with its surfaces and cells. frame: its own directions as rows. levels: along them.
        boxes: between levels. near_mm: how far from a level an edge may lie and still be at it.
    Returns: prisms to cut or to add; a face that slants two ways is left out.
    """
    if part.grid is None:
        return ()
    found: list[Slant] = []
    for surface in part.surfaces:
        normal = frame @ np.array(surface.axis)
        if surface.kind != "plane" or np.abs(normal).max() > ALONG or np.abs(normal).min() > 0.02:
            continue
        over, under = (prism(surface, frame, levels, near_mm, added=added) for added in (False, True))
        full, drawn = filled(over, part.grid, frame), within(over, boxes)
        if full < EMPTY and drawn > 0:
            found.append(over)
        full, drawn = filled(under, part.grid, frame), within(under, boxes)
        if full > 1 - EMPTY and drawn < 1:
            found.append(under)
    return tuple(found)


def prism(surface: Surface, frame: FloatArray, levels: Levels, near_mm: float, *, added: bool) -> Slant:
    """The prism over a slanted face, or the one under it."""
    normal = frame @ np.array(surface.axis)
    k = int(np.argmin(np.abs(normal)))
    u, v = (k + 1) % 3, (k + 2) % 3
    points = np.array(surface.reach_mm) @ frame.T
    across = points @ np.array([-normal[v] if a == u else normal[u] if a == v else 0.0 for a in range(3)])
    share = (0.1 if near_mm > levels.slack_mm else 1e-6) * np.ptp(across)
    ends = [points[across <= across.min() + share].mean(axis=0), points[across >= across.max() - share].mean(axis=0)]
    a, b = ((at(levels, u, end[u], near_mm), at(levels, v, end[v], near_mm)) for end in ends)
    side = 1.0 if not added else -1.0
    # Of the two square corners the one that lies on the side that the face looks to.
    first = (a[0], b[1])
    looks = (first[0] - a[0]) * normal[u] + (first[1] - a[1]) * normal[v]
    square = first if looks * side > 0 else (b[0], a[1])
    low, high = (at(levels, k, end, near_mm) for end in (points[:, k].min(), points[:, k].max()))
    return Slant(k, low, high, (a, b, square), added, surface.feature)


def at(levels: Levels, axis: int, where_mm: float, near_mm: float) -> float:
    return levels.nominal(axis, float(where_mm), within_mm=near_mm)


def samples(slant: Slant) -> FloatArray:
    """(n, 3) points within a prism, along the part's directions."""
    share = (np.arange(STEPS) + 0.5) / STEPS
    s, t = (w.ravel() for w in np.meshgrid(share, share, indexing="ij"))
    inside = s + t < 1 - 1.5 / STEPS  # not at the face itself
    s, t = s[inside], t[inside]
    a, b, c = (np.array(corner) for corner in slant.corners)
    flat = c + s[:, None] * (a - c) + t[:, None] * (b - c)
    along = slant.low_mm + (slant.high_mm - slant.low_mm) * (np.arange(6) + 0.5) / 6
    points = np.empty((len(flat) * len(along), 3))
    points[:, slant.along] = np.repeat(along, len(flat))
    points[:, (slant.along + 1) % 3] = np.tile(flat[:, 0], len(along))
    points[:, (slant.along + 2) % 3] = np.tile(flat[:, 1], len(along))
    return points


def filled(slant: Slant, grid: SolidGrid, frame: FloatArray) -> float:
    """Share of a prism that the part's cells fill."""
    points = samples(slant)
    cells = np.floor((points - frame @ np.array(grid.origin_mm)) / grid.pitch_mm).astype(int)
    there = ((cells >= 0) & (cells < np.array(grid.shape))).all(axis=1)
    i, k, m = cells[there].T
    return float(grid.filled()[i, k, m].sum()) / len(points)


def within(slant: Slant, boxes: Boxes) -> float:
    """Share of a prism that boxes cover."""
    points = samples(slant)
    covered = np.zeros(len(points), dtype=bool)
    for low, high in boxes:
        covered |= ((points > low) & (points < high)).all(axis=1)
    return float(covered.mean())
