"""Hollow cylinders of a scan settled on their walls, free of the skin that a scanner's program hung across them.

Skin closes a hole from its rim inward: it bends off the wall so gently that a first fit takes some of it for wall, and
is drawn askew and too small. Skin lies inside the wall, never outside. So the wall is looked for again with a close
eye, from several slightly wider starts, and what lies clearly inside it is given up.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import numpy.typing as npt

from steadyrest.part.fit import round as rounds
from steadyrest.part.fit.round import Turned
from steadyrest.part.fit.solve import tukey
from steadyrest.part.segment.found import Found
from steadyrest.part.segment.prismatic_scan.regions import Limits
from steadyrest.part.segment.skin import Skin

FloatArray = npt.NDArray[np.float64]

CLOSE = 4.5  # sigmas within which a point still pulls at the wall
WIDER = (0.0, 2.0, 5.0)  # sigmas by which the starts are larger than the first fit
ASKEW_RAD = 0.2  # a wall does not lie farther off from where it was first seen
LEAST_ON_WALL = 0.4  # share of the first points that the settled wall must keep
STEPS = 10
DEAREST = 3000  # points that a fit looks at
# Points about a wall scatter as the noise does; points of skin lie evenly within the width: 2.6 sigmas.
MISFIT = 1.6
FEW = 200  # points from which a wall is believed though it fits badly: a rough hole
OUTER, OUTWARD = 0.35, 3  # quantile above which points are the outer ones; how often they are asked


def settled(skin: Skin, found: Sequence[Found], *, limits: Limits) -> list[Found]:
    """The finds with their hollow cylinders settled on the walls, without those that are skin; others as they are.

    Args:
        skin: the mesh made ready. found: finds of one scan. limits: what counts.
    Returns: the finds left, in the same order.
    """
    out = [on_its_wall(skin, f, limits=limits) for f in found]
    return [f for f in out if not is_skin(skin, f, limits=limits)]


def is_skin(skin: Skin, found: Found, *, limits: Limits) -> bool:
    """Whether few points lie about a hollow cylinder so loosely that no wall can be there."""
    if not is_hollow(found) or len(found.members) >= FEW:
        return False
    rms = float(np.sqrt(np.mean(np.square(found.surface.distances(skin.points[found.members])))))
    return rms > MISFIT * limits.noise_mm + 0.01 * skin.spacing_mm


def is_hollow(found: Found) -> bool:
    """Whether a find is the wall of a hole beside the axis."""
    return (
        found.inside and not found.coaxial and isinstance(found.surface, Turned) and found.surface.half_angle_rad == 0
    )


def on_its_wall(skin: Skin, found: Found, *, limits: Limits) -> Found:
    """One find settled; as it is where it is no hollow cylinder or nothing better fits it."""
    first = found.surface
    if not is_hollow(found) or not isinstance(first, Turned):
        return found
    points = skin.points[found.members]
    some = points[:: max(1, len(points) // DEAREST)]
    width = CLOSE * limits.noise_mm + 1e-9
    best: tuple[float, Turned] | None = None
    for start in starts(some, first, limits.noise_mm):
        fitted = close_fit(some, start, width)
        if fitted is None:
            continue
        held = float(np.sum(held_by(fitted.distances(some), width)))
        if best is None or held > best[0] * 1.001:
            best = (held, fitted)
    if best is None:
        return found
    surface = best[1]
    kept = found.members[np.abs(surface.distances(points)) < width]
    sane = abs(float(surface.axis @ first.axis)) > np.cos(ASKEW_RAD) and len(kept) >= LEAST_ON_WALL * len(points)
    return replace(found, surface=surface, members=kept) if sane else found


def starts(points: FloatArray, first: Turned, noise_mm: float) -> list[Turned]:
    """Where to begin: the first fit, wider ones, and what its outer points alone say, again and again."""
    out = [replace(first, radius_mm=first.radius_mm + wider * noise_mm) for wider in WIDER]
    surface = first
    for _ in range(OUTWARD):
        off = surface.distances(points)
        outer = points[off > np.quantile(off, OUTER)]
        if len(outer) < 12:
            break
        surface = rounds.cylinder(outer, surface, None, rounds=8)
        if not np.isfinite(surface.radius_mm) or not 0.7 < surface.radius_mm / first.radius_mm < 1.4:
            break
        out.append(surface)
    return out


def close_fit(points: FloatArray, start: Turned, width: float) -> Turned | None:
    """The cylinder that points within a width of it agree on, from a start; None if it ran away."""
    surface = start
    for _ in range(STEPS):
        w = held_by(surface.distances(points), width)
        if np.count_nonzero(w) < 12:
            return None
        again = rounds.cylinder(points, surface, w, rounds=6)
        if not np.isfinite(again.radius_mm) or not 0.7 < again.radius_mm / start.radius_mm < 1.4:
            return None
        still = abs(again.radius_mm - surface.radius_mm) < 1e-4 and abs(float(again.axis @ surface.axis)) > 1 - 1e-9
        surface = again
        if still:
            break
    return surface


def held_by(off_mm: FloatArray, width: float) -> FloatArray:
    """(n,) weight of points so far off the wall."""
    return tukey(off_mm, width)
