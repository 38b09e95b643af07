"""Tool paths for a mill, written out as NC programs: pockets cleared parallel to their walls, faces cleared in rows.

Written from shapely's offsets and the description alone, sharing nothing with the station whose times they judge: the
tool's centre keeps a radius off the wall; each ring lies a step inside the one before; the innermost is cut first, then
outwards; from ring to ring straight where that stays inside, else up, across and down again. A corner that the tool
goes round is an arc. Each separate bottom is entered down a ramp along its first ring.
"""

from __future__ import annotations

import math
import random
from collections.abc import Sequence
from dataclasses import dataclass, field

from shapely.geometry import LineString, MultiLineString, MultiPolygon, Point, Polygon, box
from shapely.geometry.base import BaseGeometry
from shapely.geometry.polygon import orient
from shapely.ops import linemerge, unary_union

XY = tuple[float, float]
ROUND = 24  # chords in a quarter of a rounded corner; they are joined to one arc again


@dataclass
class Shape:
    """A pocket: its outline with islands, and what made it."""

    kind: str
    outline: Polygon


@dataclass
class Cutting:
    """How it is cut. step_mm: from ring to ring. ramp: slope of the entry. clear_mm: height of the links.

    open_feed_mm_min: where the cutter opens a way at full width: no ring inside lies near.
    """

    diameter_mm: float
    step_mm: float
    depth_mm: float
    feed_mm_min: float
    ramp_feed_mm_min: float
    ramp_rad: float
    clear_mm: float
    open_feed_mm_min: float


@dataclass
class Pen:
    """Writes the program."""

    how: Cutting
    lines: list[str] = field(default_factory=list)
    at: XY | None = None
    down: bool = False
    slow: bool = False

    @property
    def speed(self) -> float:
        return self.how.open_feed_mm_min if self.slow else self.how.feed_mm_min

    def lift(self) -> None:
        if self.down:
            self.lines.append(f"G0 Z{self.how.clear_mm:.4f}")
            self.down = False

    def over(self, to: XY) -> None:
        self.lift()
        self.lines.append(f"G0 X{to[0]:.4f} Y{to[1]:.4f}")
        self.at = to

    def feed(self, to: XY) -> None:
        self.lines.append(f"G1 X{to[0]:.4f} Y{to[1]:.4f} F{self.speed:.2f}")
        self.at = to

    def arc(self, to: XY, centre: XY, clockwise: bool) -> None:
        assert self.at is not None
        i, j = centre[0] - self.at[0], centre[1] - self.at[1]
        word = "G2" if clockwise else "G3"
        self.lines.append(f"{word} X{to[0]:.4f} Y{to[1]:.4f} I{i:.4f} J{j:.4f} F{self.speed:.2f}")
        self.at = to

    def ramp(self, ring: Sequence[Piece], else_along: Sequence[Piece]) -> None:
        """Down to and fro along the longest straight piece of a ring; along another ring where that is too short."""
        how = self.how
        piece = longest(ring)
        if math.dist(piece.start, piece.end) < how.diameter_mm / 2:
            piece = longest([*ring, *else_along])
        a, b = piece.start, piece.end
        self.over(a)
        self.lines.append("G0 Z0.5")
        fall = how.depth_mm + 0.5
        one = max(math.dist(a, b), 0.2)
        need = fall / math.tan(how.ramp_rad)
        legs = max(math.ceil(need / one), 1)
        share = min(need / (legs * one), 1.0)
        far = (a[0] + (b[0] - a[0]) * share, a[1] + (b[1] - a[1]) * share)
        for leg in range(1, legs + 1):
            to = far if leg % 2 else a
            z = 0.5 - fall * leg / legs
            self.lines.append(f"G1 X{to[0]:.4f} Y{to[1]:.4f} Z{z:.4f} F{how.ramp_feed_mm_min:.2f}")
            self.at = to
        self.down = True


@dataclass
class Piece:
    """A straight or round piece of a ring."""

    start: XY
    end: XY
    centre: XY | None = None
    clockwise: bool = False


