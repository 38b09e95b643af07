"""Features, profile and patterns of a part from its patches."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

from steadyrest.part.features import round_part, square_part
from steadyrest.part.features.approach import directions_min
from steadyrest.part.features.axis import common_axis
from steadyrest.part.features.balls import chords
from steadyrest.part.features.block import block_of
from steadyrest.part.features.box import directions, size_of
from steadyrest.part.features.cut import Cut, tag_of
from steadyrest.part.features.draft import Draft, named, tidy
from steadyrest.part.features.flats import Flats, flats_of
from steadyrest.part.features.frame import Frame, cross, unit
from steadyrest.part.features.free_form import simple_share, without_near_misses
from steadyrest.part.features.grids import grids
from steadyrest.part.features.groove_names import with_groove_names
from steadyrest.part.features.hole_ends import scanned_holes
from steadyrest.part.features.holes import Hole, across_the_part, bolt_circles, holes_of
from steadyrest.part.features.keyways import keyways_of
from steadyrest.part.features.profile import Line, Piece, line_of
from steadyrest.part.features.recesses import profile_recess, recesses_of
from steadyrest.part.features.turned import Ring, Slack, is_turned, rings_of, slack_of, square_faces
from steadyrest.part.patch import PatchGraph
from steadyrest.shop.figure import because
from steadyrest.shop.part import Doubt, Feature, Pattern, Profile, Recess, Stretch, Vec3


@dataclass(frozen=True, slots=True)
class Found:
    """What the patches are, in a machinist's words. profile: of a turned part only.

    whose: (patch, feature) ids, for the patches of a part that is not turned.
    """

    features: tuple[Feature, ...]
    profile: Profile | None
    patterns: tuple[Pattern, ...]
    axisymmetric: bool
    size_mm: Vec3
    approach_directions_min: int | None
    doubts: tuple[Doubt, ...]
    whose: tuple[tuple[int, str], ...] = ()


def find(graph: PatchGraph) -> Found:
    """Features of a part from its patches alone; scans and solids alike.

    Args:
        graph: patches with their points, and joints.
    Returns: features F1, F2, ... in order along the axis (then larger first), profile, patterns, doubts.
    """
    slack = slack_of(graph)
    axis = graph.axis or common_axis(graph.patches, angle_rad=slack.angle_rad, distance_mm=slack.distance_mm)
    if axis is not None:
        found = turned_part(graph, Frame(*axis), slack)
        if found is not None:
            return found
    return other_part(graph, slack)


def turned_part(graph: PatchGraph, frame: Frame, slack: Slack) -> Found | None:
    """The features of a turned part, or None if it is not one."""
    sides = flats_of(graph, frame, slack, set())
    rings = all_rings(graph, frame, slack, sides)
    flats_mm2 = sum(p.area_mm2 for flats in sides for p in flats.planes)
    if not is_turned(graph, frame, slack, rings, flats_mm2=flats_mm2):
        return None
    line = line_of(graph, frame, slack, rings, square_faces(graph, frame, slack))
    if line is None:
        return None
    # Lengths count from the first end face.
    frame = frame.moved(line.outside[0].low.at_mm)
    rings = all_rings(graph, frame, slack, flats_of(graph, frame, slack, set()))
    faces = square_faces(graph, frame, slack)
    line = line_of(graph, frame, slack, rings, faces)
    assert line is not None
    keyways = keyways_of(graph, frame, slack, line.outside, line.inside)
    taken = {p.id for keyway in keyways for p in keyway.patches}
    flats = flats_of(graph, frame, slack, taken)
    taken |= {p.id for ring in rings for p in ring.patches}
    holes = scanned_holes(graph, across_the_part(holes_of(graph, slack, taken), frame, slack), slack)
    cut = Cut(graph, frame, slack, line, faces, keyways, flats, holes)
    features, ids = named(with_groove_names(cut, round_part.drafts_of(cut)))
    sunk = recesses_of(cut, round_part.uncut_faces(cut))
    profile = profile_of(frame, line, ids, tuple(profile_recess(one, ids.get(one.tag)) for one in sunk))
    return Found(
        features=features,
        profile=profile,
        patterns=patterns_of(graph, holes, ids, [(frame.origin, frame.axis, math.inf)], slack),
        axisymmetric=True,
        size_mm=turned_size(graph, frame, profile),
        approach_directions_min=directions_min(features, profile),
        doubts=doubts_of(graph, line, features),
    )


def turned_size(graph: PatchGraph, frame: Frame, profile: Profile) -> Vec3:
    """The box of a turned part, along its axis first; of several bodies in one file, the box of them all."""
    if (graph.solids or 1) < 2:
        return profile.length_mm, profile.largest_mm, profile.largest_mm
    across = unit(cross(frame.axis, (1.0, 0.0, 0.0) if abs(frame.axis[0]) < 0.7 else (0.0, 1.0, 0.0)))
    return size_of(graph, (frame.axis, across, cross(frame.axis, across)))


def all_rings(graph: PatchGraph, frame: Frame, slack: Slack, sides: tuple[Flats, ...]) -> tuple[Ring, ...]:
    """What turns about the axis, and hexagons as the round that they are cut from."""
    rings = rings_of(graph, frame, slack)
    bare = [
        flats
        for flats in sides
        if flats.is_hexagon
        and not any(r.covers((flats.low_mm + flats.high_mm) / 2) and r.widest_mm > flats.height_mm for r in rings)
    ]
    corner = 1 / math.cos(math.pi / 6)
    round_about = (
        Ring(f.planes, f.low_mm, f.high_mm, corner * f.across_mm / 2, corner * f.across_mm / 2) for f in bare
    )
    return (*rings, *round_about)


def other_part(graph: PatchGraph, slack: Slack) -> Found:
    """The features of a part that is not turned."""
    graph, refused = without_near_misses(graph)
    holes = scanned_holes(graph, holes_of(graph, slack, set()), slack)
    drafts: list[Draft] = square_part.drafts_of(block_of(graph, slack, holes, refused))
    features, ids = named(drafts)
    larger = [(hole.main.point, hole.main.axis, hole.diameter_mm) for hole in holes]
    return Found(
        features=features,
        profile=None,
        patterns=patterns_of(graph, holes, ids, larger, slack),
        axisymmetric=False,
        size_mm=size_of(graph, directions(graph)),
        approach_directions_min=directions_min(features, None),
        doubts=(*invented(features), *built_up(features), *free_form(graph, refused)),
        whose=tuple(sorted((patch, ids[draft.tag]) for draft in drafts for patch in draft.explains)),
    )


def patterns_of(
    graph: PatchGraph,
    holes: tuple[Hole, ...],
    ids: dict[str, str],
    centres: list[tuple[Vec3, Vec3, float]],
    slack: Slack,
) -> tuple[Pattern, ...]:
    """Bolt circles, then grids and rows of the holes left; none reaches from one body to another."""
    body = bodies_of(graph) if (graph.solids or 1) > 1 else {}
    named: dict[int, list[tuple[str, Hole]]] = {}
    for i, hole in enumerate(holes):
        named.setdefault(body.get(hole.main.id, 0), []).append((ids[f"hole {i}"], hole))
    found: list[Pattern] = []
    for some in named.values():
        round_ = bolt_circles(some, centres, slack)
        used = {name for pattern in round_ for name in pattern.features}
        found += [*round_, *grids([(name, hole) for name, hole in some if name not in used], slack)]
    found.sort(key=lambda p: (-p.count, -(p.diameter_mm or 0.0), p.features))
    return tuple(replace(pattern, id=f"P{i}") for i, pattern in enumerate(found, 1))


def bodies_of(graph: PatchGraph) -> dict[int, int]:
    """The body of each patch, by id: patches hang together over joints."""
    body = {patch.id: patch.id for patch in graph.patches}

    def root(i: int) -> int:
        while body[i] != i:
            body[i] = body[body[i]]
            i = body[i]
        return i

    for joint in graph.joints:
        a, b = root(joint.a), root(joint.b)
        body[max(a, b)] = min(a, b)
    return {i: root(i) for i in body}


def profile_of(frame: Frame, line: Line, ids: dict[str, str], recesses: tuple[Recess, ...] = ()) -> Profile:
    """The line as stretches, each with the feature that it comes from."""

    def stretches(pieces: tuple[Piece, ...], *, inside: bool) -> Iterator[Stretch]:
        for piece in pieces:
            name = ids.get(tag_of(piece, inside=inside)) if piece.ring else None
            if piece.ring is not None and piece.ring.arc is not None:
                yield from chords(piece, name)
            else:
                low, high = 2 * piece.low_radius_mm, 2 * piece.high_radius_mm
                yield Stretch(piece.low.at_mm, piece.high.at_mm, low, high, name)

    return Profile(
        origin_mm=tidy(frame.origin),
        axis=tidy(frame.axis),
        outside=tuple(stretches(line.outside, inside=False)),
        inside=tuple(stretches(line.inside, inside=True)),
        recesses=recesses,
    )


def doubts_of(graph: PatchGraph, line: Line, features: tuple[Feature, ...]) -> tuple[Doubt, ...]:
    """Ends without a face, stretches that no surface explains, features that the scanner invented."""
    doubts: list[Doubt] = []
    for seen, key in zip(line.end_faces, ("features.no_first_face", "features.no_last_face"), strict=True):
        if not seen and graph.scan:
            doubts.append(Doubt(because(key), because("features.ask_end")))
    gaps = [p for p in line.outside if p.ring is None]
    if gaps:
        length = math.fsum(p.length_mm for p in gaps)
        doubts.append(Doubt(because("features.gap", length_mm=length), because("features.ask_gap")))
    return (*doubts, *invented(features), *built_up(features))


def free_form(graph: PatchGraph, refused: frozenset[int]) -> tuple[Doubt, ...]:
    """That most of a part is shaped freely, and how many near misses were refused."""
    if not refused:
        return ()
    what = because(
        "features.free_form_part", hundredths=float(round(100 * (1 - simple_share(graph)))), count=float(len(refused))
    )
    return (Doubt(what, because("features.ask_free_form")),)


def invented(features: tuple[Feature, ...]) -> tuple[Doubt, ...]:
    names = [f.id for f in features if any(reason.key == "features.invented" for reason in f.why)]
    if not names:
        return ()
    return (Doubt(because("features.invented_which", features=", ".join(names)), because("features.ask_invented")),)


def built_up(features: tuple[Feature, ...]) -> tuple[Doubt, ...]:
    """Seats that were mended before, by weld or metal spray."""
    names = [f.id for f in features if any(reason.key == "features.built_up" for reason in f.why)]
    if not names:
        return ()
    return (Doubt(because("features.built_up_which", features=", ".join(names)), because("features.ask_built_up")),)
