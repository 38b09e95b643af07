"""How worn a feature is, as a step of the pictures, and where along the part."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from steadyrest.papers.drawing import ink
from steadyrest.papers.drawing.turned_view import WEAR_FROM_MM
from steadyrest.shop.part import Part, Stretch


def step_of(part: Part, feature: str | None) -> int:
    """The step of a feature's wear, 1 to 5, or 0 where it is not worn.

    Args:
        part: with its features.
        feature: its id, or None.
    Returns: a step of `ink.wear_step`, or 0.
    """
    worn = next((f.wear_mm or 0.0 for f in part.features if f.id == feature), 0.0)
    return ink.wear_step(worn) if worn >= WEAR_FROM_MM else 0


def by_wear(stretch: Stretch, part: Part) -> Iterator[tuple[Stretch, int]]:
    """A stretch in up to three: before, along, and after what is worn.

    Args:
        stretch: of the outside or the inside.
        part: with its features.
    Returns: pieces from end to end, each with the step of its wear, or 0.
    """
    step = step_of(part, stretch.feature)
    if step == 0 or stretch.length_mm <= 0:
        yield stretch, 0
        return
    worn = part.feature(stretch.feature or "").wear_along_mm or (stretch.from_mm, stretch.to_mm)
    low, high = (min(max(end, stretch.from_mm), stretch.to_mm) for end in worn)
    edges = sorted({stretch.from_mm, low, high, stretch.to_mm})
    slope = (stretch.diameter_to_mm - stretch.diameter_from_mm) / stretch.length_mm
    for a, b in pairwise(edges):
        start, end = (stretch.diameter_from_mm + slope * (x - stretch.from_mm) for x in (a, b))
        yield Stretch(a, b, start, end, stretch.feature), step if low <= (a + b) / 2 <= high else 0
