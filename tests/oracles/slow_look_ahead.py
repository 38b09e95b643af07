"""Look-ahead the slow way: the whole path in small steps, each step's speed lowered until it can be reached and left.

A path is blocks of (points, speed), the points so close that each step is straight. Corners between blocks are rounded
within a tolerance; between the steps of one block there are none. Pure Python, no code shared with what it judges.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

Point = tuple[float, float, float]


@dataclass
class Block:
    points: list[Point]  # even steps along the path
    speed: float  # mm/s
    radius: float = math.inf  # of an arc
    rest: bool = False  # stops at its end


def direction(a: Point, b: Point) -> Point:
    length = math.dist(a, b)
    return tuple((y - x) / length for x, y in zip(a, b, strict=True))  # type: ignore[return-value]


def corner_speed(before: Point, after: Point, accel: float, off: float) -> float:
    """The fillet that leaves the corner by `off`, driven at the acceleration."""
    bend = math.acos(max(-1.0, min(1.0, sum(x * y for x, y in zip(before, after, strict=True)))))
    if bend < 1e-9:
        return math.inf
    half = math.cos(bend / 2)
    return math.sqrt(max(accel * off * half / (1 - half), 0.0))


def seconds(blocks: Sequence[Block], accel: float, off: float) -> float:
    """The time of the whole path, from rest to rest."""
    lengths: list[float] = []
    limits: list[float] = []  # of the step
    nodes: list[float] = [0.0]  # of the place between steps
    for number, block in enumerate(blocks):
        steps = list(zip(block.points, block.points[1:], strict=False))
        limit = min(block.speed, math.sqrt(accel * block.radius))
        for place, (a, b) in enumerate(steps):
            lengths.append(math.dist(a, b))
            limits.append(limit)
            if place < len(steps) - 1:
                nodes.append(limit)
        if number == len(blocks) - 1 or block.rest:
            nodes.append(0.0)
        else:
            ahead = blocks[number + 1]
            away = direction(ahead.points[0], ahead.points[1])
            come = direction(block.points[-2], block.points[-1])
            other = min(ahead.speed, math.sqrt(accel * ahead.radius))
            nodes.append(min(limit, other, corner_speed(come, away, accel, off)))
    for k in range(len(lengths)):
        nodes[k + 1] = min(nodes[k + 1], math.sqrt(nodes[k] ** 2 + 2 * accel * lengths[k]))
    for k in range(len(lengths) - 1, -1, -1):
        nodes[k] = min(nodes[k], math.sqrt(nodes[k + 1] ** 2 + 2 * accel * lengths[k]))
    total = 0.0
    for length, limit, v, w in zip(lengths, limits, nodes, nodes[1:], strict=False):
        peak = min(limit, math.sqrt((v * v + w * w) / 2 + accel * length))
        ramp = (2 * peak * peak - v * v - w * w) / (2 * accel)
        total += (2 * peak - v - w) / accel + (length - ramp) / peak
    return total
