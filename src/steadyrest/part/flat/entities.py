"""One entity of a drawing as lines and arcs in the plane, wherever blocks have put it.

Everything round goes one way: a centre and two half axes, moved by the block's placement. Where the half axes stay
square and equal it is an arc of a circle, else chords within a tolerance.
Source: the published DXF reference (entity codes, object coordinates), from memory; checked against ezdxf.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from steadyrest.part.files.dxf import Record
from steadyrest.part.flat.curve import Curve, Points, arc_through, cross, steps_of
from steadyrest.part.flat.smooth import arc_of, straight
from steadyrest.shop.part import Vec2

SQUARE = 1e-6  # how nearly equal and square half axes must be for a circle
MOST_SPANS = 4000
MOST_HALVINGS = 14
MOST_POINTS = 200_000  # of one spline


class Unread(ValueError):  # noqa: N818  says what could not be read
    """A record that is in order but draws nothing that can be used; the text is the key of its reason."""


@dataclass(frozen=True, slots=True)
class Placement:
    """x' = a x + c y + e, y' = b x + d y + f: where a block's own plane lies in the drawing."""

    a: float = 1.0
    b: float = 0.0
    c: float = 0.0
    d: float = 1.0
    e: float = 0.0
    f: float = 0.0

    def at(self, point: Vec2) -> Vec2:
        x, y = self.way(point)
        return x + self.e, y + self.f

    def way(self, vector: Vec2) -> Vec2:
        """A direction, not shifted."""
        x, y = vector
        return self.a * x + self.c * y, self.b * x + self.d * y

    def after(self, first: Placement) -> Placement:
        """First the other, then this one."""
        a, b = self.way((first.a, first.b))
        c, d = self.way((first.c, first.d))
        e, f = self.at((first.e, first.f))
        return Placement(a, b, c, d, e, f)


FLIPPED = Placement(a=-1.0)


def facing(record: Record) -> Placement:
    """How an entity's own coordinates lie in the drawing's. Raises: Unread: it is tilted out of the plane."""
    x, y, z = (record.number(code, default) for code, default in ((210, 0.0), (220, 0.0), (230, 1.0)))
    if abs(x) > 1e-6 * abs(z) or abs(y) > 1e-6 * abs(z):
        raise Unread("flat.lost_tilted")
    return Placement() if z > 0 else FLIPPED


def curves_of(record: Record, placed: Placement, *, layer: str, tolerance: float) -> tuple[Curve, ...]:
    """The lines and arcs that an entity draws.

    Args:
        record: LINE, ARC, CIRCLE, ELLIPSE, SPLINE, LWPOLYLINE or POLYLINE.
        placed: where its block lies, and the file's unit.
        layer: that it counts to.
        tolerance: how far chords may lie from a free curve, in placed units.
    Returns: curves from end to end.
    Raises: ValueError: a number is missing or none. Unread: it draws nothing that can be used.
    """
    match record.kind:
        case "LINE":
            ends = ((record.number(10), record.number(20)), (record.number(11), record.number(21)))
            return (Curve(placed.at(ends[0]), placed.at(ends[1]), layer=layer),)
        case "CIRCLE" | "ARC":
            return round_curves(record, placed.after(facing(record)), layer=layer, tolerance=tolerance)
        case "ELLIPSE":
            return ellipse_curves(record, placed, layer=layer, tolerance=tolerance)
        case "SPLINE":
            return spline_curves(record, placed, layer=layer, tolerance=tolerance)
        case _:
            return polyline_curves(record, placed, layer=layer, tolerance=tolerance)


def round_curves(record: Record, placed: Placement, *, layer: str, tolerance: float) -> tuple[Curve, ...]:
    """A circle or an arc."""
    centre, radius = (record.number(10), record.number(20)), record.number(40)
    if radius <= 0:
        raise Unread("flat.lost_degenerate")
    first, last = 0.0, 360.0
    if record.kind == "ARC":
        first, last = record.number(50), record.number(51)
        if first == last:
            raise Unread("flat.lost_degenerate")
        last = first + ((last - first) % 360.0 or 360.0)
    sweep = (math.radians(first), math.radians(last))
    return conic(placed, centre, (radius, 0.0), (0.0, radius), sweep, layer=layer, tolerance=tolerance)