def longest(ring: Sequence[Piece]) -> Piece:
    return max(ring, key=lambda one: 0.0 if one.centre else math.dist(one.start, one.end))


def polygons(shape: object) -> list[Polygon]:
    if isinstance(shape, Polygon):
        return [] if shape.is_empty else [shape]
    if isinstance(shape, MultiPolygon):
        return [one for one in shape.geoms if one.area > 1e-6]
    return [one for one in getattr(shape, "geoms", ()) if isinstance(one, Polygon) and one.area > 1e-6]


def pieces(ring: Sequence[XY], corners: Sequence[XY], off: float) -> list[Piece]:
    """A closed ring as straight pieces and arcs: chords that keep `off` from one corner are one arc about it."""
    points = list(ring[:-1]) if ring[0] == ring[-1] else list(ring)
    n = len(points)

    def about(a: XY, b: XY) -> XY | None:
        if off <= 0:
            return None
        for corner in corners:
            on_it = abs(math.dist(a, corner) - off) < 1e-5 and abs(math.dist(b, corner) - off) < 1e-5
            if on_it and math.dist(a, b) < off * 2.2 * math.pi / (2 * ROUND):
                return corner
        return None

    centres = [about(points[i], points[(i + 1) % n]) for i in range(n)]
    first = next((i for i in range(n) if centres[i] is None or centres[i] != centres[i - 1]), 0)
    found: list[Piece] = []
    i = 0
    while i < n:
        k = (first + i) % n
        centre, start = centres[k], points[k]
        run = 1
        while centre is not None and i + run < n and centres[(first + i + run) % n] == centre:
            run += 1
        end = points[(first + i + run) % n]
        if centre is None:
            found.append(Piece(start, end))
        else:
            after = points[(k + 1) % n]
            cross = (start[0] - centre[0]) * (after[1] - centre[1]) - (start[1] - centre[1]) * (after[0] - centre[0])
            found.append(Piece(start, end, centre, cross < 0))
        i += run
    return [one for one in found if math.dist(one.start, one.end) > 1e-4]


def levels(outline: Polygon, how: Cutting) -> list[tuple[float, list[Polygon]]]:
    """(distance from the wall, what the tool's centre may still enter there), level by level."""
    found: list[tuple[float, list[Polygon]]] = []
    radius = how.diameter_mm / 2
    off = radius
    while True:
        inner = polygons(outline.buffer(-off, quad_segs=ROUND))
        if not inner:
            last = found[-1][0] if found else 0.0
            rest = polygons(outline.buffer(-(last + 0.98 * radius), quad_segs=ROUND)) if found else []
            if rest and how.step_mm > 0.98 * radius:
                found.append((last + 0.98 * radius, rest))
            return found
        found.append((off, inner))
        off += how.step_mm


