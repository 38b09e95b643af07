"""What a machinist would name on a turned part."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from steadyrest.part.features.axis import across, coaxial
from steadyrest.part.features.draft import Draft, diameter, exact, feature_of
from steadyrest.part.features.flats import Flats
from steadyrest.part.features.frame import Frame, angle_between_lines, dot
from steadyrest.part.features.holes import Hole
from steadyrest.part.features.keyways import Keyway, facing, width_u_mm
from steadyrest.part.features.profile import Bound, Line, Piece
from steadyrest.part.features.turned import Slack, SquareFace, loose_angle, plane_u_mm, reach
from steadyrest.part.patch import Patch, PatchGraph
from steadyrest.shop.figure import because
from steadyrest.shop.part import FeatureKind, Size

GROOVE_SHARE = 0.4  # widest groove, of the smaller neighbour's diameter; common practice, no source
CHAMFER_SHARE = 0.2  # longest chamfer leg, of the radius; common practice, no source
CHAMFER_MM = 6.0


@dataclass(frozen=True, slots=True)
class Cut:
    """All that is known of a turned part before its features are named."""

    graph: PatchGraph
    frame: Frame
    slack: Slack
    line: Line
    faces: tuple[SquareFace, ...]
    keyways: tuple[Keyway, ...]
    flats: tuple[Flats, ...]
    holes: tuple[Hole, ...]

    def is_square(self, patch: Patch) -> bool:
        return across(patch, self.frame.axis, angle_rad=loose_angle(patch, self.slack))


def tag_of(piece: Piece, *, inside: bool) -> str:
    return f"{'in' if inside else 'out'} {piece.low.at_mm:.9f}"


def drafts_of(cut: Cut) -> list[Draft]:
    """Every feature of a turned part, unnamed."""
    drafts = [
        *line_drafts(cut, cut.line.outside, inside=False),
        *line_drafts(cut, cut.line.inside, inside=True),
        *face_drafts(cut),
        *(keyway_draft(cut, keyway) for keyway in cut.keyways),
        *(flats_draft(cut, flats) for flats in cut.flats),
        *(hole_draft(cut, hole, i) for i, hole in enumerate(cut.holes)),
        *slot_drafts(cut),
    ]
    return [*drafts, *fillet_drafts(cut), *faces_apart(cut)]


def line_drafts(cut: Cut, pieces: Sequence[Piece], *, inside: bool) -> Iterator[Draft]:
    """Shafts, bores, grooves, tapers and chamfers."""
    for i, piece in enumerate(pieces):
        if piece.ring is None or piece.ring.main.kind == "plane":  # a hexagon is named with the flats
            continue
        before, after = neighbour(pieces, i, -1), neighbour(pieces, i, 1)
        kind: FeatureKind = "bore" if inside else "shaft"
        if piece.ring.main.kind == "cone":
            kind = "chamfer" if is_chamfer(piece, before, after) else "cone"
        elif is_groove(cut, piece, before, after, inside=inside):
            kind = "groove"
        low, high = piece.low.at_mm, piece.high.at_mm
        through, depth = bore_depth(cut, pieces, i) if inside and kind == "bore" else (None, None)
        sizes = sizes_of(cut, piece, kind, before=before, after=after)
        if depth is not None:
            sizes.append(depth)
        feature = feature_of(
            kind,
            piece.ring.patches,
            sizes,
            axis=cut.frame.axis,
            at_mm=cut.frame.at((low + high) / 2),
            frame=cut.frame,
            along_mm=(low, high),
            through=through,
            inside=inside,
        )
        carries = next(
            (n for n in (before, after) if n is not None and n.ring and n.ring.main.kind == "cylinder"), None
        )
        on = tag_of(carries, inside=inside) if kind == "chamfer" and carries else None
        yield Draft(feature, tag_of(piece, inside=inside), on)


def neighbour(pieces: Sequence[Piece], i: int, step: int) -> Piece | None:
    """The piece before or after, if it touches."""
    j = i + step
    if not 0 <= j < len(pieces):
        return None
    gap = pieces[i].low.at_mm - pieces[j].high.at_mm if step < 0 else pieces[j].low.at_mm - pieces[i].high.at_mm
    return pieces[j] if abs(gap) < 1e-6 else None


def is_chamfer(piece: Piece, before: Piece | None, after: Piece | None) -> bool:
    """A short cone between a cylinder and an edge."""
    assert piece.ring is not None
    leg = max(piece.length_mm, abs(piece.high_radius_mm - piece.low_radius_mm))
    short = leg <= min(CHAMFER_MM, CHAMFER_SHARE * piece.ring.widest_mm)
    steep = math.radians(14) < piece.ring.main.half_angle_rad < math.radians(76)
    stands = any(n is not None and n.ring is not None and n.ring.main.kind == "cylinder" for n in (before, after))
    return short and steep and stands and piece.length_mm > 0


def is_groove(cut: Cut, piece: Piece, before: Piece | None, after: Piece | None, *, inside: bool) -> bool:
    """A short neck between two larger diameters (inside: a short recess between two smaller ones)."""
    if before is None or after is None or piece.ring is None:
        return False
    sides = (before.high_radius_mm, after.low_radius_mm)
    own = piece.low_radius_mm
    deeper = own > max(sides) + cut.slack.rounding_mm if inside else own < min(sides) - cut.slack.rounding_mm
    return deeper and piece.length_mm <= GROOVE_SHARE * 2 * min(sides)


def sizes_of(cut: Cut, piece: Piece, kind: FeatureKind, *, before: Piece | None, after: Piece | None) -> list[Size]:
    """A piece's sizes, the principal one first."""
    assert piece.ring is not None
    main = piece.ring.main
    length = exact("length_mm", piece.length_mm, piece.length_u_mm)
    if main.kind == "cylinder":
        if kind == "groove" and before is not None and after is not None:
            sides = (before.high_radius_mm, after.low_radius_mm)
            depth = abs(piece.low_radius_mm - (max(sides) if main.inside else min(sides)))
            width = exact("width_mm", piece.length_mm, piece.length_u_mm)
            return [width, diameter(main), exact("depth_mm", depth, main.u_radius_mm)]
        return [diameter(main), length]
    angle_u = math.degrees(main.u_axis_rad)
    if kind == "chamfer":
        width = exact("width_mm", piece.length_mm, piece.length_u_mm)
        return [width, exact("angle_deg", math.degrees(main.half_angle_rad), angle_u)]
    u_mm = 2 * max(main.u_radius_mm, 0.05 if cut.graph.scan else 0.0)
    widest = exact("diameter_mm", 2 * max(piece.low_radius_mm, piece.high_radius_mm), u_mm)
    return [widest, length, exact("angle_deg", 2 * math.degrees(main.half_angle_rad), 2 * angle_u)]


