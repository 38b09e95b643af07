"""How deep one point is: in another part's grid, or out of the room; and which way that changes. Compiled, called from
every loop over points, so that it is written once."""

from __future__ import annotations

import math

import numpy as np

from steadyrest.compiled import loop
from steadyrest.stock.nesting.field import Depths


@loop(fastmath=True, inner=True)
def deep_in(depth: Depths, base: int, cols: int, top_u: float, top_v: float, u: float, v: float, gap: float) -> float:
    """A point at (u, v) cells of a grid: how far it is from being clear by the gap. Off the grid it is clear."""
    if u < 0.0 or v < 0.0 or u >= top_u or v >= top_v:
        return -1.0
    i, j = int(u), int(v)
    fu, fv = u - i, v - j
    at = np.uint64(base + j * cols + i)
    up = np.uint64(base + (j + 1) * cols + i)
    one = np.uint64(1)
    low = depth[at] + fu * (depth[at + one] - depth[at])
    high = depth[up] + fu * (depth[up + one] - depth[up])
    return gap - (low + fv * (high - low))


@loop(fastmath=True, inner=True)
def growth_in(depth: Depths, per: float, base: int, cols: int, u: float, v: float) -> tuple[float, float]:
    """How the room about a point on the grid grows to the mm along the grid's two ways."""
    i, j = int(u), int(v)
    fu, fv = u - i, v - j
    at = np.uint64(base + j * cols + i)
    up = np.uint64(base + (j + 1) * cols + i)
    one = np.uint64(1)
    a, b, e, f = depth[at], depth[at + one], depth[up], depth[up + one]
    low = a + fu * (b - a)
    high = e + fu * (f - e)
    return ((b - a) + fv * ((f - e) - (b - a))) * per, (high - low) * per


@loop(fastmath=True)
def out_of(
    depth: Depths, x0: float, y0: float, per: float, nx: float, ny: float, d: float, x: float, y: float
) -> tuple[float, float, float]:
    """A point on the plate: how far it is out of the room, or beyond the line nx x + ny y = d, whichever is more; and
    how that grows to the mm along x and y."""
    rows, cols = depth.shape
    top_u, top_v = cols - 1.001, rows - 1.001
    u, v = (x - x0) * per, (y - y0) * per
    over_u = over_v = 0.0
    if u < 0.0:
        over_u, u = u, 0.0
    elif u > top_u:
        over_u, u = u - top_u, top_u
    if v < 0.0:
        over_v, v = v, 0.0
    elif v > top_v:
        over_v, v = v - top_v, top_v
    i, j = int(u), int(v)
    fu, fv = u - i, v - j
    a, b, e, f = depth[j, i], depth[j, i + 1], depth[j + 1, i], depth[j + 1, i + 1]
    low = a + fu * (b - a)
    high = e + fu * (f - e)
    lacks = (abs(over_u) + abs(over_v)) / per - (low + fv * (high - low))
    beyond = nx * x + ny * y - d
    if beyond > lacks:
        return beyond, nx, ny
    gx = -((b - a) + fv * ((f - e) - (b - a))) * per if over_u == 0.0 else math.copysign(1.0, over_u)
    gy = -(high - low) * per if over_v == 0.0 else math.copysign(1.0, over_v)
    return lacks, gx, gy
