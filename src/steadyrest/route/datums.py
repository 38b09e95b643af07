"""From where each clamping measures, and what a later tool relies on: said on the steps, with a stop where needed."""

from __future__ import annotations

from dataclasses import replace

from steadyrest.measure.gauges import gauge_of
from steadyrest.measure.limits import own_limits
from steadyrest.shop.figure import Reason, because
from steadyrest.shop.floor import Shop
from steadyrest.shop.part import Feature, Part
from steadyrest.shop.work import HoldPoint, Step

SAME_MM = 0.05


def with_datums(steps: tuple[Step, ...], part: Part, shop: Shop) -> tuple[Step, ...]:
    """The cutting steps with their datum and what they rely on. Steps of milled bodies bring their own.

    Args:
        steps: that cut, in their order.
        part: with its features.
        shop: its gauges.
    Returns: the same steps, with notes, and with a stop before what is relied on leaves the machine.
    """
    if part.profile is None:
        return steps
    found = list(steps)
    for n, step in enumerate(steps):
        before = steps[:n]
        notes = [*_datum(step, before, part), *_relies(step, before, part)]
        found[n] = replace(found[n], notes=(*found[n].notes, *notes))
        for name in _relied_on(step, before, part):
            at = next(i for i, earlier in enumerate(found[:n]) if name in earlier.makes)
            found[at] = _with_stop(found[at], part.feature(name), step, shop)
    return tuple(found)


def _datum(step: Step, before: tuple[Step, ...], part: Part) -> tuple[Reason, ...]:
    """From where this clamping measures."""
    if step.station == "turn" and not any(earlier.station == "turn" for earlier in before):
        return (because("datum.bar"),)
    gripped = _gripped(step, before, part)
    if step.station == "turn":
        on = gripped.id if gripped is not None else ""
        return (because("datum.turned_round", feature=on),) if on else (because("datum.turned_round_raw"),)
    if step.station == "mill":
        return (because("datum.axis"),)
    return ()


def _gripped(step: Step, before: tuple[Step, ...], part: Part) -> Feature | None:
    """The finished diameter that the jaws close on, where one is."""
    grip = dict(step.holding.given).get("diameter_mm")
    if not isinstance(grip, float):
        return None
    made = {name for earlier in before for name in earlier.makes}
    for feature in part.features:
        size = feature.size("diameter_mm") if feature.kind == "shaft" else None
        value = None if size is None else size.nominal.value if size.nominal else size.estimate
        if feature.id in made and value is not None and abs(value - grip) <= SAME_MM:
            return feature
    return None


def _relies(step: Step, before: tuple[Step, ...], part: Part) -> tuple[Reason, ...]:
    """That a depth is taken from what an earlier step made."""
    made = {name for earlier in before for name in earlier.makes}
    pairs = ((name, part.feature(name).on) for name in step.makes)
    return tuple(
        because("datum.depth_from", feature=name, on=on) for name, on in pairs if on is not None and on in made
    )


def _relied_on(step: Step, before: tuple[Step, ...], part: Part) -> tuple[str, ...]:
    """Features of earlier steps with limits of their own that this step grips or measures from."""
    made = {name for earlier in before for name in earlier.makes}
    names = [on for name in step.makes if (on := part.feature(name).on) is not None and on in made]
    gripped = _gripped(step, before, part)
    if gripped is not None and step.station == "turn":
        names.append(gripped.id)
    return tuple(
        dict.fromkeys(n for n in names if part.feature(n).sizes and own_limits(part.feature(n).sizes[0].nominal))
    )


def _with_stop(step: Step, feature: Feature, later: Step, shop: Shop) -> Step:
    """A stop to measure at the end of a step, unless it stops for this feature already."""
    if any(point.feature == feature.id for point in step.hold_points):
        return step
    limits = own_limits(feature.sizes[0].nominal)
    assert limits is not None, "only features with limits of their own are relied on"
    gauge = gauge_of(shop, feature, limits[1])
    why = because("datum.hold_point", feature=feature.id, later=later.id)
    point = HoldPoint(feature.id, *limits, gauge.id if gauge else "none", why)
    return replace(step, hold_points=(*step.hold_points, point))
