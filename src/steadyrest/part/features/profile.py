"""The line that a turned part's surface draws beside its axis: pieces from end to end, outside and inside.

A *piece* is a ring between two *bounds*; a bound is a square face if one stands there, else where the two lines
cross, else half way. Rounded edges end at the corner that they round.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import numpy.typing as npt

from steadyrest.part.features.axis import coaxial
from steadyrest.part.features.frame import Frame, dot
from steadyrest.part.features.meeting import EDGE_U_MM, crossing_of, crossing_u_mm
from steadyrest.part.features.turned import Ring, Slack, SquareFace, loose_angle, plane_u_mm, reach
from steadyrest.part.patch import PatchGraph

SCRAP = 0.4  # of a shoulder's whole ring
LEAST_SEEN = 12  # points that must lie on a shoulder before they place it
SHOULDER_U_MM = 0.3  # share of their spread that more of them do not average away: rounding is the same all round


@dataclass(frozen=True, slots=True)
class Bound:
    """Where a piece ends. u_mm: one sigma. face: the square face that stands there."""

    at_mm: float
    u_mm: float
    face: SquareFace | None = None


@dataclass(frozen=True, slots=True)
class Piece:
    """One stretch of the line; ring None where no surface was found and the line is only carried across."""

    low: Bound
    high: Bound
    low_radius_mm: float
    high_radius_mm: float
    ring: Ring | None

    @property
    def length_mm(self) -> float:
        return self.high.at_mm - self.low.at_mm

    @property
    def length_u_mm(self) -> float:
        return float(np.hypot(self.low.u_mm, self.high.u_mm))


@dataclass(frozen=True, slots=True)
class Line:
    """The pieces outside without gaps, and inside where it is bored. end_faces: whether each end has a face, or is
    a ball's."""

    outside: tuple[Piece, ...]
    inside: tuple[Piece, ...]
    end_faces: tuple[bool, bool]


def rim_u_mm(graph: PatchGraph, slack: Slack) -> float:
    """How well the end of a surface without a face there is known."""
    return slack.rounding_mm / 2 if graph.noise_mm > 0 else 0.0


def line_of(
    graph: PatchGraph, frame: Frame, slack: Slack, rings: Sequence[Ring], faces: Sequence[SquareFace]
) -> Line | None:
    """The line of a turned part.

    Args:
        graph, frame, slack: all patches, the axis, how exactly they are known.
        rings: cylinders and cones about the axis.
        faces: planes square to it.
    Returns: pieces outside from end to end and inside; None without an outside ring.
    """
    outer = [ring for ring in rings if not ring.inside]
    if not outer:
        return None
    first, last = ends(graph, frame, slack, outer, faces)
    pieces = pieces_between(graph, frame, slack, envelope(outer, outside=True), faces, outside=True)
    outside = closed(graph, frame, slack, pieces, first, last)
    hollow = [ring for ring in rings if ring.inside and not surrounds(ring, outer)]
    inside = pieces_between(graph, frame, slack, envelope(hollow, outside=False), faces, outside=False)
    inside = tuple(ended(graph, frame, slack, inside, faces, (first, last)))
    balls = (outside[0].ring, outside[-1].ring)
    closed_ends = [ring is not None and ring.arc is not None and ring.arc.closed[k] for k, ring in enumerate(balls)]
    return Line(outside, inside, (first.face is not None or closed_ends[0], last.face is not None or closed_ends[1]))


def surrounds(ring: Ring, outer: Sequence[Ring]) -> bool:
    """Whether an inside ring goes round an outside one: a groove in a face, no bore."""
    middle = (ring.low_mm + ring.high_mm) / 2
    return any(o.covers(middle) and o.radius_at(middle) < ring.radius_at(middle) for o in outer)


def ends(
    graph: PatchGraph, frame: Frame, slack: Slack, outer: Sequence[Ring], faces: Sequence[SquareFace]
) -> tuple[Bound, Bound]:
    """The part's two ends: its outermost faces, or where its surface ends."""
    turned = [
        reach(p, frame, slack)
        for p in graph.patches
        if not p.inside
        and p.area_mm2 > slack.least_mm2
        and coaxial(p, frame.origin, frame.axis, angle_rad=loose_angle(p, slack), distance_mm=slack.distance_mm)
    ] or [(ring.low_mm, ring.high_mm) for ring in outer]
    low = min(*(r[0] for r in turned), *(ring.low_mm for ring in outer))
    high = max(*(r[1] for r in turned), *(ring.high_mm for ring in outer))
    lower = [f for f in faces if f.sense < 0 and f.at_mm <= low + slack.rounding_mm]
    upper = [f for f in faces if f.sense > 0 and f.at_mm >= high - slack.rounding_mm]
    first = bound_at(graph, max(lower, key=lambda f: f.patch.area_mm2)) if lower else None
    last = bound_at(graph, max(upper, key=lambda f: f.patch.area_mm2)) if upper else None
    return first or open_end(graph, slack, outer, low, upper=False), last or open_end(
        graph, slack, outer, high, upper=True
    )


