"""What may sit on a shaft or in a bore, and the sizes it brings: key, retaining ring, O-ring, relief, bearing, seal.

Each standard part is asked for by the diameter it fits, and brings all its sizes at once (family.py sums over them).
Its share, of features of that kind on such a diameter, stands in habits.toml under `standard`.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache, lru_cache
from math import ceil, floor

from steadyrest.part.nominal.choice import Fit, between
from steadyrest.part.nominal.habits import INCH_MM, habits
from steadyrest.part.nominal.unknowns import Role, Unknown
from steadyrest.tables import bearings, chains, counterbores, fits, keys, reliefs, rings, seals, threads

USUAL_BEARINGS = ("60", "62", "63")
OWN_SYSTEM = 0.9  # of keys: metric on a metric shaft, inch on an inch one
OWN_CORD = 0.65  # of O-rings, which are bought in inches everywhere
GAP_MM = 0.15  # most that bore and rod differ by: printed depths count from the other part's surface
GRID_MM, GRID_IN = 0.1, 0.001  # how finely floors and widths of O-ring grooves are drawn
RIM_MM = 0.25  # a sprocket's rim is no wider than the chain takes it
FLOOR_MM, WIDTH_MM = 0.06, 0.2  # what floors are usually allowed to either side, and widths to the larger
THINNEST_SHARE = 0.3  # of the shaft: a floor deeper than that is no O-ring's

# Sizes with the odds of each.
Spread = tuple[tuple[Fit, float], ...]


@dataclass(frozen=True, slots=True)
class Belonging:
    """One standard part on a diameter. share: prior odds that it sits there. brings: what it says of which size."""

    name: str
    share: float
    brings: tuple[tuple[Role, Spread], ...]

    def spread(self, role: Role) -> Spread | None:
        """Its sizes for one role; None where it says nothing of it."""
        return next((spread for brought, spread in self.brings if brought == role), None)


def belongings(row: Unknown, on: Fit) -> tuple[Belonging, ...]:
    """What may sit there, if the diameter is this one. The same for all sizes of one feature.

    Args:
        row: one size of the feature.
        on: a candidate of the diameter that it hangs on.
    Returns: standard parts, each name once; their shares add up to less than 1.
    """
    return _sitting(row.kind, row.in_bore, row.stepped, on) if on.value_mm > 0 else ()


@lru_cache(maxsize=4096)
def _sitting(kind: str, in_bore: bool, stepped: bool, on: Fit) -> tuple[Belonging, ...]:
    """What may sit there: each size of a feature asks it of each candidate, and each judging anew."""
    match kind:
        case "keyway":
            return tuple(keys_for(on, hub=in_bore))
        case "groove":
            return tuple(in_groove(on, inside=in_bore))
        case "bore" if stepped:
            return tuple(heads_in(on))
        case "shaft" | "bore":
            return tuple(as_long_as(on))
        case _:
            return ()


def keys_for(on: Fit, *, hub: bool) -> Iterator[Belonging]:
    """The keys of a shaft or hub: its own system's first, the other's now and then; each with its depth, or without."""
    standard = habits().standard
    own = "in" if on.unit == "in" else "mm"
    for system, odds in ((own, OWN_SYSTEM), ("mm" if own == "in" else "in", 1 - OWN_SYSTEM)):
        key = keys.key_for(on.value_mm, "in" if system == "in" else "mm")
        if key is None or key.width_mm >= on.value_mm:
            continue
        if system == "mm":
            low, high = keys.keyway_width_limits(key.width_mm, "hub" if hub else "shaft")
        else:
            low, high = key.width_mm, key.width_mm + 0.05
        width = between("key width", key.width_mm, low, high, unit=system, part=key.shown)
        deep = round(key.hub_depth_mm(on.value_mm) if hub else key.shaft_depth_mm(on.value_mm), 6)
        depth = between("key depth", deep, deep, deep + key.depth_plus_mm, unit=system, part=key.shown)
        both = standard["key_depth"]
        brings: tuple[Role, Spread] = ("keyway width", ((width, 1.0),))
        yield Belonging(f"key {system}", odds * both, (brings, ("keyway depth", ((depth, 1.0),))))
        yield Belonging(f"key {system}, own depth", odds * (standard["key_width"] - both), (brings,))


def in_groove(on: Fit, *, inside: bool) -> Iterator[Belonging]:
    """A retaining ring, an O-ring, a relief."""
    standard = habits().standard
    relief = thread_relief(on) if on.source == "thread major" and not inside else None
    if relief is not None:
        yield Belonging("thread relief", standard["thread_relief"], (("groove diameter", ((relief, 1.0),)),))
    left = 1 - standard["thread_relief"] if relief is not None else 1.0
    ring = rings.ring_groove("bore" if inside else "shaft", on.value_mm)
    if ring is not None:
        part = f"ring for {on.value_mm:g} mm"
        fl = between("ring groove", ring.groove_mm, *ring.groove_limits_mm(), part=part)
        width = between("ring groove", ring.width_mm, *ring.width_limits_mm(), part=part)
        brings: tuple[tuple[Role, Spread], ...] = (
            ("groove diameter", ((fl, 1.0),)),
            ("groove width", ((width, 1.0),)),
        )
        yield Belonging("ring", left * standard["ring_groove"], brings)
    yield from o_rings(on, inside=inside, share=left * standard["o_ring"])
    if not inside and relief is None:
        shapes = reliefs.undercuts(on.value_mm)
        for shape in shapes:
            part = f"undercut {shape.name}"
            under = on.value_mm - 2 * shape.deep_mm
            fl = Fit(round(under, 6), "undercut", "mm", -0.03, 0.05, part)
            width = Fit(shape.width_mm, "undercut", "mm", 0.1, 0.08, part)
            brings = (("groove diameter", ((fl, 1.0),)), ("groove width", ((width, 1.0),)))
            yield Belonging(part, standard["undercut"] / len(shapes), brings)


def thread_relief(on: Fit) -> Fit | None:
    """Floor of the relief of a thread, given as a candidate of its major diameter."""
    thread = next((t for t in threads.metric_threads() if t.name == on.part), None)
    relief = reliefs.thread_relief(thread.pitch_mm) if thread is not None else None
    if thread is None or relief is None:
        return None
    under = round(thread.diameter_mm - relief.under_mm, 6)
    return between("thread relief", under, *fits.limits(under, "h13"), part=thread.name) if under > 0 else None


def o_rings(on: Fit, *, inside: bool, share: float) -> Iterator[Belonging]:
    """Grooves for O-rings, cord by cord: the print gives ranges, so any drawn size within them is as likely."""
    cords = [g for g in seals.glands() if g.use != "static face" and g.depth_mm[1] < THINNEST_SHARE * on.value_mm]
    for gland in cords:
        own = gland.system == ("in" if on.unit == "in" else "mm")
        alike = sum(g.system == gland.system for g in cords)
        part = f"{gland.cord_mm / INCH_MM:.3f} in" if gland.system == "in" else f"{gland.cord_mm:g} mm"
        low, high = gland.depth_mm
        if inside:
            range_mm = (on.value_mm + 2 * low - GAP_MM, on.value_mm + 2 * high)
        else:
            range_mm = (on.value_mm - 2 * high, on.value_mm - 2 * low + GAP_MM)
        brings: tuple[tuple[Role, Spread], ...] = (
            ("groove diameter", drawn_within(*range_mm, made_mm=(-FLOOR_MM, FLOOR_MM), part=part, unit=gland.system)),
            ("groove width", drawn_within(*gland.width_mm, made_mm=(0.0, WIDTH_MM), part=part, unit=gland.system)),
        )
        name = f"O-ring {gland.use} {part}"
        yield Belonging(name, share * (OWN_CORD if own else 1 - OWN_CORD) / alike, brings)


@lru_cache(maxsize=4096)
def drawn_within(low_mm: float, high_mm: float, *, made_mm: tuple[float, float], part: str, unit: str) -> Spread:
    """Every size between two bounds as finely as it would be drawn, each as likely; made_mm: allowed off."""
    step = GRID_IN * INCH_MM if unit == "in" else GRID_MM
    drawn = [round(k * step, 6) for k in range(ceil(low_mm / step - 1e-6), floor(high_mm / step + 1e-6) + 1)]
    low, high = made_mm
    return tuple(
        (between("O-ring groove", size, size + low, size + high, unit=unit, part=part), 1 / len(drawn))
        for size in drawn
    )


def as_long_as(on: Fit) -> Iterator[Belonging]:
    """A seat or housing as long as its bearing or seal is wide, a sprocket's rim as wide as its chain takes it."""
    if on.source == "sprocket outside":
        yield from rims(on)
        return
    widths: dict[float, str] = {}
    if on.source == "bearing bore":
        widths = {b.width_mm: b.code for b in reversed(usual_bearings(on.unit)) if same(b.bore_mm, on.value_mm)}
    elif on.source == "bearing outside":
        widths = {b.width_mm: b.code for b in reversed(usual_bearings(on.unit)) if same(b.outside_mm, on.value_mm)}
    elif on.source == "seal housing":
        widths = {s.width_mm: s.name for s in reversed(seals.lip_seals_in(on.value_mm, 1e-6))}
    if widths:
        source = "seal width" if on.source == "seal housing" else "seat width"
        spread = tuple((Fit(width, source, on.unit, part=widths[width]), 1 / len(widths)) for width in sorted(widths))
        yield Belonging(source, habits().standard["seat_width"], (("length", spread),))


