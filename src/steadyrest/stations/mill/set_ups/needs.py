"""From which sides each feature can be made: by the drill's axis, or by the empty cell in front of it.

A feature that a cutter leaves is looked at through a cell that must become empty: at a pocket's floor, in front of a
face, beside a boss. Whoever empties that cell has made the feature.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from steadyrest.shop.part import Feature, Vec3
from steadyrest.stations.mill.removal.cells import SIDES, ByteArray, Cells, direction, sides_along
from steadyrest.stations.mill.removal.slanted import sees, way_open
from steadyrest.stations.sizes import value_mm

Way = Literal["hole", "cells", "edge", "stays", "along"]
# What a tilted spindle is set to; rounded and free surfaces would be followed with all axes at once.
AT_A_SLANT = ("face", "pocket", "slot", "flat", "bore", "keyway")
EDGE_COS = 0.3  # a chamfer's tool comes from where it sees this much of it
RINGS = (0.0, 1.5, 3.0, 5.0, 8.0, 12.0, 18.0, 27.0, 40.0, 60.0, 90.0)  # cells from a face's middle


@dataclass(frozen=True, slots=True)
class Need:
    """How a feature is made: drilled from a side, by emptying a cell, as a broken edge, along with what it joins, or
    not at all, for it stays as the stock comes.

    sides: bits of the sides from which. slant: unit vectors out of the part, for what no side looks along or sees.
    cell: to be emptied. both: drilled half way from either of its sides.
    """

    feature: Feature
    way: Way
    sides: int
    cell: tuple[int, int, int] | None = None
    slant: tuple[Vec3, ...] = ()
    both: bool = False


def needs_of(
    cells: Cells,
    seen: ByteArray,
    open_: ByteArray,
    features: Sequence[Feature],
    drilled: frozenset[str],
    both: frozenset[str] = frozenset(),
) -> tuple[Need, ...]:
    """What each feature needs.

    Args:
        cells: part and blank, drilled holes filled.
        seen: from which sides each empty cell is seen.
        open_: the same with the drilled holes open, which a longer drill goes through.
        features: of the part.
        drilled: ids of holes that are made along their axis: drilled, reamed, bored.
        both: of these, those that are too deep from one side.
    Returns: one need a feature.
    """
    needs = (_need(cells, seen, open_, feature, drilled) for feature in features)
    return tuple(replace(need, both=need.sides.bit_count() == 2) if need.feature.id in both else need for need in needs)


def _need(cells: Cells, seen: ByteArray, open_: ByteArray, feature: Feature, drilled: frozenset[str]) -> Need:
    if feature.id in drilled:
        return _hole(cells, open_, feature)
    if feature.kind in ("chamfer", "thread") or (feature.kind == "cone" and feature.inside):
        if feature.kind == "chamfer":
            return Need(feature, "edge", bits(sides_along(cells, feature.axis, cos=EDGE_COS)))
        both = (*sides_along(cells, feature.axis), *sides_along(cells, back(feature.axis)))
        slant = () if both else (feature.axis, back(feature.axis))
        return Need(feature, "edge", bits(both), slant=slant)
    cell = _front(cells, feature)
    if isinstance(cell, str):
        return Need(feature, cell, (1 << SIDES) - 1)
    sides = int(seen[cell])
    slant = () if sides or feature.kind not in AT_A_SLANT else _slants(cells, feature, cell)
    return Need(feature, "cells", sides, cell, slant)


def _slants(cells: Cells, feature: Feature, cell: tuple[int, int, int]) -> tuple[Vec3, ...]:
    """Directions in which what no side sees is open: its own first, else the one that leans least from a side."""
    own = dict.fromkeys((feature.axis, back(feature.axis), *feature.reached_from))
    frame = cells.grid.frame
    found = [way for way in own if sees(cells.finished, cell, _within(frame, way))]
    if found:
        return tuple(found)
    way = way_open(cells.finished, cell)
    if way is None:
        return ()
    x, y, z = (sum(way[k] * frame[k][n] for k in range(3)) for n in range(3))
    return ((x, y, z),)


def _within(frame: tuple[Vec3, Vec3, Vec3], way: Vec3) -> Vec3:
    """A direction of the file's frame along the cells' own three."""
    return dot(frame[0], way), dot(frame[1], way), dot(frame[2], way)


def _hole(cells: Cells, open_: ByteArray, feature: Feature) -> Need:
    """A hole is made along its axis from where nothing stands before its mouth."""
    ways = [axis for axis in (feature.axis, back(feature.axis)) if feature.through or _opens(feature, axis)]
    sides: list[int] = []
    for way in ways:
        for side in sides_along(cells, way):
            mouth = _mouth(cells, feature, direction(cells, side))
            if not cells.holds(mouth) or open_[mouth] & (1 << side):
                sides.append(side)
    slant = () if any(sides_along(cells, way) for way in ways) else tuple(ways)
    return Need(feature, "hole", bits(sides), slant=slant)


def _opens(feature: Feature, way: Vec3) -> bool:
    """Whether a blind hole opens this way; where nobody said, against its axis, which runs into the part."""
    if feature.reached_from:
        return any(dot(way, one) > 0.99 for one in feature.reached_from)
    return dot(way, feature.axis) < 0


def _mouth(cells: Cells, feature: Feature, way: Vec3) -> tuple[int, int, int]:
    """The cell just out of a hole's mouth on its axis."""
    depth = value_mm(feature, "depth_mm") or value_mm(feature, "length_mm") or 0.0
    out = depth / 2.0 + 1.5 * cells.pitch_mm
    return cells.cell(plus(feature.at_mm, way, out))


