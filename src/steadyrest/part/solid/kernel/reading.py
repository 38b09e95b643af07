"""A STEP file's bytes as faces and edges in mm."""

# The kernel's binding has no types; they stop at this package.
# pyright: reportAttributeAccessIssue=false, reportUnknownParameterType=false

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt
from OCP.Bnd import Bnd_Box
from OCP.BRepAdaptor import BRepAdaptor_Surface
from OCP.BRepBndLib import BRepBndLib
from OCP.collections import (
    IndexedMap_TopoDS_Shape_TopTools_ShapeMapHasher as ShapeMap,
)
from OCP.TopAbs import TopAbs_ShapeEnum
from OCP.TopExp import TopExp
from OCP.TopoDS import TopoDS, TopoDS_Shape

from steadyrest.part.solid.kernel.faces import Face, face_of
from steadyrest.part.solid.kernel.meetings import Edge, Shapes, edges_of
from steadyrest.part.solid.kernel.rims import Rims
from steadyrest.part.solid.kernel.sound_shape import ShapeIn, shape_in, volume_of
from steadyrest.part.solid.kernel.surfaces import xyz
from steadyrest.shop.part import MassProperties, Vec3

# Coarse triangles stand off by a part of a cell (part/triangles/solid_grid.py), a hole's rim turns by so much a corner.
COARSE_SHARE = 0.0005
COARSE_RAD = math.radians(30)


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
    found = body_of(seen, progress=progress, stop=stop)
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


def solid_seen(solid: TopoDS_Shape) -> tuple[Vec3, float]:
    """The size of a solid's box, and its volume."""
    low, high = box_of(solid)
    volume = volume_of(solid, in_one_pass=False)
    return (high[0] - low[0], high[1] - low[1], high[2] - low[2]), volume.Mass()


def body_of(seen: ShapeIn, *, progress: Callable[[str, float], None], stop: Callable[[], bool]) -> Body:
    """Faces and edges of a shape, with its volume and box."""
    box_mm = box_of(seen.shape)
    size_mm = math.dist(*box_mm)
    found = ShapeMap()
    TopExp.MapShapes_s(seen.shape, TopAbs_ShapeEnum.TopAbs_FACE, found)
    total = found.Extent()
    shapes = [TopoDS.Face(found.FindKey(i)) for i in range(1, total + 1)]
    # One for each face: making one goes through all the face's edges, and a plate's top has hundreds.
    adaptors = [BRepAdaptor_Surface(face) for face in shapes]
    faces: list[Face] = []
    rims = Rims()
    all_simple = True
    for number, (face, adaptor) in enumerate(zip(shapes, adaptors, strict=True)):
        if number % 50 == 0:
            progress("faces", 0.2 + 0.6 * number / total)
            if stop():
                raise InterruptedError
        known, simple = face_of(number, face, adaptor, rims, size_mm=size_mm)
        faces.append(known)
        all_simple = all_simple and simple
    edges = edges_of(Shapes(shapes, adaptors, faces), rims, stop=stop)
    one_pass = seen.one_pass if seen.one_pass is not None and all_simple else None
    volume = one_pass or volume_of(seen.shape, in_one_pass=all_simple)
    tensor = volume.MatrixOfInertia()
    rows = [(tensor.Value(i, 1), tensor.Value(i, 2), tensor.Value(i, 3)) for i in (1, 2, 3)]
    return Body(
        faces=tuple(faces),
        edges=edges,
        solids=len(seen.solids),
        distinct_faces=total,
        volume_mm3=volume.Mass(),
        mass=MassProperties(volume.Mass(), xyz(volume.CentreOfMass()), (rows[0], rows[1], rows[2])),
        area_mm2=sum(face.area_mm2 for face in faces),
        box_mm=box_mm,
        mended=seen.mended,
    )


def box_of(shape: TopoDS_Shape) -> tuple[Vec3, Vec3]:
    box = Bnd_Box()
    BRepBndLib.AddOptimal_s(shape, box, False, False)
    return xyz(box.CornerMin()), xyz(box.CornerMax())