def open_end(graph: PatchGraph, slack: Slack, outer: Sequence[Ring], at_mm: float, *, upper: bool) -> Bound:
    """The part's end where no face stands: a ball's pole is known as well as the ball."""
    for ring in outer:
        if (
            ring.arc is not None
            and ring.arc.closed[upper]
            and abs((ring.high_mm if upper else ring.low_mm) - at_mm) < 1e-6
        ):
            return Bound(
                settled(at_mm), math.hypot(ring.main.u_radius_mm, EDGE_U_MM / 2 if graph.noise_mm > 0 else 0.0)
            )
    return Bound(settled(at_mm), rim_u_mm(graph, slack))


def bound_at(graph: PatchGraph, face: SquareFace) -> Bound:
    return Bound(settled(face.at_mm), plane_u_mm(graph, face.patch), face)


def settled(at_mm: float) -> float:
    """Without the last digits and the minus on zero that arithmetic leaves."""
    return round(at_mm, 9) + 0.0


def envelope(rings: Sequence[Ring], *, outside: bool) -> list[tuple[Ring, float, float]]:
    """Rings and where each is the outermost (or, inside, the innermost), in order along the axis."""
    cuts = sorted({end for ring in rings for end in (ring.low_mm, ring.high_mm)})
    found: list[tuple[Ring, float, float]] = []
    for low, high in pairwise(cuts):
        middle = (low + high) / 2
        here = [ring for ring in rings if ring.covers(middle)]
        if not here or high - low < 1e-9:
            continue
        ring = (max if outside else min)(here, key=lambda r: (r.radius_at(middle), r.low_mm))
        if found and found[-1][0] is ring and abs(found[-1][2] - low) < 1e-9:
            found[-1] = (ring, found[-1][1], high)
        else:
            found.append((ring, low, high))
    return found


def pieces_between(
    graph: PatchGraph,
    frame: Frame,
    slack: Slack,
    stretches: Sequence[tuple[Ring, float, float]],
    faces: Sequence[SquareFace],
    *,
    outside: bool,
) -> list[Piece]:
    """Pieces with their bounds settled between neighbours; a gap that nothing explains is carried across."""
    u_mm = rim_u_mm(graph, slack)
    lows = [Bound(low, u_mm) for _, low, _ in stretches]
    highs = [Bound(high, u_mm) for _, _, high in stretches]
    carried: dict[int, Piece] = {}
    for i in range(len(stretches) - 1):
        (a, _, a_end), (b, b_start, _) = stretches[i], stretches[i + 1]
        step = a.radius_at(a_end) - b.radius_at(b_start)
        looks = 1 if (step > 0) == outside else -1
        between = [
            f
            for f in faces
            if a_end - slack.rounding_mm <= f.at_mm <= b_start + slack.rounding_mm
            and f.sense == looks
            and f.outer_mm > min(a.radius_at(a_end), b.radius_at(b_start)) - slack.distance_mm
            and f.inner_mm < max(a.radius_at(a_end), b.radius_at(b_start)) + slack.distance_mm
        ]
        ends = (a_end, a.radius_at(a_end)), (b_start, b.radius_at(b_start))
        # Of rings that overlap the larger is in front, yet the step may lie where the smaller one ends.
        reach = min(a_end, b.low_mm), max(b_start, a.high_mm)
        if graph.steps and step_at(graph, frame, slack, *ends, reach):
            # A scrap of a wall places it worse than all the edges round it do.
            whole = math.pi * abs(a.radius_at(a_end) ** 2 - b.radius_at(b_start) ** 2)
            between = [f for f in between if f.patch.area_mm2 > SCRAP * whole]
        crossing = crossing_of(a, b)
        gap = b_start - a_end
        shoulder = shoulder_of(graph, frame, slack, *ends, reach)
        if between and abs(step) > slack.distance_mm / 10:
            highs[i] = lows[i + 1] = bound_at(graph, max(between, key=lambda f: f.patch.area_mm2))
        elif crossing is not None and (reach[0] - slack.rounding_mm <= crossing <= reach[1] + slack.rounding_mm):
            highs[i] = lows[i + 1] = Bound(crossing, min(u_mm, crossing_u_mm(a, b)))
        elif shoulder is not None:
            highs[i] = lows[i + 1] = shoulder
        elif gap <= 2 * slack.rounding_mm:
            highs[i] = lows[i + 1] = Bound((a_end + b_start) / 2, u_mm)
        elif outside or gap <= slack.rounding_mm:
            carried[i] = Piece(highs[i], lows[i + 1], a.radius_at(a_end), b.radius_at(b_start), None)
    pieces: list[Piece] = []
    for i, (ring, _, _) in enumerate(stretches):
        low, high = lows[i], highs[i]
        if high.at_mm > low.at_mm:
            pieces.append(Piece(low, high, ring.radius_at(low.at_mm), ring.radius_at(high.at_mm), ring))
        if i in carried:
            pieces.append(carried[i])
    return pieces


