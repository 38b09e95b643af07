"""The sound shape in a STEP file's bytes: brought in, mended where it must be, or refused."""

# The kernel's binding has no types; they stop at this package.
# pyright: reportAttributeAccessIssue=false, reportUnknownParameterType=false

from __future__ import annotations

import io
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from OCP.BRep import BRep_Tool
from OCP.BRepCheck import BRepCheck_Analyzer
from OCP.BRepGProp import BRepGProp
from OCP.collections import (
    DataMap_TCollection_AsciiString_TCollection_AsciiString as Settings,
)
from OCP.collections import (
    IndexedMap_TopoDS_Shape_TopTools_ShapeMapHasher as ShapeMap,
)
from OCP.GeomAbs import GeomAbs_SurfaceType
from OCP.GeomAdaptor import GeomAdaptor_Surface
from OCP.GProp import GProp_GProps
from OCP.IFSelect import IFSelect_ReturnStatus
from OCP.ShapeBuild import ShapeBuild_ReShape
from OCP.ShapeFix import ShapeFix_Face, ShapeFix_Shape
from OCP.STEPControl import STEPControl_Reader
from OCP.TCollection import TCollection_AsciiString
from OCP.TopAbs import TopAbs_ShapeEnum
from OCP.TopExp import TopExp, TopExp_Explorer
from OCP.TopLoc import TopLoc_Location
from OCP.TopoDS import TopoDS, TopoDS_Shape

from steadyrest.part.solid.kernel.quiet import be_quiet

# Relative error asked of areas and volumes. Without it the kernel integrates in one pass, which is exact to rounding
# where flats, cylinders and cones are bounded by lines and circles, and four times as fast; else 0.04 % off on a real
# block.
INTEGRATION = 1e-6
UNMENDED = ("FixFreeShellMode", "FixFreeFaceMode", "FixFreeWireMode", "FixSameParameterMode", "FixSolidMode")


class NoSuchSolid(Exception):  # noqa: N818  an answer, worded by the caller
    """The file holds fewer solids than were counted off; `there` says how many."""

    def __init__(self, there: int) -> None:
        super().__init__(there)
        self.there = there


class NotSound(Exception):  # noqa: N818  an answer of the kernel's, worded by the caller
    """The kernel says that a solid's surfaces do not close, cross or miss, and could not mend them."""


@dataclass(frozen=True, slots=True)
class ShapeIn:
    """What a file holds. distinct_faces: of the whole file, each once. mended: the kernel had to.

    one_pass: volume and the like, where they were wanted for the judgement already (`volume_of`, in one pass).
    """

    shape: TopoDS_Shape
    solids: tuple[TopoDS_Shape, ...]
    distinct_faces: int
    mended: bool
    one_pass: GProp_GProps | None = None


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
            volume = volume_of(shape, in_one_pass=True)
            if volume.Mass() > 0:
                solids = tuple(each(shape, TopAbs_ShapeEnum.TopAbs_SOLID))
                return ShapeIn(shape, solids, distinct_faces(shape), False, volume)
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
    return shape if BRepCheck_Analyzer(shape).IsValid() else None


def volume_of(shape: TopoDS_Shape, *, in_one_pass: bool) -> GProp_GProps:
    """Volume, centre and inertia of a solid; in one pass where all its faces are simple ones."""
    found = GProp_GProps()
    if in_one_pass:
        BRepGProp.VolumeProperties_s(shape, found)
    else:
        BRepGProp.VolumeProperties_s(shape, found, INTEGRATION)
    return found


def distinct_faces(shape: TopoDS_Shape) -> int:
    """How many faces there are, each counted once, however often an assembly repeats it."""
    once = ShapeMap()
    for face in each(shape, TopAbs_ShapeEnum.TopAbs_FACE):
        once.Add(face.Located(TopLoc_Location()))
    return once.Extent()


def each(shape: TopoDS_Shape, kind: TopAbs_ShapeEnum) -> Iterator[TopoDS_Shape]:
    explorer = TopExp_Explorer(shape, kind)
    while explorer.More():
        yield explorer.Current()
        explorer.Next()
