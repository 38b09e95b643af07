"""Sizes that drawings are made of: preferred numbers, preferred metric diameters, inch fractions."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from typing import Literal

from steadyrest import units
from steadyrest.tables.rows import rows
from steadyrest.units.lengths import EXACT_IN

Series = Literal["R5", "R10", "R20", "R40"]


@dataclass(frozen=True, slots=True)
class PreferredSize:
    """A metric size, and how usual it is: choice 1 first, 2 second, 3 whole millimetre, 4 half millimetre."""

    size_mm: float
    choice: int
    source: str
    standing: str


@dataclass(frozen=True, slots=True)
class InchFraction:
    """An inch size by its name. denominator: 1 for whole inches, up to 64; the smaller the more usual."""

    size_mm: float
    shown: str
    denominator: int


@cache
def preferred_numbers(series: Series) -> tuple[float, ...]:
    """One decade of a series of preferred numbers, as printed (rounded), from 1 up to but without 10.

    Args:
        series: "R5", "R10", "R20" or "R40".
    Returns: its numbers, rising.
    Source: ISO 3. Checked in tests/checks/test_tables_sizes.py.
    """
    every = 40 // int(series[1:])
    return tuple(row.number("printed") for row in rows("preferred_numbers") if int(row.number("step")) % every == 0)


def preferred_sizes(series: Series, low_mm: float, high_mm: float) -> tuple[float, ...]:
    """The series' numbers over as many decades as lie between two sizes.

    Args:
        series: "R5", "R10", "R20" or "R40".
        low_mm: smallest, > 0.
        high_mm: largest.
    Returns: the sizes from low to high, both included, rising.
    Raises: ValueError: low_mm not positive.
    """
    if low_mm <= 0:
        raise ValueError(f"preferred_sizes: low_mm {low_mm!r} must be positive")
    decades = range(math.floor(math.log10(low_mm)), math.floor(math.log10(max(high_mm, low_mm))) + 1)
    sizes = (float(f"{number}e{decade}") for decade in decades for number in preferred_numbers(series))
    return tuple(size for size in sizes if low_mm <= size <= high_mm)


@cache
def preferred_diameters(up_to_choice: int = 4) -> tuple[PreferredSize, ...]:
    """Metric sizes in use, rising, up to 500 mm.

    Args:
        up_to_choice: 1 only first choices, 2 with second choices, shaft ends and bearing seats, 3 with whole
            millimetres, 4 with half millimetres.
    Returns: the sizes.
    """
    found = (
        PreferredSize(row.number("size_mm"), int(row.number("choice")), row.text("source"), row.text("standing"))
        for row in rows("preferred_diameters")
    )
    return tuple(size for size in found if size.choice <= up_to_choice)


def inch_fractions(low_mm: float, high_mm: float, finest: int = 64) -> Iterator[InchFraction]:
    """Every inch fraction between two sizes, rising.

    Args:
        low_mm: smallest.
        high_mm: largest.
        finest: largest denominator, a power of two up to 64.
    Returns: one after another, each in lowest terms.
    Raises: ValueError: finest is not such a denominator.
    """
    if finest not in (1, 2, 4, 8, 16, 32, 64):
        raise ValueError(f"inch_fractions: finest {finest!r} must be 1, 2, 4, 8, 16, 32 or 64")
    first = max(1, math.ceil(low_mm / units.MM_PER_IN * finest - 1e-9))
    last = math.floor(high_mm / units.MM_PER_IN * finest + 1e-9)
    for count in range(first, last + 1):
        inches = Fraction(count, finest)
        size_mm = float(inches * EXACT_IN)
        yield InchFraction(size_mm, units.show_length(size_mm, "in"), inches.denominator)
