"""Cones too steep for the profile's slices: flanks of V grooves, blunt points, dished faces, as lines of the section.

In a slice along the axis such a cone is all heights at once. Its cells of the half section lie on one line.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from steadyrest.part.fit.round import Turned
from steadyrest.part.segment.axis import Axis
from steadyrest.part.segment.found import Found
from steadyrest.part.segment.skin import Skin
from steadyrest.part.segment.turned_scan.profile import Rim
from steadyrest.part.segment.turned_scan.section import Section

FloatArray = npt.NDArray[np.float64]
IntArray = npt.NDArray[np.int64]
BoolArray = npt.NDArray[np.bool_]

LEAST_OUT, MOST_OUT = 0.1, 0.5  # of a cell's normal, away from the axis: less is a face, more the slices show
ALIKE_COS = 0.985  # between normals of one line
NEAR, LOOSE = 3.0, 0.02  # sigmas of a cell, and of its width: how far off the line it may lie
LEAST_CELLS, LEAST_SPACINGS = 5, 4.0  # of a line
MISFIT = 1.8  # rms in sigmas of a line that is believed
REACH, AGREES = 4.5, 0.9  # noises that a point may lie off; cosine to its normal
LEAST_POINTS = 40


@dataclass(frozen=True, slots=True)
class Slope:
    """A straight piece of the section. at: (2,) its middle. normal: (2,) unit, along and out. cells: on it. ends: (2,)
    along the line from the middle."""

    at: FloatArray
    normal: FloatArray
    cells: IntArray
    ends: tuple[float, float]


def slopes_of(section: Section, free: BoolArray, *, spacing_mm: float) -> list[Slope]:
    """The steep straight pieces of a section, the longest first.

    Args:
        section: the cells. free: (n,) those that belong to nothing. spacing_mm: of the mesh.
    Returns: pieces, none of which shares a cell.
    """
    steepness = np.abs(section.normal[:, 1])
    left = free & (steepness > LEAST_OUT) & (steepness < MOST_OUT)
    found: list[Slope] = []
    tried = ~left
    while not tried.all():
        seed = int(np.flatnonzero(~tried)[0])
        slope = _grown(section, left, seed, spacing_mm)
        tried[seed] = True
        if slope is not None:
            left[slope.cells] = False
            tried[slope.cells] = True
            found.append(slope)
    return sorted(found, key=lambda s: -len(s.cells))


def _grown(section: Section, left: BoolArray, seed: int, spacing_mm: float) -> Slope | None:
    """The straight piece through a cell, or None."""
    at, normal = section.at[seed], section.normal[seed]
    on = np.array([seed])
    for _ in range(6):
        off = np.abs((section.at - at) @ normal)
        lies = left & (off < NEAR * section.sigma_mm + LOOSE * section.step_mm) & (section.normal @ normal > ALIKE_COS)
        grown = _together(section, lies, seed)
        if len(grown) < 3:
            return None
        w = 1 / np.square(section.sigma_mm[grown])
        at = (w @ section.at[grown]) / w.sum()
        q = section.at[grown] - at
        across = np.linalg.eigh((q * w[:, None]).T @ q)[1][:, 0]
        normal = across if across @ section.normal[seed] > 0 else -across
        if len(grown) == len(on) and (grown == on).all():
            break
        on = grown
    q = section.at[on] - at
    off = (q @ normal) / section.sigma_mm[on]
    along = q @ np.array([-normal[1], normal[0]])
    ends = (float(along.min()) - section.step_mm / 2, float(along.max()) + section.step_mm / 2)
    steep = LEAST_OUT < abs(float(normal[1])) < MOST_OUT
    long = len(on) >= LEAST_CELLS and ends[1] - ends[0] > LEAST_SPACINGS * spacing_mm
    believed = steep and long and float(np.sqrt(np.mean(off * off))) < MISFIT
    return Slope(at, normal, on, ends) if believed else None


def _together(section: Section, lies: BoolArray, seed: int) -> IntArray:
    """The cells that lie on a line and hang together with a seed."""
    seen = np.zeros(len(lies), dtype=np.bool_)
    stack = [seed] if lies[seed] else []
    seen[stack] = True
    while stack:
        k = stack.pop()
        for j in section.near[section.start[k] : section.start[k + 1]].tolist():
            if lies[j] and not seen[j]:
                seen[j] = True
                stack.append(j)
    return np.flatnonzero(seen)


def steep_cones(
    skin: Skin, rim: Rim, usable: BoolArray, section: Section, taken: BoolArray, axis: Axis, *, noise_mm: float
) -> list[Found]:
    """Steep cones about the axis.

    Args:
        skin: the mesh made ready. rim: its points about the axis. usable: (n,) points that were really seen.
        section: the half section. taken: (n,) points that belong to a stretch or an arc. axis: of the part.
        noise_mm: 1 sigma.
    Returns: cones, coaxial.
    """
    whose = section.whose
    held = np.bincount(whose[(whose >= 0) & taken], minlength=len(section.at))
    all_ = np.bincount(whose[whose >= 0], minlength=len(section.at))
    found: list[Found] = []
    left = usable & ~taken
    for slope in slopes_of(section, held < 0.5 * all_, spacing_mm=skin.spacing_mm):
        q = np.stack((rim.along - slope.at[0], rim.radius - slope.at[1]), axis=1)
        along = q @ np.array([-slope.normal[1], slope.normal[0]])
        on = left & (along > slope.ends[0]) & (along < slope.ends[1])
        on &= np.abs(q @ slope.normal) < REACH * noise_mm + 0.03 * skin.spacing_mm
        on &= rim.up * slope.normal[0] + rim.out * slope.normal[1] > AGREES
        members = np.flatnonzero(on)
        if len(members) < LEAST_POINTS or slope.at[1] <= 0:
            continue
        left[members] = False
        along_n, out_n = slope.normal * np.copysign(1.0, slope.normal[1])
        half = float(np.arctan2(-along_n, out_n))
        middle = axis.point + slope.at[0] * axis.direction
        cone = Turned(middle, axis.direction, float(slope.at[1]), half)
        found.append(Found(cone, members, bool(slope.normal[1] < 0), coaxial=True))
    return found
