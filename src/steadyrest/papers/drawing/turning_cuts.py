"""What was taken out of a part, as round and long holes laid over its outside.

Each is drawn a little longer where it opens, so that it cuts clean through the surface.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import cos, pi, radians, sin, tan
from typing import Literal

import numpy as np
import numpy.typing as npt

from steadyrest.papers.drawing.worn_stretch import by_wear
from steadyrest.part.handover.keyed import round_ends
from steadyrest.part.handover.nominal_profile import named_mm
from steadyrest.shop.part import Feature, Part, Profile, Stretch, Vec3

Vector = npt.NDArray[np.float64]
NOWHERE = -1
ALONG = 0.98  # cosine: nearly in one of the frame's directions
OVER_MM = 0.05
MOUTH_SHARE = 0.12  # of its length: how far short of the surface a scanned hole's wall may end
HOLES = ("bore", "thread", "cone")


@dataclass(frozen=True, slots=True)
class Cut:
    """A round or a long hole about the middle `at`, half_mm deep each way along `axis`.

    round: radius_from_mm at the start of the axis, radius_to_mm at its end.
    long: half_length_mm along `across`, half_width_mm square to it, its corners rounded by corner_mm.
    feature: id, or None. mark: which of the marks it belongs to, or -1. worn: step of its wear, or 0.
    """

    shape: Literal["round", "long"]
    at_mm: Vec3
    axis: Vec3
    half_mm: float
    radius_from_mm: float = 0.0
    radius_to_mm: float = 0.0
    across: Vec3 = (0.0, 0.0, 0.0)
    half_length_mm: float = 0.0
    half_width_mm: float = 0.0
    corner_mm: float = 0.0
    feature: str | None = None
    mark: int = NOWHERE
    worn: int = 0


@dataclass(frozen=True, slots=True)
class Frame:
    """The picture's frame in the file's: (3, 3) directions, one a row, and (3,) its origin."""

    directions: Vector
    origin: Vector

    def place(self, point: Vec3) -> Vector:
        """(3,) where a point of the file lies in the picture."""
        return self.directions @ (np.array(point) - self.origin)

    def way(self, direction: Vec3) -> Vector:
        """(3,) a direction of the file in the picture."""
        return self.directions @ np.array(direction)


def round_cuts(part: Part, profile: Profile, frame: Frame, middle_mm: float) -> Iterator[Cut]:
    """What was taken out of a turned part.

    Args:
        part: with its features.
        profile: nominal.
        frame: of the picture.
        middle_mm: where along the profile the picture's origin lies.
    Returns: bores, then keyways, slots, flats, hexagons, and holes beside or across the axis.
    """
    yield from bored(part, profile, middle_mm)
    turned = {s.feature for s in profile.inside}
    for feature in part.features:
        axis = frame.way(feature.axis)
        across = abs(axis[0]) < 1 - ALONG + 0.2
        low, high = ((end - middle_mm) for end in feature.along_mm or (middle_mm, middle_mm))
        runs = profile.inside if feature.inside and feature.kind == "keyway" else profile.outside
        radius = radius_at(runs, (low + high) / 2 + middle_mm, feature.on)
        if feature.kind in ("keyway", "slot") and across and radius > 0:
            yield from keyway(feature, axis, low, high, radius)
        elif feature.kind == "flat" and across and radius > 0:
            yield from flats(feature, axis, low, high, radius)
        elif feature.kind == "hexagon" and radius > 0:
            yield from hexagon(feature, low, high, radius)
        elif feature.kind in HOLES and feature.inside and feature.id not in turned:
            yield from hole(feature, frame)


def bored(part: Part, profile: Profile, middle_mm: float) -> Iterator[Cut]:
    """The bore's stretches, each over its edge where another begins or the part ends."""
    ends = {profile.outside[0].from_mm, profile.outside[-1].to_mm}
    pieces = [piece for stretch in profile.inside for piece in by_wear(stretch, part)]
    edges = [(s.from_mm, s.to_mm) for s, _ in pieces]
    for k, (s, worn) in enumerate(pieces):
        opens = [*ends, *(e for i, pair in enumerate(edges) if i != k for e in pair)]
        low = s.from_mm - (OVER_MM if near(s.from_mm, opens) else 0.0)
        high = s.to_mm + (OVER_MM if near(s.to_mm, opens) else 0.0)
        at = ((low + high) / 2 - middle_mm, 0.0, 0.0)
        yield Cut("round", at, (1.0, 0.0, 0.0), (high - low) / 2, s.diameter_from_mm / 2, s.diameter_to_mm / 2,
                  feature=s.feature, worn=worn)  # fmt: skip


def near(place: float, others: Sequence[float]) -> bool:
    return any(abs(place - other) < OVER_MM for other in others)


def radius_at(runs: Sequence[Stretch], along_mm: float, on: str | None) -> float:
    """The radius of the stretch that carries something, else of the one at this place; 0 where there is none."""
    here = [s for s in runs if s.feature == on and on is not None] or [
        s for s in runs if s.from_mm <= along_mm <= s.to_mm
    ]
    return max((s.largest_mm / 2 for s in here), default=0.0)


