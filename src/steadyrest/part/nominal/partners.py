"""Standard parts that bring sizes with them: on their own (a bearing's bore) or tied to a shaft (its key, its ring)."""

from __future__ import annotations

from functools import cache

from steadyrest.part.nominal.choice import Choices, Fit
from steadyrest.part.nominal.habits import habits
from steadyrest.part.nominal.unknowns import Unknown
from steadyrest.tables import bar_stock, bearings, clearance, fits, keys, rings, sizes, threads

USUAL_BEARINGS = ("60", "62", "63")
FIT_PARTNER_MM = 0.06

# A parent's partners: candidates of the child with the odds of each.
Partners = tuple[tuple[Fit, float], ...]


@cache
def preferred_sizes() -> tuple[float, ...]:
    """Preferred metric sizes, rising: first and second choice diameters."""
    return tuple(size.size_mm for size in sizes.preferred_diameters(2))


def alone(row: Unknown) -> dict[str, tuple[Fit, ...]]:
    """Standard sizes that a size may be on its own, by source; each list as long as the standard has it.

    Args:
        row: the size.
    Returns: source, such as "bearing bore", to its candidates.
    """
    match row.role, row.kind:
        case "diameter", "shaft":
            stock = {"stock size": round_stock()} if row.outermost else {}
            return {"bearing bore": bearing_bores(), **stock}
        case "diameter", "bore":
            return {"bearing outside": bearing_outsides(), "tap drill": tap_drills(), "bolt hole": bolt_holes()}
        case "thread", _:
            return {"thread major": thread_majors()}
        case "hexagon", _:
            return {"hexagon stock": hexagon_stock()}
        case _:
            return {}


def alone_share(row: Unknown, source: str) -> float:
    """Share of the sizes of this role that are taken from such a standard part."""
    standard = habits().standard
    if source == "bearing bore":
        return row.seat_share
    if source == "bolt hole" and len(row.members) > 1:
        return standard["bolt_hole_pattern"]
    return standard[source.replace(" ", "_")]


def tied(row: Unknown, parent: Choices) -> tuple[Partners, ...] | None:
    """Sizes that hang on a shaft, for each candidate of the shaft.

    Args:
        row: a keyway's or groove's size, or the length of a seat.
        parent: candidates of the shaft's diameter.
    Returns: for each of them its partners, empty where it has none; None if sizes of this role never hang on a shaft.
    """
    if row.role not in ("keyway width", "keyway depth", "groove diameter", "groove width", "length"):
        return None
    return tuple(partners_of(row, fit) for fit in parent.fits)


def tied_share(row: Unknown) -> float:
    """Share of the sizes of this role that follow their shaft."""
    standard = habits().standard
    match row.role:
        case "keyway width":
            return standard["key_width"]
        case "keyway depth":
            return standard["key_depth"]
        case "groove diameter" | "groove width":
            return standard["ring_groove"]
        case _:
            return standard["seat_width"]


def partners_of(row: Unknown, shaft: Fit) -> Partners:
    """Partners of one candidate of a shaft."""
    match row.role:
        case "keyway width" | "keyway depth":
            return key_sizes(row, shaft)
        case "groove diameter" | "groove width":
            return ring_sizes(row, shaft)
        case "length" if shaft.source == "bearing bore":
            return seat_widths(shaft)
        case _:
            return ()


def key_sizes(row: Unknown, shaft: Fit) -> Partners:
    """Width or depth of the keyway for a shaft: its own system's key first, the other's now and then."""
    found: list[tuple[Fit, float]] = []
    own = "in" if shaft.unit == "in" else "mm"
    for system, share in ((own, 0.9), ("mm" if own == "in" else "in", 0.1)):
        key = keys.key_for(shaft.value_mm, "in" if system == "in" else "mm")
        if key is None:
            continue
        if row.role == "keyway width":
            low, high = (
                keys.keyway_width_limits(key.width_mm, "shaft")
                if system == "mm"
                else (key.width_mm, key.width_mm + 0.05)
            )
            fit = between("key width", key.width_mm, low, high, unit=system, part=key.shown)
        else:
            deep = round(key.shaft_depth_mm(shaft.value_mm), 6)
            fit = between("key depth", deep, deep, deep + key.depth_plus_mm, unit=system, part=key.shown)
        found.append((fit, share))
    return tuple(found)


def ring_sizes(row: Unknown, shaft: Fit) -> Partners:
    """Groove diameter or width of the retaining ring for a shaft."""
    ring = rings.ring_groove("shaft", shaft.value_mm)
    if ring is None:
        return ()
    part = f"ring for {shaft.value_mm:g} mm"
    if row.role == "groove diameter":
        return ((between("ring groove", ring.groove_mm, *ring.groove_limits_mm(), part=part), 1.0),)
    return ((between("ring groove", ring.width_mm, *ring.width_limits_mm(), part=part), 1.0),)


