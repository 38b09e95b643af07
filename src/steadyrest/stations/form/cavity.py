"""The cavity of a mould from its triangles: its rim in the plane z = 0, and the surface that a sheet is drawn onto."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import shapely
from scipy.sparse import coo_matrix
from scipy.sparse.csgraph import connected_components
from scipy.spatial import KDTree

from steadyrest.trouble import BadInput

FloatArray = npt.NDArray[np.float64]
IndexArray = npt.NDArray[np.int64]

JUST_BELOW = 1e-5  # of the mould's size: how far under z = 0 the rim is looked for
LEVEL = 1e-6  # of the mould's size: what counts as lying in z = 0


@dataclass(frozen=True, slots=True)
class Cavity:
    """What a sheet is drawn into. rims: one polygon a cavity. surface: (m, 3, 3) triangles of the mould, those in z = 0
    left out. area_mm2: of the cavity's surface below the rims."""

    rims: tuple[shapely.Polygon, ...]
    surface: FloatArray
    area_mm2: float

    @property
    def rim_mm2(self) -> float:
        """The area inside the rims: what feeds the part."""
        return float(sum(rim.area for rim in self.rims))


def cavity(corners_mm: FloatArray, faces: IndexArray, where: str) -> Cavity:
    """The cavity of a mould.

    Args:
        corners_mm: (n, 3), the rim in z = 0, the cavity below.
        faces: (m, 3).
        where: the file's name, for messages.
    Returns: rims and surface. The mould may be its cavity's surface alone, a block that the cavity is cut into, or the
        shape of the cavity as a solid with a lid.
    Raises: BadInput: nothing below z = 0, or no closed rim there.
    """
    size = float(np.ptp(corners_mm, axis=0).max())
    corners_mm, faces = _welded(corners_mm, faces, LEVEL * size)
    z = corners_mm[:, 2]
    if not z.min() < -10 * JUST_BELOW * size:
        raise BadInput(
            where=where, what="nothing of the mould is below z = 0.", do="Put the rim in z = 0, cavity down."
        )
    flat = (np.abs(z[faces]) <= LEVEL * size).all(axis=1)
    faces = faces[~flat & (z[faces].min(axis=1) < 0)]
    level = -JUST_BELOW * size
    segments, crossing = _section(corners_mm, faces, level)
    rings = [ring for ring in shapely.get_parts(shapely.polygonize(list(segments))) if ring.area > 1e-8 * size**2]
    rims = _open_ones(rings, corners_mm[faces], level)
    if not rims:
        what = "there is no closed rim in z = 0 with a cavity under it."
        raise BadInput(where=where, what=what, do="Lay the rim into z = 0 and close holes in the surface.")
    inside = shapely.unary_union(list(rims)).buffer(1e-4 * size)
    middles = shapely.get_coordinates(segments).reshape(-1, 2, 2).mean(axis=1)
    begins = shapely.contains_xy(inside, middles[:, 0], middles[:, 1])
    mine = _hanging_on(faces, crossing[begins])
    surface = corners_mm[faces]
    return Cavity(tuple(rims), surface, _area_below(corners_mm[faces[mine]]))


def _welded(corners: FloatArray, faces: IndexArray, near: float) -> tuple[FloatArray, IndexArray]:
    """Corners that are nearly in one place made one: where a surface turned about an axis meets itself, they are not
    the same to the last digit."""
    pairs = KDTree(corners).query_pairs(near, output_type="ndarray")
    graph = coo_matrix((np.ones(len(pairs)), (pairs[:, 0], pairs[:, 1])), shape=(len(corners), len(corners)))
    _, label = connected_components(graph, directed=False)
    _, first = np.unique(label, return_index=True)
    faces = label[faces].astype(np.int64)
    whole = (faces[:, 0] != faces[:, 1]) & (faces[:, 1] != faces[:, 2]) & (faces[:, 2] != faces[:, 0])
    return corners[first], faces[whole]


