"""Scrap kept apart by alloy: what each heap brings, what room it takes, when fetching it away pays.

A bin fills evenly. Fetched every T years, a heap of m kg a year brings m T price, less what fetching costs; the bin
may hold no more than its room. The most a year is had when it is fetched as seldom as the bin allows, unless money that
lies in the bin costs more than that: m price T discount / 2 a year. So T is the lesser of the full bin and the square
root of 2 haul / (m price discount).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from steadyrest.shop.figure import Reason, because

MM3_IN_M3 = 1e9
DAYS = 365.25


@dataclass(frozen=True, slots=True)
class Heap:
    """One alloy in one form. there_kg: in the bin now. per_year_kg: what comes to it. bulk_kg_m3: as it lies there.

    price_per_kg: kept apart; mixed_per_kg: what it brings among all other scrap."""

    id: str
    there_kg: float
    per_year_kg: float
    bulk_kg_m3: float
    price_per_kg: float
    mixed_per_kg: float


@dataclass(frozen=True, slots=True)
class HaulWanted:
    """haul_cost: of fetching one bin, or bringing it. bin_m3: room of one. bin_per_year: of keeping one more.
    discount_per_year: what money lying in the bin costs."""

    heaps: tuple[Heap, ...]
    haul_cost: float
    bin_m3: float
    bin_per_year: float
    discount_per_year: float
    currency: str


@dataclass(frozen=True, slots=True)
class HeapJudged:
    """there_m3: room it takes now; worth: what it brings now, fetching not counted. every_days: how often it should be
    fetched; inf: never by itself. due: it should go now. apart_per_year: what keeping it apart brings more a year than
    among all other scrap, its own bin and hauls paid; apart: that is more than nothing."""

    heap: Heap
    there_m3: float
    worth: float
    every_days: float
    days_left: float
    due: bool
    apart_per_year: float
    why: tuple[Reason, ...]

    @property
    def apart(self) -> bool:
        return self.apart_per_year > 0


def hauls(wanted: HaulWanted) -> tuple[HeapJudged, ...]:
    """What each heap is worth, when it should go, and whether keeping it apart pays.

    Args:
        wanted: heaps and what a haul costs; bin_m3, discount_per_year and every bulk density above 0.
    Returns: one a heap, in their order.
    Source: the square root of lot sizing, from memory; checked by trying every day in tests/stock/test_scrap.py.
    """
    return tuple(_judged(wanted, heap) for heap in wanted.heaps)


def _judged(wanted: HaulWanted, heap: Heap) -> HeapJudged:
    full_kg = wanted.bin_m3 * heap.bulk_kg_m3
    full = full_kg / heap.per_year_kg if heap.per_year_kg > 0 else math.inf
    lying = heap.per_year_kg * heap.price_per_kg * wanted.discount_per_year
    best = math.sqrt(2 * wanted.haul_cost / lying) if lying > 0 else math.inf
    every = min(full, best)
    goes_kg = min(every * heap.per_year_kg, full_kg)
    pays = heap.price_per_kg > 0 and goes_kg * heap.price_per_kg > wanted.haul_cost
    due = heap.there_kg >= full_kg or (pays and heap.there_kg >= goes_kg)
    left = max(goes_kg - heap.there_kg, 0.0) / heap.per_year_kg if heap.per_year_kg > 0 else math.inf
    hauling = wanted.haul_cost / every if math.isfinite(every) else 0.0
    more = heap.per_year_kg * (heap.price_per_kg - heap.mixed_per_kg)
    apart = more - hauling - wanted.bin_per_year - lying * (every / 2 if math.isfinite(every) else 0.0)
    limit = "scrap.full" if full <= best else "scrap.money"
    why = (
        because(limit, bin_kg=full_kg, goes_kg=goes_kg),
        because("scrap.apart" if apart > 0 else "scrap.mixed", more_money=_two(more), costs_money=_two(more - apart)),
    )
    return HeapJudged(
        heap, heap.there_kg / heap.bulk_kg_m3, heap.there_kg * heap.price_per_kg,
        every * DAYS if pays else math.inf, left * DAYS if pays else math.inf, due, apart, why,
    )  # fmt: skip


def _two(amount: float) -> str:
    return f"{amount:.2f}"
