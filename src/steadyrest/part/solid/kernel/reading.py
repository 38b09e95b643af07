"""A STEP file's bytes as faces and edges in mm."""

# The kernel's binding has no types; they stop at this package.
# pyright: reportAttributeAccessIssue=false, reportUnknownParameterType=false

from __future__ import annotations

import io
import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from OCP.Bnd import Bnd_Box
from OCP.BRep import BRep_Tool
from OCP.BRepAdaptor import BRepAdaptor_Curve, BRepAdaptor_Surface
from OCP.BRepBndLib import BRepBndLib
from OCP.BRepCheck import BRepCheck_Analyzer
from OCP.BRepGProp import BRepGProp
from OCP.BRepTools import BRepTools
from OCP.collections import (
    IndexedMap_TopoDS_Shape_TopTools_ShapeMapHasher as ShapeMap,
)
from OCP.GeomAbs import GeomAbs_CurveType
from OCP.gp import gp_Pnt, gp_Pnt2d, gp_Vec
from OCP.GProp import GProp_GProps
from OCP.IFSelect import IFSelect_ReturnStatus
from OCP.IntTools import IntTools_FClass2d
from OCP.ShapeFix import ShapeFix_Shape
from OCP.STEPControl import STEPControl_Reader
from OCP.TopAbs import TopAbs_Orientation, TopAbs_ShapeEnum, TopAbs_State
from OCP.TopExp import TopExp, TopExp_Explorer
from OCP.TopLoc import TopLoc_Location
from OCP.TopoDS import TopoDS, TopoDS_Edge, TopoDS_Face, TopoDS_Shape

from steadyrest.part.patch import JointKind
from steadyrest.part.solid.kernel.quiet import be_quiet
from steadyrest.part.solid.kernel.surfaces import surface_of, tolerance_mm, xyz
from steadyrest.part.solid.recognise import recognised
from steadyrest.part.solid.surface import FREE, Surface
from steadyrest.shop.part import Vec3

SMOOTH_RAD = math.radians(1.5)
ROUND_STEP_RAD = math.radians(5)
FREE_CURVE_STEPS = 48
GRID = 9
# Relative error asked of areas and volumes. Without it the kernel integrates in one pass: 0.04 % off on a real block.
INTEGRATION = 1e-6


@dataclass(frozen=True, slots=True)
class Face:
    """A face: its surface, and (m, 3) points of it, rim included. turned_out: the outward normal leaves the axis."""

    surface: Surface
    normal: Vec3
    turned_out: bool
    area_mm2: float
    centre: Vec3
    points: npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Edge:
    """Where two faces meet, by their places in the list of faces; half an edge with one face only is left out."""

    a: int
    b: int
    kind: JointKind
    angle_rad: float
    length_mm: float


@dataclass(frozen=True, slots=True)
class Body:
    """What a STEP file holds. distinct_faces: each counted once, however often an assembly repeats it."""

    faces: tuple[Face, ...]
    edges: tuple[Edge, ...]
    solids: int
    distinct_faces: int
    volume_mm3: float
    area_mm2: float
    box_mm: tuple[Vec3, Vec3]
    mended: bool


class NotSound(Exception):  # noqa: N818  an answer of the kernel's, worded by the caller
    """The kernel says that a solid's surfaces do not close, cross or miss, and could not mend them."""


