"""Rounds of a scan made tangent to the two planes between which they lie, where their points do not speak against it.

A part of a cylinder, found from its own points alone, mixes its radius with its axis's place: a corner of 5 mm comes
out anywhere between 4.8 and 5.2. A round is cut or cast between two faces and runs into both without an edge, so that
its radius alone is free. What its points say clearly against that, such as a worn or a hand-broken edge, keeps its own.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import numpy.typing as npt

from steadyrest.part.fit.flat import Plane
from steadyrest.part.fit.round import Turned
from steadyrest.part.segment.found import Found
from steadyrest.part.segment.prismatic_scan.corners import Corner, ends_at, pairs_near, round_in
from steadyrest.part.segment.prismatic_scan.regions import Limits, arc_of
from steadyrest.part.segment.skin import Skin

FloatArray = npt.NDArray[np.float64]

MOST_ARC_RAD = 2.9  # what reaches farther round settles its own axis
ALONG = 0.05  # of a plane's normal along the round's axis
OFF = 0.25  # of the radius: between the round's axis and where a tangent one would be
LIKE = 0.25  # of the radius: between a round's own and the tangent one
TOGETHER_MM2 = 4.0  # of surface share one value of a hand-held scan's noise, roughly; judgement
SAVED = 4  # numbers of a cylinder that two planes settle


def made_tangent(skin: Skin, found: Sequence[Found], *, limits: Limits) -> list[Found]:
    """The finds, rounds between two planes refitted as tangent to both.

    Args:
        skin: the mesh made ready. found: finds of a scan without an axis of its own. limits: what counts.
    Returns: finds in the same order, with the same points.
    """
    planes = sorted((f for f in found if isinstance(f.surface, Plane)), key=lambda f: -len(f.members))
    pairs = list(pairs_near(skin, planes))
    return [tangent(skin, f, pairs, limits=limits) if is_round(skin, f) else f for f in found]


def is_round(skin: Skin, found: Found) -> bool:
    """Whether a find is a part of a cylinder that nothing binds yet."""
    surface = found.surface
    if not isinstance(surface, Turned) or surface.half_angle_rad or found.coaxial or found.tangent is not None:
        return False
    return arc_of(surface, skin.points[found.members]) < MOST_ARC_RAD


def tangent(skin: Skin, found: Found, pairs: Sequence[tuple[Found, Found]], *, limits: Limits) -> Found:
    """A round tangent to the pair of planes that it fits best, or as it is."""
    own = found.surface
    assert isinstance(own, Turned)
    points = skin.points[found.members]
    free = square_sum(own, points, limits)
    best: tuple[float, Found] | None = None
    for a, b in pairs:
        corner = corner_at(found, a, b)
        again = round_in(skin, corner, limits=limits) if corner is not None else None
        if again is None or not isinstance(again.surface, Turned):
            continue
        if abs(again.surface.radius_mm - own.radius_mm) > LIKE * own.radius_mm:
            continue
        bound = square_sum(again.surface, points, limits)
        if not all(ends_at(skin, plane, again) for plane in (a, b)):
            continue
        if best is None or bound < best[0]:
            best = bound, again
    if best is None:
        return found
    sigma = max(limits.noise_mm, float(np.sqrt(free / len(points))))
    together = max(1.0, TOGETHER_MM2 * len(points) / float(skin.areas[found.members].sum()))
    cost = (best[0] - free) / sigma**2 / together
    if cost > SAVED * float(np.log(max(len(points) / together, 2.0))):
        return found
    return replace(found, surface=best[1].surface, tangent=best[1].tangent)


def corner_at(found: Found, a: Found, b: Found) -> Corner | None:
    """Two planes as the corner in which a round may lie, or None where it stands elsewhere."""
    own, one, other = found.surface, a.surface, b.surface
    assert isinstance(own, Turned)
    assert isinstance(one, Plane)
    assert isinstance(other, Plane)
    if max(abs(float(plane.normal @ own.axis)) for plane in (one, other)) > ALONG:
        return None
    sign = 1.0 if found.inside else -1.0
    off = [sign * float((own.point - plane.point) @ plane.normal) - own.radius_mm for plane in (one, other)]
    if max(abs(far) for far in off) > OFF * own.radius_mm:
        return None
    axis = np.cross(one.normal, other.normal)
    return Corner(one, other, axis / np.linalg.norm(axis), sign, found.members)


def square_sum(surface: Turned, points: FloatArray, limits: Limits) -> float:
    """Sum of squared distances, none counted for more than what lies at the edge of the reach."""
    return float(np.sum(np.square(np.minimum(np.abs(surface.distances(points)), limits.reach_mm))))