def ellipse_curves(record: Record, placed: Placement, *, layer: str, tolerance: float) -> tuple[Curve, ...]:
    """An ellipse or a stretch of one; a circle where its axes are equal."""
    side = 1.0 if facing(record) is not FLIPPED else -1.0
    centre, u, ratio = (record.number(10), record.number(20)), (record.number(11), record.number(21)), record.number(40)
    if math.hypot(*u) <= 0 or abs(ratio) < 1e-9:
        raise Unread("flat.lost_degenerate")
    v = -side * ratio * u[1], side * ratio * u[0]
    first, last = record.number(41, 0.0), record.number(42, 2 * math.pi)
    if first == last:
        raise Unread("flat.lost_degenerate")
    turn = (last - first) % (2 * math.pi)
    turn = 2 * math.pi if turn < 1e-9 or turn > 2 * math.pi - 1e-9 else turn
    return conic(placed, centre, u, v, (first, first + turn), layer=layer, tolerance=tolerance)


def conic(
    placed: Placement, centre: Vec2, u: Vec2, v: Vec2, sweep: tuple[float, float], *, layer: str, tolerance: float
) -> tuple[Curve, ...]:
    """centre + u cos t + v sin t over a sweep of t, placed."""
    centre, u, v = placed.at(centre), placed.way(u), placed.way(v)
    long, other = math.hypot(*u), math.hypot(*v)
    first, last = sweep

    def at(t: float) -> Vec2:
        return (
            centre[0] + u[0] * math.cos(t) + v[0] * math.sin(t),
            centre[1] + u[1] * math.cos(t) + v[1] * math.sin(t),
        )

    whole = last - first > 2 * math.pi - 1e-9
    if abs(long - other) <= SQUARE * long and abs(u[0] * v[0] + u[1] * v[1]) <= SQUARE * long * other:
        turn = math.copysign(min(last - first, 2 * math.pi), cross(u, v))
        return (Curve(at(first), at(first) if whole else at(last), centre, turn, layer),)
    if abs(cross(u, v)) < 1e-12 * long * max(long, other):
        raise Unread("flat.lost_degenerate")
    n = max(8, steps_of(max(long, other), last - first, tolerance))
    points = [at(first + (last - first) * k / n) for k in range(n + 1)]
    if whole:
        points[-1] = points[0]
    return tuple(Curve(a, b, layer=layer, made="chord") for a, b in pairwise(points))


def polyline_curves(record: Record, placed: Placement, *, layer: str, tolerance: float) -> tuple[Curve, ...]:
    """A polyline of either kind, its bulges as arcs; fitted curves come with their own vertices."""
    flags = int(record.number(70, 0))
    if record.kind == "POLYLINE":
        if flags & (16 | 64):
            raise Unread("flat.lost_mesh")
        placed = placed if flags & 8 else placed.after(facing(record))
        # 16 marks the control points of a fitted curve, which is not what is cut.
        seen = [v for v in record.children if v.kind == "VERTEX" and not int(v.number(70, 0)) & 16]
        vertices = [((v.number(10), v.number(20)), v.number(42, 0.0)) for v in seen]
    else:
        placed = placed.after(facing(record))
        vertices = light_vertices(record)
    if flags & 1 and len(vertices) > 1:
        vertices = [*vertices, (vertices[0][0], 0.0)]
    curves: list[Curve] = []
    for (a, bulge), (b, _) in pairwise(vertices):
        piece = arc_through(a, b, bulge, layer)
        if math.dist(a, b) == 0.0:
            continue
        if piece.centre is None:
            curves.append(Curve(placed.at(a), placed.at(b), layer=layer))
            continue
        r, (cx, cy) = piece.radius, piece.centre
        sweep = (piece.angle, piece.angle + abs(piece.turn_rad))
        v = (0.0, math.copysign(r, piece.turn_rad))
        if piece.turn_rad < 0:  # run the other way round, by a mirrored half axis
            sweep = (-piece.angle, -piece.angle + abs(piece.turn_rad))
        placed_arc = conic(placed, (cx, cy), (r, 0.0), v, sweep, layer=layer, tolerance=tolerance)
        curves.extend(with_ends(placed_arc, placed.at(a), placed.at(b)))
    if not curves:
        raise Unread("flat.lost_degenerate")
    return tuple(curves)


def with_ends(curves: tuple[Curve, ...], start: Vec2, end: Vec2) -> tuple[Curve, ...]:
    """Arcs that begin and end exactly where the vertices stand."""
    curves = (replace(curves[0], start=start), *curves[1:])
    return (*curves[:-1], replace(curves[-1], end=end))


def light_vertices(record: Record) -> list[tuple[Vec2, float]]:
    """Vertices of a light polyline with their bulges, which follow the vertex that they belong to."""
    xs: list[list[float]] = []
    for code, value, _ in record.tags:
        if code == 10:
            xs.append([float(value), math.nan, 0.0])
        elif code in (20, 42) and xs:
            xs[-1][1 if code == 20 else 2] = float(value)
    if len(record.numbers(10)) != len(record.numbers(20)) or any(math.isnan(y) for _, y, _ in xs):
        raise ValueError(f"line {record.line}: {record.kind} has a vertex without its y")
    if not all(math.isfinite(bulge) for bulge in record.numbers(42)):
        raise ValueError(f"line {record.line}: {record.kind} has a bulge that is no number")
    return [((x, y), bulge) for x, y, bulge in xs]