def keyway(feature: Feature, axis: Vector, low: float, high: float, radius: float) -> Iterator[Cut]:
    """A keyway or slot along the axis: from its floor out of a shaft, or from the axis to its floor in a bore."""
    width, depth = feature.size("width_mm"), feature.size("depth_mm")
    if width is None or depth is None or high <= low:
        return
    half, deep = named_mm(width, width.estimate) / 2, named_mm(depth, depth.estimate)
    inner, outer = (0.0, radius + deep) if feature.inside else (radius - deep, radius + OVER_MM)
    corner = half if round_ends(feature) == 2 else 0.0
    over = OVER_MM if feature.inside else 0.0
    yield long_cut(feature, axis, along=((low - over), (high + over)), deep=(inner, outer), half_width=half,
                   corner=corner)  # fmt: skip


def flats(feature: Feature, axis: Vector, low: float, high: float, radius: float) -> Iterator[Cut]:
    """One flat by its depth, or two opposite by their width across."""
    width, depth = feature.size("width_mm"), feature.size("depth_mm")
    if width is not None:
        height, ways = named_mm(width, width.estimate) / 2, (1.0, -1.0)
    elif depth is not None:
        height, ways = radius - named_mm(depth, depth.estimate), (1.0,)
    else:
        return
    for way in ways:
        yield long_cut(feature, way * axis, along=(low, high), deep=(height, 1.1 * radius), half_width=1.1 * radius)


def hexagon(feature: Feature, low: float, high: float, radius: float) -> Iterator[Cut]:
    """Six flats; how they stand about the axis is not known, so one of them lies in front."""
    width = feature.size("width_mm")
    if width is None:
        return
    height = named_mm(width, width.estimate) / 2
    for k in range(6):
        out = np.array([0.0, sin(k * pi / 3), cos(k * pi / 3)])
        yield long_cut(feature, out, along=(low, high), deep=(height, 1.2 * radius), half_width=1.2 * radius)


def long_cut(
    feature: Feature, out: Vector, *, along: tuple[float, float], deep: tuple[float, float], half_width: float,
    corner: float = 0.0,
) -> Cut:  # fmt: skip
    """A long hole of a turned part: along its axis, from one height over the axis to another."""
    at = np.array([(along[0] + along[1]) / 2, 0.0, 0.0]) + out * (deep[0] + deep[1]) / 2
    out = out - np.array([out[0], 0.0, 0.0])
    return Cut("long", vec(at), vec(out / np.linalg.norm(out)), (deep[1] - deep[0]) / 2, across=(1.0, 0.0, 0.0),
               half_length_mm=(along[1] - along[0]) / 2, half_width_mm=half_width, corner_mm=corner,
               feature=feature.id)  # fmt: skip


def hole(feature: Feature, frame: Frame, box: Vec3 | None = None) -> Iterator[Cut]:
    """A round hole, or a countersink; a scan's wall may end a little short of the surface that it opens to."""
    across = feature.size("diameter_mm")
    depth = feature.size("depth_mm") or feature.size("length_mm")
    if across is None or depth is None or depth.estimate <= 0:
        return
    radius, half = named_mm(across, across.estimate) / 2, depth.estimate / 2
    at, axis = frame.place(feature.at_mm), frame.way(feature.axis)
    if feature.kind == "cone":
        angle = feature.size("angle_deg")
        slope = tan(radians(angle.estimate) / 2) if angle is not None else 0.0
        # A cone's axis runs from its point to its mouth.
        low, high = -half, half + OVER_MM
        ends = (max(0.0, radius - 2 * half * slope), radius + OVER_MM * slope)
    else:
        over = OVER_MM + (MOUTH_SHARE * 2 * half if box is None and feature.seen < 1 else 0.0)
        low = -half - mouth(at, -axis, half, box) - over
        high = half + (0.0 if feature.through is False else mouth(at, axis, half, box) + over)
        ends = (radius, radius)
    middle = at + axis * (low + high) / 2
    yield Cut("round", vec(middle), vec(axis), (high - low) / 2, *ends, feature=feature.id)


def mouth(at: Vector, way: Vector, half: float, box: Vec3 | None) -> float:
    """How much farther a hole's end lies from the box's face that it nearly reaches; 0 where it ends elsewhere."""
    k = int(np.argmax(np.abs(way)))
    if box is None or abs(float(way[k])) < ALONG:
        return 0.0
    rest = box[k] / 2 - float(at[k] * np.sign(way[k])) - half
    return rest if 0 < rest < MOUTH_SHARE * 2 * half + 1.0 else 0.0


def box_cuts(part: Part, frame: Frame, box: Vec3) -> Iterator[Cut]:
    """What was taken out of a part that is not turned.

    Args:
        part: with its features.
        frame: of the picture.
        box: its edges, mm.
    Returns: holes, countersinks, slots and pockets that lie square to the box.
    """
    for feature in part.features:
        if feature.kind in HOLES and (feature.inside or feature.kind == "bore"):
            yield from hole(feature, frame, box)
        elif feature.kind in ("slot", "pocket"):
            yield from sunk(feature, frame, box)


