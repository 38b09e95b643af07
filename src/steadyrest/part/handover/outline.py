"""The line of a turned part's half section, as lines and arcs: x along the axis, y the radius."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from steadyrest.part.handover.nominal_profile import named_mm
from steadyrest.shop.part import Feature, Part, Profile, Stretch

Point = tuple[float, float]
LEAST_MM = 1e-7
NEAR_MM = 0.1


@dataclass(frozen=True, slots=True)
class Segment:
    """A line, or an arc where there is a centre. left: the arc turns to the left, going from start to end."""

    start: Point
    end: Point
    centre: Point | None = None
    left: bool = False

    @property
    def radius_mm(self) -> float:
        return 0.0 if self.centre is None else math.dist(self.start, self.centre)

    @property
    def middle(self) -> Point:
        """Half way along the segment."""
        x, y = (self.start[0] + self.end[0]) / 2, (self.start[1] + self.end[1]) / 2
        if self.centre is None:
            return x, y
        away = math.dist((x, y), self.centre)
        scale = self.radius_mm / away
        return self.centre[0] + (x - self.centre[0]) * scale, self.centre[1] + (y - self.centre[1]) * scale


@dataclass(frozen=True, slots=True)
class Outline:
    """outside: from the axis at the first end, over the outside, to the axis at the last. bores: each closed on the
    axis. fillets: ids of those that are in the line."""

    outside: tuple[Segment, ...]
    bores: tuple[tuple[Segment, ...], ...]
    fillets: frozenset[str]


def outline(part: Part, profile: Profile) -> Outline:
    """The line of a profile, with the part's fillets where they round a corner.

    Args:
        part: for its fillets.
        profile: at the sizes to draw.
    Returns: segments from end to end.
    """
    from steadyrest.part.handover.arched import arched  # late: it speaks in this module's segments

    used: set[str] = set()
    outside = arched(rounded(corners(profile.outside), profile.outside, part, used), profile.outside)
    ends = (profile.outside[0].from_mm, profile.outside[-1].to_mm)
    bores = tuple(
        flared(arched(rounded(corners(chain), chain, part, used), chain), chain, part, ends, used)
        for chain in touching(profile.inside)
    )
    return Outline(outside, bores, frozenset(used))


def edges(line: Outline) -> tuple[tuple[Segment, ...], tuple[tuple[Segment, ...], ...]]:
    """The edges that are really there: no end face across a bore's mouth.

    Args:
        line: as made by `outline`.
    Returns: the outside, its end faces begun at the bores that open there; the bores without their open mouths.
    """
    outside, bores = list(line.outside), [list(bore) for bore in line.bores]
    for bore in bores:
        for end, inner, reverse in ((0, 0, False), (-1, -1, True)):
            face, mouth = outside[end], bore[inner]
            same = abs(face.start[0] - mouth.start[0]) < 1e-6 and mouth.start[0] == mouth.end[0]
            if not same:
                continue
            rim = mouth.start if reverse else mouth.end
            outside[end] = Segment(face.start, rim) if reverse else Segment(rim, face.end)
            bore.pop(inner)
    return tuple(outside), tuple(tuple(bore) for bore in bores)


def flared(
    segments: tuple[Segment, ...], stretches: Sequence[Stretch], part: Part, ends: tuple[float, float], used: set[str]
) -> tuple[Segment, ...]:
    """A bore's line with its mouths widened where a fillet rounds their edge; adds the fillets' ids to `used`."""
    done = list(segments)
    for at, stretch, first in ((stretches[0].from_mm, stretches[0], True), (stretches[-1].to_mm, stretches[-1], False)):
        if min(abs(at - end) for end in ends) > 1e-6 or stretch.diameter_from_mm != stretch.diameter_to_mm:
            continue
        rounding = next(
            (
                (f.id, named_mm(size, size.estimate))
                for f in part.features
                if f.kind == "fillet" and f.on == stretch.feature and not f.inside and f.along_mm is not None
                if (size := f.size("radius_mm")) is not None
                if ends_at(f, at, size.estimate)
            ),
            None,
        )
        if rounding is None or rounding[1] >= stretch.length_mm:
            continue
        used.add(rounding[0])
        radius, bore = rounding[1], stretch.diameter_from_mm / 2
        step = radius if first else -radius
        rim, foot, centre = (at, bore + radius), (at + step, bore), (at + step, bore + radius)
        if first:
            done[:2] = [Segment((at, 0.0), rim), Segment(rim, foot, centre, left=True), Segment(foot, done[1].end)]
        else:
            done[-2:] = [Segment(done[-2].start, foot), Segment(foot, rim, centre, left=True), Segment(rim, (at, 0.0))]
    return tuple(done)


def corners(stretches: Sequence[Stretch]) -> list[Point]:
    """The corners of a run of stretches, from the axis to the axis."""
    points: list[Point] = [(stretches[0].from_mm, 0.0)]
    for stretch in stretches:
        points += ends_of(stretch)
    points.append((stretches[-1].to_mm, 0.0))
    kept = [points[0]]
    for point in points[1:]:
        if math.dist(point, kept[-1]) > LEAST_MM:
            kept.append(point)
    return [p for i, p in enumerate(kept) if i in (0, len(kept) - 1) or not straight(kept[i - 1], p, kept[i + 1])]


def ends_of(stretch: Stretch) -> tuple[Point, Point]:
    """Where a stretch begins and ends in the half section; a tip of next to nothing lies on the axis."""
    low, high = (r if r > LEAST_MM else 0.0 for r in (stretch.diameter_from_mm / 2, stretch.diameter_to_mm / 2))
    return (stretch.from_mm, low), (stretch.to_mm, high)


def straight(a: Point, b: Point, c: Point) -> bool:
    turn = (b[0] - a[0]) * (c[1] - b[1]) - (b[1] - a[1]) * (c[0] - b[0])
    return abs(turn) <= 1e-9 * math.dist(a, b) * math.dist(b, c)


def touching(stretches: Sequence[Stretch]) -> list[list[Stretch]]:
    """Stretches that touch, together."""
    runs: list[list[Stretch]] = []
    for stretch in stretches:
        if runs and abs(runs[-1][-1].to_mm - stretch.from_mm) < 1e-6:
            runs[-1].append(stretch)
        else:
            runs.append([stretch])
    return runs


def rounded(points: Sequence[Point], stretches: Sequence[Stretch], part: Part, used: set[str]) -> tuple[Segment, ...]:
    """Lines between corners, with an arc at each corner that a fillet rounds; adds the fillets' ids to `used`."""
    at = points[0]
    segments: list[Segment] = []
    for i in range(1, len(points)):
        corner = points[i]
        fillet = fillet_at(points, i, stretches, part) if i < len(points) - 1 else None
        if fillet is None:
            segments.append(Segment(at, corner))
            at = corner
            continue
        feature, radius = fillet
        start, end, centre, left = arc_in(at, corner, points[i + 1], radius)
        room = min(math.dist(at, corner), math.dist(corner, points[i + 1]))
        if room < math.dist(start, corner):
            segments.append(Segment(at, corner))
            at = corner
            continue
        used.add(feature.id)
        if math.dist(at, start) > LEAST_MM:
            segments.append(Segment(at, start))
        segments.append(Segment(start, end, centre, left))
        at = end
    return tuple(s for s in segments if math.dist(s.start, s.end) > LEAST_MM)


