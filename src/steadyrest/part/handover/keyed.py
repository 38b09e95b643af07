"""A keyway as something to draw or cut: its outline seen from above, and how deep it lies."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from steadyrest.part.handover.holed import handed_over_frame, off_axis_holes
from steadyrest.part.handover.nominal_profile import named_mm
from steadyrest.part.handover.outline import Segment
from steadyrest.shop.part import Feature, Part, Profile

FloatArray = npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class KeyCut:
    """low_mm, high_mm: along the axis. floor_mm: of the floor from the axis. turn_rad: round the axis from x.

    round_low, round_high: which ends are round (end-milled). inside: in the bore.
    """

    feature: str
    width_mm: float
    low_mm: float
    high_mm: float
    floor_mm: float
    turn_rad: float
    round_low: bool
    round_high: bool
    inside: bool


def key_cuts(part: Part, profile: Profile) -> tuple[KeyCut, ...]:
    """The keyways of a turned part at nominal size, where the nominal profile puts them.

    Args:
        part: with keyways that lie on a stretch of its profile.
        profile: the nominal one.
    Returns: one cut a keyway; a keyway whose shaft is not in the profile is left out.
    """
    cuts: list[KeyCut] = []
    measured = part.profile
    frame = handed_over_frame(part, measured, off_axis_holes(part)) if measured is not None else np.eye(3)
    for feature in part.features:
        # A slot along a shaft that is too deep for a key is cut as a keyway is.
        if feature.kind not in ("keyway", "slot") or feature.along_mm is None or measured is None:
            continue
        runs, old_runs = (profile.inside, measured.inside) if feature.inside else (profile.outside, measured.outside)
        here = next((s for s in runs if s.feature == feature.on), None)
        before = next((s for s in old_runs if s.feature == feature.on), None)
        width, depth, length = (feature.size(name) for name in ("width_mm", "depth_mm", "length_mm"))
        if here is None or before is None or width is None or depth is None or length is None:
            continue
        long = named_mm(length, length.estimate)
        low, high = placed(feature.along_mm, (before.from_mm, before.to_mm), (here.from_mm, here.to_mm), long)
        deep = named_mm(depth, depth.estimate)
        floor = here.largest_mm / 2 + deep if feature.inside else here.largest_mm / 2 - deep
        count = round_ends(feature)
        at_low = abs(feature.along_mm[0] - before.from_mm) < 1e-3
        at_high = abs(feature.along_mm[1] - before.to_mm) < 1e-3
        cuts.append(
            KeyCut(
                feature=feature.id,
                width_mm=named_mm(width, width.estimate),
                low_mm=low,
                high_mm=high,
                floor_mm=floor,
                turn_rad=turn_of(feature, frame),
                round_low=count == 2 or (count == 1 and at_high),
                round_high=count == 2 or (count == 1 and at_low and not at_high),
                inside=feature.inside,
            )
        )
    return tuple(cuts)


def round_ends(feature: Feature) -> int:
    given = [value for reason in feature.why for name, value in reason.given if name == "round_ends"]
    return int(given[0]) if given and isinstance(given[0], float) else 0


def placed(
    old: tuple[float, float], old_shaft: tuple[float, float], shaft: tuple[float, float], length_mm: float
) -> tuple[float, float]:
    """A keyway's stretch on its nominal shaft: kept to the end of the shaft that it is nearer to."""
    from_low, from_high = old[0] - old_shaft[0], old_shaft[1] - old[1]
    if abs(from_low) <= abs(from_high):
        return shaft[0] + from_low, shaft[0] + from_low + length_mm
    return shaft[1] - from_high - length_mm, shaft[1] - from_high


def turn_of(feature: Feature, frame: FloatArray) -> float:
    """Which way a keyway looks, round the axis from x of the frame that is handed over."""
    x, y, _ = (float(c) for c in frame @ np.array(feature.axis))
    return math.atan2(y, x) if abs(y) > 1e-9 else (0.0 if x > 0 else math.pi)


def seen_from_above(cut: KeyCut) -> tuple[Segment, ...]:
    """The keyway's outline: x along the axis, y across, closed, going round to the left."""
    half = cut.width_mm / 2
    low = cut.low_mm + (half if cut.round_low else 0.0)
    high = cut.high_mm - (half if cut.round_high else 0.0)
    a, b, c, d = (low, -half), (high, -half), (high, half), (low, half)
    segments = [Segment(a, b)] if high > low else []
    segments.append(Segment(b, c, (high, 0.0) if cut.round_high else None, left=True))
    segments += [Segment(c, d)] if high > low else []
    segments.append(Segment(d, a, (low, 0.0) if cut.round_low else None, left=True))
    return tuple(segments)
