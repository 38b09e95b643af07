"""Bodies as a list of what is put on and taken off, each as a distance and as a solid, so that one drawing is both.

Own frame: z up. A prism or a round starts at `at` and goes `depth_mm` along `into`.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, hypot, pi, sin, sqrt

import numpy as np

Vec = tuple[float, float, float]
UP, DOWN = (0.0, 0.0, 1.0), (0.0, 0.0, -1.0)


@dataclass(frozen=True)
class Prism:
    """A block with rounded corners seen along `into`: a pocket, a slot (corner half its width), a plate."""

    at: Vec
    into: Vec
    along: Vec
    length_mm: float
    width_mm: float
    corner_mm: float
    depth_mm: float


@dataclass(frozen=True)
class Round:
    """A cylinder, or a cone where the two radii differ."""

    at: Vec
    into: Vec
    radius_mm: float
    end_radius_mm: float
    depth_mm: float


@dataclass(frozen=True)
class Hexagon:
    """A hexagonal bar."""

    at: Vec
    into: Vec
    along: Vec
    across_mm: float
    depth_mm: float


Piece = Prism | Round | Hexagon


@dataclass(frozen=True)
class Shape:
    """steps: ("+" or "-", piece) in order. low, high: a box that holds it all."""

    steps: tuple[tuple[str, Piece], ...]
    low: Vec
    high: Vec


def cylinder(at: Vec, into: Vec, diameter_mm: float, depth_mm: float) -> Round:
    return Round(at, into, diameter_mm / 2, diameter_mm / 2, depth_mm)


def distance_to(shape: Shape, edge_mm: float):
    """Signed distance f(points, reach), negative in the material; edges rounded by edge_mm."""

    def distance(points, reach_mm):
        del reach_mm
        d = np.full(len(points), 1e3)
        for sign, piece in shape.steps:
            if sign == "+":
                d = np.minimum(d, piece_distance(piece, points, edge_mm))
            else:
                d = without(d, piece_distance(piece, points, 0.0), edge_mm)
        return d

    return distance


def without(body, taken, edge_mm: float):
    """One body less another, the edge between them a quarter round."""
    sharp = np.maximum(body, -taken)
    a, b = np.maximum(body + edge_mm, 0.0), np.maximum(edge_mm - taken, 0.0)
    rounded = np.where((a > 0.0) | (b > 0.0), np.hypot(a, b) - edge_mm, sharp)
    return np.minimum(rounded, sharp + 0.3 * edge_mm)


def piece_distance(piece: Piece, points, edge_mm: float):
    into = np.array(piece.into)
    q = points - np.array(piece.at)
    t = q @ into
    if isinstance(piece, Round):
        rho = np.linalg.norm(q - np.outer(t, into), axis=1)
        if piece.radius_mm == piece.end_radius_mm:
            side = rho - piece.radius_mm
        else:
            slope = (piece.end_radius_mm - piece.radius_mm) / piece.depth_mm
            side = (rho - piece.radius_mm - slope * t) / sqrt(1 + slope * slope)
    else:
        along = np.array(piece.along)
        x, y = q @ along, q @ np.cross(into, along)
        if isinstance(piece, Prism):
            r = piece.corner_mm
            ax, ay = np.abs(x) - piece.length_mm / 2 + r, np.abs(y) - piece.width_mm / 2 + r
            side = np.hypot(np.maximum(ax, 0), np.maximum(ay, 0)) + np.minimum(np.maximum(ax, ay), 0) - r
        else:
            side = np.max([np.abs(x * cos(a) + y * sin(a)) for a in (0, pi / 3, 2 * pi / 3)], axis=0)
            side = side - piece.across_mm / 2
    ends = np.maximum(-t, t - piece.depth_mm)
    a, b = side + edge_mm, ends + edge_mm
    return np.hypot(np.maximum(a, 0), np.maximum(b, 0)) + np.minimum(np.maximum(a, b), 0) - edge_mm


def solid_of(shape: Shape):
    """The same as a solid of the kernel."""
    from OCP.BRepAlgoAPI import BRepAlgoAPI_Cut, BRepAlgoAPI_Fuse
    from OCP.ShapeUpgrade import ShapeUpgrade_UnifySameDomain

    body = None
    for sign, piece in shape.steps:
        made = piece_solid(piece)
        if body is None:
            body = made
        elif sign == "+":
            body = BRepAlgoAPI_Fuse(body, made).Shape()
        else:
            body = BRepAlgoAPI_Cut(body, made).Shape()
    unify = ShapeUpgrade_UnifySameDomain(body, True, True, False)
    unify.Build()
    return unify.Shape()


def piece_solid(piece: Piece):
    from OCP.BRepPrimAPI import BRepPrimAPI_MakeCone, BRepPrimAPI_MakeCylinder
    from OCP.gp import gp_Ax2, gp_Dir, gp_Pnt

    if isinstance(piece, Round):
        frame = gp_Ax2(gp_Pnt(*piece.at), gp_Dir(*piece.into))
        if piece.radius_mm == piece.end_radius_mm:
            return BRepPrimAPI_MakeCylinder(frame, piece.radius_mm, piece.depth_mm).Shape()
        return BRepPrimAPI_MakeCone(frame, piece.radius_mm, piece.end_radius_mm, piece.depth_mm).Shape()
    return prism_solid(piece)


def prism_solid(piece: Prism | Hexagon):
    from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeEdge, BRepBuilderAPI_MakeFace, BRepBuilderAPI_MakeWire
    from OCP.BRepPrimAPI import BRepPrimAPI_MakePrism
    from OCP.GC import GC_MakeArcOfCircle
    from OCP.gp import gp_Pnt, gp_Vec

    at, into, along = (np.array(v) for v in (piece.at, piece.into, piece.along))
    beside = np.cross(into, along)

    def point(x, y):
        return gp_Pnt(*(at + x * along + y * beside))

    wire = BRepBuilderAPI_MakeWire()
    if isinstance(piece, Hexagon):
        r = piece.across_mm / sqrt(3)
        corners = [(r * cos(pi / 6 + k * pi / 3), r * sin(pi / 6 + k * pi / 3)) for k in range(6)]
        for a, b in zip(corners, [*corners[1:], corners[0]], strict=True):
            wire.Add(BRepBuilderAPI_MakeEdge(point(*a), point(*b)).Edge())
    else:
        lx, ly, r = piece.length_mm / 2, piece.width_mm / 2, piece.corner_mm
        ends = []
        for k, (sx, sy) in enumerate(((1, 1), (-1, 1), (-1, -1), (1, -1))):
            cx, cy, a0 = sx * (lx - r), sy * (ly - r), k * pi / 2
            ends.append([(cx + r * cos(a0 + s), cy + r * sin(a0 + s)) for s in (0, pi / 4, pi / 2)])
        for k, (a, m, b) in enumerate(ends):
            if r > 0:
                wire.Add(BRepBuilderAPI_MakeEdge(GC_MakeArcOfCircle(point(*a), point(*m), point(*b)).Value()).Edge())
            c = ends[(k + 1) % 4][0]
            if hypot(c[0] - b[0], c[1] - b[1]) > 1e-9:
                wire.Add(BRepBuilderAPI_MakeEdge(point(*b), point(*c)).Edge())
    face = BRepBuilderAPI_MakeFace(wire.Wire()).Face()
    return BRepPrimAPI_MakePrism(face, gp_Vec(*(piece.depth_mm * into))).Shape()
