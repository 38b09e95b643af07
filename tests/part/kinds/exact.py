"""Solids by exact construction from the kernel's primitives, as STEP: whole parts, each named by what it has.

Sizes are typed in from the print of the standard that is named beside them, never from the package's tables. What is
read back has been through a file; the reader's own code makes nothing here.
"""

from __future__ import annotations

import math

from OCP.BRepAlgoAPI import BRepAlgoAPI_Common
from OCP.BRepBuilderAPI import (
    BRepBuilderAPI_MakeEdge,
    BRepBuilderAPI_MakeFace,
    BRepBuilderAPI_MakePolygon,
    BRepBuilderAPI_MakeSolid,
    BRepBuilderAPI_Sewing,
)
from OCP.BRepFill import BRepFill
from OCP.BRepLib import BRepLib
from OCP.BRepPrimAPI import BRepPrimAPI_MakePrism, BRepPrimAPI_MakeRevol
from OCP.Geom import Geom_CylindricalSurface
from OCP.Geom2d import Geom2d_Line
from OCP.gp import gp_Ax1, gp_Ax3, gp_Dir, gp_Dir2d, gp_Pnt, gp_Pnt2d, gp_Vec
from OCP.TopoDS import TopoDS

from tests.part.solid import made


def turned(*profile: tuple[float, float]) -> object:
    """What turns about z: (diameter, z) of its outline in order, closed by itself."""
    polygon = BRepBuilderAPI_MakePolygon()
    for diameter, z in profile:
        polygon.Add(gp_Pnt(diameter / 2, 0, z))
    polygon.Close()
    face = BRepBuilderAPI_MakeFace(polygon.Wire()).Face()
    return BRepPrimAPI_MakeRevol(face, gp_Ax1(gp_Pnt(0, 0, 0), gp_Dir(0, 0, 1))).Shape()


def prism(points: list[tuple[float, float]], low: float, high: float) -> object:
    """What stands along z over a closed outline."""
    polygon = BRepBuilderAPI_MakePolygon()
    for x, y in points:
        polygon.Add(gp_Pnt(x, y, low))
    polygon.Close()
    return BRepPrimAPI_MakePrism(BRepBuilderAPI_MakeFace(polygon.Wire()).Face(), gp_Vec(0, 0, high - low)).Shape()


def helix(radius: float, pitch: float, start: float, turns: float) -> object:
    """A right-hand helix about z as an edge: a straight line on a cylinder rolled out."""
    surface = Geom_CylindricalSurface(gp_Ax3(gp_Pnt(0, 0, start), gp_Dir(0, 0, 1)), radius)
    line = Geom2d_Line(gp_Pnt2d(0, 0), gp_Dir2d(2 * math.pi, pitch))
    length = math.hypot(2 * math.pi, pitch) * turns
    edge = BRepBuilderAPI_MakeEdge(line, surface, 0.0, length).Edge()
    BRepLib.BuildCurves3d_s(edge)
    return edge


def thread_groove(diameter: float, pitch: float, start: float, turns: float) -> object:
    """What a thread cutter takes: between helices at the root (P/4 wide) and beyond the crest, capped and sewn."""
    depth = 5 * math.sqrt(3) / 16 * pitch
    root, out = diameter / 2 - depth, depth + 0.05 * pitch
    narrow, wide = pitch / 8, pitch / 8 + out / math.sqrt(3)
    corners = ((root, -narrow), (root + out, -wide), (root + out, wide), (root, narrow))
    edges = [helix(radius, pitch, start + at, turns) for radius, at in corners]
    sewing = BRepBuilderAPI_Sewing(1e-6)
    for one, other in zip(edges, [*edges[1:], edges[0]], strict=True):
        sewing.Add(BRepFill.Face_s(one, other))
    for up in (0.0, pitch * turns):
        turn = 2 * math.pi * up / pitch
        polygon = BRepBuilderAPI_MakePolygon()
        for radius, at in corners:
            polygon.Add(gp_Pnt(radius * math.cos(turn), radius * math.sin(turn), start + at + up))
        polygon.Close()
        sewing.Add(BRepBuilderAPI_MakeFace(polygon.Wire()).Face())
    sewing.Perform()
    solid = BRepBuilderAPI_MakeSolid(TopoDS.Shell(sewing.SewedShape())).Solid()
    BRepLib.OrientClosedSolid_s(solid)
    return solid


