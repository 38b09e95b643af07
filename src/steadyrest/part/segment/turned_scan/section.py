"""The half section of a turned scan: small cells of the line that its surface draws beside the axis.

All round the part a cell collects a hundred points, so that its place and its slope are known ten times better than a
point's. What does not go most of the way round at one place of the section is no turned surface and makes no cell.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from steadyrest.part.segment.skin import Skin
from steadyrest.part.segment.turned_scan.profile import Rim

FloatArray = npt.NDArray[np.float64]
IntArray = npt.NDArray[np.int64]
BoolArray = npt.NDArray[np.bool_]

CELL = 0.8  # of the spacing
MOST_CELLS = 1500  # along a line as long as the part's box
SECTORS, LEAST_ROUND = 24, 0.4  # of the round at one place
ONE_WAY = 0.8  # length of the mean normal: less is the two sides of a wall, or an edge
TURNS_AWAY = 0.35  # sine between a point's normal and the plane through the axis
SCATTER = 2.5  # noises within a cell: more is no one surface
TOGETHER = 8.0  # points that share one value of the noise, roughly
KEPT = 0.12  # of the noise: what no averaging takes away
BESIDE = 2.2  # cells: how far a neighbour's middle may lie
TURN_COS = 0.7  # between neighbours of one smooth line


@dataclass(frozen=True, slots=True)
class Section:
    """Cells of the line. at: (n, 2) along, radius. normal: (n, 2) unit, along and out. sigma_mm: (n,) of the place.

    whose: (points,) cell of each point of the scan, -1 none. start, near: neighbours of cell i on the same smooth line
    are near[start[i]:start[i + 1]]. step_mm: width of a cell.
    """

    at: FloatArray
    normal: FloatArray
    sigma_mm: FloatArray
    whose: IntArray
    start: IntArray
    near: IntArray
    step_mm: float


def section_of(skin: Skin, rim: Rim, usable: BoolArray, *, noise_mm: float) -> Section:
    """The half section of a turned scan.

    Args:
        skin: the mesh made ready. rim: its points about the axis. usable: (n,) points that were really seen.
        noise_mm: 1 sigma.
    Returns: the cells.
    """
    step = max(CELL * skin.spacing_mm, skin.size_mm / MOST_CELLS)
    # Near the axis a normal's part sideways is all noise.
    chosen = np.flatnonzero(usable & ((rim.miss < TURNS_AWAY) | (rim.radius < 2.5 * skin.spacing_mm)))
    z, r = rim.along[chosen], rim.radius[chosen]
    a, b = ((z - z.min()) / step).astype(np.int64), (r / step).astype(np.int64)
    _, place, count = np.unique(a * (b.max() + 2) + b, return_inverse=True, return_counts=True)
    many = len(count)

    def mean(values: FloatArray) -> FloatArray:
        return np.bincount(place, weights=values, minlength=many) / count

    at = np.stack((mean(z), mean(r)), axis=1)
    normal = np.stack((mean(rim.up[chosen]), mean(rim.out[chosen])), axis=1)
    agree = np.linalg.norm(normal, axis=1)
    normal /= np.maximum(agree, 1e-9)[:, None]
    off = (z - at[place, 0]) * normal[place, 0] + (r - at[place, 1]) * normal[place, 1]
    scatter = np.sqrt(mean(off * off))
    sector = ((rim.angle[chosen] / (2 * np.pi) + 0.5) * SECTORS).astype(np.int64) % SECTORS
    seen = np.bincount(np.unique(place * SECTORS + sector) // SECTORS, minlength=many)
    room = np.clip(2 * np.pi * at[:, 1] / skin.spacing_mm, 3, SECTORS)
    good = (seen >= LEAST_ROUND * room) & (scatter < SCATTER * noise_mm + 0.06 * step) & (agree > ONE_WAY)
    new = np.where(good, np.cumsum(good) - 1, -1)
    whose = np.full(len(skin.points), -1, dtype=np.int64)
    whose[chosen] = new[place]
    shared = np.minimum(1.0, TOGETHER / count[good])
    sigma = noise_mm * np.sqrt(shared + KEPT**2)
    start, near = _neighbours(at[good], normal[good], BESIDE * step)
    return Section(at[good], normal[good], sigma, whose, start, near, step)


def _neighbours(at: FloatArray, normal: FloatArray, reach_mm: float) -> tuple[IntArray, IntArray]:
    from scipy.spatial import KDTree

    if not len(at):
        return np.zeros(1, dtype=np.int64), np.empty(0, dtype=np.int64)
    pairs = KDTree(at).query_pairs(reach_mm, output_type="ndarray").astype(np.int64)
    smooth = np.einsum("ij,ij->i", normal[pairs[:, 0]], normal[pairs[:, 1]]) > TURN_COS
    pairs = pairs[smooth]
    first, second = np.concatenate((pairs, pairs[:, ::-1])).T
    order = np.lexsort((second, first))
    start = np.searchsorted(first[order], np.arange(len(at) + 1))
    return start.astype(np.int64), second[order]
