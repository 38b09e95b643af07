"""How far the work springs when the tool pushes it: a stepped bar in the chuck, with or without a centre at its end."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache


@dataclass(frozen=True, slots=True)
class Beam:
    """A round bar of steps, from the jaws outwards.

    steps: (length mm, diameter mm), the first at the jaws. e_mpa: of its material. centre: held at its end as well.
    """

    steps: tuple[tuple[float, float], ...]
    e_mpa: float
    centre: bool

    @property
    def length_mm(self) -> float:
        return sum(length for length, _ in self.steps)

    @property
    def mean_mm(self) -> float:
        """Mean diameter by length."""
        return sum(length * diameter for length, diameter in self.steps) / max(self.length_mm, 1e-9)

    def spring_mm_n(self, at_mm: float) -> float:
        """Deflection under a unit force at a place, there.

        Args:
            at_mm: distance from the jaws, up to the beam's length.
        Returns: mm/N.
        Source: Castigliano on stepped cantilever; a centre is a support without slope there. Checked in
            tests/checks/test_turning.py.
        """
        at_mm = min(max(at_mm, 0.0), self.length_mm)
        free = _flexibility(self.steps, at_mm, at_mm, self.e_mpa)
        if not self.centre:
            return free
        end_mm = self.length_mm
        across = _flexibility(self.steps, at_mm, end_mm, self.e_mpa)
        tip = _flexibility(self.steps, end_mm, end_mm, self.e_mpa)
        return max(free - across * across / tip, 0.0)

    def worst_mm_n(self, from_mm: float, to_mm: float) -> float:
        """The largest such deflection over a stretch, looked for at nine places."""
        return _worst_mm_n(self, from_mm, to_mm)


@lru_cache(maxsize=4096)
def _worst_mm_n(beam: Beam, from_mm: float, to_mm: float) -> float:
    # Remembered: each pass, lot size and route asks the same of the same beam.
    return max(beam.spring_mm_n(from_mm + (to_mm - from_mm) * i / 8.0) for i in range(9))


def _flexibility(steps: Sequence[tuple[float, float]], a_mm: float, b_mm: float, e_mpa: float) -> float:
    """Integral of (a - x)(b - x) / (E I) from the jaws to the nearer of a and b."""
    end_mm, start_mm, total = min(a_mm, b_mm), 0.0, 0.0
    for length, diameter in steps:
        low, high = start_mm, min(start_mm + length, end_mm)
        if high > low:
            stiff = e_mpa * math.pi * diameter**4 / 64.0
            total += (_product(a_mm, b_mm, high) - _product(a_mm, b_mm, low)) / stiff
        start_mm += length
    return total


def _product(a: float, b: float, x: float) -> float:
    return a * b * x - (a + b) * x * x / 2.0 + x**3 / 3.0