def _front(cells: Cells, feature: Feature) -> tuple[int, int, int] | Literal["stays", "along"]:
    """An empty cell right in front of a feature's surface; or that this is the stock's own, or that there is none."""
    if feature.kind == "fillet" and feature.inside and (out := _corner(cells, feature)) is not None:
        # A corner is judged by its radius; here only whether a cutter comes to its middle.
        inner = cells.cell(plus(feature.at_mm, out, -max(value_mm(feature, "radius_mm") or 0.0, 1.2 * cells.pitch_mm)))
        if cells.holds(inner) and not cells.finished[inner]:
            return inner
    for point, way in _looks(cells, feature):
        behind, before = (
            cells.cell(plus(point, way, -1.5 * cells.pitch_mm)),
            cells.cell(plus(point, way, 1.2 * cells.pitch_mm)),
        )
        if not cells.holds(behind) or not cells.finished[behind]:
            continue
        if not cells.holds(before):
            return "stays"
        if not cells.finished[before]:
            return before
    inside = cells.cell(feature.at_mm)
    return inside if cells.holds(inside) and not cells.finished[inside] else "along"


def _looks(cells: Cells, feature: Feature) -> Iterator[tuple[Vec3, Vec3]]:
    """Points on a feature's surface, and the way out of the material there."""
    across, beside = frame_about(feature.axis)
    turns = [2.0 * math.pi * k / 8.0 for k in range(8)]
    if feature.kind in ("boss", "bore", "fillet") and feature.sizes:
        size = value_mm(feature, "radius_mm") or (value_mm(feature, "diameter_mm") or 0.0) / 2.0
        for turn in turns:
            out = plus(scaled(across, math.cos(turn)), beside, math.sin(turn))
            if feature.kind == "boss":
                yield plus(feature.at_mm, out, size), out
            else:
                yield plus(feature.at_mm, out, size), back(out)
                yield feature.at_mm, out
        return
    ways = (
        [feature.axis]
        if feature.kind in ("face", "pocket", "flat")
        else [feature.axis, back(feature.axis), across, back(across), beside, back(beside)]
    )
    for ring in RINGS:
        for turn in turns if ring else (0.0,):
            off = plus(scaled(across, math.cos(turn)), beside, math.sin(turn))
            point = plus(feature.at_mm, off, ring * cells.pitch_mm)
            for way in ways:
                yield point, way


def upright(cells: Cells, feature: Feature) -> bool:
    """Whether an inner rounding runs straight along its axis, as in a pocket's corner, and not round its floor.

    Args:
        cells: part and blank.
        feature: a fillet.
    Returns: whether it does.
    """
    return _corner(cells, feature) is not None


def _corner(cells: Cells, feature: Feature) -> Vec3 | None:
    """The way from an upright inner rounding's middle into the material; None where it is none."""
    across, beside = frame_about(feature.axis)
    pitch = cells.pitch_mm
    radius = value_mm(feature, "radius_mm") or pitch
    # Its length follows from its area as a quarter round; looked at well inside of its ends.
    away = min(2.0 * pitch, 0.35 * feature.area_mm2 / (0.5 * math.pi * radius))
    ways: list[Vec3] = []
    for k in range(16):
        turn = 2.0 * math.pi * k / 16.0
        out = plus(scaled(across, math.cos(turn)), beside, math.sin(turn))
        if all(_between(cells, plus(feature.at_mm, feature.axis, along), out) for along in (-away, away)):
            ways.append(out)
    if not ways:
        return None
    mean = (sum(way[0] for way in ways), sum(way[1] for way in ways), sum(way[2] for way in ways))
    long = math.sqrt(dot(mean, mean))
    return scaled(mean, 1.0 / long) if long > 0.5 else None


def _between(cells: Cells, point: Vec3, out: Vec3) -> bool:
    """Whether a point lies on the part's surface: material behind it, none before it."""
    behind = cells.cell(plus(point, out, 1.5 * cells.pitch_mm))
    before = cells.cell(plus(point, out, -1.2 * cells.pitch_mm))
    if not (cells.holds(behind) and cells.holds(before)):
        return False
    return bool(cells.finished[behind]) and not cells.finished[before]


def bits(sides: Sequence[int]) -> int:
    """Sides as bits."""
    found = 0
    for side in sides:
        found |= 1 << side
    return found


def frame_about(axis: Vec3) -> tuple[Vec3, Vec3]:
    """Two unit vectors square to an axis and to each other."""
    x, y, z = axis
    rough = (1.0, 0.0, 0.0) if abs(x) < 0.8 else (0.0, 1.0, 0.0)
    first = (y * rough[2] - z * rough[1], z * rough[0] - x * rough[2], x * rough[1] - y * rough[0])
    long = math.sqrt(dot(first, first)) or 1.0
    a = scaled(first, 1.0 / long)
    return a, (y * a[2] - z * a[1], z * a[0] - x * a[2], x * a[1] - y * a[0])


def dot(a: Vec3, b: Vec3) -> float:
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]


def plus(a: Vec3, way: Vec3, length: float) -> Vec3:
    return a[0] + way[0] * length, a[1] + way[1] * length, a[2] + way[2] * length


def scaled(a: Vec3, length: float) -> Vec3:
    return a[0] * length, a[1] * length, a[2] * length


def back(a: Vec3) -> Vec3:
    return -a[0], -a[1], -a[2]
