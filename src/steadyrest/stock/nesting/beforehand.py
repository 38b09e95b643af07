"""What is known before anything is tried: parts that cannot fit, and areas that cannot."""

from __future__ import annotations

import math

import numpy as np

from steadyrest.stock.nesting.near import Floats
from steadyrest.stock.nesting.pieces import polygon
from steadyrest.stock.nesting.wanted import NestPart, NestWanted, turned

STEP_DEG = 1
ROUND = 32


def fits_alone(wanted: NestWanted, part: NestPart) -> bool:
    """Whether the part's box goes into the plate's box, the margin kept, in any turn that is allowed.

    Args:
        wanted: plate and turns. part: one part.
    Returns: False only if it surely does not fit.
    """
    x0, y0, x1, y1 = polygon(wanted.plate_mm).bounds
    wide, high = x1 - x0 - 2 * wanted.margin_mm, y1 - y0 - 2 * wanted.margin_mm
    corners = np.array(part.outline_mm)
    size = float(np.hypot(*(corners.max(axis=0) - corners.min(axis=0))))
    spare = 0.02 if wanted.turns_deg is not None else 0.02 + size * math.radians(STEP_DEG) / 2
    for turn in wanted.turns_deg if wanted.turns_deg is not None else range(0, 180, STEP_DEG):
        for side in (1.0, -1.0) if wanted.may_mirror else (1.0,):
            cos, sin = turned(turn)
            x, y = side * corners[:, 0], corners[:, 1]
            if np.ptp(cos * x - sin * y) <= wide + spare and np.ptp(sin * x + cos * y) <= high + spare:
                return True
    return False


def areas_taken(wanted: NestWanted) -> Floats:
    """What each part takes at least: grown by half the gap, such shapes may not overlap.

    Args:
        wanted: parts and gap.
    Returns: (parts,) mm2, every part by itself.
    """
    grown = [polygon(p.outline_mm, p.holes_mm).buffer(wanted.gap_mm / 2, quad_segs=ROUND).area for p in wanted.parts]
    return np.repeat(np.array(grown), [part.count for part in wanted.parts])


def area_there(wanted: NestWanted) -> float:
    """What the plate has at most for shapes grown that much.

    Args:
        wanted: the plate and what is kept clear.
    Returns: mm2.
    """
    half = wanted.gap_mm / 2
    room = polygon(wanted.plate_mm).buffer(half - wanted.margin_mm, quad_segs=ROUND)
    for ring in wanted.holes_mm:
        room = room.difference(polygon(ring).buffer(wanted.hole_clear_mm - half, quad_segs=ROUND))
    # Arcs are drawn inside the true ones: a little more is there than is reckoned.
    return room.area * (1 + 2e-3)
