"""Which closed line lies in which: an outside, a cut-out in it, a part in the cut-out, and so on."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from steadyrest.part.flat.chains import Loop, leftward
from steadyrest.part.flat.curve import Points, box_of, loop_area, polygon, turned_round

ASKED = 24  # corners of a line that are asked whether they lie inside


@dataclass(frozen=True, slots=True)
class Nested:
    """A closed line with material on its left. body: number of the part that it belongs to, largest part first."""

    loop: Loop
    inside: bool
    body: int


def nested(loops: Sequence[Loop], tolerance: float) -> tuple[Nested, ...]:
    """Closed lines by their depth: even is an outside, odd a cut-out in the line that holds it.

    Args:
        loops: that do not cross (where they do, most of a line's corners decide).
        tolerance: of chords for arcs.
    Returns: outsides and cut-outs, each part's outside before its cut-outs, larger parts first.
    """
    order = sorted(range(len(loops)), key=lambda k: (-abs(loop_area(loops[k])), box_of(loops[k])))
    loops = [leftward(loops[k]) for k in order]
    boxes = np.array([box_of(loop) for loop in loops]).reshape(-1, 4)
    corners = [polygon(loop, tolerance) for loop in loops]
    depth: list[int] = []
    parent: list[int] = []
    for k in range(len(loops)):
        holds = np.flatnonzero(
            (boxes[:k, :2] <= boxes[k, :2] + 1e-9).all(axis=1) & (boxes[:k, 2:] >= boxes[k, 2:] - 1e-9).all(axis=1)
        )
        # The smallest that holds it; all that hold it come before it.
        within = next((int(j) for j in reversed(holds) if mostly_in(corners[k], corners[int(j)])), -1)
        parent.append(within)
        depth.append(0 if within < 0 else depth[within] + 1)
    outsides = [k for k in range(len(loops)) if depth[k] % 2 == 0]
    found: list[Nested] = []
    for body, outside in enumerate(outsides):
        found.append(Nested(loops[outside], inside=False, body=body))
        found.extend(
            Nested(turned_round(loops[k]), inside=True, body=body)
            for k in range(len(loops))
            if depth[k] % 2 == 1 and parent[k] == outside
        )
    return tuple(found)


def mostly_in(points: Points, outline: Points) -> bool:
    """Whether most of some of the points lie in an outline."""
    some = points[:: max(1, len(points) // ASKED)]
    return int(inside(some, outline).sum()) * 2 > len(some)


def inside(points: Points, outline: Points) -> np.ndarray[tuple[int], np.dtype[np.bool_]]:
    """(n,) whether each of (n, 2) points lies in a closed outline of (m, 2) corners, by crossings to the right."""
    x, y = points[:, :1], points[:, 1:]
    (x0, y0), (x1, y1) = outline.T, np.roll(outline, -1, axis=0).T
    straddles = (y0[None] > y) != (y1[None] > y)
    with np.errstate(divide="ignore", invalid="ignore"):
        crossing = x0 + (y - y0) * (x1 - x0) / (y1 - y0)
    return (np.count_nonzero(straddles & (x < crossing), axis=1) % 2) == 1