def shaft_keyed() -> object:
    """d38 between d30 and d32; a keyway 10 x 45, 5 deep, in the 38 (DIN 6885-1: 38 takes 10 x 8, t1 5)."""
    body = turned((0, 0), (30, 0), (30, 40), (38, 40), (38, 150), (32, 150), (32, 200), (0, 200))
    return made.cut(body, made.end_milled(10, 60, 105, 19 - 5))


def hub_keyed() -> object:
    """d90 x 24 with a hub d48 to 52 high, bored 28 through; a keyway 8 wide, 3.3 deep (DIN 6885-1: 28 takes 8 x 7)."""
    body = turned((28, 0), (90, 0), (90, 24), (48, 24), (48, 52), (28, 52))
    return made.cut(body, made.box((0, -4, -1), (14 + 3.3, 4, 60)))


def keyway_too_deep() -> object:
    """The same shaft with a slot 10 wide and 16 deep: no key sits so deep."""
    body = turned((0, 0), (30, 0), (30, 40), (38, 40), (38, 150), (32, 150), (32, 200), (0, 200))
    return made.cut(body, made.end_milled(10, 60, 105, 3))


def nut(across: float = 24.0, high: float = 13.0, bore: float = 13.835) -> object:
    """A hexagon nut of 24 across flats (ISO 4032, M16), bored to the thread's core, corners chamfered by 30."""
    corner = 2 * across / math.sqrt(3)
    slope = (corner - across) * math.tan(math.radians(30)) / 2
    round_off = turned((0, 0), (across, 0), (corner + 2, slope + math.tan(math.radians(30))),
                       (corner + 2, high), (0, high))  # fmt: skip
    body = BRepAlgoAPI_Common(made.hexagon(across, 0, high), round_off).Shape()
    return made.cut(body, made.cylinder(bore, -1, high + 1))


def bolt() -> object:
    """A screw with a head of 30 across flats, 12.5 high, on a shank of 20 x 60."""
    return made.fused(made.hexagon(30, 0, 12.5), made.cylinder(20, 12.5, 72.5))


def spotfaced() -> object:
    """A casting's foot 120 x 60 x 18 with two holes of 11, each spotfaced 24 by 1.5 deep."""
    block = made.box((-60, -30, 0), (60, 30, 18))
    tools = [made.cylinder(11, -1, 20, at=(x, 0)) for x in (-42, 42)]
    return made.cut(block, *tools, *(made.cylinder(24, 16.5, 20, at=(x, 0)) for x in (-42, 42)))


def ring_shaft() -> object:
    """Shaft 25 with a ring's groove 23.9 x 1.3 (DIN 471: 25, 23.9, m 1.3)."""
    return turned((0, 0), (25, 0), (25, 50), (23.9, 50), (23.9, 51.3), (25, 51.3), (25, 56), (0, 56))


def ring_bore() -> object:
    """Housing d60 bored 40, a ring's groove 42.5 x 1.85 (DIN 472: 40, 42.5, m 1.85)."""
    return turned((40, 0), (60, 0), (60, 45), (40, 45), (40, 40), (42.5, 40), (42.5, 38.15), (40, 38.15))


def threaded() -> object:
    """A stud of 16 x 44 with M16 x 2 over 24 of it, beside a head of 24 x 10."""
    shank = made.cut(made.cylinder(16, 0, 44), thread_groove(16, 2, 12, 12))
    return made.fused(made.cylinder(24, -10, 0), shank)


def knuckled() -> object:
    """The same stud with twelve single rings at the thread's step: no helix."""
    shank = made.cylinder(16, 0, 44)
    rings = [turned((13.9, z - 0.25), (16.4, z - 0.95), (16.4, z + 0.95), (13.9, z + 0.25)) for z in range(12, 36, 2)]
    return made.fused(made.cylinder(24, -10, 0), made.cut(shank, *rings))


def tool_shank() -> object:
    """A tool's shank: Morse taper 2 (DIN 228: 17.780 at the large end, 1:20.020), 60 long; collar d30."""
    return turned((0, 0), (17.78 - 60 / 20.02, 0), (17.78, 60), (30, 60), (30, 75), (0, 75))


def taper_between() -> object:
    """The same with 1:16.6, between the standard tapers 1:16 and 1:19."""
    return turned((0, 0), (17.78 - 60 / 16.6, 0), (17.78, 60), (30, 60), (30, 75), (0, 75))


