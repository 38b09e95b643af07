"""Standard parts that bring one size with them: a bearing's bore, a lip seal's housing, a tap drill, bar as bought."""

from __future__ import annotations

from functools import cache

import numpy as np

from steadyrest.part.nominal.belonging import usual_bearings
from steadyrest.part.nominal.choice import Fit, between
from steadyrest.part.nominal.habits import FloatArray, habits
from steadyrest.part.nominal.unknowns import Unknown
from steadyrest.tables import bar_stock, clearance, fits, seals, sizes, threads

FIT_PARTNER_MM = 0.06


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
            return {
                "bearing bore": bearing_bores("mm"), "inch bearing bore": bearing_bores("in"),
                "seal seat": seal_seats(), **stock,
            }  # fmt: skip
        case "diameter", "bore":
            return {
                "bearing outside": bearing_outsides("mm"), "inch bearing outside": bearing_outsides("in"),
                "seal housing": seal_housings(), "tap drill": tap_drills("mm"), "inch tap drill": tap_drills("in"),
                "bolt hole": bolt_holes(),
            }  # fmt: skip
        case "thread", _:
            return {"thread major": thread_majors()}
        case "hexagon", _:
            return {"hexagon stock": hexagon_stock()}
        case _:
            return {}


def alone_share(row: Unknown, source: str) -> FloatArray:
    """Share of the sizes of this role that are taken from such a standard part, under each drawing habit.

    Args:
        row: the size.
        source: as `alone` names it.
    Returns: (s,) shares.
    """
    standard = habits().standard
    plain = source.removeprefix("inch ")
    if plain == "bearing bore":
        share = row.seat_share
    elif plain == "seal seat":
        share = row.seal_share
    elif plain == "bolt hole" and len(row.members) > 1:
        share = standard["bolt_hole_pattern"]
    else:
        share = standard[plain.replace(" ", "_")]
    inch = np.array([system.unit == "in" or bool(system.halves) for system in habits().systems])
    if plain == source:
        return np.full(len(inch), share)
    return share * np.where(inch, 0.5, standard["inch_part_in_metric"])


@cache
def bearing_bores(unit: str) -> tuple[Fit, ...]:
    """Seats for the usual deep-groove bearings, made k6."""
    bores = {b.bore_mm: b.code for b in reversed(usual_bearings(unit))}
    return tuple(
        between("bearing bore", bore, *fits.limits(bore, "k6"), unit=unit, part=bores[bore]) for bore in sorted(bores)
    )


@cache
def bearing_outsides(unit: str) -> tuple[Fit, ...]:
    """Housing bores for the usual deep-groove bearings, made H7."""
    codes = {b.outside_mm: b.code for b in reversed(usual_bearings(unit))}
    return tuple(
        between("bearing outside", size, *fits.limits(size, "H7"), unit=unit, part=codes[size])
        for size in sorted(codes)
    )


@cache
def seal_seats() -> tuple[Fit, ...]:
    """Shafts that lip seals run on, made h11."""
    shafts = {s.shaft_mm: s.name for s in reversed(seals.lip_seals())}
    return tuple(between("seal seat", size, *fits.limits(size, "h11"), part=shafts[size]) for size in sorted(shafts))


@cache
def seal_housings() -> tuple[Fit, ...]:
    """Bores that lip seals are pressed into, made H8."""
    bores = {s.housing_mm: s.name for s in reversed(seals.lip_seals())}
    return tuple(between("seal housing", size, *fits.limits(size, "H8"), part=bores[size]) for size in sorted(bores))


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
def tap_drills(unit: str) -> tuple[Fit, ...]:
    """Holes drilled for threads, coarse ones first; a drill cuts a little large."""
    found: dict[float, Fit] = {}
    for thread in threads.unified_threads() if unit == "in" else threads.metric_threads():
        found.setdefault(thread.tap_drill_mm, Fit(thread.tap_drill_mm, "tap drill", unit, 0.03, 0.03, thread.name))
    return tuple(found[size] for size in sorted(found))


@cache
def bolt_holes() -> tuple[Fit, ...]:
    """Holes for bolts to go through, medium before fine before coarse; a drill cuts a little large."""
    found: dict[float, Fit] = {}
    holes = (hole for fit in ("medium", "fine", "coarse") for hole in clearance.clearance_holes(fit))
    for hole in holes:
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
