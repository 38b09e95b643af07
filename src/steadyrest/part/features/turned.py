"""Surfaces of revolution about the part's axis, and the faces square to it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from steadyrest.part.features.arc import Arc, line_arc
from steadyrest.part.features.axis import across, coaxial
from steadyrest.part.features.frame import Frame, dot, minus
from steadyrest.part.patch import Patch, PatchGraph

MOSTLY_INVENTED = 0.5
LEAST_ARC_RAD = math.radians(60)
SLICES = 12
LEAST_TEETH = 6  # crests of one height about the axis: a square's rounded corners are four
TOOTHED = 0.5  # of the round that the crests of teeth, or the lands between slots, still fill


@dataclass(frozen=True, slots=True)
class Slack:
    """How exactly a part is known: what may differ and still be the same.

    angle_rad, distance_mm: between axes that are one.
    rounding_mm: how far short of its true edge a surface may end.
    least_mm2: smaller patches are no features.
    ragged_mm: the same as an uncertainty: 0 where edges are exact.
    tail: share of a patch's points that may lie beyond its end.
    """

    angle_rad: float
    distance_mm: float
    rounding_mm: float
    ragged_mm: float
    least_mm2: float
    tail: float


def slack_of(graph: PatchGraph) -> Slack:
    """Exact for a solid; for a scan by its noise."""
    size_mm = math.dist(*graph.box_mm)
    if not graph.scan:
        return Slack(1e-4, 1e-4 * size_mm, 1e-6 * size_mm, 0.0, 0.0, 0.0)
    noise = graph.noise_mm
    if noise <= 0:  # a mesh made from a solid: its corners are exact, its edges sharp
        return Slack(math.radians(0.3), 4e-4 * size_mm, 2e-4 * size_mm, 0.0, 0.0, 0.0)
    rounding = min(0.4 + 6 * noise, 0.02 * size_mm)
    return Slack(
        angle_rad=math.radians(1.5),
        distance_mm=max(4 * noise, 0.1, 1e-3 * size_mm),
        rounding_mm=rounding,
        ragged_mm=rounding,
        least_mm2=2e-4 * graph.area_mm2,
        tail=0.005,
    )


@dataclass(frozen=True, slots=True)
class Ring:
    """Patches that are one surface of revolution about the axis.

    low_mm, high_mm: along the axis. low_radius_mm, high_radius_mm: there, before wear. arc: of a ball or a torus.
    """

    patches: tuple[Patch, ...]
    low_mm: float
    high_mm: float
    low_radius_mm: float
    high_radius_mm: float
    arc: Arc | None = None

    @property
    def main(self) -> Patch:
        return self.patches[0]

    @property
    def inside(self) -> bool:
        return self.main.inside if self.arc is None else self.arc.inner

    @property
    def area_mm2(self) -> float:
        return sum(patch.area_mm2 for patch in self.patches)

    @property
    def arc_rad(self) -> float:
        return min(2 * math.pi, sum(patch.arc_rad for patch in self.patches))

    @property
    def widest_mm(self) -> float:
        return max(self.low_radius_mm, self.high_radius_mm) if self.arc is None else self.arc.crest_mm

    def radius_at(self, along_mm: float) -> float:
        """Radius of the surface, also where it is carried on beyond its ends; 0 past a cone's apex."""
        if self.arc is not None:
            return self.arc.radius_at(along_mm)
        if self.low_radius_mm == self.high_radius_mm:
            return self.low_radius_mm
        slope = (self.high_radius_mm - self.low_radius_mm) / (self.high_mm - self.low_mm)
        return max(0.0, self.low_radius_mm + slope * (along_mm - self.low_mm))

    def covers(self, along_mm: float) -> bool:
        return self.low_mm <= along_mm <= self.high_mm


@dataclass(frozen=True, slots=True)
class SquareFace:
    """A plane square to the axis: where along it, which way it looks (+1 or -1), and from which radius to which."""

    patch: Patch
    at_mm: float
    sense: int
    inner_mm: float
    outer_mm: float


def reach(patch: Patch, frame: Frame, slack: Slack) -> tuple[float, float]:
    """From where to where along the axis a patch goes."""
    if patch.points is not None and len(patch.points):
        along = frame.along(patch.points)
        low, high = np.quantile(along, [slack.tail, 1 - slack.tail])
        return float(low), float(high)
    ends = [frame.along_of(patch.point) + end * dot(patch.axis, frame.axis) for end in patch.along_mm]
    return min(ends), max(ends)


