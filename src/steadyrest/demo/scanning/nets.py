"""Triangles on a body given by its distance: an octree down to the surface, then surface nets on the cells it meets.

The grid lies askew to the part (it belongs to the scanner's world), and vertices are moved along the surface at random,
so the triangles are as irregular as those of a fused hand-held scan. Only cells near the surface are ever held.
"""

from __future__ import annotations

from math import sqrt

import numpy as np
import numpy.typing as npt

from steadyrest.demo.scanning.true_body import Distance

Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]

# Packed grid places: 21 bits each, which reaches 2 million voxels either way.
BITS = 21
MIDDLE = 1 << (BITS - 1)
COARSE = (32, 8, 2)
SLACK = 1.15
CUBE = np.array([(i, j, k) for i in (0, 1) for j in (0, 1) for k in (0, 1)], dtype=np.int64)
EDGES = tuple((a, a | bit) for bit in (4, 2, 1) for a in range(8) if not a & bit)
MOST_SHEETS = 4


def _sheets() -> npt.NDArray[np.int8]:
    """For each pattern of inside corners (256) the sheet of surface that each of 12 edges belongs to, -1 if uncrossed.

    Edges crossed on one face hang together; where all four of a face are crossed, the two at an inside corner do. Both
    cells at that face then agree, which keeps the mesh free of edges with four triangles.
    """
    faces = [
        [e for e, (a, b) in enumerate(EDGES) if a & bit == b & bit == side] for bit in (4, 2, 1) for side in (0, bit)
    ]
    table = np.full((256, len(EDGES)), -1, dtype=np.int8)
    for pattern in range(256):
        group = {e: e for e, (a, b) in enumerate(EDGES) if (pattern >> a ^ pattern >> b) & 1}
        for face in faces:
            crossed = [e for e in face if e in group]
            for e in crossed:
                for f in crossed:
                    shared = set(EDGES[e]) & set(EDGES[f])
                    if len(crossed) == 2 or any(pattern >> corner & 1 for corner in shared):
                        old, new = group[e], group[f]
                        group = {edge: new if g == old else g for edge, g in group.items()}
        names = sorted(set(group.values()))
        for edge, g in group.items():
            table[pattern, edge] = names.index(g)
    return table


SHEETS = _sheets()


