"""A relation between patches, as rows of constraints on their numbers.

A row says: sum of weights times numbers = what is missing. Numbers are changes from the free fit, so what is missing
is how far the free fit is from keeping the relation.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
import numpy.typing as npt

from steadyrest.part.relations.standing import Standing

FloatArray = npt.NDArray[np.float64]
TOOL_REPEATS_MM = 0.012  # of a radius, drilled holes of one drill; common practice, no source
RelationKind = Literal["parallel", "square", "coaxial", "equal radius", "symmetric", "evenly spaced"]


@dataclass(frozen=True, slots=True)
class Row:
    """One constraint: weights by the number's place among all, and what they must sum to.

    play: one sigma of how exactly the shop keeps it; 0 where the geometry itself does.
    """

    weights: tuple[tuple[int, float], ...]
    missing: float
    play: float = 0.0


@dataclass(frozen=True, slots=True)
class Proposal:
    """A relation that may hold. members: places among the standings, the one that the others follow first."""

    kind: RelationKind
    members: tuple[int, ...]
    rows: tuple[Row, ...]


def parallel(a: Standing, b: Standing) -> tuple[Row, ...]:
    """Two rows: b's direction is a's, or the other way round."""
    sense = 1.0 if a.direction @ b.direction > 0 else -1.0
    rows: list[Row] = []
    for across in (a.u, a.v):
        weights = (*tilted(b, sense * across), *tilted(a, -across))
        rows.append(Row(weights, -float((sense * b.direction - a.direction) @ across)))
    return tuple(rows)


def square(a: Standing, b: Standing) -> tuple[Row, ...]:
    """One row: the two directions are square to each other."""
    weights = (*tilted(a, b.direction), *tilted(b, a.direction))
    return (Row(weights, -float(a.direction @ b.direction)),)


def coaxial(a: Standing, b: Standing) -> tuple[Row, ...]:
    """Two rows: b's axis runs through a's middle (with `parallel` they are one line)."""
    lever = float((a.middle - b.middle) @ b.direction)
    gap = b.middle + lever * b.direction - a.middle
    rows: list[Row] = []
    for across in (a.u, a.v):
        weights = (*shifted(b, across), *tilted(b, lever * across), *shifted(a, -across))
        rows.append(Row(weights, -float(gap @ across)))
    return tuple(rows)


def equal_radius(a: Standing, b: Standing) -> tuple[Row, ...]:
    """One row: the two radii are one, as far as a tool repeats its size from hole to hole."""
    return (Row(((b.at + 4, 1.0), (a.at + 4, -1.0)), a.patch.radius_mm - b.patch.radius_mm, TOOL_REPEATS_MM),)


def tilted(standing: Standing, along: FloatArray) -> tuple[tuple[int, float], ...]:
    """How a direction's share along a vector changes with its two tilts."""
    first, second = standing.tilts
    return ((first, float(standing.u @ along)), (second, float(standing.v @ along)))


def shifted(standing: Standing, along: FloatArray) -> tuple[tuple[int, float], ...]:
    """How a cylinder's place along a vector changes with its two shifts."""
    return ((standing.at, float(standing.u @ along)), (standing.at + 1, float(standing.v @ along)))


def placed(standing: Standing, along: FloatArray) -> tuple[tuple[int, float], ...]:
    """How a plane's or a cylinder's place along a vector changes with its numbers."""
    if standing.size == 3:
        return ((standing.at, -float(standing.direction @ along)),)
    return shifted(standing, along)


def as_arrays(rows: Sequence[Row], count: int) -> tuple[FloatArray, FloatArray, FloatArray]:
    """(r, count) weights, (r,) what is missing and (r,) the play's variance."""
    left, right = np.zeros((len(rows), count)), np.zeros(len(rows))
    for i, row in enumerate(rows):
        for k, weight in row.weights:
            left[i, k] += weight
        right[i] = row.missing
    return left, right, np.square([row.play for row in rows])
