"""The side view of a turned part, to scale: seen from the side above the centre line, cut open below where it is bored."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import cos, pi, sin

import numpy as np

from steadyrest.papers.drawing import ink
from steadyrest.papers.drawing.ink import Palette, Point
from steadyrest.papers.drawing.numerals import Mark
from steadyrest.shop.part import Feature, Part, Profile, Stretch

EDGE = 0.5
THIN = 0.22
HATCH = 2.2
CENTRE_DASH = "5 1 0.8 1"
HIDDEN_DASH = "1.8 1"
WEAR_FROM_MM = 0.015


@dataclass(frozen=True, slots=True)
class Frame:
    """Where the part lies on the paper: x of its first end, y of its axis, paper mm per mm."""

    left: float
    axis: float
    scale: float
    start_mm: float

    def x(self, along_mm: float) -> float:
        return self.left + (along_mm - self.start_mm) * self.scale

    def y(self, diameter_mm: float) -> float:
        """Height of the surface above the axis."""
        return self.axis - diameter_mm / 2 * self.scale


@dataclass(frozen=True, slots=True)
class View:
    """Shapes of the view, and what numerals may point at from above and from below, by feature id."""

    shapes: tuple[str, ...]
    above: dict[str, Mark]
    below: dict[str, Mark]


def turned_view(part: Part, profile: Profile, frame: Frame, colours: Palette) -> View:
    """The view of one turned part.

    Args:
        part: with its features.
        profile: outside and inside stretches.
        frame: where on the paper.
        colours: of the drawing.
    Returns: shapes and marks.
    """
    bored = bool(profile.inside)
    shapes: list[str] = [ink.polygon(outline(part, profile, frame), fill=colours.body)]
    shapes.extend(worn_bands(part, profile, frame, colours))
    if bored:
        shapes.extend(section(profile, frame, colours))
        shapes.extend(worn_bores(part, profile, frame, colours))
    shapes.extend(edges(profile, frame, colours, bored=bored))
    shapes.append(ink.polygon(outline(part, profile, frame), fill="none", stroke=colours.ink, width=EDGE))
    above: dict[str, Mark] = {}
    below: dict[str, Mark] = {}
    for feature in part.features:
        more, mark, side = besides(feature, profile, frame, colours, bored=bored)
        shapes.extend(more)
        if mark is not None:
            (above if side == "above" else below)[feature.id] = mark
    start, end = profile.outside[0].from_mm, profile.outside[-1].to_mm
    shapes.append(ink.line((frame.x(start) - 3, frame.axis), (frame.x(end) + 3, frame.axis), colours.ink, width=THIN,
                           dash=CENTRE_DASH))  # fmt: skip
    return View(tuple(shapes), above, below)


def outline(part: Part, profile: Profile, frame: Frame) -> list[Point]:
    """The whole outline, a wavy edge at an end that is broken off."""
    top: list[Point] = []
    for stretch in profile.outside:
        top.append((frame.x(stretch.from_mm), frame.y(stretch.diameter_from_mm)))
        top.append((frame.x(stretch.to_mm), frame.y(stretch.diameter_to_mm)))
    bottom = [(x, 2 * frame.axis - y) for x, y in reversed(top)]
    first, last = broken_ends(part, profile)
    right = wavy(top[-1], bottom[0]) if last else []
    left = wavy(bottom[-1], top[0]) if first else []
    return [*top, *right, *bottom, *left]


def broken_ends(part: Part, profile: Profile) -> tuple[bool, bool]:
    """Which ends are broken off: those without a face, if the part is broken at all."""
    if not part.broken:
        return False, False
    start, end = profile.outside[0].from_mm, profile.outside[-1].to_mm
    near = 0.02 * (end - start) + 0.5
    at = [f.along_mm[0] for f in part.features if f.kind == "face" and f.along_mm is not None]
    return not any(abs(a - start) < near for a in at), not any(abs(a - end) < near for a in at)


def wavy(a: Point, b: Point) -> list[Point]:
    """A break line from a to b: two waves."""
    count = 24
    depth = min(1.2, 0.06 * abs(b[1] - a[1]) + 0.4)
    return [(a[0] + depth * sin(4 * pi * k / count), a[1] + (b[1] - a[1]) * k / count) for k in range(1, count)]


def edges(profile: Profile, frame: Frame, colours: Palette, *, bored: bool) -> list[str]:
    """Visible edges where the diameter changes; below the axis only where it is not cut open."""
    found: list[str] = []
    for a, b in zip(profile.outside, profile.outside[1:], strict=False):
        x, largest = frame.x(b.from_mm), max(a.diameter_to_mm, b.diameter_from_mm)
        foot = frame.axis if bored else 2 * frame.axis - frame.y(largest)
        found.append(ink.line((x, frame.y(largest)), (x, foot), colours.ink, width=0.35))
    return found


def inside_at(profile: Profile, along_mm: float) -> float:
    """The bore's diameter at a place along the axis; 0 where there is none."""
    for stretch in profile.inside:
        if stretch.from_mm <= along_mm <= stretch.to_mm:
            share = (along_mm - stretch.from_mm) / max(stretch.length_mm, 1e-9)
            return stretch.diameter_from_mm + share * (stretch.diameter_to_mm - stretch.diameter_from_mm)
    return 0.0


