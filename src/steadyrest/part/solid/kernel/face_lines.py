"""The lines round the largest flat face of a solid, as lines and arcs in its plane."""

# The kernel's binding has no types; they stop at this package.
# pyright: reportAttributeAccessIssue=false, reportUnknownParameterType=false

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import numpy.typing as npt
from OCP.BRepAdaptor import BRepAdaptor_Curve, BRepAdaptor_Surface
from OCP.BRepGProp import BRepGProp
from OCP.BRepTools import BRepTools, BRepTools_WireExplorer
from OCP.GeomAbs import GeomAbs_CurveType, GeomAbs_SurfaceType
from OCP.GProp import GProp_GProps
from OCP.TopAbs import TopAbs_Orientation, TopAbs_ShapeEnum
from OCP.TopExp import TopExp_Explorer
from OCP.TopoDS import TopoDS, TopoDS_Face, TopoDS_Shape, TopoDS_Wire

from steadyrest.shop.part import Edge, Outline, Vec2

FloatArray = npt.NDArray[np.float64]
SQUARE = 1 - 1e-9
CHORDS = 24  # for an edge that is neither a line nor an arc


def face_lines(solid: TopoDS_Shape) -> tuple[tuple[Outline, ...], tuple[int, int]]:
    """The outside and the cut-outs of the largest flat face that stands square to an axis.

    Args:
        solid: in its own directions.
    Returns: closed lines, the outside first, seen from the side that the face looks to, and which of the solid's axes
        run to the right and up in them; none, and the first two, without such a face.
    """
    best: tuple[float, TopoDS_Face, FloatArray] | None = None
    explorer = TopExp_Explorer(solid, TopAbs_ShapeEnum.TopAbs_FACE)
    while explorer.More():
        face = TopoDS.Face(explorer.Current())
        explorer.Next()
        surface = BRepAdaptor_Surface(face)
        if surface.GetType() != GeomAbs_SurfaceType.GeomAbs_Plane:
            continue
        way = surface.Plane().Axis().Direction()
        normal = np.array([way.X(), way.Y(), way.Z()])
        if face.Orientation() == TopAbs_Orientation.TopAbs_REVERSED:
            normal = -normal
        found = GProp_GProps()
        BRepGProp.SurfaceProperties_s(face, found)
        area = found.Mass()
        if np.abs(normal).max() > SQUARE and (best is None or area > best[0] * (1 + 1e-9)):
            best = (area, face, normal)
    if best is None:
        return (), (0, 1)
    _, face, normal = best
    k = int(np.argmax(np.abs(normal)))
    across = ((k + 1) % 3, (k + 2) % 3) if normal[k] > 0 else ((k + 2) % 3, (k + 1) % 3)
    outer = BRepTools.OuterWire_s(face)
    lines = [Outline(edges_of(outer, face, across), inside=False, body=0)]
    wires = TopExp_Explorer(face, TopAbs_ShapeEnum.TopAbs_WIRE)
    while wires.More():
        wire = TopoDS.Wire(wires.Current())
        wires.Next()
        if not wire.IsSame(outer):
            lines.append(Outline(edges_of(wire, face, across), inside=True, body=0))
    return tuple(lines), across


def edges_of(wire: TopoDS_Wire, face: TopoDS_Face, across: tuple[int, int]) -> tuple[Edge, ...]:
    """A wire's edges one after another, in the plane."""
    edges: list[Edge] = []
    walk = BRepTools_WireExplorer(wire, face)
    while walk.More():
        curve = BRepAdaptor_Curve(walk.Current())
        first, last = curve.FirstParameter(), curve.LastParameter()
        if walk.Current().Orientation() == TopAbs_Orientation.TopAbs_REVERSED:
            first, last = last, first
        walk.Next()
        edges += pieces(curve, first, last, across)
    return tuple(edges)


def pieces(curve: BRepAdaptor_Curve, first: float, last: float, across: tuple[int, int]) -> list[Edge]:
    """One edge as a line, an arc, or chords."""

    def at(parameter: float) -> Vec2:
        point = curve.Value(parameter)
        xyz = (point.X(), point.Y(), point.Z())
        return xyz[across[0]], xyz[across[1]]

    start, end = at(first), at(last)
    if curve.GetType() == GeomAbs_CurveType.GeomAbs_Line:
        return [Edge(start, end)]
    if curve.GetType() == GeomAbs_CurveType.GeomAbs_Circle:
        location = curve.Circle().Location()
        xyz = (location.X(), location.Y(), location.Z())
        centre = (xyz[across[0]], xyz[across[1]])
        middle = at((first + last) / 2)
        turn = (start[0] - centre[0]) * (middle[1] - centre[1]) - (start[1] - centre[1]) * (middle[0] - centre[0])
        ahead = at(first + 0.01 * (last - first))  # a half turn's middle lies straight across
        small = (start[0] - centre[0]) * (ahead[1] - centre[1]) - (start[1] - centre[1]) * (ahead[0] - centre[0])
        left = (small if abs(turn) < 1e-9 or abs(last - first) > math.pi else turn) > 0
        return [Edge(start, end, centre, abs(last - first) * (1 if left else -1))]
    points = [at(first + (last - first) * i / CHORDS) for i in range(CHORDS + 1)]
    return [Edge(a, b) for a, b in pairwise(points)]
