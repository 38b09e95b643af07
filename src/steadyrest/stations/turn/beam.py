"""How far the work springs when the tool pushes it: a stepped bar in the chuck, with or without centre and steady."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache


@dataclass(frozen=True, slots=True)
class Beam:
    """A round bar of steps, from the jaws outwards.

    steps: (length mm, diameter mm), the first at the jaws. e_mpa: of its material. centre: held at its end as well.
    steady_mm: where a steady holds it, from the jaws; None: nowhere.
    """

    steps: tuple[tuple[float, float], ...]
    e_mpa: float
    centre: bool
    steady_mm: float | None = None

    @property
    def length_mm(self) -> float:
        return sum(length for length, _ in self.steps)

    @property
    def mean_mm(self) -> float:
        """Mean diameter by length."""
        return sum(length * diameter for length, diameter in self.steps) / max(self.length_mm, 1e-9)

    def diameter_at(self, at_mm: float) -> float:
        """Diameter at a distance from the jaws, mm."""
        before = 0.0
        for length, diameter in self.steps:
            before += length
            if at_mm <= before:
                return diameter
        return self.steps[-1][1]

    def spring_mm_n(self, at_mm: float) -> float:
        """Deflection under a unit force at a place, there.

        Args:
            at_mm: distance from the jaws, up to the beam's length.
        Returns: mm/N.
        Source: Castigliano on stepped cantilever; centre and steady are supports without slope there. Checked in
            tests/checks/test_turning.py.
        """
        at_mm = min(max(at_mm, 0.0), self.length_mm)

        def bent(a_mm: float, b_mm: float) -> float:
            return _flexibility(self.steps, a_mm, b_mm, self.e_mpa)

        held = [place for place in (self.steady_mm, self.length_mm if self.centre else None) if place]
        spring = bent(at_mm, at_mm)
        if len(held) == 1:
            spring -= bent(at_mm, held[0]) ** 2 / bent(held[0], held[0])
        elif len(held) == 2:
            # Two supports: their forces are such that neither gives way.
            p, q = held
            pp, qq, pq = bent(p, p), bent(q, q), bent(p, q)
            at_p, at_q = bent(at_mm, p), bent(at_mm, q)
            spring -= (at_p * at_p * qq - 2.0 * at_p * at_q * pq + at_q * at_q * pp) / (pp * qq - pq * pq)
        return max(spring, 0.0)

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
