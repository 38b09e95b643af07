"""Where one cutter gets to in each layer: the free space opened by its disc, its holder kept clear of the part.

A cutter's middle may be where nothing that stands is nearer than its radius; where the holder dips below the top, where
the part as it stands at the holder's height is not nearer than the holder's radius. What lies within a radius of such a
place is reached.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from steadyrest.shop.floor import Tool
from steadyrest.stations.mill.removal.cells import BoolArray
from steadyrest.stations.mill.removal.distance import distance_sq
from steadyrest.stations.mill.removal.slabs import Slab, holder_above
from steadyrest.tables.practice import rule

HALF_CELL = 0.5  # what a wall that lies between two cells' middles is uncertain by


@dataclass(frozen=True, slots=True)
class Portion:
    """Layers first to last - 1 of a slab, and where a cutter gets to in them: (ny, nx), the rim cut off."""

    slab: Slab
    first: int
    last: int
    reached: BoolArray


def reached_by(slabs: tuple[Slab, ...], tool: Tool, *, pitch_mm: float, rim: int, holder: bool = True) -> list[Portion]:
    """What a cutter reaches.

    Args:
        slabs: of the set-up.
        tool: the cutter.
        pitch_mm: edge of a cell.
        rim: cells of free room round each layer.
        holder: whether its holder counts; False: as if it stood out as far as one likes.
    Returns: portions from the top down; a slab that the holder keeps it out of is left out.
    """
    radius = max(tool.diameter_mm / 2.0 / pitch_mm - HALF_CELL, 0.0)
    holder_radius = (tool.holder_mm or rule("holder_mm")) / 2.0 / pitch_mm - HALF_CELL
    stands_out = int(tool.reach_mm / pitch_mm + HALF_CELL)
    found: list[Portion] = []
    for slab in slabs:
        free = slab.far_sq >= radius * radius
        free_to = slab.last if not holder else min(slab.last, max(stands_out, slab.first))
        whole: BoolArray | None = None
        if free_to > slab.first:
            whole = opened(free, radius, rim)
            found.append(Portion(slab, slab.first, free_to, whole))
        if free_to < slab.last:
            far = holder_above(slabs, slab.last - 1 - stands_out)
            allowed = free if far is None else free & (far >= holder_radius * holder_radius)
            if not allowed.any():
                continue
            same = whole is not None and np.array_equal(allowed, free)
            mask = whole if same and whole is not None else opened(allowed, radius, rim)
            found.append(Portion(slab, free_to, slab.last, mask))
    return found


def opened(allowed: BoolArray, radius: float, rim: int) -> BoolArray:
    """Cells within a radius of a place where the cutter's middle may be, the rim cut off."""
    near = distance_sq(allowed) <= radius * radius
    return np.ascontiguousarray(near[rim : near.shape[0] - rim, rim : near.shape[1] - rim] if rim else near)
