"""Grooves as features: where they lie, how wide and deep, and the book of cutting them."""

from __future__ import annotations

from steadyrest.shop.figure import because
from steadyrest.shop.part import Feature
from steadyrest.stations import sizes
from steadyrest.stations.answer import Ask, refusal
from steadyrest.stations.turn.booking import Side, SidePlan, count, make, too_fine
from steadyrest.stations.turn.grooves import groove, groove_inside
from steadyrest.stock.blank import SAME_MM


def book_groove(ask: Ask, side: Side, done: SidePlan, feature: Feature) -> None:
    """Cut a groove, outside or in a bore, or refuse it.

    Args:
        ask: what is asked.
        side: of this clamping.
        done: the book.
        feature: the groove.
    """
    setting = side.setting
    carrier = next((other for other in ask.part.features if other.id == feature.on), None)
    around = sizes.value_mm(carrier, "diameter_mm") if carrier else setting.clamping.raw_mm
    width = sizes.value_mm(feature, "width_mm")
    if width is None and feature.along_mm is not None:
        width = abs(feature.along_mm[1] - feature.along_mm[0])
    depth = sizes.value_mm(feature, "depth_mm")
    floor = sizes.value_mm(feature, "diameter_mm")
    if floor is None and depth is not None and around is not None:
        floor = around - 2.0 * depth
    if feature.inside:
        _inside_groove(ask, side, done, feature, width)
        return
    if width is None or around is None or floor is None or not 0 < floor < around:
        why = because("turn.groove_unknown", feature=feature.id)
        done.undone.append(refusal(ask, "turn", (feature.id,), (why,)))
        return
    if too_fine(ask, side, done, feature):
        return
    way = groove(setting, from_mm=around, to_mm=floor, width_mm=width)
    if way.tool is None:
        done.undone.append(refusal(ask, "turn", (feature.id,), way.cut.refused, way.nearest))
        return
    count(side, done, way.tool, way.cut, width)
    make(side, done, feature)


def _inside_groove(ask: Ask, side: Side, done: SidePlan, feature: Feature, width_mm: float | None) -> None:
    """A groove in a bore: of that, or of the bore beside it, where the feature says nothing else."""
    ends, profile = side.ends, side.ends.profile
    carrier = next((other for other in ask.part.features if other.id == feature.on), None)
    along = next(((s.from_mm, s.to_mm) for s in profile.inside if s.feature == feature.id), feature.along_mm)
    bore_mm = sizes.value_mm(carrier, "diameter_mm") if carrier else None
    floor_mm, depth_mm = sizes.value_mm(feature, "diameter_mm"), sizes.value_mm(feature, "depth_mm")
    if along is not None:
        beside = [
            min(s.diameter_from_mm, s.diameter_to_mm) for s in profile.inside
            if s.feature != feature.id and s.from_mm <= along[1] + SAME_MM and s.to_mm >= along[0] - SAME_MM
        ]  # fmt: skip
        bore_mm = bore_mm if bore_mm is not None else max(beside, default=None)
        width_mm = width_mm if width_mm is not None else abs(along[1] - along[0])
    if floor_mm is None and depth_mm is not None and bore_mm is not None:
        floor_mm = bore_mm + 2.0 * depth_mm
    if carrier is not None and any(carrier.id in no.features for no in done.undone):
        why = because("turn.groove_no_bore", feature=feature.id, bore=carrier.id)
        done.undone.append(refusal(ask, "turn", (feature.id,), (why,)))
        return
    if width_mm is None or along is None or bore_mm is None or floor_mm is None or floor_mm <= bore_mm:
        why = because("turn.groove_unknown", feature=feature.id)
        done.undone.append(refusal(ask, "turn", (feature.id,), (why,)))
        return
    if too_fine(ask, side, done, feature):
        return
    low_mm, high_mm = profile.outside[0].from_mm, profile.outside[-1].to_mm
    reach_mm = high_mm - min(along) if ends.end_high else max(along) - low_mm
    way = groove_inside(side.setting, from_mm=bore_mm, to_mm=floor_mm, width_mm=width_mm, reach_mm=reach_mm)
    if way.tool is None:
        done.undone.append(refusal(ask, "turn", (feature.id,), way.cut.refused, way.nearest))
        return
    count(side, done, way.tool, way.cut, reach_mm)
    done.figures.extend(way.cut.figures)
    make(side, done, feature)