def pocket_program(shape: Shape, how: Cutting) -> str:
    """The program that clears a pocket by one depth."""
    outline = shape.outline
    corners: list[XY] = [(x, y) for ring in (outline.exterior, *outline.interiors) for x, y in ring.coords]
    by_level = levels(outline, how)
    room = outline.buffer(-how.diameter_mm / 2 + 1e-3, quad_segs=ROUND)
    outermost = [
        one
        for area in (by_level[0][1] if by_level else [])
        for ring in (area.exterior, *area.interiors)
        for one in pieces([(x, y) for x, y in ring.coords], corners, how.diameter_mm / 2)
    ]
    pen = Pen(how)

    def ring_done(ring: Sequence[XY], off: float, inside: Sequence[Polygon]) -> None:
        def opens(one: Piece) -> bool:
            middle = Point((one.start[0] + one.end[0]) / 2, (one.start[1] + one.end[1]) / 2)
            return not inside or min(child.distance(middle) for child in inside) > 1.5 * how.step_mm

        parts = pieces(ring, corners, off)
        if not parts:
            return
        if pen.at is None:
            pen.ramp(parts, outermost)
        assert pen.at is not None
        near = min(range(len(parts)), key=lambda i: math.dist(parts[i].start, pen.at or (0.0, 0.0)))
        start = parts[near].start
        if pen.down and math.dist(pen.at, start) > 1e-6:
            if room.covers(LineString([pen.at, start])):
                pen.feed(start)
            else:
                pen.lift()
        if not pen.down:
            pen.ramp(parts, outermost)
            near = min(range(len(parts)), key=lambda i: math.dist(parts[i].start, pen.at or (0.0, 0.0)))
            if math.dist(pen.at, parts[near].start) > 1e-6:
                pen.feed(parts[near].start)
        for one in (*parts[near:], *parts[:near]):
            pen.slow = opens(one)
            if one.centre is None:
                pen.feed(one.end)
            else:
                pen.arc(one.end, one.centre, one.clockwise)
        pen.slow = False

    def clear(level: int, area: Polygon) -> None:
        inside = by_level[level + 1][1] if level + 1 < len(by_level) else []
        children = [child for child in inside if area.covers(child.representative_point())]
        for child in children:
            clear(level + 1, child)
        off = by_level[level][0]
        turned = orient(area)
        for ring in (*turned.interiors, turned.exterior):
            ring_done([(x, y) for x, y in ring.coords], off, children)

    for area in by_level[0][1] if by_level else []:
        ring = pieces([(x, y) for x, y in area.exterior.coords], corners, how.diameter_mm / 2)
        inner = [(off, one) for off, ones in by_level[1:] for one in ones if area.covers(one.representative_point())]
        if not area.interiors and spiral(pen, ring):
            for off, one in inner:
                ring_done([(x, y) for x, y in one.exterior.coords], off, [area])
            pen.lift()
            continue
        clear(0, area)
        pen.lift()
    return written(pen)


def spiral(pen: Pen, ring: Sequence[Piece]) -> bool:
    """Down along the outer ring of a small pocket, and once round level; false where to and fro is sooner."""
    how = pen.how
    length = sum(arc_length(one) if one.centre else math.dist(one.start, one.end) for one in ring)
    fall = how.depth_mm + 0.5
    steepest = length * math.tan(how.ramp_rad)
    turns = how.depth_mm / min(steepest, how.depth_mm) + 0.5 / steepest
    to_and_fro = fall / math.tan(how.ramp_rad) * how.feed_mm_min / how.ramp_feed_mm_min + length
    if (turns + 1) * length > to_and_fro:
        return False
    pen.over(ring[0].start)
    pen.lines.append("G0 Z0.5")
    pen.down = True
    z, left = 0.5, turns * length
    while left > -length + 1e-6:
        for one in ring:
            long = arc_length(one) if one.centre else math.dist(one.start, one.end)
            z = max(z - fall * long / (turns * length), -how.depth_mm)
            left -= long
            if one.centre is None:
                pen.feed(one.end)
            else:
                pen.arc(one.end, one.centre, one.clockwise)
            pen.lines[-1] = pen.lines[-1].replace(" F", f" Z{z:.4f} F")
            if left <= -length + 1e-6:
                break
    return True


def arc_length(one: Piece) -> float:
    assert one.centre is not None
    radius = math.dist(one.start, one.centre)
    return 2 * radius * math.asin(min(math.dist(one.start, one.end) / (2 * radius), 1.0))


def written(pen: Pen) -> str:
    head = ["%", "G21 G90 G17 G94", "T1 M6", "S1000 M3", f"G0 Z{pen.how.clear_mm:.4f}"]
    return "\n".join((*head, *pen.lines, "M5", "M30", "%", ""))


