"""Limits of each size: by what it is for, where that is known; else the general tolerance.

A hand-held scan picks the candidate, function picks the limits, the micrometer decides. Limits are absolute sizes.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from steadyrest.part.nominal.unknowns import is_worn, modelled
from steadyrest.shop.figure import Reason, because
from steadyrest.shop.part import LIKELY, Feature, Limits, Nominal, Part, Size
from steadyrest.tables import fits, general_tolerances, keys, rings

KEY_NEAR_MM = 0.3
Rule = Callable[[Part, Feature, Size, Nominal], Limits | None]


def with_limits(part: Part) -> Part:
    """The part with limits on every named size.

    Args:
        part: named.
    Returns: the part; a size keeps limits None only where no table has any (below 0.5 mm).
    Source: ISO 286-1, DIN 6885-1, DIN 471, ISO 2768-1, by the tables' own readers.
    """
    return replace(part, features=tuple(limited(part, feature) for feature in part.features))


def limited(part: Part, feature: Feature) -> Feature:
    """One feature with limits on its sizes."""
    sizes: list[Size] = []
    for size in feature.sizes:
        nominal = size.nominal
        if nominal is None or size.name == "angle_deg":
            sizes.append(size)
            continue
        found = next((f for rule in RULES if (f := rule(part, feature, size, nominal)) is not None), None)
        sizes.append(replace(size, nominal=replace(nominal, limits=found)))
    return replace(feature, sizes=tuple(sizes))


def zone(nominal_mm: float, name: str, *why: Reason) -> Limits | None:
    """Limits of an ISO 286 zone; None for sizes beyond its table."""
    if not fits.has_limits(nominal_mm, name):
        return None
    low, high = fits.limits(nominal_mm, name)
    return Limits(low, high, why)


def bearing_seat(part: Part, feature: Feature, size: Size, nominal: Nominal) -> Limits | None:
    """A seat for a bearing's inner ring that turns with the shaft, usual load: k6."""
    if (
        feature.kind != "shaft"
        or size.name != "diameter_mm"
        or nominal.source != "bearing bore"
        or nominal.odds < LIKELY
    ):
        return None
    why = because("limits.bearing_seat", source="iso-286-1", zone="k6", nominal=nominal.shown)
    return zone(nominal.value, "k6", why, *scan_cannot(part, size, nominal.value, "k6"))


def bearing_housing(part: Part, feature: Feature, size: Size, nominal: Nominal) -> Limits | None:
    """A bore for a bearing's outer ring that stands still: H7."""
    if (
        feature.kind != "bore"
        or size.name != "diameter_mm"
        or nominal.source != "bearing outside"
        or nominal.odds < LIKELY
    ):
        return None
    why = because("limits.bearing_housing", source="iso-286-1", zone="H7", nominal=nominal.shown)
    return zone(nominal.value, "H7", why, *scan_cannot(part, size, nominal.value, "H7"))


def keyed_bore(part: Part, feature: Feature, size: Size, nominal: Nominal) -> Limits | None:
    """A hub's bore with a keyway in it: H7."""
    keyed = any(other.kind == "keyway" and other.on == feature.id for other in part.features)
    if feature.kind != "bore" or size.name != "diameter_mm" or not keyed:
        return None
    why = because("limits.hub_bore", source="iso-286-1", zone="H7", nominal=nominal.shown)
    return zone(nominal.value, "H7", why, *scan_cannot(part, size, nominal.value, "H7"))


def keyed_shaft(part: Part, feature: Feature, size: Size, nominal: Nominal) -> Limits | None:
    """A shaft with a keyway in it, no bearing seat: h6, so that a hub slides on and the key carries."""
    keyed = any(other.kind == "keyway" and other.on == feature.id for other in part.features)
    if feature.kind != "shaft" or size.name != "diameter_mm" or not keyed or nominal.source == "as measured":
        return None
    why = because("limits.keyed_shaft", source="iso-286-1", zone="h6", nominal=nominal.shown)
    return zone(nominal.value, "h6", why, *scan_cannot(part, size, nominal.value, "h6"))


def keyway_width(part: Part, feature: Feature, size: Size, nominal: Nominal) -> Limits | None:
    """A metric keyway's width: N9 in the shaft, JS9 in the hub."""
    del part
    if (
        feature.kind != "keyway"
        or size.name != "width_mm"
        or not any(near_key(nominal.value, k.width_mm) for k in keys.metric_keys())
    ):
        return None
    place = "hub" if feature.inside else "shaft"
    name = keys.keyway_zone(place)
    return zone(
        nominal.value, name, because(f"limits.keyway_{place}", source="din-6885", zone=name, nominal=nominal.shown)
    )


def keyway_depth(part: Part, feature: Feature, size: Size, nominal: Nominal) -> Limits | None:
    """A metric keyway's depth: never less than the table's, a little more is allowed."""
    if feature.kind != "keyway" or size.name != "depth_mm":
        return None
    width = feature.size("width_mm")
    if width is None or width.nominal is None:
        return None
    shaft = diameter_of(part, feature.on)
    for key in keys.metric_keys():
        depth = key.sunk_hub_mm if feature.inside else key.sunk_shaft_mm
        on_this = shaft is None or key.over_mm < shaft <= key.upto_mm
        if near_key(width.nominal.value, key.width_mm) and on_this and abs(depth - nominal.value) < KEY_NEAR_MM:
            why = because("limits.keyway_depth", source="din-6885", fits=key.shown)
            return Limits(nominal.value, nominal.value + key.depth_plus_mm, (why,))
    return None


