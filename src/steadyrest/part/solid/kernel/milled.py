"""A nominal solid of a part that is not turned, put together from its shapes, as a STEP file's bytes."""

# The kernel's binding has no types; they stop at this package.
# pyright: reportAttributeAccessIssue=false, reportUnknownParameterType=false

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import TypeVar

from OCP.BRep import BRep_Builder
from OCP.BRepAlgoAPI import BRepAlgoAPI_Cut, BRepAlgoAPI_Fuse
from OCP.BRepCheck import BRepCheck_Analyzer
from OCP.BRepGProp import BRepGProp
from OCP.BRepPrimAPI import (
    BRepPrimAPI_MakeBox,
    BRepPrimAPI_MakeCone,
    BRepPrimAPI_MakeCylinder,
    BRepPrimAPI_MakePrism,
)
from OCP.collections import List_TopoDS_Shape
from OCP.gp import gp_Ax2, gp_Dir, gp_Pnt, gp_Vec
from OCP.GProp import GProp_GProps
from OCP.ShapeUpgrade import ShapeUpgrade_UnifySameDomain
from OCP.StdFail import StdFail_NotDone
from OCP.TopAbs import TopAbs_ShapeEnum
from OCP.TopExp import TopExp_Explorer
from OCP.TopoDS import TopoDS_Compound, TopoDS_Face, TopoDS_Shape

from steadyrest.part.handover.milled import Milled, Rod
from steadyrest.part.handover.outline import Segment
from steadyrest.part.handover.rounded import Corner
from steadyrest.part.handover.slanted import Slant
from steadyrest.part.solid.kernel.building import face_of, written
from steadyrest.part.solid.kernel.face_lines import face_lines
from steadyrest.part.solid.kernel.quiet import be_quiet
from steadyrest.shop.part import Outline

Wedge = TypeVar("Wedge", Corner, Slant)
SAME_MM = 1e-9
CRUMB = 1e-3  # of the whole volume
LOOSE = 0.01  # the same where the file has one body: what nothing joins is a corner that a slanted wall left standing


@dataclass(frozen=True, slots=True)
class Drawn:
    """A STEP file, and the outside and cut-outs of the largest flat face of the solid in it; across: which of its axes
    run to the right and up in them."""

    data: bytes
    outlines: tuple[Outline, ...]
    across: tuple[int, int]


def milled_step(shapes: Milled, *, name: str, notes: Callable[[float, frozenset[str]], Sequence[str]]) -> Drawn:
    """The solid that shapes make together, as STEP (AP214) in mm.

    Args:
        shapes: what is added, and what is cut from that; one that the kernel cannot add or cut soundly is left out.
        name: for the file's header.
        notes: gives sentences for the header, from the volume in mm3 and the features whose shapes were left out.
    Returns: the file, the same bytes for the same shapes, and the lines round its largest flat face.
    Raises: ValueError: they do not make a sound solid.
    """
    be_quiet()
    left: set[str] = set()
    boxes = [box(*corners) for corners in shapes.boxes]
    solid = joined(boxes) if boxes else rod(shapes.bosses[0])
    inner = [*drawn((one for one in shapes.corners if one.inner), corner, left)]
    inner += drawn((one for one in shapes.slants if one.added), prism, left)
    outer = [*drawn((one for one in shapes.corners if not one.inner), corner, left)]
    outer += drawn((one for one in shapes.slants if not one.added), prism, left)
    # Bosses after the rounded edges: an edge's cut must not reach into what stands beside it.
    solid = step_by_step(solid, inner, BRepAlgoAPI_Fuse, left)
    solid = step_by_step(solid, outer, BRepAlgoAPI_Cut, left)
    solid = step_by_step(solid, [(rod(one), one.feature) for one in shapes.bosses], BRepAlgoAPI_Fuse, left)
    solid = step_by_step(solid, [(rod(one), one.feature) for one in shapes.holes], BRepAlgoAPI_Cut, left)
    solid = without_dust(tidied(solid), LOOSE if shapes.one_body else CRUMB)
    if not is_sound(solid):
        raise ValueError(f"milled_step: the shapes of {name} do not make a sound solid")
    data = written(solid, name=name, notes=notes(volume_mm3(solid), frozenset(left)))
    return Drawn(data, *face_lines(solid))


def drawn(
    shapes: Iterable[Wedge], draw: Callable[[Wedge], TopoDS_Shape], left: set[str]
) -> list[tuple[TopoDS_Shape, str | None]]:
    """The kernel's tools with their features; one too thin for it is left out, its feature told in `left`."""
    tools: list[tuple[TopoDS_Shape, str | None]] = []
    for one in shapes:
        try:
            tools.append((draw(one), one.feature))
        except StdFail_NotDone:
            if one.feature is not None:
                left.add(one.feature)
    return tools


