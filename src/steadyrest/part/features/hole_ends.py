"""Where a scanned hole ends: its walls joined where the scanner lost sight between them, its mouths and its bottom.

A *mouth* is a face that looks out of the hole along it; a *bottom* is what lies across the hole's own line beyond the
end of its wall. A scan shows too little of a deep corner for the joints there to be relied on.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from steadyrest.part.features.frame import Vec3, angle_between_lines, dot, line_distance, minus, plus
from steadyrest.part.features.holes import Hole, one_hole
from steadyrest.part.features.turned import Slack, loose_angle, plane_u_mm
from steadyrest.part.patch import Patch, PatchGraph

Points = npt.NDArray[np.float64]
ACROSS = 0.92  # of the radius: nearer to the line than that lies across the hole
LOOKS = 0.97
LEAST = 6  # points that must lie across before they close a hole
MADE_UP = 0.5  # share of a patch that nobody saw, from which it closes nothing
STEEPEST = 1.2  # rise of a drill's point towards its tip; common points rise by 0.6


@dataclass(frozen=True, slots=True)
class End:
    """One end of a hole. at_mm: along its line. u_mm: one sigma, None where only the wall's end was seen.

    by: the face at a mouth, or the bottom; None where none was recognised.
    """

    at_mm: float
    is_open: bool
    u_mm: float | None = None
    by: Patch | None = None


def scanned_holes(graph: PatchGraph, holes: Sequence[Hole], slack: Slack) -> tuple[Hole, ...]:
    """Holes with their walls joined and their ends settled; those of an exact part as they are.

    Args:
        graph: all patches, with their points.
        holes: as their walls and joints tell.
        slack: how exactly they are known.
    Returns: holes, largest first.
    """
    if graph.noise_mm <= 0:
        return tuple(holes)
    done: list[Hole] = []
    for hole in holes:
        twin = next((i for i, other in enumerate(done) if one_line(graph, other, hole, slack)), None)
        if twin is None:
            done.append(hole)
        else:
            a, b = sorted((done[twin], hole), key=lambda h: -h.main.area_mm2)
            done[twin] = one_hole(a, b)
    found = (with_ends(graph, hole, slack) for hole in done)
    return tuple(sorted(found, key=lambda h: (-h.diameter_mm, h.at_mm)))


def one_line(graph: PatchGraph, a: Hole, b: Hole, slack: Slack) -> bool:
    """Whether two walls are one hole's: on one line, alike, and nothing that was seen across it between them.

    Deep in a hole a scanner sees nothing and its program hangs skin from wall to wall: that closes no hole.
    """
    radius, axis = a.main.radius_mm, a.main.axis
    loose = 0.02 + loose_angle(a.main, slack) + loose_angle(b.main, slack)
    if angle_between_lines(axis, b.main.axis) > loose or abs(a.diameter_mm - b.diameter_mm) > 2 * slack.distance_mm:
        return False
    if line_distance(b.at_mm, a.at_mm, axis) > 0.05 * radius + slack.distance_mm:
        return False
    spans = sorted((span(a, a.main), span(b, a.main)))
    low, high = spans[0][1], spans[1][0]
    if high <= low:
        return True
    made_up = tuple(p for p in graph.patches if p.invented > MADE_UP)
    along, _ = across(graph, a, own=(*a.patches, *b.patches, *made_up))
    return int(np.count_nonzero((along > low - radius / 4) & (along < high + radius / 4))) < LEAST


def span(hole: Hole, main: Patch) -> tuple[float, float]:
    """From where to where a hole's walls reach along the line of one of them."""
    ends = [
        dot(minus(p.point, main.point), main.axis) + end * (1 if dot(p.axis, main.axis) > 0 else -1)
        for p in hole.patches
        for end in p.along_mm
    ]
    return min(ends), max(ends)


