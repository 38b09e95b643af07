"""Teeth that stand evenly round a turned part: counted, measured over their tips, and what may run on them.

In a model each tooth repeats the same few surfaces: as many crests, floors and flanks as there are teeth, one step
apart round the axis. A scan counts them as lobes. Only the count and the diameter over the tips are taken: the shape of
a flank tells which belt better than any caliper, and a gauge or the belt itself tells it better than a scan.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import partial
from itertools import takewhile

import numpy as np

from steadyrest.part.features.cut import Cut, tag_of
from steadyrest.part.features.draft import Draft, exact, feature_of
from steadyrest.part.features.frame import cross, dot, minus
from steadyrest.part.features.gear_teeth import gear_why
from steadyrest.part.features.recesses import radius_at
from steadyrest.part.features.turned import reach
from steadyrest.part.patch import Patch
from steadyrest.shop.figure import Reason, because
from steadyrest.shop.part import Size
from steadyrest.tables import chains

FEWEST = 8  # fewer are splines, flats or the arms of a knob
FEWEST_KEYS = 4  # with parallel sides they are a spline's; fewer are keyways
EVEN = 0.1  # of a step that a tooth may stand off its place
SAME = 0.02  # of its radius, and of a length, that like surfaces differ by
FLANK = 0.1  # of a normal that turns with the part: such a plane looks to one side
ROUND_RAD = 4.0  # what goes further round its own axis is a hole or a pin
PARALLEL = 1e-6  # one minus the cosine between a key's two sides
TIP_MM = 0.06  # of the diameter over the tips: as pulleys and sprockets are turned
OFFSETS_MM = (0.2, 0.7)  # how far the pitch line of a small belt lies outside of the tips; common practice, no source


@dataclass(frozen=True, slots=True)
class Toothed:
    """A toothed stretch. count: teeth. outside_mm: diameter over their tips. patches: its own, crests left out.

    crests: surfaces of revolution about the axis that the teeth leave. low_mm, high_mm: along the axis.
    inside: they look inwards, in a hub. key_mm: width of keys with parallel sides (or of their room in a hub), 0 of
    other teeth; floors_mm: the other diameter of such a spline.
    """

    count: int
    outside_mm: float
    low_mm: float
    high_mm: float
    patches: tuple[Patch, ...]
    crests: frozenset[int]
    inside: bool
    key_mm: float
    floors_mm: float


@dataclass(frozen=True, slots=True)
class Side:
    """One surface beside the axis. angle_rad: where it stands round it. way: -1, 0, 1, to which side it looks."""

    patch: Patch
    angle_rad: float
    way: int
    middle_mm: float
    furthest_mm: float
    low_mm: float
    high_mm: float

    def like(self, other: Side) -> bool:
        """Whether another surface may be the same one of the next tooth."""
        a, b = self.patch, other.patch
        slack = SAME * (self.high_mm - self.low_mm)
        ends = abs(self.low_mm - other.low_mm) <= slack and abs(self.high_mm - other.high_mm) <= slack
        return (a.kind, a.inside, self.way) == (b.kind, b.inside, other.way) and self.near(other) and ends

    def near(self, other: Side) -> bool:
        """Whether another surface stands as far from the axis."""
        return abs(self.middle_mm - other.middle_mm) <= SAME * self.middle_mm


def toothed(cut: Cut) -> tuple[Toothed, ...]:
    """The toothed stretches of a model.

    Args:
        cut: of a turned part; a noisy scan has its lobes instead.
    Returns: stretches, by where they begin.
    """
    if cut.graph.noise_mm > 0:
        return ()
    sides = [side for patch in cut.graph.patches if (side := side_of(cut, patch)) is not None]
    rows = [row for row in alike(sides) if (n := len(row)) >= FEWEST_KEYS and evenly(row, n)]
    found: list[Toothed] = []
    while rows:
        count, low, high = len(rows[0]), rows[0][0].low_mm, rows[0][0].high_mm
        own = [row for row in rows if len(row) == count and overlaps(row[0], low, high)]
        rows = [row for row in rows if row not in own]
        # One kind of surface alone may be a row of pins or of slots' floors: a tooth has a crest and a floor.
        if len(own) > 1:
            found.append(stretch(cut, count, own, sides))
    found = [one for one in found if one.key_mm or one.count >= FEWEST]
    return tuple(sorted(found, key=lambda one: one.low_mm))


def side_of(cut: Cut, patch: Patch) -> Side | None:
    """A surface that runs along the axis, outside of the part; None for another."""
    if patch.points is None or len(patch.points) < 3 or cut.is_square(patch) or patch.kind not in ("plane", "cylinder"):
        return None
    lies = dot(patch.axis, cut.frame.axis)
    along = abs(lies) < 1e-3 if patch.kind == "plane" else abs(lies) > 1 - 1e-6
    if not along or (patch.kind == "cylinder" and patch.arc_rad > ROUND_RAD):
        return None
    points = patch.points - np.array(cut.frame.origin)
    points = points - np.outer(points @ np.array(cut.frame.axis), cut.frame.axis)
    x, y = across_axis(cut)
    middle = points.mean(axis=0)
    radius = float(np.linalg.norm(middle))
    if radius < 1e-9:
        return None
    way = 0
    if patch.kind == "plane":
        turning = dot(patch.axis, cross(cut.frame.axis, tuple(float(c) for c in middle / radius)))  # pyright: ignore[reportArgumentType]
        way = 0 if abs(turning) < FLANK else int(math.copysign(1, turning))
    low, high = reach(patch, cut.frame, cut.slack)
    angle = math.atan2(float(middle @ y), float(middle @ x))
    return Side(patch, angle, way, radius, float(np.linalg.norm(points, axis=1).max()), low, high)


def across_axis(cut: Cut) -> tuple[np.ndarray, np.ndarray]:
    """Two unit vectors square to the axis and to each other."""
    axis = np.array(cut.frame.axis)
    x = np.cross(axis, np.eye(3)[int(np.argmin(np.abs(axis)))])
    x /= np.linalg.norm(x)
    return x, np.cross(axis, x)


def alike(sides: Sequence[Side]) -> Iterator[list[Side]]:
    """Surfaces that may be the same one of each tooth, the largest rows first."""
    rows: list[list[Side]] = []
    for side in sorted(sides, key=lambda s: (s.patch.kind, s.middle_mm, s.patch.id)):
        # Rows stand in order of their first surface: farther in, none can be like this one.
        near = takewhile(partial(begins_near, side), reversed(rows))
        home = next((row for row in near if row[0].like(side)), None)
        if home is None:
            rows.append([side])
        else:
            home.append(side)
    # A floor or crest made of two halves stands twice a tooth: each half by itself is even.
    for row in [*rows]:
        row.sort(key=lambda s: s.angle_rad)
        if len(row) % 2 == 0 and len(row) >= 2 * FEWEST and not evenly(row, len(row)):
            rows.remove(row)
            rows += [row[::2], row[1::2]]
    yield from sorted(rows, key=lambda row: (-sum(s.patch.area_mm2 for s in row), row[0].patch.id))


def begins_near(side: Side, row: Sequence[Side]) -> bool:
    """Whether a row's first surface is of this kind and stands as far from the axis."""
    return row[0].patch.kind == side.patch.kind and row[0].near(side)


