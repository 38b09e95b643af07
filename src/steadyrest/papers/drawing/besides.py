"""What a turned part's profile does not hold: keyways, holes across and beside the axis, threads, hexagons, flats."""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, pi, sin

import numpy as np

from steadyrest.papers.drawing import ink
from steadyrest.papers.drawing.ink import Palette
from steadyrest.papers.drawing.numerals import Mark
from steadyrest.shop.part import Feature, Profile, Stretch

THIN = 0.22
CENTRE_DASH = "5 1 0.8 1"
HIDDEN_DASH = "1.8 1"


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


def along_of(feature: Feature, profile: Profile) -> float:
    """Where along the axis the feature's own point lies."""
    return float(np.dot(np.subtract(feature.at_mm, profile.origin_mm), profile.axis)) + profile.outside[0].from_mm


def besides(
    feature: Feature, profile: Profile, frame: Frame, colours: Palette, *, bored: bool
) -> tuple[list[str], Mark | None, str]:
    """Shapes that the profile does not hold (keyway, cross hole, thread), and where the feature's numeral points."""
    size = feature.size("diameter_mm") or feature.size("width_mm")
    outside = [s for s in profile.outside if s.feature == feature.id]
    inside = [s for s in profile.inside if s.feature == feature.id]
    numeral = numeral_of(feature)
    if inside:
        mark = Mark(
            numeral,
            frame.x(inside[0].from_mm),
            frame.x(inside[-1].to_mm),
            2 * frame.axis - frame.y(inside[0].largest_mm),
        )
        return [], mark, "below"
    if feature.kind == "keyway" and not feature.inside:
        return keyway(feature, profile, frame, colours, bored=bored)
    if outside:
        middle = max(outside, key=lambda s: s.length_mm)
        mark = Mark(
            numeral,
            frame.x(middle.from_mm),
            frame.x(middle.to_mm),
            frame.y((middle.diameter_from_mm + middle.diameter_to_mm) / 2),
        )
        return on_stretch(feature, middle, frame, colours, bored=bored), mark, "above"
    if feature.kind in ("bore", "thread") and size is not None:
        return hole(feature, profile, frame, colours, size.estimate)
    if feature.kind in ("flat", "hexagon", "slot", "pocket", "groove", "chamfer") and feature.along_mm is not None:
        low, high = feature.along_mm
        across = surface_at(profile, (low + high) / 2)
        return [], Mark(numeral, frame.x(low), frame.x(high), frame.y(across)), "above"
    return [], None, "above"


def beside_axis(feature: Feature, profile: Profile) -> tuple[float, float] | None:
    """For a hole along the axis but beside it: its diameter and distance, to 0.1 mm; None for any other feature."""
    diameter = feature.size("diameter_mm")
    if (
        feature.kind not in ("bore", "thread")
        or diameter is None
        or any(s.feature == feature.id for s in profile.inside)
    ):
        return None
    if abs(float(np.dot(feature.axis, profile.axis))) < 0.5:
        return None
    return round(diameter.estimate, 1), round(distance_mm(feature, profile), 1)


def distance_mm(feature: Feature, profile: Profile) -> float:
    """How far the feature's point lies from the axis."""
    foot = np.subtract(feature.at_mm, profile.origin_mm)
    return float(np.linalg.norm(foot - np.dot(foot, profile.axis) * np.array(profile.axis)))


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
    away = distance_mm(feature, profile) * frame.scale
    y, left, right = frame.axis + away, frame.x(low), frame.x(high)
    shapes = [
        ink.line((left, y + s * r), (right, y + s * r), colours.ink, width=0.3, dash=HIDDEN_DASH) for s in (-1, 1)
    ]
    shapes.append(ink.line((left - 2, y), (right + 2, y), colours.ink, width=THIN, dash=CENTRE_DASH))
    return shapes, Mark(numeral_of(feature), left, right, y), "below"


def on_stretch(feature: Feature, stretch: Stretch, frame: Frame, colours: Palette, *, bored: bool) -> list[str]:
    """What is drawn over a stretch: a thread's root, a hexagon's edges, the cross of a flat."""
    left, right = frame.x(stretch.from_mm), frame.x(stretch.to_mm)
    r = frame.axis - frame.y(stretch.largest_mm)
    ways = (-1,) if bored else (-1, 1)
    if feature.kind == "thread":
        return [
            ink.line((left, frame.axis + w * 0.87 * r), (right, frame.axis + w * 0.87 * r), colours.ink, width=THIN)
            for w in ways
        ]
    if feature.kind == "hexagon":
        return [
            ink.line((left, frame.axis + w * r / 2), (right, frame.axis + w * r / 2), colours.ink, width=0.35)
            for w in ways
        ]
    if feature.kind == "flat":
        top, foot = frame.axis - 0.7 * r, frame.axis if bored else frame.axis + 0.7 * r
        return [
            ink.line((left, top), (right, foot), colours.ink, width=THIN),
            ink.line((left, foot), (right, top), colours.ink, width=THIN),
        ]
    return []
