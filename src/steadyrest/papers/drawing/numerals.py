"""Numerals in circles beside a view, with leaders that never cross or touch each other.

A leader goes straight up (or down) from its point to a level clear of the part, then slants to its circle. Points have
distinct places across, circles stand in the same order: so no two leaders meet. Where there is little room the circles
stand in two rows, and the leaders of the far row pass between the circles of the near one.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from steadyrest.papers.drawing import ink
from steadyrest.papers.drawing.ink import Palette, Point

RADIUS = 2.9
PITCH = 6.6
CLOSE_PITCH = 3.7
ROW = 6.8
CLEAR = 2.0
SLANT = 5.0
APART = 0.9


@dataclass(frozen=True, slots=True)
class Mark:
    """What a numeral points at: a place anywhere from low to high across, best in the middle, at height y."""

    numeral: str
    low: float
    high: float
    y: float


@dataclass(frozen=True, slots=True)
class Row:
    """Numerals above or below a view, ready to draw.

    height: from the level to the far edge. left_out: numerals without a place. leaders: their points, from the part on.
    """

    shapes: tuple[str, ...]
    height: float
    left_out: tuple[str, ...]
    leaders: tuple[tuple[Point, ...], ...]


def row(marks: Sequence[Mark], *, level: float, up: bool, left: float, right: float, colours: Palette) -> Row:
    """Numerals for one side of a view.

    Args:
        marks: what is pointed at, the most important first.
        level: height clear of the part, where leaders begin to slant.
        up: circles above the level, else below.
        left, right: how far circles may go.
        colours: of the drawing.
    Returns: shapes, and the numerals that found no place.
    """
    placed = anchors(marks)
    most = max(1, int((right - left - 2 * RADIUS) / CLOSE_PITCH) + 1)
    kept = sorted(placed[:most], key=lambda pair: pair[1])
    names = {mark.numeral for mark, _ in kept}
    left_out = tuple(mark.numeral for mark in marks if mark.numeral not in names)
    if not kept:
        return Row((), 0.0, left_out, ())
    two_rows = (len(kept) - 1) * PITCH > right - left - 2 * RADIUS
    pitch = CLOSE_PITCH if two_rows else PITCH
    xs = spread([x for _, x in kept], pitch, left + RADIUS, right - RADIUS)
    way = -1.0 if up else 1.0
    near = level + way * SLANT
    shapes: list[str] = []
    leaders: list[tuple[Point, ...]] = []
    for k, ((mark, x), circle_x) in enumerate(zip(kept, xs, strict=True)):
        far = two_rows and k % 2 == 1
        centre = (circle_x, near + way * (RADIUS + (ROW if far else 0.0)))
        rim = (circle_x, centre[1] - way * RADIUS)
        points: tuple[Point, ...] = ((x, mark.y), (x, level), (circle_x, near), *((rim,) if far else ()))
        leaders.append(points)
        shapes.append(ink.polyline(points, colours.soft, width=0.25))
        shapes.append(ink.circle((x, mark.y), 0.55, fill=colours.ink))
        shapes.extend(numeral(centre, mark.numeral, colours))
    return Row(tuple(shapes), SLANT + 2 * RADIUS + (ROW if two_rows else 0.0), left_out, tuple(leaders))


def numeral(centre: Point, said: str, colours: Palette) -> tuple[str, str]:
    """A numeral in its circle, which is filled where it is marked."""
    size = 3.7 if len(said) < 3 else 2.8
    disc, letter = (colours.ink, colours.paper) if said in colours.marked else (colours.paper, colours.ink)
    return (
        ink.circle(centre, RADIUS, fill=disc, stroke=colours.ink, width=0.35),
        ink.text((centre[0], centre[1] + 0.36 * size), said, size=size, fill=letter, anchor="middle", bold=True),
    )


def anchors(marks: Sequence[Mark]) -> list[tuple[Mark, float]]:
    """A place across for each mark, apart from those placed before; marks without room are left out."""
    taken: list[float] = []
    placed: list[tuple[Mark, float]] = []
    for mark in marks:
        middle = (mark.low + mark.high) / 2
        tries = [middle, *(middle + side * step * APART for step in range(1, 40) for side in (1, -1))]
        for x in tries:
            if mark.low <= x <= mark.high and all(abs(x - other) >= APART for other in taken):
                taken.append(x)
                placed.append((mark, x))
                break
    return placed


def spread(xs: Sequence[float], pitch: float, low: float, high: float) -> list[float]:
    """Places at least a pitch apart, in order, as near as may be to the wanted ones (pool adjacent violators)."""
    blocks: list[tuple[float, int]] = []
    for k, x in enumerate(xs):
        mean, count = x - k * pitch, 1
        while blocks and blocks[-1][0] > mean:
            before, many = blocks.pop()
            mean = (mean * count + before * many) / (count + many)
            count += many
        blocks.append((mean, count))
    flat = [mean for mean, count in blocks for _ in range(count)]
    clipped = np.clip(flat, low, max(low, high - (len(xs) - 1) * pitch))
    return [float(x) + k * pitch for k, x in enumerate(clipped)]
