"""Recesses turned into a part's faces, as rings to cut."""

from __future__ import annotations

import math
from dataclasses import dataclass

from steadyrest.part.handover.holed import along_nominal
from steadyrest.part.handover.nominal_profile import named_mm
from steadyrest.part.handover.outline import Point, Segment
from steadyrest.shop.part import Part, Profile


@dataclass(frozen=True, slots=True)
class RingCut:
    """mouth_mm, floor_mm: along the axis. inner_mm, outer_mm: radii at the floor; the inner one 0 where no wall stands.

    inner_round_mm, outer_round_mm: radius of a wall that rounds over into the mouth's face, 0 of a straight one.
    """

    feature: str
    mouth_mm: float
    floor_mm: float
    inner_mm: float
    outer_mm: float
    inner_round_mm: float = 0.0
    outer_round_mm: float = 0.0


def ring_cuts(part: Part, profile: Profile) -> tuple[RingCut, ...]:
    """The recesses of a turned part at nominal size, from the face that they open to.

    Args:
        part: with its features, and the profile as measured.
        profile: the nominal one.
    Returns: one cut a recess; one that no feature names is left out.
    """
    measured = part.profile
    if measured is None:
        return ()
    features = {feature.id: feature for feature in part.features}
    cuts: list[RingCut] = []
    for recess in measured.recesses:
        feature = features.get(recess.feature or "")
        if feature is None:
            continue
        over, wide, deep = (feature.size(name) for name in ("diameter_mm", "width_mm", "depth_mm"))
        outer = named_mm(over, recess.outer_mm) / 2
        inner = max(0.0, outer - named_mm(wide, (recess.outer_mm - recess.inner_mm) / 2)) if wide is not None else 0.0
        depth = named_mm(deep, recess.to_mm - recess.from_mm)
        mouth = along_nominal(recess.to_mm if recess.opens_high else recess.from_mm, measured, profile)
        foot = mouth + (-depth if recess.opens_high else depth)
        rounds = (recess.inner_round_mm, recess.outer_round_mm)
        cuts.append(RingCut(feature.id, mouth, foot, inner, outer, *rounds))
    return tuple(cuts)


def half_section(cut: RingCut) -> tuple[Segment, ...]:
    """The ring's walls and floor: x along the axis, y the radius, from the mouth at the inner wall to it at the outer.

    Without an inner wall it begins on the axis.
    """
    b, c = (cut.floor_mm, cut.inner_mm), (cut.floor_mm, cut.outer_mm)
    a, inner_centre = over_the_rim(cut, cut.inner_mm, -cut.inner_round_mm)
    d, outer_centre = over_the_rim(cut, cut.outer_mm, cut.outer_round_mm)
    turns_left = cut.mouth_mm > cut.floor_mm
    return Segment(a, b, inner_centre, turns_left), Segment(b, c), Segment(c, d, outer_centre, turns_left)


def over_the_rim(cut: RingCut, wall_mm: float, round_mm: float) -> tuple[Point, Point | None]:
    """Where a wall ends at the mouth, and the centre of its round; outwards where the round is positive.

    A round lower than the recess is deep does not reach its floor, and a straight wall is drawn.
    """
    deep = abs(cut.mouth_mm - cut.floor_mm)
    radius = abs(round_mm)
    if radius < deep:
        return (cut.mouth_mm, wall_mm), None
    end = wall_mm + math.copysign(math.sqrt(radius**2 - (radius - deep) ** 2), round_mm)
    below = math.copysign(radius, cut.floor_mm - cut.mouth_mm)
    return (cut.mouth_mm, end), (cut.mouth_mm + below, end)