def step_at(
    graph: PatchGraph, frame: Frame, slack: Slack, a: tuple[float, float], b: tuple[float, float],
    reach: tuple[float, float],
) -> Bound | None:  # fmt: skip
    """A scan's shoulder that was placed by itself, between these two radii; arguments as of shoulder_of."""
    step, middle = abs(a[1] - b[1]), (a[0] + b[0]) / 2
    # The scan's axis may point the other way: then what rises along it falls along the frame.
    turned = graph.axis is not None and dot(graph.axis[1], frame.axis) < 0
    near = [
        (abs(at_mm - middle), at_mm, one.u_mm)
        for one in graph.steps
        if reach[0] - 2 * slack.rounding_mm <= (at_mm := frame.along_of(one.point)) <= reach[1] + 2 * slack.rounding_mm
        and abs(min(one.radii_mm) - min(a[1], b[1])) < 0.3 * step
        and abs(max(one.radii_mm) - max(a[1], b[1])) < 0.3 * step
        # A narrow groove has two walls between the same radii.
        and (one.radii_mm[1] > one.radii_mm[0]) == ((b[1] > a[1]) != turned)
    ]
    if not near:
        return None
    _, at_mm, u_mm = min(near)
    return Bound(settled(at_mm), u_mm)


def shoulder_of(
    graph: PatchGraph, frame: Frame, slack: Slack, a: tuple[float, float], b: tuple[float, float],
    reach: tuple[float, float],
) -> Bound | None:  # fmt: skip
    """A scan's shoulder too narrow to be a face of its own: where the points between the two radii lie.

    Args:
        graph, frame, slack: all patches, the axis, how exactly they are known.
        a, b: the ring before it ends there and the ring after it begins there: along the axis, radius.
        reach: from where to where along the axis either of them ends.
    Returns: the shoulder's place, or None when the step is no more than noise or nothing was seen of it.
    """
    step = abs(a[1] - b[1])
    if not graph.scan or step < max(6 * graph.noise_mm, slack.distance_mm):
        return None
    placed = step_at(graph, frame, slack, a, b, reach)
    if placed is not None:
        return placed
    low, high = min(a[1], b[1]) + 0.3 * step, max(a[1], b[1]) - 0.3 * step
    seen: list[npt.NDArray[np.float64]] = []
    for patch in graph.patches:
        if patch.points is None or not len(patch.points):
            continue
        along, radius = frame.along(patch.points), frame.from_axis(patch.points)
        between = (
            (radius > low) & (radius < high) & (along > a[0] - slack.rounding_mm) & (along < b[0] + slack.rounding_mm)
        )
        seen.append(along[between])
    places = np.concatenate(seen) if seen else np.empty(0)
    if len(places) < LEAST_SEEN:
        return None
    middle = float(np.median(places))
    spread = 1.4826 * float(np.median(np.abs(places - middle)))
    return Bound(settled(middle), float(np.hypot(spread / np.sqrt(len(places)), SHOULDER_U_MM * min(1.0, spread))))


