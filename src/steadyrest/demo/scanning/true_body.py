"""How far a point is from the true, worn surface: the outline turned, worn, bored, cut and broken.

Distances add up by cutting one body with another; edges between them are rounded by the part's edge radius. They never
promise more room than there is by more than the slope of the wear, which is what nets.py relies on.
"""

from __future__ import annotations

from collections.abc import Callable
from math import cos, pi, sin, tan

import numpy as np
import numpy.typing as npt

from steadyrest.demo.scanning.outline import bore_outline, outline_distance, shrunk, turned_outline
from steadyrest.demo.scanning.true_part import (
    AxialHole,
    CrossHole,
    Cut,
    Fracture,
    TrueFlat,
    TrueGroove,
    TrueKeyway,
    TruePart,
    TrueThread,
    Wear,
)

Floats = npt.NDArray[np.float64]
Distance = Callable[[Floats, float], Floats]


def body_distance(part: TruePart) -> Distance:
    """Signed distance to the part's true worn surface, in its own frame.

    Args:
        part: as drawn and as worn.
    Returns: f(points (n, 3) mm, reach_mm) -> (n,) mm, negative in the material; beyond reach_mm known to be farther.
    """
    outside = turned_outline(part.stretches)
    if part.edge_mm > 0.0:
        outside = shrunk(outside, part.edge_mm)
    bores = tuple((bore, bore_outline(bore, part.length_mm)) for bore in part.bores)

    def distance(points: Floats, reach_mm: float) -> Floats:
        x, y, z = points.T
        rho, angle = np.hypot(x, y), np.arctan2(y, x)
        d = outline_distance(outside, rho, z, reach_mm + part.edge_mm) - part.edge_mm
        for wear in part.wear:
            if not wear.inside:
                d = d + wear_depth(wear, angle, z)
        for bore, outline in bores:
            along = z if bore.end == "start" else part.length_mm - z
            hollow = outline_distance(outline, rho, along, reach_mm)
            for wear in part.wear:
                if wear.inside:
                    hollow = hollow - wear_depth(wear, angle, z)
            d = without(d, hollow, part.edge_mm)
        for cut in part.cuts:
            d = without(d, _cut_distance(cut, points, part.length_mm), part.edge_mm)
        if part.fracture:
            d = np.maximum(d, _beyond(part.fracture, points))
        return d

    return distance


def wear_depth(wear: Wear, angle_rad: Floats, along_mm: Floats) -> Floats:
    """Radial depth of wear (n,) mm at angles and places along the axis, both (n,)."""
    band = _fade((along_mm - wear.from_mm) / wear.shoulder_mm[0]) * _fade((wear.to_mm - along_mm) / wear.shoulder_mm[1])
    depth = wear.depth_mm * band
    if wear.lean:
        depth = depth * (1 - wear.lean * (wear.to_mm - along_mm) / (wear.to_mm - wear.from_mm))
    if wear.arc_rad < 2 * pi:
        off = (angle_rad - wear.middle_rad + pi) % (2 * pi) - pi
        half = wear.arc_rad / 2
        depth = depth * _fade((off + half) / wear.shoulder_rad[0]) * _fade((half - off) / wear.shoulder_rad[1])
    return depth


def without(body: Floats, taken: Floats, edge_mm: float) -> Floats:
    """Distance to a body with another taken out of it; the edge where they meet is rounded by `edge_mm`."""
    sharp = np.maximum(body, -taken)
    if edge_mm <= 0.0:
        return sharp
    a, b = np.maximum(body + edge_mm, 0.0), np.maximum(edge_mm - taken, 0.0)
    rounded = np.where((a > 0.0) | (b > 0.0), np.hypot(a, b) - edge_mm, sharp)
    # Off an edge between nearly parallel faces the root runs ahead of the distance; on the surface by 0.3 radii.
    return np.minimum(rounded, sharp + 0.3 * edge_mm)


def _fade(share: Floats) -> Floats:
    t = np.clip(share, 0.0, 1.0)
    return t * t * (3 - 2 * t)


def _cut_distance(cut: Cut, points: Floats, length_mm: float) -> Floats:
    """Signed distance to what a cut takes away, negative in the hole."""
    x, y, z = points.T
    if isinstance(cut, TrueThread):
        return _thread_distance(cut, points)
    if isinstance(cut, TrueGroove):
        rho = np.hypot(x, y)
        floor = rho - cut.diameter_mm / 2 if cut.inside else cut.diameter_mm / 2 - rho
        return np.maximum(np.abs(z - cut.at_mm) - cut.width_mm / 2, floor)
    c, s = cos(cut.angle_rad), sin(cut.angle_rad)
    up, across = x * c + y * s, y * c - x * s
    if isinstance(cut, CrossHole):
        return np.maximum(np.hypot(across, z - cut.at_mm) - cut.diameter_mm / 2, -cut.reach_mm - up)
    if isinstance(cut, AxialHole):
        along = z if cut.end == "start" else length_mm - z
        return np.maximum(np.hypot(across, up - cut.circle_mm / 2) - cut.diameter_mm / 2, along - cut.depth_mm)
    if isinstance(cut, TrueFlat):
        return np.maximum(cut.height_mm - up, np.maximum(cut.from_mm - z, z - cut.to_mm))
    return _keyway_distance(cut, up, across, z)


def _keyway_distance(cut: TrueKeyway, up: Floats, across: Floats, z: Floats) -> Floats:
    half = (cut.width_mm + cut.made_off_mm) / 2
    if cut.round_ends:
        plan = np.hypot(across, z - np.clip(z, cut.from_mm + half, cut.to_mm - half)) - half
    else:
        plan = np.maximum(np.abs(across) - half, np.maximum(cut.from_mm - z, z - cut.to_mm))
    if cut.inside:
        return np.maximum(plan, np.maximum(up - cut.diameter_mm / 2 - cut.depth_mm, -up))
    return np.maximum(plan, cut.diameter_mm / 2 - cut.depth_mm - up)


def _thread_distance(cut: TrueThread, points: Floats) -> Floats:
    """What a thread of the basic profile takes away: crest flat P/8, flanks at 30 degrees, root flat P/4."""
    x, y, z = points.T
    p = cut.pitch_mm
    off = np.abs((z - p * np.arctan2(y, x) / (2 * pi)) % p - p / 2)
    sunk = np.minimum((off - p / 16) * tan(pi / 3), 5 / 16 * p * tan(pi / 3))
    groove = (cut.diameter_mm / 2 - sunk - np.hypot(x, y)) * sin(pi / 6)
    return np.maximum(groove, np.maximum(cut.from_mm - z, z - cut.to_mm))


def on_break(fracture: Fracture, points: Floats, within_mm: float) -> npt.NDArray[np.bool_]:
    """Which points (n, 3) lie on the surface of the break."""
    return _beyond(fracture, points) > -within_mm


def _beyond(fracture: Fracture, points: Floats) -> Floats:
    """Distance beyond a rough, leaning break; positive where the part is gone."""
    x, y, z = points.T
    hills = 0.5 * np.sin(0.9 * x + 0.4 * y) * np.sin(0.7 * y - 0.3 * x + 1.0) + 0.3 * np.sin(1.9 * x + 1.3 * y + 2.0)
    height = z - fracture.at_mm + tan(fracture.tilt_rad) * x + fracture.rough_mm * hills
    return 0.7 * cos(fracture.tilt_rad) * height