def bore_depth(cut: Cut, pieces: Sequence[Piece], i: int) -> tuple[bool, Size | None]:
    """Whether a bore goes through (nothing narrower towards either end, both open), and a blind one's depth.

    The depth counts from the mouth, that is the open end towards which nothing is narrower.
    """
    piece = pieces[i]
    tolerance = cut.slack.distance_mm
    own = min(piece.low_radius_mm, piece.high_radius_mm) - tolerance
    clear: dict[int, Bound | None] = {}
    for step in (-1, 1):
        at, j, free = piece, i, True
        while free:
            end = at.low if step < 0 else at.high
            radius = at.low_radius_mm if step < 0 else at.high_radius_mm
            free = radius >= own
            after = neighbour(pieces, j, step)
            if after is None:
                free = free and not bottom_at(end, radius, step)
                break
            j, at = j + step, after
            free = free and min(at.low_radius_mm, at.high_radius_mm) >= own
        clear[step] = (at.low if step < 0 else at.high) if free else None
    low, high = clear[-1], clear[1]
    if low is not None and high is not None:
        return True, None
    if low is None and high is None:
        return False, None
    mouth, foot = (low, piece.high) if low is not None else (high, piece.low)
    assert mouth is not None
    return False, exact("depth_mm", abs(foot.at_mm - mouth.at_mm), math.hypot(foot.u_mm, mouth.u_mm))