def sunk(feature: Feature, frame: Frame, box: Vec3) -> Iterator[Cut]:
    """A slot or a pocket, along the edge of the box in which it fits best."""
    width, depth, length = (feature.size(name) for name in ("width_mm", "depth_mm", "length_mm"))
    axis = frame.way(feature.axis)
    k = int(np.argmax(np.abs(axis)))
    if width is None or depth is None or length is None or abs(float(axis[k])) < ALONG:
        return
    out = np.zeros(3)
    out[k] = np.sign(axis[k])
    at, deep = frame.place(feature.at_mm), depth.estimate
    edges, directions = np.array(box), np.eye(3)
    low, high, out = opening(float(at @ out), deep, float(edges[k]) / 2, out, through=bool(feature.through))
    half, wide = length.estimate / 2, width.estimate / 2
    ways = [n for n in range(3) if n != k]
    over = {n: abs(float(at[n])) + half - float(edges[n]) / 2 for n in ways}
    ends_there = {n: abs(over[n]) < MOUTH_SHARE * half + 1.0 for n in ways}
    is_open = feature.kind == "slot" and any(ends_there.values())
    if is_open:  # it runs out at a side: over the edge, so that nothing is left standing there
        n = min(ways, key=lambda n: (not ends_there[n], abs(over[n])))
        at[n] += float(np.sign(at[n])) * half * 0.05
        half *= 1.05
    else:
        n = min(ways, key=lambda n: (round(max(0.0, over[n]), 1), -edges[n]))
    middle = at - out * float(at @ out) + out * (low + high) / 2
    corner = wide if feature.kind == "slot" and not is_open and half > wide else 0.0
    yield Cut("long", vec(middle), vec(out), (high - low) / 2, across=vec(directions[n]), half_length_mm=half,
              half_width_mm=wide, corner_mm=corner, feature=feature.id)  # fmt: skip


def opening(
    at: float, deep: float, edge: float, out: Vector, *, through: bool
) -> tuple[float, float, Vector]:  # fmt: skip
    """From and to along the way out, over the face that it opens to; its point may be its floor's or its middle."""
    if through:
        return at - deep / 2 - OVER_MM, at + deep / 2 + OVER_MM, out
    ways = ((at, at + deep, 1.0), (at - deep / 2, at + deep / 2, 1.0), (-at - deep / 2, -at + deep / 2, -1.0))
    low, high, sense = min(ways, key=lambda way: round(abs(edge - way[1]), 2))
    return low, high + OVER_MM + (edge - high if 0 < edge - high < MOUTH_SHARE * deep + 0.5 else 0.0), sense * out


def vec(v: Vector) -> Vec3:
    """Rounded, so that the same part gives the same text."""
    x, y, z = (round(float(c), 4) + 0.0 for c in v)
    return x, y, z


def opening_cuts(part: Part, cuts: Sequence[Cut], box: Vec3) -> tuple[Cut, ...]:
    """The cuts that open to the box's surface or into another cut; the rest would lie unseen in the drawn box.

    Args:
        part: for which of them go through.
        cuts: all that were found.
        box: its edges, mm.
    Returns: those that can be seen.
    """
    blind = {f.id for f in part.features if f.through is False and f.kind != "cone"}

    def ends(cut: Cut) -> Iterator[Vector]:
        # A blind hole's axis runs in from its mouth, a pocket's out of it.
        ways = (-1.0, 1.0) if cut.feature not in blind else (-1.0,) if cut.shape == "round" else (1.0,)
        return (np.array(cut.at_mm) + way * cut.half_mm * np.array(cut.axis) for way in ways)

    def opens(cut: Cut, end: Vector) -> bool:
        outside = bool(np.any(np.abs(end) >= np.array(box) / 2 - 1e-6))
        return outside or any(holds(other, end) for other in cuts if other is not cut)

    return tuple(cut for cut in cuts if any(opens(cut, end) for end in ends(cut)))


def holds(cut: Cut, point: Vector) -> bool:
    """Whether a point lies in a cut.

    Args:
        cut: round or long.
        point: (3,) in the picture's frame, mm.
    Returns: True inside.
    """
    away, axis = point - np.array(cut.at_mm), np.array(cut.axis)
    deep = float(away @ axis)
    if abs(deep) > cut.half_mm:
        return False
    if cut.shape == "round":
        share = (deep / cut.half_mm + 1) / 2
        radius = cut.radius_from_mm + (cut.radius_to_mm - cut.radius_from_mm) * share
        return float(np.linalg.norm(away - deep * axis)) < radius
    across = np.array(cut.across)
    beside = np.abs([away @ across, away @ np.cross(axis, across)])
    over = beside - (cut.half_length_mm, cut.half_width_mm) + cut.corner_mm
    return float(np.linalg.norm(np.maximum(over, 0.0)) + min(over.max(), 0.0)) < cut.corner_mm
