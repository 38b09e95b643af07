"""Which taper of the tables a cone is, with odds."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import degrees, exp, hypot, pi, radians, sqrt, tan

from steadyrest.part.nominal.choice import AS_MEASURED
from steadyrest.shop.figure import Reason, because
from steadyrest.shop.part import Feature, Nominal, Part
from steadyrest.tables.tapers import Taper, tapers

MADE_RAD = 2e-4  # one sigma of a taper that somebody turned by the compound slide and an old plug, by judgement
GROUND_RAD = 5e-5  # of a tool's taper
SIZE_MM = 0.6  # how far a worn or cut back taper's ends may lie outside of those printed
SIZED_FITS, SIZED_MISFITS = 3.0, 0.02  # how much the diameters speak for or against a taper that has printed ones
NONE_SHARE = 0.15
NONE_RAD = 0.2  # over which any other half angle is spread
LEAST_ODDS = 0.01
UNNAMED = (AS_MEASURED, "as modelled")  # an angle that says no more than what it is


@dataclass(frozen=True, slots=True)
class TaperName:
    """One taper that the cone may be. odds: of this against the others and none of them."""

    name: str
    odds: float
    half_angle_rad: float
    source: str
    why: tuple[Reason, ...]


def taper_names(
    half_angle_rad: float, u_rad: float, diameters_mm: tuple[float, float] | None = None
) -> tuple[TaperName, ...]:
    """The named tapers that a cone may be.

    Args:
        half_angle_rad: between surface and axis.
        u_rad: its sigma; 0 for a model.
        diameters_mm: smaller and larger end as seen, if known: Morse tapers differ by size more than by angle.
    Returns: likeliest first, those under one in a hundred left out; empty where none of the tables is likelier than
        any other angle.
    """
    share = (1 - NONE_SHARE) / len(tapers())
    weighed = [
        (taper, share * angle_likeness(taper, half_angle_rad, u_rad) * size_likeness(taper, diameters_mm))
        for taper in tapers()
    ]
    nothing = NONE_SHARE / NONE_RAD
    total = sum(weight for _, weight in weighed) + nothing
    best = sorted(weighed, key=lambda pair: (-pair[1], pair[0].name))
    if best[0][1] < nothing:
        return ()
    return tuple(
        TaperName(
            name=taper.name,
            odds=weight / total,
            half_angle_rad=taper.half_angle_rad,
            source=taper.source,
            why=(
                because(
                    "threads.taper",
                    source=taper.source,
                    name=taper.name,
                    seen_deg=degrees(half_angle_rad),
                    off_deg=degrees(half_angle_rad - taper.half_angle_rad),
                    u_deg=degrees(hypot(u_rad, MADE_RAD)),
                ),
            ),
        )
        for taper, weight in best
        if weight / total >= LEAST_ODDS
    )


def taper_name(
    half_angle_rad: float, u_rad: float, diameters_mm: tuple[float, float] | None = None
) -> TaperName | None:
    """The likeliest named taper, or None.

    Args:
        half_angle_rad: between surface and axis. u_rad: its sigma. diameters_mm: smaller and larger end, if known.
    Returns: the first of `taper_names`.
    """
    return next(iter(taper_names(half_angle_rad, u_rad, diameters_mm)), None)


def angle_likeness(taper: Taper, half_angle_rad: float, u_rad: float) -> float:
    """How likely this half angle would be seen of the taper, per rad."""
    sd = hypot(u_rad, MADE_RAD if taper.large_mm is None else GROUND_RAD)
    return exp(-0.5 * ((half_angle_rad - taper.half_angle_rad) / sd) ** 2) / (sd * sqrt(2 * pi))


def size_likeness(taper: Taper, diameters_mm: tuple[float, float] | None) -> float:
    """How much the diameters speak for a taper that has printed ones; 1 where neither side gives any."""
    if diameters_mm is None or taper.large_mm is None or taper.small_mm is None:
        return 1.0
    small, large = diameters_mm
    fits = small >= taper.small_mm - SIZE_MM and large <= taper.large_mm + SIZE_MM
    return SIZED_FITS if fits else SIZED_MISFITS


def taper_nominals(part: Part) -> Part:
    """The part with its cones' angles named by the tapers of the tables, after all other sizes.

    Args:
        part: with its sizes named.
    Returns: the part; an angle read by hand, or one that no taper explains better, keeps its nominal.
    """
    if part.unit.state == "ask":
        return part
    return replace(part, features=tuple(tapered(f) if f.kind == "cone" else f for f in part.features))


def tapered(feature: Feature) -> Feature:
    """A cone with its included angle named by a taper, where one explains it better than a round angle does."""
    angle, diameter = feature.size("angle_deg"), feature.size("diameter_mm")
    if angle is None or angle.reading is not None:
        return feature
    half, u_half = radians(angle.estimate) / 2, radians(angle.uncertainty) / 2
    ends = None
    if diameter is not None and feature.along_mm is not None:
        small = diameter.measured - 2 * (feature.along_mm[1] - feature.along_mm[0]) * tan(half)
        ends = (small, diameter.measured)
    names = taper_names(half, u_half, ends)
    now = angle.nominal
    if not names or (now is not None and now.source not in UNNAMED and now.odds >= names[0].odds):
        return feature
    first, *others = names
    rivals = tuple((one.name, one.odds) for one in others)
    value = 2 * degrees(first.half_angle_rad)
    named = Nominal(value, first.name, first.odds, "taper", None, first.why, rivals)
    sizes = tuple(replace(size, nominal=named) if size.name == "angle_deg" else size for size in feature.sizes)
    return replace(feature, sizes=sizes)
