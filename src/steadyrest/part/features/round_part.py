"""What a machinist would name on a turned part."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace

from steadyrest.part.features.balls import arc_feature
from steadyrest.part.features.cut import Cut, tag_of
from steadyrest.part.features.draft import Draft, diameter, exact, feature_of
from steadyrest.part.features.profile import Bound, Piece
from steadyrest.part.features.recesses import Sunk, recess_drafts, recesses_of
from steadyrest.part.features.round_cuts import flats_draft, hole_draft, keyway_draft, slot_drafts
from steadyrest.part.features.shoulders import shoulder_drafts
from steadyrest.part.features.teeth import lobed_teeth, teeth_drafts, toothed
from steadyrest.part.features.turned import SquareFace, reach
from steadyrest.part.patch import Patch
from steadyrest.shop.figure import because
from steadyrest.shop.part import Feature, FeatureKind, Size

GROOVE_SHARE = 0.4  # widest groove, of the smaller neighbour's diameter; common practice, no source
CHAMFER_SHARE = 0.2  # longest chamfer leg, of the radius; common practice, no source
CHAMFER_MM = 6.0
WORTH_SAYING = 0.01  # of a scan's area; smaller scraps of it are rounded edges


def drafts_of(cut: Cut) -> list[Draft]:
    """Every feature of a turned part, unnamed."""
    sunk = recesses_of(cut, uncut_faces(cut))
    drafts = [
        *line_drafts(cut, cut.line.outside, inside=False),
        *line_drafts(cut, cut.line.inside, inside=True),
        *face_drafts(cut, sunk),
        *shoulder_drafts(cut),
        *(keyway_draft(cut, keyway) for keyway in cut.keyways),
        *(flats_draft(cut, flats) for flats in cut.flats),
        *(hole_draft(cut, hole, i) for i, hole in enumerate(cut.holes)),
        *slot_drafts(cut),
    ]
    drafts += [*fillet_drafts(cut), *recess_drafts(cut, sunk), *faces_apart(cut, sunk)]
    drafts = teeth_drafts(cut, toothed(cut), drafts)
    return [*drafts, *the_rest(cut, drafts)]


def line_drafts(cut: Cut, pieces: Sequence[Piece], *, inside: bool) -> Iterator[Draft]:
    """Shafts, bores, grooves, tapers and chamfers."""
    for i, piece in enumerate(pieces):
        if piece.ring is None or piece.ring.main.kind == "plane":  # a hexagon is named with the flats
            continue
        before, after = neighbour(pieces, i, -1), neighbour(pieces, i, 1)
        if piece.ring.arc is not None:
            yield Draft(arc_feature(cut, piece, before, after), tag_of(piece, inside=inside))
            continue
        if piece.ring.main.lobes:
            yield Draft(lobed_feature(cut, piece), tag_of(piece, inside=inside))
            continue
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
            why=(because("features.bottom_unseen"),) if depth is not None and unseen(cut, piece, before, after) else (),
        )
        carries = next(
            (n for n in (before, after) if n is not None and n.ring and n.ring.main.kind == "cylinder"), None
        )
        on = tag_of(carries, inside=inside) if kind == "chamfer" and carries else None
        yield Draft(feature, tag_of(piece, inside=inside), on)


def lobed_feature(cut: Cut, piece: Piece) -> Feature:
    """A stretch that is turned only on the whole, a grip or a knurl: free, with how often it rises and falls."""
    assert piece.ring is not None
    low, high = piece.low.at_mm, piece.high.at_mm
    main = piece.ring.main
    lobes = main.lobes
    teeth, sizes = lobed_teeth(lobes, main.crest_mm, cut.graph.noise_mm)
    lobed = (because("features.lobed", count=float(lobes)) if lobes > 1 else because("features.rough"),)
    feature = feature_of(
        "free",
        piece.ring.patches,
        sizes,
        axis=cut.frame.axis,
        at_mm=cut.frame.at((low + high) / 2),
        frame=cut.frame,
        along_mm=(low, high),
        inside=piece.ring.inside,
        why=teeth or lobed,
    )
    return replace(feature, teeth=lobes) if teeth else feature


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
    least = min(cut.slack.rounding_mm, cut.slack.distance_mm)
    deeper = own > max(sides) + least if inside else own < min(sides) - least
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
    u_mm = 2 * max(main.u_radius_mm, 0.05 if cut.graph.noise_mm > 0 else 0.0)
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
                free = free and not bottom_at(end, radius, step) and opens_at(cut, end, step)
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


def unseen(cut: Cut, piece: Piece, before: Piece | None, after: Piece | None) -> bool:
    """Whether a bore ends within the part at nothing that was seen."""
    ends = ((piece.low, before, -1), (piece.high, after, 1))
    return any(n is None and end.face is None and not opens_at(cut, end, step) for end, n, step in ends)


def opens_at(cut: Cut, end: Bound, step: int) -> bool:
    """Whether a scanned bore's last end is open: at the part's end, or in a face that looks out. Where its bottom was
    not seen, nothing stands there."""
    if cut.graph.noise_mm <= 0:
        return True
    part_end = cut.line.outside[0].low.at_mm if step < 0 else cut.line.outside[-1].high.at_mm
    return abs(end.at_mm - part_end) <= 2 * cut.slack.rounding_mm or (end.face is not None and end.face.sense == step)


def bottom_at(end: Bound, radius_mm: float, step: int) -> bool:
    """Whether a bore's end is closed: by a face that looks back into it and reaches the axis, or by its own point."""
    if radius_mm < 1e-6:
        return True
    face = end.face
    return face is not None and face.sense == -step and face.inner_mm < 0.3 * radius_mm


