"""A STEP file's bytes as faces and edges in mm."""

# The kernel's binding has no types; they stop at this package.
# pyright: reportAttributeAccessIssue=false, reportUnknownParameterType=false

from __future__ import annotations

import io
import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

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
    DataMap_TCollection_AsciiString_TCollection_AsciiString as Settings,
)
from OCP.collections import (
    IndexedMap_TopoDS_Shape_TopTools_ShapeMapHasher as ShapeMap,
)
from OCP.GeomAbs import GeomAbs_CurveType, GeomAbs_SurfaceType
from OCP.GeomAdaptor import GeomAdaptor_Surface
from OCP.gp import gp_Circ, gp_Pnt, gp_Pnt2d, gp_Vec
from OCP.GProp import GProp_GProps
from OCP.IFSelect import IFSelect_ReturnStatus
from OCP.IntTools import IntTools_FClass2d
from OCP.ShapeBuild import ShapeBuild_ReShape
from OCP.ShapeFix import ShapeFix_Face, ShapeFix_Shape
from OCP.STEPControl import STEPControl_Reader
from OCP.TCollection import TCollection_AsciiString
from OCP.TopAbs import TopAbs_Orientation, TopAbs_ShapeEnum, TopAbs_State
from OCP.TopExp import TopExp, TopExp_Explorer
from OCP.TopLoc import TopLoc_Location
from OCP.TopoDS import TopoDS, TopoDS_Edge, TopoDS_Face, TopoDS_Shape

from steadyrest.part.patch import JointKind
from steadyrest.part.solid.kernel.quiet import be_quiet
from steadyrest.part.solid.kernel.surfaces import direction, surface_of, tolerance_mm, xyz
from steadyrest.part.solid.recognise import recognised
from steadyrest.part.solid.surface import FREE, Surface
from steadyrest.shop.part import MassProperties, Vec3

SMOOTH_RAD = math.radians(1.5)
ROUND_STEP_RAD = math.radians(5)
FREE_CURVE_STEPS = 48
GRID = 9
# Coarse triangles stand off by a part of a cell of part/solid_grid.py, and a hole's rim turns by so much a corner.
COARSE_SHARE = 0.0005
COARSE_RAD = math.radians(30)
# Relative error asked of areas and volumes. Without it the kernel integrates in one pass, which is exact to rounding
# where flats, cylinders and cones are bounded by lines and circles, and four times as fast; else 0.04 % off on a real
# block.
INTEGRATION = 1e-6
UNMENDED = ("FixFreeShellMode", "FixFreeFaceMode", "FixFreeWireMode", "FixSameParameterMode", "FixSolidMode")
STRAIGHT = ("plane", "cylinder", "cone")
SIMPLE = (
    GeomAbs_SurfaceType.GeomAbs_Plane, GeomAbs_SurfaceType.GeomAbs_Cylinder, GeomAbs_SurfaceType.GeomAbs_Cone,
)  # fmt: skip


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
    """What a STEP file holds. distinct_faces: of the whole file, each counted once, however often it is repeated.

    bodies: box and volume of each solid, where there are several.
    facets: (n, 3) corners in mm and (m, 3) triangles, where they were asked for and the kernel lays every face out.
    """

    faces: tuple[Face, ...]
    edges: tuple[Edge, ...]
    solids: int
    distinct_faces: int
    volume_mm3: float
    mass: MassProperties
    area_mm2: float
    box_mm: tuple[Vec3, Vec3]
    mended: bool
    bodies: tuple[tuple[Vec3, float], ...] = ()
    facets: tuple[npt.NDArray[np.float64], npt.NDArray[np.int64]] | None = None


class NoSuchSolid(Exception):  # noqa: N818  an answer, worded by the caller
    """The file holds fewer solids than were counted off; `there` says how many."""

    def __init__(self, there: int) -> None:
        super().__init__(there)
        self.there = there


class NotSound(Exception):  # noqa: N818  an answer of the kernel's, worded by the caller
    """The kernel says that a solid's surfaces do not close, cross or miss, and could not mend them."""