def best_radius_mm(patch: Patch) -> float:
    """A cylinder's radius before wear."""
    return patch.unworn_mm if patch.unworn_mm > 0 else patch.radius_mm


def rings_of(graph: PatchGraph, frame: Frame, slack: Slack) -> tuple[Ring, ...]:
    """What turns about the axis, rounded corners left out, in order along it; one surface in pieces as one ring."""
    turned = [
        patch
        for patch in graph.patches
        if patch.kind in ("cylinder", "cone", "sphere", "torus")
        and patch.area_mm2 > slack.least_mm2
        and coaxial(patch, frame.origin, frame.axis, angle_rad=loose_angle(patch, slack), distance_mm=slack.distance_mm)
    ]
    rings: list[Ring] = []
    for patch in sorted(turned, key=lambda p: (-p.area_mm2, p.id)):
        ring = ring_of(patch, frame, slack)
        if ring is None:
            continue
        twin = next((i for i, other in enumerate(rings) if one_surface(ring, other, slack)), None)
        if twin is None:
            rings.append(ring)
        else:
            rings[twin] = joined(rings[twin], ring)
    return tuple(sorted(rings, key=lambda r: (r.low_mm + r.high_mm, -r.widest_mm)))


def loose_angle(patch: Patch, slack: Slack) -> float:
    """A short patch's axis is known less well than a long one's."""
    return slack.angle_rad + 3 * patch.u_axis_rad


def ring_of(patch: Patch, frame: Frame, slack: Slack) -> Ring | None:
    """A patch about the axis as a ring; None for a rounded corner."""
    if patch.kind in ("sphere", "torus"):
        arc = line_arc(patch, frame, tail=slack.tail, rounding_mm=slack.rounding_mm)
        if arc is None:
            return None
        ends = arc.radius_at(arc.low_mm), arc.radius_at(arc.high_mm)
        return Ring((patch,), arc.low_mm, arc.high_mm, *ends, arc)
    low, high = reach(patch, frame, slack)
    if patch.kind == "cylinder":
        radius = best_radius_mm(patch)
        return Ring((patch,), low, high, radius, radius)
    apex, slope = frame.along_of(patch.point), math.tan(patch.half_angle_rad)
    return Ring((patch,), low, high, abs(low - apex) * slope, abs(high - apex) * slope)


def one_surface(a: Ring, b: Ring, slack: Slack) -> bool:
    """Whether two rings are pieces of one: the same shape at the same place along the axis (a keyway parts them)."""
    if a.main.kind != b.main.kind or a.inside != b.inside:
        return False
    overlap = min(a.high_mm, b.high_mm) - max(a.low_mm, b.low_mm)
    if overlap < 0.3 * min(a.high_mm - a.low_mm, b.high_mm - b.low_mm):
        return False
    middle = (max(a.low_mm, b.low_mm) + min(a.high_mm, b.high_mm)) / 2
    known = 3 * (a.main.u_unworn_mm + b.main.u_unworn_mm)
    return abs(a.radius_at(middle) - b.radius_at(middle)) <= slack.distance_mm + known


def joined(a: Ring, b: Ring) -> Ring:
    """Two pieces of one ring; the larger keeps its shape."""
    low, high = min(a.low_mm, b.low_mm), max(a.high_mm, b.high_mm)
    arc = None if a.arc is None else replace(a.arc, low_mm=low, high_mm=high)
    return Ring((*a.patches, *b.patches), low, high, a.radius_at(low), a.radius_at(high), arc)


def square_faces(graph: PatchGraph, frame: Frame, slack: Slack) -> tuple[SquareFace, ...]:
    """Planes square to the axis, in order along it."""
    faces: list[SquareFace] = []
    for patch in graph.patches:
        if patch.area_mm2 <= slack.least_mm2 or not across(patch, frame.axis, angle_rad=loose_angle(patch, slack)):
            continue
        inner = outer = 0.0
        if patch.points is not None and len(patch.points):
            radii = frame.from_axis(patch.points)
            inner, outer = (float(r) for r in np.quantile(radii, [slack.tail, 1 - slack.tail]))
            if frame_inside(patch, frame, inner):
                inner = 0.0
        sense = 1 if dot(patch.axis, frame.axis) > 0 else -1
        faces.append(SquareFace(patch, crossing_mm(patch, frame), sense, inner, outer))
    return tuple(sorted(faces, key=lambda f: (f.at_mm, f.outer_mm)))