def face_drafts(cut: Cut, sunk: Sequence[Sunk]) -> Iterator[Draft]:
    """The faces that the line turns at, once each, no recess's floor; the last end face carries the length over all."""
    pieces = [*cut.line.outside, *cut.line.inside]
    seen = {one.floor.patch.id for one in sunk}
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


def uncut_faces(cut: Cut) -> list[SquareFace]:
    """Square faces that no keyway, flat or hole explains and that none of them borders."""
    cuts = {p.id for keyway in cut.keyways for p in keyway.patches} | {p.id for f in cut.flats for p in f.planes}
    cuts |= {p.id for hole in cut.holes for p in (*hole.patches, *((hole.bottom,) if hole.bottom else ()))}
    beside = {j.b if j.a in cuts else j.a for j in cut.graph.joints if (j.a in cuts) != (j.b in cuts)}
    sideways = {p.id for p in cut.graph.patches if not (cut.is_square(p) or cut.is_coaxial(p))}
    beside |= {j.b if j.a in sideways else j.a for j in cut.graph.joints if (j.a in sideways) != (j.b in sideways)}
    return [face for face in cut.faces if face.patch.id not in beside | cuts]


def faces_apart(cut: Cut, sunk: Sequence[Sunk]) -> Iterator[Draft]:
    """Square faces that the line does not turn at and that are no recess's floor."""
    drawn = {b.face.patch.id for p in (*cut.line.outside, *cut.line.inside) for b in (p.low, p.high) if b.face}
    drawn |= {one.floor.patch.id for one in sunk}
    for face in uncut_faces(cut):
        if face.patch.id in drawn:
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


def fillet_drafts(cut: Cut) -> Iterator[Draft]:
    """Rounded corners and edges that turn about the axis."""
    pieces = [p for p in (*cut.line.outside, *cut.line.inside) if p.ring]
    drawn = {patch.id for p in pieces if p.ring and p.ring.arc for patch in p.ring.patches}
    for patch in cut.graph.patches:
        if patch.kind != "torus" or patch.area_mm2 <= cut.slack.least_mm2 or not cut.is_coaxial(patch):
            continue
        if patch.id in drawn:
            continue
        low, high = reach(patch, cut.frame, cut.slack)
        domed = patch.minor_mm > patch.radius_mm + 1e-9
        key = "features.dome" if domed else "features.fillet_corner" if patch.inside else "features.fillet_edge"
        rings = [p for p in pieces if meets(cut, patch, p)]
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


def the_rest(cut: Cut, drafts: Sequence[Draft]) -> Iterator[Draft]:
    """Surfaces that no feature accounts for: small rounded corners as fillets, the others as they are."""
    taken = {number for draft in drafts for number in draft.explains}
    taken |= {p.id for keyway in cut.keyways for p in keyway.patches} | {p.id for f in cut.flats for p in f.planes}
    taken |= {p.id for hole in cut.holes for p in (*hole.patches, *((hole.bottom,) if hole.bottom else ()))}
    least = WORTH_SAYING * cut.graph.area_mm2 if cut.graph.scan else 0.0
    for patch in cut.graph.patches:
        if patch.id in taken or patch.area_mm2 <= least or cut.is_square(patch) or cut.is_coaxial(patch):
            continue
        smooth = any(j.kind == "smooth" and patch.id in (j.a, j.b) for j in cut.graph.joints)
        rounded = patch.kind == "cylinder" and smooth and patch.arc_rad < math.pi
        radius = patch.minor_mm if patch.kind == "torus" else patch.radius_mm
        low, high = reach(patch, cut.frame, cut.slack)
        key = (
            "features.no_name" if not rounded else "features.fillet_corner" if patch.inside else "features.fillet_edge"
        )
        feature = feature_of(
            "fillet" if rounded else "free",
            [patch],
            [exact("radius_mm", radius, patch.u_radius_mm)] if radius > 0 else [],
            axis=patch.axis,
            at_mm=patch.point,
            frame=cut.frame,
            along_mm=(low, high),
            inside=patch.inside,
            why=(because(key),),
        )
        yield Draft(feature, f"rest {patch.id}")


def meets(cut: Cut, patch: Patch, piece: Piece) -> bool:
    """Whether a patch shares a joint with a piece's surface."""
    own = {p.id for p in piece.ring.patches} if piece.ring else set[int]()
    return any((j.a == patch.id and j.b in own) or (j.b == patch.id and j.a in own) for j in cut.graph.joints)


def nearest(pieces: Sequence[Piece], low: float, high: float) -> Piece:
    """The piece whose middle is nearest to a stretch."""
    return min(pieces, key=lambda p: abs((p.low.at_mm + p.high.at_mm) - (low + high)))
