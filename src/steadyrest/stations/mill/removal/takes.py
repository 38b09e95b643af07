"""Which cutters take the material of one set-up, in falling size, and how much each takes."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from steadyrest.shop.floor import Tool
from steadyrest.stations.mill.removal.cells import BoolArray
from steadyrest.stations.mill.removal.distance import IntArray, distance_sq
from steadyrest.stations.mill.removal.outline import HALVINGS, Outline, admits, labelled, outline_of
from steadyrest.stations.mill.removal.reached import Portion, reached_by
from steadyrest.stations.mill.removal.slabs import Slab
from steadyrest.stations.mill.taking import Layer, Take
from steadyrest.tables.practice import rule

# A round cutter in a square corner leaves a spot whose largest circle is (sqrt(2) - 1)^2 of its radius.
CORNER = (math.sqrt(2.0) - 1.0) ** 2


@dataclass(frozen=True, slots=True)
class SetUpCells:
    """One set-up's cells, nearest layer first: what stays, what is stock, its slabs, and the free rim round them.

    high: (ny, nx) first layer of each column that stays.
    """

    finished: BoolArray
    high: IntArray
    stock: BoolArray
    slabs: tuple[Slab, ...]
    pitch_mm: float
    rim: int


@dataclass(frozen=True, slots=True)
class Taken:
    """What a set-up takes away.

    takes: by cutter, in the order of work. left: (nz, ny, nx) stock after it. last: the last cutter; None where there
    is nothing to take. corners: it leaves its radius in inner corners.
    """

    takes: tuple[Take, ...]
    left: BoolArray
    last: Tool | None
    corners: bool


def taken_by(cells: SetUpCells, cutters: Sequence[Tool], *, corner_mm: float | None) -> Taken:
    """Takes a set-up's material with the cutters there are.

    Args:
        cells: of the set-up, what is faced off already gone.
        cutters: flat ended, any order.
        corner_mm: smallest radius of an upright inner corner that the part shows from here, or None.
    Returns: takes, what is left.
    """
    ways = {tool.number: reached_by(cells.slabs, tool, pitch_mm=cells.pitch_mm, rim=cells.rim) for tool in cutters}
    volume = {tool.number: _count(cells.stock, ways[tool.number]) for tool in cutters}
    falling = sorted((tool for tool in cutters if volume[tool.number]), key=lambda t: (-t.diameter_mm, t.length_mm))
    if not falling:
        return Taken((), cells.stock, None, False)
    chosen = _chosen(cells, falling, ways, volume, corner_mm)
    left = cells.stock.copy()
    takes: list[Take] = []
    for tool in chosen:
        take = _take(cells, left, tool, ways[tool.number], rests=bool(takes), asked=tool is chosen[-1])
        if take is not None:
            takes.append(take)
    _without_steps(cells, left, ways[chosen[-1].number])
    last = takes[-1].tool if takes else None
    return Taken(tuple(takes), left, last, last is not None and _leaves_corners(cells, left, last))


def _leaves_corners(cells: SetUpCells, left: BoolArray, last: Tool) -> bool:
    """Whether spots are left in the open space that are about as large as what this cutter leaves in a corner."""
    radius = last.diameter_mm / 2.0 / cells.pitch_mm
    area = (1.0 - math.pi / 4.0) * radius * radius
    for slab in cells.slabs:
        labels, count = labelled(left[slab.last - 1] & ~slab.shut)
        size = np.bincount(labels.ravel(), minlength=count + 1)
        for spot in np.flatnonzero((size >= max(0.25 * area, 3.0)) & (size <= 2.5 * area)):
            # A seam along a wall is thin; a corner's spot runs along both its walls.
            rows, columns = np.nonzero(labels == spot)
            short = min(int(np.ptp(rows)), int(np.ptp(columns))) + 1
            if spot and short >= max(0.2 * radius, 2.0):
                return True
    return False


def _count(stock: BoolArray, portions: list[Portion]) -> int:
    return sum(int(np.count_nonzero(stock[p.first : p.last] & p.reached)) for p in portions)


def _chosen(
    cells: SetUpCells,
    falling: list[Tool],
    ways: dict[int, list[Portion]],
    volume: dict[int, int],
    corner_mm: float | None,
) -> list[Tool]:
    """First the largest that takes much of it, last the largest that leaves nothing but corners; one between if far."""
    most = _all_reached(falling, ways)
    most_mm = math.inf if corner_mm is None else corner_mm
    while True:
        allowed = [t for t in falling if t.diameter_mm <= 2.0 * most_mm + 1e-6] or [falling[-1]]
        good = (tool for tool in allowed if _leaves_only_corners(cells, tool, ways[tool.number], most))
        last = next(good, None) or max(allowed, key=lambda t: (volume[t.number], t.diameter_mm))
        # Corners that the drawing leaves sharp keep a radius; not a larger one than is usual.
        usual_mm = rule("sharp_corner_mm")
        if most_mm <= usual_mm or not _leaves_some(cells, last, ways[last.number], most):
            break
        most_mm = usual_mm
    whole = max(volume.values())
    worth = rule("first_cutter_share")
    first = next((t for t in falling if t.diameter_mm >= last.diameter_mm and volume[t.number] >= worth * whole), last)
    if first.diameter_mm <= last.diameter_mm:
        return [last]
    between = math.sqrt(first.diameter_mm * last.diameter_mm)
    steps = [t for t in falling if last.diameter_mm < t.diameter_mm < first.diameter_mm]
    if first.diameter_mm > rule("cutter_step") * last.diameter_mm and steps:
        return [first, min(steps, key=lambda t: (abs(t.diameter_mm - between), t.number)), last]
    return [first, last]


def _all_reached(tools: list[Tool], ways: dict[int, list[Portion]]) -> dict[int, BoolArray]:
    """By slab's first layer: what any cutter reaches at its lowest layer."""
    found: dict[int, BoolArray] = {}
    for tool in tools:
        for portion in ways[tool.number]:
            if portion.last == portion.slab.last:
                first = portion.slab.first
                found[first] = found[first] | portion.reached if first in found else portion.reached
    return found


