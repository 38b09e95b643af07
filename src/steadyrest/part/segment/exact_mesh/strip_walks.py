"""Loops over the flats of an exact mesh, compiled: which lie on a surface, and the turned surface that fits best.

A surface travels here as a code (1 cylinder or cone, 2 ball, 3 ring) and eight numbers: point or centre (3), axis (3),
radius, and half angle (1) or the tube's radius (3). The plain fits of `part/fit/round.py` are the twin of `settled`.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt
from numba import njit

FloatArray = npt.NDArray[np.float64]
IntArray = npt.NDArray[np.int64]
BoolArray = npt.NDArray[np.bool_]

ALONG = 0.8  # cosine between a flat's normal and the surface's


@njit(cache=True, nogil=True)
def off_surface(code: int, p: FloatArray, x: float, y: float, z: float) -> float:  # pragma: no cover
    """Signed distance of a point from a surface, outward positive."""
    qx, qy, qz = x - p[0], y - p[1], z - p[2]
    square = qx * qx + qy * qy + qz * qz
    if code == 2:
        return np.sqrt(square) - p[6]
    t = qx * p[3] + qy * p[4] + qz * p[5]
    rho = np.sqrt(max(square - t * t, 0.0))
    if code == 1:
        return (rho - p[6]) * np.cos(p[7]) - t * np.sin(p[7])
    return np.hypot(rho - p[6], t) - p[7]


@njit(cache=True, nogil=True)
def lean_of(code: int, p: FloatArray, at: FloatArray, normal: FloatArray) -> float:  # pragma: no cover
    """Cosine between a normal and the surface's own outward normal beside a point."""
    qx, qy, qz = at[0] - p[0], at[1] - p[1], at[2] - p[2]
    if code == 2:
        ox, oy, oz = qx, qy, qz
    else:
        t = qx * p[3] + qy * p[4] + qz * p[5]
        ax, ay, az = qx - t * p[3], qy - t * p[4], qz - t * p[5]
        rho = max(np.sqrt(ax * ax + ay * ay + az * az), 1e-12)
        ax, ay, az = ax / rho, ay / rho, az / rho
        if code == 1:
            c, s = np.cos(p[7]), np.sin(p[7])
            ox, oy, oz = ax * c - p[3] * s, ay * c - p[4] * s, az * c - p[5] * s
        else:
            ox, oy, oz = qx - ax * p[6], qy - ay * p[6], qz - az * p[6]
    length = max(np.sqrt(ox * ox + oy * oy + oz * oz), 1e-12)
    return (ox * normal[0] + oy * normal[1] + oz * normal[2]) / length


@njit(cache=True, nogil=True)
def lies(  # pragma: no cover
    points: FloatArray, start: IntArray, corner: IntArray, normal: FloatArray, middle: FloatArray, k: int, code: int,
    p: FloatArray, tolerance: float,
) -> bool:  # fmt: skip
    """Whether a flat lies on a surface with all of its corners and looks the way that the surface does."""
    for c in range(start[k], start[k + 1]):
        i = corner[c]
        if abs(off_surface(code, p, points[i, 0], points[i, 1], points[i, 2])) > tolerance:
            return False
    return abs(lean_of(code, p, middle[k], normal[k])) > ALONG


@njit(cache=True, nogil=True)
def which_lie(  # pragma: no cover
    points: FloatArray, start: IntArray, corner: IntArray, normal: FloatArray, middle: FloatArray, some: IntArray,
    code: int, p: FloatArray, tolerance: float,
) -> BoolArray:  # fmt: skip
    """For each of some flats whether it lies on a surface: (k,)."""
    out = np.zeros(len(some), np.bool_)
    for n in range(len(some)):
        out[n] = lies(points, start, corner, normal, middle, some[n], code, p, tolerance)
    return out


@njit(cache=True, nogil=True)
def reached(  # pragma: no cover
    points: FloatArray, start: IntArray, corner: IntArray, next_start: IntArray, next_flat: IntArray,
    normal: FloatArray, middle: FloatArray, whose: IntArray, seed: int, code: int, p: FloatArray, tolerance: float,
) -> tuple[IntArray, bool]:  # fmt: skip
    """Flats that belong to nothing and lie on a surface, reached from a seed over soft edges; whether it is hollow."""
    hollow = lean_of(code, p, middle[seed], normal[seed]) < 0
    known = np.zeros(len(whose), np.bool_)
    stack = np.empty(len(whose), np.int64)
    out = np.empty(len(whose), np.int64)
    known[seed] = True
    stack[0], out[0] = seed, seed
    high, many = 1, 1
    while high > 0:
        high -= 1
        here = stack[high]
        for c in range(next_start[here], next_start[here + 1]):
            k = next_flat[c]
            if known[k] or whose[k] >= 0:
                continue
            known[k] = True
            same = (lean_of(code, p, middle[k], normal[k]) < 0) == hollow
            if same and lies(points, start, corner, normal, middle, k, code, p, tolerance):
                out[many] = k
                stack[high] = k
                many += 1
                high += 1
    return out[:many].copy(), hollow