def surface_net(distance: Distance, half_size_mm: tuple[float, float, float], voxel_mm: float) -> tuple[Floats, Ints]:
    """A closed triangle mesh of the body where its distance is zero.

    Args:
        distance: of points (n, 3) in the grid's frame, mm.
        half_size_mm: the body lies within plus and minus this.
        voxel_mm: edge of a grid cell.
    Returns: vertices (n, 3) mm and faces (m, 3), outward.
    Raises: ValueError: the surface leaves the box, or the distance is steeper than the slack allows.
    """
    cells, values = _cells_at_surface(distance, half_size_mm, voxel_mm)
    inside = values < 0.0
    mixed = inside.any(axis=1) & ~inside.all(axis=1)
    cells, values, inside = cells[mixed], values[mixed], inside[mixed]
    keys = _packed(cells)
    order = np.argsort(keys)
    keys, cells, values, inside = keys[order], cells[order], values[order], inside[order]
    sheets = SHEETS[inside @ (1 << np.arange(8))]
    places, middles = _crossing_middles(values, inside, sheets)
    vertices = (cells[places // MOST_SHEETS] + middles) * voxel_mm
    return vertices, _faces(keys, inside, sheets, places, vertices)


def _cells_at_surface(
    distance: Distance, half_size_mm: tuple[float, float, float], voxel_mm: float
) -> tuple[Ints, Floats]:
    """Grid cells (n, 3) near the surface and the distance at their eight corners (n, 8)."""
    size = COARSE[0]
    counts = [int(np.ceil(half / (size * voxel_mm))) + 1 for half in half_size_mm]
    axes = [np.arange(-count, count, dtype=np.int64) for count in counts]
    blocks = np.stack(np.meshgrid(*axes, indexing="ij"), axis=-1).reshape(-1, 3) * size
    for size, finer in zip(COARSE, (*COARSE[1:], 0), strict=True):
        reach = SLACK * size * voxel_mm * sqrt(3.0) / 2
        near = np.abs(distance((blocks.astype(np.float64) + size / 2) * voxel_mm, 1.01 * reach)) <= reach
        blocks = blocks[near]
        if finer:
            steps = np.arange(0, size, finer, dtype=np.int64)
            inner = np.stack(np.meshgrid(steps, steps, steps, indexing="ij"), axis=-1).reshape(-1, 3)
            blocks = (blocks[:, None, :] + inner).reshape(-1, 3)
    cells = (blocks[:, None, :] + CUBE).reshape(-1, 3)
    corners, places = np.unique(_packed(cells[:, None, :] + CUBE), return_inverse=True)
    at_corners = distance(_unpacked(corners).astype(np.float64) * voxel_mm, 4 * voxel_mm)
    return cells, at_corners[places.reshape(-1, 8)]


def _crossing_middles(
    values: Floats, inside: npt.NDArray[np.bool_], sheets: npt.NDArray[np.int8]
) -> tuple[Ints, Floats]:
    """Each sheet of surface in a cell: its place (cell * MOST_SHEETS + sheet), the middle (m, 3) of its crossings."""
    size = MOST_SHEETS * len(values)
    total, count = np.zeros((size, 3)), np.zeros(size, dtype=np.int64)
    for edge, (a, b) in enumerate(EDGES):
        rows = np.flatnonzero(inside[:, a] != inside[:, b])
        va, vb = values[rows, a], values[rows, b]
        place = MOST_SHEETS * rows + sheets[rows, edge]
        total[place] += CUBE[a] + (va / (va - vb))[:, None] * (CUBE[b] - CUBE[a])
        count[place] += 1
    places = np.flatnonzero(count)
    return places, total[places] / count[places, None]


def _faces(
    keys: Ints, inside: npt.NDArray[np.bool_], sheets: npt.NDArray[np.int8], places: Ints, vertices: Floats
) -> Ints:
    """Two triangles for every grid edge that the surface crosses, joining the four cells round it."""
    number = np.full(MOST_SHEETS * len(keys), -1, dtype=np.int64)
    number[places] = np.arange(len(places))
    quads: list[Ints] = []
    for axis in range(3):
        u, v = 4 >> ((axis + 1) % 3), 4 >> ((axis + 2) % 3)
        rows = np.flatnonzero(inside[:, 0] != inside[:, 4 >> axis])
        quad = np.empty((len(rows), 4), dtype=np.int64)
        for k, corner in enumerate((0, u, u | v, v)):
            cells = _found(keys, keys[rows] - sum(_step(other) for other in range(3) if corner & (4 >> other)))
            edge = EDGES.index((corner, corner | (4 >> axis)))
            quad[:, k] = number[MOST_SHEETS * cells + sheets[cells, edge]]
        quads.append(np.where(inside[rows, 0, None], quad, quad[:, ::-1]))
    quad = np.concatenate(quads)
    a, b, c, d = (vertices[quad[:, k]] for k in range(4))
    short = np.sum((a - c) ** 2, axis=1) <= np.sum((b - d) ** 2, axis=1)
    first = np.where(short[:, None], quad[:, [0, 1, 2]], quad[:, [1, 2, 3]])
    second = np.where(short[:, None], quad[:, [0, 2, 3]], quad[:, [1, 3, 0]])
    return np.concatenate([first, second])


def _step(axis: int) -> int:
    return 1 << (BITS * (2 - axis))


def _packed(cells: Ints) -> Ints:
    shifted = cells + MIDDLE
    return (shifted[..., 0] << (2 * BITS)) | (shifted[..., 1] << BITS) | shifted[..., 2]


def _unpacked(keys: Ints) -> Ints:
    mask = (1 << BITS) - 1
    return np.stack([keys >> (2 * BITS), (keys >> BITS) & mask, keys & mask], axis=-1) - MIDDLE


def _found(keys: Ints, wanted: Ints) -> Ints:
    places = np.minimum(np.searchsorted(keys, wanted), len(keys) - 1)
    if not np.array_equal(keys[places], wanted):
        raise ValueError("the surface runs through cells that were not held: the distance is steeper than allowed for")
    return places
