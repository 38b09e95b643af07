"""The faces of a shape as plain values: surface, which way out of the material, how far it reaches."""

# The kernel's binding has no types; they stop at this package.
# pyright: reportAttributeAccessIssue=false, reportUnknownParameterType=false

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from OCP.BRepAdaptor import BRepAdaptor_Surface
from OCP.BRepGProp import BRepGProp
from OCP.GeomAbs import GeomAbs_SurfaceType
from OCP.gp import gp_Pnt, gp_Pnt2d, gp_Vec
from OCP.GProp import GProp_GProps
from OCP.IntTools import IntTools_FClass2d
from OCP.TopAbs import TopAbs_Orientation, TopAbs_State
from OCP.TopoDS import TopoDS_Face

from steadyrest.part.solid.kernel.rims import Rims
from steadyrest.part.solid.kernel.sound_shape import INTEGRATION
from steadyrest.part.solid.kernel.surfaces import surface_of, tolerance_mm, xyz
from steadyrest.part.solid.recognise import recognised
from steadyrest.part.solid.surface import FREE, Surface
from steadyrest.shop.part import Vec3

GRID = 9
STRAIGHT = ("plane", "cylinder", "cone")
SIMPLE = (
    GeomAbs_SurfaceType.GeomAbs_Plane, GeomAbs_SurfaceType.GeomAbs_Cylinder, GeomAbs_SurfaceType.GeomAbs_Cone,
)  # fmt: skip

FloatArray = npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Face:
    """A face: its surface, and (m, 3) points of it, rim included. turned_out: the outward normal leaves the axis."""

    surface: Surface
    normal: Vec3
    turned_out: bool
    area_mm2: float
    centre: Vec3
    points: FloatArray


def face_of(
    number: int, face: TopoDS_Face, adaptor: BRepAdaptor_Surface, rims: Rims, *, size_mm: float
) -> tuple[Face, bool]:
    """One face as plain values, and whether it is a simple one: flat or round, bounded by lines and circles."""
    surface = surface_of(face, adaptor, size_mm=size_mm)
    around, plain = rims.of(number, face)
    simple = plain and surface.kind in STRAIGHT and adaptor.GetType() in SIMPLE
    if surface.kind == "free":
        surface = recognised(*tangents(face, adaptor), tolerance_mm=tolerance_mm(size_mm)) or FREE
    properties = surface_properties(face, in_one_pass=simple)
    at, normal = inner_point(face, adaptor)
    # A plane, cylinder or cone reaches no farther than its rim; a ball's or ring's crest lies within it.
    inner = [] if surface.kind in STRAIGHT else [grid(face, adaptor)]
    points = np.vstack([around, *inner, at[None]])
    points.setflags(write=False)
    found = Face(
        surface=surface,
        normal=(float(normal[0]), float(normal[1]), float(normal[2])),
        turned_out=bool(normal @ away_from(surface, at) > 0),
        area_mm2=properties.Mass(),
        centre=xyz(properties.CentreOfMass()),
        points=points,
    )
    return found, simple


def surface_properties(face: TopoDS_Face, *, in_one_pass: bool) -> GProp_GProps:
    """Area and centre of a face; in one pass where it is a simple one."""
    found = GProp_GProps()
    if in_one_pass:
        BRepGProp.SurfaceProperties_s(face, found)
    else:
        BRepGProp.SurfaceProperties_s(face, found, INTEGRATION)
    return found


def away_from(surface: Surface, at: FloatArray) -> FloatArray:
    """The direction out of the middle of a surface (its axis, centre or tube) at a point on it."""
    offset = at - np.array(surface.point)
    axis = np.array(surface.axis)
    radial = offset - (offset @ axis) * axis
    match surface.kind:
        case "sphere":
            return offset
        case "torus":
            return offset - radial / max(float(np.linalg.norm(radial)), 1e-12) * surface.radius_mm
        case "plane":
            return axis
        case _:
            return radial