def spline_curves(record: Record, placed: Placement, *, layer: str, tolerance: float) -> tuple[Curve, ...]:
    """A spline: the line or arc that it is within the tolerance, else chords."""
    points = np.array([placed.at((float(x), float(y))) for x, y in spline_points(record, placed, tolerance)])
    step = np.linalg.norm(np.diff(points, axis=0), axis=1)
    points = points[np.concatenate([[True], step > 0])]
    if len(points) < 2:
        raise Unread("flat.lost_degenerate")
    ends = tuple((float(x), float(y)) for x, y in points)
    if straight(points, tolerance):
        return (Curve(ends[0], ends[-1], layer=layer),)
    arc = arc_of(points, tolerance)
    if arc is not None:
        return (Curve(ends[0], ends[0] if arc.closed else ends[-1], arc.centre, arc.turn_rad, layer),)
    return tuple(Curve(a, b, layer=layer, made="chord") for a, b in pairwise(ends))


def spline_points(record: Record, placed: Placement, tolerance: float) -> Points:
    """(n, 2) points on a spline, close enough together. Raises: ValueError: knots and control points do not fit."""
    from scipy.interpolate import BSpline

    degree = int(record.number(71, 3))
    control = (
        np.column_stack([record.numbers(10), record.numbers(20)]) if same_count(record, 10, 20) else np.zeros((0, 2))
    )
    knots, weights = np.array(record.numbers(40)), np.array(record.numbers(41))
    if not len(control):
        return fitted_points(record)
    if not 1 <= degree <= 25 or len(control) <= degree or len(control) > MOST_SPANS:
        raise ValueError(f"line {record.line}: a spline of degree {degree} with {len(control)} control points")
    if len(knots) != len(control) + degree + 1:
        want = len(control) + degree + 1
        raise ValueError(f"line {record.line}: a spline needs {want} knots and has {len(knots)}")
    if np.any(np.diff(knots) < 0) or knots[degree] >= knots[len(control)]:
        raise ValueError(f"line {record.line}: a spline's knots do not rise")
    weights = weights if len(weights) == len(control) else np.ones(len(control))
    if np.any(weights <= 0):
        raise ValueError(f"line {record.line}: a spline's weight is not above zero")
    curve = BSpline(knots, np.column_stack([control * weights[:, None], weights]), degree)
    spans = np.unique(knots[degree : len(control) + 1])
    scale = max(math.hypot(placed.a, placed.b), math.hypot(placed.c, placed.d), 1e-12)
    points = np.zeros((0, 2))
    for halvings in range(2, MOST_HALVINGS):
        n = 2**halvings
        if n * len(spans) > MOST_POINTS:
            break
        at = np.append((spans[:-1, None] + np.diff(spans)[:, None] * np.arange(n) / n).ravel(), spans[-1])
        raised = curve(at)
        points = raised[:, :2] / raised[:, 2:]
        middle = (points[:-2:2] + points[2::2]) / 2
        if float(np.linalg.norm(points[1::2] - middle, axis=1).max()) * scale < tolerance:
            return points[::2] if degree > 1 else points[::n]
    return points


def same_count(record: Record, x: int, y: int) -> bool:
    """Whether a record has points of these codes. Raises: ValueError: an x without its y."""
    many = len(record.numbers(x))
    if many != len(record.numbers(y)):
        raise ValueError(f"line {record.line}: {record.kind} has a point without its y")
    return many > 0


def fitted_points(record: Record) -> Points:
    """(n, 2) points of a smooth curve through a spline's fit points, where it has no control points."""
    from scipy.interpolate import CubicSpline

    if not same_count(record, 11, 21):
        raise ValueError(f"line {record.line}: a spline without points")
    points = np.column_stack([record.numbers(11), record.numbers(21)])
    along = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(points, axis=0), axis=1))])
    if len(points) < 3 or len(points) > MOST_SPANS or np.any(np.diff(along) <= 0):
        return points
    whole = bool(int(record.number(70, 0)) & 1) and bool(np.all(points[0] == points[-1]))
    curve = CubicSpline(along, points, bc_type="periodic" if whole else "natural")
    return curve(np.interp(np.arange(16 * (len(points) - 1) + 1) / 16, np.arange(len(points)), along))
