"""What is cut into a turned part beside turning: keyways, flats, cross holes and slots."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from steadyrest.part.features.cut import Cut, tag_of
from steadyrest.part.features.draft import Draft, diameter, exact, feature_of
from steadyrest.part.features.flats import Flats
from steadyrest.part.features.frame import angle_between_lines, dot
from steadyrest.part.features.holes import Hole
from steadyrest.part.features.keyway import Keyway
from steadyrest.part.features.keyways import facing, width_u_mm
from steadyrest.part.features.turned import loose_angle, plane_u_mm, reach
from steadyrest.part.patch import Patch
from steadyrest.shop.figure import because


def keyway_draft(cut: Cut, keyway: Keyway) -> Draft:
    """Width, depth from the surface at the key's centre line, length over its ends."""
    u_floor = plane_u_mm(cut.graph, keyway.floor)
    carrier = keyway.on.ring.main if keyway.on.ring else None
    u_depth = math.hypot(u_floor, carrier.u_unworn_mm if carrier else 0.0)
    u_length = end_u_mm(cut, keyway)
    low, high = keyway.low_mm, keyway.high_mm
    end_mm = cut.line.outside[-1].high.at_mm
    is_open = low <= 2 * cut.slack.rounding_mm or high >= end_mm - 2 * cut.slack.rounding_mm
    key = "features.keyway_open" if is_open else "features.keyway_ends"
    why = (because(key, round_ends=float(keyway.round_ends)),)
    if not keyway.walls and not keyway.ends:
        why = (because("features.keyway_floor_only"), *why)
    x, y, z = cut.frame.at((low + high) / 2)
    out, lift = keyway.out, keyway.surface_mm
    feature = feature_of(
        "keyway" if keyway.is_keyway else "slot",
        keyway.patches,
        [
            exact("width_mm", keyway.width_mm, width_u_mm(cut.graph, cut.slack, keyway)),
            exact("depth_mm", keyway.depth_mm, u_depth),
            exact("length_mm", high - low, u_length),
        ],
        axis=keyway.out,
        at_mm=(x + lift * out[0], y + lift * out[1], z + lift * out[2]),
        along_mm=(low, high),
        through=False,
        inside=keyway.inside,
        why=why,
    )
    return Draft(feature, f"keyway {keyway.floor.id}", tag_of(keyway.on, inside=keyway.inside))


def end_u_mm(cut: Cut, keyway: Keyway) -> float:
    """One sigma of a keyway's length: two round ends place it well, a ragged edge does not."""
    if cut.graph.noise_mm <= 0:
        return 0.0
    rounds = [patch for patch in keyway.ends if patch.kind == "cylinder"]
    per_end = [max(patch.u_radius_mm, 0.03) for patch in rounds[:2]]
    per_end += [cut.slack.rounding_mm / 2] * (2 - len(per_end))
    return math.hypot(*per_end)


def flats_draft(cut: Cut, flats: Flats) -> Draft:
    """A hexagon or two flats by their width across; one flat by its depth from the surface."""
    u_mm = math.hypot(*(plane_u_mm(cut.graph, plane) for plane in flats.planes[:2]))
    on = max(cut.line.outside, key=lambda p: min(p.high.at_mm, flats.high_mm) - max(p.low.at_mm, flats.low_mm))
    length = exact("length_mm", flats.high_mm - flats.low_mm, cut.slack.ragged_mm / 2)
    if flats.across_mm:
        sizes = [exact("width_mm", flats.across_mm, u_mm), length]
        why = because("features.flats", count=float(len(flats.planes)))
    else:
        surface = max(on.low_radius_mm, on.high_radius_mm)
        sizes = [exact("depth_mm", max(0.0, surface - flats.height_mm), u_mm), length]
        why = because("features.one_flat")
    hexagon = flats.is_hexagon
    own = next((p for p in cut.line.outside if p.ring and p.ring.main.id == flats.planes[0].id), None)
    if own is not None:
        on = None
    feature = feature_of(
        "hexagon" if hexagon else "flat",
        flats.planes,
        sizes,
        axis=cut.frame.axis if hexagon else flats.planes[0].axis,
        at_mm=cut.frame.at((flats.low_mm + flats.high_mm) / 2),
        along_mm=(flats.low_mm, flats.high_mm),
        why=(why,),
    )
    tag = tag_of(own, inside=False) if own is not None else f"flats {flats.planes[0].id}"
    return Draft(feature, tag, tag_of(on, inside=False) if on is not None and on.ring else None)


