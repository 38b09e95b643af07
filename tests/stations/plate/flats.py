"""Flat parts for tests: read from drawings made here, with a thickness."""

from __future__ import annotations

import math

from steadyrest.part.flat.thickness import as_plate
from steadyrest.shop.part import Part
from tests.part.flat.tags import circle, drawing, line, polyline, read, rectangle


def plate_of(entities: str, thickness_mm: float = 6.0) -> Part:
    """A flat part of these entities."""
    return as_plate(read(drawing(entities)), thickness_mm)


def base_plate(thickness_mm: float = 6.0, *, hole_mm: float = 14.0, small_mm: float = 5.0) -> Part:
    """200 x 120 with one hole large enough to cut, one that is not, and a slot."""
    slot = polyline([(100, 40, 0), (150, 40, 1), (150, 60, 0), (100, 60, 1)])
    return plate_of(
        rectangle(0, 0, 200, 120) + circle(40, 60, hole_mm / 2) + circle(170, 100, small_mm / 2) + slot, thickness_mm
    )


def bent_plate(thickness_mm: float = 3.0) -> Part:
    """300 x 100 with two bend lines, 40 from each end."""
    return plate_of(
        rectangle(0, 0, 300, 100) + line(40, 0, 40, 100, "bend") + line(260, 0, 260, 100, "bend"), thickness_mm
    )


def two_parts() -> Part:
    """Two outlines in one drawing."""
    return plate_of(rectangle(0, 0, 120, 80) + circle(60, 40, 10) + rectangle(200, 0, 290, 60))


def star(points: int, outer: float, inner: float) -> str:
    """A star's outline."""
    corners = [
        (r * math.cos(math.pi * k / points), r * math.sin(math.pi * k / points), 0.0)
        for k in range(2 * points)
        for r in [outer if k % 2 == 0 else inner]
    ]
    return polyline(corners)


def shapes() -> list[tuple[str, str]]:
    """Forty and more outlines by name: straight, round, mixed, sharp, long, small."""
    sizes = ((30, 20), (80, 80), (200, 60), (500, 300), (900, 40), (25, 25))
    found = [(f"rectangle {wide} x {high}", rectangle(0, 0, wide, high)) for wide, high in sizes]
    found += [(f"disc {radius}", circle(0, 0, radius)) for radius in (8, 15, 30, 60, 120, 250)]
    stars = ((5, 60, 25), (8, 100, 70), (12, 150, 120), (20, 200, 180), (6, 30, 20), (36, 120, 110))
    found += [(f"star {n} {outer} {inner}", star(n, outer, inner)) for n, outer, inner in stars]
    corners = ((100, 60, 10), (200, 120, 25), (60, 60, 5), (400, 200, 50), (50, 30, 14))
    found += [(f"rounded {wide} x {high} r {r}", rounded(wide, high, r)) for wide, high, r in corners]
    for long, wide in ((80, 20), (150, 12), (60, 40), (300, 30)):
        ends = [(0, 0, 0), (long, 0, 1), (long, wide, 0), (0, wide, 1)]
        found.append((f"slot shape {long} x {wide}", polyline(ends)))
    found += [(f"polygon {n}", star_free(n, 40 + 12 * n)) for n in (3, 5, 6, 7, 9)]
    found += [(f"comb {n}", comb(n)) for n in (2, 4, 8)]
    for w in (60, 120, 240):
        leg = 0.3 * w
        angle = [(0, 0, 0), (w, 0, 0), (w, leg, 0), (leg, leg, 0), (leg, w, 0), (0, w, 0)]
        found.append((f"angle {w}", polyline(angle)))
    found += [(f"half moon {r}", polyline([(-r, 0, 0), (r, 0, 1)])) for r in (20, 45, 90)]
    return found


def rounded(wide: float, high: float, r: float) -> str:
    """A rectangle with round corners."""
    b = math.tan(math.pi / 8)
    return polyline([
        (r, 0, 0), (wide - r, 0, b), (wide, r, 0), (wide, high - r, b), (wide - r, high, 0), (r, high, b),
        (0, high - r, 0), (0, r, b),
    ])  # fmt: skip


def star_free(n: int, size: float) -> str:
    """A regular polygon."""
    return polyline([(size * math.cos(2 * math.pi * k / n), size * math.sin(2 * math.pi * k / n), 0) for k in range(n)])


def comb(teeth: int) -> str:
    """A comb with square teeth."""
    corners: list[tuple[float, float, float]] = [(0, 0, 0), (teeth * 40.0, 0, 0)]
    for k in reversed(range(teeth)):
        x = 40.0 * k
        corners += [(x + 40, 60, 0), (x + 20, 60, 0), (x + 20, 25, 0), (x, 25, 0)]
    return polyline(corners)