def evenly(row: Sequence[Side], count: int) -> bool:
    """Whether surfaces stand one step apart all round."""
    step = 2 * math.pi / count
    angles = sorted(side.angle_rad for side in row)
    gaps = [b - a for a, b in zip(angles, [*angles[1:], angles[0] + 2 * math.pi], strict=True)]
    return all(abs(gap - step) < EVEN * step for gap in gaps)


def overlaps(side: Side, low_mm: float, high_mm: float) -> bool:
    """Whether a surface lies along most of a stretch."""
    shared = min(side.high_mm, high_mm) - max(side.low_mm, low_mm)
    return shared > 0.5 * min(side.high_mm - side.low_mm, high_mm - low_mm)


def stretch(cut: Cut, count: int, rows: Sequence[Sequence[Side]], sides: Sequence[Side]) -> Toothed:
    """A toothed stretch with all that lies between its floors and its tips."""
    own = [side for row in rows for side in row]
    low, high = min(s.low_mm for s in own), max(s.high_mm for s in own)
    slack = SAME * (high - low)
    furthest = max(s.furthest_mm for s in own)
    deepest = min(s.middle_mm for s in own) * (1 - SAME)
    within = [
        s for s in sides
        if low - slack <= s.low_mm and s.high_mm <= high + slack and deepest <= s.middle_mm
        and s.furthest_mm <= furthest * (1 + SAME)
    ]  # fmt: skip
    round_ = [s.patch for s in within if cut.is_coaxial(s.patch) and s.patch.kind == "cylinder"]
    crests = frozenset(p.id for p in round_)
    rest = tuple(s.patch for s in within if s.patch.id not in crests)
    inside = (radius_at(cut.line.outside, (low + high) / 2) or 0.0) > furthest * (1 + SAME)
    key = key_mm(own, inside=inside, step_mm=2 * math.pi * furthest / count)
    floors = 2 * min((p.radius_mm for p in round_), default=deepest)
    return Toothed(count, 2 * furthest, low, high, rest, crests, inside, key, floors)