def hole_draft(cut: Cut, hole: Hole, number: int) -> Draft:
    """A hole beside the axis or across it."""
    along = cut.frame.along_of(hole.at_mm)
    parallel = angle_between_lines(hole.main.axis, cut.frame.axis) < 0.05
    half = hole.length_mm / 2 if parallel else hole.diameter_mm / 2
    u_mm = cut.slack.ragged_mm if hole.length_u_mm is None else hole.length_u_mm
    size = exact("length_mm" if hole.through else "depth_mm", hole.length_mm, u_mm)
    feature = feature_of(
        "bore",
        hole.patches,
        [diameter(hole.main), size],
        axis=hole.into,
        at_mm=hole.at_mm,
        along_mm=(along - half, along + half),
        through=hole.through,
        inside=True,
        why=(
            *(() if parallel else (because("features.cross_hole"),)),
            *(() if hole.bottom_seen else (because("features.bottom_unseen"),)),
        ),
    )
    return Draft(feature, f"hole {number}")


def slot_drafts(cut: Cut) -> Iterator[Draft]:
    """Slots across an end, such as a screw's: two facing walls astride the axis, a floor square to it."""
    taken = {p.id for keyway in cut.keyways for p in keyway.patches} | {p.id for f in cut.flats for p in f.planes}
    walls = [
        p
        for p in cut.graph.patches
        if p.kind == "plane"
        and p.id not in taken
        and p.area_mm2 > cut.slack.least_mm2
        and abs(math.pi / 2 - angle_between_lines(p.axis, cut.frame.axis)) < 0.05 + loose_angle(p, cut.slack)
    ]
    for width, a, b in facing(walls, cut.frame):
        reaches = [reach(p, cut.frame, cut.slack) for p in (a, b)]
        low, high = min(r[0] for r in reaches), max(r[1] for r in reaches)
        floor = slot_floor(cut, a, width, (low, high))
        if floor is None:
            continue
        looks_up = dot(floor.axis, cut.frame.axis) > 0
        mouth, foot = (high, cut.frame.along_of(floor.point)) if looks_up else (low, cut.frame.along_of(floor.point))
        u_mm = cut.slack.ragged_mm / 2
        feature = feature_of(
            "slot",
            [a, b, floor],
            [
                exact("width_mm", width, math.hypot(plane_u_mm(cut.graph, a), plane_u_mm(cut.graph, b))),
                exact("depth_mm", abs(mouth - foot), u_mm),
            ],
            axis=floor.axis,
            at_mm=cut.frame.at((mouth + foot) / 2),
            along_mm=(min(mouth, foot), max(mouth, foot)),
            through=False,
            why=(because("features.slot_across"),),
        )
        yield Draft(feature, f"slot {a.id}", explains=frozenset((a.id, b.id, floor.id)))


def in_a_corner(cut: Cut, a: Patch, b: Patch) -> bool:
    """Whether two patches meet in an inner corner."""
    return any(j.kind == "concave" and {j.a, j.b} == {a.id, b.id} for j in cut.graph.joints)


def slot_floor(cut: Cut, wall: Patch, width_mm: float, stretch: tuple[float, float]) -> Patch | None:
    """The square face between two walls, no wider than they stand apart, at an end of their stretch."""
    for face in cut.graph.patches:
        if face.kind != "plane" or angle_between_lines(face.axis, cut.frame.axis) > 0.05 or face.points is None:
            continue
        spread = (face.points - np.array(cut.frame.origin)) @ np.array(wall.axis)
        along = cut.frame.along_of(face.point)
        if cut.graph.noise_mm <= 0 and not in_a_corner(cut, face, wall):
            continue
        near = min(abs(along - end) for end in stretch) <= 0.25 * (stretch[1] - stretch[0]) + cut.slack.rounding_mm
        if float(np.ptp(spread)) <= 1.1 * width_mm and near and abs(float(spread.mean())) < 0.5 * width_mm:
            return face
    return None
