"""Standard parts that bring one size with them: a bearing's bore, a lip seal's housing, a drill, bar as bought."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache

import numpy as np

from steadyrest.part.nominal.belonging import usual_bearings
from steadyrest.part.nominal.choice import Fit, between
from steadyrest.part.nominal.habits import FloatArray, grid_weights, habits, list_weights
from steadyrest.part.nominal.unknowns import Unknown
from steadyrest.tables import bar_stock, chains, clearance, fits, seals, sizes, threads

FIT_PARTNER_MM = 0.06
FEWEST_TEETH, MOST_TEETH = 9, 76
TIPS_MM = 0.2  # nothing runs on the tips of a sprocket's teeth: they are turned to about their size
REACH_MM = 2.0  # a hole may be seen this much larger than its drill


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
            stock = {"stock size": round_stock(), "sprocket outside": sprocket_outsides()} if row.outermost else {}
            return {
                "bearing bore": bearing_bores("mm"), "inch bearing bore": bearing_bores("in"),
                "seal seat": seal_seats(), **stock,
            }  # fmt: skip
        case "diameter", "bore":
            return {
                # In this order: what a hole is there for comes before how it was made.
                **({"drill": drills("mm"), "inch drill": drills("in")} if is_drilled(row) else {}),
                "bearing outside": bearing_outsides("mm"), "inch bearing outside": bearing_outsides("in"),
                "seal housing": seal_housings(), "tap drill": tap_drills("mm"), "inch tap drill": tap_drills("in"),
                "bolt hole": bolt_holes("mm"), "inch bolt hole": bolt_holes("in"),
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
    standard, systems = habits().standard, habits().systems
    plain = source.removeprefix("inch ")
    key = plain.replace(" ", "_")
    if plain == "bearing bore":
        share = row.seat_share
    elif plain == "seal seat":
        share = row.seal_share
    elif plain == "bolt hole" and len(row.members) > 1:
        share = standard["bolt_hole_pattern"]
    elif row.twin and is_drilled(row) and f"{key}_repeated" in standard:
        share = standard[f"{key}_repeated"]
    elif f"{key}_small" in standard and is_drilled(row):
        share = standard[f"{key}_small"]
    else:
        share = standard[key]
    rare = standard["inch_part_in_metric"]
    inch = np.array([system.unit == "in" or bool(system.halves) for system in systems])
    if plain == "drill":  # which a shop keeps in the drawing's own system, where there is one
        ruled = np.array([bool(system.unit) for system in systems])
        own = inch if plain != source else ~inch
        return share * np.where(ruled, np.where(own, 1 - rare, rare), 0.5)
    if plain in ("bolt hole", "tap drill"):  # bolts follow the drawing; bearings are bought in mm everywhere
        mixed = np.array([bool(system.halves) for system in systems])
        own = np.where(mixed, 0.5, np.where(inch, standard["metric_bolt_in_inch"], 1 - rare))
        return share * (own if plain == source else 1 - own)
    if plain == source:
        return np.full(len(inch), share)
    return share * np.where(inch, 0.5, rare)


def is_drilled(row: Unknown) -> bool:
    """Whether a bore is small enough to be left as the drill made it."""
    return row.observed_mm <= habits().drills["most_mm"]


def rooms(row: Unknown, source: str, fits: tuple[Fit, ...], *, low_mm: float, high_mm: float) -> dict[float, float]:
    """How often a standard part of this source is each size between two bounds, as a weight, mm.

    Args:
        row: the size. source: as `alone` names it. fits: its candidates.
        low_mm, high_mm: the bounds.
    Returns: size to weight: by its room among its neighbours, drills by how round they are. Where a standard has
        several lists, such as medium and fine holes, each with its share, and the room among its own.
    """
    if source.removeprefix("inch ") == "drill":
        steps = habits().drill_steps[fits[0].unit]
        return grid_weights(steps, low_mm=low_mm, high_mm=high_mm, size_mm=row.observed_mm)
    found: dict[float, float] = {}
    for share, values_mm in lists_of(source) or ((1.0, tuple(sorted(fit.value_mm for fit in fits))),):
        for value, room in list_weights(values_mm, low_mm=low_mm, high_mm=high_mm).items():
            found[value] = found.get(value, 0.0) + share * room
    return found


@cache
def lists_of(source: str) -> tuple[tuple[float, tuple[float, ...]], ...]:
    """The lists that one standard gives for a source, each with how often it is taken; nothing where it has but one.

    Args:
        source: as `alone` names it.
    Returns: (share, sizes rising, mm).
    """
    plain, unit = source.removeprefix("inch "), "in" if source.startswith("inch ") else "mm"
    # Of each list its share in the file, and (bolt, hole) of each.
    lists: list[tuple[str, list[tuple[float, float]]]] = []
    if plain == "bolt hole":
        for fit in clearance.BOLT_FITS:
            holes = clearance.clearance_holes(fit, "in" if unit == "in" else "mm")
            lists.append((f"bolt_hole_{fit}", [(hole.thread_mm, hole.hole_mm) for hole in holes]))
    elif plain == "tap drill":
        every = threads.unified_threads() if unit == "in" else threads.metric_threads()
        coarse = [t for t in every if t.series in ("coarse", "UNC")]
        for name, some in (("coarse", coarse), ("fine", [t for t in every if t not in coarse])):
            lists.append((f"tap_drill_{name}", [(t.diameter_mm, t.tap_drill_mm) for t in some]))
    return tuple(
        (habits().standard[name] * share, holes) for name, some in lists for share, holes in by_choice(some, unit)
    )


def by_choice(holes: list[tuple[float, float]], unit: str) -> Iterator[tuple[float, tuple[float, ...]]]:
    """Holes of the bolts that are first choice, and of those that are second, each with its share.

    Args:
        holes: (bolt, hole) of each. unit: of the bolts; inch ones are all first.
    """
    second = {hole for bolt, hole in holes if unit == "mm" and bolt in habits().second_choice_mm}
    first = {hole for _, hole in holes} - second
    rare = habits().standard["rare_bolt"] if second else 0.0
    yield 1 - rare, tuple(sorted(first))
    if second:
        yield rare, tuple(sorted(second))


@cache
def drills(unit: str) -> tuple[Fit, ...]:
    """Drills in the finest steps that are kept."""
    habit, (step, _) = habits().drills, habits().drill_steps[unit].steps[-1]
    count = int((habit["most_mm"] + REACH_MM) / step)
    return tuple(drilled(round(k * step, 6), "drill", unit, "") for k in range(1, count + 1))


def drilled(size_mm: float, source: str, unit: str, part: str) -> Fit:
    """A hole as a drill leaves it, a little larger than the drill."""
    habit = habits().drills
    return Fit(size_mm, source, unit, habit["over_mm"], habit["over_sd_mm"], part)


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
def sprocket_outsides() -> tuple[Fit, ...]:
    """Blanks turned for sprockets of single roller chains, over the tips of their teeth."""
    found: dict[float, Fit] = {}
    for chain in chains.chains():
        for teeth in range(FEWEST_TEETH, MOST_TEETH + 1):
            size = round(chains.sprocket_outside_diameter(chain.pitch_mm, teeth), 6)
            part = f"{teeth} teeth, pitch {chain.pitch_mm:g} mm"
            found.setdefault(size, between("sprocket outside", size, size - TIPS_MM, size + TIPS_MM, part=part))
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
        found.setdefault(thread.tap_drill_mm, drilled(thread.tap_drill_mm, "tap drill", unit, thread.name))
    return tuple(found[size] for size in sorted(found))


@cache
def bolt_holes(system: clearance.System) -> tuple[Fit, ...]:
    """Holes for bolts to go through, medium before fine before coarse."""
    found: dict[float, Fit] = {}
    fits_in_order: tuple[clearance.BoltFit, ...] = ("medium", "fine", "coarse")
    for hole in (hole for fit in fits_in_order for hole in clearance.clearance_holes(fit, system)):
        found.setdefault(hole.hole_mm, drilled(hole.hole_mm, "bolt hole", system, hole.bolt))
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
