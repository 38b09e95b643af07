"""Cylinders, cones, spheres and rings, by least true distance.

A *turned surface* is written once for all that have an axis: distances and slopes in the frame (u, v, axis) at a point
of the axis. A cylinder is a cone whose half angle is held at nought.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from steadyrest.part.fit import settle
from steadyrest.part.fit.flat import circle
from steadyrest.part.fit.solve import across, solved, unit

FloatArray = npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Turned:
    """A cylinder (half_angle_rad 0) or a cone.

    point: (3,) on the axis. axis: (3,) unit. radius_mm: at the point, measured square to the axis.
    half_angle_rad: positive if the radius grows along the axis.
    """

    point: FloatArray
    axis: FloatArray
    radius_mm: float
    half_angle_rad: float = 0.0

    def local(self, points: FloatArray) -> tuple[FloatArray, FloatArray]:
        """(n,) distances from the axis and (n,) positions along it from the point."""
        q = points - self.point
        z = q @ self.axis
        return np.sqrt(np.maximum(np.einsum("ij,ij->i", q, q) - z * z, 0.0)), z

    def distances(self, points: FloatArray) -> FloatArray:
        """(n,) signed distances of (n, 3) points, outward positive."""
        rho, z = self.local(points)
        return (rho - self.radius_mm) * np.cos(self.half_angle_rad) - z * np.sin(self.half_angle_rad)

    @property
    def apex(self) -> FloatArray:
        """(3,) where a cone's radius is nought."""
        return self.point - self.axis * (self.radius_mm / np.tan(self.half_angle_rad))


@dataclass(frozen=True, slots=True)
class Sphere:
    centre: FloatArray
    radius_mm: float

    def distances(self, points: FloatArray) -> FloatArray:
        """(n,) signed distances of (n, 3) points, outward positive."""
        return np.linalg.norm(points - self.centre, axis=1) - self.radius_mm


@dataclass(frozen=True, slots=True)
class Ring:
    """A torus: a tube of minor_mm bent round the axis at radius_mm."""

    centre: FloatArray
    axis: FloatArray
    radius_mm: float
    minor_mm: float

    def distances(self, points: FloatArray) -> FloatArray:
        """(n,) signed distances of (n, 3) points from the tube, outward positive."""
        q = points - self.centre
        z = q @ self.axis
        rho = np.sqrt(np.maximum(np.einsum("ij,ij->i", q, q) - z * z, 0.0))
        return np.hypot(rho - self.radius_mm, z) - self.minor_mm


