"""How rough the scan is: from local quadrics before any surface is known, from the surfaces' residuals afterwards."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

from steadyrest.compiled import loop
from steadyrest.part.segment.skin import Skin

if TYPE_CHECKING:
    from scipy.spatial import KDTree

FloatArray = npt.NDArray[np.float64]

SEEDS = 600
SLOW_MM = 4.0  # what hangs together farther is the scan's slow drift or the surface's shape, no noise
MOST_SLOW = 0.8  # share of the variance that may be slow
LEAST_LEFT = 8000  # points that stay when a surface is thinned for a far look
RING = 700  # points of a neighbourhood at most
REACH = 8.0  # neighbourhood in spacings: wide against the noise's own correlation


def first_noise(skin: Skin) -> float:
    """Noise of one point, 1 sigma, before any surface is known.

    Args:
        skin: the mesh made ready.
    Returns: sigma; one in six of the seeds is calmer than it, so that neighbourhoods over edges are not heard.
    """
    seeds = np.unique(np.linspace(0, len(skin.points) - 1, SEEDS).astype(np.int64))
    found, stamp = np.full(len(seeds), np.nan), np.full(len(skin.points), -1)
    _quadric_residuals(
        skin.points, skin.normals, skin.start, skin.near, seeds, REACH * skin.spacing_mm, stamp,
        np.empty(RING, np.int64), np.empty((RING, 7)), found,
    )  # fmt: skip
    fine = found[np.isfinite(found)]
    return float(np.quantile(fine, 1 / 6)) if len(fine) else 0.0


def correlation(points: FloatArray, residuals: FloatArray, spacing_mm: float, *, drifts: bool = False) -> float:
    """How far the noise hangs together along the surface: the L of exp(-d^2 / 2 L^2).

    Looked for to six spacings first, then farther as long as it goes on: a fine mesh of a coarse scan hangs together
    over many spacings.

    Args:
        points: (n, 3) of one surface. residuals: (n,) its distances, trend removed. spacing_mm: of the mesh.
        drifts: the scan drifts slowly over the surface: what hangs together from one end of it to the other has an
            allowance of its own and is no noise that a wall of a few mm would fail to average.
    Returns: L in mm; 0 if neighbours are independent.
    Source: the integral of the empirical correlation over the plane, which is 2 pi L^2 for this shape.
    """
    from scipy.spatial import KDTree

    if len(points) < 200:
        return spacing_mm
    centred = residuals - np.median(residuals)
    slow = _slow(points, centred) if drifts else 0.0
    reach, step = 6 * spacing_mm, 1
    while True:
        some = slice(None, None, step)
        area, ended = _hanging(KDTree(points[some]), points[some], centred[some], reach, slow)
        if ended or reach > SLOW_MM / 2:
            return float(np.sqrt(max(area, 0.0) / (2 * np.pi)))
        reach, step = 2 * reach, 4 * step if len(points) > 4 * step * LEAST_LEFT else step


def _slow(points: FloatArray, centred: FloatArray) -> float:
    """Share of the variance that still hangs together where noise no longer does."""
    from scipy.spatial import KDTree

    some = points[:: max(1, len(points) // LEAST_LEFT)]
    off = centred[:: max(1, len(points) // LEAST_LEFT)]
    seeds = np.linspace(0, len(some) - 1, 400).astype(np.int64)
    total, count = 0.0, 0
    for seed, near in zip(seeds, KDTree(some).query_ball_point(some[seeds], 2 * SLOW_MM), strict=True):
        ring = np.asarray(near, dtype=np.int64)
        ring = ring[np.linalg.norm(some[ring] - some[seed], axis=1) > SLOW_MM]
        total, count = total + float(off[ring].sum() * off[seed]), count + len(ring)
    variance = float(np.mean(off[seeds] ** 2))
    return float(np.clip(total / count / variance, 0.0, MOST_SLOW)) if count > 400 and variance > 0 else 0.0


def _hanging(tree: KDTree, points: FloatArray, centred: FloatArray, reach: float, slow: float) -> tuple[float, bool]:
    """Integral of the correlation over the plane up to a reach, and whether it ended within."""
    seeds = np.linspace(0, len(points) - 1, 400).astype(np.int64)
    rings = np.linspace(0, reach, 13)
    sums, counts = np.zeros(12), np.zeros(12)
    for seed in seeds:
        near = np.asarray(tree.query_ball_point(points[seed], reach), dtype=np.int64)
        near = near[near != seed]
        distance = np.linalg.norm(points[near] - points[seed], axis=1)
        ring = np.minimum((distance / reach * 12).astype(np.int64), 11)
        np.add.at(sums, ring, centred[near] * centred[seed])
        np.add.at(counts, ring, 1.0)
    variance = float(np.mean(centred[seeds] ** 2))
    if variance <= 0:
        return 0.0, True
    shape = np.where(counts > 20, sums / np.maximum(counts, 1), 0.0) / variance
    # No two points lie nearer than the mesh is fine: there it hangs together as at the nearest.
    held = np.flatnonzero(counts > 20)
    shape[: held[0] if len(held) else 0] = shape[held[0]] if len(held) else 0.0
    shape = (shape - slow) / (1 - slow)
    below = np.flatnonzero(shape < 0.05)
    stop = int(below[0]) if len(below) else 12
    middle = (rings[1:] + rings[:-1]) / 2
    return 2 * np.pi * float(np.sum(np.maximum(shape[:stop], 0) * middle[:stop])) * (reach / 12), stop < 12


@loop()
def _quadric_residuals(  # pragma: no cover
    points: FloatArray, normals: FloatArray, start: npt.NDArray[np.int64], near: npt.NDArray[np.int32],
    seeds: npt.NDArray[np.int64], reach: float, stamp: npt.NDArray[np.int64], ring: npt.NDArray[np.int64],
    terms: FloatArray, out: FloatArray,
) -> None:  # fmt: skip
    """Scatter about the quadric round each seed. stamp: (n,) of -1; ring: (k,), terms: (k, 7): room to reckon in."""
    for s in range(len(seeds)):
        i = seeds[s]
        ring[0] = i
        stamp[i] = s
        head, tail = 0, np.int64(1)
        while head < tail:
            a = ring[head]
            head += 1
            for p in range(start[a], start[a + 1]):
                b = near[p]
                if stamp[b] == s or tail >= len(ring):
                    continue
                stamp[b] = s
                far, bend = 0.0, 0.0
                for c in range(3):
                    far += (points[b, c] - points[i, c]) ** 2
                    bend += normals[b, c] * normals[i, c]
                if bend >= 0.8 and far <= reach * reach:  # less is over an edge: no quadric follows that
                    ring[tail] = b
                    tail += 1
        if tail >= 30:
            _terms(points, normals, ring, tail, reach, terms)
            out[s] = reach * np.sqrt(_left_over(terms, tail) / (tail - 6))


@loop()
def _terms(  # pragma: no cover
    points: FloatArray, normals: FloatArray, ring: npt.NDArray[np.int64], count: int, reach: float, terms: FloatArray
) -> None:
    """Rows 1, x, y, x^2, xy, y^2 and the height, in the first point's own frame, in units of the reach."""
    i = ring[0]
    nx, ny, nz = normals[i, 0], normals[i, 1], normals[i, 2]
    ux, uy, uz = (0.0, nz, -ny) if abs(nx) < 0.7 else (-nz, 0.0, nx)
    length = np.sqrt(ux * ux + uy * uy + uz * uz) + 1e-300
    ux, uy, uz = ux / length, uy / length, uz / length
    vx, vy, vz = ny * uz - nz * uy, nz * ux - nx * uz, nx * uy - ny * ux
    for k in range(count):
        b = ring[k]
        dx, dy, dz = points[b, 0] - points[i, 0], points[b, 1] - points[i, 1], points[b, 2] - points[i, 2]
        x, y = (dx * ux + dy * uy + dz * uz) / reach, (dx * vx + dy * vy + dz * vz) / reach
        terms[k, 0], terms[k, 1], terms[k, 2] = 1.0, x, y
        terms[k, 3], terms[k, 4], terms[k, 5] = x * x, x * y, y * y
        terms[k, 6] = (dx * nx + dy * ny + dz * nz) / reach


@loop()
def _left_over(terms: FloatArray, count: int) -> float:  # pragma: no cover
    """The last column's squares that the others leave, each made square to those before it (Gram and Schmidt)."""
    last = terms.shape[1] - 1
    for a in range(last):
        own = 0.0
        for k in range(count):
            own += terms[k, a] * terms[k, a]
        for b in range(a + 1, last + 1):
            shared = 0.0
            for k in range(count):
                shared += terms[k, a] * terms[k, b]
            by = shared / (own + 1e-9)  # a neighbourhood in a line has no say across it
            for k in range(count):
                terms[k, b] -= by * terms[k, a]
    rest = 0.0
    for k in range(count):
        rest += terms[k, last] * terms[k, last]
    return rest