def wall_program(shape: Shape, how: Cutting) -> str:
    """The program that goes once along the walls of a cleared pocket: on to each on a quarter arc, and off it."""
    outline = shape.outline
    corners: list[XY] = [(x, y) for ring in (outline.exterior, *outline.interiors) for x, y in ring.coords]
    pen = Pen(how)
    for area in polygons(outline.buffer(-how.diameter_mm / 2, quad_segs=ROUND)):
        turned = orient(area)
        for ring in (turned.exterior, *turned.interiors):
            parts = pieces([(x, y) for x, y in ring.coords], corners, how.diameter_mm / 2)
            longest = max(
                range(len(parts)), key=lambda i: 0.0 if parts[i].centre else math.dist(parts[i].start, parts[i].end)
            )
            cut, r = parts[longest], how.diameter_mm / 2
            if cut.centre is not None:
                continue
            length = math.dist(cut.start, cut.end)
            along = ((cut.end[0] - cut.start[0]) / length, (cut.end[1] - cut.start[1]) / length)
            inward = (-along[1], along[0])
            middle = ((cut.start[0] + cut.end[0]) / 2, (cut.start[1] + cut.end[1]) / 2)
            centre = (middle[0] + r * inward[0], middle[1] + r * inward[1])
            pen.over((centre[0] - r * along[0], centre[1] - r * along[1]))
            pen.lines.append(f"G0 Z{-how.depth_mm:.4f}")
            pen.down = True
            pen.arc(middle, centre, clockwise=False)
            pen.feed(cut.end)
            for one in (*parts[longest + 1 :], *parts[:longest]):
                if one.centre is None:
                    pen.feed(one.end)
                else:
                    pen.arc(one.end, one.centre, one.clockwise)
            pen.feed(middle)
            pen.arc((centre[0] + r * along[0], centre[1] + r * along[1]), centre, clockwise=False)
            pen.lift()
    return written(pen)


def ledge_program(area: Polygon, standing: Polygon, how: Cutting, over_mm: float) -> str:
    """The program that clears a ledge beside standing metal in ways parallel to it, from the air inwards, to and fro.

    Each way runs out into the air until the cutter is `over_mm` clear of the ledge; its corners are gone round square.
    """
    radius = how.diameter_mm / 2
    far = max(Point(x, y).distance(standing) for x, y in area.exterior.coords)
    if area.interiors:
        far /= math.sqrt(2.0)  # a ledge all round has its furthest points at square corners
    offs = [radius]
    while offs[-1] + radius < far - 1e-9:
        offs.append(offs[-1] + how.step_mm)
    pen = Pen(how)
    reach = area.buffer(radius + over_mm, join_style="mitre")
    for off in reversed(offs):
        way = standing.buffer(off, join_style="mitre").exterior.intersection(reach)
        for part in lines(way):
            points: list[XY] = [(x, y) for x, y in part.coords]
            if pen.at is not None and math.dist(pen.at, points[-1]) < math.dist(pen.at, points[0]):
                points.reverse()
            if pen.down and pen.at is not None and math.dist(pen.at, points[0]) <= 3.0 * how.step_mm:
                pen.feed(points[0])
            else:
                pen.over(points[0])
                pen.lines.append(f"G0 Z{-how.depth_mm:.4f}")
                pen.down = True
            for point in points[1:]:
                pen.feed(point)
    pen.lift()
    return written(pen)


def lines(shape: BaseGeometry) -> list[LineString]:
    """The separate lines of a shape, joined where they meet."""
    merged = linemerge(shape) if isinstance(shape, MultiLineString) else shape
    return [one for one in getattr(merged, "geoms", (merged,)) if isinstance(one, LineString) and not one.is_empty]


def face_program(length_mm: float, width_mm: float, how: Cutting, over_mm: float) -> str:
    """The program that faces a rectangle in rows to and fro, each out into the air at both ends."""
    pen = Pen(how)
    rows = max(math.ceil(width_mm / how.step_mm - 1e-9), 1)
    out = how.diameter_mm / 2 + over_mm
    for row in range(rows):
        y = width_mm * (row + 0.5) / rows
        ends = [(-out, y), (length_mm + out, y)]
        if row % 2:
            ends.reverse()
        if pen.at is None:
            pen.over(ends[0])
            pen.lines.append(f"G0 Z{-how.depth_mm:.4f}")
            pen.down = True
        else:
            pen.feed(ends[0])
        pen.feed(ends[1])
    pen.lift()
    return written(pen)


