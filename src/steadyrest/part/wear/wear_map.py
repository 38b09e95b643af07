"""How deep each worn seat is, cell by cell, laid flat: what one number for its wear cannot show.

Depth is measured from the size before wear, about the part's axis, so it is as sure as that size. A cell is several
of the scan's own triangles wide: what is shown is worn surface, not the scanner's noise.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np
import numpy.typing as npt

from steadyrest.part.fit.solve import across
from steadyrest.part.triangles.mesh import Mesh
from steadyrest.shop.part import Feature, Part, WearMap

FloatArray = npt.NDArray[np.float64]

ROUND_CELLS = 48
MOST_BANDS = 48
CELL_EDGES = 2.5  # a band along the axis, in the scan's typical edges
ROUNDED_EDGES = 2.0  # how far from a shoulder the scan still shows the shoulder's rounding, in its edges
FEWEST_POINTS = 3  # in a cell, for it to count as seen
LEAST_SEEN = 0.3  # of the cells; a map with more gaps shows nothing
BELOW = 1.6  # times the wear said: deeper is a keyway or a hole in the seat, not wear
ABOVE_MM = 0.15
SAMPLE = 20_000  # triangles that tell a typical edge
LEAST_MM = 0.05  # of wear, before a map is worth drawing


def wear_maps(part: Part, mesh: Mesh) -> tuple[WearMap, ...]:
    """Every worn seat of a turned scan, laid flat.

    Args:
        part: with its features found; a scan in mm.
        mesh: the scan, in the same frame.
    Returns: maps in the features' order; none for a part that is not turned or not worn.
    """
    worn = [f for f in part.features if (f.wear_mm or 0.0) >= LEAST_MM and f.along_mm and f.size("diameter_mm")]
    if part.profile is None or not worn:
        return ()
    axis = np.array(part.profile.axis)
    q = mesh.vertices - np.array(part.profile.origin_mm)
    along = q @ axis
    u, v = across(axis)
    x, y = q @ u, q @ v
    return tuple(_maps(worn, along, np.hypot(x, y), np.arctan2(y, x), _edge_mm(mesh)))


def _edge_mm(mesh: Mesh) -> float:
    """A typical edge of the scan."""
    some = mesh.faces[:: max(1, len(mesh.faces) // SAMPLE)]
    return float(np.median(np.linalg.norm(mesh.vertices[some[:, 0]] - mesh.vertices[some[:, 1]], axis=1)))


def _maps(
    worn: list[Feature], along: FloatArray, radius: FloatArray, angle: FloatArray, edge_mm: float
) -> Iterator[WearMap]:
    for feature in worn:
        size = feature.size("diameter_mm")
        if size is None or feature.along_mm is None:
            continue
        reach = (feature.along_mm[0] + ROUNDED_EDGES * edge_mm, feature.along_mm[1] - ROUNDED_EDGES * edge_mm)
        if reach[1] - reach[0] < 3 * CELL_EDGES * edge_mm:
            continue
        deficit = (size.estimate / 2 - radius) * (-1 if feature.inside else 1)
        deepest = BELOW * (feature.wear_mm or 0.0) + ABOVE_MM
        here = (along > reach[0]) & (along < reach[1]) & (deficit > -ABOVE_MM) & (deficit < deepest)
        found = _laid_flat(along[here], angle[here], deficit[here], reach, edge_mm)
        if found is not None:
            yield WearMap(feature.id, reach, found)


def _laid_flat(
    along: FloatArray, angle: FloatArray, depth: FloatArray, reach: tuple[float, float], edge_mm: float
) -> tuple[tuple[float | None, ...], ...] | None:
    """Medians over a grid, turned so that the deepest wear stands in the middle; None where too little was seen."""
    if not len(depth):
        return None
    bands = int(min((reach[1] - reach[0]) / (CELL_EDGES * edge_mm), MOST_BANDS))
    weight = np.clip(depth, 0.0, None)
    middle = math.atan2(float((weight * np.sin(angle)).sum()), float((weight * np.cos(angle)).sum()))
    turned = (angle - middle + math.pi) % (2 * math.pi)
    row = np.minimum(((along - reach[0]) / (reach[1] - reach[0]) * bands).astype(np.int64), bands - 1)
    column = np.minimum((turned / (2 * math.pi) * ROUND_CELLS).astype(np.int64), ROUND_CELLS - 1)
    cell = row * ROUND_CELLS + column
    order = np.lexsort((depth, cell))
    count = np.bincount(cell, minlength=bands * ROUND_CELLS)
    first = np.concatenate(([0], np.cumsum(count)))[:-1]
    seen = count >= FEWEST_POINTS
    if seen.mean() < LEAST_SEEN:
        return None
    middles = depth[order][np.minimum(first + count // 2, len(depth) - 1)]
    flat = [round(float(mm), 4) if yes else None for mm, yes in zip(middles, seen, strict=True)]
    return tuple(tuple(flat[k * ROUND_CELLS : (k + 1) * ROUND_CELLS]) for k in range(bands))
