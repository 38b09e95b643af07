"""A straight line or a circular arc in the plane, and what can be asked of it.

Everything that a drawing holds becomes these: an ellipse or a spline as chords within a stated tolerance.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
import numpy.typing as npt

from steadyrest.shop.part import Vec2

Points = npt.NDArray[np.float64]
Box = tuple[float, float, float, float]


@dataclass(frozen=True, slots=True)
class Curve:
    """A line, or an arc where there is a centre.

    turn_rad: how far an arc turns from start to end, positive to the left; 2 pi for a whole circle.
    layer: where it is drawn. made: "drawn" as it stands, "chord" of a free curve, "corner to corner" of many chords.
    """

    start: Vec2
    end: Vec2
    centre: Vec2 | None = None
    turn_rad: float = 0.0
    layer: str = "0"
    made: Literal["drawn", "chord", "joined"] = "drawn"

    @property
    def radius(self) -> float:
        return 0.0 if self.centre is None else math.dist(self.start, self.centre)

    @property
    def length(self) -> float:
        return math.dist(self.start, self.end) if self.centre is None else self.radius * abs(self.turn_rad)

    @property
    def closed(self) -> bool:
        """A whole circle."""
        return self.centre is not None and abs(self.turn_rad) > 2 * math.pi - 1e-9

    @property
    def area(self) -> float:
        """Signed area between the curve and the origin (Green): summed round a loop it is the loop's area."""
        (x0, y0), (x1, y1) = self.start, self.end
        chord = (x0 * y1 - x1 * y0) / 2
        if self.centre is None:
            return chord
        return chord + self.radius**2 * (self.turn_rad - math.sin(self.turn_rad)) / 2

    def at(self, share: float) -> Vec2:
        """The point at a share of the way, 0 to 1."""
        if self.centre is None:
            return mixed(self.start, self.end, share)
        angle = self.angle + share * self.turn_rad
        return self.centre[0] + self.radius * math.cos(angle), self.centre[1] + self.radius * math.sin(angle)

    @property
    def angle(self) -> float:
        """Where an arc begins, seen from its centre."""
        cx, cy = self.centre or (0.0, 0.0)
        return math.atan2(self.start[1] - cy, self.start[0] - cx)

    def heading(self, share: float) -> Vec2:
        """Unit vector along the curve at a share of the way."""
        if self.centre is None:
            return unit((self.end[0] - self.start[0], self.end[1] - self.start[1]))
        x, y = self.at(share)
        side = 1.0 if self.turn_rad > 0 else -1.0
        return unit((-side * (y - self.centre[1]), side * (x - self.centre[0])))

    def turned_round(self) -> Curve:
        return replace(self, start=self.end, end=self.start, turn_rad=-self.turn_rad)

    @property
    def box(self) -> Box:
        """Smallest x, smallest y, largest x, largest y; exact."""
        xs, ys = [self.start[0], self.end[0]], [self.start[1], self.end[1]]
        if self.centre is not None:
            low, high = sorted((self.angle, self.angle + self.turn_rad))
            for quarter in range(math.ceil(low / (math.pi / 2)), math.floor(high / (math.pi / 2)) + 1):
                across, up = ((1, 0), (0, 1), (-1, 0), (0, -1))[quarter % 4]
                xs.append(self.centre[0] + across * self.radius)
                ys.append(self.centre[1] + up * self.radius)
        return min(xs), min(ys), max(xs), max(ys)

    def chords(self, tolerance: float) -> list[Vec2]:
        """Points from start to end, the last left out, between which chords stay within a tolerance."""
        if self.centre is None:
            return [self.start]
        n = steps_of(self.radius, self.turn_rad, tolerance)
        return [self.start, *(self.at(k / n) for k in range(1, n))]


def steps_of(radius: float, turn_rad: float, tolerance: float) -> int:
    """How many chords an arc needs to stay within a tolerance; at most 720."""
    step = 2 * math.acos(max(0.0, 1 - tolerance / radius)) if radius > tolerance else math.pi / 2
    return min(720, max(2, math.ceil(abs(turn_rad) / max(step, 1e-6))))


def arc_through(start: Vec2, end: Vec2, bulge: float, layer: str) -> Curve:
    """A polyline's piece with a bulge, the tangent of a quarter of its turn; straight where that is nothing."""
    chord = math.dist(start, end)
    if abs(bulge) < 1e-9 or chord == 0.0:
        return Curve(start, end, layer=layer)
    turn = 4 * math.atan(bulge)
    # The centre lies off the chord's middle, to the left of it for a left turn of less than half.
    off = chord * (1 - bulge**2) / (4 * bulge)
    ux, uy = (end[0] - start[0]) / chord, (end[1] - start[1]) / chord
    centre = (start[0] + end[0]) / 2 - off * uy, (start[1] + end[1]) / 2 + off * ux
    return Curve(start, end, centre, turn, layer)


def loop_area(loop: Sequence[Curve]) -> float:
    """Signed area of a closed line; positive where it runs to the left."""
    x, y = loop[0].start
    return math.fsum(moved(curve, -x, -y).area for curve in loop)


def moved(curve: Curve, x: float, y: float) -> Curve:
    """The curve shifted."""
    (ax, ay), (bx, by) = curve.start, curve.end
    centre = None if curve.centre is None else (curve.centre[0] + x, curve.centre[1] + y)
    return replace(curve, start=(ax + x, ay + y), end=(bx + x, by + y), centre=centre)


def turned_round(loop: Sequence[Curve]) -> tuple[Curve, ...]:
    return tuple(curve.turned_round() for curve in reversed(loop))


def box_of(curves: Iterable[Curve]) -> Box:
    """The box of several curves."""
    low_x, low_y, high_x, high_y = zip(*(curve.box for curve in curves), strict=True)
    return min(low_x), min(low_y), max(high_x), max(high_y)


def polygon(loop: Sequence[Curve], tolerance: float) -> Points:
    """(n, 2) corners of a closed line flattened within a tolerance."""
    return np.array([point for curve in loop for point in curve.chords(tolerance)])


def mixed(a: Vec2, b: Vec2, share: float) -> Vec2:
    return a[0] + share * (b[0] - a[0]), a[1] + share * (b[1] - a[1])


def unit(v: Vec2) -> Vec2:
    length = math.hypot(*v)
    return (v[0] / length, v[1] / length) if length else (0.0, 0.0)


def cross(a: Vec2, b: Vec2) -> float:
    return a[0] * b[1] - a[1] * b[0]
