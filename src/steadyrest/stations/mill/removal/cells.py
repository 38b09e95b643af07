"""A part and its blank as cells, and from which of the six sides each empty cell is seen.

Sides are numbered 0 to 5: along the part's first direction and against it, then the second, then the third. A side's
view of the cells has the layer nearest to the spindle first.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeVar

import numba as nb
import numpy as np
import numpy.typing as npt

from steadyrest.shop.part import Vec3
from steadyrest.shop.solid_grid import SolidGrid

BoolArray = npt.NDArray[np.bool_]
ByteArray = npt.NDArray[np.uint8]

Kind = TypeVar("Kind", bound=np.generic)

SIDES = 6
STOCK_MM = 0.05  # an allowance below this is none: the face stays as the stock comes


@dataclass(frozen=True, slots=True)
class Cells:
    """The part inside its blank.

    finished: (nx, ny, nz) cells that no cutter may enter: the part, its drilled holes filled. stock: of the blank.
    grid: of the part; pads: cells of allowance on each side of it, along the three directions.
    """

    grid: SolidGrid
    finished: BoolArray
    stock: BoolArray
    pads: tuple[int, int, int]

    @property
    def pitch_mm(self) -> float:
        return self.grid.pitch_mm

    def cell(self, point_mm: Vec3) -> tuple[int, int, int]:
        """The cell in which a point of the file's frame lies; it may be outside of the array."""
        at = self.grid.at(point_mm)
        i, j, k = (int(np.floor(a)) + pad for a, pad in zip(at, self.pads, strict=True))
        return i, j, k

    def holds(self, cell: tuple[int, int, int]) -> bool:
        """Whether there is such a cell."""
        return all(0 <= c < n for c, n in zip(cell, self.finished.shape, strict=True))


@dataclass(frozen=True, slots=True)
class Bar:
    """A blank that is no block. shape: "round" or "hexagon"; size_mm: diameter, or across its flats.

    axes: of the part's three directions, those along the bar, across its points and across its flats.
    """

    shape: str
    size_mm: float
    axes: tuple[int, int, int]

    def section(self, cells: BoolArray, pitch_mm: float) -> BoolArray:
        """Which cells of an array about the bar's middle lie in it."""
        _, wide, high = self.axes
        x, y = (self._middles(cells.shape[axis], axis, pitch_mm) for axis in (wide, high))
        half = self.size_mm / 2.0 + pitch_mm / 4.0
        if self.shape == "round":
            inside = x * x + y * y <= half * half
        else:
            inside = (np.abs(y) <= half) & (np.abs(x) * np.sqrt(0.75) + np.abs(y) / 2.0 <= half)
        return np.broadcast_to(inside, cells.shape)

    def _middles(self, count: int, axis: int, pitch_mm: float) -> npt.NDArray[np.float64]:
        shape = [1, 1, 1]
        shape[axis] = count
        return ((np.arange(count, dtype=np.float64) + 0.5 - count / 2.0) * pitch_mm).reshape(shape)


def cells_of(
    grid: SolidGrid, finished: BoolArray, *, box_mm: Vec3, bar: Bar | None = None, as_stock: tuple[int, ...] = ()
) -> Cells:
    """A part's cells in the middle of its blank.

    Args:
        grid: of the part.
        finished: of the grid's shape: cells that stay.
        box_mm: the blank along the part's three directions.
        bar: its section, where it is no block.
        as_stock: of the three directions, those whose two faces stay as the stock comes.
    Returns: the cells, allowance alike on both sides.
    """
    pitch = grid.pitch_mm
    spare = [(box - n * pitch) / 2.0 for box, n in zip(box_mm, grid.shape, strict=True)]
    spare = [0.0 if axis in as_stock else one for axis, one in enumerate(spare)]
    pads = [max(round(one / pitch), 1) if one > max(STOCK_MM, pitch / 4.0) else 0 for one in spare]
    inside = np.pad(finished, [(pad, pad) for pad in pads])
    stock = np.ones(inside.shape, dtype=np.bool_) if bar is None else bar.section(inside, pitch) | inside
    return Cells(grid, inside, stock, (pads[0], pads[1], pads[2]))


def view(cells: npt.NDArray[Kind], side: int) -> npt.NDArray[Kind]:
    """Cells as seen from a side: layers from the nearest down, then the two other directions in their order.

    Args:
        cells: (nx, ny, nz).
        side: 0 to 5.
    Returns: a view of the same cells.
    """
    turned = np.moveaxis(cells, side // 2, 0)
    return turned[::-1] if side % 2 == 0 else turned


def direction(cells: Cells, side: int) -> Vec3:
    """The unit vector out of the part on a side, in the file's frame."""
    x, y, z = cells.grid.frame[side // 2]
    return (x, y, z) if side % 2 == 0 else (-x, -y, -z)


def sides_along(cells: Cells, way: Vec3, *, cos: float = 0.995) -> tuple[int, ...]:
    """The sides that look along a direction, as far as its cosine says."""
    return tuple(
        side for side in range(SIDES) if sum(a * b for a, b in zip(direction(cells, side), way, strict=True)) >= cos
    )


def seen_from(finished: BoolArray) -> ByteArray:
    """From which sides each cell that must be empty is seen, part cells apart.

    Args:
        finished: (nx, ny, nz) cells of the part.
    Returns: of that shape; bit s for side s; 0 in the part and where no side sees.
    """
    found = np.zeros(finished.shape, dtype=np.uint8)
    for side in range(SIDES):
        _look(view(finished, side), view(found, side), np.uint8(1 << side))
    return found


@nb.njit(cache=True, nogil=True)
def _look(finished: BoolArray, found: ByteArray, bit: np.uint8) -> None:
    nz, ny, nx = finished.shape
    shut = np.zeros((ny, nx), np.bool_)
    for z in range(nz):
        for y in range(ny):
            for x in range(nx):
                if finished[z, y, x]:
                    shut[y, x] = True
                elif not shut[y, x]:
                    found[z, y, x] |= bit


@nb.njit(cache=True, nogil=True)
def tops(finished: BoolArray) -> npt.NDArray[np.int32]:
    """The first layer of each column that holds a cell; the number of layers where none does.

    Args:
        finished: (nz, ny, nx), nearest layer first.
    Returns: (ny, nx).
    """
    nz, ny, nx = finished.shape
    found = np.full((ny, nx), nz, np.int32)
    for z in range(nz):
        for y in range(ny):
            for x in range(nx):
                if finished[z, y, x] and found[y, x] == nz:
                    found[y, x] = z
    return found
