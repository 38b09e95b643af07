"""What becomes chips, and whether a part wants another start than a solid: a tube, bent sheet, a casting, a forging.

And whether what is planned as solid may be hollow, because a scanner saw its outside only.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from scipy import ndimage

from steadyrest.shop.figure import Reason, because
from steadyrest.shop.part import Part
from steadyrest.shop.same import Same
from steadyrest.shop.solid_grid import SolidGrid
from steadyrest.shop.work import Blank
from steadyrest.tables.practice import rule

UNSEEN_ENDS = frozenset(("features.no_first_face", "features.no_last_face"))


def mostly_chips(part: Part, blank: Blank, density_kg_m3: float) -> Reason | None:
    """Why another start than this blank should be thought of, where little of it is left in the part.

    Args:
        part: with its volume, and its cells where it is no turned one.
        blank: what it is cut from.
        density_kg_m3: of its metal.
    Returns: how much becomes chips, and what would spare it: by what the part is; None where enough is left, or the
        volume is not known.
    """
    if part.volume_mm3 is None or blank.shape in ("plate", "tube") or blank.mass_kg <= 0:
        return None
    part_kg = part.volume_mm3 * 1e-9 * density_kg_m3
    share = part_kg / blank.mass_kg
    if share > rule("chips_left_share") or blank.mass_kg - part_kg < rule("chips_from_kg"):
        return None
    given = {"blank_kg": blank.mass_kg, "chips_kg": blank.mass_kg - part_kg}
    if part.profile is not None and part.axisymmetric:
        return because("chips.turned", None, **given)
    if part.grid is None:
        return None
    thick_mm = thickest_mm(part)
    if thick_mm * rule("shell_ratio") <= min(part.size_mm):
        return because("chips.shell", None, **given, thick_mm=thick_mm)
    return because("chips.body", None, **given)


def thickest_mm(part: Part) -> float:
    """How thick a part is at its thickest place: the largest ball that fits into it.

    Args:
        part: with cells.
    Returns: mm, to about a cell.
    Raises: ValueError: it has no cells.
    """
    if part.grid is None:
        raise ValueError(f"thickest_mm: {part.name!r} has no cells")
    return _thickest_mm(Same(part.grid))


@lru_cache(maxsize=8)
def _thickest_mm(of: Same[SolidGrid]) -> float:
    filled = np.pad(of.it.filled(), 1)
    # From a cell's middle to the middle of the nearest empty one, half a cell beyond the surface.
    inside = np.asarray(ndimage.distance_transform_edt(filled))
    return float(2.0 * of.it.pitch_mm * (inside.max() - 0.5))


def perhaps_hollow(part: Part) -> Reason | None:
    """That a scanned turned part is planned as solid though neither of its ends was seen.

    Args:
        part: as read.
    Returns: the question; None where an end was seen, or a bore.
    """
    bored = any(one.kind == "bore" for one in part.features)
    if part.kind != "scan" or not part.axisymmetric or bored:
        return None
    if {doubt.what.key for doubt in part.doubts} >= UNSEEN_ENDS:
        return because("chips.perhaps_hollow")
    return None
