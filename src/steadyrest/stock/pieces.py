"""What a piece on the floor weighs, and whether a size could come out of it, by its shape alone.

Rolled angles, channels and beams are taken with sharp corners: a few parts in a hundred light. No allowance for
cleaning up is in it: blank choice (choice.py) adds that.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from steadyrest.stock.section import section_mm2

# How many sizes a shape has besides its length, in the order in which they are said.
SIZES = {
    "round": ("diameter",), "square": ("side",), "hexagon": ("across flats",), "flat": ("width", "thickness"),
    "tube": ("outside", "wall"), "angle": ("leg", "other leg", "thickness"),
    "channel": ("height", "width", "web", "flange"), "beam": ("height", "width", "web", "flange"),
    "plate": ("width", "thickness"), "sheet": ("width", "thickness"), "block": ("width", "height"),
    "casting": ("width", "height"),
}  # fmt: skip


THINNEST_MM, WIDEST_MM = 0.01, 20_000.0


def area_mm2(shape: str, size_mm: tuple[float, ...]) -> float:
    """Area of a piece's section; of a casting, of the box around it.

    Args:
        shape: one of SIZES.
        size_mm: its sizes.
    Returns: mm2.
    """
    match shape, size_mm:
        case "angle", (a, b, t):
            return (a + b - t) * t
        case (("channel" | "beam"), (high, wide, web, flange)):
            return 2.0 * wide * flange + (high - 2.0 * flange) * web
        case (("sheet" | "casting"), (a, b)):
            return a * b
        case _:
            return section_mm2(shape, size_mm)


def bounded_mm2(corners_mm: Sequence[tuple[float, float]]) -> float:
    """Area within corners given in order, either way round."""
    pairs = zip(corners_mm, [*corners_mm[1:], corners_mm[0]], strict=True)
    return abs(sum(a[0] * b[1] - b[0] * a[1] for a, b in pairs)) / 2.0


def possible(shape: str, size_mm: tuple[float, ...]) -> str:
    """What is wrong with a piece's sizes; "" for nothing."""
    wanted = SIZES[shape]
    if len(size_mm) != len(wanted):
        return f"a {shape} has {len(wanted)} sizes besides its length: {', '.join(wanted)}"
    if not all(math.isfinite(x) and THINNEST_MM <= x <= WIDEST_MM for x in size_mm):
        return "each size has to be from 0.01 mm to 20 m"
    match shape, size_mm:
        case "tube", (outside, wall):
            return "" if wall < outside / 2 else "the wall is half the outside or more"
        case "angle", (a, b, t):
            return "" if t < min(a, b) else "the thickness is as much as a leg"
        case (("channel" | "beam"), (high, wide, web, flange)):
            return "" if web < wide and 2 * flange < high else "web and flange leave no room"
        case _:
            return ""


def could_yield(shape: str, size_mm: tuple[float, ...], length_mm: float, wanted_mm: tuple[float, ...]) -> bool:
    """Whether a size could come out of a piece.

    Args:
        shape, size_mm, length_mm: the piece.
        wanted_mm: (diameter, length) of a round, or (width, height, length) of a box, in any order.
    Returns: whether it fits; a tube, angle, channel, beam or casting yields its own metal only where the wall is thick
        enough, which is not tried here: no.
    """
    if len(wanted_mm) == 2:
        d, long = wanted_mm
        if shape == "round":
            return d <= size_mm[0] and long <= length_mm
        if shape in ("square", "hexagon"):
            return d <= size_mm[0] and long <= length_mm
        if shape in ("flat", "plate", "sheet", "block"):
            return box_in_box((d, d, long), (*size_mm, length_mm))
        return False
    if shape == "round":
        a, b, long = sorted(wanted_mm)
        ways = ((a, b, long), (a, long, b), (b, long, a))
        return any(math.hypot(x, y) <= size_mm[0] and z <= length_mm for x, y, z in ways)
    if shape == "square":
        return box_in_box(wanted_mm, (size_mm[0], size_mm[0], length_mm))
    if shape == "hexagon":
        # The largest square in a hexagon: side (3 - sqrt 3) of its side, which is across flats over sqrt 3.
        side = size_mm[0] * (math.sqrt(3.0) - 1.0)
        return box_in_box(wanted_mm, (side, side, length_mm))
    if shape in ("flat", "plate", "sheet", "block"):
        return box_in_box(wanted_mm, (*size_mm, length_mm))
    return False


def box_in_box(wanted_mm: tuple[float, ...], here_mm: tuple[float, ...]) -> bool:
    """Whether one box fits into another, edges along edges."""
    return all(a <= b for a, b in zip(sorted(wanted_mm), sorted(here_mm), strict=True))
