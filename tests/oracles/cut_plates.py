"""Nests that surely can be had: a plate is cut up, each cut as wide as the gap, and some of the pieces taken away.

Plates are rectangles, stepped ones, remnants with slanted and bitten edges, and discs, each with or without holes. Cuts
are straight, stepped or curved; now and then a piece is cut out of the middle of another, which is then a part with a
hole. What is kept is turned as is allowed, moved to another origin, and mixed. The nest that is known goes with it.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import cast

import numpy as np
from shapely.affinity import rotate, scale, translate
from shapely.geometry import LineString, Point, Polygon, box
from shapely.geometry.base import BaseGeometry, BaseMultipartGeometry

Ring = tuple[tuple[float, float], ...]
PLATES = ("rectangle", "step", "remnant", "disc")
TURNS: tuple[tuple[float, ...] | None, ...] = (
    (0.0, 90.0, 180.0, 270.0), None, (0.0, 180.0), tuple(30.0 * k for k in range(12)),
)  # fmt: skip
DIGITS = 4
LEAST_SHARE = 0.2
LEAST_THICK_MM = 12.0


@dataclass(frozen=True, slots=True)
class Cut:
    """A part that was cut out, about its own origin, and where it was: mirrored, turned, shifted."""

    id: str
    outline_mm: Ring
    holes_mm: tuple[Ring, ...]
    x_mm: float
    y_mm: float
    turn_deg: float
    mirrored: bool


@dataclass(frozen=True, slots=True)
class CutPlate:
    """A plate, what was cut out of it and kept, how it is to be nested, and the share of the area that was kept."""

    parts: tuple[Cut, ...]
    plate_mm: Ring
    holes_mm: tuple[Ring, ...]
    gap_mm: float
    margin_mm: float
    hole_clear_mm: float
    turns_deg: tuple[float, ...] | None
    may_mirror: bool
    kept: float


def cut_plate(
    seed: int,
    *,
    kept: float,
    pieces: int | None = None,
    plate: str | None = None,
    turns_deg: tuple[float, ...] | str | None = "some",
    gap_mm: float | None = None,
) -> CutPlate:
    """A nest that surely can be had.

    Args:
        seed: of everything that is drawn. kept: the share of the area cut up that is wanted, at most.
        pieces: into how many the plate is cut; left out: 12 to 60. plate: one of PLATES; left out: drawn.
        turns_deg: allowed turns, None: any; "some": drawn from TURNS. gap_mm: width of the cuts; left out: drawn.
    Returns: what is wanted, and one nest that does it.
    """
    luck = np.random.default_rng(seed)
    many = int(luck.integers(12, 61)) if pieces is None else pieces
    kind = PLATES[int(luck.integers(len(PLATES)))] if plate is None else plate
    drawn = TURNS[int(luck.integers(len(TURNS)))]
    turns = drawn if turns_deg == "some" else cast("tuple[float, ...] | None", turns_deg)
    gap = float(luck.choice((2.0, 4.0, 6.0))) if gap_mm is None else gap_mm
    margin, clear = float(luck.choice((0.0, 5.0, 8.0))), float(luck.choice((3.0, 6.0)))
    outer, holes = _plate(luck, kind)
    free: BaseGeometry = outer.buffer(-margin, join_style="mitre") if margin else outer
    for hole in holes:
        free = free.difference(hole.buffer(clear, quad_segs=32))
    shapes = _cut_up(luck, free, many, gap)
    total = sum(shape.area for shape in shapes)
    luck.shuffle(shapes)
    some, area = list[Polygon](), 0.0
    for shape in shapes:
        if area + shape.area <= kept * total:
            some.append(shape)
            area += shape.area
    mirror = bool(luck.random() < 0.15)
    parts = tuple(_as_part(luck, f"P{k}", shape, turns, mirror=mirror) for k, shape in enumerate(some))
    rings = tuple(_ring(hole) for hole in holes)
    return CutPlate(parts, _ring(outer), rings, gap, margin, clear, turns, mirror, area / total)


def request(wanted: CutPlate, seconds: float) -> str:
    """The same as a request file.

    Args:
        wanted: what is asked for. seconds: the time allowed.
    Returns: TOML.
    """

    def points(ring: Ring) -> str:
        return "[" + ", ".join(f"[{x!r}, {y!r}]" for x, y in ring) + "]"

    turns = '"any"' if wanted.turns_deg is None else repr(list(wanted.turns_deg))
    lines = [
        f"gap_mm = {wanted.gap_mm!r}",
        f"margin_mm = {wanted.margin_mm!r}",
        f"hole_clear_mm = {wanted.hole_clear_mm!r}",
    ]
    lines += [f"turns_deg = {turns}", f"may_mirror = {str(wanted.may_mirror).lower()}", f"time_limit_s = {seconds!r}"]
    lines += ["[plate]", f"outline_mm = {points(wanted.plate_mm)}"]
    for ring in wanted.holes_mm:
        lines += ["[[plate.hole]]", f"outline_mm = {points(ring)}"]
    for part in wanted.parts:
        lines += ["[[part]]", f'id = "{part.id}"', "count = 1", f"outline_mm = {points(part.outline_mm)}"]
        for ring in part.holes_mm:
            lines += ["[[part.hole]]", f"outline_mm = {points(ring)}"]
    return "\n".join(lines) + "\n"


def _plate(luck: np.random.Generator, kind: str) -> tuple[Polygon, list[Polygon]]:
    wide, high = luck.uniform(700, 1400), luck.uniform(450, 900)
    if kind == "disc":
        r = luck.uniform(350, 600)
        outer = Polygon([(r * math.cos(a), r * math.sin(a)) for a in np.linspace(0, 2 * math.pi, 72, endpoint=False)])
    else:
        outer = box(0, 0, wide, high)
    if kind == "step":
        outer = outer.difference(box(wide * luck.uniform(0.5, 0.8), high * luck.uniform(0.4, 0.7), wide + 1, high + 1))
    if kind == "remnant":
        a, b = wide * luck.uniform(0.5, 0.8), high * luck.uniform(0.4, 0.7)
        outer = outer.difference(Polygon([(a, high + 1), (wide + 1, high + 1), (wide + 1, b)]))
        for _ in range(int(luck.integers(1, 3))):
            x, r = luck.uniform(0.1, 0.6) * wide, luck.uniform(50, 130)
            outer = outer.difference(Point(x, luck.choice((0.0, high))).buffer(r, quad_segs=8))
    outer = max(_polygons(outer), key=lambda one: one.area)
    holes = list[Polygon]()
    for _ in range(int(luck.integers(0, 4))):
        x0, y0, x1, y1 = outer.bounds
        a, b = luck.uniform(30, 110, 2)
        hole = rotate(box(0, 0, a, b), luck.uniform(0, 90)) if luck.random() < 0.5 else Point(0, 0).buffer(a / 2, 10)
        hole = translate(hole, luck.uniform(x0, x1), luck.uniform(y0, y1))
        if outer.buffer(-40).contains(hole) and all(hole.distance(other) > 40 for other in holes):
            holes.append(_rounded(hole))
    return _rounded(outer), holes


def _cut_up(luck: np.random.Generator, free: BaseGeometry, many: int, gap: float) -> list[Polygon]:
    """Pieces without too thin ones, each a gap from the others; what would not be one piece is cut again."""
    shapes = _polygons(free)
    for _ in range(60 * many):
        if len(shapes) >= many:
            break
        shapes.sort(key=lambda shape: -shape.area)
        at = min(int(luck.exponential(1.0)), len(shapes) - 1) if len(shapes) > 3 else 0
        whole = shapes[at]
        if luck.random() < 0.08:
            inner = _island(luck, whole)
            if inner is not None and whole.buffer(-LEAST_THICK_MM - gap).contains(inner):
                shapes[at] = _polygons(whole.difference(inner.buffer(gap, quad_segs=64)))[0]
                shapes.append(inner)
            continue
        halves = _polygons(whole.difference(_cut(luck, whole, gap)))
        if len(halves) == 2 and all(h.area > LEAST_SHARE * whole.area and _thick(h) for h in halves):
            shapes[at : at + 1] = halves
    return [shape for shape in shapes if _thick(shape)]


def _cut(luck: np.random.Generator, whole: Polygon, gap: float) -> Polygon:
    x0, y0, x1, y1 = whole.bounds
    size = min(x1 - x0, y1 - y0)
    how = luck.random()
    if how < 0.55:
        way = LineString([(-4000, 0), (4000, 0)])
    elif how < 0.75:
        step = luck.uniform(0.1, 0.3) * size
        way = LineString([(-4000, 0), (-step, 0), (-step, step), (step, step), (step, 0), (4000, 0)])
    else:
        r = luck.uniform(0.8, 2.5) * size
        way = LineString([(r * math.sin(a), r - r * math.cos(a)) for a in np.linspace(-1.4, 1.4, 41)])
    across = 90.0 if x1 - x0 > y1 - y0 else 0.0
    turn = across + (luck.choice((0.0, luck.uniform(-35, 35))))
    way = translate(rotate(way, turn, origin=(0, 0)), luck.uniform(x0, x1), luck.uniform(y0, y1))
    return way.buffer(gap / 2, cap_style="flat", join_style="mitre")


def _island(luck: np.random.Generator, whole: Polygon) -> Polygon | None:
    centre, size = whole.representative_point(), math.sqrt(whole.area)
    a, b = luck.uniform(0.2, 0.6, 2) * size
    shape = (
        Point(0, 0).buffer(a / 2, 8)
        if luck.random() < 0.4
        else rotate(box(-a / 2, -b / 2, a / 2, b / 2), luck.uniform(0, 90))
    )
    shape = translate(shape, centre.x, centre.y)
    return shape if _thick(shape) else None


def _thick(shape: Polygon) -> bool:
    return not shape.buffer(-LEAST_THICK_MM).is_empty


def _as_part(
    luck: np.random.Generator, name: str, shape: Polygon, turns: tuple[float, ...] | None, *, mirror: bool
) -> Cut:
    """The shape turned back by an allowed turn about a new origin; and where it belongs."""
    turn = luck.uniform(0, 360) if turns is None else float(luck.choice(turns))
    flip = mirror and luck.random() < 0.5
    x, y = (round(float(c), DIGITS) for c in luck.uniform(-300, 300, 2))
    own = rotate(translate(shape, -x, -y), -turn, origin=(0, 0))
    own = scale(own, -1, 1, origin=(0, 0)) if flip else own
    own = _rounded(own)
    return Cut(name, _ring(own), tuple(_ring(Polygon(ring)) for ring in own.interiors), x, y, turn, flip)


def _rounded(shape: BaseGeometry) -> Polygon:
    def ring(coords: object) -> list[tuple[float, float]]:
        return [(round(x, DIGITS), round(y, DIGITS)) for x, y in cast("list[tuple[float, float]]", coords)]

    one = cast(Polygon, shape)
    return Polygon(ring(one.exterior.coords), [ring(hole.coords) for hole in one.interiors])


def _ring(shape: Polygon) -> Ring:
    return tuple((float(x), float(y)) for x, y in list(shape.exterior.coords)[:-1])


def _polygons(shape: BaseGeometry) -> list[Polygon]:
    return list(_each(shape))


def _each(shape: BaseGeometry) -> Iterator[Polygon]:
    if isinstance(shape, Polygon) and shape.area > 0:
        yield shape
    elif isinstance(shape, BaseMultipartGeometry):
        for one in shape.geoms:
            yield from _each(one)