def key_mm(sides: Sequence[Side], *, inside: bool, step_mm: float) -> float:
    """Width of keys whose two sides are parallel; 0 where the nearest parallel sides stand the other way, or none do.

    Args:
        sides: of all teeth. inside: in a hub it is the room between two sides that is parallel. step_mm: from tooth to
            tooth; sides farther apart belong to different ones.
    Returns: mm.
    """
    planes = [s.patch for s in sides if s.way]
    widths: list[float] = []
    for one in planes:
        facing = [other for other in planes if dot(one.axis, other.axis) < -1 + PARALLEL]
        across = [dot(minus(one.point, other.point), one.axis) for other in facing]
        nearest = min(across, key=abs, default=0.0)
        if not 0 < nearest * (-1 if inside else 1) < step_mm:
            return 0.0
        widths.append(abs(nearest))
    if not widths or max(widths) - min(widths) > SAME * max(widths):
        return 0.0
    return math.fsum(widths) / len(widths)


def teeth_drafts(cut: Cut, found: Sequence[Toothed], drafts: Sequence[Draft]) -> list[Draft]:
    """The drafts with the teeth counted on the shaft that their tips leave, and the teeth themselves as one feature.

    Args:
        cut: all that is known. found: toothed stretches. drafts: what the line and the cuts gave.
    Returns: all drafts.
    """
    out = list(drafts)
    for one in found:
        tips = next((p for p in cut.line.outside if p.ring and one.crests & {q.id for q in p.ring.patches}), None)
        tag = tag_of(tips, inside=False) if tips is not None else None
        why, known = spline_why(one) or teeth_why(one.count, one.outside_mm, TIP_MM)
        out = [
            replace(d, feature=replace(d.feature, teeth=one.count, why=(*why, *d.feature.why)))
            if d.tag == tag and d.feature.kind == "shaft"
            else d
            for d in out
        ]
        carried = any(d.tag == tag and d.feature.kind == "shaft" for d in out)
        sizes = [exact("diameter_mm", one.outside_mm)] if known and not carried else []
        feature = feature_of(
            "free", one.patches, sizes, axis=cut.frame.axis, at_mm=cut.frame.at((one.low_mm + one.high_mm) / 2),
            frame=cut.frame, along_mm=(one.low_mm, one.high_mm),
            why=(because("features.teeth_on"),) if carried else why,
        )  # fmt: skip
        ids = frozenset(p.id for p in one.patches)
        out = [d for d in out if not (d.explains and d.explains <= ids)]
        out.append(Draft(replace(feature, teeth=one.count), f"teeth {one.low_mm:.6f}", tag if carried else None, ids))
    return out


def spline_why(one: Toothed) -> tuple[tuple[Reason, ...], bool] | None:
    """What is said of keys with parallel sides, and of teeth in a bore; None of other teeth. No table of splines is
    held here: the count and what it measures are all that is known."""
    if one.key_mm:
        told = because(
            "features.spline", count=float(one.count), width_mm=one.key_mm, floors_mm=one.floors_mm,
            outside_mm=one.outside_mm,
        )  # fmt: skip
        return (told,), False
    if one.inside:
        return (because("features.teeth_inside", count=float(one.count), outside_mm=one.outside_mm),), False
    return None


def lobed_teeth(count: int, crest_mm: float, u_mm: float) -> tuple[tuple[Reason, ...], list[Size]]:
    """What lobes of a scan may be, as teeth: reasons, and the diameter over the tips where something runs on them."""
    if count < FEWEST or crest_mm <= 0:
        return (), []
    why, known = teeth_why(count, 2 * crest_mm, TIP_MM + 4 * u_mm)
    if not known:
        return (), []
    return why, [Size("diameter_mm", 2 * crest_mm, 2 * crest_mm, 2 * u_mm)]


def teeth_why(count: int, outside_mm: float, within_mm: float) -> tuple[tuple[Reason, ...], bool]:
    """What so many teeth of this diameter over their tips may be, and whether a belt or a chain is known for them."""
    why: list[Reason] = []
    for belt in chains.pulleys_like(outside_mm, count, within_mm=within_mm):
        table_mm = chains.pulley_outside_diameter(belt, count)
        why.append(because("features.belt_pulley", belt=belt.name, pitch_mm=belt.pitch_mm, table_mm=table_mm))
    for chain in chains.sprockets_like(outside_mm, count, within_mm=within_mm):
        table_mm = chains.sprocket_outside_diameter(chain.pitch_mm, count)
        why.append(because("features.sprocket", chain=chain.name, pitch_mm=chain.pitch_mm, table_mm=table_mm))
    said = because("features.teeth", count=float(count), outside_mm=outside_mm)
    gears = gear_why(count, outside_mm, within_mm / 2)
    if why:
        return (said, *why, *gears), True
    if gears:
        return (said, *gears), False
    low, high = (chains.pitch_by_outside(outside_mm, count, offset) for offset in OFFSETS_MM)
    return (said, because("features.teeth_other", low_mm=low, high_mm=high)), False