def fillet_at(
    points: Sequence[Point], i: int, stretches: Sequence[Stretch], part: Part
) -> tuple[Feature, float] | None:
    """The fillet that rounds a corner, and its radius: on a stretch that ends there, bent the same way."""
    corner = points[i]
    beside = {s.feature for s in stretches if min(abs(s.from_mm - corner[0]), abs(s.to_mm - corner[0])) < 1e-6}
    bore = bool(stretches) and any(f.inside for f in part.features if f.id in beside)
    turn = turn_of(points[i - 1], corner, points[i + 1])
    for feature in part.features:
        size = feature.size("radius_mm")
        if feature.kind != "fillet" or feature.on not in beside or size is None or feature.along_mm is None:
            continue
        radius = named_mm(size, size.estimate)
        # Going along the axis with the part on the right, an outer corner turns right.
        hollow = (turn > 0) != bore
        mouth = bore and i in (1, len(points) - 2) and not feature.inside
        if hollow == feature.inside and not mouth and ends_at(feature, corner[0], radius):
            return feature, radius
    return None


def ends_at(fillet: Feature, at_mm: float, radius_mm: float) -> bool:
    """Whether a fillet ends at a corner; the nominal corner may lie a little beside the measured one."""
    if fillet.along_mm is None:
        return False
    return min(abs(end - at_mm) for end in fillet.along_mm) <= 0.3 * radius_mm + NEAR_MM


def turn_of(a: Point, b: Point, c: Point) -> float:
    return (b[0] - a[0]) * (c[1] - b[1]) - (b[1] - a[1]) * (c[0] - b[0])


def arc_in(a: Point, corner: Point, c: Point, radius: float) -> tuple[Point, Point, Point, bool]:
    """Start, end and centre of the arc that rounds a corner between two lines, and whether it turns left."""
    before, after = math.dist(a, corner), math.dist(corner, c)
    ux, uy = (corner[0] - a[0]) / before, (corner[1] - a[1]) / before
    vx, vy = (c[0] - corner[0]) / after, (c[1] - corner[1]) / after
    bend = math.atan2(ux * vy - uy * vx, ux * vx + uy * vy)
    reach = radius * math.tan(abs(bend) / 2)
    start = (corner[0] - reach * ux, corner[1] - reach * uy)
    end = (corner[0] + reach * vx, corner[1] + reach * vy)
    side = 1.0 if bend > 0 else -1.0
    centre = (start[0] - side * radius * uy, start[1] + side * radius * ux)
    return start, end, centre, bend > 0