def section(profile: Profile, frame: Frame, colours: Palette) -> list[str]:
    """The half that is cut open: material hatched, the bore's surface and edges behind."""
    outer = [
        (frame.x(at), 2 * frame.axis - frame.y(diameter))
        for s in profile.outside
        for at, diameter in ((s.from_mm, s.diameter_from_mm), (s.to_mm, s.diameter_to_mm))
    ]
    inner: list[Point] = []
    last = profile.outside[0].from_mm
    for s in profile.inside:
        if s.from_mm > last + 1e-6:
            inner += [(frame.x(last), frame.axis), (frame.x(s.from_mm), frame.axis)]
        inner += [(frame.x(s.from_mm), 2 * frame.axis - frame.y(s.diameter_from_mm)),
                  (frame.x(s.to_mm), 2 * frame.axis - frame.y(s.diameter_to_mm))]  # fmt: skip
        last = s.to_mm
    end = profile.outside[-1].to_mm
    if end > last + 1e-6:
        inner += [(frame.x(last), frame.axis), (frame.x(end), frame.axis)]
    cut = [*outer, *reversed(inner)]
    empty = [(frame.x(profile.outside[0].from_mm), frame.axis), *inner, (frame.x(end), frame.axis)]
    shapes = [ink.polygon(empty, fill=colours.paper), ink.polygon(cut, fill=colours.cut)]
    shapes.extend(ink.line(a, b, colours.soft, width=0.2) for a, b in hatching(cut, HATCH))
    shapes.append(ink.polygon(cut, fill="none", stroke=colours.ink, width=0.4))
    for s in profile.inside:
        for at, diameter in ((s.from_mm, s.diameter_from_mm), (s.to_mm, s.diameter_to_mm)):
            foot = 2 * frame.axis - frame.y(diameter)
            shapes.append(ink.line((frame.x(at), frame.axis), (frame.x(at), foot), colours.ink, width=0.3))
    return shapes


def hatching(outline_points: Sequence[Point], pitch: float) -> list[tuple[Point, Point]]:
    """Strokes at 45 degrees that fill an outline: each line cut by it, every other stretch kept."""
    points = np.array(outline_points)
    offsets = points[:, 1] - points[:, 0]
    strokes: list[tuple[Point, Point]] = []
    step = pitch * 2**0.5
    for c in np.arange(np.ceil(offsets.min() / step) * step + 1e-7, offsets.max(), step):
        crossings: list[float] = []
        for (ax, ay), (bx, by) in zip(points, np.roll(points, -1, axis=0), strict=True):
            da, db = ay - ax - c, by - bx - c
            if (da < 0) != (db < 0):
                crossings.append(float(ax + (bx - ax) * da / (da - db)))
        crossings.sort()
        for start, end in zip(crossings[::2], crossings[1::2], strict=False):
            strokes.append(((start, start + c), (end, end + c)))
    return strokes


def worn_bands(part: Part, profile: Profile, frame: Frame, colours: Palette) -> list[str]:
    """Worn stretches of outside surfaces: one hue, darker where deeper, each with the number of its step."""
    shapes: list[str] = []
    for feature in part.features:
        if feature.kind != "shaft" or feature.inside or (feature.wear_mm or 0.0) < WEAR_FROM_MM:
            continue
        for stretch in (s for s in profile.outside if s.feature == feature.id):
            shapes.extend(band(feature, stretch, frame, colours, whole=not profile.inside))
    return shapes