def normal_at(adaptor: BRepAdaptor_Surface, face: TopoDS_Face, u: float, v: float) -> FloatArray:
    """Unit normal out of the material; nought where the surface has none (a pole)."""
    point, du, dv = gp_Pnt(), gp_Vec(), gp_Vec()
    adaptor.D1(u, v, point, du, dv)
    cross = du.Crossed(dv)
    length = cross.Magnitude()
    if length < 1e-12:
        return np.zeros(3)
    length = -length if face.Orientation() == TopAbs_Orientation.TopAbs_REVERSED else length
    return np.array([cross.X() / length, cross.Y() / length, cross.Z() / length])


def bounds_of(adaptor: BRepAdaptor_Surface) -> tuple[float, float, float, float]:
    """From and to of both parameters of a face: the adaptor asked the rim for them when it was made."""
    return (
        adaptor.FirstUParameter(), adaptor.LastUParameter(), adaptor.FirstVParameter(), adaptor.LastVParameter(),
    )  # fmt: skip


def inner_point(face: TopoDS_Face, adaptor: BRepAdaptor_Surface) -> tuple[FloatArray, FloatArray]:
    """A point inside the face, and its outward normal there."""
    u0, u1, v0, v1 = bounds_of(adaptor)
    within = IntTools_FClass2d(face, 1e-9)
    u, v = (u0 + u1) / 2, (v0 + v1) / 2
    for i in range(1, 60):  # a low-discrepancy walk from the middle finds even a narrow frame
        if within.Perform(gp_Pnt2d(u, v)) == TopAbs_State.TopAbs_IN:
            break
        u = u0 + (u1 - u0) * ((0.5 + 0.7548776662 * i) % 1)
        v = v0 + (v1 - v0) * ((0.5 + 0.5698402910 * i) % 1)
    return np.array(xyz(adaptor.Value(u, v))), normal_at(adaptor, face, u, v)


def tangents(face: TopoDS_Face, adaptor: BRepAdaptor_Surface) -> tuple[FloatArray, FloatArray]:
    """(m, 3) points within a face on a grid of its parameters, and (m, 3) unit normals there."""
    u0, u1, v0, v1 = bounds_of(adaptor)
    within = IntTools_FClass2d(face, 1e-9)
    points: list[Vec3] = []
    normals: list[FloatArray] = []
    for u in np.linspace(u0, u1, GRID):
        for v in np.linspace(v0, v1, GRID):
            if within.Perform(gp_Pnt2d(u, v)) != TopAbs_State.TopAbs_IN:
                continue
            normal = normal_at(adaptor, face, u, v)
            if normal.any():
                points.append(xyz(adaptor.Value(u, v)))
                normals.append(normal)
    return np.array(points).reshape(-1, 3), np.array(normals).reshape(-1, 3)


def grid(face: TopoDS_Face, adaptor: BRepAdaptor_Surface) -> FloatArray:
    """(m, 3) points of a curved face on a grid of its parameters, those outside of its rim left out."""
    u0, u1, v0, v1 = bounds_of(adaptor)
    within = IntTools_FClass2d(face, 1e-9)
    points = [
        xyz(adaptor.Value(u, v))
        for u in with_quarters(u0, u1)
        for v in with_quarters(v0, v1)
        if within.Perform(gp_Pnt2d(u, v)) != TopAbs_State.TopAbs_OUT
    ]
    return np.array(points).reshape(-1, 3)


def with_quarters(low: float, high: float) -> FloatArray:
    """Even steps, and the quarter turns between: a ring's crest lies on one."""
    quarter = math.pi / 2
    first, last = math.ceil(low / quarter), math.floor(high / quarter)
    quarters = [i * quarter for i in range(first, last + 1)] if last - first < 9 else []
    return np.unique(np.concatenate([np.linspace(low, high, GRID), quarters]))