def hole_program(whole_mm: float, first_mm: float, next_mm: float, feed_mm_min: float, clear_mm: float) -> str:
    """The program of one hole in depth cycles: so deep at first, then so much more each time, out for the chips."""
    lines, done, goal = ["%", "G21 G90 G17 G94", f"G0 Z{clear_mm:.4f}"], 0.0, min(first_mm, whole_mm)
    while True:
        if done:
            lines.append(f"G0 Z{-(done - clear_mm):.4f}")
        lines.append(f"G1 Z{-goal:.4f} F{feed_mm_min:.3f}")
        lines.append(f"G0 Z{clear_mm:.4f}")
        if goal >= whole_mm - 1e-9:
            return "\n".join((*lines, "M30", "%", ""))
        done, goal = goal, min(goal + next_mm, whole_mm)


# ---- shapes ------------------------------------------------------------------------------------------------------


def turned_box(wide: float, high: float, at: XY = (0.0, 0.0)) -> Polygon:
    return box(at[0] - wide / 2, at[1] - high / 2, at[0] + wide / 2, at[1] + high / 2)


def star(luck: random.Random, size: float, points: int, rough: float) -> Polygon:
    angles = sorted(2 * math.pi * (i + luck.uniform(-0.3, 0.3)) / points for i in range(points))
    radii = [size * luck.uniform(1 - rough, 1) for _ in angles]
    return Polygon([(r * math.cos(a), r * math.sin(a)) for r, a in zip(radii, angles, strict=True)])


def random_shape(luck: random.Random, size: float) -> Shape:
    """A pocket somewhere near `size` across."""
    kind = luck.choice(["rectangle", "ell", "tee", "ewe", "cross", "convex", "star", "boxes"])
    w, h = size, size * luck.uniform(0.25, 1.0)
    if kind == "rectangle":
        outline: object = turned_box(w, h)
    elif kind == "ell":
        a, b = luck.uniform(0.25, 0.7) * w, luck.uniform(0.25, 0.7) * h
        outline = Polygon([(0, 0), (w, 0), (w, b), (a, b), (a, h), (0, h)])
    elif kind == "tee":
        outline = unary_union(
            [turned_box(w, h * luck.uniform(0.25, 0.6)), box(-w / 8, 0, w * luck.uniform(0.1, 0.3), h)]
        )
    elif kind == "ewe":
        t = luck.uniform(0.2, 0.35)
        outline = turned_box(w, h).difference(box(-w / 2 + t * w, -h / 2 + t * h, w / 2 - t * w, h))
    elif kind == "cross":
        outline = unary_union([turned_box(w, h * luck.uniform(0.2, 0.5)), turned_box(w * luck.uniform(0.2, 0.5), h)])
    elif kind == "convex":
        outline = MultiPolygon([]).union(star(luck, size / 2, luck.randint(5, 9), 0.25)).convex_hull
    elif kind == "star":
        outline = star(luck, size / 2, luck.randint(6, 10), 0.5)
    else:
        outline = unary_union(
            [
                turned_box(
                    luck.uniform(0.3, 0.7) * w, luck.uniform(0.3, 0.7) * w,
                    (luck.uniform(-0.2, 0.2) * w, luck.uniform(-0.2, 0.2) * w),
                )
                for _ in range(luck.randint(2, 4))
            ]
        )  # fmt: skip
    whole = max(polygons(outline), key=lambda one: one.area)
    whole = Polygon(whole.exterior)
    for _ in range(luck.choice([0, 0, 1, 2, 3])):
        low_x, low_y, high_x, high_y = whole.bounds
        at = (luck.uniform(low_x, high_x), luck.uniform(low_y, high_y))
        island = turned_box(size * luck.uniform(0.06, 0.15), size * luck.uniform(0.06, 0.15), at)
        if whole.buffer(-size * 0.12).covers(Point(at)):
            left = polygons(whole.difference(island))
            if len(left) == 1:
                whole = left[0]
    return Shape(kind + (f"+{len(whole.interiors)}" if whole.interiors else ""), whole)
