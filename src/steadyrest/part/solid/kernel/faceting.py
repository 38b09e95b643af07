"""A STEP file's solids as triangles, in mm, where the file has them."""

# The kernel's binding has no types; they stop at this package.
# pyright: reportAttributeAccessIssue=false, reportUnknownParameterType=false

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import numpy.typing as npt
from OCP.BRep import BRep_Tool
from OCP.BRepMesh import BRepMesh_IncrementalMesh
from OCP.TopAbs import TopAbs_Orientation, TopAbs_ShapeEnum
from OCP.TopLoc import TopLoc_Location
from OCP.TopoDS import TopoDS, TopoDS_Shape

from steadyrest.part.solid.kernel.sound_shape import each, shape_in

FloatArray = npt.NDArray[np.float64]
IntArray = npt.NDArray[np.int64]
STEP_RAD = math.radians(10)


class NotFaceted(Exception):  # noqa: N818  an answer of the kernel's, worded by the caller
    """A surface that the kernel does not lay out in triangles."""


def faceted(
    data: bytes, *, body: int | None = None, within_mm: float, stop: Callable[[], bool]
) -> tuple[FloatArray, IntArray] | None:
    """The triangles of a STEP file's solids.

    Args:
        data: the whole file, its text already judged (files/step.py).
        body: which of several solids, from 1; None for all together.
        within_mm: how far a triangle may stand off its surface.
        stop: asked between stretches of work; True ends it.
    Returns: (n, 3) corners in mm and (m, 3) triangles, counter-clockwise seen from outside; None when the kernel cannot
        read it, or it holds no solid.
    Raises: InterruptedError: stop said so. NotSound: a solid that the kernel calls invalid, and cannot mend.
        NotFaceted: a surface that it does not lay out.
    """
    found = shape_in(data, body=body)
    if found is None:
        return None
    if stop():
        raise InterruptedError
    return facets_of(found.shape, within_mm=within_mm, turn_rad=STEP_RAD, stop=stop)


def facets_of(
    shape: TopoDS_Shape, *, within_mm: float, turn_rad: float, stop: Callable[[], bool]
) -> tuple[FloatArray, IntArray] | None:
    """The triangles of a shape.

    Args:
        shape: sound.
        within_mm: how far a triangle may stand off its surface.
        turn_rad: how far the surface may turn over one.
        stop: asked between faces; True ends it.
    Returns: as for faceted.
    Raises: InterruptedError, NotFaceted: as for faceted.
    """
    BRepMesh_IncrementalMesh(shape, within_mm, False, turn_rad, True)
    corners: list[FloatArray] = []
    faces: list[IntArray] = []
    count = 0
    for one in each(shape, TopAbs_ShapeEnum.TopAbs_FACE):
        if stop():
            raise InterruptedError
        face, place = TopoDS.Face(one), TopLoc_Location()
        net = BRep_Tool.Triangulation_s(face, place)
        if net is None:
            raise NotFaceted
        points = [net.Node(k) for k in range(1, net.NbNodes() + 1)]
        if not place.IsIdentity():
            move = place.Transformation()
            points = [point.Transformed(move) for point in points]
        corners.append(np.array([(p.X(), p.Y(), p.Z()) for p in points], dtype=np.float64))
        threes = np.array([net.Triangle(k).Get() for k in range(1, net.NbTriangles() + 1)], dtype=np.int64)
        if face.Orientation() == TopAbs_Orientation.TopAbs_REVERSED:
            threes = threes[:, ::-1]
        faces.append(threes - 1 + count)
        count += len(points)
    return (np.concatenate(corners), np.concatenate(faces)) if faces else None
