"""Whole parts as meshes by a library that shares nothing with the reader (manifold3d): the maker beside exact.py.

A mesh has what an exporter writes: chords with their corners on the true curve. Threads are true helicoids: the section
square to the axis, extruded with a twist.
"""

from __future__ import annotations

import math

import manifold3d
import numpy as np

from tests.part.features.carved import block, many_sided, round_bar

Manifold, Section = manifold3d.Manifold, manifold3d.CrossSection
CHORDS = 96


def turned(*profile: tuple[float, float]) -> Manifold:
    """What turns about z: (diameter, z) of its outline in order, closed by itself."""
    points = [(diameter / 2, z) for diameter, z in profile]
    area = sum(a * d - b * c for (a, b), (c, d) in zip(points, [*points[1:], points[0]], strict=True))
    return Section([points if area > 0 else points[::-1]]).revolve(CHORDS)


def threaded(diameter: float, pitch: float, length: float) -> Manifold:
    """A bar with the basic 60 degree profile: crest P/8, root P/4."""
    depth = 5 * math.sqrt(3) / 16 * pitch
    per_turn = 40
    angle = np.arange(per_turn) * 2 * math.pi / per_turn
    from_crest = np.abs(angle / (2 * math.pi) - 0.5) * pitch
    down = np.clip((from_crest - pitch / 16) * math.sqrt(3), 0.0, depth)
    radius = diameter / 2 - down
    section = Section([np.stack([radius * np.cos(angle), radius * np.sin(angle)], axis=1)])
    turns = length / pitch
    return section.extrude(length, round(turns * per_turn), 360.0 * turns)


def stl(solid: Manifold) -> bytes:
    """Binary STL, as it stands."""
    mesh = solid.to_mesh()
    points, faces = np.asarray(mesh.vert_properties[:, :3], dtype=np.float64), np.asarray(mesh.tri_verts)
    rows = np.zeros(len(faces), dtype=[("n", "<f4", 3), ("v", "<f4", (3, 3)), ("a", "<u2")])
    rows["v"] = points[faces]
    return b"\0" * 80 + np.uint32(len(rows)).tobytes() + rows.tobytes()


def end_milled(width: float, low: float, high: float, floor: float) -> Manifold:
    """What an end mill takes for a keyway on the +x side: round ends, floor at x = floor."""
    r = width / 2
    tool = Manifold.cube((100, width, high - low - width)).translate((floor, -r, low + r))
    for z in (low + r, high - r):
        tool += Manifold.cylinder(100, r, r, 64).rotate((0, 90, 0)).translate((floor, 0, z))
    return tool


def shaft_keyed() -> Manifold:
    """d50 x 90 between d45 x 50 and d40 x 30; a keyway 14 x 70, 5.5 deep, in the 50 (DIN 6885-1: 50 takes 14 x 9)."""
    body = turned((0, 0), (45, 0), (45, 50), (50, 50), (50, 140), (40, 140), (40, 170), (0, 170))
    return body - end_milled(14, 60, 130, 25 - 5.5)


def hub_keyed() -> Manifold:
    """d110 x 30, bored 42 through; a keyway 12 wide, 3.3 deep (DIN 6885-1: 42 takes 12 x 8, t2 3.3)."""
    return turned((42, 0), (110, 0), (110, 30), (42, 30)) - block(21 + 3.3, 12, 32, ((21 + 3.3) / 2, 0, -1))


def nut() -> Manifold:
    """A nut of 30 across flats, 18 high, corners chamfered by 30 degrees, bored 17.294 (M20)."""
    corner = 60 / math.sqrt(3)
    slope = (corner - 30) * math.tan(math.radians(30)) / 2
    more = math.tan(math.radians(30))
    round_off = turned((0, 0), (30, 0), (corner + 2, slope + more), (corner + 2, 18 - slope - more), (30, 18), (0, 18))
    return (many_sided(6, 30, 18) ^ round_off) - round_bar(17.294, 20, (0, 0, -1))


def bolt() -> Manifold:
    """A screw with a head of 19 across flats, 7.5 high, a shank of 12 x 20 and M12 x 1.75 for 14 more."""
    return many_sided(6, 19, 7.5) + round_bar(12, 20.01, (0, 0, 7.49)) + threaded(12, 1.75, 14).translate((0, 0, 27.5))


