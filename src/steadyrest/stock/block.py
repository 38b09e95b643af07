"""What a block must be: the part's box with what comes off each side, and which faces may stay as the stock comes.

A part that is milled lies in its blank as its frame says (Part.frame); any of its three axes may lie along the bar.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import lru_cache

from steadyrest.measure.limits import own_limits
from steadyrest.shop.floor import Habits
from steadyrest.shop.part import Part, Vec3
from steadyrest.shop.same import Same
from steadyrest.shop.work import Blank
from steadyrest.stock.section import ROOT3
from steadyrest.tables.general_tolerances import general_tolerance_mm
from steadyrest.tables.practice import rule

SAME_MM = 0.05
Axes = tuple[int, int, int]
WAYS_TO_LIE: tuple[Axes, ...] = ((0, 1, 2), (0, 2, 1), (1, 0, 2), (1, 2, 0), (2, 0, 1), (2, 1, 0))


@dataclass(frozen=True, slots=True)
class BlockNeed:
    """How a part lies in its blank.

    part_mm: the finished box along the blank's length, width and thickness. length_mm: the blank is cut to it.
    axes, as_stock: as in Blank. side_mm: what comes off each milled side. ends_mm: off each sawn end.
    """

    part_mm: Vec3
    length_mm: float
    axes: Axes
    as_stock: tuple[str, ...]
    side_mm: float
    ends_mm: float


def box_mm(blank: Blank) -> Vec3:
    """How far a blank reaches along the three axes of its part's frame.

    Args:
        blank: of any shape; of a round one its square counts, of a hexagon the rectangle about it.
    Returns: mm along frame axes 0, 1, 2.
    """
    width = blank.size_mm[0] * 2.0 / ROOT3 if blank.shape == "hexagon" else blank.size_mm[0]
    along = (blank.length_mm, width, blank.size_mm[-1])
    found = [0.0, 0.0, 0.0]
    for axis, length in zip(blank.axes, along, strict=True):
        found[axis] = length
    return found[0], found[1], found[2]


def side_mm(condition: str) -> float:
    """What must come off a side of flat, square or block so that it cleans up.

    Args:
        condition: as in Piece, or "sawn".
    Returns: mm on each side.
    """
    if condition == "sawn":
        return rule("block_sawn_mm")
    return rule("block_rolled_mm") if condition == "hot rolled" else rule("block_bright_mm")


def part_limits_mm(part: Part, axis: int) -> tuple[float, float]:
    """How large the part's box may be along an axis of its frame: its own limits, else the general tolerance.

    Args:
        part: with features.
        axis: 0, 1 or 2.
    Returns: smallest and largest, mm.
    """
    return _part_limits_mm(Same(part), axis)


@lru_cache(maxsize=64)  # every section of every metal store asks it of the same part
def _part_limits_mm(of: Same[Part], axis: int) -> tuple[float, float]:
    part = of.it
    size = part.size_mm[axis]
    for feature in part.features:
        for one in feature.sizes:
            nominal = one.nominal
            own = own_limits(nominal)
            if nominal is not None and own is not None and abs(nominal.value - size) <= SAME_MM:
                return own
    off = general_tolerance_mm(size) or 0.0
    return size - off, size + off


def lies(
    part: Part,
    section_mm: tuple[float, float],
    *,
    condition: str,
    habits: Habits,
    off_mm: tuple[tuple[float, float], tuple[float, float]] | None,
) -> BlockNeed | None:
    """The shortest way for a part to lie in bar of a rectangular section, or None where none goes.

    Args:
        part: its box.
        section_mm: width and thickness of the bar.
        condition: of its surface.
        habits: what is faced off each sawn end.
        off_mm: the bar's smallest and largest width, and thickness, as sold; None where its surface must come off.
    Returns: how it lies.
    """
    found = list(_ways(part, section_mm, condition=condition, habits=habits, off_mm=off_mm))
    return min(found, key=lambda way: (way.length_mm, way.axes), default=None)


def _ways(
    part: Part,
    section_mm: tuple[float, float],
    *,
    condition: str,
    habits: Habits,
    off_mm: tuple[tuple[float, float], tuple[float, float]] | None,
) -> Iterator[BlockNeed]:
    side = side_mm(condition) + part.noise_mm
    for axes in WAYS_TO_LIE:
        length, width, thickness = (part.size_mm[axis] for axis in axes)
        stays: list[str] = []
        fits = True
        for name, axis, wanted, has, n in (
            ("width", axes[1], width, section_mm[0], 0),
            ("thickness", axes[2], thickness, section_mm[1], 1),
        ):
            if off_mm is not None and _may_stay(part, axis, has, off_mm[n]):
                stays.append(name)
            elif has < wanted + 2.0 * side - 1e-9:
                fits = False
        if fits:
            yield BlockNeed(
                (length, width, thickness), length + 2.0 * habits.facing_mm, axes, tuple(stays), side, habits.facing_mm
            )


def _may_stay(part: Part, axis: int, has_mm: float, off_mm: tuple[float, float]) -> bool:
    """Whether stock of this size, sold within these limits, may stay: same size, its limits inside the part's."""
    if part.kind == "scan" or abs(has_mm - part.size_mm[axis]) > SAME_MM:
        return False
    low, high = part_limits_mm(part, axis)
    return off_mm[0] >= low - 1e-9 and off_mm[1] <= high + 1e-9


