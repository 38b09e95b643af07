"""What a vise's jaws close in: cells beside the work that no cutter reaches in that set-up."""

from __future__ import annotations

import numpy as np

from steadyrest.shop.floor import MillLimits
from steadyrest.stations.mill.removal.cells import BoolArray, ByteArray, Cells, view
from steadyrest.stations.mill.set_ups.vise import grip_of


def held_cells(cells: Cells, limits: MillLimits, side: int) -> int:
    """How many of the lowest layers of the whole blank the jaws hold with a side up; 0 where they hold none."""
    grip = grip_of(limits, cells.finished.shape[side // 2] * cells.pitch_mm)
    return 0 if grip is None else round(grip[0] / cells.pitch_mm)


def between_jaws(
    cells: Cells,
    seen: ByteArray,
    limits: MillLimits,
    side: int,
    layers: int,
    across: int | None = None,
    *,
    around: bool = False,
    free: bool = False,
) -> BoolArray:
    """Cells that the jaws keep a cutter out of: open towards a jaw, in the lowest layers, at no end that hangs free.

    Args:
        cells: part and blank.
        seen: from which sides each empty cell is seen.
        limits: of the mill.
        side: that is up.
        layers: how many of the lowest are gripped.
        across: the direction along which the jaws close; None: the narrower.
        around: they close from all sides, as a chuck's do.
        free: both ends hang out of them however short the work is, as out of V-jaws.
    Returns: of the cells' shape.
    """
    narrow, along = level_axes(cells, side)
    across, along = (narrow, along) if across is None or across == narrow else (along, narrow)
    level = 3 << (2 * across) | (3 << (2 * along) if around else 0)
    found = (seen & np.uint8(level)) != 0
    upper = view(found, side)
    upper[: upper.shape[0] - layers] = False
    if not around and (free or ends_free(cells, limits, along)):
        ends = np.moveaxis(found, along, 0)
        pad = cells.pads[along]
        ends[:pad] = False
        ends[ends.shape[0] - pad :] = False
    return found


def level_axes(cells: Cells, side: int) -> tuple[int, int]:
    """The two level directions with a side up, the one in which the work is narrower first."""
    first, second = (axis for axis in range(3) if axis != side // 2)
    return (first, second) if cells.finished.shape[first] <= cells.finished.shape[second] else (second, first)


def ends_free(cells: Cells, limits: MillLimits, along: int) -> bool:
    """Whether the work is longer than the jaws, so that both its ends hang out of them."""
    return cells.finished.shape[along] * cells.pitch_mm > limits.vise_jaw_mm[0]
