"""The edges of a shape: where each runs and which way, each asked of the kernel once though two faces have it."""

# The kernel's binding has no types; they stop at this package.
# pyright: reportAttributeAccessIssue=false, reportUnknownParameterType=false

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from OCP.BRep import BRep_Tool
from OCP.BRepAdaptor import BRepAdaptor_Curve
from OCP.BRepGProp import BRepGProp
from OCP.collections import (
    IndexedMap_TopoDS_Shape_TopTools_ShapeMapHasher as ShapeMap,
)
from OCP.GeomAbs import GeomAbs_CurveType
from OCP.gp import gp_Circ, gp_Lin, gp_Pnt, gp_Vec
from OCP.GProp import GProp_GProps
from OCP.TopAbs import TopAbs_Orientation, TopAbs_ShapeEnum
from OCP.TopoDS import TopoDS, TopoDS_Edge, TopoDS_Face

from steadyrest.part.solid.kernel.sound_shape import each
from steadyrest.part.solid.kernel.surfaces import direction, xyz

ROUND_STEP_RAD = math.radians(5)
FREE_CURVE_STEPS = 48
# Where along an edge its two faces are compared: uneven, so that no symmetry hides a turn.
LOOKED_AT = np.array([0.23, 0.5, 0.71])

FloatArray = npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Course:
    """One edge. points: (m, 3) along it, a round one every five degrees. plain: a line or a circle, or no edge at all.

    at: the curve's parameters where its faces are compared; there: (k, 3) the points; along: (k, 3) unit directions.
    """

    points: FloatArray
    plain: bool
    length_mm: float
    at: FloatArray
    there: FloatArray
    along: FloatArray


NO_COURSE = Course(np.empty((0, 3)), True, 0.0, np.empty(0), np.empty((0, 3)), np.empty((0, 3)))


class Rims:
    """The edges of faces, by number."""

    def __init__(self) -> None:
        self._numbers = ShapeMap()
        self.courses: dict[int, Course] = {}
        self.sides: dict[int, list[tuple[int, TopoDS_Edge]]] = {}

    def of(self, number: int, face: TopoDS_Face) -> tuple[FloatArray, bool]:
        """(m, 3) points along the edges of a face; and whether all are lines and circles. number: the face's place."""
        stretches = [np.empty((0, 3))]
        all_plain = True
        for shape in each(face, TopAbs_ShapeEnum.TopAbs_EDGE):
            edge = TopoDS.Edge(shape)
            name = self._numbers.Add(edge)
            self.sides.setdefault(name, []).append((number, edge))
            course = self.courses.get(name)
            if course is None:
                course = self.courses[name] = course_of(edge)
            stretches.append(course.points)
            all_plain = all_plain and course.plain
        return np.concatenate(stretches), all_plain


def runs_back(edge: TopoDS_Edge) -> bool:
    """Whether a face goes along this edge against its curve."""
    return edge.Orientation() == TopAbs_Orientation.TopAbs_REVERSED


def course_of(edge: TopoDS_Edge) -> Course:
    """Where an edge runs."""
    if BRep_Tool.Degenerated_s(edge):
        return NO_COURSE
    curve = BRepAdaptor_Curve(edge)
    first, last = curve.FirstParameter(), curve.LastParameter()
    at = first + LOOKED_AT * (last - first)
    match curve.GetType():
        case GeomAbs_CurveType.GeomAbs_Line:
            return straight(curve.Line(), first, last, at)
        case GeomAbs_CurveType.GeomAbs_Circle:
            return circular(curve.Circle(), first, last, at)
        case _:
            return free(edge, curve, np.linspace(first, last, FREE_CURVE_STEPS + 1), at)


def straight(line: gp_Lin, first: float, last: float, at: FloatArray) -> Course:
    start, along = np.array(xyz(line.Location())), np.array(direction(line.Direction()))
    points = start + np.array([[first], [(first + last) / 2], [last]]) * along
    return Course(points, True, abs(last - first), at, start + at[:, None] * along, np.tile(along, (len(at), 1)))


def circular(circle: gp_Circ, first: float, last: float, at: FloatArray) -> Course:
    """One by one from the kernel its points would take as long as all the rest of a face."""
    place, radius = circle.Position(), circle.Radius()
    middle = np.array(xyz(place.Location()))
    frame = np.array([direction(place.XDirection()), direction(place.YDirection())])

    def turned(angle_rad: FloatArray) -> FloatArray:
        return np.column_stack([np.cos(angle_rad), np.sin(angle_rad)]) @ frame

    steps = max(2, math.ceil(abs(last - first) / ROUND_STEP_RAD))
    points = middle + radius * turned(np.linspace(first, last, steps + 1))
    return Course(
        points, True, radius * abs(last - first), at, middle + radius * turned(at), turned(at + math.pi / 2)
    )  # fmt: skip


def free(edge: TopoDS_Edge, curve: BRepAdaptor_Curve, steps: FloatArray, at: FloatArray) -> Course:
    properties = GProp_GProps()
    BRepGProp.LinearProperties_s(edge, properties)
    there, along = np.empty((len(at), 3)), np.zeros((len(at), 3))
    for n, t in enumerate(at.tolist()):
        point, tangent = gp_Pnt(), gp_Vec()
        curve.D1(t, point, tangent)
        there[n] = xyz(point)
        if tangent.Magnitude() > 1e-12:
            unit = tangent.Normalized()
            along[n] = unit.X(), unit.Y(), unit.Z()
    points = np.array([xyz(curve.Value(t)) for t in steps.tolist()])
    return Course(points, False, properties.Mass(), at, there, along)
