"""Surface that a scanner's program invented to close a hole: smoother than anything it really saw."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt
from numba import njit

from steadyrest.part.segment.skin import Skin

FloatArray = npt.NDArray[np.float64]

TOO_SMOOTH = 0.3  # of the scan's usual fine roughness
CALMER = 0.8  # the calmer fifth of evenly noisy surface lies so far below its middle


def invented_points(skin: Skin) -> npt.NDArray[np.bool_]:
    """Points of a scan that lie too smoothly to have been seen.

    Args:
        skin: the mesh made ready.
    Returns: (n,) true where the fine roughness is below a third of the usual; all false if the scan has none.
    """
    rough, held = _fine_roughness(skin.points, skin.normals, skin.start, skin.near)
    seen = rough[~skin.rim]
    # Of what is not smooth outright, the calmer fifth: a thread is rough without noise, and must not set the scale.
    seen = seen[seen > 0.05 * np.median(seen)] if len(seen) else seen
    usual = float(np.quantile(seen, 0.2)) / CALMER if len(seen) else 0.0
    if usual < 5e-4 * skin.spacing_mm:
        return np.zeros(len(rough), dtype=np.bool_)
    smooth = (rough < TOO_SMOOTH * usual) & (held > 6)
    return _lasting(smooth, skin.start, skin.near, 12)


@njit(cache=True)
def _fine_roughness(  # pragma: no cover
    points: FloatArray, normals: FloatArray, start: npt.NDArray[np.int64], near: npt.NDArray[np.int32]
) -> tuple[FloatArray, npt.NDArray[np.int64]]:
    """How far points stand out of their neighbours' middle, beyond what those do themselves: rms over two rings."""
    n = len(points)
    out = np.zeros(n)
    for i in range(n):
        many = start[i + 1] - start[i]
        if many == 0:
            continue
        x, y, z = 0.0, 0.0, 0.0
        for k in range(start[i], start[i + 1]):
            x += points[near[k], 0]
            y += points[near[k], 1]
            z += points[near[k], 2]
        out[i] = (
            (points[i, 0] - x / many) * normals[i, 0]
            + (points[i, 1] - y / many) * normals[i, 1]
            + (points[i, 2] - z / many) * normals[i, 2]
        )
    # Curvature lifts a whole neighbourhood alike: only the difference to the neighbours' own lift counts.
    fine = np.zeros(n)
    held = np.zeros(n, np.int64)
    for i in range(n):
        mean = 0.0
        many = start[i + 1] - start[i]
        if many == 0:
            continue
        for k in range(start[i], start[i + 1]):
            mean += out[near[k]]
        fine[i] = (out[i] - mean / many) ** 2
    rms = np.zeros(n)
    for i in range(n):
        total, many = fine[i], 1
        for k in range(start[i], start[i + 1]):
            j = near[k]
            for m in range(start[j], start[j + 1]):
                total += fine[near[m]]
                many += 1
        rms[i] = np.sqrt(total / many)
        held[i] = many
    return rms, held


@njit(cache=True)
def _lasting(  # pragma: no cover
    marked: npt.NDArray[np.bool_], start: npt.NDArray[np.int64], near: npt.NDArray[np.int32], least: int
) -> npt.NDArray[np.bool_]:
    """Marked points that hang together in patches of at least so many."""
    n = len(marked)
    out = np.zeros(n, np.bool_)
    seen = np.zeros(n, np.bool_)
    queue = np.empty(n, np.int32)
    for seed in range(n):
        if seen[seed] or not marked[seed]:
            continue
        queue[0] = seed
        seen[seed] = True
        head, tail = 0, 1
        while head < tail:
            i = queue[head]
            head += 1
            for k in range(start[i], start[i + 1]):
                j = near[k]
                if marked[j] and not seen[j]:
                    seen[j] = True
                    queue[tail] = j
                    tail += 1
        if tail >= least:
            for p in range(tail):
                out[queue[p]] = True
    return out