def band(feature: Feature, stretch: Stretch, frame: Frame, colours: Palette, *, whole: bool) -> list[str]:
    """One worn stretch. whole: the view is not cut open, so the band goes right across."""
    low, high = feature.wear_along_mm or (stretch.from_mm, stretch.to_mm)
    low, high = max(low, stretch.from_mm), min(high, stretch.to_mm)
    if high <= low:
        return []
    step = ink.wear_step(feature.wear_mm or 0.0)
    top = frame.y(stretch.largest_mm)
    foot = 2 * frame.axis - top if whole else frame.axis
    left, right = frame.x(low), frame.x(high)
    corners = [(left, top), (right, top), (right, foot), (left, foot)]
    size = min(3.6, 0.9 * (right - left), 0.5 * (frame.axis - top))
    middle = ((left + right) / 2, (top + frame.axis) / 2 + 0.36 * size)
    return [
        ink.polygon(corners, fill=colours.wear(step), stroke=colours.soft, width=0.2),
        *([ink.text(middle, str(step), size=size, fill=colours.on_wear(step), anchor="middle", bold=True)] if size > 1.5 else []),
    ]


def worn_bores(part: Part, profile: Profile, frame: Frame, colours: Palette) -> list[str]:
    """Worn stretches of bores, on the surface seen behind the cut."""
    shapes: list[str] = []
    for feature in part.features:
        if feature.kind != "bore" or (feature.wear_mm or 0.0) < WEAR_FROM_MM:
            continue
        step = ink.wear_step(feature.wear_mm or 0.0)
        for s in (s for s in profile.inside if s.feature == feature.id):
            low, high = feature.wear_along_mm or (s.from_mm, s.to_mm)
            left, right = frame.x(max(low, s.from_mm)), frame.x(min(high, s.to_mm))
            foot = 2 * frame.axis - frame.y(s.largest_mm)
            corners = [(left, frame.axis), (right, frame.axis), (right, foot), (left, foot)]
            shapes.append(ink.polygon(corners, fill=colours.wear(step), stroke=colours.soft, width=0.2))
            size = min(3.6, 0.9 * (right - left), 0.8 * (foot - frame.axis))
            at = ((left + right) / 2, (foot + frame.axis) / 2 + 0.36 * size)
            if size > 1.5:
                shapes.append(ink.text(at, str(step), size=size, fill=colours.on_wear(step), anchor="middle", bold=True))
    return shapes


def along_of(feature: Feature, profile: Profile) -> float:
    """Where along the axis the feature's own point lies."""
    return float(np.dot(np.subtract(feature.at_mm, profile.origin_mm), profile.axis)) + profile.outside[0].from_mm


def besides(
    feature: Feature, profile: Profile, frame: Frame, colours: Palette, *, bored: bool
) -> tuple[list[str], Mark | None, str]:
    """Shapes that the profile does not hold (keyway, cross hole, flat, thread), and where the feature's numeral points."""
    size = feature.size("diameter_mm") or feature.size("width_mm")
    outside = [s for s in profile.outside if s.feature == feature.id]
    inside = [s for s in profile.inside if s.feature == feature.id]
    numeral = numeral_of(feature)
    if inside:
        mark = Mark(numeral, frame.x(inside[0].from_mm), frame.x(inside[-1].to_mm), 2 * frame.axis - frame.y(inside[0].largest_mm))
        return [], mark, "below"
    if feature.kind == "keyway" and not feature.inside:
        return keyway(feature, profile, frame, colours, bored=bored)
    if outside:
        middle = max(outside, key=lambda s: s.length_mm)
        mark = Mark(numeral, frame.x(middle.from_mm), frame.x(middle.to_mm), frame.y(min(middle.diameter_from_mm, middle.diameter_to_mm)))
        return on_stretch(feature, middle, frame, colours, bored=bored), mark, "above"
    if feature.kind in ("bore", "thread") and size is not None:
        return hole(feature, profile, frame, colours, size.estimate)
    if feature.kind in ("flat", "hexagon", "slot", "pocket", "groove", "chamfer") and feature.along_mm is not None:
        low, high = feature.along_mm
        across = surface_at(profile, (low + high) / 2)
        return [], Mark(numeral, frame.x(low), frame.x(high), frame.y(across)), "above"
    return [], None, "above"


def numeral_of(feature: Feature) -> str:
    """The number of a feature's id: "12" of "F12"."""
    return feature.id.lstrip("F") or feature.id


