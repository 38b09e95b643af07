"""What a remnant is worth: what it will save later, not its weight.

A piece of length L waits for what is asked of it. Each demand that fits may be cut from it (the new length is saved,
and what goes with buying one, and the rest lives on), or left for a later one. Waiting costs room and time; scrap is
always there. A demand longer than the piece leaves it as it is. So

V(L) = max(scrap L, [lam sum share max(V(L), new l + saved + V(L - l - kerf)) - hold] / (lam + discount)).
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

import numpy as np
import numpy.typing as npt
from numba import njit

from steadyrest.trouble import BadInput

FloatArray = npt.NDArray[np.float64]
IntArray = npt.NDArray[np.int64]

MOST_STEPS = 40_000_000
DECIMALS = 6
WORTH = 1e-9


@dataclass(frozen=True, slots=True)
class Demand:
    """A length that is asked for, and its share of what is asked for."""

    length_mm: float
    share: float


@dataclass(frozen=True, slots=True)
class Remnant:
    """A piece to be judged."""

    id: str
    length_mm: float


@dataclass(frozen=True, slots=True)
class KeepWanted:
    """The shop's demand, and its prices. new_per_mm: of bought bar. saved_each: order, freight, waiting spared."""

    demands_per_year: float
    discount_per_year: float
    hold_per_year: float
    kerf_mm: float
    new_per_mm: float
    saved_each: float
    scrap_per_mm: float
    demands: tuple[Demand, ...]
    pieces: tuple[Remnant, ...]
    currency: str


@dataclass(frozen=True, slots=True)
class Worth:
    """value: kept or scrapped, whichever is more. scrap: what the scrap is worth today. keep: it is worth more kept."""

    id: str
    value: float
    scrap: float

    @property
    def keep(self) -> bool:
        return self.value > self.scrap + WORTH * max(1.0, abs(self.scrap))


def worths(wanted: KeepWanted) -> tuple[Worth, ...]:
    """What each piece is worth.

    Args:
        wanted: demand, prices and pieces; discount_per_year > 0.
    Returns: one value a piece, in their order.
    Raises: BadInput: lengths written so finely that the steps between them cannot be counted through.
    """
    lengths = [piece.length_mm for piece in wanted.pieces]
    longest = max(lengths, default=0.0)
    step = _step([*lengths, *(demand.length_mm for demand in wanted.demands), wanted.kerf_mm])
    if longest / step > MOST_STEPS:
        raise BadInput(
            where="[[piece]] length_mm", what=f"{longest:g} mm in steps of {step:g} mm is too fine to count through.",
            do="Round the lengths to a hundredth.",
        )  # fmt: skip
    fitting = [demand for demand in wanted.demands if demand.length_mm <= longest]
    value = values_by_length(
        round(longest / step),
        step,
        np.array([round(demand.length_mm / step) for demand in fitting], dtype=np.int64),
        np.array([demand.share for demand in fitting], dtype=np.float64),
        sum(demand.share for demand in wanted.demands),
        np.array([round(wanted.kerf_mm / step)], dtype=np.int64)[0],
        wanted.demands_per_year,
        wanted.discount_per_year,
        wanted.hold_per_year,
        wanted.new_per_mm,
        wanted.saved_each,
        wanted.scrap_per_mm,
    )
    return tuple(
        Worth(piece.id, float(value[round(piece.length_mm / step)]), wanted.scrap_per_mm * piece.length_mm)
        for piece in wanted.pieces
    )


def _step(lengths_mm: list[float]) -> float:
    """The coarsest step of a power of ten that every length is a whole number of."""
    places = max((-int(Decimal(repr(mm)).normalize().as_tuple().exponent) for mm in lengths_mm), default=0)
    return 10.0 ** -min(max(places, 0), DECIMALS)


@njit(cache=True, nogil=True)
def values_by_length(
    steps: int, step_mm: float, lengths: IntArray, shares: FloatArray, asked: float, kerf: int, lam: float,
    discount: float, hold: float, new: float, saved: float, scrap: float,
) -> FloatArray:  # pragma: no cover  compiled  # fmt: skip
    """V at 0, 1, ... steps of length; see the module's head.

    Args:
        steps: of the longest piece. step_mm: length of a step.
        lengths: (k,) demands in steps. shares: (k,) their shares. asked: the shares of all demands together.
        kerf: in steps. lam, discount, hold: per year. new, scrap: per mm. saved: each.
    Returns: (steps + 1,) values.
    """
    value = np.zeros(steps + 1)
    cut = np.empty(len(lengths))
    done = np.empty(len(lengths), np.bool_)
    for n in range(steps + 1):
        for k in range(len(lengths)):
            cut[k] = -np.inf
            if lengths[k] <= n:
                cut[k] = new * lengths[k] * step_mm + saved + value[max(n - lengths[k] - kerf, 0)]
            done[k] = False
        # The right side rises with V, less steeply than V itself: those cuts are taken that beat waiting, best first.
        taken, share_taken = 0.0, 0.0
        kept = (lam * taken - hold) / (lam + discount - lam * (asked - share_taken))
        for _ in range(len(lengths)):
            best = -1
            for k in range(len(lengths)):
                if not done[k] and (best < 0 or cut[k] > cut[best]):
                    best = k
            if cut[best] <= kept:
                break
            done[best] = True
            taken += shares[best] * cut[best]
            share_taken += shares[best]
            kept = (lam * taken - hold) / (lam + discount - lam * (asked - share_taken))
        value[n] = max(scrap * n * step_mm, kept)
    return value
