"""The mesh made ready for finding surfaces: areas, normals calmed to the scale that the noise demands, neighbours.

Normals are smoothed over the surface and not over edges (bilateral): a neighbour counts less the more it turns away.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from numba import njit

from steadyrest.part.triangles.mesh import Mesh

FloatArray = npt.NDArray[np.float64]
IndexArray = npt.NDArray[np.int32]


@dataclass(frozen=True, slots=True)
class Skin:
    """What the finders look at.

    points: (n, 3). normals: (n, 3) calmed, outward. areas: (n,) share of the surface that a point stands for.
    facets: (m, 3) corner indices. facet_normals: (m, 3) as they are. facet_areas: (m,). beside: (m, 3).
    start, near: neighbours of point i are near[start[i]:start[i + 1]].
    spacing_mm: median edge. size_mm: diagonal of the box. roughness_rad: median turn between neighbouring facets.
    rim: (n,) whether a point lies on an open edge.
    """

    points: FloatArray
    normals: FloatArray
    areas: FloatArray
    facets: IndexArray
    facet_normals: FloatArray
    facet_areas: FloatArray
    beside: IndexArray
    start: npt.NDArray[np.int64]
    near: IndexArray
    spacing_mm: float
    size_mm: float
    roughness_rad: float
    rim: npt.NDArray[np.bool_]


def skin_of(mesh: Mesh) -> Skin:
    """The mesh made ready.

    Args:
        mesh: a cleaned mesh.
    Returns: areas, calmed normals, neighbours and scales.
    """
    points, facets, beside = mesh.vertices, mesh.faces, mesh.beside
    raw, areas = _facet_normals(points, facets)
    roughness = _roughness(raw, beside)
    rounds = int(np.clip(np.ceil(roughness / 0.012), 2, 16))
    calm = _calmed(raw, areas, beside, rounds)
    normals, share = _at_points(calm, areas, facets, len(points))
    start, near = _neighbours(facets, len(points))
    rim = np.zeros(len(points), dtype=np.bool_)
    face, edge = np.nonzero(beside == -1)
    rim[facets[face, edge]] = True
    rim[facets[face, (edge + 1) % 3]] = True
    step = max(1, len(facets) // 50_000)
    some = facets[::step]
    spacing = float(np.median(np.linalg.norm(points[some[:, 0]] - points[some[:, 1]], axis=1)))
    size = float(np.linalg.norm(np.ptp(points, axis=0)))
    return Skin(
        points=points, normals=normals, areas=share, facets=facets, facet_normals=raw, facet_areas=areas, beside=beside,
        start=start, near=near, spacing_mm=spacing, size_mm=size, roughness_rad=roughness, rim=rim,
    )  # fmt: skip


def _roughness(normals: FloatArray, beside: IndexArray) -> float:
    step = max(1, len(normals) // 30_000)
    some = np.arange(0, len(normals), step)
    other = beside[some, 0]
    fine = other >= 0
    if not fine.any():
        return 0.0
    cosine = np.einsum("ij,ij->i", normals[some[fine]], normals[other[fine]])
    return float(np.median(np.arccos(np.clip(cosine, -1, 1))))


@njit(cache=True)
def _facet_normals(points: FloatArray, facets: IndexArray) -> tuple[FloatArray, FloatArray]:  # pragma: no cover
    m = len(facets)
    normals = np.zeros((m, 3))
    areas = np.zeros(m)
    for f in range(m):
        a, b, c = facets[f, 0], facets[f, 1], facets[f, 2]
        ux, uy, uz = points[b, 0] - points[a, 0], points[b, 1] - points[a, 1], points[b, 2] - points[a, 2]
        vx, vy, vz = points[c, 0] - points[a, 0], points[c, 1] - points[a, 1], points[c, 2] - points[a, 2]
        x, y, z = uy * vz - uz * vy, uz * vx - ux * vz, ux * vy - uy * vx
        length = np.sqrt(x * x + y * y + z * z)
        areas[f] = length / 2
        if length > 0:
            normals[f, 0], normals[f, 1], normals[f, 2] = x / length, y / length, z / length
    return normals, areas


@njit(cache=True)
def _calmed(raw: FloatArray, areas: FloatArray, beside: IndexArray, rounds: int) -> FloatArray:  # pragma: no cover
    m = len(raw)
    here = raw.copy()
    there = np.empty_like(raw)
    for turn in range(rounds):
        width = 0.6 if turn < 2 else 0.35  # rad; first wide, to get out of the noise, then edges are kept
        for f in range(m):
            w = areas[f]
            x, y, z = w * here[f, 0], w * here[f, 1], w * here[f, 2]
            for k in range(3):
                g = beside[f, k]
                if g < 0:
                    continue
                dx, dy, dz = here[g, 0] - here[f, 0], here[g, 1] - here[f, 1], here[g, 2] - here[f, 2]
                w = areas[g] * np.exp(-(dx * dx + dy * dy + dz * dz) / (width * width))
                x += w * here[g, 0]
                y += w * here[g, 1]
                z += w * here[g, 2]
            length = np.sqrt(x * x + y * y + z * z)
            if length > 0:
                there[f, 0], there[f, 1], there[f, 2] = x / length, y / length, z / length
            else:
                there[f, 0], there[f, 1], there[f, 2] = here[f, 0], here[f, 1], here[f, 2]
        here, there = there, here
    return here


@njit(cache=True)
def _at_points(  # pragma: no cover
    normals: FloatArray, areas: FloatArray, facets: IndexArray, count: int
) -> tuple[FloatArray, FloatArray]:
    out = np.zeros((count, 3))
    share = np.zeros(count)
    for f in range(len(facets)):
        for k in range(3):
            i = facets[f, k]
            share[i] += areas[f] / 3
            for j in range(3):
                out[i, j] += areas[f] * normals[f, j]
    for i in range(count):
        length = np.sqrt(out[i, 0] ** 2 + out[i, 1] ** 2 + out[i, 2] ** 2)
        if length > 0:
            for j in range(3):
                out[i, j] /= length
    return out, share


@njit(cache=True)
def _neighbours(facets: IndexArray, count: int) -> tuple[npt.NDArray[np.int64], IndexArray]:  # pragma: no cover
    room = np.zeros(count + 1, np.int64)
    for f in range(len(facets)):
        for k in range(3):
            room[facets[f, k] + 1] += 2
    for i in range(count):
        room[i + 1] += room[i]
    held = np.zeros(count, np.int32)
    loose = np.empty(room[-1], np.int32)
    for f in range(len(facets)):
        for k in range(3):
            i = facets[f, k]
            for step in (1, 2):
                j = facets[f, (k + step) % 3]
                known = False
                for p in range(room[i], room[i] + held[i]):
                    if loose[p] == j:
                        known = True
                        break
                if not known:
                    loose[room[i] + held[i]] = j
                    held[i] += 1
    start = np.zeros(count + 1, np.int64)
    for i in range(count):
        start[i + 1] = start[i] + held[i]
    near = np.empty(start[-1], np.int32)
    for i in range(count):
        for p in range(held[i]):
            near[start[i] + p] = loose[room[i] + p]
    return start, near