def read_body(data: bytes, *, progress: Callable[[str, float], None], stop: Callable[[], bool]) -> Body | None:
    """The solids of a STEP file, in mm by the file's own unit.

    Args:
        data: the whole file, its text already judged (files/step.py).
        progress: told what is being done and how far it is, 0 to 1.
        stop: asked between stretches of work; True ends it.
    Returns: the body; None when the kernel cannot read it, or it holds no solid.
    Raises: InterruptedError: stop said so. NotSound: a solid that the kernel calls invalid, and cannot mend.
    """
    be_quiet()
    reader = STEPControl_Reader()
    progress("reading the file", 0.0)
    if reader.ReadStream("part", io.BytesIO(data)) != IFSelect_ReturnStatus.IFSelect_RetDone:
        return None
    if reader.TransferRoots() == 0 or reader.NbShapes() == 0:
        return None
    shape = reader.OneShape()
    solids = sum(1 for _ in each(shape, TopAbs_ShapeEnum.TopAbs_SOLID))
    if solids == 0:
        return None
    mended = not BRepCheck_Analyzer(shape).IsValid()
    if mended:
        fixer = ShapeFix_Shape(shape)
        fixer.Perform()
        shape = fixer.Shape()
        if not BRepCheck_Analyzer(shape).IsValid():
            raise NotSound
    return body_of(shape, solids=solids, mended=mended, progress=progress, stop=stop)


def body_of(
    shape: TopoDS_Shape,
    *,
    solids: int,
    mended: bool,
    progress: Callable[[str, float], None],
    stop: Callable[[], bool],
) -> Body:
    """Faces and edges of a shape, with its volume and box."""
    box_mm = box_of(shape)
    size_mm = math.dist(*box_mm)
    found = ShapeMap()
    TopExp.MapShapes_s(shape, TopAbs_ShapeEnum.TopAbs_FACE, found)
    total = found.Extent()
    shapes = [TopoDS.Face(found.FindKey(i)) for i in range(1, total + 1)]
    once = ShapeMap()
    for face in shapes:
        once.Add(face.Located(TopLoc_Location()))
    faces: list[Face] = []
    for number, face in enumerate(shapes):
        if number % 50 == 0:
            progress("faces", 0.2 + 0.6 * number / total)
            if stop():
                raise InterruptedError
        faces.append(face_of(face, size_mm=size_mm))
    edges = tuple(edges_of(shapes, stop=stop))
    volume, area = GProp_GProps(), GProp_GProps()
    BRepGProp.VolumeProperties_s(shape, volume, INTEGRATION)
    BRepGProp.SurfaceProperties_s(shape, area, INTEGRATION)
    return Body(
        faces=tuple(faces),
        edges=edges,
        solids=solids,
        distinct_faces=once.Extent(),
        volume_mm3=volume.Mass(),
        area_mm2=area.Mass(),
        box_mm=box_mm,
        mended=mended,
    )


def box_of(shape: TopoDS_Shape) -> tuple[Vec3, Vec3]:
    box = Bnd_Box()
    BRepBndLib.AddOptimal_s(shape, box, False, False)
    return xyz(box.CornerMin()), xyz(box.CornerMax())


def each(shape: TopoDS_Shape, kind: TopAbs_ShapeEnum) -> Iterator[TopoDS_Shape]:
    explorer = TopExp_Explorer(shape, kind)
    while explorer.More():
        yield explorer.Current()
        explorer.Next()


def face_of(face: TopoDS_Face, *, size_mm: float) -> Face:
    """One face as plain values."""
    surface = surface_of(face, size_mm=size_mm)
    adaptor = BRepAdaptor_Surface(face)
    if surface.kind == "free":
        surface = recognised(*tangents(face, adaptor), tolerance_mm=tolerance_mm(size_mm)) or FREE
    properties = GProp_GProps()
    BRepGProp.SurfaceProperties_s(face, properties, INTEGRATION)
    at, normal = inner_point(face, adaptor)
    points = np.vstack([rim(face), *([] if surface.kind == "plane" else [grid(face, adaptor)]), at[None]])
    points.setflags(write=False)
    n = (float(normal[0]), float(normal[1]), float(normal[2]))
    return Face(
        surface=surface,
        normal=n,
        turned_out=bool(normal @ away_from(surface, at) > 0),
        area_mm2=properties.Mass(),
        centre=xyz(properties.CentreOfMass()),
        points=points,
    )


