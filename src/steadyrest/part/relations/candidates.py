"""Which patches may be parallel, square, coaxial or of one radius: so near that the noise could have parted them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from steadyrest.part.relations.relation import Proposal, coaxial, equal_radius, parallel, square
from steadyrest.part.relations.standing import Standing

WIDEST_RAD = np.radians(2.0)  # farther apart is meant so
SIGMAS = 5.0
LEAST_ARC_RAD = 2.5  # a shorter arc's radius is its neighbours', and hardly its own
NEAR_MM = 0.25


def directions(standings: Sequence[Standing]) -> Iterator[Proposal]:
    """Each patch parallel to the best known of its direction; then those best known square to each other.

    Args:
        standings: of one part.
    Returns: proposals, the best known directions first.
    """
    leaders: list[int] = []
    for k in sorted(range(len(standings)), key=lambda k: (u_direction(standings[k]), k)):
        one = standings[k]
        home = next((i for i in leaders if apart_rad(standings[i], one) < allowed_rad(standings[i], one)), None)
        if home is None:
            leaders.append(k)
        else:
            yield Proposal("parallel", (home, k), parallel(standings[home], one))
    for i, a in enumerate(leaders):
        for b in leaders[i + 1 :]:
            off = abs(float(np.arcsin(np.clip(standings[a].direction @ standings[b].direction, -1, 1))))
            if off < allowed_rad(standings[a], standings[b]):
                yield Proposal("square", (a, b), square(standings[a], standings[b]))


def rounds(standings: Sequence[Standing]) -> Iterator[Proposal]:
    """Cylinders on one line, and cylinders of one radius; each with the best known one of its kind.

    Args:
        standings: of one part.
    Returns: proposals.
    """
    order = sorted((k for k, s in enumerate(standings) if s.size == 5), key=lambda k: (u_radius(standings[k]), k))
    lines: list[int] = []
    for k in order:
        one = standings[k]
        home = next((i for i in lines if on_one_line(standings[i], one)), None)
        if home is None:
            lines.append(k)
        else:
            yield Proposal("coaxial", (home, k), coaxial(standings[home], one))
    sizes: list[int] = []
    for k in order:
        one = standings[k]
        if one.patch.arc_rad < LEAST_ARC_RAD or (one.patch.wear_mm or 0.0) > 0:
            continue
        home = next((i for i in sizes if alike(standings[i], one)), None)
        if home is None:
            sizes.append(k)
        else:
            yield Proposal("equal radius", (home, k), equal_radius(standings[home], one))


def u_direction(standing: Standing) -> float:
    """One sigma of a direction, rad."""
    first = standing.tilts[0] - standing.at
    return float(np.sqrt(np.trace(standing.covariance[first : first + 2, first : first + 2])))


def u_radius(standing: Standing) -> float:
    """One sigma of a cylinder's radius, mm."""
    return float(np.sqrt(standing.covariance[4, 4]))


def apart_rad(a: Standing, b: Standing) -> float:
    """Between two directions without sense."""
    return float(np.arcsin(np.clip(np.linalg.norm(np.cross(a.direction, b.direction)), 0, 1)))


def allowed_rad(a: Standing, b: Standing) -> float:
    """How far two directions may stand apart and still be tried as one."""
    return min(WIDEST_RAD, SIGMAS * float(np.hypot(u_direction(a), u_direction(b))))


def on_one_line(a: Standing, b: Standing) -> bool:
    """Whether two cylinders may have one axis."""
    if apart_rad(a, b) > allowed_rad(a, b):
        return False
    lever = float((a.middle - b.middle) @ b.direction)
    off = float(np.linalg.norm(b.middle + lever * b.direction - a.middle))
    places = [float(np.trace(s.covariance[:2, :2])) for s in (a, b)]
    return off < min(NEAR_MM, SIGMAS * float(np.sqrt(sum(places) + (lever * u_direction(b)) ** 2)))


def alike(a: Standing, b: Standing) -> bool:
    """Whether two cylinders may have one radius."""
    off = abs(a.patch.radius_mm - b.patch.radius_mm)
    same = a.patch.inside == b.patch.inside
    return same and off < min(NEAR_MM, SIGMAS * float(np.hypot(u_radius(a), u_radius(b))))