def read_body(
    data: bytes,
    *,
    body: int | None,
    facets: bool = False,
    many_bounds: bool = False,
    progress: Callable[[str, float], None],
    stop: Callable[[], bool],
) -> Body | None:
    """The solids of a STEP file, in mm by the file's own unit.

    Args:
        data: the whole file, its text already judged (files/step.py).
        body: which of several solids, from 1; None for all together.
        facets: lay it out in coarse triangles too.
        many_bounds: a face has so many rims that the kernel's own mending would take longer than all the rest.
        progress: told what is being done and how far it is, 0 to 1.
        stop: asked between stretches of work; True ends it.
    Returns: the body; None when the kernel cannot read it, or it holds no solid.
    Raises: InterruptedError: stop said so. NotSound: a solid that the kernel calls invalid, and cannot mend.
        NoSuchSolid: it holds fewer.
    """
    progress("reading the file", 0.0)
    seen = shape_in(data, body=body, many_bounds=many_bounds)
    if seen is None:
        return None
    found = body_of(seen.shape, solids=len(seen.solids), mended=seen.mended, progress=progress, stop=stop)
    several = tuple(map(solid_seen, seen.solids)) if len(seen.solids) > 1 else ()
    coarse = laid_out(seen.shape, COARSE_SHARE * math.dist(*found.box_mm), stop) if facets else None
    return replace(found, distinct_faces=seen.distinct_faces, bodies=several, facets=coarse)


def laid_out(
    shape: TopoDS_Shape, within_mm: float, stop: Callable[[], bool]
) -> tuple[npt.NDArray[np.float64], npt.NDArray[np.int64]] | None:
    """A shape's triangles; None where the kernel does not lay a face out."""
    from steadyrest.part.solid.kernel.faceting import NotFaceted, facets_of  # late: it builds on this module

    try:
        return facets_of(shape, within_mm=within_mm, turn_rad=COARSE_RAD, stop=stop)
    except NotFaceted:
        return None


@dataclass(frozen=True, slots=True)
class ShapeIn:
    """What a file holds. distinct_faces: of the whole file, each once. mended: the kernel had to."""

    shape: TopoDS_Shape
    solids: tuple[TopoDS_Shape, ...]
    distinct_faces: int
    mended: bool


def shape_in(data: bytes, *, body: int | None, many_bounds: bool = False) -> ShapeIn | None:
    """The sound shape in a STEP file.

    Args:
        data: the whole file, its text already judged.
        body: which of several solids, from 1; None for all together.
        many_bounds: as for read_body.
    Returns: the shape; None when the kernel cannot read it, or it holds no solid.
    Raises: NotSound, NoSuchSolid: as for read_body.
    """
    be_quiet()
    if many_bounds and body is None:
        shape = unmended(data)
        if shape is not None:
            return ShapeIn(shape, tuple(each(shape, TopAbs_ShapeEnum.TopAbs_SOLID)), distinct_faces(shape), False)
    shape = transferred(data, unmended=())
    solids = [] if shape is None else list(each(shape, TopAbs_ShapeEnum.TopAbs_SOLID))
    if shape is None or not solids:
        return None
    there = distinct_faces(shape)
    if body is not None:
        if not 1 <= body <= len(solids):
            raise NoSuchSolid(len(solids))
        shape = solids[body - 1]
        solids = [shape]
    mended = not BRepCheck_Analyzer(shape).IsValid()
    if mended:
        fixer = ShapeFix_Shape(shape)
        fixer.Perform()
        shape = fixer.Shape()
        if not BRepCheck_Analyzer(shape).IsValid():
            raise NotSound
    return ShapeIn(shape, tuple(solids), there, mended)


def transferred(data: bytes, *, unmended: Sequence[str]) -> TopoDS_Shape | None:
    """All that a file holds, as one shape; unmended: what the kernel shall not mend."""
    reader = STEPControl_Reader()
    if reader.ReadStream("part", io.BytesIO(data)) != IFSelect_ReturnStatus.IFSelect_RetDone:
        return None
    if unmended:  # after reading, which sets them all anew
        settings = Settings()
        for mode in unmended:
            settings.Bind(TCollection_AsciiString(f"FixShape.{mode}"), TCollection_AsciiString("0"))
        reader.SetShapeFixParameters(settings)
    return reader.OneShape() if reader.TransferRoots() and reader.NbShapes() else None


