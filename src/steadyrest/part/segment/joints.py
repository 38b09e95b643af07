"""Where patches meet: along which edges of the mesh, at what angle, and whether the corner stands out or goes in."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import numpy.typing as npt
from numba import njit

from steadyrest.part.patch import Joint, JointKind
from steadyrest.part.segment.found import Found, outward
from steadyrest.part.segment.skin import Skin

IntArray = npt.NDArray[np.int32]
FloatArray = npt.NDArray[np.float64]

SMOOTH_RAD = 0.2


def spread_labels(label: IntArray, beside: IntArray, rings: int) -> IntArray:
    """Labels grown into unlabelled facets, nearest first, a few rings wide: rounded edges belong to nobody.

    Args:
        label: (m,) patch of each facet, -1 for none. beside: (m, 3). rings: how far.
    Returns: (m,) labels.
    """
    return _spread(label, beside, rings)


def joints_of(
    skin: Skin, label: IntArray, found: Sequence[Found | None], *, least_mm: float, smooth_rad: float = SMOOTH_RAD
) -> tuple[Joint, ...]:
    """All joints between patches.

    Args:
        skin: the mesh made ready. label: (m,) patch of each facet after spreading, -1 for none.
        found: the surface of each label; None for a free patch, whose facets' own normals count.
        least_mm: shorter meetings are no joint. smooth_rad: less of a turn is no corner.
    Returns: joints, lower patch first, in order.
    """
    f, k = np.nonzero(skin.beside >= 0)
    g = skin.beside[f, k]
    meets = (f < g) & (label[f] != label[g]) & (label[f] >= 0) & (label[g] >= 0)
    f, k, g = f[meets], k[meets], g[meets]
    if not len(f):
        return ()
    swap = label[f] > label[g]
    low, high = np.where(swap, g, f), np.where(swap, f, g)
    a, b = skin.facets[f, k], skin.facets[f, (k + 1) % 3]
    middle = (skin.points[a] + skin.points[b]) / 2
    length = np.linalg.norm(skin.points[a] - skin.points[b], axis=1)
    normal_a = _normals(skin, label, low, middle, found)
    normal_b = _normals(skin, label, high, middle, found)
    centre = skin.points[skin.facets].mean(axis=1)
    gone = np.einsum("ij,ij->i", centre[high] - centre[low], normal_a - normal_b)
    pair = label[low].astype(np.int64) * len(found) + label[high]
    joints: list[Joint] = []
    for key in np.unique(pair):
        these = pair == key
        total = float(length[these].sum())
        if total < least_mm:
            continue
        cosine = np.einsum("ij,ij->i", normal_a[these], normal_b[these])
        angle = float(np.average(np.arccos(np.clip(cosine, -1, 1)), weights=length[these] + 1e-300))
        lean = float(np.sum(gone[these] * length[these]))
        kind: JointKind = "smooth" if angle < smooth_rad else "convex" if lean < 0 else "concave"
        joints.append(Joint(int(key // len(found)), int(key % len(found)), kind, angle, total))
    return tuple(joints)


def _normals(
    skin: Skin, label: IntArray, facet: npt.NDArray[np.int64], at: FloatArray, found: Sequence[Found | None]
) -> FloatArray:
    out = skin.facet_normals[facet].copy()
    whose = label[facet]
    for k in np.unique(whose):
        known = found[int(k)]
        if known is not None:
            these = whose == k
            out[these] = outward(known.surface, known.inside, at[these])
    return out


@njit(cache=True)
def _spread(label: IntArray, beside: IntArray, rings: int) -> IntArray:  # pragma: no cover
    here = label.copy()
    m = len(label)
    front = np.empty(m, np.int32)
    count = 0
    for f in range(m):
        if here[f] >= 0:
            front[count] = f
            count += 1
    for _ in range(rings):
        fresh = np.empty(m, np.int32)
        many = 0
        for p in range(count):
            f = front[p]
            for k in range(3):
                g = beside[f, k]
                if g >= 0 and here[g] < 0:
                    here[g] = here[f]
                    fresh[many] = g
                    many += 1
        front = fresh
        count = many
    return here
