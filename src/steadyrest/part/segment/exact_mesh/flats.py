"""Flats: triangles that lie in one plane and hang together, and the soft edges over which strips follow one another."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from numba import njit

from steadyrest.part.segment.skin import Skin

FloatArray = npt.NDArray[np.float64]
IntArray = npt.NDArray[np.int64]

SOFTEST = float(np.cos(np.radians(37.0)))


@dataclass(frozen=True, slots=True)
class Flats:
    """label: (m,) flat of each triangle. normal, point: (k, 3) and area: (k,) of each flat.

    corner_start, corner: points of flat i are corner[corner_start[i]:corner_start[i + 1]].
    next_start, next_flat: the flats over soft edges, the same way.
    """

    label: IntArray
    normal: FloatArray
    point: FloatArray
    area: FloatArray
    corner_start: IntArray
    corner: IntArray
    next_start: IntArray
    next_flat: IntArray

    def corners_of(self, flats: list[int]) -> IntArray:
        """Sorted indices of the points of these flats, each once."""
        parts = [self.corner[self.corner_start[k] : self.corner_start[k + 1]] for k in flats]
        return parts[0] if len(parts) == 1 else np.unique(np.concatenate(parts))

    def soft(self, k: int) -> list[int]:
        """Flats that meet this one at a soft edge."""
        return self.next_flat[self.next_start[k] : self.next_start[k + 1]].tolist()


def flats_of(skin: Skin, tolerance: float) -> Flats:
    """All flats of a mesh, largest triangles first.

    Args:
        skin: the mesh made ready. tolerance: how far a corner may lie off its flat.
    Returns: the flats; every triangle belongs to one.
    """
    order = np.argsort(-skin.facet_areas, kind="stable")
    label, count = _grow(skin.points, skin.facets, skin.facet_normals, skin.facet_areas, skin.beside, order, tolerance)
    area = np.bincount(label, weights=skin.facet_areas, minlength=count).astype(np.float64)
    normal = np.stack(
        [np.bincount(label, weights=skin.facet_areas * skin.facet_normals[:, j], minlength=count) for j in range(3)],
        axis=1,
    )
    normal /= np.maximum(np.linalg.norm(normal, axis=1), 1e-300)[:, None]
    middle = skin.points[skin.facets].mean(axis=1)
    weight = np.maximum(skin.facet_areas, 1e-300)
    total = np.bincount(label, weights=weight, minlength=count)
    point = np.stack(
        [np.bincount(label, weights=weight * middle[:, j], minlength=count) / total for j in range(3)], axis=1
    )
    pairs = np.unique(np.stack((np.repeat(label, 3), skin.facets.reshape(-1).astype(np.int64)), axis=1), axis=0)
    corner_start = np.searchsorted(pairs[:, 0], np.arange(count + 1))
    f, k = np.nonzero(skin.beside >= 0)
    a, b = label[f], label[skin.beside[f, k]]
    cosine = np.einsum("ij,ij->i", normal[a], normal[b])
    links = np.unique(np.stack((a, b), axis=1)[(a != b) & (cosine > SOFTEST)], axis=0)
    next_start = (
        np.searchsorted(links[:, 0], np.arange(count + 1)) if len(links) else np.zeros(count + 1, dtype=np.int64)
    )
    return Flats(
        label,
        normal,
        point,
        area,
        corner_start,
        pairs[:, 1],
        next_start,
        links[:, 1] if len(links) else np.empty(0, dtype=np.int64),
    )


@njit(cache=True)
def _grow(  # pragma: no cover
    points: FloatArray,
    facets: npt.NDArray[np.int32],
    normals: FloatArray,
    areas: FloatArray,
    beside: npt.NDArray[np.int32],
    order: IntArray,
    tolerance: float,
) -> tuple[IntArray, int]:
    m = len(facets)
    label = np.full(m, -1, np.int64)
    queue = np.empty(m, np.int64)
    count = 0
    for p in range(m):
        seed = order[p]
        if label[seed] >= 0:
            continue
        label[seed] = count
        nx, ny, nz = normals[seed, 0], normals[seed, 1], normals[seed, 2]
        ox, oy, oz = points[facets[seed, 0], 0], points[facets[seed, 0], 1], points[facets[seed, 0], 2]
        queue[0] = seed
        head, tail = 0, 1
        while head < tail:
            f = queue[head]
            head += 1
            for k in range(3):
                g = beside[f, k]
                if g < 0 or label[g] >= 0:
                    continue
                dot = normals[g, 0] * nx + normals[g, 1] * ny + normals[g, 2] * nz
                # A sliver's own normal says little: it goes with the plane on which its corners lie.
                if dot < 0.99999 and areas[g] > 1e-4 * areas[seed]:
                    continue
                if dot < 0.2 and areas[g] > tolerance * tolerance:
                    continue
                off = 0.0
                for j in range(3):
                    i = facets[g, j]
                    d = (points[i, 0] - ox) * nx + (points[i, 1] - oy) * ny + (points[i, 2] - oz) * nz
                    off = max(off, abs(d))
                if off < 0.5 * tolerance:  # a narrow first triangle is a little askew by its rounding
                    label[g] = count
                    queue[tail] = g
                    tail += 1
        count += 1
    return label, count
