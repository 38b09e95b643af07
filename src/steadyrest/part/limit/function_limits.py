"""Limits of shafts and bores by what runs, sits or seals there; and what they would be if something else did.

What the part was for is read off its sizes and its wear, so it can be wrong: each limit says what it takes for granted
and names the limits of the other case beside it.
"""

from __future__ import annotations

from steadyrest.part.nominal.unknowns import is_worn, modelled
from steadyrest.shop.figure import Reason, because
from steadyrest.shop.part import LIKELY, Feature, Limits, Nominal, Part, Size
from steadyrest.tables import bearings, fits, seals
from steadyrest.tables.function_zones import Use, zone_for


def in_zone(
    part: Part, size: Size, nominal: Nominal, use: Use, key: str, *, others: tuple[Reason, ...] = (), twin: str = ""
) -> Limits | None:
    """Limits by the zone of a use.

    Args:
        part: for how it was read.
        size: the size, with its reading if there is one.
        nominal: its nominal.
        use: what the surface is for.
        key: the reason to give.
        others: limits of the other cases, in words.
        twin: id of the feature that it is like, where that is the reason.
    Returns: the limits; None for sizes beyond the tables.
    """
    found = zone_for(use, nominal.value)
    if found is None or not fits.has_limits(nominal.value, found.zone):
        return None
    low, high = fits.limits(nominal.value, found.zone)
    more = {"twin": twin} if twin else {}
    why = because(key, source=found.source, zone=found.zone, nominal=nominal.shown, **more)
    return Limits(low, high, (why, *others, *scan_cannot(part, size, nominal.value, found.zone)))


def if_it(key: str, use: Use, nominal_mm: float) -> tuple[Reason, ...]:
    """What the limits would be for another use."""
    found = zone_for(use, nominal_mm)
    if found is None or not fits.has_limits(nominal_mm, found.zone):
        return ()
    low, high = fits.limits(nominal_mm, found.zone)
    return (because(key, source=found.source, zone=found.zone, low_mm=low, high_mm=high),)


def scan_cannot(part: Part, size: Size, nominal_mm: float, name: str) -> tuple[Reason, ...]:
    """Said where the scan is coarser than the zone is wide: the micrometer decides."""
    if modelled(part) or size.reading is not None:
        return ()
    width_um = fits.it_grade_um(nominal_mm, int(name.lstrip("abcdefghjkmnprstuABCDEFGHJKMNPRSTU")))
    return (because("limits.micrometer_decides", zone=name, width_um=width_um),)


def is_diameter(feature: Feature, size: Size, kind: str) -> bool:
    return feature.kind == kind and size.name == "diameter_mm"


def is_named(nominal: Nominal, source: str) -> bool:
    """Whether a size is at least likely that of a standard part."""
    return nominal.source == source and nominal.odds >= LIKELY


def is_keyed(part: Part, feature: Feature) -> bool:
    return any(other.kind == "keyway" and other.on == feature.id for other in part.features)


def bearing_seat(part: Part, feature: Feature, size: Size, nominal: Nominal) -> Limits | None:
    """A seat for a bearing's inner ring that turns with the shaft, usual load; else the ring that stands still."""
    if not is_diameter(feature, size, "shaft") or not is_named(nominal, "bearing bore"):
        return None
    others = if_it("limits.if_ring_stands", "bearing seat, ring stands", nominal.value)
    return in_zone(part, size, nominal, "bearing seat, ring turns", "limits.bearing_seat", others=others)


def bearing_housing(part: Part, feature: Feature, size: Size, nominal: Nominal) -> Limits | None:
    """A bore for a bearing's outer ring that stands still; else the one that turns, as in a wheel."""
    if not is_diameter(feature, size, "bore") or not is_named(nominal, "bearing outside"):
        return None
    others = if_it("limits.if_ring_turns", "housing, ring turns", nominal.value)
    return in_zone(part, size, nominal, "housing, ring stands", "limits.bearing_housing", others=others)


