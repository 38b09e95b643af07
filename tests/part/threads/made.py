"""Surfaces made point by point: threads, and what must not be taken for one. Shares nothing with the finder."""

from __future__ import annotations

from collections.abc import Callable
from math import pi, sqrt

import numpy as np
import numpy.typing as npt

from steadyrest.part.patch import Patch, PatchGraph

FloatArray = npt.NDArray[np.float64]
Height = Callable[[FloatArray, FloatArray], FloatArray]


def thread_height(pitch_mm: float, *, starts: int = 1, hand: int = 1, seen: float = 1.0) -> Height:
    """Height over the crest of a basic 60 degree profile: crest flat P/8, root flat P/4, sharp.

    seen: share of the depth below which the scanner saw nothing.
    """

    def height(z: FloatArray, angle: FloatArray) -> FloatArray:
        wave = (z / pitch_mm - hand * starts * angle / (2 * pi)) % 1.0
        from_crest = np.abs(wave - 0.5) * pitch_mm
        down = np.minimum(np.maximum(from_crest - pitch_mm / 16, 0.0) * sqrt(3), 5 * sqrt(3) / 16 * pitch_mm)
        return -np.minimum(down, seen * 5 * sqrt(3) / 16 * pitch_mm)

    return height


def surface(
    height: Height,
    *,
    diameter_mm: float,
    length_mm: float,
    noise_mm: float = 0.03,
    per_mm2: float = 5.0,
    seed: int = 0,
    coverage_rad: float = 2 * pi,
    crooked_rad: float = 0.0,
    off_mm: float = 0.0,
) -> FloatArray:
    """Points (n, 3) on a turned surface about z, noise hanging together over some neighbours.

    coverage_rad: how far round it was seen. crooked_rad, off_mm: how the true axis lies to z.
    """
    rng = np.random.default_rng(seed)
    count = min(9000, int(per_mm2 * pi * diameter_mm * length_mm))
    z, angle = rng.uniform(-length_mm / 2, length_mm / 2, count), rng.uniform(0, coverage_rad, count)
    slow = sum(
        rng.standard_normal() * np.cos(k * z + m * angle + rng.uniform(0, 2 * pi))
        for k, m in zip(rng.uniform(0.2, 4.0, 12), rng.integers(-9, 10, 12), strict=True)
    )
    rho = diameter_mm / 2 + height(z, angle) + noise_mm * (0.9 * rng.standard_normal(count) + 0.12 * slow)
    x, y = rho * np.cos(angle), rho * np.sin(angle)
    return np.stack([x + crooked_rad * z + off_mm, y, z - crooked_rad * x], axis=1)


def graph_of(points: FloatArray, *, diameter_mm: float, scan: bool = True, inside: bool = False) -> PatchGraph:
    """A graph of one cylinder patch with these points, as a segmenter would leave a threaded shaft."""
    points = points.copy()
    points.setflags(write=False)
    half = float(np.abs(points[:, 2]).max())
    patch = Patch(
        id=0,
        kind="cylinder",
        point=(0.0, 0.0, 0.0),
        axis=(0.0, 0.0, 1.0),
        radius_mm=diameter_mm / 2,
        along_mm=(-half, half),
        arc_rad=2 * pi,
        area_mm2=pi * diameter_mm * 2 * half,
        inside=inside,
        points=points,
    )
    low, high = points.min(axis=0), points.max(axis=0)
    box = ((float(low[0]), float(low[1]), float(low[2])), (float(high[0]), float(high[1]), float(high[2])))
    return PatchGraph(
        patches=(patch,),
        joints=(),
        scan=scan,
        box_mm=box,
        area_mm2=patch.area_mm2,
        volume_mm3=None,
        solids=None,
        noise_mm=0.03 if scan else 0.0,
        axis=((0.0, 0.0, 0.0), (0.0, 0.0, 1.0)),
        turned_share=1.0,
    )


def solid_points(pitch_mm: float, *, diameter_mm: float, turns: int) -> FloatArray:
    """What a solid's rims give of a thread: the edges of crest and root, each a helix sampled every five degrees."""
    depth = 5 * sqrt(3) / 16 * pitch_mm
    edges: list[FloatArray] = []
    angle = np.arange(0.0, 2 * pi * turns, np.radians(5.0))
    for shift, down in ((-1 / 16, 0.0), (1 / 16, 0.0), (3 / 8, depth), (5 / 8, depth)):
        rho, z = diameter_mm / 2 - down, pitch_mm * (angle / (2 * pi) + shift - turns / 2)
        edges.append(np.stack([rho * np.cos(angle), rho * np.sin(angle), z], axis=1))
    return np.concatenate(edges)
