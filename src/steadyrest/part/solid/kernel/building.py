"""A turned solid from its line, with what else is cut from it, as a STEP file's bytes."""

# The kernel's binding has no types; they stop at this package.
# pyright: reportAttributeAccessIssue=false, reportUnknownParameterType=false

from __future__ import annotations

import io
import math
import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from OCP.BRepAlgoAPI import BRepAlgoAPI_Cut
from OCP.BRepBuilderAPI import (
    BRepBuilderAPI_MakeEdge,
    BRepBuilderAPI_MakeFace,
    BRepBuilderAPI_MakeWire,
    BRepBuilderAPI_Transform,
)
from OCP.BRepCheck import BRepCheck_Analyzer
from OCP.BRepGProp import BRepGProp
from OCP.BRepPrimAPI import BRepPrimAPI_MakeCone, BRepPrimAPI_MakeCylinder, BRepPrimAPI_MakePrism, BRepPrimAPI_MakeRevol
from OCP.GC import GC_MakeArcOfCircle
from OCP.gp import gp_Ax1, gp_Ax2, gp_Dir, gp_Pnt, gp_Trsf, gp_Vec
from OCP.GProp import GProp_GProps
from OCP.IFSelect import IFSelect_ReturnStatus
from OCP.STEPControl import STEPControl_StepModelType, STEPControl_Writer
from OCP.TopoDS import TopoDS_Face, TopoDS_Shape

from steadyrest.part.handover.flatted import FlatCut, seen_from_its_side
from steadyrest.part.handover.holed import HoleCut
from steadyrest.part.handover.keyed import KeyCut, seen_from_above
from steadyrest.part.handover.outline import Outline, Segment
from steadyrest.part.handover.recessed import RingCut
from steadyrest.part.handover.recessed import half_section as half_section_of_ring
from steadyrest.part.handover.slotted import SlotCut
from steadyrest.part.solid.kernel.quiet import be_quiet

AXIS = gp_Ax1(gp_Pnt(0, 0, 0), gp_Dir(0, 0, 1))
HEADER = re.compile(r"FILE_DESCRIPTION\s*\(.*?\)\s*;\s*FILE_NAME\s*\(.*?\)\s*;", re.DOTALL)
PRODUCT = re.compile(r"'Open CASCADE STEP translator[^']*'")  # it counts what it wrote, so no two were the same
MOMENT = "1970-01-01T00:00:00"  # the standard wants one; a fixed one keeps the bytes the same


@dataclass(frozen=True, slots=True)
class Cuts:
    """What is cut from a turned solid besides its bores."""

    keys: Sequence[KeyCut] = ()
    holes: Sequence[HoleCut] = ()
    flats: Sequence[FlatCut] = ()
    rings: Sequence[RingCut] = ()
    slots: Sequence[SlotCut] = ()


def turned_step(line: Outline, cuts: Cuts, *, name: str, notes: Callable[[float], Sequence[str]]) -> bytes:
    """The solid that a line makes round the z axis, less its bores and what else is cut, as STEP (AP214) in mm.

    Args:
        line: half section, x along the axis, y the radius.
        cuts: keyways, holes off the axis, flats, recesses in faces, slots across an end.
        name: for the file's header.
        notes: gives sentences for the header, what was left out, from the volume in mm3.
    Returns: the file; the same solid gives the same bytes.
    Raises: ValueError: the line does not make a sound solid.
    """
    be_quiet()
    solid = revolved(line.outside)
    for bore in line.bores:
        solid = BRepAlgoAPI_Cut(solid, revolved(bore)).Shape()
    reach = max(max(s.start[1], s.end[1]) for s in line.outside)
    tools = [
        *(revolved(half_section_of_ring(ring)) for ring in cuts.rings),
        *(key_tool(key, reach) for key in cuts.keys),
        *(flat_tool(flat, reach) for flat in cuts.flats),
        *(slot_tool(slot, reach) for slot in cuts.slots),
        *(drill(hole) for hole in cuts.holes),
        *(point(hole) for hole in cuts.holes if hole.point_mm > 0),
    ]
    for tool in tools:
        solid = BRepAlgoAPI_Cut(solid, tool).Shape()
    if not BRepCheck_Analyzer(solid).IsValid():
        raise ValueError(f"turned_step: the line of {name} does not make a sound solid")
    volume = GProp_GProps()
    BRepGProp.VolumeProperties_s(solid, volume, 1e-5)
    return written(solid, name=name, notes=notes(volume.Mass()))


def revolved(segments: Sequence[Segment]) -> TopoDS_Shape:
    """What a line and the axis enclose, turned once round."""
    first, last = segments[0].start, segments[-1].end
    return BRepPrimAPI_MakeRevol(face_of([*segments, Segment(last, first)], half_section), AXIS).Shape()


def key_tool(key: KeyCut, reach_mm: float) -> TopoDS_Shape:
    """What a keyway's cutter takes away: its outline from floor to open side."""
    low, high = (0.0, key.floor_mm) if key.inside else (key.floor_mm, 2 * reach_mm)
    face = face_of(seen_from_above(key), lambda p: gp_Pnt(low, p[1], p[0]))
    return turned(BRepPrimAPI_MakePrism(face, gp_Vec(high - low, 0, 0)).Shape(), key.turn_rad)