def closed(
    graph: PatchGraph, frame: Frame, slack: Slack, pieces: Sequence[Piece], first: Bound, last: Bound
) -> tuple[Piece, ...]:
    """The outside pieces carried to both ends, a domed or rounded end as a taper to what stands there."""
    size_mm = last.at_mm - first.at_mm
    done: list[Piece] = [p for p in pieces if p.high.at_mm > first.at_mm and p.low.at_mm < last.at_mm]
    for low in (True, False):
        end, bound = (done[0], first) if low else (done[-1], last)
        gap = end.low.at_mm - bound.at_mm if low else bound.at_mm - end.high.at_mm
        ring = end.ring
        radius = ring.radius_at(bound.at_mm) if ring else (end.low_radius_mm if low else end.high_radius_mm)
        rounded = rounding_at(graph, frame, slack, bound.at_mm, gap)
        domed = bound.face is None and gap > 0.02 * size_mm and not (graph.broken or rounded)
        if domed:
            edge = end.low if low else end.high
            edge_radius = end.low_radius_mm if low else end.high_radius_mm
            tip = tip_radius_mm(graph, frame, bound.at_mm, size_mm)
            piece = Piece(bound, edge, tip, edge_radius, None) if low else Piece(edge, bound, edge_radius, tip, None)
            done.insert(0, piece) if low else done.append(piece)
        elif low:
            done[0] = Piece(bound, end.high, radius, end.high_radius_mm, ring)
        else:
            done[-1] = Piece(done[-1].low, bound, done[-1].low_radius_mm, radius, ring)
    return tuple(done)


def rounding_at(graph: PatchGraph, frame: Frame, slack: Slack, at_mm: float, gap_mm: float) -> bool:
    """Whether an end without a face is the crest of a rounded edge, which stands for the corner that it rounds."""
    return any(
        patch.kind == "torus"
        and not patch.inside
        and patch.minor_mm < 0.25 * patch.radius_mm
        and gap_mm <= 1.05 * patch.minor_mm
        and min(abs(end - at_mm) for end in reach(patch, frame, slack)) <= 0.05 * patch.minor_mm + slack.rounding_mm
        for patch in graph.patches
    )


def tip_radius_mm(graph: PatchGraph, frame: Frame, at_mm: float, size_mm: float) -> float:
    """The radius of what stands at an end without a face: small for a dome."""
    radii = [
        float(frame.from_axis(p.points)[near].max())
        for p in graph.patches
        if p.points is not None and (near := np.abs(frame.along(p.points) - at_mm) < 1e-3 * size_mm).any()
    ]
    return max(radii, default=0.0)


def ended(
    graph: PatchGraph,
    frame: Frame,
    slack: Slack,
    pieces: Sequence[Piece],
    faces: Sequence[SquareFace],
    part_ends: tuple[Bound, Bound],
) -> list[Piece]:
    """The inside pieces with their free ends on the face that stands there: a mouth or a bottom."""
    done: list[Piece] = []
    for i, piece in enumerate(pieces):
        low, high = piece.low, piece.high
        if i == 0 or pieces[i - 1].high.at_mm < low.at_mm - 1e-9:
            low = face_at(graph, frame, slack, low, piece.low_radius_mm, faces, part_ends)
        if i == len(pieces) - 1 or pieces[i + 1].low.at_mm > high.at_mm + 1e-9:
            high = face_at(graph, frame, slack, high, piece.high_radius_mm, faces, part_ends)
        ring = piece.ring
        low_radius = ring.radius_at(low.at_mm) if ring else piece.low_radius_mm
        high_radius = ring.radius_at(high.at_mm) if ring else piece.high_radius_mm
        done.append(Piece(low, high, low_radius, high_radius, ring))
    return done


def face_at(
    graph: PatchGraph,
    frame: Frame,
    slack: Slack,
    bound: Bound,
    radius_mm: float,
    faces: Sequence[SquareFace],
    part_ends: tuple[Bound, Bound],
) -> Bound:
    """The face at a free end of a bore, or the part's end near it, or the end as it was seen."""
    near = [
        f
        for f in faces
        if abs(f.at_mm - bound.at_mm) <= max(slack.rounding_mm, 1e-6)
        and f.inner_mm <= radius_mm + slack.distance_mm <= f.outer_mm + 2 * slack.distance_mm
    ]
    if near:
        return bound_at(graph, min(near, key=lambda f: abs(f.at_mm - bound.at_mm)))
    for end in part_ends:
        gap = abs(end.at_mm - bound.at_mm)
        if gap <= 2 * slack.rounding_mm or rounding_at(graph, frame, slack, end.at_mm, gap):
            return end
    return bound