def inch_keyway_width(part: Part, feature: Feature, size: Size, nominal: Nominal) -> Limits | None:
    """An inch keyway's width: not smaller than the key. H9 is common practice, no source."""
    del part
    known = any(near_key(nominal.value, k.width_mm) for k in keys.inch_keys())
    if feature.kind != "keyway" or size.name != "width_mm" or not known:
        return None
    why = because("limits.keyway_inch", source="iso-286-1", zone="H9", nominal=nominal.shown)
    return zone(nominal.value, "H9", why)


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
    if feature.kind != "groove" or nominal.source != "ring groove" or nominal.odds < LIKELY:
        return None
    for groove in rings.ring_grooves("bore" if feature.inside else "shaft"):
        why = because("limits.ring_groove", source=groove.source, shaft_mm=groove.diameter_mm)
        if size.name == "diameter_mm" and abs(groove.groove_mm - nominal.value) < 1e-6:
            return Limits(*groove.groove_limits_mm(), (why,))
        if size.name == "width_mm" and abs(groove.width_mm - nominal.value) < 1e-6:
            return Limits(*groove.width_limits_mm(), (why,))
    return None


def worn_surface(part: Part, feature: Feature, size: Size, nominal: Nominal) -> Limits | None:
    """A worn surface: something ran on it or in it. A running fit's zone, h7 or H7, until its mate is known."""
    if feature.kind not in ("shaft", "bore") or size.name != "diameter_mm" or not is_worn(part, feature):
        return None
    name = "H7" if feature.kind == "bore" else "h7"
    why = because(f"limits.worn_{feature.kind}", source="iso-286-1", zone=name, nominal=nominal.shown)
    return zone(nominal.value, name, why, *scan_cannot(part, size, nominal.value, name))


def twin_of_worn(part: Part, feature: Feature, size: Size, nominal: Nominal) -> Limits | None:
    """A surface of the same size as a worn one: most likely it carries the same thing, so it gets the same zone."""
    # A model shows no wear, and may have thousands of equal holes.
    if modelled(part) or feature.kind not in ("shaft", "bore") or size.name != "diameter_mm":
        return None
    if nominal.source == "as measured":
        return None
    others = (other for other in part.features if other is not feature)
    twin = next((other for other in others if same_and_worn(part, other, feature)), None)
    if twin is None:
        return None
    name = "H7" if feature.kind == "bore" else "h7"
    why = because("limits.twin", source="iso-286-1", zone=name, nominal=nominal.shown, twin=twin.id)
    return zone(nominal.value, name, why, *scan_cannot(part, size, nominal.value, name))


def same_and_worn(part: Part, other: Feature, feature: Feature) -> bool:
    """Whether another feature is worn, of the same kind, and named to the same diameter."""
    a, b = other.size("diameter_mm"), feature.size("diameter_mm")
    if other.kind != feature.kind or a is None or b is None or a.nominal is None or b.nominal is None:
        return False
    return abs(a.nominal.value - b.nominal.value) < 1e-6 and is_worn(part, other)


def stock_diameter(part: Part, feature: Feature, size: Size, nominal: Nominal) -> Limits | None:
    """Bar left as bought: the bar's own limits; h11 holds all bright bar of the tables."""
    del part
    if feature.kind != "shaft" or size.name != "diameter_mm" or nominal.source != "stock size" or nominal.odds < LIKELY:
        return None
    return zone(
        nominal.value, "h11", because("limits.stock_size", source="iso-286-1", zone="h11", nominal=nominal.shown)
    )


def general(part: Part, feature: Feature, size: Size, nominal: Nominal) -> Limits | None:
    """What nothing else rules: ISO 2768-1, class m."""
    del part, size
    broken_edge = feature.kind in ("chamfer", "fillet")
    rule = general_tolerances.broken_edge_mm if broken_edge else general_tolerances.general_tolerance_mm
    off = rule(nominal.value, "m")
    if off is None:
        return None
    why = because("limits.general", source="iso-2768-1", off_mm=off)
    return Limits(max(0.0, nominal.value - off), nominal.value + off, (why,))


def scan_cannot(part: Part, size: Size, nominal_mm: float, name: str) -> tuple[Reason, ...]:
    """Said where the scan is coarser than the zone is wide: the micrometer decides."""
    if modelled(part) or size.reading is not None:
        return ()
    width_um = fits.it_grade_um(nominal_mm, int(name.lstrip("abcdefghjkmnprstuABCDEFGHJKMNPRSTU")))
    return (because("limits.micrometer_decides", zone=name, width_um=width_um),)


RULES: tuple[Rule, ...] = (
    bearing_seat, bearing_housing, keyed_bore, keyed_shaft, keyway_width, inch_keyway_width, keyway_depth,
    ring_groove, worn_surface, twin_of_worn, stock_diameter, general,
)  # fmt: skip