def crossing_mm(plane: Patch, frame: Frame) -> float:
    """Where the axis runs through a plane, along it."""
    return dot(minus(plane.point, frame.origin), plane.axis) / dot(frame.axis, plane.axis)


def plane_u_mm(graph: PatchGraph, plane: Patch) -> float:
    """One sigma of a plane's place: noise over its independent spots, and a hundredth that no averaging takes away."""
    if graph.noise_mm <= 0:
        return 0.0
    independent = max(1.0, plane.area_mm2 / max(graph.correlation_mm, 0.5) ** 2)
    return math.hypot(graph.noise_mm / math.sqrt(independent), 0.01)


def frame_inside(patch: Patch, frame: Frame, inner_mm: float) -> bool:
    """Whether a plane's disc reaches the axis: the axis is inside of its rim (a solid's rim has no points within)."""
    disc_mm2 = math.pi * inner_mm**2
    outer_mm = float(np.max(frame.from_axis(patch.points))) if patch.points is not None else 0.0
    return patch.area_mm2 > math.pi * outer_mm**2 - 0.5 * disc_mm2 and patch.area_mm2 > 0.8 * math.pi * outer_mm**2


def round_enough_to_turn(patch: Patch, frame: Frame, slack: Slack) -> bool:
    """Whether a free surface goes evenly round the axis: a profile turned by form, or one that nobody could name."""
    if patch.points is None or len(patch.points) < 3 * SLICES:
        return False
    along, radius = frame.along(patch.points), frame.from_axis(patch.points)
    order = np.argsort(along)
    allowed = 0.02 * float(radius.max()) + 4 * slack.ragged_mm / 10
    worst: list[float] = []
    for part in np.array_split(order, SLICES):
        a, r = along[part], radius[part]
        slope = np.polyfit(a - a.mean(), r, 1) if np.ptp(a) > 1e-9 else np.array([0.0, r.mean()])
        worst.append(float(np.quantile(np.abs(r - np.polyval(slope, a - a.mean())), 0.9)))
    return float(np.median(worst)) <= allowed


def envelope_share(outer: Sequence[Ring]) -> float:
    """How much of the round a part's outermost rings fill, over its length: teeth and slots leave their crests."""
    ends = sorted({end for ring in outer for end in (ring.low_mm, ring.high_mm)})
    filled = 0.0
    for low, high in pairwise(ends):
        here = [ring for ring in outer if ring.covers((low + high) / 2)]
        if here:
            crest = max(here, key=lambda r: r.radius_at((low + high) / 2))
            toothed = len(crest.patches) >= LEAST_TEETH
            filled += (high - low) * (1.0 if toothed else crest.arc_rad / (2 * math.pi))
    return filled / (ends[-1] - ends[0]) if len(ends) > 1 else 0.0


def is_turned(graph: PatchGraph, frame: Frame, slack: Slack, rings: Sequence[Ring], *, flats_mm2: float) -> bool:
    """Whether the part is a turned one: nearly all of its outside turns about the axis, and nothing stands out.

    Args:
        graph: all patches.
        frame: the axis.
        slack: how exactly the part is known.
        rings: what turns about the axis.
        flats_mm2: area of flats, keyways and a hexagon's sides, which a turned part may carry.
    Returns: True or False.
    """
    outer = [
        ring
        for ring in rings
        if not ring.inside
        and (ring.main.kind == "plane" or ring.arc_rad > LEAST_ARC_RAD or len(ring.patches) >= LEAST_TEETH)
    ]
    if not outer:
        return False
    side = [p for p in graph.patches if not across(p, frame.axis, angle_rad=loose_angle(p, slack)) and not p.inside]
    turned = sum(
        p.area_mm2
        for p in side
        if coaxial(p, frame.origin, frame.axis, angle_rad=loose_angle(p, slack), distance_mm=slack.distance_mm)
        or (p.kind == "free" and round_enough_to_turn(p, frame, slack))
    )
    total = sum(p.area_mm2 for p in side)
    widest = max(ring.widest_mm for ring in outer)
    furthest = max(
        (float(np.quantile(frame.from_axis(p.points), 1 - slack.tail)) for p in graph.patches if p.points is not None),
        default=widest,
    )
    round_enough = turned >= 0.6 * (total - min(flats_mm2, 0.7 * total))
    round_enough = round_enough or (graph.noise_mm <= 0 and envelope_share(outer) >= TOOTHED)
    return turned > 0 and round_enough and furthest <= 1.03 * widest + slack.rounding_mm
