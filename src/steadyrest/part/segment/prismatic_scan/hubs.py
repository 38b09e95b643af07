"""Round hubs that stand on the flat faces of a scan, found square to them where nothing else was.

A low hub goes over into its face by a round at its foot and into its own end by a broken edge: it has no hard edge
anywhere, and a surface without edges is not believed by itself, for it may be a strip of anything. But its face knows
its direction, and points that stand upright on that all the way round one line, in one piece, are a hub.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import numpy.typing as npt

from steadyrest.part.fit.flat import Plane, circle_by_algebra
from steadyrest.part.fit.round import Turned
from steadyrest.part.fit.solve import across
from steadyrest.part.segment.found import Found
from steadyrest.part.segment.prismatic_scan.drilled import LOOSE, WIDTH, Circle, closer
from steadyrest.part.segment.prismatic_scan.mouths import faces_of
from steadyrest.part.segment.prismatic_scan.regions import SMOOTH, Limits
from steadyrest.part.segment.prismatic_scan.upright import sectors
from steadyrest.part.segment.prismatic_scan.walks import pieces_of
from steadyrest.part.segment.skin import Skin

FloatArray = npt.NDArray[np.float64]
IntArray = npt.NDArray[np.int64]
BoolArray = npt.NDArray[np.bool_]

STANDS = 0.15  # of a normal along the face's: more leans, as the round at a hub's foot does
OUTWARD = 0.95  # cosine of its normals and the way out from its line
LEAST_HUB = 10.0  # of the least area of a find
LEAST_POINTS = 100
ALL_ROUND = 15  # of 16 sectors
SQUARE = 0.9999  # cosine between two faces of one direction
LEAST_HIGH = 3.0  # spacings


def hubs_on(skin: Skin, free: BoolArray, found: Sequence[Found], *, limits: Limits) -> list[Found]:
    """Hubs on faces; the points found are no longer free (changed in place).

    Args:
        skin: the mesh made ready. free: (n,) points that belong to nothing yet. found: what is known.
        limits: what counts.
    Returns: cylinders square to a face, seen nearly all the way round.
    """
    out: list[Found] = []
    asked: list[FloatArray] = []
    for face in faces_of(skin, found, limits=limits):
        plane = face.surface
        assert isinstance(plane, Plane)
        if any(abs(float(plane.normal @ axis)) > SQUARE for axis in asked):
            continue
        asked.append(plane.normal)
        upright = free & (np.abs(skin.normals @ plane.normal) < STANDS)
        piece, count = pieces_of(skin.normals, skin.start, skin.near, upright, SMOOTH)
        area = np.bincount(piece[piece >= 0], weights=skin.areas[piece >= 0], minlength=count)
        for k in np.argsort(-area, kind="stable"):
            if area[k] < LEAST_HUB * limits.least_mm2:
                break
            hub = hub_of(skin, np.flatnonzero(piece == k), plane.normal, limits=limits)
            if hub is not None:
                out.append(hub)
                free[hub.members] = False
    return out


def hub_of(skin: Skin, members: IntArray, axis: FloatArray, *, limits: Limits) -> Found | None:
    """One upright piece as a hub, or None."""
    if len(members) < LEAST_POINTS:
        return None
    u, v = across(axis)
    x, y = skin.points[members] @ u, skin.points[members] @ v
    start = circle_by_algebra(np.stack((x, y), axis=1))
    here: Circle | None = Circle(float(start.centre[0]), float(start.centre[1]), start.radius_mm, 0.0)
    width = WIDTH * limits.noise_mm + 1e-9
    for wide in (max(0.05 * start.radius_mm, width), width):
        here = here and closer(x, y, here, wide)
    if here is None or not 0 < here.radius_mm < skin.size_mm:
        return None
    dx, dy = x - here.x, y - here.y
    off = np.hypot(dx, dy) - here.radius_mm
    out = ((skin.normals[members] @ u) * dx + (skin.normals[members] @ v) * dy) / np.maximum(np.hypot(dx, dy), 1e-9)
    on = (np.abs(off) < width) & (out > OUTWARD)
    z = skin.points[members] @ axis
    if np.count_nonzero(on) < LEAST_POINTS or np.mean(on) < 0.8 or sectors(dx[on], dy[on]) < ALL_ROUND:
        return None
    low, high = np.quantile(z[on], (0.05, 0.95))
    if high - low < LEAST_HIGH * skin.spacing_mm or float(np.sqrt(np.mean(off[on] ** 2))) > LOOSE * limits.noise_mm:
        return None
    at = here.x * u + here.y * v + float(z[on].mean()) * axis
    return Found(Turned(at, axis, here.radius_mm), members[on], inside=False)
