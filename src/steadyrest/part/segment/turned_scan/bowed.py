"""Balls, domes, rounded corners and steep cones of a turned scan as finds, and the stretches that they replace.

A ball cut into slices looks like a row of tapers with a short cylinder in its middle: none of them is there.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from steadyrest.part.fit.round import Ring, Sphere
from steadyrest.part.segment.axis import Axis
from steadyrest.part.segment.found import Found
from steadyrest.part.segment.skin import Skin
from steadyrest.part.segment.turned_scan.bows import Bow, bows_of
from steadyrest.part.segment.turned_scan.profile import Band, Rim
from steadyrest.part.segment.turned_scan.section import Section, section_of
from steadyrest.part.segment.turned_scan.steep import steep_cones

FloatArray = npt.NDArray[np.float64]
IntArray = npt.NDArray[np.int64]
BoolArray = npt.NDArray[np.bool_]

OWN = 0.6  # share of a stretch's points on an arc from which it is the arc's
MORE = 1.0  # times as many cells of the arc must lie beside a round stretch as on it
REACH = 4.5  # noises that a point may lie off
AGREES = 0.9  # cosine between a point's normal and the arc's
LEAST_POINTS = 30


@dataclass(frozen=True, slots=True)
class Bowed:
    """arcs: finds about the axis, steep cones too. bands, cores: the stretches left, and the points of each."""

    arcs: tuple[Found, ...]
    bands: list[Band]
    cores: list[IntArray]


def bowed(
    skin: Skin, rim: Rim, usable: BoolArray, bands: list[Band], cores: list[IntArray], axis: Axis, *, noise_mm: float
) -> Bowed:
    """The arcs and steep cones of a turned scan's half section, and the stretches that are none of theirs.

    Args:
        skin: the mesh made ready. rim: its points about the axis. usable: (n,) points that were really seen.
        bands, cores: the stretches and the points of each. axis: of the part. noise_mm: 1 sigma.
    Returns: finds and stretches.
    """
    section = section_of(skin, rim, usable, noise_mm=noise_mm)
    widest = max(abs(band.radius_mm) for band in bands) if bands else float(rim.radius.max())
    bows = bows_of(section, spacing_mm=skin.spacing_mm, largest_mm=widest)
    arcs = list[Found]()
    for bow in bows:
        on = np.zeros(len(section.at), dtype=np.bool_)
        on[bow.cells] = True
        mine = [_is_the_arcs(section, on, band, core) for band, core in zip(bands, cores, strict=True)]
        left = [k for k, gone in enumerate(mine) if not gone]
        found = _found(skin, rim, usable, bow, [cores[k] for k in left], axis, noise_mm)
        if found is not None:
            arcs.append(found)
            bands, cores = [bands[k] for k in left], [cores[k] for k in left]
    taken = np.zeros(len(skin.points), dtype=np.bool_)
    for members in (*cores, *(arc.members for arc in arcs)):
        taken[members] = True
    arcs += steep_cones(skin, rim, usable, section, taken, axis, noise_mm=noise_mm)
    return Bowed(tuple(arcs), bands, cores)


def _is_the_arcs(section: Section, on: BoolArray, band: Band, core: IntArray) -> bool:
    """Whether a stretch is a piece of an arc, cut off by the slices that it was looked for in."""
    whose = section.whose[core]
    whose = whose[whose >= 0]
    if not len(whose) or float(on[whose].mean()) < OWN:
        return False
    within = np.unique(whose[on[whose]])
    beside = int(np.count_nonzero(on)) - len(within)
    return bool(band.slope != 0 or beside >= MORE * len(within))


def _found(
    skin: Skin, rim: Rim, usable: BoolArray, bow: Bow, cores: list[IntArray], axis: Axis, noise_mm: float
) -> Found | None:
    """The points on an arc that no stretch has, as a ball or a ring about the axis."""
    x, y = rim.along - bow.middle[0], rim.radius - bow.middle[1]
    far = np.maximum(np.hypot(x, y), 1e-9)
    sense = -1.0 if bow.hollow else 1.0
    middle = (bow.from_rad + bow.to_rad) / 2
    turned = np.abs((np.arctan2(y, x) - middle + np.pi) % (2 * np.pi) - np.pi) < bow.turn_rad / 2
    on = usable & turned & (np.abs(far - bow.radius_mm) < REACH * noise_mm + 0.03 * skin.spacing_mm)
    on &= sense * (x * rim.up + y * rim.out) > AGREES * far
    for core in cores:
        on[core] = False
    members = np.flatnonzero(on)
    if len(members) < LEAST_POINTS:
        return None
    centre = axis.point + bow.middle[0] * axis.direction
    if bow.ball:
        return Found(Sphere(centre, bow.radius_mm), members, bow.hollow, coaxial=True)
    if bow.middle[1] <= 0:
        return None
    return Found(Ring(centre, axis.direction, float(bow.middle[1]), bow.radius_mm), members, bow.hollow, coaxial=True)
