"""What the scanner saw: a surface is seen where camera and projector both had it in view, and not too flat.

Seen from afar, the vertices are dropped into square pixels; what lies behind the nearest of its pixel is hidden.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import numpy.typing as npt
from scipy import sparse
from scipy.sparse.linalg import spsolve

Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]
Truths = npt.NDArray[np.bool_]

PIXEL = 1.4  # of a voxel: smaller ones leave gaps in the front surface, and what is behind shines through


def looks(count: int, apart_rad: float, rng: np.random.Generator) -> Iterator[tuple[Floats, Floats]]:
    """Pairs of unit directions (towards camera, towards projector), spread evenly over the ball."""
    turn = rng.uniform(0.0, 2 * np.pi)
    for k in range(count):
        height = 1 - 2 * (k + 0.5) / count
        angle = turn + k * np.pi * (3 - np.sqrt(5))
        wide = np.sqrt(1 - height * height)
        camera = np.array([wide * np.cos(angle), wide * np.sin(angle), height])
        beside = np.cross(camera, rng.standard_normal(3))
        beside /= np.linalg.norm(beside)
        yield camera, np.cos(apart_rad) * camera + np.sin(apart_rad) * beside


def seen_vertices(
    vertices: Floats, normals: Floats, pairs: Iterator[tuple[Floats, Floats]], *, voxel_mm: float, steepest_rad: float
) -> Truths:
    """Which vertices at least one pair of camera and projector had in view.

    Args:
        vertices, normals: (n, 3); normals outward, unit.
        pairs: directions towards camera and projector.
        voxel_mm: spacing of the vertices.
        steepest_rad: farthest that a line of sight may lean from the normal.
    Returns: (n,) truths.
    """
    seen = np.zeros(len(vertices), dtype=np.bool_)
    places, normals = np.ascontiguousarray(vertices.T), np.ascontiguousarray(normals.T)
    for camera, projector in pairs:
        views = [
            _in_view(places, normals, look, PIXEL * voxel_mm, np.cos(steepest_rad)) for look in (camera, projector)
        ]
        seen |= views[0] & views[1]
    return seen


def even_out(seen: Truths, neighbours: sparse.csr_array, rounds: int = 2) -> Truths:
    """The seen vertices without lone specks: each goes with most of its neighbours."""
    share = neighbours.sum(axis=1)
    for _ in range(rounds):
        around = (neighbours @ seen.astype(np.float64)) / share
        seen = np.where(seen, around > 0.3, around > 0.7)
    return seen


def bridged(vertices: Floats, seen: Truths, neighbours: sparse.csr_array) -> Floats:
    """The vertices with every unseen one moved onto a skin stretched over its hole: too smooth, as hole filling is.

    Raises: ValueError: nothing at all was seen.
    """
    if not seen.any():
        raise ValueError("no vertex was seen, so there is nothing to stretch a skin between")
    count, lost = np.asarray(neighbours.sum(axis=1)), np.flatnonzero(~seen)
    if not len(lost):
        return vertices
    laplacian = sparse.csc_array(sparse.diags_array(count) - neighbours)
    inner, rim = laplacian[lost][:, lost], laplacian[lost][:, np.flatnonzero(seen)]
    moved = vertices.copy()
    moved[lost] = np.asarray(spsolve(sparse.csc_array(inner), -(rim @ vertices[seen])))
    return moved


def _in_view(places: Floats, normals: Floats, look: Floats, pixel_mm: float, least_cosine: float) -> Truths:
    """Which of the vertices, given as columns (3, n), one eye far off along `look` has in view."""
    cosine = _along(normals, look)
    across = np.asarray(np.cross(look, np.eye(3)[np.abs(look).argmin()]), dtype=np.float64)
    across /= np.linalg.norm(across)
    upwards = np.asarray(np.cross(look, across), dtype=np.float64)
    row, column = (np.floor(_along(places, side) / pixel_mm).astype(np.int64) for side in (across, upwards))
    column -= column.min()
    pixel = (row - row.min()) * (int(column.max()) + 1) + column
    depth = _along(places, look)
    nearest = np.full(int(pixel.max()) + 1, -np.inf)
    np.maximum.at(nearest, pixel, depth)
    facing = cosine >= least_cosine
    slope = np.sqrt(np.maximum(1 - cosine * cosine, 0.0)) / np.maximum(cosine, least_cosine)
    return facing & (depth >= nearest[pixel] - pixel_mm * (0.5 + 1.5 * slope))


def _along(columns: Floats, direction: Floats) -> Floats:
    # By columns, not by a matrix product: that starts threads for a few flops and waits for them on a busy machine.
    return columns[0] * direction[0] + columns[1] * direction[1] + columns[2] * direction[2]
