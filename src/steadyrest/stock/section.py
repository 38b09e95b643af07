"""The section of bar: its area by shape."""

from __future__ import annotations

import math

ROOT3 = math.sqrt(3.0)


def section_mm2(shape: str, size_mm: tuple[float, ...]) -> float:
    """Area of a bar's section.

    Args:
        shape: as in Piece, or "block".
        size_mm: as in Piece.
    Returns: mm2.
    Raises: ValueError: a shape that is not known.
    """
    first = size_mm[0]
    match shape:
        case "round":
            return math.pi / 4.0 * first**2
        case "hexagon":
            return ROOT3 / 2.0 * first**2
        case "square":
            return first**2
        case "flat" | "plate" | "block":
            return first * size_mm[1]
        case "tube":
            return math.pi * size_mm[1] * (first - size_mm[1])
        case _:
            raise ValueError(f"section_mm2: shape {shape!r}")