def across(graph: PatchGraph, hole: Hole, *, own: Sequence[Patch]) -> tuple[Points, Points]:
    """Points of other patches that lie across a hole: (n,) along its line, (n,) from it. Coaxial bores are no bar."""
    main = hole.main
    point, axis = np.array(main.point), np.array(main.axis)
    limit = ACROSS * main.radius_mm - 2 * graph.noise_mm
    skipped = {p.id for p in own}
    along: list[Points] = []
    off: list[Points] = []
    for patch in graph.patches:
        if patch.id in skipped or patch.points is None or narrows(patch, main):
            continue
        q = patch.points - point
        t = q @ axis
        rho = np.sqrt(np.maximum(np.einsum("ij,ij->i", q, q) - t * t, 0.0))
        near = rho < limit
        along.append(t[near])
        off.append(rho[near])
    return (np.concatenate(along), np.concatenate(off)) if along else (np.empty(0), np.empty(0))


def narrows(patch: Patch, main: Patch) -> bool:
    """Whether a patch is a narrower bore on the same line."""
    return (
        patch.kind == "cylinder"
        and patch.inside
        and angle_between_lines(patch.axis, main.axis) < 0.05
        and line_distance(patch.point, main.point, main.axis) < 0.1 * main.radius_mm
    )


def with_ends(graph: PatchGraph, hole: Hole, slack: Slack) -> Hole:
    """A hole with its two ends settled."""
    main = hole.main
    low, high = span(hole, main)
    along, off = across(graph, hole, own=hole.patches)
    first = end_of(graph, hole, slack, (low, -1), along, off)
    last = end_of(graph, hole, slack, (high, 1), along, off)
    through = first.is_open and last.is_open
    middle = plus(main.point, main.axis, (first.at_mm + last.at_mm) / 2)
    blind = first if not first.is_open else last
    into: Vec3 = main.axis if not last.is_open else (-main.axis[0], -main.axis[1], -main.axis[2])
    known = [u for u in (first.u_mm, last.u_mm) if u is not None]
    return replace(
        hole,
        length_mm=last.at_mm - first.at_mm,
        at_mm=middle,
        into=main.axis if through else into,
        through=through,
        bottom=None if through else blind.by,
        length_u_mm=math.hypot(*known) if len(known) == 2 else slack.ragged_mm,
        bottom_seen=through or (blind.by is not None or blind.u_mm is not None),
    )


def end_of(graph: PatchGraph, hole: Hole, slack: Slack, at: tuple[float, int], along: Points, off: Points) -> End:
    """One end: a mouth, a bottom, or open because nothing lies across."""
    end, sense = at
    main = hole.main
    mouth = mouth_at(graph, hole, slack, at)
    beyond = sense * (along - end) > -main.radius_mm / 2
    t, rho = sense * along[beyond], off[beyond]
    start = sense * end
    if mouth is not None:
        return End(mouth[0], True, plane_u_mm(graph, mouth[1]), mouth[1])
    bottom = bottom_at(graph, hole, slack, at)
    if bottom is not None:
        return End(bottom[0], False, plane_u_mm(graph, bottom[1]), bottom[1])
    if len(t) < LEAST:
        return End(end, not covered(graph, hole, at))
    nearest = float(np.sort(t)[LEAST - 1])
    near = t < nearest + 1.5 * main.radius_mm
    level = shoulder(t[near], rho[near], main.radius_mm, graph.noise_mm)
    if level is not None and abs(level - start) < main.radius_mm:
        return End(sense * level, False, 0.5 * slack.ragged_mm)
    return End(end, False)


def mouth_at(graph: PatchGraph, hole: Hole, slack: Slack, at: tuple[float, int]) -> tuple[float, Patch] | None:
    """The face that looks out of the hole and stands at its end, where it is nearest."""
    end, sense = at
    main = hole.main
    beside = joined_to(graph, hole)
    found: list[tuple[float, float, Patch]] = []
    for patch in graph.patches:
        lean = sense * dot(patch.axis, main.axis)
        if patch.kind != "plane" or lean < LOOKS or (patch.id not in beside and patch.area_mm2 < disc_mm2(main)):
            continue
        place = dot(minus(patch.point, main.point), patch.axis) / dot(main.axis, patch.axis)
        gap = sense * (place - end)
        near = -main.radius_mm / 2 - slack.rounding_mm < gap < slack.rounding_mm + 0.5 * main.radius_mm
        if near and (patch.id in beside or gap < slack.rounding_mm) and surrounds(patch, main):
            found.append((abs(gap), place, patch))
    return min(found, key=lambda f: f[0])[1:] if found else None