def away_from(surface: Surface, at: npt.NDArray[np.float64]) -> npt.NDArray[np.float64]:
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


def normal_at(adaptor: BRepAdaptor_Surface, face: TopoDS_Face, u: float, v: float) -> npt.NDArray[np.float64]:
    """Unit normal out of the material; zero where the surface has none (a pole)."""
    point, du, dv = gp_Pnt(), gp_Vec(), gp_Vec()
    adaptor.D1(u, v, point, du, dv)
    cross = du.Crossed(dv)
    normal = np.array([cross.X(), cross.Y(), cross.Z()])
    length = float(np.linalg.norm(normal))
    if length < 1e-12:
        return np.zeros(3)
    return normal / (-length if face.Orientation() == TopAbs_Orientation.TopAbs_REVERSED else length)


def inner_point(
    face: TopoDS_Face, adaptor: BRepAdaptor_Surface
) -> tuple[npt.NDArray[np.float64], npt.NDArray[np.float64]]:
    """A point inside the face, and its outward normal there."""
    u0, u1, v0, v1 = BRepTools.UVBounds_s(face)
    within = IntTools_FClass2d(face, 1e-9)
    u, v = (u0 + u1) / 2, (v0 + v1) / 2
    for i in range(1, 60):  # a low-discrepancy walk from the middle finds even a narrow frame
        if within.Perform(gp_Pnt2d(u, v)) == TopAbs_State.TopAbs_IN:
            break
        u = u0 + (u1 - u0) * ((0.5 + 0.7548776662 * i) % 1)
        v = v0 + (v1 - v0) * ((0.5 + 0.5698402910 * i) % 1)
    return np.array(xyz(adaptor.Value(u, v))), normal_at(adaptor, face, u, v)


def tangents(
    face: TopoDS_Face, adaptor: BRepAdaptor_Surface
) -> tuple[npt.NDArray[np.float64], npt.NDArray[np.float64]]:
    """(m, 3) points within a face on a grid of its parameters, and (m, 3) unit normals there."""
    u0, u1, v0, v1 = BRepTools.UVBounds_s(face)
    within = IntTools_FClass2d(face, 1e-9)
    points: list[Vec3] = []
    normals: list[npt.NDArray[np.float64]] = []
    for u in np.linspace(u0, u1, GRID):
        for v in np.linspace(v0, v1, GRID):
            if within.Perform(gp_Pnt2d(u, v)) != TopAbs_State.TopAbs_IN:
                continue
            normal = normal_at(adaptor, face, u, v)
            if normal.any():
                points.append(xyz(adaptor.Value(u, v)))
                normals.append(normal)
    return np.array(points).reshape(-1, 3), np.array(normals).reshape(-1, 3)


def grid(face: TopoDS_Face, adaptor: BRepAdaptor_Surface) -> npt.NDArray[np.float64]:
    """(m, 3) points of a curved face on a grid of its parameters, those outside of its rim left out."""
    u0, u1, v0, v1 = BRepTools.UVBounds_s(face)
    within = IntTools_FClass2d(face, 1e-9)
    points = [
        xyz(adaptor.Value(u, v))
        for u in with_quarters(u0, u1)
        for v in with_quarters(v0, v1)
        if within.Perform(gp_Pnt2d(u, v)) != TopAbs_State.TopAbs_OUT
    ]
    return np.array(points).reshape(-1, 3)


def with_quarters(low: float, high: float) -> npt.NDArray[np.float64]:
    """Even steps, and the quarter turns between: a ring's crest lies on one."""
    quarter = math.pi / 2
    first, last = math.ceil(low / quarter), math.floor(high / quarter)
    quarters = [i * quarter for i in range(first, last + 1)] if last - first < 9 else []
    return np.unique(np.concatenate([np.linspace(low, high, GRID), quarters]))


