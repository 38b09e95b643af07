"""Whether a rectangle comes out of a plate of any outline, edges along the plate's own, either way round.

Where its low left corner may be is all of the plate's box less what each convex piece of the air around, and of the
holes, would cover: the piece swept by the rectangle turned round.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from shapely.geometry import MultiPoint, box
from shapely.ops import unary_union

from steadyrest.stock.nesting.pieces import convex_pieces, polygon, polygons

Ring = Sequence[tuple[float, float]]
HAIR_MM = 1e-4  # a rectangle of just the size fits


def rectangle_fits(outline_mm: Ring, holes_mm: Sequence[Ring], wide_mm: float, high_mm: float) -> bool:
    """Whether a rectangle lies somewhere in a plate.

    Args:
        outline_mm, holes_mm: of the plate. wide_mm, high_mm: along x and y, or along y and x.
    Returns: whether it does; turned otherwise it is not tried.
    """
    sides = {(wide_mm, high_mm), (high_mm, wide_mm)}
    return any(_fits(outline_mm, holes_mm, wide - HAIR_MM, high - HAIR_MM) for wide, high in sides)


def _fits(outline_mm: Ring, holes_mm: Sequence[Ring], wide: float, high: float) -> bool:
    x0, y0, x1, y1 = polygon(outline_mm).bounds
    if wide >= x1 - x0 or high >= y1 - y0:
        return False
    air = box(x0, y0, x1, y1).difference(polygon(outline_mm))
    blocked = unary_union([air, *(polygon(ring) for ring in holes_mm)])
    swept = np.array([(0.0, 0.0), (-wide, 0.0), (0.0, -high), (-wide, -high)])
    covered = [
        MultiPoint((piece[:, None, :] + swept[None, :, :]).reshape(-1, 2)).convex_hull
        for one in polygons(blocked)
        for piece in convex_pieces(one)
    ]
    room = box(x0, y0, x1 - wide, y1 - high)
    return not room.difference(unary_union(covered)).is_empty if covered else True
