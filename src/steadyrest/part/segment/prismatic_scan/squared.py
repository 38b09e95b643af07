"""Worn holes set square to the face that they open into, or on the line of the sound round that they were made with.

Wear draws a hole's own line off: a short bore of 26 worn by 0.3 over half its length leaned by 3 degrees, and
neither its wear nor its size could be told about such a line. Where a hole does not lie as closely as the scanner
measures, leans a little, and its wear is told about the line square to its face, that is its line. A sound hole that
leans was drilled so, and stays. Wear of half a millimetre on one side moves a bore's own line by 0.3 and leaves it as
close as a sound one: but it lies beside the line of the boss round it, and about that line its wear is told better.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import numpy.typing as npt

from steadyrest.part.fit.round import Turned
from steadyrest.part.fit.solve import across
from steadyrest.part.segment.found import Found
from steadyrest.part.segment.prismatic_scan.drilled import Circle, closer
from steadyrest.part.segment.prismatic_scan.lone_wear import ASTRAY_MM, left_over_mm, lone_level
from steadyrest.part.segment.prismatic_scan.mouths import begins_in, faces_of
from steadyrest.part.segment.prismatic_scan.regions import Limits
from steadyrest.part.segment.prismatic_scan.settled import is_hollow
from steadyrest.part.segment.prismatic_scan.worn_rounds import (
    DEEPEST_MM,
    LEAST_POINTS,
    ONE_LINE,
    is_sound,
    seat_of,
)
from steadyrest.part.segment.skin import Skin
from steadyrest.part.wear.worn import Seat

BoolArray = npt.NDArray[np.bool_]

LEAST_LEAN = float(np.radians(0.4))  # less moves nothing by as much as the noise; judgement
NO_WORSE = 1.05  # a line of two freedoms less may leave a little more


def squared(
    skin: Skin, found: Sequence[Found], seen: BoolArray, *, limits: Limits, correlation_mm: float
) -> list[Found]:
    """The finds, worn holes that lean set square to their faces.

    Args:
        skin: the mesh made ready. found: finds of a scan that is not turned. seen: (n,) points that were seen.
        limits: what counts. correlation_mm: how far the noise hangs together.
    Returns: finds in the same order, their points as they were.
    """
    holes = [f for f in found if len(f.members) >= LEAST_POINTS and is_hollow(f) and not f.part_seen]
    sound = [f for f in found if is_sound(skin, f, limits.noise_mm)]
    faces = faces_of(skin, found, limits=limits) if holes else []

    def seat(one: Found) -> Seat | None:
        return seat_of(skin, one, seen, noise_mm=limits.noise_mm, correlation_mm=correlation_mm)

    out = list[Found]()
    for f in found:
        if not any(f is one for one in holes):
            out.append(f)
            continue
        other = None if any(f is one for one in sound) else square_to_face(skin, f, faces)
        lines = [one for one in (other, on_the_line_beside(skin, f, sound)) if one is not None]
        own = seat(f) if lines else None
        truer = [one for one in lines if is_truer(seat(one), own)]
        out.append(min(truer, key=lambda one: left_over_of(seat(one))) if truer else f)
    return out


def left_over_of(seat: Seat | None) -> float:
    """What wear leaves of a seat's unevenness about its line; inf of none."""
    return float(np.inf) if seat is None else left_over_mm(seat)


def on_the_line_beside(skin: Skin, found: Found, sound: Sequence[Found]) -> Found | None:
    """A hole about the line of the largest sound round along which it runs, a little beside; None if there is none."""
    hole = found.surface
    assert isinstance(hole, Turned)
    points = skin.points[found.members]
    middle = points.mean(axis=0)
    at = hole.point + float((middle - hole.point) @ hole.axis) * hole.axis
    for other in sorted(sound, key=lambda f: -len(f.members)):
        line = other.surface
        assert isinstance(line, Turned)
        # What has nearly its size may be a piece of the same wall, drawn off as it was.
        alike = abs(line.radius_mm - hole.radius_mm) < 2 * DEEPEST_MM
        if other is found or alike or abs(float(line.axis @ hole.axis)) < ONE_LINE:
            continue
        beside = line.point + float((at - line.point) @ line.axis) * line.axis
        if ASTRAY_MM < float(np.linalg.norm(beside - at)) < DEEPEST_MM:
            away = np.linalg.norm(np.cross(points - beside, line.axis), axis=1)
            return replace(found, surface=Turned(beside, line.axis, float(np.median(away))))
    return None


def is_truer(upright: Seat | None, own: Seat | None) -> bool:
    """Whether a hole's wear is told about the line square to its face, and leaves no more than about its own line."""
    if upright is None or own is None or lone_level(upright) is None:
        return False
    return left_over_mm(upright) < NO_WORSE * left_over_mm(own)


def square_to_face(skin: Skin, found: Found, faces: Sequence[Found]) -> Found | None:
    """A hole about the line square to the face that it opens into; None if it opens into none or is square already."""
    hole = found.surface
    mouth = begins_in(skin, found, faces)
    if not isinstance(hole, Turned) or hole.half_angle_rad or mouth is None:
        return None
    if abs(float(mouth.axis @ hole.axis)) > np.cos(LEAST_LEAN):
        return None
    points = skin.points[found.members]
    u, v = across(mouth.axis)
    x, y = points @ u, points @ v
    middle = points.mean(axis=0)
    at = hole.point + float((middle - hole.point) @ hole.axis) * hole.axis
    start = Circle(float(at @ u), float(at @ v), hole.radius_mm, 0.0)
    circle = closer(x, y, start, 2 * DEEPEST_MM)
    if circle is None:
        return None
    point = circle.x * u + circle.y * v + float(middle @ mouth.axis) * mouth.axis
    return replace(found, surface=Turned(point, mouth.axis, circle.radius_mm))
