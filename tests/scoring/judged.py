"""An estimate against its referee, and the table that many of them make."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

HEADS = (
    "what", "cases", "median error", "nine in ten below", "bias", "worst", "stated spread", "within its 80 %",
    "within its 95 %",
)  # fmt: skip


@dataclass(frozen=True)
class Case:
    """One estimate against its referee. said: sd of the logarithm that the estimate states."""

    family: str
    kind: str
    estimate_s: float
    referee_s: float
    said: float

    @property
    def off(self) -> float:
        return math.log(self.estimate_s / self.referee_s)


def told(name: str, cases: Sequence[Case]) -> tuple[str, ...]:
    """One row of the table: errors, and how many lie within what the estimate stated."""
    off = np.array([case.off for case in cases])
    error = np.abs(np.expm1(off))
    eight, near = (np.mean([abs(case.off) <= k * case.said for case in cases]) for k in (1.2816, 1.96))
    said = np.mean([case.said for case in cases])
    return (
        name, str(len(cases)), f"{100 * np.median(error):.1f} %", f"{100 * np.quantile(error, 0.9):.1f} %",
        f"{100 * np.expm1(np.median(off)):+.1f} %", f"{100 * error.max():.0f} %", f"{100 * said:.0f} %",
        f"{100 * eight:.0f} %", f"{100 * near:.0f} %",
    )  # fmt: skip
