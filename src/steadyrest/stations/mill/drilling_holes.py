"""Holes along the spindle, threads in them and counterbores over them; a deep one from both sides, half way each."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from steadyrest.shop.figure import because
from steadyrest.shop.part import Feature, Part
from steadyrest.stations import sizes
from steadyrest.stations.mill import times
from steadyrest.stations.mill.spindles import Place
from steadyrest.stations.mill.times import Cut
from steadyrest.tables.practice import rule


def drilled(
    place: Place, part: Part, features: Iterable[Feature]
) -> Iterator[tuple[Feature, Cut, tuple[Feature, ...]]]:
    """Each hole with its cut and all features that it makes; equal holes are worked out once.

    Args:
        place: machine and metal.
        part: whose holes carry threads and counterbores.
        features: bores and inside threads.
    Returns: (hole, cut or refusal, made: the hole and the thread in it).
    """
    threads = {f.on: f for f in part.features if f.kind == "thread" and f.inside and f.on}
    bores = {feature.id for feature in part.features if feature.kind == "bore"}
    known: dict[tuple[object, ...], Cut] = {}
    for feature in features:
        if feature.kind == "thread" and feature.on in bores:
            continue  # made with the bore that it stands in
        thread = feature if feature.kind == "thread" else threads.get(feature.id)
        wound = _thread(thread) if thread is not None else None
        diameter, depth = measures(feature)
        key = (diameter, depth, sizes.width_mm(feature), bool(feature.through), feature.on in bores, wound)
        if key not in known:
            known[key] = _cut(place, feature, over=feature.on in bores, thread=wound)
        yield feature, known[key], (feature, thread) if thread is not None and thread is not feature else (feature,)


def measures(feature: Feature) -> tuple[float, float]:
    """Diameter and depth of a hole, mm; 0 where not known."""
    depth = sizes.value_mm(feature, "depth_mm") or sizes.value_mm(feature, "length_mm")
    return sizes.value_mm(feature, "diameter_mm") or 0.0, depth or 0.0


def _cut(place: Place, feature: Feature, *, over: bool, thread: tuple[float, float, float] | None) -> Cut:
    diameter, depth = measures(feature)
    if diameter <= 0 or depth <= 0:
        return Cut((), refused=(because("mill.unknown_size", feature=feature.id),))
    limits = sizes.width_mm(feature)
    if over:
        return times.counterbore(place, diameter_mm=diameter, depth_mm=depth, limits_mm=limits)
    through = bool(feature.through)
    return times.hole(
        place, diameter_mm=diameter, depth_mm=depth, limits_mm=limits, through=through, thread=thread
    )  # fmt: skip


def half_hole(place: Place, feature: Feature) -> Cut:
    """Half of a through hole, and a little more so that the halves meet.

    Args:
        place: machine and metal.
        feature: a bore through, without a thread.
    Returns: the cut, or why not.
    """
    diameter, depth = measures(feature)
    limits = sizes.width_mm(feature)
    # Two halves meet with a step of what the part shifts when it is turned over.
    if diameter <= 0 or depth <= 0 or limits < rule("meet_limits_mm"):
        return Cut((), refused=(because("mill.halves_fine", feature=feature.id, limits_mm=limits),))
    half = depth / 2.0 + rule("through_mm")
    return times.hole(place, diameter_mm=diameter, depth_mm=half, limits_mm=limits, through=True)


def _thread(thread: Feature) -> tuple[float, float, float] | None:
    major, pitch = sizes.value_mm(thread, "diameter_mm"), sizes.value_mm(thread, "pitch_mm")
    long = sizes.value_mm(thread, "length_mm")
    return (major, pitch, long) if major and pitch and long else None
