"""A part as a tilted spindle sees it: its cells in layers square to a slanted direction, and what is taken off there.

Only what no side sees is taken at a slant, and what stands over it in the same columns: all else comes off from a side.
"""

from __future__ import annotations

from dataclasses import dataclass

import numba as nb
import numpy as np
import numpy.typing as npt

from steadyrest.shop.part import Vec3
from steadyrest.stations.mill.removal.cells import BoolArray, ByteArray, Cells, tops, view
from steadyrest.stations.mill.set_ups.needs import dot, frame_about

OUTSIDE = -1  # in the air beside the blank
BELOW = -2  # beside it, no higher than what holds it


@dataclass(frozen=True, slots=True)
class Slant:
    """Cells as seen along a slant, nearest layer first.

    at: (nz, ny, nx) the number of each one's cell in the blank, OUTSIDE or BELOW. finished: part cells. wanted: stock
    that is taken from here. shut: where what holds the work keeps cutters out.
    """

    at: npt.NDArray[np.int32]
    finished: BoolArray
    wanted: BoolArray
    shut: BoolArray


def slant_of(
    cells: Cells, seen: ByteArray, left: BoolArray, way: Vec3, *, base: int, held: int, beside: BoolArray | None
) -> Slant:
    """The work as a spindle that comes along a slant sees it.

    Args:
        cells: part and blank.
        seen: from which sides each empty cell is seen.
        left: (nx, ny, nz) stock as it is now.
        way: unit vector out of the part, to the spindle, in the file's frame.
        base: side that is up when nothing is tilted, or nearest to the slant.
        held: layers from the lowest up that jaws hold; 0: only the table is below.
        beside: as seen from the base, cells that what holds the work closes in; None: none.
    Returns: the cells, turned.
    """
    frame = cells.grid.frame
    up = np.array([dot(frame[k], way) for k in range(3)])  # along the cells' own three directions
    across, along = (np.array(one) for one in frame_about((float(up[0]), float(up[1]), float(up[2]))))
    shape = np.array(cells.finished.shape)
    corners = np.array([(x, y, z) for x in (0, 1) for y in (0, 1) for z in (0, 1)]) * shape
    axes = np.stack([-up, along, across])
    spans = corners @ axes.T
    lows = spans.min(axis=0)
    counts = tuple(int(one) for one in np.ceil(spans.max(axis=0) - lows))
    at = np.full(counts, OUTSIDE, np.int32)
    axis, sign = base // 2, 1 if base % 2 == 0 else -1
    plane = float(held if sign > 0 else shape[axis] - held)
    _turned(at, shape, axes, lows, axis, sign, plane)
    within = at >= 0
    finished = _picked(cells.finished, at, within)
    hidden = _picked((seen == 0) & ~cells.finished & left, at, within)
    inside = np.zeros(cells.finished.shape, dtype=np.bool_)
    inside[tuple(slice(pad, n - pad) for pad, n in zip(cells.pads, inside.shape, strict=True))] = True
    layer = np.arange(counts[0])[:, None, None]
    clear = layer < tops(finished)[None]
    columns = np.asarray((hidden & clear).any(axis=0))
    wanted = clear & columns[None] & (_picked(inside & left, at, within) | hidden)
    shut = at == BELOW
    if beside is not None:
        closed = np.zeros(cells.finished.shape, dtype=np.bool_)
        view(closed, base)[:] = beside[-closed.shape[axis] :]
        shut |= _picked(closed, at, within)
    return Slant(at, finished, wanted, shut)


def put_back(slant: Slant, cells: Cells, left: BoolArray, rest: BoolArray) -> None:
    """Take out of the stock what was taken at the slant.

    Args:
        slant: the cells, turned.
        cells: part and blank.
        left: (nx, ny, nz) stock, which loses it.
        rest: (nz, ny, nx) what is left of the wanted cells.
    """
    gone = slant.at[slant.wanted & ~rest]
    flat = left.reshape(-1)
    flat[gone[gone >= 0]] = False
    left |= cells.finished & cells.stock


def _picked(cells: BoolArray, at: npt.NDArray[np.int32], within: BoolArray) -> BoolArray:
    found = np.zeros(at.shape, dtype=np.bool_)
    found[within] = np.ascontiguousarray(cells).reshape(-1)[at[within]]
    return found


@nb.njit(cache=True, nogil=True)
def _turned(
    at: npt.NDArray[np.int32],
    shape: npt.NDArray[np.int64],
    axes: npt.NDArray[np.float64],
    low: npt.NDArray[np.float64],
    axis: int,
    sign: int,
    plane: float,
) -> None:
    """For each turned cell the number of the blank's cell in which its middle lies."""
    nz, ny, nx = at.shape
    for z in range(nz):
        for y in range(ny):
            for x in range(nx):
                a, b, c = low[0] + z + 0.5, low[1] + y + 0.5, low[2] + x + 0.5
                i = a * axes[0, 0] + b * axes[1, 0] + c * axes[2, 0]
                j = a * axes[0, 1] + b * axes[1, 1] + c * axes[2, 1]
                k = a * axes[0, 2] + b * axes[1, 2] + c * axes[2, 2]
                if 0 <= i < shape[0] and 0 <= j < shape[1] and 0 <= k < shape[2]:
                    at[z, y, x] = (int(i) * shape[1] + int(j)) * shape[2] + int(k)
                    continue
                high = i if axis == 0 else (j if axis == 1 else k)
                if (high - plane) * sign < 0:
                    at[z, y, x] = BELOW