def ring_shaft() -> Manifold:
    """Shaft 40 with a ring's groove 37.5 x 1.85 (DIN 471: 40, 37.5, m 1.85)."""
    return turned((0, 0), (40, 0), (40, 70), (37.5, 70), (37.5, 71.85), (40, 71.85), (40, 80), (0, 80))


def ring_bore() -> Manifold:
    """A housing d50 bored 30, a ring's groove 31.4 x 1.3 (DIN 472: 30, 31.4, m 1.3)."""
    return turned((30, 0), (50, 0), (50, 35), (30, 35), (30, 31.3), (31.4, 31.3), (31.4, 30), (30, 30))


def o_ring_rod() -> Manifold:
    """Rod d32 with a groove for a cord of 0.210 in (0.170 to 0.173 deep, 0.281 to 0.286 wide)."""
    floor, wide = 32 - 2 * 0.1715 * 25.4, 0.2835 * 25.4
    return turned((0, 0), (32, 0), (32, 25), (floor, 25), (floor, 25 + wide), (32, 25 + wide), (32, 60), (0, 60))


def tool_shank() -> Manifold:
    """Morse taper 3: 23.825 at the large end, 1:19.922, 78 long; collar d36."""
    return turned((0, 0), (23.825 - 78 / 19.922, 0), (23.825, 78), (36, 78), (36, 92), (0, 92))


def v_pulley() -> Manifold:
    """d120 x 26 with one groove for a belt of section A: 34 degrees, 13 wide at the rim, 12 deep."""
    rim = 13.0
    low, high = 13 - rim / 2, 13 + rim / 2
    half = 12 * math.tan(math.radians(17))
    return turned((20, 0), (120, 0), (120, low), (96, low + half), (96, high - half), (120, high), (120, 26), (20, 26))


def spotfaced() -> Manifold:
    """A foot 100 x 50 x 20 with two holes of 13.5, spotfaced 30 x 2."""
    foot = block(100, 50, 20)
    for x in (-30.0, 30.0):
        foot = foot - round_bar(13.5, 30, (x, 0, -1)) - round_bar(30, 10, (x, 0, 18))
    return foot


def pulley(teeth: int = 20, pitch: float = 5.08, offset: float = 0.254) -> Manifold:
    """A toothed belt's pulley with flanges: flanks of 25 degrees, cut as pockets."""
    tips = pitch * teeth / math.pi - 2 * offset
    body = turned(
        (10, 0), (tips + 4, 0), (tips + 4, 2), (tips, 2), (tips, 12), (tips + 4, 12), (tips + 4, 14), (10, 14)
    )
    half_top, half_floor, deep = 1.35, 0.75, 1.4
    r = tips / 2
    gap = Section([[(r - deep, -half_floor), (r + 0.5, -half_top), (r + 0.5, half_top), (r - deep, half_floor)]])
    tool = gap.extrude(9.98).translate((0, 0, 2.01))
    for k in range(teeth):
        body = body - tool.rotate((0, 0, 360 * k / teeth))
    return body


def open_pockets() -> Manifold:
    """A block 120 x 80 x 40: a pocket 50 x 36 x 15 open on one side, a step 31 x 26 x 10 open on two, and a pocket
    40 x 30 x 12 with an island of 14 x 10, 8 high."""
    solid = block(120, 80, 40) - block(102, 36, 16, (-60, 0, 25)) - block(62, 52, 12, (60, 40, 30))
    return solid - block(40, 30, 13, (20, -20, 28)) + block(14, 10, 8, (22, -20, 28))


def spline_shaft() -> Manifold:
    """Six straight-sided keys of 6: 23 over the floors, 26 over the tips, 40 long, on a shaft of 20."""

    def bar(diameter: float, low: float, high: float) -> Manifold:
        return Manifold.cylinder(high - low, diameter / 2, diameter / 2, 240).translate((0, 0, low))

    body = bar(23, 20, 60) + bar(20, 0, 80)
    for k in range(3):
        body = body + (block(60, 6, 40, (0, 0, 20)).rotate((0, 0, 60 * k)) ^ bar(26, 20, 60))
    return body