def in_round(part: Part, diameter_mm: float, *, condition: str, habits: Habits) -> BlockNeed | None:
    """The shortest way for a part to lie in round bar, corners clear of its skin; None where none goes.

    Args:
        part: its box.
        diameter_mm: of the bar.
        condition: of its surface.
        habits: what is faced off each sawn end.
    Returns: how it lies.
    """
    room = diameter_mm - 2.0 * (side_mm(condition) + part.noise_mm)
    return _shortest(part, habits, condition, lambda width, thickness: math.hypot(width, thickness) <= room + 1e-9)


def in_hexagon(part: Part, flats_mm: float, *, condition: str, habits: Habits) -> BlockNeed | None:
    """The shortest way for a part to lie in hexagon bar, its thickness between two flats; None where none goes.

    Args:
        part: its box.
        flats_mm: across the flats.
        condition: of its surface.
        habits: what is faced off each sawn end.
    Returns: how it lies.
    """
    room = flats_mm - 2.0 * (side_mm(condition) + part.noise_mm)

    def goes(width: float, thickness: float) -> bool:
        # Half the hexagon's breadth at half the thickness from its middle.
        return thickness <= room + 1e-9 and width / 2.0 <= (room - thickness / 2.0) / ROOT3 + 1e-9

    return _shortest(part, habits, condition, goes)


def _shortest(part: Part, habits: Habits, condition: str, goes: Callable[[float, float], bool]) -> BlockNeed | None:
    ends, side = habits.facing_mm, side_mm(condition) + part.noise_mm
    found: list[BlockNeed] = []
    for axes in WAYS_TO_LIE:
        length, width, thickness = (part.size_mm[axis] for axis in axes)
        if goes(width, thickness):
            found.append(BlockNeed((length, width, thickness), length + 2.0 * ends, axes, (), side, ends))
    return min(found, key=lambda way: (way.length_mm, way.axes), default=None)


def cut_to_size(part: Part) -> tuple[BlockNeed, tuple[float, float]]:
    """The block to order sawn to size, before its thickness is rounded up to plate.

    Args:
        part: its box.
    Returns: how it lies, and the width and thickness to ask for.
    """
    sawn, rolled = side_mm("sawn") + part.noise_mm, side_mm("hot rolled") + part.noise_mm
    length, width, thickness = part.size_mm
    wants = BlockNeed((length, width, thickness), math.ceil(length + 2.0 * sawn - 1e-9), (0, 1, 2), (), sawn, sawn)
    return wants, (math.ceil(width + 2.0 * sawn - 1e-9), thickness + 2.0 * rolled)