def _leaves_only_corners(cells: SetUpCells, tool: Tool, way: list[Portion], most: dict[int, BoolArray]) -> bool:
    """Whether what a cutter leaves, of what others reach, is no thicker anywhere than its corner in a square."""
    reached = {portion.slab.first: portion.reached for portion in way if portion.last == portion.slab.last}
    allowed = CORNER * tool.diameter_mm / 2.0 / cells.pitch_mm + 1.5
    for slab in cells.slabs:
        if slab.first not in most:
            continue
        left = most[slab.first] & cells.stock[slab.last - 1]
        if slab.first in reached:
            left = left & ~reached[slab.first]
        if left.any() and distance_sq(~np.pad(left, 1)).max() > allowed * allowed:
            return False
    return True


def _leaves_some(cells: SetUpCells, tool: Tool, way: list[Portion], most: dict[int, BoolArray]) -> bool:
    """Whether a cutter leaves corners that a smaller one would reach."""
    radius = tool.diameter_mm / 2.0 / cells.pitch_mm
    for portion in way:
        if portion.last == portion.slab.last and portion.slab.first in most:
            left = most[portion.slab.first] & cells.stock[portion.last - 1] & ~portion.reached
            if _spots(left) and _in_corners(left, radius):
                return True
    return False


def _in_corners(left: BoolArray, radius: float) -> bool:
    """Whether a spot is as large as a round cutter leaves in a sharp corner; a wavy wall's are smaller.

    radius: of the cutter, in cells.
    """
    labels, count = labelled(left)
    size = np.bincount(labels.ravel(), minlength=count + 1)
    area = (1.0 - math.pi / 4.0) * radius * radius
    for spot in np.flatnonzero(size >= max(0.5 * area, 4.0)):
        rows, columns = np.nonzero(labels == spot)
        if spot and min(int(np.ptp(rows)), int(np.ptp(columns))) + 1 >= max(0.3 * radius, 2.0):
            return True
    return False