def bottom_at(end: Bound, radius_mm: float, step: int) -> bool:
    """Whether a bore's end is closed: by a face that looks back into it and reaches the axis, or by its own point."""
    if radius_mm < 1e-6:
        return True
    face = end.face
    return face is not None and face.sense == -step and face.inner_mm < 0.3 * radius_mm


def face_drafts(cut: Cut) -> Iterator[Draft]:
    """The faces that the line turns at, once each; the last end face carries the length over all."""
    pieces = [*cut.line.outside, *cut.line.inside]
    seen: set[int] = set()
    first, last = cut.line.outside[0].low, cut.line.outside[-1].high
    for bound in sorted((b for p in pieces for b in (p.low, p.high)), key=lambda b: b.at_mm):
        face = bound.face
        if face is None or face.patch.id in seen:
            continue
        seen.add(face.patch.id)
        over_all = bound.face is last.face
        total = exact("length_mm", last.at_mm - first.at_mm, math.hypot(first.u_mm, last.u_mm))
        yield Draft(
            feature_of(
                "face",
                [face.patch],
                [total] if over_all else [],
                axis=face.patch.axis,
                at_mm=cut.frame.at(bound.at_mm),
                frame=cut.frame,
                along_mm=(bound.at_mm, bound.at_mm),
                why=(because("features.over_all"),) if over_all else (),
            ),
            f"face {face.patch.id}",
        )


def faces_apart(cut: Cut) -> Iterator[Draft]:
    """Square faces that the line does not turn at and no cut explains: the floor of a recess in an end face."""
    drawn = {b.face.patch.id for p in (*cut.line.outside, *cut.line.inside) for b in (p.low, p.high) if b.face}
    cuts = {p.id for keyway in cut.keyways for p in keyway.patches} | {p.id for f in cut.flats for p in f.planes}
    cuts |= {p.id for hole in cut.holes for p in (*hole.patches, *((hole.bottom,) if hole.bottom else ()))}
    beside = {j.b if j.a in cuts else j.a for j in cut.graph.joints if (j.a in cuts) != (j.b in cuts)}
    sideways = {p.id for p in cut.graph.patches if p.kind in ("plane", "free") and not cut.is_square(p)}
    beside |= {j.b if j.a in sideways else j.a for j in cut.graph.joints if (j.a in sideways) != (j.b in sideways)}
    for face in cut.faces:
        if face.patch.id in drawn or face.patch.id in beside or face.patch.id in cuts:
            continue
        at = cut.frame.along_of(face.patch.point)
        feature = feature_of(
            "face",
            [face.patch],
            [],
            axis=face.patch.axis,
            at_mm=cut.frame.at(at),
            frame=cut.frame,
            along_mm=(at, at),
            why=(because("features.face_apart"),),
        )
        yield Draft(feature, f"face {face.patch.id}")


def keyway_draft(cut: Cut, keyway: Keyway) -> Draft:
    """Width, depth from the surface at the key's centre line, length over its ends."""
    assert keyway.floor is not None
    u_floor = plane_u_mm(cut.graph, keyway.floor)
    carrier = keyway.on.ring.main if keyway.on.ring else None
    u_depth = math.hypot(u_floor, carrier.u_unworn_mm if carrier else 0.0)
    u_length = cut.slack.rounding_mm / 2 if cut.graph.scan else 0.0
    low, high = keyway.low_mm, keyway.high_mm
    end_mm = cut.line.outside[-1].high.at_mm
    is_open = low <= 2 * cut.slack.rounding_mm or high >= end_mm - 2 * cut.slack.rounding_mm
    key = "features.keyway_open" if is_open else "features.keyway_ends"
    why = because(key, round_ends=float(keyway.round_ends))
    x, y, z = cut.frame.at((low + high) / 2)
    out, lift = keyway.out, keyway.surface_mm
    feature = feature_of(
        "keyway" if keyway.is_keyway else "slot",
        keyway.patches,
        [
            exact("width_mm", keyway.width_mm, width_u_mm(cut.graph, keyway)),
            exact("depth_mm", keyway.depth_mm, u_depth),
            exact("length_mm", high - low, u_length),
        ],
        axis=keyway.out,
        at_mm=(x + lift * out[0], y + lift * out[1], z + lift * out[2]),
        along_mm=(low, high),
        through=False,
        inside=keyway.inside,
        why=(why,),
    )
    return Draft(feature, f"keyway {keyway.walls[0].id}", tag_of(keyway.on, inside=keyway.inside))