def o_ring_piston() -> object:
    """Piston d50 with a groove 4.8 wide and 2.8 deep (cord 3.53: 0.139 in static: depth 0.111 to 0.113, 0.187 wide)."""
    floor = 50 - 2 * 0.112 * 25.4
    wide = 0.1895 * 25.4
    return turned((0, 0), (50, 0), (50, 20), (floor, 20), (floor, 20 + wide), (50, 20 + wide), (50, 60), (0, 60))


def spline_shaft(many: int = 8, across: float = 36.0, tips: float = 40.0, width: float = 7.0) -> object:
    """A shaft d30 with straight-sided keys: eight of 7, 36 over the floors, 40 over the tips, 60 long."""
    body = made.fused(made.cylinder(across, 30, 90), made.cylinder(0.8 * across, 0, 120))
    for k in range(many // 2):
        bar = made.box((-tips, -width / 2, 30), (tips, width / 2, 90))
        key = BRepAlgoAPI_Common(made.moved(bar, turn_deg=360 * k / many), made.cylinder(tips, 30, 90)).Shape()
        body = made.fused(body, key)
    return body


def spline_hub(many: int = 8, across: float = 36.0, tips: float = 40.0, width: float = 7.0) -> object:
    """A hub d64 x 30 for it."""
    body = made.cut(made.cylinder(64, 0, 30), made.cylinder(across, -1, 31))
    for k in range(many // 2):
        bar = made.box((-tips, -width / 2, -1), (tips, width / 2, 31))
        key = BRepAlgoAPI_Common(made.moved(bar, turn_deg=360 * k / many), made.cylinder(tips, -1, 31)).Shape()
        body = made.cut(body, key)
    return body


def open_pockets() -> object:
    """A block 100 x 60 x 30: a pocket 40 x 30 x 12 open on one side, a corner step 25 x 20 x 8 open on two, and a
    pocket 30 x 24 x 10 with an island of 10 x 8, 6 high."""
    block = made.cut(made.box((0, 0, 0), (100, 60, 30)), made.box((-1, 15, 18), (30, 45, 31)),
                     made.box((75, 40, 22), (101, 61, 31)), made.box((40, 5, 20), (70, 29, 31)))  # fmt: skip
    return made.fused(block, made.box((50, 12, 20), (60, 20, 26)))


def spline_six() -> object:
    """A shaft d20 with six keys of 6, 23 over the floors, 26 over the tips."""
    return spline_shaft(6, 23.0, 26.0, 6.0)


def v_pulley() -> object:
    """d160 x 32 with one groove for a belt of section B: 34 degrees, 16.2 wide at the rim, 14.5 deep."""
    return grooved_v(16.2, 34.0, 14.5, 160.0)


def v_wide() -> object:
    """The same with a V of 60 degrees: no belt's."""
    return grooved_v(18.0, 60.0, 12.0, 160.0)


def grooved_v(wide: float, angle_deg: float, deep: float, rim: float) -> object:
    half = deep * math.tan(math.radians(angle_deg / 2))
    low, high, floor = 16 - wide / 2, 16 + wide / 2, rim - 2 * deep
    return turned((25, 0), (rim, 0), (rim, low), (floor, low + half), (floor, high - half), (rim, high),
                  (rim, 32), (25, 32))  # fmt: skip


def neck() -> object:
    """A neck 20 on 25, 4 wide: no ring sits so deep."""
    return turned((0, 0), (25, 0), (25, 30), (20, 30), (20, 34), (25, 34), (25, 56), (0, 56))


def square_head() -> object:
    """A screw with a square head of 24 and a shank of 20."""
    return made.fused(made.box((-12, -12, 0), (12, 12, 12)), made.cylinder(20, 12, 60))


def counterbored() -> object:
    """The spotfaced foot with its seats 6 deep."""
    block = made.box((-60, -30, 0), (60, 30, 18))
    tools = [made.cylinder(11, -1, 20, at=(x, 0)) for x in (-42, 42)]
    return made.cut(block, *tools, *(made.cylinder(24, 12, 20, at=(x, 0)) for x in (-42, 42)))


def stepped() -> object:
    """A block 100 x 60 x 30 with a step 20 wide, 8 deep, along a whole edge."""
    return made.cut(made.box((0, 0, 0), (100, 60, 30)), made.box((-1, 40, 22), (101, 61, 31)))
