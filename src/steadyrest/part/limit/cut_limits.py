"""Limits of what is cut into a shaft or bore: keyways, grooves for rings and O-rings, reliefs, drilled holes."""

from __future__ import annotations

from steadyrest.part.limit.function_limits import in_zone, is_named
from steadyrest.shop.figure import Reason, because
from steadyrest.shop.part import LIKELY, Feature, Limits, Nominal, Part, Size
from steadyrest.tables import clearance, fits, keys, reliefs, rings, thread_limits, threads
from steadyrest.tables.function_zones import Use
from steadyrest.tables.groove_limits import GrooveSize, groove_deviations_mm

KEY_NEAR_MM = 0.3


def keyway_width(part: Part, feature: Feature, size: Size, nominal: Nominal) -> Limits | None:
    """A metric keyway's width: N9 in the shaft, JS9 in the hub; what a tight or a sliding key takes, beside it."""
    del part
    if (
        feature.kind != "keyway"
        or size.name != "width_mm"
        or not any(near_key(nominal.value, k.width_mm) for k in keys.metric_keys())
    ):
        return None
    place: keys.Place = "hub" if feature.inside else "shaft"
    name = keys.keyway_zone(place)
    why = because(f"limits.keyway_{place}", source="din-6885", zone=name, nominal=nominal.shown)
    others = (*held(nominal.value, place, "close"), *held(nominal.value, place, "free"))
    return Limits(*keys.keyway_width_limits(nominal.value, place), (why, *others))


def held(width_mm: float, place: keys.Place, hold: keys.Hold) -> tuple[Reason, ...]:
    """The limits of a keyway whose key is held otherwise."""
    name = keys.keyway_zone(place, hold)
    if not fits.has_limits(width_mm, name):
        return ()
    low, high = fits.limits(width_mm, name)
    return (because(f"limits.if_key_{hold}", source="din-6885", zone=name, low_mm=low, high_mm=high),)


def keyway_depth(part: Part, feature: Feature, size: Size, nominal: Nominal) -> Limits | None:
    """A keyway's depth: never less than the table's, a little more is allowed."""
    if feature.kind != "keyway" or size.name != "depth_mm":
        return None
    width = feature.size("width_mm")
    if width is None or width.nominal is None:
        return None
    on = diameter_of(part, feature.on)
    for key in (*keys.metric_keys(), *keys.inch_keys()):
        on_this = on is None or key.over_mm < on <= key.upto_mm
        if not near_key(width.nominal.value, key.width_mm) or not on_this:
            continue
        deep = key.sunk_hub_mm if feature.inside else key.sunk_shaft_mm
        if key.system == "in":
            if on is None:
                continue
            deep = key.hub_depth_mm(on) if feature.inside else key.shaft_depth_mm(on)
        if abs(deep - nominal.value) < KEY_NEAR_MM:
            why = because("limits.keyway_depth", source=key.source, fits=key.shown)
            return Limits(nominal.value, nominal.value + key.depth_plus_mm, (why,))
    return None


def inch_keyway_width(part: Part, feature: Feature, size: Size, nominal: Nominal) -> Limits | None:
    """An inch keyway's width: not smaller than the key. H9 is common practice, no source."""
    known = any(near_key(nominal.value, k.width_mm) for k in keys.inch_keys())
    if feature.kind != "keyway" or size.name != "width_mm" or not known:
        return None
    found = in_zone(part, size, nominal, "inch keyway", "limits.keyway_inch")
    return None if found is None else Limits(found.low_mm, found.high_mm, found.why[:1])


def near_key(width_mm: float, key_mm: float) -> bool:
    return abs(width_mm - key_mm) < 1e-6


def diameter_of(part: Part, feature_id: str | None) -> float | None:
    """Diameter of the feature that carries another, as named or estimated."""
    carrier = next((f for f in part.features if f.id == feature_id), None)
    size = carrier.size("diameter_mm") if carrier is not None else None
    return None if size is None else size.nominal.value if size.nominal is not None else size.estimate


def ring_groove(part: Part, feature: Feature, size: Size, nominal: Nominal) -> Limits | None:
    """A retaining ring's groove: its bottom and its width as the ring's table says."""
    del part
    if feature.kind != "groove" or not is_named(nominal, "ring groove"):
        return None
    place: rings.Where = "bore" if feature.inside else "shaft"
    for groove in rings.ring_grooves(place):
        why = because(f"limits.ring_groove_{place}", source=groove.source, size_mm=groove.diameter_mm)
        if size.name == "diameter_mm" and abs(groove.groove_mm - nominal.value) < 1e-6:
            return Limits(*groove.groove_limits_mm(), (why,))
        if size.name == "width_mm" and abs(groove.width_mm - nominal.value) < 1e-6:
            return Limits(*groove.width_limits_mm(), (why,))
    return None