def _spots(left: BoolArray) -> bool:
    """Whether cells hang together in a spot, more than a seam that rounding leaves."""
    return bool((left[:-1, :-1] & left[1:, :-1] & left[:-1, 1:] & left[1:, 1:]).any())


def _take(
    cells: SetUpCells, left: BoolArray, tool: Tool, portions: list[Portion], *, rests: bool, asked: bool
) -> Take | None:
    """What a cutter takes of what is left, which loses it; asked: the last, for its corners."""
    area = cells.pitch_mm * cells.pitch_mm
    layers: list[Layer] = []
    taken = deepest = floor = slope = 0
    for portion in portions:
        part = left[portion.first : portion.last]
        new = part & portion.reached
        count = int(np.count_nonzero(new))
        flat = np.asarray(new.any(axis=0))
        # A thin seam of cells that rounding left beside a wall is no work for a smaller cutter.
        if count == 0 or (rests and not asked and not _spots(flat)):
            continue
        flat_cells, sloped_cells = _ground(cells, portion, new[-1])
        floor, slope = floor + flat_cells, slope + sloped_cells
        part &= ~portion.reached
        taken += count
        deepest = portion.last
        shape = outline_of(flat, portion.slab.standing, np.asarray(part.any(axis=0)))
        layers.append(_layer(cells, portion, shape, tool, area_mm2=count * area / (portion.last - portion.first)))
    if not taken:
        return None
    top = next(slab.first for slab in cells.slabs if slab.standing.any() or slab.last == cells.slabs[-1].last)
    reach_mm = min(max((deepest - top) * cells.pitch_mm, 0.0), tool.reach_mm)
    volume = taken * area * cells.pitch_mm
    return Take(tool, tuple(layers), floor * area, volume, reach_mm, slope * area, rests)


def _layer(cells: SetUpCells, portion: Portion, shape: Outline, tool: Tool, *, area_mm2: float) -> Layer:
    pitch = cells.pitch_mm
    # An area open to the air is cut in rows, which ask for no way's width: no need to look for the narrowest.
    halvings = HALVINGS if shape.open_share < 0.5 else 0
    across = admits(
        shape.labels > 0, portion.slab.far_sq, cells.rim, least=tool.diameter_mm / 2.0 / pitch, halvings=halvings
    )
    narrowest = max(2.0 * across * pitch - pitch, tool.diameter_mm)
    regions = max(shape.regions, 1)
    return Layer(
        depth_mm=(portion.last - portion.first) * pitch,
        area_mm2=area_mm2,
        wall_mm=shape.wall * pitch,
        open_share=shape.open_share,
        regions=regions,
        narrowest_mm=narrowest,
        top_mm=portion.first * pitch,
        around_mm=shape.around * pitch,
        corners=max(4 * regions + shape.outer - 4 * shape.islands, 0),
        outer=shape.outer,
        islands=shape.islands,
    )


def _ground(cells: SetUpCells, portion: Portion, new: BoolArray) -> tuple[int, int]:
    """Cells of flat floor and of sloping ground that a cutter comes down to, seen from the spindle."""
    if portion.last >= cells.finished.shape[0]:
        return 0, 0
    ground = cells.finished[portion.last] & new & ~portion.slab.standing
    near = ground.copy()
    for axis in (0, 1):
        for shift in (-1, 1):
            near &= np.roll(ground | portion.slab.standing, shift, axis=axis)
    solid = int(np.count_nonzero(ground))
    # Where most of the ground at a level has only itself or walls beside it, it is a floor; rings are a slope.
    return (solid, 0) if int(np.count_nonzero(near)) >= 0.5 * solid else (0, solid)


def _without_steps(cells: SetUpCells, left: BoolArray, portions: list[Portion]) -> None:
    """Take the steps off that a slab's lowest layer leaves above it on sloping ground: finishing does that."""
    for portion in portions:
        for layer in range(portion.first, portion.last):
            left[layer] &= ~(portion.slab.standing & (cells.high > layer))
