"""Where a turned surface steps from one stretch to the next: the shoulder's place along the axis.

A wall that is only a row or two of triangles high is no face that a plane could be fitted to. Yet every edge of the
mesh that goes from one level to the other crosses half way between them, all round the part, and a hundred of such
crossings place the wall far better than where the stretches' own points end.
"""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import numpy.typing as npt

from steadyrest.part.patch import Step
from steadyrest.part.segment.profile import Band, Rim
from steadyrest.part.segment.skin import Skin
from steadyrest.part.segment.turned import Spun

FloatArray = npt.NDArray[np.float64]
IntArray = npt.NDArray[np.int64]

LEAST_NOISES = 5.0  # a lower step is none that could be placed
LEAST_CROSSINGS = 12
LEVELS = (0.5, 0.7, 0.85, 0.3)  # between the two radii, from the smaller
FOOT, BROW, LEANS = 0.22, 0.78, 0.2  # levels as above; how far off the middle both lie on a leaning wall
LEAST_SECTORS = 6  # of 24
NOT_AVERAGED = 0.2  # share of the crossings' spread that more of them do not take away


def steps_of(skin: Skin, spun: Spun, usable: npt.NDArray[np.bool_]) -> tuple[Step, ...]:
    """The shoulders between round stretches that follow one another at different levels.

    Args:
        skin: the mesh made ready. spun: its turned surface. usable: (n,) points that were really seen.
    Returns: a step for each shoulder of which enough was seen, in order along the axis, outside first.
    """
    edges = _edges(skin, usable)
    found: list[Step] = []
    for sign in (1, -1):
        row = sorted((b for b in spun.bands if b.sign == sign and b.slope == 0), key=lambda b: b.from_mm + b.to_mm)
        for a, b in pairwise(row):
            step = _between(skin, spun, edges, a, b)
            if step is not None:
                found.append(step)
    return tuple(found)


def _edges(skin: Skin, usable: npt.NDArray[np.bool_]) -> IntArray:
    """(k, 2) edges of the mesh between points that were seen; inner ones twice, which weighs all alike."""
    facets = skin.facets[usable[skin.facets].all(axis=1)]
    return np.concatenate((facets[:, :2], facets[:, 1:], facets[:, ::2])).astype(np.int64)


def _between(skin: Skin, spun: Spun, edges: IntArray, a: Band, b: Band) -> Step | None:
    rim = spun.rim
    if abs(a.radius_mm - b.radius_mm) < max(LEAST_NOISES * spun.noise_mm, 0.1 * skin.spacing_mm):
        return None
    reach = 2.0 * skin.spacing_mm
    low, high = min(a.to_mm, b.from_mm) - reach, max(a.to_mm, b.from_mm) + reach
    if high - low > 8 * skin.spacing_mm:
        return None  # something else stands between
    low, high = max(low, a.middle_mm), min(high, b.middle_mm)
    small, step_mm = min(a.radius_mm, b.radius_mm), abs(a.radius_mm - b.radius_mm)
    here = (rim.along > low) & (rim.along < high) & (rim.radius > small - step_mm) & (rim.radius < small + 2 * step_mm)
    some = edges[here[edges].all(axis=1)]
    # A narrow groove's other wall lies as near, but looks the other way.
    faces = -a.sign * np.sign(b.radius_mm - a.radius_mm)
    some = some[faces * (rim.up[some[:, 0]] + rim.up[some[:, 1]]) > 0]
    # Half way up first; of a narrow groove's wall the scanner may have seen no more than the edge.
    for share in LEVELS:
        along = _crossings(rim, some, small + share * step_mm)
        if along is not None:
            break
    else:
        return None
    # An outer edge broken by more than half of the step: the wall leans above its middle, and its foot is the shoulder.
    foot, brow = (_crossings(rim, some, small + share * step_mm) for share in (FOOT, BROW))
    if a.sign > 0 and step_mm > 1.5 * skin.spacing_mm and foot is not None and brow is not None:
        leans = [abs(float(np.median(other) - np.median(along))) / step_mm for other in (foot, brow)]
        if min(leans) > LEANS:
            along = foot
    at = float(np.median(along))
    spread = 1.4826 * float(np.median(np.abs(along - at)))
    u_mm = float(np.hypot(spread / np.sqrt(len(along) / 4), NOT_AVERAGED * spread))
    point = spun.axis.point + at * spun.axis.direction
    return Step(
        point=(float(point[0]), float(point[1]), float(point[2])), radii_mm=(float(a.radius_mm), float(b.radius_mm)),
        inside=a.sign < 0, u_mm=float(np.hypot(u_mm, 0.3 * spun.noise_mm)),
    )  # fmt: skip


def _crossings(rim: Rim, edges: IntArray, radius_mm: float) -> FloatArray | None:
    """Where along the axis edges cross a radius; None where too few do, or not far enough round."""
    first, second = rim.radius[edges[:, 0]] - radius_mm, rim.radius[edges[:, 1]] - radius_mm
    crosses = first * second < 0
    some, share = edges[crosses], (first / (first - second + 1e-300))[crosses]
    sectors = ((rim.angle[some[:, 0]] / (2 * np.pi) + 0.5) * 24).astype(np.int64) % 24
    if len(some) < LEAST_CROSSINGS or len(np.unique(sectors)) < LEAST_SECTORS:
        return None
    return rim.along[some[:, 0]] * (1 - share) + rim.along[some[:, 1]] * share
