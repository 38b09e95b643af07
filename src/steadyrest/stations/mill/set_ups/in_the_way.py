"""What holds the work stands in the way: jaws beside it, clamps that stay on it, and where a spindle comes in from the
side, jaws and table that its holder must pass.
"""

from __future__ import annotations

import math

import numpy as np

from steadyrest.shop.floor import MillLimits
from steadyrest.stations.mill.removal.cells import BoolArray, ByteArray, Cells, view
from steadyrest.stations.mill.set_ups.choose import SetUp
from steadyrest.stations.mill.set_ups.jaws import between_jaws
from steadyrest.tables.practice import rule


def in_the_way(
    cells: Cells, seen: ByteArray, limits: MillLimits, set_up: SetUp, side: int, *, holder_mm: float
) -> BoolArray | None:
    """Cells that cutters keep out of from one side of a set-up.

    Args:
        cells: part and blank.
        seen: from which sides each empty cell is seen.
        limits: of the mill.
        set_up: how it is held.
        side: from which it is worked.
        holder_mm: diameter of the thickest holder.
    Returns: (nz, ny, nx) as seen from the side, nearest layer first; with more layers on top than the cells have where
        something stands out above them; None where nothing is in the way.
    """
    hold, base = set_up.hold, set_up.base
    if base is None:
        return None
    if hold.clamps is not None:
        if side == base:
            return None if hold.moved else _under_clamps(cells, set_up, base)
        return _table(cells, base, side, math.ceil(holder_mm / 2.0 / cells.pitch_mm))
    if not set_up.held_cells:
        if side == base:
            return None
        return _table(cells, base, side, math.ceil(holder_mm / 2.0 / cells.pitch_mm))
    beside = between_jaws(
        cells, seen, limits, base, set_up.held_cells, set_up.across, around=hold.around, free=hold.kind == "V-jaws"
    )
    found = np.ascontiguousarray(view(beside, side))
    if side == base or hold.around:
        return found
    out_mm = rule("jaw_back_mm")
    if set_up.across is not None and side // 2 != set_up.across:
        # At the ends of the work the jaws stand out by what they are longer than it.
        out_mm = max((limits.vise_jaw_mm[0] - hold.long_mm) / 2.0, 0.0)
    out = round(out_mm / cells.pitch_mm)
    low = _low(cells, base, side, set_up.held_cells)
    return np.concatenate([np.repeat(low[:1], out, axis=0), found]) if out else found


def _under_clamps(cells: Cells, set_up: SetUp, base: int) -> BoolArray:
    """Columns under clamps that stay."""
    found = np.zeros(cells.finished.shape, dtype=np.bool_)
    above = view(found, base)
    assert set_up.hold.clamps is not None, "asked only where clamps hold"
    for spot in set_up.hold.clamps.first:
        above[:, spot.rows[0] : spot.rows[1], spot.columns[0] : spot.columns[1]] = True
    return np.ascontiguousarray(above)


def _table(cells: Cells, base: int, side: int, layers: int) -> BoolArray:
    """The lowest layers, where a holder that comes in from the side would touch the table."""
    return _low(cells, base, side, layers) & ~view(cells.finished, side)


def _low(cells: Cells, base: int, side: int, layers: int) -> BoolArray:
    """The lowest layers of all cells as seen from a side."""
    found = np.zeros(cells.finished.shape, dtype=np.bool_)
    upper = view(found, base)
    upper[max(upper.shape[0] - layers, 0) :] = True
    return np.ascontiguousarray(view(found, side))