def rims(on: Fit) -> Iterator[Belonging]:
    """The rim of a sprocket's blank, for each chain of the pitch that its outside is turned for."""
    fitting = [chain for chain in chains.chains() if on.part.endswith(f"pitch {chain.pitch_mm:g} mm")]
    widths = {round(chains.sprocket_rim_mm(chain), 6): chain for chain in reversed(fitting)}
    if widths:
        spread = tuple(
            (
                between("sprocket rim", width, width - RIM_MM, width, unit=on.unit, part=widths[width].name),
                1 / len(widths),
            )
            for width in sorted(widths)
        )
        yield Belonging("sprocket rim", habits().standard["sprocket_rim"], (("length", spread),))


def heads_in(on: Fit) -> Iterator[Belonging]:
    """The step for a bolt's socket head over the hole that the bolt goes through."""
    if on.source != "bolt hole":
        return
    head = counterbores.counterbore(on.part)
    if head is None:
        return
    standard = habits().standard
    wide = between("counterbore", head.diameter_mm, *fits.limits(head.diameter_mm, "H13"), part=on.part)
    deep = Fit(head.depth_mm, "counterbore", "mm", 0.1, 0.1, on.part)
    brings: tuple[Role, Spread] = ("diameter", ((wide, 1.0),))
    yield Belonging("head", standard["counterbore_deep"], (brings, ("length", ((deep, 1.0),))))
    yield Belonging("head, own depth", standard["counterbore"] - standard["counterbore_deep"], (brings,))


def same(a_mm: float, b_mm: float) -> bool:
    return abs(a_mm - b_mm) < 1e-6


@cache
def usual_bearings(unit: str) -> tuple[bearings.Bearing, ...]:
    """Deep-groove bearings that a small shop meets: 60, 62, 63; all inch ones kept."""
    if unit == "in":
        return bearings.inch_bearings()
    return tuple(b for b in bearings.bearings() if b.code[:2] in USUAL_BEARINGS and len(b.code) == 4)
