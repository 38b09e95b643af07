"""A surface made of triangles, cleaned: corners welded, doubled triangles gone, all turned the same way.

*Open* edges belong to one triangle, *crooked* ones to three or more; a *shell* is what hangs together over the others.
Reading never throws a triangle away without saying so: what was mended stands in `repaired`, what is gone in `lost`,
what a person should know in `doubted`.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from steadyrest.part.triangles.crossing import crossing_pairs
from steadyrest.shop.figure import Reason, because
from steadyrest.trouble import BadInput

FloatArray = npt.NDArray[np.float64]
IndexArray = npt.NDArray[np.int32]

LARGEST = 1e7  # file units; beyond it a part is no part, and squares of lengths lose their digits


@dataclass(frozen=True, slots=True)
class Mesh:
    """A cleaned triangle mesh, in the file's own unit.

    vertices: (n, 3) read-only. faces: (m, 3) read-only, corners counter-clockwise seen from outside.
    beside: (m, 3) read-only; the triangle across the edge from corner k to k+1, -1 where open, -2 where crooked.
    unit: what the file names ("mm", "in", "m", ...) or None.
    shells, open_edges, crooked_edges: how many. volume: None if a surface is open.
    """

    vertices: FloatArray
    faces: IndexArray
    beside: IndexArray
    unit: str | None
    shells: int
    open_edges: int
    crooked_edges: int
    volume: float | None
    repaired: tuple[Reason, ...] = ()
    lost: tuple[Reason, ...] = ()
    doubted: tuple[Reason, ...] = ()


def cleaned(
    vertices: FloatArray,
    faces: npt.NDArray[np.int64] | IndexArray,
    *,
    where: str,
    unit: str | None = None,
    repaired: tuple[Reason, ...] = (),
    lost: tuple[Reason, ...] = (),
) -> Mesh:
    """A mesh from raw corners and triangles, after the checks and mending that every file format needs.

    Args:
        vertices: (n, 3) corners.
        faces: (m, 3) indices into them.
        where: the file's name, for messages.
        unit: the unit that the file names, or None.
        repaired, lost: what the format's reader already did.
    Returns: the mesh; equal corners are welded bit by bit, so a soup of triangles and a welded file become the same.
    Raises: BadInput: no triangles, numbers that are none, indices out of range, sizes beyond reason, nothing left.
    """
    _refuse_nonsense(vertices, faces, where)
    mended, gone = list(repaired), list(lost)
    from steadyrest.part.triangles import topology  # late: compiled loops, which a solid is read without

    points, old_to_new = topology.welded(np.ascontiguousarray(vertices, dtype=np.float64))
    corners = old_to_new[np.asarray(faces, dtype=np.int64)]
    if len(vertices) - len(points) > 0 and len(vertices) < 3 * len(faces):
        mended.append(because("mesh.welded", count=float(len(vertices) - len(points))))
    flat = (corners[:, 0] == corners[:, 1]) | (corners[:, 1] == corners[:, 2]) | (corners[:, 2] == corners[:, 0])
    if flat.any():
        mended.append(because("mesh.degenerate", count=float(flat.sum())))
        corners = np.ascontiguousarray(corners[~flat])
    if not len(corners):
        raise BadInput(where=where, what="not one triangle has an area.", do="Export the surface again.")
    twice = topology.doubled(corners)
    if len(twice):
        mended.append(because("mesh.doubled", count=float(len(twice))))
        corners = np.delete(corners, twice, axis=0)
    points, corners = _near_corners_welded(points, corners, mended)
    beside, shell, shells, turned, crooked = topology.oriented(corners, len(points))
    if turned:
        mended.append(because("mesh.turned", count=float(turned)))
    volume, flipped = _outside_out(points, corners, beside, shell, shells)
    if flipped:
        mended.append(because("mesh.inside_out", count=float(flipped)))
    open_edges = int((beside == -1).sum())
    for array in (points, corners, beside):
        array.setflags(write=False)
    doubts: list[Reason] = []
    if open_edges:
        doubts.append(because("mesh.open", count=float(open_edges)))
    if crooked:
        doubts.append(because("mesh.crooked", count=float(crooked)))
    if shells > 1:
        doubts.append(because("mesh.shells", count=float(shells)))
        if crossing := crossing_pairs(points, corners, shell, shells):
            doubts.append(because("mesh.crossing", count=float(crossing)))
    return Mesh(
        vertices=points, faces=corners, beside=beside, unit=unit, shells=shells, open_edges=open_edges,
        crooked_edges=crooked, volume=None if open_edges or crooked else volume,
        repaired=tuple(mended), lost=tuple(gone), doubted=tuple(doubts),
    )  # fmt: skip


def _refuse_nonsense(vertices: FloatArray, faces: npt.NDArray[np.int64] | IndexArray, where: str) -> None:
    if not len(faces) or not len(vertices):
        raise BadInput(where=where, what="there are no triangles in it.", do="Export the surface as a mesh again.")
    if not np.isfinite(vertices).all():
        bad = int(np.argmin(np.isfinite(vertices).all(axis=1)))
        raise BadInput(where=f"{where}, corner {bad + 1}", what="a coordinate is not a number.", do="Export it again.")
    low, high = int(faces.min()), int(faces.max())
    if low < 0 or high >= len(vertices):
        bad = int(np.argmax(((faces < 0) | (faces >= len(vertices))).any(axis=1)))
        wrong = low if low < 0 else high
        raise BadInput(
            where=f"{where}, triangle {bad + 1}",
            what=f"it names corner {wrong}, but there are only {len(vertices)}.",
            do="The file is damaged: export it again.",
        )
    largest = float(np.abs(vertices).max())
    if largest > LARGEST:
        raise BadInput(where=where, what=f"a coordinate of {largest:.3g} is no part.", do="Move it near its origin.")


def _near_corners_welded(
    points: FloatArray, corners: IndexArray, mended: list[Reason]
) -> tuple[FloatArray, IndexArray]:
    """Corners of open edges that differ by rounding only become one: text files cut digits."""
    from steadyrest.part.triangles import topology

    edge = topology.open_corners(corners, len(points))
    if not 0 < len(edge) < 200_000:
        return points, corners
    from scipy.spatial import KDTree

    near = 2e-6 * float(np.ptp(points, axis=0).max())
    pairs = KDTree(points[edge]).query_pairs(near, output_type="ndarray")
    if not len(pairs):
        return points, corners
    target = np.arange(len(points))
    for a, b in np.sort(edge[pairs], axis=1)[np.lexsort(edge[pairs].T)]:
        target[b] = min(target[b], target[a])
    moved = np.asarray(target[corners], dtype=np.int32)
    fine = (moved[:, 0] != moved[:, 1]) & (moved[:, 1] != moved[:, 2]) & (moved[:, 2] != moved[:, 0])
    mended.append(because("mesh.welded", count=float((target != np.arange(len(points))).sum())))
    return points, np.ascontiguousarray(moved[fine])


def _outside_out(
    points: FloatArray, corners: IndexArray, beside: IndexArray, shell: IndexArray, shells: int
) -> tuple[float, int]:
    """Turns shells that are inside out, in place; returns the volume and how many triangles were turned.

    A shell within another may be a hollow, which is rightly turned inward; one that stands free may not.
    """
    middle = points.mean(axis=0)
    a, b, c = (points[corners[:, k]] - middle for k in range(3))
    sixth = np.einsum("ij,ij->i", a, np.cross(b, c)) / 6
    volumes = np.bincount(shell, weights=sixth, minlength=shells)
    wrong = np.zeros(shells, dtype=bool)
    if volumes.sum() < 0:
        wrong[:] = True
    elif shells > 1 and shells < 2000:
        low, high = _shell_boxes(points, corners, shell, shells)
        for k in np.flatnonzero(volumes < 0):
            within = (low <= low[k]).all(axis=1) & (high >= high[k]).all(axis=1)
            wrong[k] = within.sum() == 1
    turn = wrong[shell]
    if turn.any():
        corners[turn] = corners[turn][:, ::-1]
        beside[turn] = beside[turn][:, [1, 0, 2]]
        volumes[wrong] *= -1
    return float(volumes.sum()), int(turn.sum())


def _shell_boxes(
    points: FloatArray, corners: IndexArray, shell: IndexArray, shells: int
) -> tuple[FloatArray, FloatArray]:
    low, high = np.full((shells, 3), np.inf), np.full((shells, 3), -np.inf)
    for k in range(3):
        np.minimum.at(low, shell, points[corners[:, k]])
        np.maximum.at(high, shell, points[corners[:, k]])
    return low, high