def flats_draft(cut: Cut, flats: Flats) -> Draft:
    """A hexagon or two flats by their width across; one flat by its depth from the surface."""
    u_mm = math.hypot(*(plane_u_mm(cut.graph, plane) for plane in flats.planes[:2]))
    on = max(cut.line.outside, key=lambda p: min(p.high.at_mm, flats.high_mm) - max(p.low.at_mm, flats.low_mm))
    length = exact("length_mm", flats.high_mm - flats.low_mm, cut.slack.rounding_mm / 2 if cut.graph.scan else 0.0)
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
    u_mm = cut.slack.rounding_mm if cut.graph.scan else 0.0
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
        why=() if parallel else (because("features.cross_hole"),),
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
        u_mm = cut.slack.rounding_mm / 2 if cut.graph.scan else 0.0
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
        yield Draft(feature, f"slot {a.id}")


def slot_floor(cut: Cut, wall: Patch, width_mm: float, stretch: tuple[float, float]) -> Patch | None:
    """The square face between two walls, no wider than they stand apart, at an end of their stretch."""
    for face in cut.graph.patches:
        if face.kind != "plane" or angle_between_lines(face.axis, cut.frame.axis) > 0.05 or face.points is None:
            continue
        spread = (face.points - np.array(cut.frame.origin)) @ np.array(wall.axis)
        along = cut.frame.along_of(face.point)
        near = min(abs(along - end) for end in stretch) <= 0.25 * (stretch[1] - stretch[0]) + cut.slack.rounding_mm
        if float(np.ptp(spread)) <= 1.1 * width_mm and near and abs(float(spread.mean())) < 0.5 * width_mm:
            return face
    return None


def fillet_drafts(cut: Cut) -> Iterator[Draft]:
    """Rounded corners and edges that turn about the axis."""
    for patch in cut.graph.patches:
        if (
            patch.kind != "torus"
            or patch.area_mm2 <= cut.slack.least_mm2
            or not coaxial(
                patch,
                cut.frame.origin,
                cut.frame.axis,
                angle_rad=loose_angle(patch, cut.slack),
                distance_mm=cut.slack.distance_mm,
            )
        ):
            continue
        low, high = reach(patch, cut.frame, cut.slack)
        domed = patch.minor_mm > patch.radius_mm + 1e-9
        key = "features.dome" if domed else "features.fillet_corner" if patch.inside else "features.fillet_edge"
        rings = [p for p in (*cut.line.outside, *cut.line.inside) if p.ring and meets(cut, patch, p)]
        on = nearest(rings, low, high) if rings else None
        yield Draft(
            feature_of(
                "free" if domed else "fillet",
                [patch],
                [exact("radius_mm", patch.minor_mm, patch.u_radius_mm)],
                axis=cut.frame.axis,
                at_mm=cut.frame.at((low + high) / 2),
                frame=cut.frame,
                along_mm=(low, high),
                inside=patch.inside,
                why=(because(key),),
            ),
            f"fillet {patch.id}",
            tag_of(on, inside=on.ring.inside) if on is not None and on.ring is not None else None,
        )


def meets(cut: Cut, patch: Patch, piece: Piece) -> bool:
    """Whether a patch shares a joint with a piece's surface."""
    own = {p.id for p in piece.ring.patches} if piece.ring else set[int]()
    return any((j.a == patch.id and j.b in own) or (j.b == patch.id and j.a in own) for j in cut.graph.joints)


def nearest(pieces: Sequence[Piece], low: float, high: float) -> Piece:
    """The piece whose middle is nearest to a stretch."""
    return min(pieces, key=lambda p: abs((p.low.at_mm + p.high.at_mm) - (low + high)))