def unmended(data: bytes) -> TopoDS_Shape | None:
    """All that a file holds, only its curved faces given what the kernel wants; None where that is not sound.

    The kernel's mending of a flat goes through all its rims for each of them: three quarters of the time that a plate
    of 500 holes took. A flat needs none of it, as long as the whole is then found sound.
    """
    shape = transferred(data, unmended=UNMENDED)
    if shape is None or next(each(shape, TopAbs_ShapeEnum.TopAbs_SOLID), None) is None:
        return None
    found, mending = ShapeMap(), ShapeBuild_ReShape()
    TopExp.MapShapes_s(shape, TopAbs_ShapeEnum.TopAbs_FACE, found)
    for number in range(1, found.Extent() + 1):
        face = TopoDS.Face(found.FindKey(number))
        surface = BRep_Tool.Surface_s(face)
        if surface is None:
            return None
        if GeomAdaptor_Surface(surface).GetType() == GeomAbs_SurfaceType.GeomAbs_Plane:
            continue
        fixer = ShapeFix_Face(face)
        fixer.SetContext(mending)
        fixer.Perform()
    shape = mending.Apply(shape)
    return shape if BRepCheck_Analyzer(shape).IsValid() and volume_of(shape, in_one_pass=True).Mass() > 0 else None


def solid_seen(solid: TopoDS_Shape) -> tuple[Vec3, float]:
    """The size of a solid's box, and its volume."""
    low, high = box_of(solid)
    volume = volume_of(solid, in_one_pass=False)
    return (high[0] - low[0], high[1] - low[1], high[2] - low[2]), volume.Mass()


def volume_of(shape: TopoDS_Shape, *, in_one_pass: bool) -> GProp_GProps:
    """Volume, centre and inertia of a solid; in one pass where all its faces are simple ones."""
    found = GProp_GProps()
    if in_one_pass:
        BRepGProp.VolumeProperties_s(shape, found)
    else:
        BRepGProp.VolumeProperties_s(shape, found, INTEGRATION)
    return found


def surface_properties(face: TopoDS_Face, *, in_one_pass: bool) -> GProp_GProps:
    """Area and centre of a face; in one pass where it is a simple one."""
    found = GProp_GProps()
    if in_one_pass:
        BRepGProp.SurfaceProperties_s(face, found)
    else:
        BRepGProp.SurfaceProperties_s(face, found, INTEGRATION)
    return found


