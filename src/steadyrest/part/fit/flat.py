"""Lines, planes and circles in a plane, by least true distance."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from steadyrest.part.fit.solve import solved

FloatArray = npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Plane:
    """point: (3,) centroid. normal: (3,) unit."""

    point: FloatArray
    normal: FloatArray

    def distances(self, points: FloatArray) -> FloatArray:
        """(n,) signed distances of (n, 3) points along the normal."""
        return (points - self.point) @ self.normal


@dataclass(frozen=True, slots=True)
class Line:
    """point: (d,) centroid. direction: (d,) unit."""

    point: FloatArray
    direction: FloatArray


@dataclass(frozen=True, slots=True)
class Circle:
    """centre: (2,). radius_mm."""

    centre: FloatArray
    radius_mm: float

    def distances(self, points: FloatArray) -> FloatArray:
        """(n,) signed distances of (n, 2) points, outside positive."""
        return np.hypot(*(points - self.centre).T) - self.radius_mm


def plane(points: FloatArray, weights: FloatArray | None = None) -> Plane:
    """The plane of least squared distance.

    Args:
        points: (n, 3), n >= 3, not on one line. weights: (n,) >= 0, or None.
    Returns: centroid and the direction of least spread.
    Source: total least squares, Pearson 1901. Checked in tests/checks/test_fits.py.
    """
    centre, values_vectors = _spread_of(points, weights)
    return Plane(centre, values_vectors[:, 0])


def line(points: FloatArray, weights: FloatArray | None = None) -> Line:
    """The line of least squared distance, in 2 or 3 dimensions.

    Args:
        points: (n, d), n >= 2, not all alike. weights: (n,) >= 0, or None.
    Returns: centroid and the direction of most spread.
    Source: total least squares, Pearson 1901. Checked in tests/checks/test_fits.py.
    """
    centre, vectors = _spread_of(points, weights)
    return Line(centre, vectors[:, -1])


def _spread_of(points: FloatArray, weights: FloatArray | None) -> tuple[FloatArray, FloatArray]:
    w = np.ones(len(points)) if weights is None else weights
    centre = w @ points / w.sum()
    from_centre = points - centre
    return centre, np.linalg.eigh((from_centre * w[:, None]).T @ from_centre)[1]


def circle_by_algebra(points: FloatArray, weights: FloatArray | None = None) -> Circle:
    """A first circle: least squares of x^2 + y^2 - 2ax - 2by - c. Too small on short arcs; a start only.

    Args:
        points: (n, 2), n >= 3, not on one line. weights: (n,) >= 0, or None.
    Returns: the circle.
    Source: Kasa 1976. Checked in tests/checks/test_fits.py.
    """
    w = np.ones(len(points)) if weights is None else weights
    middle = w @ points / w.sum()
    x, y = (points - middle).T
    left = np.stack((2 * x, 2 * y, np.ones_like(x)), axis=1)
    root = np.sqrt(w)
    a, b, c = np.linalg.lstsq(left * root[:, None], (x * x + y * y) * root, rcond=None)[0]
    return Circle(middle + np.array([a, b]), float(np.sqrt(max(c + a * a + b * b, 0.0))))


def circle(points: FloatArray, weights: FloatArray | None = None, start: Circle | None = None) -> Circle:
    """The circle of least squared distance (geometric fit).

    Args:
        points: (n, 2), n >= 3, not on one line. weights: (n,) >= 0, or None. start: where to begin.
    Returns: the circle.
    Source: Gander, Golub and Strebel 1994. Checked in tests/checks/test_fits.py.
    """

    def look(c: Circle) -> tuple[FloatArray, FloatArray]:
        d = points - c.centre
        r = np.maximum(np.hypot(d[:, 0], d[:, 1]), 1e-300)
        return r - c.radius_mm, np.stack((-d[:, 0] / r, -d[:, 1] / r, -np.ones_like(r)), axis=1)

    def step(c: Circle, change: FloatArray) -> Circle:
        return Circle(c.centre + change[:2], float(c.radius_mm + change[2]))

    first = start or circle_by_algebra(points, weights)
    best = solved(first, look, step, weights)
    if start is None:
        # A short arc may draw the first step the wrong way: the circle through a flatter start is tried as well.
        middle = points.mean(axis=0)
        away = Circle(middle + 2 * (first.centre - middle), 2 * first.radius_mm)
        other = solved(away, look, step, weights)
        if _sum(other, points, weights) < _sum(best, points, weights) * (1 - 1e-12):
            best = other
    return best


def _sum(c: Circle, points: FloatArray, weights: FloatArray | None) -> float:
    d = c.distances(points)
    return float(d @ d if weights is None else (weights * d) @ d)
