"""The tolerance chart as values: what moves a size on its way through the steps, and how likely its limits are held."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from steadyrest.shop.figure import Figure, Reason

Source = Literal["machine", "setting", "datum", "tool wear", "temperature", "deflection", "treatment"]
Shape = Literal["normal", "uniform", "one-sided"]


@dataclass(frozen=True, slots=True)
class Term:
    """One thing that moves a size. luck: names its row of draws; sizes that share it go wrong together.

    reach_mm: how far it goes, at most (uniform, one-sided) or with 95 in 100 (normal). factor: how often it counts in
        the size, with its sign. one-sided: from 0 up to the reach.
    step: id of the step where it comes in.
    """

    source: Source
    reach_mm: float
    shape: Shape
    luck: str
    step: str
    factor: float = 1.0

    def __post_init__(self) -> None:
        if self.reach_mm < 0:
            raise ValueError(f"Term: {self.source} of {self.step!r} reaches {self.reach_mm!r} mm")


@dataclass(frozen=True, slots=True)
class Charted:
    """One size with its chance.

    feature, size: whose. steps: ids of the steps it goes through, the last one first.
    odds: chance that its limits are held, with what moves it most. worst_mm, rss_mm: how far off it may be if
        everything goes to its end at once, and by the root of the sum of squares.
    advice: where to measure or pick up again, or that it wants another way; empty where the chance is good.
    """

    feature: str
    size: str
    low_mm: float
    high_mm: float
    steps: tuple[str, ...]
    terms: tuple[Term, ...]
    odds: Figure
    worst_mm: float
    rss_mm: float
    advice: tuple[Reason, ...] = ()
