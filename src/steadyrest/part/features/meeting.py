"""Where two neighbours of a turned part's line meet, along the axis, and how well that is known."""

from __future__ import annotations

from itertools import pairwise

import numpy as np

from steadyrest.part.features.turned import Ring

TOUCHES = 0.02  # of the length looked at: lines that come so near touch
EDGE_U_MM = 0.04  # of an edge between two surfaces, which handling and scanning have rounded


def crossing_of(a: Ring, b: Ring) -> float | None:
    """Where two rings' lines cross, along the axis."""
    if a.arc is not None or b.arc is not None:
        return crossing_of_arcs(a, b)
    if a.high_mm <= a.low_mm or b.high_mm <= b.low_mm:
        return None
    slope_a = (a.high_radius_mm - a.low_radius_mm) / (a.high_mm - a.low_mm)
    slope_b = (b.high_radius_mm - b.low_radius_mm) / (b.high_mm - b.low_mm)
    if abs(slope_a - slope_b) < 1e-9:
        return None
    return (b.low_radius_mm - slope_b * b.low_mm - a.low_radius_mm + slope_a * a.low_mm) / (slope_a - slope_b)


def crossing_of_arcs(a: Ring, b: Ring) -> float | None:
    """Where an arc meets its neighbour, next to where both end; where they come nearest, if they only touch."""
    arcs = [ring.arc for ring in (a, b) if ring.arc is not None]
    middle, apart = (a.high_mm + b.low_mm) / 2, abs(b.low_mm - a.high_mm)
    longest = max(apart, 0.3 * max(arc.radius_mm for arc in arcs))
    places = [middle + longest * step / 200 for step in range(-200, 201)]
    rims = [arc.at_mm + side * (1 - 1e-9) * arc.radius_mm for arc in arcs for side in (-1, 1)]
    places = sorted([*places, *(x for x in rims if abs(x - middle) <= longest)])
    places = [x for x in places if all(ring.arc is None or ring.arc.reaches(x) for ring in (a, b))]
    gaps = [a.radius_at(x) - b.radius_at(x) for x in places]
    crossings = [
        x + (y - x) * one / (one - other)
        for (x, one), (y, other) in pairwise(zip(places, gaps, strict=True))
        if one * other <= 0 and one != other
    ]
    if crossings:
        return min(crossings, key=lambda x: abs(x - middle))
    nearest = min(zip(gaps, places, strict=True), key=lambda pair: abs(pair[0]), default=None)
    return nearest[1] if nearest is not None and abs(nearest[0]) < TOUCHES * longest else None


def slope_at(ring: Ring, along_mm: float) -> float:
    """How fast a ring's radius grows along the axis."""
    step = 1e-4 * max(ring.high_mm - ring.low_mm, 1e-6)
    return (ring.radius_at(along_mm + step) - ring.radius_at(along_mm - step)) / (2 * step)


def crossing_u_mm(a: Ring, b: Ring) -> float:
    """One sigma of where two rings' lines cross: how well each is known across, over how steeply they meet."""
    if a.arc is not None or b.arc is not None:
        at_mm = (a.high_mm + b.low_mm) / 2
        steep = max(abs(slope_at(a, at_mm) - slope_at(b, at_mm)), 1e-3)
        return float(np.hypot(2 * np.hypot(a.main.u_radius_mm, b.main.u_radius_mm) / steep, EDGE_U_MM))
    slope_a = (a.high_radius_mm - a.low_radius_mm) / (a.high_mm - a.low_mm)
    slope_b = (b.high_radius_mm - b.low_radius_mm) / (b.high_mm - b.low_mm)
    across_mm = float(np.hypot(a.main.u_radius_mm, b.main.u_radius_mm))
    return float(np.hypot(2 * across_mm / abs(slope_a - slope_b), EDGE_U_MM))
