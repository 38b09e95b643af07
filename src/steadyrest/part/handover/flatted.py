"""Flats and hexagons of a turned part as something to cut: how far from the axis, which way they look, from where to
where along it."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from steadyrest.part.handover.holed import along_nominal, handed_over_frame, off_axis_holes
from steadyrest.part.handover.nominal_profile import named_mm
from steadyrest.part.handover.outline import Segment
from steadyrest.shop.part import Feature, Part, Profile


@dataclass(frozen=True, slots=True)
class FlatCut:
    """One flat in the frame that is handed over: z along the part, x through the first keyway or hole.

    height_mm: from the axis. turn_rad: which way it looks, round the axis from x. low_mm, high_mm: along the axis.
    half_mm: half of how wide it is.
    """

    feature: str
    height_mm: float
    turn_rad: float
    low_mm: float
    high_mm: float
    half_mm: float


def flat_cuts(part: Part, profile: Profile) -> tuple[FlatCut, ...]:
    """The flats of a turned part at nominal size; a hexagon is six of them, a flat of it looking along x.

    Args:
        part: with its features, and the profile as measured.
        profile: the nominal one.
    Returns: one cut a plane; a flat whose height is not known is left out.
    """
    measured = part.profile
    if measured is None:
        return ()
    frame = handed_over_frame(part, measured, off_axis_holes(part))
    cuts: list[FlatCut] = []
    for feature in part.features:
        if feature.kind not in ("flat", "hexagon") or feature.along_mm is None:
            continue
        low, high = (along_nominal(end, measured, profile) for end in feature.along_mm)
        radius = surface_mm(feature, profile, (low + high) / 2)
        height = height_mm(feature, radius)
        if height is None or not 0 < height < radius or high <= low:
            continue
        half = math.sqrt(radius**2 - height**2)
        turns = turns_rad(feature, frame @ np.array(feature.axis))
        cuts.extend(FlatCut(feature.id, height, turn, low, high, half) for turn in turns)
    return tuple(cuts)


def height_mm(feature: Feature, radius_mm: float) -> float | None:
    """From the axis: half of the width across, or the depth below the surface."""
    across, depth = feature.size("width_mm"), feature.size("depth_mm")
    if across is not None:
        return named_mm(across, across.estimate) / 2
    return None if depth is None else radius_mm - named_mm(depth, depth.estimate)


def turns_rad(feature: Feature, axis: np.ndarray[tuple[int], np.dtype[np.float64]]) -> list[float]:
    """Which way each plane of a feature looks."""
    if feature.kind == "hexagon":
        return [side * math.pi / 3 for side in range(6)]
    turn = math.atan2(float(axis[1]), float(axis[0]))
    return [turn] if feature.size("width_mm") is None else [turn, turn + math.pi]


def surface_mm(feature: Feature, profile: Profile, at_mm: float) -> float:
    """The radius of the round that a flat is cut from; 0 where the profile has none."""
    here = [s for s in profile.outside if feature.on is not None and s.feature == feature.on]
    here = here or [s for s in profile.outside if s.from_mm <= at_mm <= s.to_mm]
    return max((stretch.largest_mm / 2 for stretch in here), default=0.0)


def seen_from_its_side(cut: FlatCut) -> tuple[Segment, ...]:
    """A flat's outline as one looks at it: x along the axis, y across, closed, going round to the left."""
    a, b = (cut.low_mm, -cut.half_mm), (cut.high_mm, -cut.half_mm)
    c, d = (cut.high_mm, cut.half_mm), (cut.low_mm, cut.half_mm)
    return Segment(a, b), Segment(b, c), Segment(c, d), Segment(d, a)