def seal_seat(part: Part, feature: Feature, size: Size, nominal: Nominal) -> Limits | None:
    """What a lip seal runs on."""
    if not is_diameter(feature, size, "shaft") or not is_named(nominal, "seal seat"):
        return None
    return in_zone(part, size, nominal, "seal seat", "limits.seal_seat")


def seal_housing(part: Part, feature: Feature, size: Size, nominal: Nominal) -> Limits | None:
    """What a lip seal is pressed into."""
    if not is_diameter(feature, size, "bore") or not is_named(nominal, "seal housing"):
        return None
    return in_zone(part, size, nominal, "seal housing", "limits.seal_housing")


def keyed_bore(part: Part, feature: Feature, size: Size, nominal: Nominal) -> Limits | None:
    """A hub's bore with a keyway in it."""
    if not is_diameter(feature, size, "bore") or not is_keyed(part, feature):
        return None
    return in_zone(part, size, nominal, "hub bore", "limits.hub_bore")


def keyed_shaft(part: Part, feature: Feature, size: Size, nominal: Nominal) -> Limits | None:
    """A shaft with a keyway in it, no bearing seat: so that a hub slides on and the key carries."""
    if not is_diameter(feature, size, "shaft") or not is_keyed(part, feature) or nominal.source == "as measured":
        return None
    return in_zone(part, size, nominal, "keyed shaft", "limits.keyed_shaft")


def worn_surface(part: Part, feature: Feature, size: Size, nominal: Nominal) -> Limits | None:
    """A worn surface: something ran on it or in it. A running fit until its mate is known; what it may be beside it."""
    if feature.kind not in ("shaft", "bore") or size.name != "diameter_mm" or not is_worn(part, feature):
        return None
    use: Use = "running bore" if feature.kind == "bore" else "running shaft"
    return in_zone(part, size, nominal, use, f"limits.worn_{feature.kind}", others=mates(feature, nominal.value))


def mates(feature: Feature, nominal_mm: float) -> tuple[Reason, ...]:
    """What a worn surface would be limited to, for each part of the tables that has just this size."""
    if feature.kind == "bore":
        in_housing = if_it("limits.if_bearing", "housing, ring stands", nominal_mm)
        in_seal = if_it("limits.if_seal", "seal housing", nominal_mm)
        return (
            *(in_housing if bearings.bearings_in(nominal_mm, 1e-6) else ()),
            *(in_seal if seals.lip_seals_in(nominal_mm, 1e-6) else ()),
        )
    on_bearing = if_it("limits.if_bearing", "bearing seat, ring turns", nominal_mm)
    on_seal = if_it("limits.if_seal", "seal seat", nominal_mm)
    return (
        *(on_bearing if bearings.bearings_on(nominal_mm, 1e-6) else ()),
        *(on_seal if seals.lip_seals_on(nominal_mm, 1e-6) else ()),
    )


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
    use: Use = "running bore" if feature.kind == "bore" else "running shaft"
    return in_zone(part, size, nominal, use, "limits.twin", twin=twin.id)


def same_and_worn(part: Part, other: Feature, feature: Feature) -> bool:
    """Whether another feature is worn, of the same kind, and named to the same diameter."""
    a, b = other.size("diameter_mm"), feature.size("diameter_mm")
    if other.kind != feature.kind or a is None or b is None or a.nominal is None or b.nominal is None:
        return False
    return abs(a.nominal.value - b.nominal.value) < 1e-6 and is_worn(part, other)


def stock(part: Part, feature: Feature, size: Size, nominal: Nominal) -> Limits | None:
    """Bar left as bought, round or hexagon."""
    round_bar = is_diameter(feature, size, "shaft") and is_named(nominal, "stock size")
    hexagon = feature.kind == "hexagon" and size.name == "width_mm" and is_named(nominal, "hexagon stock")
    if not (round_bar or hexagon):
        return None
    found = in_zone(part, size, nominal, "bright bar", "limits.stock_size")
    return None if found is None else Limits(found.low_mm, found.high_mm, found.why[:1])
