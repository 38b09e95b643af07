"""How long an edge will still last: a Weibull with a cautious prior, learned from edges changed and edges broken.

An edge that was changed while it still cut says only that it lasted at least so long (right-censored); one that broke
or wore out says how long it lasted. Both shape and scale are unknown, so both stand on a grid with weights, and every
forecast is an average over the grid: with few ends seen it stays wide, with many it narrows.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from steadyrest.tables.leaving import edge_prior, metal_factors

FloatArray = npt.NDArray[np.float64]
# Sigmas of the prior that the grid spans, and its points: finer changes no forecast by a thousandth (tests).
SPAN = 3.5
SHAPES = 31
SCALES = 61


@dataclass(frozen=True, slots=True)
class EdgeEnd:
    """How one edge ended. age_s: how long it had cut. failed: it broke or wore out; else it was changed while good."""

    age_s: float
    failed: bool

    def __post_init__(self) -> None:
        if not (self.age_s > 0 and math.isfinite(self.age_s)):
            raise ValueError(f"EdgeEnd: age_s {self.age_s!r} is not above 0")


@dataclass(frozen=True, slots=True)
class EdgeLife:
    """What is believed of an edge's life.

    shape: (m,) Weibull shapes. scale_s: (m,) scales. weight: (m,) how much each pair is believed; sums to 1.
    """

    shape: FloatArray
    scale_s: FloatArray
    weight: FloatArray

    def __post_init__(self) -> None:
        for array in (self.shape, self.scale_s, self.weight):
            array.setflags(write=False)

    def survives(self, age_s: float, more_s: float) -> float:
        """The chance that an edge of this age cuts for so much longer.

        Args:
            age_s: how long it has cut; >= 0.
            more_s: how long it still should; >= 0.
        Returns: P(life > age + more | life > age), averaged over what is believed.
        """
        then = self.weight * np.exp(-(((age_s + more_s) / self.scale_s) ** self.shape))
        now = self.weight * np.exp(-((age_s / self.scale_s) ** self.shape))
        reached = float(now.sum())
        # An edge beyond anything believed in has no life left that we could promise.
        return float(then.sum()) / reached if reached > 0 else 0.0

    def left_s(self, age_s: float, which: FloatArray, own: FloatArray) -> FloatArray:
        """Draws of how much longer an edge of this age cuts.

        Args:
            age_s: how long it has cut; >= 0.
            which: (n,) uniform draws: which pair of the grid.
            own: (n,) uniform draws: this edge's own luck.
        Returns: (n,) s, none negative.
        """
        here = (age_s / self.scale_s) ** self.shape
        reached = self.weight * np.exp(-here)
        if reached.sum() <= 0:
            return np.zeros(len(which))
        steps = np.cumsum(reached) / reached.sum()
        pick = np.minimum(np.searchsorted(steps, which), len(steps) - 1)
        shape, scale_s = self.shape[pick], self.scale_s[pick]
        return np.maximum(0.0, scale_s * (here[pick] - np.log(own)) ** (1 / shape) - age_s)


def prior_life(
    life_s: float, *, tool: str, made_of: str = "carbide", diameter_mm: float = 0.0, metal_group: int | None = None
) -> EdgeLife:
    """What is believed before any edge of this tool was seen to end.

    Args:
        life_s: the life that the shop has written down; > 0.
        tool: kind of the tool, such as "drill".
        made_of: "hss" or "carbide".
        diameter_mm: of the tool; 0 where it has none.
        metal_group: VDI 3323 group of what it cuts; None where nobody said.
    Returns: the prior on its grid.
    Raises: ValueError: life_s not above 0.
    """
    if not life_s > 0:
        raise ValueError(f"prior_life: life_s {life_s!r} is not above 0")
    prior = edge_prior(tool, made_of, diameter_mm)
    shape_times, scale_times = metal_factors(metal_group)
    shape = prior.shape * shape_times
    # The scale at which so many edges reach the written life.
    scale_s = scale_times * life_s / (-math.log(prior.reach)) ** (1 / shape)
    sigmas = np.linspace(-SPAN, SPAN, SHAPES), np.linspace(-SPAN, SPAN, SCALES)
    along, across = np.meshgrid(*sigmas, indexing="ij")
    weight = np.exp(-(along**2 + across**2) / 2).ravel()
    return EdgeLife(
        shape=(shape * prior.shape_factor**along).ravel(),
        scale_s=(scale_s * prior.scale_factor**across).ravel(),
        weight=weight / weight.sum(),
    )


def learned(life: EdgeLife, ends: Iterable[EdgeEnd]) -> EdgeLife:
    """What is believed after some edges ended.

    Args:
        life: what was believed before.
        ends: each edge's end.
    Returns: the same grid with new weights.
    Source: Bayes; likelihood of right-censored lives, density where one failed, survival where it was changed.
    """
    logs = np.log(np.maximum(life.weight, 1e-300))
    for end in ends:
        powered = (end.age_s / life.scale_s) ** life.shape
        logs = logs - powered
        if end.failed:
            logs = logs + np.log(life.shape / end.age_s) + np.log(powered)
    weight = np.exp(logs - logs.max())
    return EdgeLife(life.shape, life.scale_s, weight / weight.sum())
