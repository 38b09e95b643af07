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
from steadyrest.part.segment.skin import Skin
from steadyrest.part.segment.turned_scan.profile import Band, Rim
from steadyrest.part.segment.turned_scan.turned import Spun

FloatArray = npt.NDArray[np.float64]
IntArray = npt.NDArray[np.int64]

LEAST_NOISES = 5.0  # a lower step is none that could be placed
LEAST_CROSSINGS = 12
LEVELS = (0.5, 0.7, 0.85, 0.3)  # between the two radii, from the smaller
RUNGS = (0.12, 0.22, 0.32, 0.42, 0.52, 0.62, 0.72, 0.82)  # levels as above, by which a high wall is climbed
LEAST_RUNGS = 4
LEANS = 0.25  # slope up to which a wall stands upright
LEAST_UPRIGHT = 1.3  # spacings: a lower wall has too few rungs to tell its foot from its brow
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
    placed = _upright(rim, some, small, step_mm) if step_mm > LEAST_UPRIGHT * skin.spacing_mm else None
    placed = placed or _half_way(rim, some, small, step_mm)
    if placed is None:
        return None
    at, u_mm = placed
    point = spun.axis.point + at * spun.axis.direction
    return Step(
        point=(float(point[0]), float(point[1]), float(point[2])), radii_mm=(float(a.radius_mm), float(b.radius_mm)),
        inside=a.sign < 0, u_mm=float(np.hypot(u_mm, 0.3 * spun.noise_mm)),
    )  # fmt: skip


def _upright(rim: Rim, edges: IntArray, small: float, step_mm: float) -> tuple[float, float] | None:
    """Where the wall stands upright, and 1 sigma of it; None where too little of it was seen to tell.

    Its foot may be rounded and its brow broken: of the levels that the mesh crosses, the longest row that lies at one
    place along the axis is the wall. Where no two levels agree, how far they lie apart is how badly it is known.
    """
    seen = [(share, along) for share in RUNGS if (along := _crossings(rim, edges, small + share * step_mm)) is not None]
    if len(seen) < LEAST_RUNGS:
        return None
    shares = np.array([share for share, _ in seen])
    places = np.array([float(np.median(along)) for _, along in seen])
    leans = np.abs(np.diff(places)) / (np.diff(shares) * step_mm)
    upright = np.concatenate(([False], leans < LEANS, [False]))
    ends = np.flatnonzero(np.diff(upright.astype(np.int8)))
    runs = list(zip(ends[::2], ends[1::2], strict=True))
    if not runs:
        k = int(np.argmin(leans))
        return float(places[k : k + 2].mean()), float(np.std(places))
    first, last = max(runs, key=lambda run: shares[run[1]] - shares[run[0]])
    along = np.concatenate([along for _, along in seen[first : last + 1]])
    return _settled(along, apart_mm=float(np.std(places[first : last + 1])))


def _half_way(rim: Rim, edges: IntArray, small: float, step_mm: float) -> tuple[float, float] | None:
    """Where a low wall stands, by its middle; of a narrow groove's wall only the edge may have been seen."""
    for share in LEVELS:
        along = _crossings(rim, edges, small + share * step_mm)
        if along is not None:
            return _settled(along, apart_mm=0.0)
    return None


def _settled(along: FloatArray, *, apart_mm: float) -> tuple[float, float]:
    """The middle of crossings and its sigma, of which a part is not averaged away."""
    at = float(np.median(along))
    spread = 1.4826 * float(np.median(np.abs(along - at)))
    return at, float(np.hypot(np.hypot(spread / np.sqrt(len(along) / 4), NOT_AVERAGED * spread), apart_mm))


def _crossings(rim: Rim, edges: IntArray, radius_mm: float) -> FloatArray | None:
    """Where along the axis edges cross a radius; None where too few do, or not far enough round."""
    first, second = rim.radius[edges[:, 0]] - radius_mm, rim.radius[edges[:, 1]] - radius_mm
    crosses = first * second < 0
    some, share = edges[crosses], (first / (first - second + 1e-300))[crosses]
    sectors = ((rim.angle[some[:, 0]] / (2 * np.pi) + 0.5) * 24).astype(np.int64) % 24
    if len(some) < LEAST_CROSSINGS or len(np.unique(sectors)) < LEAST_SECTORS:
        return None
    return rim.along[some[:, 0]] * (1 - share) + rim.along[some[:, 1]] * share
