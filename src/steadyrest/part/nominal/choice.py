"""What one size may be: candidates with their prior weights, as arrays. The last candidate is always "as measured"."""

from __future__ import annotations

from dataclasses import dataclass
from math import nan

from steadyrest.part.nominal.habits import FloatArray

AS_MEASURED = "as measured"


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
    partner: (p, c) weight per mm given each candidate of the parent, all zero without one; share: (p,) of the prior
        that goes to the partners of this parent, 0 where it has none.
    """

    fits: tuple[Fit, ...]
    value_mm: FloatArray
    weight: FloatArray
    offset_mm: FloatArray
    made_mm: FloatArray
    partner: FloatArray | None = None
    share: FloatArray | None = None
