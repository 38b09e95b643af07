"""How deep a point lies in a shape, looked up: a grid of distances to its edge; and the points by which it feels.

The grid holds the distance outside the shape, negative inside; between its nodes it is bilinear. The points are
corners, points along the edges and a few within, each standing for so much length. Rough but quick: outlines of any
kind cost the same. What is found this way is made exact afterwards (exact.py).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from steadyrest.compiled import loop
from steadyrest.stock.nesting.pieces import polygons

Floats = NDArray[np.float64]
Depths = NDArray[np.float32]

FINE, COARSEST = 80, 500  # cells across the lesser side; cells across the longer side at the most
POINTS_ACROSS = 6
INSIDE = 0.12
MOST_NODES = 1_500_000


@dataclass(frozen=True, slots=True)
class Field:
    """A grid of distances: depth[row, column] at (x0 + column x cell, y0 + row x cell)."""

    x0: float
    y0: float
    cell: float
    depth: Depths


@loop()
def signed(ax: Floats, ay: Floats, bx: Floats, by: Floats, x: float, y: float) -> float:
    """Distance from a point to the nearest edge, negative inside (an odd number of edges to the right)."""
    best = 1e300
    inside = False
    for k in range(len(ax)):
        ux, uy, vx, vy = bx[k] - ax[k], by[k] - ay[k], x - ax[k], y - ay[k]
        t = (ux * vx + uy * vy) / max(ux * ux + uy * uy, 1e-300)
        t = min(max(t, 0.0), 1.0)
        wx, wy = vx - t * ux, vy - t * uy
        best = min(best, wx * wx + wy * wy)
        if (ay[k] > y) != (by[k] > y) and x < ax[k] + (y - ay[k]) / (by[k] - ay[k]) * ux:
            inside = not inside
    return -math.sqrt(best) if inside else math.sqrt(best)


@loop()
def _grid(ax: Floats, ay: Floats, bx: Floats, by: Floats, x0: float, y0: float, cell: float, depth: Depths) -> None:
    for row in range(depth.shape[0]):
        for column in range(depth.shape[1]):
            depth[row, column] = signed(ax, ay, bx, by, x0 + column * cell, y0 + row * cell)


def edges(shape: BaseGeometry) -> tuple[Floats, Floats, Floats, Floats]:
    """All edges of a shape, what it bounds lying to the left.

    Args:
        shape: polygons, with or without holes.
    Returns: from x, from y, to x, to y; (edges,) each.
    """
    rings = list[Floats]()
    for one in polygons(shape):
        for ring, left in ((one.exterior, True), *((hole, False) for hole in one.interiors)):
            corners = np.array(ring.coords, np.float64)[:, :2]
            rings.append(corners if ring.is_ccw == left else corners[::-1])
    if not rings:
        return (np.empty(0), np.empty(0), np.empty(0), np.empty(0))
    a = np.concatenate([ring[:-1] for ring in rings])
    b = np.concatenate([ring[1:] for ring in rings])
    return a[:, 0].copy(), a[:, 1].copy(), b[:, 0].copy(), b[:, 1].copy()


def field(shape: BaseGeometry, box: tuple[float, float, float, float], cell: float) -> Field:
    """The grid of a shape.

    Args:
        shape: polygons. box: low x, low y, high x, high y that it must reach over. cell: mm from node to node.
    Returns: the grid.
    """
    cols = max(3, math.ceil((box[2] - box[0]) / cell) + 1)
    rows = max(3, math.ceil((box[3] - box[1]) / cell) + 1)
    depth = np.empty((rows, cols), np.float32)
    _grid(*edges(shape), box[0], box[1], cell, depth)
    return Field(box[0], box[1], cell, depth)


def cell_for(shape: Polygon) -> float:
    """How fine a shape's grid is to be: by its thickness, but never too many nodes.

    Args:
        shape: a part.
    Returns: mm.
    """
    x0, y0, x1, y1 = shape.bounds
    lesser, longer = min(x1 - x0, y1 - y0), max(x1 - x0, y1 - y0)
    return max(lesser / FINE, longer / COARSEST)


def points(shape: Polygon, grid: Field) -> tuple[Floats, Floats, int]:
    """The points by which a shape feels others: along its edges, and within.

    Args:
        shape: a part. grid: its distances.
    Returns: (n, 2) points, those on the edge first, (n,) the length that each stands for, and how many are on the edge.
    """
    x0, y0, x1, y1 = shape.bounds
    every = max(min(x1 - x0, y1 - y0), 0.25 * math.sqrt(shape.area)) / POINTS_ACROSS
    ax, ay, bx, by = edges(shape)
    found, stands = list[tuple[float, float]](), list[float]()
    length = np.hypot(bx - ax, by - ay)
    pieces = np.maximum(1, np.round(length / every)).astype(np.int64)
    last: dict[tuple[float, float], float] = {}
    for k in range(len(ax)):
        last[bx[k], by[k]] = length[k] / pieces[k]
    for k in range(len(ax)):
        step = length[k] / pieces[k]
        for n in range(pieces[k]):
            t = n / pieces[k]
            found.append((ax[k] + t * (bx[k] - ax[k]), ay[k] + t * (by[k] - ay[k])))
            stands.append(step if n else 0.5 * (step + last.get((ax[k], ay[k]), step)))
    on_edge = len(found)
    inner = grid.depth < -INSIDE * min(x1 - x0, y1 - y0)
    deepest = np.unravel_index(int(grid.depth.argmin()), grid.depth.shape)
    stride = max(1, round(2 * every / grid.cell))
    chosen = {(int(deepest[0]), int(deepest[1]))}
    for row in range(int(deepest[0]) % stride, grid.depth.shape[0], stride):
        for column in range(int(deepest[1]) % stride, grid.depth.shape[1], stride):
            if inner[row, column]:
                chosen.add((row, column))
    for row, column in sorted(chosen):
        found.append((grid.x0 + column * grid.cell, grid.y0 + row * grid.cell))
        stands.append(every)
    return np.array(found), np.array(stands), on_edge


def room_field(plate: BaseGeometry, holes: BaseGeometry, margin: float, hole_clear: float, cell: float) -> Field:
    """How much room a point of the plate has to what it must keep clear of: negative where it lacks.

    Args:
        plate, holes: outlines. margin, hole_clear: kept clear of each, mm. cell: wanted fineness, mm.
    Returns: the grid, reaching a little over the plate.
    """
    x0, y0, x1, y1 = plate.bounds
    cell = max(cell, math.sqrt((x1 - x0) * (y1 - y0) / MOST_NODES))
    box = (x0 - 2 * cell, y0 - 2 * cell, x1 + 2 * cell, y1 + 2 * cell)
    outer = field(plate, box, cell)
    room = -outer.depth - np.float32(margin)
    if not holes.is_empty:
        room = np.minimum(room, field(holes, box, cell).depth - np.float32(hole_clear))
    return Field(outer.x0, outer.y0, cell, np.ascontiguousarray(room, np.float32))
