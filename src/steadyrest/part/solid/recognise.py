"""An analytic surface through points and normals of a freer one, where one fits within a tolerance.

For exact surfaces only: all points count alike, and the worst one decides.
"""

from __future__ import annotations

import math

import numpy as np
import numpy.typing as npt

from steadyrest.part.solid.surface import Surface

Points = npt.NDArray[np.float64]
PARALLEL = 1e-5
LEAST_POINTS = 12


def recognised(points: Points, normals: Points, *, tolerance_mm: float) -> Surface | None:
    """A plane, sphere, cylinder or cone through points, the simplest that fits.

    Args:
        points: (n, 3) on the surface, spread over it.
        normals: (n, 3) unit normals there, all to the same side.
        tolerance_mm: farthest that a point may lie off.
    Returns: the surface, or None when none of them fits.
    """
    if len(points) < LEAST_POINTS:
        return None
    for fit in (plane_through, sphere_through, round_through):
        found = fit(points, normals, tolerance_mm)
        if found is not None:
            return found
    return None


def plane_through(points: Points, normals: Points, tolerance_mm: float) -> Surface | None:
    """All normals alike."""
    axis = normals.mean(axis=0)
    axis /= np.linalg.norm(axis)
    centre = points.mean(axis=0)
    worst = float(np.abs((points - centre) @ axis).max())
    return Surface("plane", vec(centre), vec(axis), gap_mm=worst) if worst <= tolerance_mm else None


def sphere_through(points: Points, normals: Points, tolerance_mm: float) -> Surface | None:
    """All normals through one point. Centre by linear least squares: |p|^2 = 2 p.c + (r^2 - |c|^2)."""
    middle = points.mean(axis=0)
    p = points - middle
    a = np.column_stack([2 * p, np.ones(len(p))])
    solution, _, rank, _ = np.linalg.lstsq(a, (p * p).sum(axis=1), rcond=None)
    if rank < 4:
        return None
    centre = solution[:3]
    square = float(solution[3] + centre @ centre)
    if square <= 0:
        return None
    radius = math.sqrt(square)
    out = p - centre
    worst = float(np.abs(np.linalg.norm(out, axis=1) - radius).max())
    square_on = np.abs(np.einsum("ij,ij->i", out / radius, normals))
    if worst > tolerance_mm or square_on.min() < 0.99:
        return None
    return Surface("sphere", vec(centre + middle), (0.0, 0.0, 1.0), radius, gap_mm=worst)


def round_through(points: Points, normals: Points, tolerance_mm: float) -> Surface | None:
    """A cylinder or cone: normals at one angle to an axis. The axis is the one along which normals vary least."""
    spread = normals - normals.mean(axis=0)
    values, vectors = np.linalg.eigh(spread.T @ spread)
    if values[1] <= 1e-9 * max(values[2], 1e-30):
        return None
    axis = vectors[:, 0]
    lean = float((normals @ axis).mean())
    if np.abs(normals @ axis - lean).max() > 1e-2 or abs(lean) > 0.999:
        return None
    return (
        cylinder_about(points, axis, tolerance_mm)
        if abs(lean) < PARALLEL
        else cone_about(points, normals, axis, lean, tolerance_mm)
    )


def cylinder_about(points: Points, axis: Points, tolerance_mm: float) -> Surface | None:
    """The circle of the points seen along the axis."""
    e1, e2 = square_to(axis)
    middle = points.mean(axis=0)
    x, y = (points - middle) @ e1, (points - middle) @ e2
    a = np.column_stack([2 * x, 2 * y, np.ones(len(x))])
    solution, _, rank, _ = np.linalg.lstsq(a, x * x + y * y, rcond=None)
    if rank < 3:
        return None
    cx, cy = float(solution[0]), float(solution[1])
    radius = math.sqrt(max(0.0, float(solution[2]) + cx * cx + cy * cy))
    worst = float(np.abs(np.hypot(x - cx, y - cy) - radius).max())
    if worst > tolerance_mm or radius <= 0:
        return None
    return Surface("cylinder", vec(middle + cx * e1 + cy * e2), vec(axis), radius, gap_mm=worst)


def cone_about(points: Points, normals: Points, axis: Points, lean: float, tolerance_mm: float) -> Surface | None:
    """The apex is where all tangent planes meet."""
    apex, _, rank, _ = np.linalg.lstsq(normals, np.einsum("ij,ij->i", normals, points), rcond=None)
    if rank < 3:
        return None
    axis = axis if (points.mean(axis=0) - apex) @ axis > 0 else -axis
    half = math.asin(min(1.0, abs(lean)))
    along = (points - apex) @ axis
    off = np.linalg.norm(points - apex - np.outer(along, axis), axis=1)
    worst = float(np.abs(off * math.cos(half) - along * math.sin(half)).max())
    if worst > tolerance_mm:
        return None
    return Surface("cone", vec(apex), vec(axis), half_angle_rad=half, gap_mm=worst)


def square_to(axis: Points) -> tuple[Points, Points]:
    e1 = np.cross(axis, [1.0, 0.0, 0.0] if abs(axis[0]) < 0.7 else [0.0, 1.0, 0.0])
    e1 = e1 / np.linalg.norm(e1)
    return e1, np.cross(axis, e1)


def vec(v: Points) -> tuple[float, float, float]:
    return float(v[0]), float(v[1]), float(v[2])
