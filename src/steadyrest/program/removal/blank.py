"""The blank that a program starts from, in work coordinates of the first offset that cuts. Values only."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

FloatArray = npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class BoxBlank:
    """A block. min_mm, max_mm: its lowest and highest corner."""

    min_mm: tuple[float, float, float]
    max_mm: tuple[float, float, float]

    def __post_init__(self) -> None:
        if not all(np.isfinite(self.min_mm + self.max_mm)) or not all(np.less(self.min_mm, self.max_mm)):
            raise ValueError(f"BoxBlank: max_mm must be above min_mm; got {self.min_mm!r}, {self.max_mm!r}")


@dataclass(frozen=True, slots=True)
class RoundBlank:
    """A bar about the z axis. z_mm: its two ends, lower first. bore_mm: diameter of a tube's hole, 0 if solid."""

    diameter_mm: float
    z_mm: tuple[float, float]
    bore_mm: float = 0.0

    def __post_init__(self) -> None:
        numbers = (self.diameter_mm, *self.z_mm, self.bore_mm)
        if not all(np.isfinite(numbers)) or not self.z_mm[0] < self.z_mm[1]:
            raise ValueError(f"RoundBlank: z_mm must rise; got {self.z_mm!r}")
        if not 0.0 <= self.bore_mm < self.diameter_mm:
            raise ValueError(f"RoundBlank: 0 <= bore_mm < diameter_mm; got {self.bore_mm!r}, {self.diameter_mm!r}")


@dataclass(frozen=True, slots=True)
class MeshBlank:
    """A closed surface of triangles: a casting, or what an earlier stage left.

    vertices_mm: (n, 3) read-only. faces: (m, 3) read-only, corners counter-clockwise seen from outside.
    """

    vertices_mm: FloatArray
    faces: npt.NDArray[np.int64]

    def __post_init__(self) -> None:
        if self.vertices_mm.ndim != 2 or self.vertices_mm.shape[1] != 3 or not len(self.faces):
            raise ValueError(f"MeshBlank: (n, 3) corners and (m, 3) faces; got {self.vertices_mm.shape}")


Blank = BoxBlank | RoundBlank | MeshBlank