def distinct_faces(shape: TopoDS_Shape) -> int:
    """How many faces there are, each counted once, however often an assembly repeats it."""
    once = ShapeMap()
    for face in each(shape, TopAbs_ShapeEnum.TopAbs_FACE):
        once.Add(face.Located(TopLoc_Location()))
    return once.Extent()


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
    faces: list[Face] = []
    rims = Rims()
    all_simple = True
    for number, face in enumerate(shapes):
        if number % 50 == 0:
            progress("faces", 0.2 + 0.6 * number / total)
            if stop():
                raise InterruptedError
        known, simple = face_of(face, rims, size_mm=size_mm)
        faces.append(known)
        all_simple = all_simple and simple
    edges = tuple(edges_of(shapes, stop=stop))
    volume = volume_of(shape, in_one_pass=all_simple)
    tensor = volume.MatrixOfInertia()
    rows = [(tensor.Value(i, 1), tensor.Value(i, 2), tensor.Value(i, 3)) for i in (1, 2, 3)]
    return Body(
        faces=tuple(faces),
        edges=edges,
        solids=solids,
        distinct_faces=total,
        volume_mm3=volume.Mass(),
        mass=MassProperties(volume.Mass(), xyz(volume.CentreOfMass()), (rows[0], rows[1], rows[2])),
        area_mm2=sum(face.area_mm2 for face in faces),
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


def face_of(face: TopoDS_Face, rims: Rims, *, size_mm: float) -> tuple[Face, bool]:
    """One face as plain values, and whether it is a simple one: flat or round, bounded by lines and circles."""
    surface = surface_of(face, size_mm=size_mm)
    adaptor = BRepAdaptor_Surface(face)
    around, plain = rims.of(face)
    simple = plain and surface.kind in STRAIGHT and adaptor.GetType() in SIMPLE
    if surface.kind == "free":
        surface = recognised(*tangents(face, adaptor), tolerance_mm=tolerance_mm(size_mm)) or FREE
    properties = surface_properties(face, in_one_pass=simple)
    at, normal = inner_point(face, adaptor)
    # A plane, cylinder or cone reaches no farther than its rim; a ball's or ring's crest lies within it.
    inner = [] if surface.kind in STRAIGHT else [grid(face, adaptor)]
    points = np.vstack([around, *inner, at[None]])
    points.setflags(write=False)
    n = (float(normal[0]), float(normal[1]), float(normal[2]))
    found = Face(
        surface=surface,
        normal=n,
        turned_out=bool(normal @ away_from(surface, at) > 0),
        area_mm2=properties.Mass(),
        centre=xyz(properties.CentreOfMass()),
        points=points,
    )
    return found, simple


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


def normal_vector(adaptor: BRepAdaptor_Surface, face: TopoDS_Face, u: float, v: float) -> gp_Vec:
    """Unit normal out of the material; zero where the surface has none (a pole)."""
    point, du, dv = gp_Pnt(), gp_Vec(), gp_Vec()
    adaptor.D1(u, v, point, du, dv)
    cross = du.Crossed(dv)
    length = cross.Magnitude()
    if length < 1e-12:
        return gp_Vec()
    return cross.Divided(-length if face.Orientation() == TopAbs_Orientation.TopAbs_REVERSED else length)


def normal_at(adaptor: BRepAdaptor_Surface, face: TopoDS_Face, u: float, v: float) -> npt.NDArray[np.float64]:
    """The same as an array."""
    normal = normal_vector(adaptor, face, u, v)
    return np.array([normal.X(), normal.Y(), normal.Z()])


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


class Rims:
    """Points along edges, each edge asked of the kernel once though two faces have it."""

    def __init__(self) -> None:
        self._numbers = ShapeMap()
        self._known: dict[int, tuple[npt.NDArray[np.float64], bool]] = {}

    def of(self, face: TopoDS_Face) -> tuple[npt.NDArray[np.float64], bool]:
        """(m, 3) points along the edges of a face; and whether all are lines and circles."""
        stretches = [np.empty((0, 3))]
        all_plain = True
        for edge in each(face, TopAbs_ShapeEnum.TopAbs_EDGE):
            number = self._numbers.Add(edge)
            if number not in self._known:
                self._known[number] = along_edge(TopoDS.Edge(edge))
            points, plain = self._known[number]
            stretches.append(points)
            all_plain = all_plain and plain
        return np.concatenate(stretches), all_plain


def along_edge(edge: TopoDS_Edge) -> tuple[npt.NDArray[np.float64], bool]:
    """(m, 3) points along an edge, a round one every five degrees; and whether it is a line or a circle, or no edge."""
    if BRep_Tool.Degenerated_s(edge):
        return np.empty((0, 3)), True
    curve = BRepAdaptor_Curve(edge)
    first, last = curve.FirstParameter(), curve.LastParameter()
    match curve.GetType():
        case GeomAbs_CurveType.GeomAbs_Line:
            return np.array([xyz(curve.Value(t)) for t in (first, (first + last) / 2, last)]), True
        case GeomAbs_CurveType.GeomAbs_Circle:
            steps = max(2, math.ceil(abs(last - first) / ROUND_STEP_RAD))
            return on_circle(curve.Circle(), np.linspace(first, last, steps + 1)), True
        case _:
            along = np.linspace(first, last, FREE_CURVE_STEPS + 1)
            return np.array([xyz(curve.Value(t)) for t in along]), False


def on_circle(circle: gp_Circ, angle_rad: npt.NDArray[np.float64]) -> npt.NDArray[np.float64]:
    """(m, 3) points of a circle: one by one from the kernel they would take as long as all the rest of a face."""
    place = circle.Position()
    turned = np.column_stack([np.cos(angle_rad), np.sin(angle_rad)]) * circle.Radius()
    frame = np.array([direction(place.XDirection()), direction(place.YDirection())])
    return np.array(xyz(place.Location())) + turned @ frame


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
        along = tangent.Normalized() if tangent.Magnitude() > 1e-12 else gp_Vec()
        angles.append(math.atan2(n.Crossed(m).Magnitude(), n.Dot(m)))
        bend += n.Crossed(along).Dot(m) * (-1 if back else 1)
    return sum(angles) / len(angles), bend


def edge_normal(edge: TopoDS_Edge, face: TopoDS_Face, adaptor: BRepAdaptor_Surface, t: float) -> gp_Vec:
    """Outward normal of a face at a parameter of one of its edges."""
    curve = BRep_Tool.CurveOnSurface_s(edge, face, 0.0, 0.0)
    at = curve.Value(t)
    return normal_vector(adaptor, face, at.X(), at.Y())