def o_ring_groove(part: Part, feature: Feature, size: Size, nominal: Nominal) -> Limits | None:
    """A groove for an O-ring: its floor by zone, its width never less, a little more."""
    if feature.kind != "groove" or not is_named(nominal, "O-ring groove"):
        return None
    if size.name == "width_mm":
        why = because("limits.o_ring_width", source="iso-3601-2", nominal=nominal.shown)
        return wider(nominal, "O-ring width", why)
    if size.name != "diameter_mm":
        return None
    use: Use = "O-ring floor in bore" if feature.inside else "O-ring floor on shaft"
    return in_zone(part, size, nominal, use, "limits.o_ring_floor")


def relief(part: Part, feature: Feature, size: Size, nominal: Nominal) -> Limits | None:
    """A thread's relief, or an undercut at a shoulder."""
    if feature.kind != "groove" or nominal.odds < LIKELY:
        return None
    if nominal.source == "thread relief" and size.name == "diameter_mm":
        found = in_zone(part, size, nominal, "thread relief floor", "limits.thread_relief")
        return None if found is None else Limits(found.low_mm, found.high_mm, found.why[:1])
    if nominal.source != "undercut":
        return None
    why = because("limits.undercut", source="din-509", nominal=nominal.shown)
    if size.name == "diameter_mm":
        less, more = groove_deviations_mm("undercut depth")
        return Limits(nominal.value - 2 * more, nominal.value + 2 * less, (why,))
    return wider(nominal, "undercut width", why) if size.name == "width_mm" else None


def wider(nominal: Nominal, what: GrooveSize, why: Reason) -> Limits:
    """A groove's width by its plain deviations."""
    less, more = groove_deviations_mm(what)
    return Limits(nominal.value - less, nominal.value + more, (why,))


def relief_beside(pitch_mm: float) -> Reason | None:
    """What relief a thread of this pitch takes, in words; None where the table has none."""
    found = reliefs.thread_relief(pitch_mm)
    if found is None:
        return None
    low, high = found.width_mm
    return because("limits.relief_beside", source=found.source, under_mm=found.under_mm, low_mm=low, high_mm=high)


def bolt_hole(part: Part, feature: Feature, size: Size, nominal: Nominal) -> Limits | None:
    """A hole for a bolt to go through: the zone of its own class, fine, medium or coarse."""
    del part
    if feature.kind != "bore" or size.name != "diameter_mm" or not is_named(nominal, "bolt hole"):
        return None
    for hole in clearance.bolts_through(nominal.value, 1e-6):
        if fits.has_limits(nominal.value, hole.zone):
            source = "iso-273" if hole.bolt.startswith("M") else "asme-b18-2-8"
            why = because(
                f"limits.bolt_hole_{hole.fit}", source=source, zone=hole.zone, nominal=nominal.shown, bolt=hole.bolt
            )
            return Limits(*fits.limits(nominal.value, hole.zone), (why,))
    return None


def counterbore(part: Part, feature: Feature, size: Size, nominal: Nominal) -> Limits | None:
    """A step for a bolt's head: H13."""
    del part
    is_one = feature.kind == "bore" and size.name == "diameter_mm" and is_named(nominal, "counterbore")
    if not is_one or not fits.has_limits(nominal.value, "H13"):
        return None
    why = because("limits.counterbore", source="din-974-1", zone="H13", nominal=nominal.shown)
    return Limits(*fits.limits(nominal.value, "H13"), (why,))


def tap_drill(part: Part, feature: Feature, size: Size, nominal: Nominal) -> Limits | None:
    """A hole drilled for a thread: what the thread's smallest diameter may be."""
    del part
    if feature.kind != "bore" or size.name != "diameter_mm" or not is_named(nominal, "tap drill"):
        return None
    for thread in (*threads.metric_threads(), *threads.unified_threads()):
        found = thread_limits.nut_minor_mm(thread)
        if abs(thread.tap_drill_mm - nominal.value) < 1e-6 and found is not None:
            name, (low, high) = found
            source = "asme-b1-1" if name == "2B" else "iso-965-1"
            return Limits(low, high, (because("limits.tap_drill", source=source, thread=thread.name, zone=name),))
    return None