def turned_slopes(surface: Turned, points: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Distances and slopes of a cylinder or cone.

    Args:
        surface: where it is taken. points: (n, 3).
    Returns: (n,) distances; (n, 6) slopes with respect to a shift along u and v, a tilt toward u and v, the radius
        (square to the surface), the half angle.
    """
    u, v = across(surface.axis)
    q = points - surface.point
    x, y, z = q @ u, q @ v, q @ surface.axis
    rho = np.maximum(np.hypot(x, y), 1e-300)
    cos, sin = np.cos(surface.half_angle_rad), np.sin(surface.half_angle_rad)
    lean = z * cos / rho + sin
    slopes = np.stack((-x / rho * cos, -y / rho * cos, -x * lean, -y * lean, -np.ones_like(x),
                       -(rho - surface.radius_mm) * sin - z * cos), axis=1)  # fmt: skip
    return (rho - surface.radius_mm) * cos - z * sin, slopes


def cylinder(points: FloatArray, start: Turned, weights: FloatArray | None = None, rounds: int = 60) -> Turned:
    """The cylinder of least squared distance near a start.

    Args:
        points: (n, 3), n >= 5. start: a rough cylinder. weights: (n,) >= 0, or None. rounds: most steps.
    Returns: the cylinder, its point at the middle of the points.
    Source: orthogonal distance fit by Gauss-Newton; slopes derived here. Checked in tests/checks/test_fits.py.
    """
    return _settled(_centred(replace(start, half_angle_rad=0.0), points), points, settle.CYLINDER, weights, rounds)


def cone(points: FloatArray, start: Turned, weights: FloatArray | None = None, rounds: int = 60) -> Turned:
    """The cone of least squared distance near a start.

    Args:
        points: (n, 3), n >= 6. start: a rough cone. weights: (n,) >= 0, or None. rounds: most steps.
    Returns: the cone, its point at the middle of the points.
    Source: orthogonal distance fit by Gauss-Newton; slopes derived here. Checked in tests/checks/test_fits.py.
    """
    return _settled(_centred(start, points), points, settle.CONE, weights, rounds)


def _settled(start: Turned, points: FloatArray, many: int, weights: FloatArray | None, rounds: int) -> Turned:
    state = np.array([*start.point, *start.axis, start.radius_mm, start.half_angle_rad])
    found = settle.settled(points, state, many, weights, rounds)
    return Turned(found[:3], found[3:6], float(found[6]), float(found[7]))


def _centred(surface: Turned, points: FloatArray) -> Turned:
    """The same surface with its point beside the middle of the points: tilts and shifts then hardly mix."""
    along = float(((points - surface.point) @ surface.axis).mean())
    return replace(
        surface, point=surface.point + along * surface.axis,
        radius_mm=float(surface.radius_mm + along * np.tan(surface.half_angle_rad)),
    )  # fmt: skip


def cylinder_start(points: FloatArray, axis: FloatArray, weights: FloatArray | None = None) -> Turned:
    """A rough cylinder whose axis direction is known.

    Args:
        points: (n, 3). axis: (3,) unit. weights: (n,) >= 0, or None.
    Returns: the circle across the axis, as a cylinder.
    """
    u, v = across(axis)
    middle = points.mean(axis=0)
    flat = np.stack(((points - middle) @ u, (points - middle) @ v), axis=1)
    found = circle(flat, weights)
    return Turned(middle + found.centre[0] * u + found.centre[1] * v, axis, found.radius_mm)


def sphere(points: FloatArray, weights: FloatArray | None = None, start: Sphere | None = None) -> Sphere:
    """The sphere of least squared distance.

    Args:
        points: (n, 3), n >= 4, not in one plane. weights: (n,) >= 0, or None. start: where to begin.
    Returns: the sphere.
    Source: orthogonal distance fit by Gauss-Newton. Checked in tests/checks/test_fits.py.
    """
    first = start or sphere_by_algebra(points)
    state = np.array([*first.centre, 0.0, 0.0, 0.0, first.radius_mm, 0.0])
    found = settle.settled(points, state, settle.BALL, weights, 60)
    return Sphere(found[:3], float(found[6]))


def sphere_by_algebra(points: FloatArray) -> Sphere:
    """A first sphere, linear in its unknowns; a start only.

    Args:
        points: (n, 3), n >= 4, not in one plane.
    Returns: the sphere.
    """
    middle = points.mean(axis=0)
    q = points - middle
    left = np.concatenate((2 * q, np.ones((len(q), 1))), axis=1)
    found = np.linalg.lstsq(left, np.einsum("ij,ij->i", q, q), rcond=None)[0]
    return Sphere(middle + found[:3], float(np.sqrt(max(found[3] + found[:3] @ found[:3], 0.0))))


def ring(points: FloatArray, start: Ring, weights: FloatArray | None = None) -> Ring:
    """The torus of least squared distance near a start.

    Args:
        points: (n, 3), n >= 7. start: a rough torus. weights: (n,) >= 0, or None.
    Returns: the torus.
    Source: orthogonal distance fit by Gauss-Newton; slopes derived here.
    """

    def look(s: Ring) -> tuple[FloatArray, FloatArray]:
        u, v = across(s.axis)
        q = points - s.centre
        x, y, z = q @ u, q @ v, q @ s.axis
        rho = np.maximum(np.hypot(x, y), 1e-300)
        out = rho - s.radius_mm
        tube = np.maximum(np.hypot(out, z), 1e-300)
        a, b = out / tube, z / tube
        lean = -z * a / rho + b
        slopes = (-x / rho * a, -y / rho * a, -b, x * lean, y * lean, -a, -np.ones_like(x))
        return tube - s.minor_mm, np.stack(slopes, axis=1)

    def step(s: Ring, c: FloatArray) -> Ring:
        u, v = across(s.axis)
        centre = s.centre + c[0] * u + c[1] * v + c[2] * s.axis
        return Ring(centre, unit(s.axis + c[3] * u + c[4] * v), float(s.radius_mm + c[5]), float(s.minor_mm + c[6]))

    return solved(start, look, step, weights)
