"""Measures of a cleared area: how long its boundary is, against what, and in how many pieces it lies."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numba as nb
import numpy as np

from steadyrest.stations.mill.removal.cells import BoolArray
from steadyrest.stations.mill.removal.distance import IntArray, within

ARM = 4  # cells that run straight from a corner before it counts as one
DIAGONAL = math.sqrt(0.5)
ADMITS = 0.95  # of an area: the share that a way's width must let through
HALVINGS = 6


@dataclass(frozen=True, slots=True)
class Outline:
    """Of a cleared area, in cells. around: all of its boundary; wall: against the part; open_share: against air.

    regions: pieces. islands: of what stays standing, inside. outer: corners of the part that it goes round.
    labels: (ny, nx) piece of each cell from 1, 0 outside.
    """

    around: float
    wall: float
    open_share: float
    regions: int
    islands: int
    outer: int
    labels: IntArray


def outline_of(cleared: BoolArray, standing: BoolArray, material: BoolArray) -> Outline:
    """The measures of a cleared area.

    Args:
        cleared: (ny, nx) cells cleared.
        standing: (ny, nx) cells of the part.
        material: (ny, nx) cells of stock that stays for another tool.
    Returns: lengths in cells, exact along the grid and at 45 degrees, at most 8 % long between.
    """
    around, wall, open_share, outer = _boundary(cleared, standing, material)
    labels, regions = labelled(cleared)
    _, islands = labelled(np.pad(~cleared, 1, constant_values=True))
    return Outline(around, wall, open_share, int(regions), max(int(islands) - 1, 0), int(outer), labels)


@nb.njit(cache=True, nogil=True)
def _boundary(cleared: BoolArray, standing: BoolArray, material: BoolArray) -> tuple[float, float, float, int]:
    ny, nx = cleared.shape
    around, wall = 0.0, 0.0
    faces, open_faces, outer = 0, 0, 0
    for y in range(-1, ny):
        for x in range(-1, nx):
            n, s = 0, 0
            across_n, across_s, near = False, False, False
            for dy in range(-1, 3):
                for dx in range(-1, 3):
                    v, u = y + dy, x + dx
                    if not (0 <= v < ny and 0 <= u < nx):
                        continue
                    # A seam of one cell along a round wall, left by rounding, is no gap in the wall.
                    near |= cleared[v, u]
                    if not (0 <= dy < 2 and 0 <= dx < 2):
                        continue
                    if cleared[v, u]:
                        n += 1
                        across_n ^= dy == dx
                    if standing[v, u]:
                        s += 1
                        across_s ^= dy == dx
            around += _step(n, across_n)
            if near:
                wall += _step(s, across_s)
    for y in range(ny):
        for x in range(nx):
            if not cleared[y, x]:
                continue
            for k in range(4):
                v, u = y + (k == 0) - (k == 1), x + (k == 2) - (k == 3)
                inside = 0 <= v < ny and 0 <= u < nx
                if inside and cleared[v, u]:
                    continue
                faces += 1
                if not inside or not (standing[v, u] or material[v, u]):
                    open_faces += 1
    for y in range(ny):
        for x in range(nx):
            if standing[y, x]:
                outer += _corners(cleared, standing, y, x)
    return around, wall, open_faces / max(faces, 1), outer


@nb.njit(cache=True, nogil=True)
def _step(count: int, across: bool) -> float:
    """How far an edge runs through the middle of four cells, so many of them marked; across: one of a diagonal."""
    if count in (0, 4):
        return 0.0
    if count != 2:
        return DIAGONAL
    return 1.0 if across else 2.0 * DIAGONAL


@nb.njit(cache=True, nogil=True)
def _corners(cleared: BoolArray, standing: BoolArray, y: int, x: int) -> int:
    """Outer corners of the part at one of its cells: two straight arms with cleared cells outside of both."""
    ny, nx = cleared.shape
    found = 0
    for v in (-1, 1):
        for u in (-1, 1):
            yy, xx = y + v, x + u
            if not (0 <= yy < ny and 0 <= xx < nx and cleared[yy, x] and cleared[y, xx]):
                continue
            straight = True
            for k in range(1, ARM + 1):
                ya, xa = y - v * k, x - u * k
                if not (0 <= ya < ny and 0 <= xa < nx):
                    straight = False
                    break
                along = standing[y, xa] and cleared[yy, xa]
                down = standing[ya, x] and cleared[ya, xx]
                if not (along and down):
                    straight = False
                    break
            if straight:
                found += 1
    return found


def admits(cleared: BoolArray, far_sq: IntArray, rim: int, *, least: float, halvings: int = HALVINGS) -> float:
    """The radius of the largest disc that still gets to nearly all of a cleared area.

    Args:
        cleared: (ny, nx) cells cleared.
        far_sq: (ny + 2 rim, nx + 2 rim) squared distance to what is shut, in cells.
        rim: cells round the cleared area that the distances have too.
        least: a radius that gets everywhere: the cutter's, in cells.
        halvings: of what it lies between; 0: the least is told.
    Returns: cells; at least `least`.
    """
    inner = far_sq[rim : far_sq.shape[0] - rim, rim : far_sq.shape[1] - rim] if rim else far_sq
    whole = int(np.count_nonzero(cleared))
    if not whole or not halvings:
        return least
    low, high = least, math.sqrt(min(int(inner[cleared].max()), max(far_sq.shape) ** 2))
    for _ in range(halvings):
        if high <= low + 0.5:
            break
        middle = math.sqrt(low * high) if low > 0 else high / 2.0
        near = within(far_sq >= middle * middle, middle * middle)
        near = near[rim : near.shape[0] - rim, rim : near.shape[1] - rim] if rim else near
        if np.count_nonzero(near & cleared) >= ADMITS * whole:
            low = middle
        else:
            high = middle
    return low


@nb.njit(cache=True, nogil=True)
def labelled(marked: BoolArray) -> tuple[IntArray, int]:
    """Pieces of an area that hang together over the sides of cells.

    Args:
        marked: (ny, nx) truths.
    Returns: ((ny, nx) piece of each cell from 1, 0 where not marked; how many).
    """
    ny, nx = marked.shape
    found = np.zeros((ny, nx), np.int32)
    stack = np.empty(ny * nx, np.int64)
    count = 0
    for start in range(ny * nx):
        sy, sx = start // nx, start % nx
        if not marked[sy, sx] or found[sy, sx]:
            continue
        count += 1
        found[sy, sx] = count
        stack[0] = start
        top = 1
        while top:
            top -= 1
            y, x = stack[top] // nx, stack[top] % nx
            for k in range(4):
                v, u = y + (k == 0) - (k == 1), x + (k == 2) - (k == 3)
                if 0 <= v < ny and 0 <= u < nx and marked[v, u] and not found[v, u]:
                    found[v, u] = count
                    stack[top] = v * nx + u
                    top += 1
    return found, count
