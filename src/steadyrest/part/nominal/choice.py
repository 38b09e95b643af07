"""What one size may be: candidates with their prior weights, as arrays. The last candidate is always "as measured"."""

from __future__ import annotations

from dataclasses import dataclass, field
from math import nan

import numpy as np

from steadyrest.part.nominal.habits import FloatArray

AS_MEASURED = "as measured"
DRILLED = ("drill", "tap drill", "bolt hole")  # as a drill leaves it: larger now and then, never smaller
RUNNING = ("bearing bore", "bearing outside", "seal seat")  # what something turns or creeps on


@dataclass(frozen=True, slots=True)
class Fit:
    """One candidate.

    value_mm: the nominal. source: "" for a round size of the drawing's habit, else the standard part that brings it,
    such as "bearing bore". unit: "mm" or "in", as a drawing would write it. offset_mm, made_mm: where finished work
    usually lies from this nominal, and its spread; nan where the part's own habit of work says it.
    part: which standard part, such as "6207" or "key 10 x 8".
    """

    value_mm: float
    source: str
    unit: str
    offset_mm: float = 0.0
    made_mm: float = nan
    part: str = ""


@dataclass(frozen=True, slots=True)
class Choices:
    """Candidates of one size, the free one last.

    fits: c of them. value_mm: (c,). weight: (s, c) prior per mm under each habit. offset_mm, made_mm: (c,).
    share: (z, p) prior odds of each standard part that may sit there, given each candidate of the diameter that the
        size hangs on; (0, 0) for a size that hangs on none. partner: z arrays (p, c), weight per mm given the part and
        the diameter, or None where that part says nothing of this size.
    """

    fits: tuple[Fit, ...]
    value_mm: FloatArray
    weight: FloatArray
    offset_mm: FloatArray
    made_mm: FloatArray
    share: FloatArray = field(default_factory=lambda: np.zeros((0, 0)))
    partner: tuple[FloatArray | None, ...] = ()


def between(source: str, nominal_mm: float, low_mm: float, high_mm: float, *, unit: str = "mm", part: str = "") -> Fit:
    """A candidate whose work lies between two limits, a quarter of their width from the middle on average."""
    return Fit(nominal_mm, source, unit, (low_mm + high_mm) / 2 - nominal_mm, (high_mm - low_mm) / 4, part)
