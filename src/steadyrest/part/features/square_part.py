"""What a machinist would name on a part that is not turned.

Bores, bosses, slots with round ends, pockets by their floors, fillets, chamfers and faces; the rest stays free.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from steadyrest.part.features.block import Block, Found
from steadyrest.part.features.countersinks import face_of, sink_of
from steadyrest.part.features.draft import Draft, diameter, exact, feature_of
from steadyrest.part.features.frame import dot, minus, plus
from steadyrest.part.features.holes import LEAST_ARC_RAD, Hole
from steadyrest.part.features.pockets import channels, corners, passages, pockets
from steadyrest.part.features.raised import raised
from steadyrest.part.features.round_slots import slots
from steadyrest.part.features.stepped_holes import Role, roles_of
from steadyrest.part.features.turned import Slack, plane_u_mm
from steadyrest.part.patch import Patch
from steadyrest.shop.figure import because
from steadyrest.shop.part import Size, Vec3

BLUNTEST_RAD = math.radians(82.5)
CHAMFER_SHARE = 0.1  # widest chamfer, of the part's size


def drafts_of(block: Block) -> list[Draft]:
    """Every feature of a part that is not turned, unnamed."""
    roles = roles_of(block.holes, block.slack)
    drafts = [
        replace(hole_draft(block, hole, i, roles.get(i)), explains=frozenset(p.id for p in hole.patches))
        for i, hole in enumerate(block.holes)
    ]
    taken = {p.id for hole in block.holes for p in hole.patches}
    taken |= {hole.bottom.id for hole in block.holes if hole.bottom is not None}
    # A freely shaped part has no chamfers that a drawing would show: its narrow planes are ends of soft curves.
    edged = () if block.refused else (fillets, chamfers)
    for maker in (raised, slots, pockets, passages, channels, corners, *edged, bosses, faces, the_rest):
        for draft, patches in maker(block, taken):
            drafts.append(replace(draft, explains=frozenset(patches - taken)))
            taken |= patches
    return drafts


def hole_draft(block: Block, hole: Hole, number: int, role: Role | None) -> Draft:
    """A hole; one that is a counterbore or a spotface stands on the hole under it."""
    u_mm = block.slack.ragged_mm if hole.length_u_mm is None else hole.length_u_mm
    depth = exact("length_mm" if hole.through else "depth_mm", hole.length_mm, u_mm)
    feature = feature_of(
        "bore",
        hole.patches,
        [diameter(hole.main), depth],
        axis=hole.into,
        at_mm=hole.at_mm,
        through=hole.through,
        inside=True,
        why=(
            *((role.why,) if role is not None else ()),
            *(() if hole.bottom_seen else (because("features.bottom_unseen"),)),
        ),
    )
    return Draft(feature, f"hole {number}", f"hole {role.under}" if role is not None else None)


def fillets(block: Block, taken: set[int]) -> Found:
    """Rounded corners and edges: part cylinders, tori and balls that run smoothly into what they meet."""
    for patch in block.graph.patches:
        if (
            patch.id in taken
            or patch.kind not in ("cylinder", "torus", "sphere")
            or patch.area_mm2 <= block.slack.least_mm2
        ):
            continue
        meets = block.joints_at(patch)
        smooth = sum(j.length_mm for j, _ in meets if j.kind == "smooth")
        if patch.arc_rad > LEAST_ARC_RAD and patch.kind == "cylinder":
            continue
        if smooth < 0.4 * sum(j.length_mm for j, _ in meets):
            continue
        radius = patch.minor_mm if patch.kind == "torus" else patch.radius_mm
        feature = feature_of(
            "fillet",
            [patch],
            [exact("radius_mm", radius, patch.u_radius_mm)],
            axis=patch.axis,
            at_mm=middle(patch),
            inside=patch.inside,
            why=(because("features.fillet_corner" if patch.inside else "features.fillet_edge"),),
        )
        yield Draft(feature, f"fillet {patch.id}"), {patch.id}


def middle(patch: Patch) -> Vec3:
    if patch.points is None or not len(patch.points):
        return patch.point
    x, y, z = (float(c) for c in patch.points.mean(axis=0))
    return x, y, z


def chamfers(block: Block, taken: set[int]) -> Found:
    """Narrow planes over an outer edge, and short cones at the mouth of a bore or on a boss."""
    size_mm = math.dist(*block.graph.box_mm)
    holes = {p.id: f"hole {i}" for i, hole in enumerate(block.holes) for p in hole.patches}
    for patch in block.graph.patches:
        if patch.id in taken or patch.kind not in ("plane", "cone"):
            continue
        meets = block.joints_at(patch)
        if patch.kind == "cone":
            on = next((holes[p.id] for _, p in meets if p.id in holes), None)
            low, high = patch.along_mm
            if nearly_flat(patch):
                why = (because("features.nearly_flat"),)
                feature = feature_of("face", [patch], [], axis=patch.axis, at_mm=middle(patch), why=why)
                yield Draft(feature, f"cone {patch.id}"), {patch.id}
                continue
            face, high = face_of(block, patch, high)
            sink = sink_of(block, patch, face, high, at_hole=on is not None)
            sizes: list[Size] = [
                Size("diameter_mm", sink.diameter_mm, sink.free_diameter_mm, sink.u_diameter_mm),
                exact("depth_mm", sink.depth_mm, block.slack.ragged_mm),
                Size(
                    "angle_deg",
                    2 * math.degrees(sink.half_angle_rad),
                    2 * math.degrees(patch.half_angle_rad),
                    sink.u_angle_deg,
                ),
            ]
            feature = feature_of(
                "cone", [patch], sizes, axis=patch.axis, at_mm=plus(patch.point, patch.axis, (low + high) / 2),
                inside=patch.inside, why=(because("features.countersink"),) if on and low > 0 else (),
            )  # fmt: skip
            yield Draft(feature, f"cone {patch.id}", on), {patch.id}
            continue
        slanted = [j for j, _ in meets if j.kind == "convex" and math.radians(20) < j.angle_rad < math.radians(70)]
        longest = max((j.length_mm for j in slanted), default=0.0)
        if len(slanted) < 2 or longest <= 0:
            continue
        width = patch.area_mm2 / longest
        if width < CHAMFER_SHARE * size_mm and width < 0.5 * longest:
            angle = slanted[0].angle_rad
            sizes = [exact("width_mm", width * math.cos(angle)), exact("angle_deg", math.degrees(angle))]
            feature = feature_of("chamfer", [patch], sizes, axis=patch.axis, at_mm=patch.point)
            yield Draft(feature, f"chamfer {patch.id}"), {patch.id}


def nearly_flat(cone: Patch) -> bool:
    """Whether a cone is so blunt and low that it is a face, a little dished or domed: no tool makes such a cone."""
    return cone.half_angle_rad > BLUNTEST_RAD


def bosses(block: Block, taken: set[int]) -> Found:
    """Full outside cylinders."""
    for patch in block.graph.patches:
        if patch.id in taken or patch.kind != "cylinder" or patch.inside or patch.arc_rad <= LEAST_ARC_RAD:
            continue
        if patch.area_mm2 <= block.slack.least_mm2:
            continue
        (low, u_low), (high, u_high) = boss_ends(block, patch)
        feature = feature_of(
            "boss",
            [patch],
            [diameter(patch), exact("length_mm", high - low, math.hypot(u_low, u_high))],
            axis=patch.axis,
            at_mm=plus(patch.point, patch.axis, (low + high) / 2),
        )
        yield Draft(feature, f"boss {patch.id}"), {patch.id}


def boss_ends(block: Block, patch: Patch) -> tuple[tuple[float, float], tuple[float, float]]:
    """Where a boss begins and ends along its axis, with one sigma of each: at the planes that it meets there."""
    ends = [(end, block.slack.ragged_mm) for end in patch.along_mm]
    if block.graph.noise_mm <= 0:
        return ends[0], ends[1]
    for _, plane in block.joints_at(patch):
        if plane.kind != "plane" or abs(dot(plane.axis, patch.axis)) < 0.97:
            continue
        place = dot(minus(plane.point, patch.point), plane.axis) / dot(patch.axis, plane.axis)
        which = 0 if place < 0 else 1
        if abs(place - patch.along_mm[which]) < 2 * block.slack.rounding_mm:
            ends[which] = (place, plane_u_mm(block.graph, plane))
    return ends[0], ends[1]


def faces(block: Block, taken: set[int]) -> Found:
    """Planes that nothing else explains."""
    for patch in block.graph.patches:
        if patch.kind == "plane" and patch.id not in taken and patch.area_mm2 > block.slack.least_mm2:
            feature = feature_of("face", [patch], [], axis=patch.axis, at_mm=patch.point)
            yield Draft(feature, f"face {patch.id}"), {patch.id}


def the_rest(block: Block, taken: set[int]) -> Found:
    """Surfaces without a name, said as they are."""
    for patch in rest(block.graph.patches, taken, block.slack):
        sizes = [exact("radius_mm", patch.radius_mm, patch.u_radius_mm)] if patch.radius_mm > 0 else []
        kind = "sphere" if is_ball(patch, block) else "free"
        why = (because("features.near_miss"),) if patch.id in block.refused else ()
        feature = feature_of(kind, [patch], sizes, axis=patch.axis, at_mm=middle(patch), inside=patch.inside, why=why)
        yield Draft(feature, f"free {patch.id}"), {patch.id}


def is_ball(patch: Patch, block: Block) -> bool:
    """Whether a ball is one: of a scan, a quarter of it must be there, or it is any rounded lump."""
    return patch.kind == "sphere" and (block.graph.noise_mm <= 0 or patch.area_mm2 > math.pi * patch.radius_mm**2)


def rest(patches: Sequence[Patch], taken: set[int], slack: Slack) -> list[Patch]:
    return [p for p in patches if p.id not in taken and p.area_mm2 > slack.least_mm2]
