"""Where two faces meet, and how: over an outer edge, in an inner corner, or running on smoothly."""

# The kernel's binding has no types; they stop at this package.
# pyright: reportAttributeAccessIssue=false, reportUnknownParameterType=false

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from OCP.BRep import BRep_Tool
from OCP.BRepAdaptor import BRepAdaptor_Surface
from OCP.TopoDS import TopoDS_Edge, TopoDS_Face

from steadyrest.part.patch import JointKind
from steadyrest.part.solid.kernel.faces import SIMPLE, Face, normal_at
from steadyrest.part.solid.kernel.rims import Rims, runs_back

SMOOTH_RAD = math.radians(1.5)

FloatArray = npt.NDArray[np.float64]
IntArray = npt.NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class Edge:
    """Where two faces meet, by their places in the list of faces; half an edge with one face only is left out."""

    a: int
    b: int
    kind: JointKind
    angle_rad: float
    length_mm: float


@dataclass(frozen=True, slots=True)
class Shapes:
    """The faces of a body: the kernel's own, each with what knows its surface, and as plain values."""

    faces: Sequence[TopoDS_Face]
    adaptors: Sequence[BRepAdaptor_Surface]
    known: Sequence[Face]


def edges_of(shapes: Shapes, rims: Rims, *, stop: Callable[[], bool]) -> tuple[Edge, ...]:
    """Each edge that two different faces share.

    The first face leaves the edge along normal x tangent; where that runs below the second face's tangent plane, the
    edge is convex. The angle is the mean one between the outward normals along the edge.

    Args:
        shapes: the faces.
        rims: their edges, all of them gone through.
        stop: asked before the work; True ends it.
    Returns: in the order in which the edges were first met.
    Raises: InterruptedError: stop said so.
    """
    if stop():
        raise InterruptedError
    meeting = [
        (name, sides)
        for name, sides in rims.sides.items()
        if len(sides) == 2 and sides[0][0] != sides[1][0] and len(rims.courses[name].at)
    ]
    if not meeting:
        return ()
    courses = [rims.courses[name] for name, _ in meeting]
    there, along = np.array([c.there for c in courses]), np.array([c.along for c in courses])
    n, m = (
        normals(shapes, [sides[side] for _, sides in meeting], there, np.array([c.at for c in courses]))
        for side in (0, 1)
    )
    back = np.array([-1.0 if runs_back(sides[0][1]) else 1.0 for _, sides in meeting])
    turned = np.linalg.norm(np.cross(n, m), axis=2)
    angle = np.arctan2(turned, (n * m).sum(axis=2)).mean(axis=1)
    bend = (np.cross(n, along) * m).sum(axis=(1, 2)) * back
    return tuple(
        Edge(sides[0][0], sides[1][0], kind_of(turn, sense), turn, course.length_mm)
        for (_, sides), course, turn, sense in zip(meeting, courses, angle.tolist(), bend.tolist(), strict=True)
    )


def kind_of(angle_rad: float, bend: float) -> JointKind:
    return "smooth" if angle_rad < SMOOTH_RAD else "convex" if bend < 0 else "concave"


def normals(shapes: Shapes, sides: Sequence[tuple[int, TopoDS_Edge]], there: FloatArray, at: FloatArray) -> FloatArray:
    """(e, k, 3) outward normals of the face at one side of each edge, at (e, k, 3) points, (e, k) of its parameters.

    A plane's, cylinder's or cone's follows from its figures, for all edges at once; the kernel is asked for the rest.
    """
    number = np.array([face for face, _ in sides])
    found = straight_normals(shapes.known, number, there)
    simple = [adaptor.GetType() in SIMPLE for adaptor in shapes.adaptors]
    for row, (face, edge) in enumerate(sides):
        if simple[face]:
            continue
        curve = BRep_Tool.CurveOnSurface_s(edge, shapes.faces[face], 0.0, 0.0)
        for column, t in enumerate(at[row].tolist()):
            uv = curve.Value(t)
            found[row, column] = normal_at(shapes.adaptors[face], shapes.faces[face], uv.X(), uv.Y())
    return found


def straight_normals(known: Sequence[Face], number: IntArray, there: FloatArray) -> FloatArray:
    """(e, k, 3) outward normals of planes, cylinders and cones; of any other face they mean nothing.

    Args:
        known: the faces.
        number: (e,) which face.
        there: (e, k, 3) points on it.
    """
    flat = np.array([face.surface.kind == "plane" for face in known])[number]
    out = np.array([1.0 if face.turned_out else -1.0 for face in known])[number]
    half = np.array([face.surface.half_angle_rad for face in known])[number]
    point = np.array([face.surface.point for face in known])[number][:, None]
    axis = np.array([face.surface.axis for face in known])[number][:, None]
    plain = np.array([face.normal for face in known])[number][:, None]
    offset = there - point
    radial = offset - (offset * axis).sum(axis=2, keepdims=True) * axis
    radial /= np.maximum(np.linalg.norm(radial, axis=2, keepdims=True), 1e-12)
    # A cone's axis runs from its apex into it, so its normal leans back by the half angle.
    leaned = radial * np.cos(half)[:, None, None] - axis * np.sin(half)[:, None, None]
    return np.where(flat[:, None, None], plain, leaned * out[:, None, None])