def seat_widths(shaft: Fit) -> Partners:
    """Lengths of a bearing seat: as long as a usual bearing of this bore is wide."""
    usual = [b for b in bearings.bearings_on(shaft.value_mm, 1e-6) if b.code[:2] in USUAL_BEARINGS]
    widths = sorted({b.width_mm for b in usual})
    codes = {width: next(b.code for b in usual if b.width_mm == width) for width in widths}
    return tuple((Fit(width, "seat width", "mm", part=codes[width]), 1 / len(widths)) for width in widths)


def between(source: str, nominal_mm: float, low_mm: float, high_mm: float, *, unit: str = "mm", part: str = "") -> Fit:
    """A candidate whose work lies between two limits, a quarter of their width from the middle on average."""
    return Fit(nominal_mm, source, unit, (low_mm + high_mm) / 2 - nominal_mm, (high_mm - low_mm) / 4, part)


@cache
def bearing_bores() -> tuple[Fit, ...]:
    """Seats for the usual deep-groove bearings, made k6."""
    bores = sorted({b.bore_mm for b in bearings.bearings() if b.code[:2] in USUAL_BEARINGS and len(b.code) == 4})
    return tuple(
        between("bearing bore", bore, *fits.limits(bore, "k6"), part=bearings.bearings_on(bore, 1e-6)[0].code)
        for bore in bores
    )


@cache
def bearing_outsides() -> tuple[Fit, ...]:
    """Housing bores for the usual deep-groove bearings, made H7."""
    usual = [b for b in bearings.bearings() if b.code[:2] in USUAL_BEARINGS and len(b.code) == 4]
    outsides = sorted({b.outside_mm for b in usual})
    codes = {size: next(b.code for b in usual if b.outside_mm == size) for size in outsides}
    return tuple(between("bearing outside", size, *fits.limits(size, "H7"), part=codes[size]) for size in outsides)


@cache
def round_stock() -> tuple[Fit, ...]:
    """Bright round bar as it is bought; where a size is sold in several conditions, the widest limits."""
    found: dict[float, Fit] = {}
    for bar in bar_stock.bar_sizes("round"):
        size = bar.size_mm[0]
        fit = between("stock size", size, *bar.limits_mm, unit=bar.system, part=f"{bar.condition} {bar.shown}")
        if bar.condition != "hot rolled" and (size not in found or fit.made_mm > found[size].made_mm):
            found[size] = fit
    return tuple(found[size] for size in sorted(found))


@cache
def hexagon_stock() -> tuple[Fit, ...]:
    """Bright hexagon bar, across flats."""
    bars = {bar.size_mm[0]: bar for bar in bar_stock.bar_sizes("hexagon")}
    return tuple(
        between("hexagon stock", size, *bar.limits_mm, unit=bar.system, part=f"{bar.condition} {bar.shown}")
        for size, bar in sorted(bars.items())
    )


@cache
def tap_drills() -> tuple[Fit, ...]:
    """Holes drilled for coarse threads; a drill cuts a little large."""
    found: dict[float, Fit] = {}
    for thread in (t for t in threads.metric_threads() if t.series == "coarse"):
        found.setdefault(thread.tap_drill_mm, Fit(thread.tap_drill_mm, "tap drill", "mm", 0.03, 0.03, thread.name))
    return tuple(found[size] for size in sorted(found))


@cache
def bolt_holes() -> tuple[Fit, ...]:
    """Holes for bolts to go through, medium and fine; a drill cuts a little large."""
    found: dict[float, Fit] = {}
    for hole in (*clearance.clearance_holes("medium"), *clearance.clearance_holes("fine")):
        found.setdefault(hole.hole_mm, Fit(hole.hole_mm, "bolt hole", "mm", 0.03, 0.03, f"M{hole.thread_mm:g}"))
    return tuple(found[size] for size in sorted(found))


@cache
def thread_majors() -> tuple[Fit, ...]:
    """Major diameters of metric and unified threads; a cut thread lies a little under."""
    found: dict[float, Fit] = {}
    for thread in threads.metric_threads():
        size, pitch = thread.diameter_mm, thread.pitch_mm
        found.setdefault(size, Fit(size, "thread major", "mm", -0.06 * pitch, 0.04 * pitch, thread.name))
    for thread in threads.unified_threads():
        size, pitch = thread.diameter_mm, thread.pitch_mm
        found.setdefault(size, Fit(size, "thread major", "in", -0.06 * pitch, 0.04 * pitch, thread.name))
    return tuple(found[size] for size in sorted(found))


def near_fit(row: Unknown) -> float | None:
    """For a solid's odd size: the whole or half millimetre that it may be a fit to, or None."""
    if row.role != "diameter":
        return None
    near = round(row.observed_mm * 2) / 2
    return near if near > 0 and abs(near - row.observed_mm) <= FIT_PARTNER_MM else None
