"""The part's own frame: an axis with a start, and directions across it."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from steadyrest.shop.part import Vec3

Points = npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Frame:
    """An axis: `origin` is where lengths along it start."""

    origin: Vec3
    axis: Vec3

    def along(self, points: Points) -> Points:
        """(n,) lengths along the axis of (n, 3) points."""
        return (points - np.array(self.origin)) @ np.array(self.axis)

    def from_axis(self, points: Points) -> Points:
        """(n,) distances of (n, 3) points from the axis."""
        offset = points - np.array(self.origin)
        axis = np.array(self.axis)
        return np.linalg.norm(offset - np.outer(offset @ axis, axis), axis=1)

    def at(self, along_mm: float) -> Vec3:
        """The point of the axis at a length along it."""
        return plus(self.origin, self.axis, along_mm)

    def moved(self, along_mm: float) -> Frame:
        """The same axis, with its lengths starting there."""
        return Frame(self.at(along_mm), self.axis)

    def along_of(self, point: Vec3) -> float:
        return dot(minus(point, self.origin), self.axis)

    def distance(self, point: Vec3) -> float:
        offset = minus(point, self.origin)
        return norm(plus(offset, self.axis, -dot(offset, self.axis)))


def dot(a: Vec3, b: Vec3) -> float:
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]


def minus(a: Vec3, b: Vec3) -> Vec3:
    return (a[0] - b[0], a[1] - b[1], a[2] - b[2])


def plus(a: Vec3, direction: Vec3, length: float) -> Vec3:
    """A point moved along a direction."""
    return (a[0] + length * direction[0], a[1] + length * direction[1], a[2] + length * direction[2])


def norm(a: Vec3) -> float:
    return math.sqrt(dot(a, a))


def cross(a: Vec3, b: Vec3) -> Vec3:
    return (a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0])


def unit(a: Vec3) -> Vec3:
    length = norm(a)
    return (a[0] / length, a[1] / length, a[2] / length)


def square_to(axis: Vec3) -> tuple[Vec3, Vec3]:
    """Two directions square to an axis and to each other; the three are right-handed, axis last."""
    least = min(range(3), key=lambda i: abs(axis[i]))
    first = unit(cross(axis, (float(least == 0), float(least == 1), float(least == 2))))
    return first, cross(axis, first)


def angle_between_lines(a: Vec3, b: Vec3) -> float:
    """Between two directions without sense, 0 to pi/2."""
    return math.atan2(norm(cross(a, b)), abs(dot(a, b)))


def line_distance(point: Vec3, on_line: Vec3, direction: Vec3) -> float:
    offset = minus(point, on_line)
    return norm(plus(offset, direction, -dot(offset, direction)))


def as_drawn(axis: Vec3) -> Vec3:
    """The sense of an axis that is the same every time: its largest component positive."""
    largest = max(range(3), key=lambda i: (round(abs(axis[i]), 6), -i))
    return axis if axis[largest] > 0 else (-axis[0], -axis[1], -axis[2])
