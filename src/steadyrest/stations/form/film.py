"""A soap film of triangles: its area, its volume, and where it moves to when the volume under it grows a little.

Corners that are held do not move. The area's gradient is linear in the corners once the triangles' angles are taken
from the present film, so a film of constant mean curvature is found by solving that again and again.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt
from numba import njit

FloatArray = npt.NDArray[np.float64]
IndexArray = npt.NDArray[np.int64]
BoolArray = npt.NDArray[np.bool_]

STEEPEST = 50.0  # a triangle with an edge of more weight is a needle, and counts as an even one
EVEN = 0.25 * 2 / np.sqrt(3)  # half the cotangent of 60 degrees
SLACKEST = 1e-3  # the weight of a corner at least, where obtuse triangles cancel


@njit(cache=True, nogil=True)
def areas(points: FloatArray, faces: IndexArray) -> FloatArray:
    """The area of each triangle.

    Args:
        points: (n, 3). faces: (m, 3).
    Returns: (m,) mm2.
    """
    found = np.empty(len(faces))
    for k in range(len(faces)):
        a, b, c = points[faces[k, 0]], points[faces[k, 1]], points[faces[k, 2]]
        x = (b[1] - a[1]) * (c[2] - a[2]) - (b[2] - a[2]) * (c[1] - a[1])
        y = (b[2] - a[2]) * (c[0] - a[0]) - (b[0] - a[0]) * (c[2] - a[2])
        z = (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])
        found[k] = 0.5 * np.sqrt(x * x + y * y + z * z)
    return found


@njit(cache=True, nogil=True)
def volume(points: FloatArray, faces: IndexArray) -> float:
    """The volume between the film and the rim's plane; below it counts as positive.

    Args:
        points: (n, 3). faces: (m, 3) counter-clockwise seen from above.
    Returns: mm3.
    """
    total = 0.0
    for k in range(len(faces)):
        a, b, c = points[faces[k, 0]], points[faces[k, 1]], points[faces[k, 2]]
        shadow = 0.5 * ((b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]))
        total -= shadow * (a[2] + b[2] + c[2]) / 3
    return total


@njit(cache=True, nogil=True)
def volume_gradient(points: FloatArray, faces: IndexArray) -> FloatArray:
    """How the volume grows as a corner moves: a third of the normals around it, pointing down.

    Args:
        points: (n, 3). faces: (m, 3).
    Returns: (n, 3) mm2.
    """
    found = np.zeros_like(points)
    for k in range(len(faces)):
        a, b, c = points[faces[k, 0]], points[faces[k, 1]], points[faces[k, 2]]
        x = (b[1] - a[1]) * (c[2] - a[2]) - (b[2] - a[2]) * (c[1] - a[1])
        y = (b[2] - a[2]) * (c[0] - a[0]) - (b[0] - a[0]) * (c[2] - a[2])
        z = (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])
        for i in range(3):
            found[faces[k, i], 0] -= x / 6
            found[faces[k, i], 1] -= y / 6
            found[faces[k, i], 2] -= z / 6
    return found


@njit(cache=True, nogil=True)
def weights(points: FloatArray, faces: IndexArray) -> FloatArray:
    """Half the cotangent of each angle: the weight of the edge that it looks at.

    Args:
        points: (n, 3). faces: (m, 3).
    Returns: (m, 3); the second is of the angle at the face's second corner.
    """
    found = np.empty((len(faces), 3))
    for k in range(len(faces)):
        for i in range(3):
            a = points[faces[k, i]]
            b = points[faces[k, (i + 1) % 3]]
            c = points[faces[k, (i + 2) % 3]]
            ux, uy, uz = b[0] - a[0], b[1] - a[1], b[2] - a[2]
            vx, vy, vz = c[0] - a[0], c[1] - a[1], c[2] - a[2]
            x, y, z = uy * vz - uz * vy, uz * vx - ux * vz, ux * vy - uy * vx
            double = np.sqrt(x * x + y * y + z * z)
            dot = ux * vx + uy * vy + uz * vz
            found[k, i] = 0.5 * dot / max(double, 1e-300)
        if max(found[k, 0], found[k, 1], found[k, 2]) > STEEPEST:
            found[k, :] = EVEN
    return found


@njit(cache=True, nogil=True)
def pull(points: FloatArray, faces: IndexArray, weight: FloatArray, out: FloatArray) -> None:
    """The gradient of the area, for weights that were taken once; any (n, 3) for points.

    Args:
        points: (n, 3). faces: (m, 3). weight: (m, 3) from weights(). out: (n, 3), filled.
    """
    out[:] = 0.0
    for k in range(len(faces)):
        for i in range(3):
            p, q, w = faces[k, (i + 1) % 3], faces[k, (i + 2) % 3], weight[k, i]
            for d in range(3):
                f = w * (points[p, d] - points[q, d])
                out[p, d] += f
                out[q, d] -= f


@njit(cache=True, nogil=True)
def settled(
    faces: IndexArray,
    weight: FloatArray,
    held: BoolArray,
    force: FloatArray,
    first: FloatArray,
    small: float,
    most: int,
) -> FloatArray:
    """Where the free corners move so that the film's pull meets a force: conjugate gradients, each axis alike.

    Args:
        faces: (m, 3). weight: (m, 3). held: (n,) corners that stay. force: (n, 3). first: (n, 3) a first guess, zero
        where held. small: the residual at which it ends, in the force's unit. most: steps at most.
    Returns: (n, 3), zero where held.
    """
    n = len(force)
    x = first.copy()
    scale = np.zeros(n)
    for k in range(len(faces)):
        for i in range(3):
            scale[faces[k, (i + 1) % 3]] += weight[k, i]
            scale[faces[k, (i + 2) % 3]] += weight[k, i]
    for i in range(n):
        scale[i] = 0.0 if held[i] else 1.0 / max(scale[i], SLACKEST)
        if held[i]:
            x[i, :] = 0.0
    t, r, p = np.empty((n, 3)), np.zeros((n, 3)), np.zeros((n, 3))
    pull(x, faces, weight, t)
    rz, left = 0.0, 0.0
    for i in range(n):
        if not held[i]:
            for d in range(3):
                r[i, d] = force[i, d] - t[i, d]
                p[i, d] = scale[i] * r[i, d]
                rz += r[i, d] * p[i, d]
                left += r[i, d] * r[i, d]
    for _ in range(most):
        if left <= small * small:
            break
        pull(p, faces, weight, t)
        bend = 0.0
        for i in range(n):
            for d in range(3):
                bend += p[i, d] * t[i, d]
        if bend <= 0.0:
            break
        step = rz / bend
        new, left = 0.0, 0.0
        for i in range(n):
            if not held[i]:
                for d in range(3):
                    x[i, d] += step * p[i, d]
                    r[i, d] -= step * t[i, d]
                    new += scale[i] * r[i, d] * r[i, d]
                    left += r[i, d] * r[i, d]
        share = new / rz
        for i in range(n):
            for d in range(3):
                p[i, d] = scale[i] * r[i, d] + share * p[i, d]
        rz = new
    return x


@njit(cache=True, nogil=True)
def evened(points: FloatArray, faces: IndexArray, held: BoolArray, share: float) -> FloatArray:
    """The film with its free corners shifted within it towards the middle of the triangles around them.

    Args:
        points: (n, 3). faces: (m, 3). held: (n,). share: of the way, 0 to 1.
    Returns: (n, 3).
    """
    n = len(points)
    total, count, normal = np.zeros((n, 3)), np.zeros(n), np.zeros((n, 3))
    side = np.empty(3)
    for k in range(len(faces)):
        a, b, c = points[faces[k, 0]], points[faces[k, 1]], points[faces[k, 2]]
        side[0] = (b[1] - a[1]) * (c[2] - a[2]) - (b[2] - a[2]) * (c[1] - a[1])
        side[1] = (b[2] - a[2]) * (c[0] - a[0]) - (b[0] - a[0]) * (c[2] - a[2])
        side[2] = (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])
        area = np.sqrt(side[0] ** 2 + side[1] ** 2 + side[2] ** 2)
        for i in range(3):
            at = faces[k, i]
            count[at] += area
            for d in range(3):
                total[at, d] += area * (a[d] + b[d] + c[d]) / 3
                normal[at, d] += side[d]
    found = points.copy()
    for i in range(n):
        if held[i] or count[i] == 0.0:
            continue
        long, along = 0.0, 0.0
        for d in range(3):
            long += normal[i, d] ** 2
            along += normal[i, d] * (total[i, d] / count[i] - points[i, d])
        for d in range(3):
            off = along / long * normal[i, d] if long > 0.0 else 0.0
            found[i, d] += share * (total[i, d] / count[i] - points[i, d] - off)
    return found