def step_by_step(
    solid: TopoDS_Shape,
    tools: Sequence[tuple[TopoDS_Shape, str | None]],
    way: type[BRepAlgoAPI_Cut | BRepAlgoAPI_Fuse],
    left: set[str],
) -> TopoDS_Shape:
    """A solid with tools added or cut, all at once if that is sound; else one after another, without the unsound ones,
    whose features are told in `left`."""
    if not tools:
        return solid
    done = together(solid, [tool for tool, _ in tools], way)
    if is_sound(done):
        return done
    for tool, feature in tools:
        done = together(solid, [tool], way)
        if is_sound(done):
            solid = done
        elif feature is not None:
            left.add(feature)
    return solid


def joined(shapes: Sequence[TopoDS_Shape]) -> TopoDS_Shape:
    """All shapes as one."""
    return together(shapes[0], shapes[1:], BRepAlgoAPI_Fuse) if len(shapes) > 1 else shapes[0]


def together(
    solid: TopoDS_Shape, tools: Sequence[TopoDS_Shape], way: type[BRepAlgoAPI_Cut | BRepAlgoAPI_Fuse]
) -> TopoDS_Shape:
    """A solid with all tools added or cut at once."""
    first, rest = List_TopoDS_Shape(), List_TopoDS_Shape()
    first.Append(solid)
    for tool in tools:
        rest.Append(tool)
    made = way()
    made.SetArguments(first)
    made.SetTools(rest)
    made.Build()
    shape = made.Shape()
    return tidied(shape) if is_sound(shape) else shape


def is_sound(shape: TopoDS_Shape | None) -> bool:
    """Whether there is a shape, and the kernel finds nothing wrong with it."""
    return shape is not None and not shape.IsNull() and BRepCheck_Analyzer(shape).IsValid()


def tidied(shape: TopoDS_Shape) -> TopoDS_Shape:
    """A shape without seams between faces of one surface, where that leaves it sound."""
    unify = ShapeUpgrade_UnifySameDomain(shape, True, True, False)
    unify.Build()
    done = unify.Shape()
    return done if is_sound(done) else shape


def volume_mm3(shape: TopoDS_Shape) -> float:
    found = GProp_GProps()
    BRepGProp.VolumeProperties_s(shape, found, 1e-5)
    return found.Mass()


def without_dust(shape: TopoDS_Shape, least_share: float) -> TopoDS_Shape:
    """A shape without the crumbs beside it: loose solids of less than a share of the whole volume."""
    solids: list[TopoDS_Shape] = []
    explorer = TopExp_Explorer(shape, TopAbs_ShapeEnum.TopAbs_SOLID)
    while explorer.More():
        solids.append(explorer.Current())
        explorer.Next()
    least = least_share * volume_mm3(shape)
    kept = [solid for solid in solids if volume_mm3(solid) > least]
    if len(kept) == 1:
        return kept[0]
    whole, builder = TopoDS_Compound(), BRep_Builder()
    builder.MakeCompound(whole)
    for solid in kept:
        builder.Add(whole, solid)
    return whole


def box(low: tuple[float, float, float], high: tuple[float, float, float]) -> TopoDS_Shape:
    return BRepPrimAPI_MakeBox(gp_Pnt(*low), gp_Pnt(*high)).Shape()


def rod(one: Rod) -> TopoDS_Shape:
    """A cylinder, or a cone where its radii differ."""
    frame = gp_Ax2(gp_Pnt(*one.start), gp_Dir(*one.direction))
    if abs(one.from_radius_mm - one.to_radius_mm) < SAME_MM:
        return BRepPrimAPI_MakeCylinder(frame, one.from_radius_mm, one.length_mm).Shape()
    return BRepPrimAPI_MakeCone(frame, one.from_radius_mm, one.to_radius_mm, one.length_mm).Shape()


def corner(one: Corner) -> TopoDS_Shape:
    """What lies between a sharp corner and the round in it."""
    (x, y), (s, t), r = one.corner, one.ways, one.radius_mm
    middle = (x - s * r, y - t * r)
    a, b = (middle[0] + s * r, middle[1]), (middle[0], middle[1] + t * r)
    line = (Segment(a, (x, y)), Segment((x, y), b), Segment(b, a, middle, left=s * t < 0))
    return risen(face_of(line, lambda p: placed(one.along, p, one.low_mm)), one.along, one.high_mm - one.low_mm)


def prism(one: Slant) -> TopoDS_Shape:
    """A three-sided prism."""
    a, b, c = one.corners
    line = (Segment(a, b), Segment(b, c), Segment(c, a))
    return risen(face_of(line, lambda p: placed(one.along, p, one.low_mm)), one.along, one.high_mm - one.low_mm)


def risen(face: TopoDS_Face, along: int, by_mm: float) -> TopoDS_Shape:
    """A face drawn out along a direction."""
    run = [0.0, 0.0, 0.0]
    run[along] = by_mm
    return BRepPrimAPI_MakePrism(face, gp_Vec(*run)).Shape()


def placed(along: int, point: tuple[float, float], along_mm: float) -> gp_Pnt:
    """A point across a direction in space."""
    at = [0.0, 0.0, 0.0]
    at[along], at[(along + 1) % 3], at[(along + 2) % 3] = along_mm, point[0], point[1]
    return gp_Pnt(*at)
