"""Balls, rings and countersinks of an exact mesh, among the strips that no cylinder or cone explains."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from steadyrest.part.fit import round as rounds
from steadyrest.part.fit.flat import circle_by_algebra
from steadyrest.part.fit.round import Ring, Sphere, Turned
from steadyrest.part.fit.solve import unit
from steadyrest.part.segment.exact_mesh.flats import Flats
from steadyrest.part.segment.exact_mesh.strips import gathered
from steadyrest.part.segment.found import Found, Surface
from steadyrest.part.segment.skin import Skin

FloatArray = npt.NDArray[np.float64]
IntArray = npt.NDArray[np.int64]

TRIED = 300  # strips tried for rings and balls
LEAST = 4  # strips to a ring or a ball


def add_rings_and_balls(skin: Skin, flats: Flats, found: list[Found], whose: IntArray, tolerance: float) -> None:
    """Spheres, and rings about axes already known, among strips left over; found and whose grow in place.

    Args:
        skin: made ready. flats: its coplanar pieces. found: finds so far. whose: (flats,) find of each flat, -1 none.
        tolerance: how far corners may lie off.
    """
    axes = [f.surface for f in sorted(found, key=lambda f: -len(f.members)) if isinstance(f.surface, Turned)][:24]
    tried: set[int] = set()
    for k in np.argsort(-flats.area, kind="stable").tolist():
        if len(tried) > TRIED:
            break
        if whose[k] >= 0 or k in tried:
            continue
        near = [j for j in flats.soft(k) if whose[j] < 0]
        tried.add(k)
        if len(near) < 2:
            continue
        points = skin.points[flats.corners_of([k, *near])]
        proposed = _ball_or_ring(points, axes, tolerance) if len(near) > 2 and len(points) > 6 else []
        for surface in (*_cone_between_rims(points, axes, tolerance), *proposed):
            members, inside = gathered(skin, flats, k, surface, whose, tolerance)
            if len(members) >= LEAST:
                whose[members] = len(found)
                found.append(Found(surface, flats.corners_of(members), inside))
                break
        else:
            tried.update(near)


def _cone_between_rims(points: FloatArray, axes: list[Turned], tolerance: float) -> list[Surface]:
    """A cone of which only the two rims have corners, about an axis already known: a countersink on its hole."""
    if len(points) < 5:
        return []
    for axis in axes:
        rho, along = axis.local(points)
        low = along < (along.min() + along.max()) / 2
        rims = [(float(r.mean()), float(np.ptp(r))) for r in (rho[low], rho[~low])] if low.any() else []
        ends = [(float(t.mean()), float(np.ptp(t))) for t in (along[low], along[~low])] if low.any() else []
        if not rims or max(off for _, off in (*rims, *ends)) > 2 * tolerance:
            continue
        rise, run = rims[1][0] - rims[0][0], ends[1][0] - ends[0][0]
        if abs(rise) < 20 * tolerance or run < 20 * tolerance:
            continue
        middle = axis.point + (ends[0][0] + ends[1][0]) / 2 * axis.axis
        return [Turned(middle, axis.axis, (rims[0][0] + rims[1][0]) / 2, float(np.arctan2(rise, run)))]
    return []


def _ball_or_ring(points: FloatArray, axes: list[Turned], tolerance: float) -> list[Surface]:
    ball = rounds.sphere_by_algebra(points)
    if ball.radius_mm > 0 and np.abs(ball.distances(points)).max() < tolerance:
        better = rounds.sphere(points, start=ball)
        if np.abs(better.distances(points)).max() < tolerance:
            return [Sphere(better.centre, better.radius_mm)]
    out: list[Surface] = []
    for axis in axes:
        rho, along = axis.local(points)
        flat = np.stack((rho, along), axis=1)
        if len(np.unique(np.round(flat / (4 * tolerance)), axis=0)) < 3:
            continue
        tube = circle_by_algebra(flat)
        if tube.radius_mm < 0.02 * np.ptp(flat, axis=0).max() or np.abs(tube.distances(flat)).max() > tolerance:
            continue
        if tube.centre[0] > 0.2 * tube.radius_mm and tube.radius_mm < 5 * float(rho.max()):
            centre = axis.point + tube.centre[1] * axis.axis
            out.append(Ring(centre, unit(axis.axis), float(tube.centre[0]), tube.radius_mm))
            break
    return out
