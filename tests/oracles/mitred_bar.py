"""A bar with mitred parts drawn as outlines: what is too near, what sticks out, what is left. By another library.

Plain values only; slopes as the answer gives them: how far a cut runs along the bar to a mm across it.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from shapely.geometry import Polygon

Step = tuple[float, float, float, float]  # from, to (middle line), slope at the left, at the right


def outline(step: Step, deep_mm: float) -> Polygon:
    """A part on the bar."""
    start, end, left, right = step
    half = deep_mm / 2
    return Polygon(
        [
            (start - left * half, half), (end - right * half, half), (end + right * half, -half),
            (start + left * half, -half),
        ]
    )  # fmt: skip


def faults(
    steps: Sequence[Step], *, deep_mm: float, kerf_mm: float, trim_mm: float, length_mm: float, rest_mm: float
) -> Iterator[str]:
    """All that is wrong with a bar."""
    shapes = [outline(step, deep_mm) for step in steps]
    for k, shape in enumerate(shapes):
        if not shape.is_valid or shape.area <= 0:
            yield f"part {k} is none"
        if shape.bounds[0] < trim_mm - 1e-6:
            yield f"part {k} begins in the trim"
        for other in shapes[:k]:
            if shape.distance(other) < kerf_mm - 1e-6:
                yield f"part {k} is {shape.distance(other)} from another; the kerf is {kerf_mm}"
    if steps:
        cut = kerf_mm / math.cos(math.atan(abs(steps[-1][3])))
        after = max(shape.bounds[2] for shape in shapes) + cut
        if abs(length_mm - after - rest_mm) > 1e-4:
            yield f"the rest is {length_mm - after}, not {rest_mm}"


def over_points(step: Step, deep_mm: float) -> float:
    """A part's length over its longest points."""
    x0, _, x1, _ = outline(step, deep_mm).bounds
    return x1 - x0