def _section(corners: FloatArray, faces: IndexArray, level: float) -> tuple[npt.NDArray[np.object_], IndexArray]:
    """The mould cut level: segments, and which face each comes from. Both faces at an edge give the same point."""
    above = corners[:, 2][faces] > level
    cut = np.flatnonzero(above.any(axis=1) & ~above.all(axis=1))
    ends = np.empty((len(cut), 2, 2))
    lone_is_above = above[cut].sum(axis=1) == 1
    lone = np.where(lone_is_above[:, None], above[cut], ~above[cut]).argmax(axis=1)
    rows = np.arange(len(cut))
    for side in (1, 2):
        a, b = faces[cut][rows, lone], faces[cut][rows, (lone + side) % 3]
        a, b = np.minimum(a, b), np.maximum(a, b)
        share = (level - corners[a, 2]) / (corners[b, 2] - corners[a, 2])
        ends[:, side - 1] = corners[a, :2] + share[:, None] * (corners[b, :2] - corners[a, :2])
    apart = np.abs(ends[:, 0] - ends[:, 1]).max(axis=1) > 0
    return np.asarray(shapely.linestrings(ends[apart]), dtype=object), cut[apart]


def _open_ones(rings: list[shapely.Polygon], triangles: FloatArray, level: float) -> list[shapely.Polygon]:
    """Of all areas bounded by the cut, those over a cavity: not solid, with a floor below; or, in a shape that is the
    cavity itself, those with one surface below."""
    counts = [Counter(_below(triangles, at, level) for at in _within(ring)).most_common(1)[0][0] for ring in rings]
    hollow = [ring for ring, count in zip(rings, counts, strict=True) if count >= 2 and count % 2 == 0]
    return hollow or [ring for ring, count in zip(rings, counts, strict=True) if count % 2]


def _within(ring: shapely.Polygon) -> FloatArray:
    """Some points inside an area: a plumb line through one of them may hit just a corner or an edge of the mould."""
    at = ring.representative_point()
    turn = np.array([0.3, 1.7, 2.9, 4.3, 5.6])
    reach = 0.37 * float(ring.boundary.distance(at))
    return np.column_stack((at.x + reach * np.cos(turn), at.y + reach * np.sin(turn)))


def _below(triangles: FloatArray, p: FloatArray, level: float) -> int:
    """How many surfaces a plumb line meets below the cut."""
    a, b, c = triangles[:, 0, :2] - p, triangles[:, 1, :2] - p, triangles[:, 2, :2] - p
    u = b[:, 0] * c[:, 1] - b[:, 1] * c[:, 0]
    v = c[:, 0] * a[:, 1] - c[:, 1] * a[:, 0]
    w = a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]
    whole = u + v + w
    hit = ((u > 0) & (v >= 0) & (w >= 0)) | ((u < 0) & (v <= 0) & (w <= 0))
    hit &= whole != 0
    heights = (u * triangles[:, 0, 2] + v * triangles[:, 1, 2] + w * triangles[:, 2, 2])[hit] / whole[hit]
    # Two triangles that share an edge under the line are one surface.
    heights = np.sort(heights[heights < level])
    return int(len(heights) and 1 + (np.diff(heights) > 1e-9 * max(1.0, abs(level))).sum())


def _hanging_on(faces: IndexArray, begins: IndexArray) -> IndexArray:
    """The faces that hang together over edges with those at the rim."""
    edges = np.sort(faces[:, [[0, 1], [1, 2], [2, 0]]].reshape(-1, 2), axis=1)
    owner = np.repeat(np.arange(len(faces)), 3)
    order = np.lexsort(edges.T)
    edges, owner = edges[order], owner[order]
    same = (edges[1:] == edges[:-1]).all(axis=1)
    pairs = (owner[:-1][same], owner[1:][same])
    graph = coo_matrix((np.ones(len(pairs[0])), pairs), shape=(len(faces), len(faces)))
    _, label = connected_components(graph, directed=False)
    return np.flatnonzero(np.isin(label, np.unique(label[begins])))


def _area_below(triangles: FloatArray) -> float:
    """The area of the part of each triangle below z = 0."""
    whole = 0.5 * np.linalg.norm(np.cross(triangles[:, 1] - triangles[:, 0], triangles[:, 2] - triangles[:, 0]), axis=1)
    z = triangles[:, :, 2]
    above = z > 0
    count = above.sum(axis=1)
    # One corner alone on its side: its share of the triangle is the product of its two shares of the edges.
    lone = np.where((count == 1)[:, None], above, ~above).argmax(axis=1)
    rows = np.arange(len(z))
    a, b, c = z[rows, lone], z[rows, (lone + 1) % 3], z[rows, (lone + 2) % 3]
    mixed = (count == 1) | (count == 2)
    share = np.divide(a * a, (a - b) * (a - c), out=np.zeros(len(z)), where=mixed)
    kept = np.where(count == 0, 1.0, np.where(count == 1, 1 - share, np.where(count == 2, share, 0.0)))
    return float(whole @ kept)
