"""Sight: which corners a pair of lenses sees from each station, by a depth picture; and what becomes of the rest."""

from __future__ import annotations

import numpy as np
import scipy.sparse as sp
from numba import njit
from scipy.sparse.csgraph import connected_components
from scipy.sparse.linalg import spsolve


@njit(cache=True, nogil=True)
def _depths(u, v, w, triangles, pixel, nu, nv):
    picture = np.full((nu, nv), -1e9)
    for t in range(triangles.shape[0]):
        a, b, c = triangles[t]
        ua, va, ub, vb, uc, vc = u[a], v[a], u[b], v[b], u[c], v[c]
        area = (ub - ua) * (vc - va) - (uc - ua) * (vb - va)
        if abs(area) < 1e-9:
            continue
        i0, i1 = int(np.ceil(min(ua, ub, uc) / pixel)), int(np.floor(max(ua, ub, uc) / pixel))
        j0, j1 = int(np.ceil(min(va, vb, vc) / pixel)), int(np.floor(max(va, vb, vc) / pixel))
        for i in range(max(i0, 0), min(i1, nu - 1) + 1):
            for j in range(max(j0, 0), min(j1, nv - 1) + 1):
                x, y = i * pixel, j * pixel
                wb = ((x - ua) * (vc - va) - (uc - ua) * (y - va)) / area
                wc = ((ub - ua) * (y - va) - (x - ua) * (vb - va)) / area
                if wb < -1e-9 or wc < -1e-9 or wb + wc > 1 + 1e-9:
                    continue
                depth = w[a] + wb * (w[b] - w[a]) + wc * (w[c] - w[a])
                if depth > picture[i, j]:
                    picture[i, j] = depth
    return picture


@njit(cache=True, nogil=True)
def _in_view(u, v, w, picture, pixel, slack):
    seen = np.zeros(u.size, np.bool_)
    for p in range(u.size):
        i, j = int(np.rint(u[p] / pixel)), int(np.rint(v[p] / pixel))
        if 0 <= i < picture.shape[0] and 0 <= j < picture.shape[1]:
            seen[p] = w[p] > picture[i, j] - slack[p]
    return seen


def _lens(points, triangles, normals, look, pixel):
    """Cosine (n,) of the angle to the lens where it sees the corner, else 0."""
    side = np.cross(look, [0.0, 0, 1.0] if abs(look[2]) < 0.9 else [1.0, 0, 0])
    side /= np.linalg.norm(side)
    u, v, w = points @ side, points @ np.cross(look, side), points @ look
    u, v = u - u.min(), v - v.min()
    picture = _depths(u, v, w, triangles, pixel, int(u.max() / pixel) + 2, int(v.max() / pixel) + 2)
    cosine = normals @ look
    slack = 0.05 + pixel * np.clip(np.sqrt(1 - np.clip(cosine, 0.2, 1) ** 2) / np.clip(cosine, 0.2, 1), 0.3, 4.0)
    return np.where(_in_view(u, v, w, picture, pixel, slack), np.maximum(cosine, 0.0), 0.0)


def stations(rng: np.random.Generator) -> np.ndarray:
    """Looking directions (k, 3): a turntable at some heights and the part laid over once, or a walk around by hand."""
    if rng.random() < 0.5:
        around, heights, rows = int(rng.integers(7, 11)), np.radians([20.0, 52.0]), []
        for flip in (1, -1):
            for h in heights:
                turn = np.arange(around) / around * 2 * np.pi + rng.uniform(0, 1)
                rows.append(
                    np.stack([np.cos(h) * np.cos(turn), np.cos(h) * np.sin(turn), flip * np.sin(h) + 0 * turn], 1)
                )
        rows.append(np.array([[0.1, 0, 1.0], [0, 0.1, -1.0]]))
        looks = np.concatenate(rows)
    else:
        n = int(rng.integers(26, 40))
        z = 1 - 2 * (np.arange(n) + 0.5) / n
        turn = np.arange(n) * 2.399963
        looks = np.stack([np.sqrt(1 - z * z) * np.cos(turn), np.sqrt(1 - z * z) * np.sin(turn), z], 1)
        looks += rng.normal(0, 0.12, looks.shape)
    return looks / np.linalg.norm(looks, axis=1)[:, None]


def views(points, triangles, normals, looks, base_rad: float, rng: np.random.Generator) -> np.ndarray:
    """How well each station sees each corner (k, n): the worse cosine of its two lenses, 0 where either is blind."""
    edge = np.linalg.norm(points[triangles[:5000, 0]] - points[triangles[:5000, 1]], axis=1).mean()
    pixel, out = 0.75 * float(edge), np.zeros((len(looks), len(points)), np.float32)
    for i, look in enumerate(looks):
        side = np.cross(look, rng.normal(size=3))
        side /= np.linalg.norm(side)
        other = look * np.cos(base_rad) + side * np.sin(base_rad)
        both = np.minimum(
            _lens(points, triangles, normals, look, pixel), _lens(points, triangles, normals, other, pixel)
        )
        out[i] = np.where(both > 0.3, both, 0)
    return out


def links(triangles: np.ndarray, n: int) -> sp.csr_matrix:
    """Which corners are joined by an edge (n, n), ones."""
    i = triangles[:, [0, 1, 2, 1, 2, 0]].ravel()
    j = triangles[:, [1, 2, 0, 0, 1, 2]].ravel()
    m = sp.csr_matrix((np.ones(i.size, np.float32), (i, j)), shape=(n, n))
    m.data[:] = 1
    return m


def bridge(
    points: np.ndarray, near: sp.csr_matrix, blind: np.ndarray, bridge_mm: float
) -> tuple[np.ndarray, np.ndarray]:
    """Fill each small blind region by a smooth membrane hung from its seen rim; leave the large ones open.

    Returns: corners (n, 3), and which of them are invented (n,) bool; blind ones that are not invented are lost.
    """
    points, invented = points.copy(), np.zeros(len(points), bool)
    index = np.flatnonzero(blind)
    if not index.size:
        return points, invented
    _, label = connected_components(near[index][:, index], directed=False)
    for group in range(label.max() + 1):
        members = index[label == group]
        spread = np.ptp(points[members], axis=0)
        if np.sort(spread)[1] < bridge_mm and spread.max() < 3 * bridge_mm:
            invented[members] = True
    inside = np.flatnonzero(invented)
    if inside.size:
        rows = near[inside]
        rim = ~blind
        degree = np.asarray(rows[:, np.flatnonzero(rim | invented)].sum(1)).ravel()
        system = sp.diags(np.maximum(degree, 1) + 1e-6) - rows[:, inside]
        fixed = np.flatnonzero(rim)
        right = rows[:, fixed] @ points[fixed] + 1e-6 * points[inside]
        points[inside] = spsolve(system.tocsc(), right)
    return points, invented
