"""Recesses turned into a part's faces, as rings to cut."""

from __future__ import annotations

from dataclasses import dataclass

from steadyrest.part.handover.holed import along_nominal
from steadyrest.part.handover.nominal_profile import named_mm
from steadyrest.part.handover.outline import Segment
from steadyrest.shop.part import Part, Profile


@dataclass(frozen=True, slots=True)
class RingCut:
    """mouth_mm, floor_mm: along the axis. inner_mm, outer_mm: radii; the inner one 0 where no wall stands there."""

    feature: str
    mouth_mm: float
    floor_mm: float
    inner_mm: float
    outer_mm: float


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
        cuts.append(RingCut(feature.id, mouth, mouth + (-depth if recess.opens_high else depth), inner, outer))
    return tuple(cuts)


def half_section(cut: RingCut) -> tuple[Segment, ...]:
    """The ring's walls and floor: x along the axis, y the radius, from the mouth at the inner wall to it at the outer.

    Without an inner wall it begins on the axis.
    """
    a, b = (cut.mouth_mm, cut.inner_mm), (cut.floor_mm, cut.inner_mm)
    c, d = (cut.floor_mm, cut.outer_mm), (cut.mouth_mm, cut.outer_mm)
    return Segment(a, b), Segment(b, c), Segment(c, d)
