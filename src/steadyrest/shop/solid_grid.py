"""A body as cells: what stations ask when they look from where a tool gets at it.

A cell is filled where its middle lies in the body. Made in part/triangles/solid_grid.py;
nothing here knows a file or a mesh.
"""

from __future__ import annotations

import base64
import zlib
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

Vec3 = tuple[float, float, float]
BoolArray = npt.NDArray[np.bool_]
Frame = tuple[Vec3, Vec3, Vec3]


@dataclass(frozen=True, slots=True)
class SolidGrid:
    """A body as cells.

    pitch_mm: edge of a cell. frame: the cells' three directions, unit vectors in the file's frame, right-handed.
    origin_mm: the corner of cell (0, 0, 0), in the file's frame. shape: cells along each direction.
    packed: eight cells a byte, the last direction running fastest; deflated, and in base 64, so that it can be kept as
        text beside the part.
    """

    pitch_mm: float
    origin_mm: Vec3
    frame: Frame
    shape: tuple[int, int, int]
    packed: str

    def __post_init__(self) -> None:
        if self.pitch_mm <= 0 or min(self.shape) < 1:
            raise ValueError(f"SolidGrid: {self.shape} cells of {self.pitch_mm!r} mm")

    def filled(self) -> BoolArray:
        """Which cells lie in the body.

        Returns: shape as told, read-only.
        """
        cells = self.shape[0] * self.shape[1] * self.shape[2]
        data = np.frombuffer(zlib.decompress(base64.b64decode(self.packed)), dtype=np.uint8)
        bits = np.unpackbits(data, count=cells)
        found = bits.view(np.bool_).reshape(self.shape)
        found.setflags(write=False)
        return found

    def at(self, point_mm: Vec3) -> Vec3:
        """A point of the file's frame in cells from the corner of cell (0, 0, 0), along the three directions.

        Args:
            point_mm: in the file's frame.
        Returns: three numbers, fractions of a cell kept.
        """
        off = tuple(p - o for p, o in zip(point_mm, self.origin_mm, strict=True))
        along = [sum(a * b for a, b in zip(axis, off, strict=True)) / self.pitch_mm for axis in self.frame]
        return along[0], along[1], along[2]


def grid_of(filled: BoolArray, *, pitch_mm: float, origin_mm: Vec3, frame: Frame) -> SolidGrid:
    """A grid from which cells are filled.

    Args:
        filled: (nx, ny, nz) truths.
        pitch_mm: edge of a cell.
        origin_mm: corner of cell (0, 0, 0) in the file's frame.
        frame: directions of the cells in the file's frame.
    Returns: the grid.
    """
    nx, ny, nz = filled.shape
    packed = base64.b64encode(zlib.compress(np.packbits(filled.ravel()).tobytes(), 1)).decode("ascii")
    return SolidGrid(pitch_mm, origin_mm, frame, (nx, ny, nz), packed)


def coarser(grid: SolidGrid) -> SolidGrid:
    """The same body in cells of twice the edge, each filled where half of its eight are.

    Args:
        grid: to be made coarser.
    Returns: the grid; a half cell may be added at the far ends.
    """
    filled = grid.filled()
    even = np.pad(filled, [(0, n % 2) for n in filled.shape])
    nx, ny, nz = (n // 2 for n in even.shape)
    eights = even.reshape(nx, 2, ny, 2, nz, 2).sum(axis=(1, 3, 5))
    return grid_of(eights >= 4, pitch_mm=2.0 * grid.pitch_mm, origin_mm=grid.origin_mm, frame=grid.frame)
