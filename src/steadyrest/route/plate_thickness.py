"""How thick the plate is that a part is cut from: as thick as the part, else thicker and both faces milled."""

from __future__ import annotations

from steadyrest.shop.floor import Shop
from steadyrest.shop.part import Part, PlateSide
from steadyrest.tables.general_tolerances import general_tolerance_mm
from steadyrest.tables.plates import plate_thicknesses_mm
from steadyrest.tables.practice import rule
from steadyrest.tables.sheets import sheets

SEEN = 3.0  # sigma of a scan's noise


def stock_mm(part: Part, side: PlateSide, shop: Shop) -> float | None:
    """The plate that the part is cut from: of its own thickness within the general tolerance, else the next thicker.

    Args:
        part: how well its thickness is known.
        side: the part as a plate.
        shop: its rack.
    Returns: mm; None where no plate is kept so thick.
    """
    wanted = side.thickness_mm
    allowed = (general_tolerance_mm(wanted) or 0.0) + (SEEN * part.noise_mm if part.kind == "scan" else 0.0)
    nearest = nearest_kept_mm(wanted, shop)
    if abs(nearest - wanted) <= allowed:
        return nearest
    return min((mm for mm in kept_mm(shop) if mm >= wanted + 2.0 * rule("plate_skin_mm")), default=None)


def kept_mm(shop: Shop) -> frozenset[float]:
    """Every thickness in the rack, and that merchants keep."""
    rack = (piece.size_mm[1] for piece in shop.pieces if piece.shape == "plate")
    return frozenset((*rack, *plate_thicknesses_mm(), *(sheet.thickness_mm for sheet in sheets())))


def nearest_kept_mm(wanted_mm: float, shop: Shop) -> float:
    """The thickness of plate that comes nearest.

    Args:
        wanted_mm: of the part.
        shop: its rack.
    Returns: mm.
    """
    return min(kept_mm(shop), key=lambda mm: (abs(mm - wanted_mm), mm))


def is_faced(part: Part) -> bool:
    """Whether a plate is so much thicker than the part that both faces are milled.

    Args:
        part: its size with the plate's thickness.
    Returns: True where there is a skin to mill on both.
    """
    side = part.plate_side
    return side is not None and part.size_mm[2] > side.thickness_mm + rule("plate_skin_mm")