def surrounds(plane: Patch, main: Patch) -> bool:
    """Whether a face stands round a hole: it has points near the rim and none within."""
    if plane.points is None:
        return False
    q = plane.points - np.array(main.point)
    t = q @ np.array(main.axis)
    rho = np.sqrt(np.maximum(np.einsum("ij,ij->i", q, q) - t * t, 0.0))
    within, about = (rho < 0.85 * main.radius_mm).sum(), (rho < 2.5 * main.radius_mm).sum()
    return bool(about > 0 and within <= 0.02 * about)


def bottom_at(graph: PatchGraph, hole: Hole, slack: Slack, at: tuple[float, int]) -> tuple[float, Patch] | None:
    """The flat bottom, or the ledge of a counterbore: a plane that looks back into the hole at its end."""
    end, sense = at
    main = hole.main
    found: list[tuple[float, float, Patch]] = []
    for patch in graph.patches:
        lean = -sense * dot(patch.axis, main.axis)
        if patch.kind != "plane" or lean < LOOKS or patch.points is None or patch.area_mm2 > 1.2 * disc_mm2(main):
            continue
        if line_distance(patch.point, main.point, main.axis) > 0.5 * main.radius_mm:
            continue
        place = dot(minus(patch.point, main.point), patch.axis) / dot(main.axis, patch.axis)
        gap = sense * (place - end)
        if -main.radius_mm / 2 - slack.rounding_mm < gap < slack.rounding_mm + main.radius_mm:
            found.append((abs(gap), place, patch))
    return min(found, key=lambda f: f[0])[1:] if found else None


def covered(graph: PatchGraph, hole: Hole, at: tuple[float, int]) -> bool:
    """Whether a face beyond the end goes on across the hole's line, told by how many of its points should be there."""
    end, sense = at
    main = hole.main
    radius = ACROSS * main.radius_mm - 2 * graph.noise_mm
    for plane in graph.patches:
        if plane.kind != "plane" or plane.points is None or abs(dot(plane.axis, main.axis)) < LOOKS:
            continue
        place = dot(minus(plane.point, main.point), plane.axis) / dot(main.axis, plane.axis)
        expected = len(plane.points) / plane.area_mm2 * math.pi * radius * radius
        if sense * (place - end) < 0 or expected < 1.5:
            continue
        q = plane.points - np.array(main.point)
        t = q @ np.array(main.axis)
        within = int((np.einsum("ij,ij->i", q, q) - t * t < radius * radius).sum())
        if within >= max(2, 0.4 * expected):
            return True
    return False


def shoulder(t: Points, rho: Points, radius_mm: float, noise_mm: float) -> float | None:
    """Where a bottom, flat or pointed, meets the wall: its straight line from the tip carried out to the radius."""
    if len(t) < 2 * LEAST or float(np.ptp(rho)) < 0.3 * radius_mm:
        return None
    keep = np.ones(len(t), dtype=np.bool_)
    slope = level = 0.0
    for _ in range(3):
        slope, level = (float(c) for c in np.polyfit(rho[keep], t[keep], 1))
        rest = np.abs(t - level - slope * rho)
        keep = rest <= max(3 * noise_mm, 2.5 * float(np.median(rest[keep])))
        if keep.sum() < LEAST:
            return None
    good = float(np.median(np.abs(t[keep] - level - slope * rho[keep]))) < 2 * noise_mm + 0.03 * radius_mm
    return level + slope * radius_mm if good and abs(slope) < STEEPEST else None


def joined_to(graph: PatchGraph, hole: Hole) -> set[int]:
    """What a hole's walls meet at an outer edge."""
    own = {p.id for p in hole.patches}
    return {j.b if j.a in own else j.a for j in graph.joints if j.kind == "convex" and (j.a in own) != (j.b in own)}


def disc_mm2(main: Patch) -> float:
    return math.pi * main.radius_mm**2