@njit(cache=True, nogil=True)
def settled(points: FloatArray, p: FloatArray, many: int, rounds: int) -> FloatArray:  # pragma: no cover
    """The cylinder (many = 5) or cone (6) of least squared distance near a start.

    Damped Gauss-Newton on the normal equations, the frame carried along. Returns: (8,) numbers.
    """
    here = p.copy()
    n = len(points)
    along = 0.0
    for i in range(n):
        along += (points[i, 0] - p[0]) * p[3] + (points[i, 1] - p[1]) * p[4] + (points[i, 2] - p[2]) * p[5]
    along /= n
    for j in range(3):
        here[j] += along * p[3 + j]
    here[6] += along * np.tan(p[7])
    total, left, right = slopes_of(points, here, many)
    damping = 1e-9
    for _ in range(rounds):
        change = stepped(left, right, damping, many)
        there = moved(here, change, many)
        found, more_left, more_right = slopes_of(points, there, many)
        if found <= total * (1 + 1e-12):
            done = found >= total * (1 - 1e-9) or found < 1e-28 * n
            here, total, left, right = there, found, more_left, more_right
            damping = max(damping / 10, 1e-12)
            if done:
                break
        else:
            damping = max(damping * 30, 1e-6)
            if damping > 1e8:
                break
    return here


@njit(cache=True, nogil=True)
def frame_of(p: FloatArray) -> tuple[FloatArray, FloatArray]:  # pragma: no cover
    """Two unit vectors across an axis, as `fit.solve.across` gives them."""
    x, y, z = p[3], p[4], p[5]
    u = np.zeros(3)
    if abs(x) <= abs(y) and abs(x) <= abs(z):
        u[1], u[2] = z, -y
    elif abs(y) <= abs(z):
        u[0], u[2] = -z, x
    else:
        u[0], u[1] = y, -x
    u /= np.sqrt(u[0] * u[0] + u[1] * u[1] + u[2] * u[2])
    v = np.array([y * u[2] - z * u[1], z * u[0] - x * u[2], x * u[1] - y * u[0]])
    return u, v


@njit(cache=True, nogil=True)
def slopes_of(points: FloatArray, p: FloatArray, many: int) -> tuple[float, FloatArray, FloatArray]:  # pragma: no cover
    """Sum of squared distances, and the normal equations of a small change."""
    u, v = frame_of(p)
    c, s = np.cos(p[7]), np.sin(p[7])
    left, right, row = np.zeros((many, many)), np.zeros(many), np.zeros(6)
    total = 0.0
    for i in range(len(points)):
        qx, qy, qz = points[i, 0] - p[0], points[i, 1] - p[1], points[i, 2] - p[2]
        x = qx * u[0] + qy * u[1] + qz * u[2]
        y = qx * v[0] + qy * v[1] + qz * v[2]
        z = qx * p[3] + qy * p[4] + qz * p[5]
        rho = max(np.hypot(x, y), 1e-300)
        off = (rho - p[6]) * c - z * s
        lean = z * c / rho + s
        row[0], row[1], row[2], row[3] = -x / rho * c, -y / rho * c, -x * lean, -y * lean
        row[4], row[5] = -1.0, -(rho - p[6]) * s - z * c
        total += off * off
        for a in range(many):
            right[a] += row[a] * off
            for b in range(a + 1):
                left[a, b] += row[a] * row[b]
    for a in range(many):
        for b in range(a):
            left[b, a] = left[a, b]
    return total, left, right


@njit(cache=True, nogil=True)
def stepped(left: FloatArray, right: FloatArray, damping: float, many: int) -> FloatArray:  # pragma: no cover
    """The change that the normal equations ask for, scaled and damped; Cholesky, for they are positive then."""
    scale = np.empty(many)
    for a in range(many):
        scale[a] = np.sqrt(max(left[a, a], 1e-300))
    low = np.zeros((many, many))
    for a in range(many):
        for b in range(a + 1):
            value = left[a, b] / (scale[a] * scale[b]) + (damping if a == b else 0.0)
            for k in range(b):
                value -= low[a, k] * low[b, k]
            low[a, b] = np.sqrt(max(value, 1e-14)) if a == b else value / low[b, b]
    out = np.empty(many)
    for a in range(many):
        value = right[a] / scale[a]
        for k in range(a):
            value -= low[a, k] * out[k]
        out[a] = value / low[a, a]
    for a in range(many - 1, -1, -1):
        value = out[a]
        for k in range(a + 1, many):
            value -= low[k, a] * out[k]
        out[a] = value / low[a, a]
    for a in range(many):
        out[a] = -out[a] / scale[a]
    return out


@njit(cache=True, nogil=True)
def moved(p: FloatArray, change: FloatArray, many: int) -> FloatArray:  # pragma: no cover
    """A turned surface after a change: along u and v, tilted toward them, its radius, its half angle."""
    u, v = frame_of(p)
    out = p.copy()
    length = 0.0
    for j in range(3):
        out[j] += change[0] * u[j] + change[1] * v[j]
        out[3 + j] += change[2] * u[j] + change[3] * v[j]
        length += out[3 + j] * out[3 + j]
    for j in range(3):
        out[3 + j] /= np.sqrt(length)
    out[6] += change[4] / np.cos(p[7])
    if many > 5:
        out[7] += change[5]
    return out
