"""Solids made by the kernel's own primitives, so that what is read back is known exactly. Not made by our own code."""

from __future__ import annotations

import io
import math

from OCP.BRep import BRep_Builder
from OCP.BRepAdaptor import BRepAdaptor_Curve
from OCP.BRepAlgoAPI import BRepAlgoAPI_Cut, BRepAlgoAPI_Fuse
from OCP.BRepBuilderAPI import (
    BRepBuilderAPI_MakeFace,
    BRepBuilderAPI_MakePolygon,
    BRepBuilderAPI_NurbsConvert,
    BRepBuilderAPI_Transform,
)
from OCP.BRepFilletAPI import BRepFilletAPI_MakeFillet
from OCP.BRepPrimAPI import (
    BRepPrimAPI_MakeBox,
    BRepPrimAPI_MakeCone,
    BRepPrimAPI_MakeCylinder,
    BRepPrimAPI_MakePrism,
    BRepPrimAPI_MakeSphere,
)
from OCP.gp import gp_Ax1, gp_Ax2, gp_Dir, gp_Pnt, gp_Trsf, gp_Vec
from OCP.Message import Message
from OCP.STEPControl import STEPControl_StepModelType, STEPControl_Writer
from OCP.TopAbs import TopAbs_ShapeEnum
from OCP.TopExp import TopExp_Explorer
from OCP.TopoDS import TopoDS, TopoDS_Compound


def cylinder(diameter, low, high, *, at=(0.0, 0.0), axis=(0, 0, 1), start=None):
    """Along z from low to high; or from `start` along `axis` for high - low."""
    foot = gp_Pnt(*(start or (at[0], at[1], low)))
    return BRepPrimAPI_MakeCylinder(gp_Ax2(foot, gp_Dir(*axis)), diameter / 2, high - low).Shape()


def cone(d_low, d_high, low, high):
    return BRepPrimAPI_MakeCone(gp_Ax2(gp_Pnt(0, 0, low), gp_Dir(0, 0, 1)), d_low / 2, d_high / 2, high - low).Shape()


def box(low, high):
    return BRepPrimAPI_MakeBox(gp_Pnt(*low), gp_Pnt(*high)).Shape()


def fused(first, *rest):
    for shape in rest:
        first = BRepAlgoAPI_Fuse(first, shape).Shape()
    return first


def cut(first, *rest):
    for shape in rest:
        first = BRepAlgoAPI_Cut(first, shape).Shape()
    return first


def ball(radius, *, at):
    """A ball on the z axis."""
    return BRepPrimAPI_MakeSphere(gp_Pnt(0, 0, at), radius).Shape()


def hexagon(across, low, high):
    """A hexagonal bar."""
    polygon = BRepBuilderAPI_MakePolygon()
    for i in range(6):
        turn = math.radians(60 * i + 30)
        r = across / math.sqrt(3)
        polygon.Add(gp_Pnt(r * math.cos(turn), r * math.sin(turn), low))
    polygon.Close()
    face = BRepBuilderAPI_MakeFace(polygon.Wire()).Face()
    return BRepPrimAPI_MakePrism(face, gp_Vec(0, 0, high - low)).Shape()


def end_milled(width, low, high, floor, *, reach=100.0):
    """What an end mill takes for a keyway on the +x side: round ends, floor at x = floor."""
    r = width / 2
    return fused(
        box((floor, -r, low + r), (reach, r, high - r)),
        cylinder(width, 0, reach - floor, axis=(1, 0, 0), start=(floor, 0, low + r)),
        cylinder(width, 0, reach - floor, axis=(1, 0, 0), start=(floor, 0, high - r)),
    )


def filleted(shape, radius, *, at_radius, at_z):
    """The round edge at a radius and height rounded."""
    fillet = BRepFilletAPI_MakeFillet(shape)
    explorer = TopExp_Explorer(shape, TopAbs_ShapeEnum.TopAbs_EDGE)
    while explorer.More():
        edge = TopoDS.Edge(explorer.Current())
        curve = BRepAdaptor_Curve(edge)
        point = curve.Value((curve.FirstParameter() + curve.LastParameter()) / 2)
        if abs(math.hypot(point.X(), point.Y()) - at_radius) < 1e-6 and abs(point.Z() - at_z) < 1e-6:
            fillet.Add(radius, edge)
        explorer.Next()
    return fillet.Shape()


def counterbored_plate(thick):
    """160 x 90: a hole of 20, one of 9 counterbored to 15, a window of 30 x 12, and a pocket sunk by four tenths."""
    over = thick + 1.0
    return cut(
        box((0, 0, 0), (160, 90, thick)),
        cylinder(20, -1, over, at=(30, 30)),
        cylinder(9, -1, over, at=(80, 20)),
        cylinder(15, thick / 2, over, at=(80, 20)),
        box((100, 60, -1), (130, 72, over)),
        box((30, 60, 0.6 * thick), (70, 80, over)),
    )


def moved(shape, *, turn_deg=0.0, about=(0, 0, 1), by=(0, 0, 0)):
    turn, shift = gp_Trsf(), gp_Trsf()
    turn.SetRotation(gp_Ax1(gp_Pnt(0, 0, 0), gp_Dir(*about)), math.radians(turn_deg))
    shift.SetTranslation(gp_Vec(*by))
    return BRepBuilderAPI_Transform(BRepBuilderAPI_Transform(shape, turn, True).Shape(), shift, True).Shape()


def as_splines(shape):
    """The same shape, every surface a b-spline."""
    return BRepBuilderAPI_NurbsConvert(shape, True).Shape()


def compound(*shapes):
    """Several solids in one file."""
    whole = TopoDS_Compound()
    builder = BRep_Builder()
    builder.MakeCompound(whole)
    for shape in shapes:
        builder.Add(whole, shape)
    return whole


def faces_only(shape):
    """The faces of a shape without the solid that they enclose."""
    explorer = TopExp_Explorer(shape, TopAbs_ShapeEnum.TopAbs_FACE)
    faces = []
    while explorer.More():
        faces.append(explorer.Current())
        explorer.Next()
    return compound(*faces[:2])


def step(shape):
    """STEP text of a shape, in mm."""
    Message.DefaultMessenger_s().ChangePrinters().Clear()
    writer = STEPControl_Writer()
    writer.Transfer(shape, STEPControl_StepModelType.STEPControl_AsIs)
    out = io.BytesIO()
    writer.WriteStream(out)
    return out.getvalue()


def stepped_shaft():
    """d25 x 40, d35 x 80 with a keyway 10 x 50, 5 deep, d30 x 30; chamfers 1 x 45 at both ends; z from 0 to 150."""
    body = fused(
        cone(23, 25, 0, 1), cylinder(25, 1, 40), cylinder(35, 40, 120), cylinder(30, 120, 149), cone(30, 28, 149, 150)
    )
    return cut(body, end_milled(10, 55, 105, 12.5))


def hub():
    """d60 x 40 with a through bore d25 H7, a counterbore d40 x 10 at the top, four d6.6 holes on a circle of 50, and a
    keyway 8 wide, 3.3 deep in the bore."""
    body = cut(cylinder(60, 0, 40), cylinder(25, -1, 41), cylinder(40, 30, 41))
    holes = [
        cylinder(6.6, -1, 41, at=(25 * math.cos(t), 25 * math.sin(t)))
        for t in (math.pi / 4 + i * math.pi / 2 for i in range(4))
    ]
    return cut(body, *holes, box((0, -4, -1), (12.5 + 3.3, 4, 41)))