def flat_tool(flat: FlatCut, reach_mm: float) -> TopoDS_Shape:
    """What a flat's cutter takes away: all that stands over it."""
    wide = seen_from_its_side(replace(flat, half_mm=2 * reach_mm))
    face = face_of(wide, lambda p: gp_Pnt(flat.height_mm, p[1], p[0]))
    return turned(BRepPrimAPI_MakePrism(face, gp_Vec(2 * reach_mm, 0, 0)).Shape(), flat.turn_rad)


def turned(shape: TopoDS_Shape, turn_rad: float) -> TopoDS_Shape:
    """A shape turned round the part's axis."""
    turn = gp_Trsf()
    turn.SetRotation(AXIS, turn_rad)
    return BRepBuilderAPI_Transform(shape, turn, True).Shape()


def drill(hole: HoleCut) -> TopoDS_Shape:
    """What a hole's cutter takes away: a cylinder from outside of the part to the hole's end."""
    frame = gp_Ax2(gp_Pnt(*hole.start), gp_Dir(*hole.direction))
    return BRepPrimAPI_MakeCylinder(frame, hole.diameter_mm / 2, hole.length_mm).Shape()


def point(hole: HoleCut) -> TopoDS_Shape:
    """What a drill's point takes away beyond a hole's end."""
    x, y, z = (a + hole.length_mm * b for a, b in zip(hole.start, hole.direction, strict=True))
    frame = gp_Ax2(gp_Pnt(x, y, z), gp_Dir(*hole.direction))
    return BRepPrimAPI_MakeCone(frame, hole.diameter_mm / 2, 0.0, hole.point_mm).Shape()


def slot_tool(slot: SlotCut, reach_mm: float) -> TopoDS_Shape:
    """What is taken away right across an end, from floor to mouth and beyond."""
    low, high = slot.off_mm - slot.width_mm / 2, slot.off_mm + slot.width_mm / 2
    corners = ((low, -2 * reach_mm), (high, -2 * reach_mm), (high, 2 * reach_mm), (low, 2 * reach_mm))
    line = [Segment(a, b) for a, b in zip(corners, (*corners[1:], corners[0]), strict=True)]
    face = face_of(line, lambda p: gp_Pnt(p[0], p[1], slot.floor_mm))
    rise = slot.mouth_mm - slot.floor_mm
    return turned(BRepPrimAPI_MakePrism(face, gp_Vec(0, 0, 2 * rise)).Shape(), slot.turn_rad)


def half_section(point: tuple[float, float]) -> gp_Pnt:
    return gp_Pnt(point[1], 0, point[0])


def face_of(segments: Sequence[Segment], placed) -> TopoDS_Face:  # pyright: ignore[reportMissingParameterType]
    """A flat face within closed segments."""
    wire = BRepBuilderAPI_MakeWire()
    for segment in segments:
        if math.dist(segment.start, segment.end) < 1e-9:
            continue
        start, end = placed(segment.start), placed(segment.end)
        if segment.centre is None:
            wire.Add(BRepBuilderAPI_MakeEdge(start, end).Edge())
        else:
            wire.Add(BRepBuilderAPI_MakeEdge(GC_MakeArcOfCircle(start, placed(middle_of(segment)), end).Value()).Edge())
    return BRepBuilderAPI_MakeFace(wire.Wire()).Face()


def middle_of(segment: Segment) -> tuple[float, float]:
    """Half way along an arc, on the side that it turns by; a half circle has no other way to tell."""
    assert segment.centre is not None
    cx, cy = segment.centre
    a = math.atan2(segment.start[1] - cy, segment.start[0] - cx)
    b = math.atan2(segment.end[1] - cy, segment.end[0] - cx)
    sweep = (b - a) % (2 * math.pi) if segment.left else -((a - b) % (2 * math.pi))
    return cx + segment.radius_mm * math.cos(a + sweep / 2), cy + segment.radius_mm * math.sin(a + sweep / 2)


def written(solid: TopoDS_Shape, *, name: str, notes: Sequence[str]) -> bytes:
    """A solid as STEP, its header in our own words."""
    writer = STEPControl_Writer()
    writer.Transfer(solid, STEPControl_StepModelType.STEPControl_AsIs)
    out = io.BytesIO()
    if writer.WriteStream(out) != IFSelect_ReturnStatus.IFSelect_RetDone:
        raise ValueError(f"turned_step: {name} could not be written")
    said = ", ".join(quoted(note) for note in notes) or "''"
    head = (
        f"FILE_DESCRIPTION(({said}),'2;1');\n"
        f"FILE_NAME({quoted(name)},'{MOMENT}',(''),(''),'steadyrest','steadyrest','');"
    )
    text = out.getvalue().decode("ascii", errors="replace")
    text = PRODUCT.sub(lambda _: quoted(name), text)
    return HEADER.sub(lambda _: head, text, count=1).encode("ascii")


def quoted(text: str) -> str:
    """Text as ISO 10303-21 writes it: quotes doubled, what is not plain ASCII as a hexadecimal escape."""
    plain = "".join(c if 32 <= ord(c) < 127 else f"\\X2\\{ord(c):04X}\\X0\\" for c in text.replace("\\", "/"))
    return "'" + plain.replace("'", "''") + "'"
