"""What one tool takes in one set-up, layer by layer: the removal's answer, from which times are worked out.

A Take is geometry only: which tool, where it gets to, what is newly cleared. How fast it goes there is not here.
"""

from __future__ import annotations

from dataclasses import dataclass

from steadyrest.shop.floor import Tool


@dataclass(frozen=True, slots=True)
class Layer:
    """A slab of the material that one tool clears, between two heights over which the cleared area stays alike.

    depth_mm: its thickness; a slab may be cut in several passes. area_mm2: newly cleared, seen from the spindle.
    wall_mm: length of finished wall along the cleared area, measured in the plane. open_share: share of the cleared
    area's boundary that is open air, 0 to 1: where a tool may come in from the side. regions: separate areas, each an
    entry of its own. narrowest_mm: width of the disc that still gets to 95 % of it, at least the tool's diameter.
    top_mm: height of the slab's top below the blank's top in this set-up.
    What acceleration costs hangs on: around_mm: all of the cleared area's boundary, open, wall or left for another
    tool; 0: not known. corners: inner corners of that boundary; 0: not known. outer: corners that the tool goes
    round; None: not known. islands: left standing inside the area.
    """

    depth_mm: float
    area_mm2: float
    wall_mm: float
    open_share: float
    regions: int
    narrowest_mm: float
    top_mm: float = 0.0
    around_mm: float = 0.0
    corners: int = 0
    outer: int | None = None
    islands: int = 0


@dataclass(frozen=True, slots=True)
class Take:
    """What one tool takes in one set-up.

    layers: from the top down. floor_mm2: finished flat floor that it leaves, in all. volume_mm3: of what it takes.
    reach_mm: how far its tip goes below the highest material left standing within the holder's radius: the stick-out
    that the work asks for. sloped_mm2: finished surface that is neither wall nor floor, which it leaves in steps.
    rests: it only goes where a larger tool before it did not reach.
    """

    tool: Tool
    layers: tuple[Layer, ...]
    floor_mm2: float
    volume_mm3: float
    reach_mm: float
    sloped_mm2: float = 0.0
    rests: bool = False