def surface_at(profile: Profile, along_mm: float) -> float:
    """Outside diameter at a place along the axis."""
    return next((s.largest_mm for s in profile.outside if s.from_mm <= along_mm <= s.to_mm), profile.largest_mm)


def keyway(
    feature: Feature, profile: Profile, frame: Frame, colours: Palette, *, bored: bool
) -> tuple[list[str], Mark | None, str]:
    """A keyway looked at square on: its ends round, on the centre line; half of it where the view is cut open."""
    width, length = feature.size("width_mm"), feature.size("length_mm")
    if width is None:
        return [], None, "above"
    middle = along_of(feature, profile)
    half_mm = length.estimate / 2 if length is not None else 0.0
    low, high = feature.along_mm or (middle - half_mm, middle + half_mm)
    r = width.estimate / 2 * frame.scale
    left, right = frame.x(low), frame.x(high)
    turns = [k * pi / 16 for k in range(17)]
    inner_right = max(right - r, (left + right) / 2)
    inner_left = min(left + r, (left + right) / 2)
    rim = [(inner_right + r * sin(t), frame.axis - r * cos(t)) for t in turns]
    rim += [(inner_left - r * sin(t), frame.axis + r * cos(t)) for t in turns]
    if bored:
        rim = [(x, min(y, frame.axis)) for x, y in rim]
    shapes = [ink.polygon(rim, fill=colours.cut, stroke=colours.ink, width=0.4)]
    return shapes, Mark(numeral_of(feature), inner_left, inner_right, frame.axis - 0.4 * r), "above"


def hole(
    feature: Feature, profile: Profile, frame: Frame, colours: Palette, diameter_mm: float
) -> tuple[list[str], Mark | None, str]:
    """A hole across the axis, seen as a circle; or beside it along the axis, hidden."""
    along = along_of(feature, profile)
    r = diameter_mm / 2 * frame.scale
    lengthwise = abs(float(np.dot(feature.axis, profile.axis)))
    if lengthwise < 0.5:
        x = frame.x(along)
        shapes = [
            ink.circle((x, frame.axis), r, fill=colours.paper, stroke=colours.ink, width=0.4),
            ink.line((x, frame.axis - r - 1.5), (x, frame.axis + r + 1.5), colours.ink, width=THIN, dash=CENTRE_DASH),
        ]
        return shapes, Mark(numeral_of(feature), x - 0.5 * r, x + 0.5 * r, frame.axis + 0.6 * r), "below"
    low, high = feature.along_mm or (profile.outside[0].from_mm, profile.outside[-1].to_mm)
    foot = np.subtract(feature.at_mm, profile.origin_mm)
    away = float(np.linalg.norm(foot - np.dot(foot, profile.axis) * np.array(profile.axis))) * frame.scale
    y, left, right = frame.axis + away, frame.x(low), frame.x(high)
    shapes = [ink.line((left, y + s * r), (right, y + s * r), colours.ink, width=0.3, dash=HIDDEN_DASH) for s in (-1, 1)]
    shapes.append(ink.line((left - 2, y), (right + 2, y), colours.ink, width=THIN, dash=CENTRE_DASH))
    return shapes, Mark(numeral_of(feature), left, right, y), "below"


def on_stretch(feature: Feature, stretch: Stretch, frame: Frame, colours: Palette, *, bored: bool) -> list[str]:
    """What is drawn over a stretch: a thread's root, a hexagon's edges, the cross of a flat."""
    left, right = frame.x(stretch.from_mm), frame.x(stretch.to_mm)
    r = frame.axis - frame.y(stretch.largest_mm)
    ways = (-1,) if bored else (-1, 1)
    if feature.kind == "thread":
        return [ink.line((left, frame.axis + w * 0.87 * r), (right, frame.axis + w * 0.87 * r), colours.ink, width=THIN) for w in ways]
    if feature.kind == "hexagon":
        return [ink.line((left, frame.axis + w * r / 2), (right, frame.axis + w * r / 2), colours.ink, width=0.35) for w in ways]
    if feature.kind == "flat":
        top, foot = frame.axis - 0.7 * r, frame.axis if bored else frame.axis + 0.7 * r
        return [ink.line((left, top), (right, foot), colours.ink, width=THIN), ink.line((left, foot), (right, top), colours.ink, width=THIN)]
    return []