def rim(face: TopoDS_Face) -> npt.NDArray[np.float64]:
    """(m, 3) points along the edges of a face, round ones every five degrees."""
    points: list[Vec3] = []
    for shape in each(face, TopAbs_ShapeEnum.TopAbs_EDGE):
        edge = TopoDS.Edge(shape)
        if BRep_Tool.Degenerated_s(edge):
            continue
        curve = BRepAdaptor_Curve(edge)
        first, last = curve.FirstParameter(), curve.LastParameter()
        match curve.GetType():
            case GeomAbs_CurveType.GeomAbs_Line:
                steps = 2
            case GeomAbs_CurveType.GeomAbs_Circle:
                steps = max(2, math.ceil(abs(last - first) / ROUND_STEP_RAD))
            case _:
                steps = FREE_CURVE_STEPS
        points.extend(xyz(curve.Value(t)) for t in np.linspace(first, last, steps + 1))
    return np.array(points).reshape(-1, 3)


def edges_of(shapes: list[TopoDS_Face], *, stop: Callable[[], bool]) -> Iterator[Edge]:
    """Each edge that two different faces share."""
    edges = ShapeMap()
    sides: dict[int, list[tuple[int, TopoDS_Edge]]] = {}
    for number, face in enumerate(shapes):
        for shape in each(face, TopAbs_ShapeEnum.TopAbs_EDGE):
            edge = TopoDS.Edge(shape)
            sides.setdefault(edges.Add(edge), []).append((number, edge))
    if stop():
        raise InterruptedError
    # One for each face: making one goes through all the face's edges, and a plate's top has hundreds.
    surfaces = [BRepAdaptor_Surface(face) for face in shapes]
    for meeting in sides.values():
        if len(meeting) == 2 and meeting[0][0] != meeting[1][0] and not BRep_Tool.Degenerated_s(meeting[0][1]):
            (a, edge), (b, other) = meeting
            properties = GProp_GProps()
            BRepGProp.LinearProperties_s(edge, properties)
            angle, bend = meeting_angle((edge, shapes[a], surfaces[a]), (other, shapes[b], surfaces[b]))
            kind: JointKind = "smooth" if angle < SMOOTH_RAD else "convex" if bend < 0 else "concave"
            yield Edge(a, b, kind, angle, properties.Mass())


Side = tuple[TopoDS_Edge, TopoDS_Face, BRepAdaptor_Surface]


def meeting_angle(one: Side, other: Side) -> tuple[float, float]:
    """Mean angle between the outward normals along an edge, and its sense: below zero where the edge is convex.

    The first face leaves the edge along normal x tangent; where that runs below the second face's tangent plane, the
    edge is convex.
    """
    edge, curve = one[0], BRepAdaptor_Curve(one[0])
    first, last = curve.FirstParameter(), curve.LastParameter()
    back = edge.Orientation() == TopAbs_Orientation.TopAbs_REVERSED
    angles: list[float] = []
    bend = 0.0
    for share in (0.23, 0.5, 0.71):
        t = first + share * (last - first)
        n, m = edge_normal(*one, t), edge_normal(*other, t)
        point, tangent = gp_Pnt(), gp_Vec()
        curve.D1(t, point, tangent)
        along = np.array([tangent.X(), tangent.Y(), tangent.Z()]) * (-1 if back else 1)
        along = along / max(float(np.linalg.norm(along)), 1e-12)
        angles.append(math.atan2(float(np.linalg.norm(np.cross(n, m))), float(n @ m)))
        bend += float(np.cross(n, along) @ m)
    return sum(angles) / len(angles), bend


def edge_normal(
    edge: TopoDS_Edge, face: TopoDS_Face, adaptor: BRepAdaptor_Surface, t: float
) -> npt.NDArray[np.float64]:
    """Outward normal of a face at a parameter of one of its edges."""
    curve = BRep_Tool.CurveOnSurface_s(edge, face, 0.0, 0.0)
    at = curve.Value(t)
    return normal_at(adaptor, face, at.X(), at.Y())
