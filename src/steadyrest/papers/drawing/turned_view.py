"""The side view of a turned part, to scale: as seen above the centre line, cut open below it where it is bored."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import pi, sin

import numpy as np

from steadyrest.papers.drawing import ink
from steadyrest.papers.drawing.besides import CENTRE_DASH, THIN, Frame, beside_axis, besides
from steadyrest.papers.drawing.ink import Palette, Point
from steadyrest.papers.drawing.numerals import Mark
from steadyrest.shop.part import Feature, Part, Profile, Stretch

EDGE = 0.5
HATCH = 2.2
WEAR_FROM_MM = 0.015


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
        shapes.extend(section(part, profile, frame, colours))
        shapes.extend(worn_bores(part, profile, frame, colours))
    shapes.extend(edges(profile, frame, colours, bored=bored))
    shapes.append(ink.polygon(outline(part, profile, frame), fill="none", stroke=colours.ink, width=EDGE))
    above: dict[str, Mark] = {}
    below: dict[str, Mark] = {}
    behind: set[tuple[float, float]] = set()
    for feature in part.features:
        # Like holes round the axis lie behind each other when seen from the side: one of them stands for all.
        place = beside_axis(feature, profile)
        if place is not None:
            if place in behind:
                continue
            behind.add(place)
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
    right = wavy(top[-1], bottom[0], frame.axis, frame.axis - top[-1][1]) if last else []
    left = wavy(bottom[-1], top[0], frame.axis, frame.axis - top[0][1]) if first else []
    return [*top, *right, *bottom, *left]


def broken_ends(part: Part, profile: Profile) -> tuple[bool, bool]:
    """Which ends are broken off: those without a face, if the part is broken at all."""
    if not part.broken:
        return False, False
    start, end = profile.outside[0].from_mm, profile.outside[-1].to_mm
    near = 0.02 * (end - start) + 0.5
    at = [f.along_mm[0] for f in part.features if f.kind == "face" and f.along_mm is not None]
    return not any(abs(a - start) < near for a in at), not any(abs(a - end) < near for a in at)


def wavy(a: Point, b: Point, axis: float, half: float) -> list[Point]:
    """A break line from a to b, two waves over the whole diameter; the section's edge lies on the same waves."""
    count = 24
    depth = min(1.2, 0.12 * half + 0.4)
    ys = [a[1] + (b[1] - a[1]) * k / count for k in range(count + 1)]
    return [(a[0] + depth * sin(2 * pi * (y - axis) / max(half, 1e-9)), y) for y in ys]


def edges(profile: Profile, frame: Frame, colours: Palette, *, bored: bool) -> list[str]:
    """Visible edges where the diameter changes; below the axis only where it is not cut open."""
    found: list[str] = []
    for a, b in zip(profile.outside, profile.outside[1:], strict=False):
        x, largest = frame.x(b.from_mm), max(a.diameter_to_mm, b.diameter_from_mm)
        foot = frame.axis if bored else 2 * frame.axis - frame.y(largest)
        found.append(ink.line((x, frame.y(largest)), (x, foot), colours.ink, width=0.35))
    return found


def section(part: Part, profile: Profile, frame: Frame, colours: Palette) -> list[str]:
    """The half that is cut open: material hatched, the bore's surface and edges behind."""
    first, last = broken_ends(part, profile)
    start, end = frame.x(profile.outside[0].from_mm), frame.x(profile.outside[-1].to_mm)
    outer = [
        (frame.x(at), 2 * frame.axis - frame.y(diameter))
        for s in profile.outside
        for at, diameter in ((s.from_mm, s.diameter_from_mm), (s.to_mm, s.diameter_to_mm))
    ]
    inner = bore_line(profile, frame)
    first_half = frame.axis - frame.y(profile.outside[0].diameter_from_mm)
    last_half = frame.axis - frame.y(profile.outside[-1].diameter_to_mm)
    right = wavy(outer[-1], inner[-1], frame.axis, last_half) if last else []
    left = wavy(inner[0], outer[0], frame.axis, first_half) if first else []
    cut = [*outer, *right, *reversed(inner), *left]
    deep_right = wavy(inner[-1], (end, frame.axis), frame.axis, last_half) if last else []
    deep_left = wavy((start, frame.axis), inner[0], frame.axis, first_half) if first else []
    empty = [(start, frame.axis), *deep_left, *inner, *deep_right, (end, frame.axis)]
    shapes = [ink.polygon(empty, fill=colours.paper), ink.polygon(cut, fill=colours.cut)]
    shapes.extend(ink.line(a, b, colours.soft, width=0.2) for a, b in hatching(cut, HATCH))
    shapes.append(ink.polygon(cut, fill="none", stroke=colours.ink, width=0.4))
    for s in profile.inside:
        for at, diameter in ((s.from_mm, s.diameter_from_mm), (s.to_mm, s.diameter_to_mm)):
            if not (first and frame.x(at) == start) and not (last and frame.x(at) == end):
                foot = 2 * frame.axis - frame.y(diameter)
                shapes.append(ink.line((frame.x(at), frame.axis), (frame.x(at), foot), colours.ink, width=0.3))
    return shapes


def bore_line(profile: Profile, frame: Frame) -> list[Point]:
    """The bore's lower edge from end to end, on the axis where there is none."""
    line: list[Point] = []
    last = profile.outside[0].from_mm
    for s in profile.inside:
        if s.from_mm > last + 1e-6:
            line += [(frame.x(last), frame.axis), (frame.x(s.from_mm), frame.axis)]
        line += [(frame.x(s.from_mm), 2 * frame.axis - frame.y(s.diameter_from_mm)),
                 (frame.x(s.to_mm), 2 * frame.axis - frame.y(s.diameter_to_mm))]  # fmt: skip
        last = s.to_mm
    end = profile.outside[-1].to_mm
    if end > last + 1e-6:
        line += [(frame.x(last), frame.axis), (frame.x(end), frame.axis)]
    return line


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
        *(
            [ink.text(middle, str(step), size=size, fill=colours.on_wear(step), anchor="middle", bold=True)]
            if size > 1.5
            else []
        ),
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
                shapes.append(
                    ink.text(at, str(step), size=size, fill=colours.on_wear(step), anchor="middle", bold=True)
                )
    return shapes
