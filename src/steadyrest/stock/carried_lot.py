"""A lot of carry blanks over its due times, and what one scrapped link costs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from steadyrest.stock.carry import HOUR_S, CarryWanted


@dataclass(frozen=True, slots=True)
class DueLot:
    """So many parts by a time, as written."""

    due: str
    count: int


@dataclass(frozen=True, slots=True)
class MadeFor:
    """What is made for a due time. chains: which blanks, from 1, and how many of its links each gives; spare: parts
    that its last blank gives to the next time."""

    due: str
    count: int
    chains: tuple[tuple[int, int], ...]
    spare: int


@dataclass(frozen=True, slots=True)
class Scrapped:
    """What a scrapped link costs. alone: a blank of one link made afterwards; spare: one link more on a blank from the
    start. odds: of a scrapped link above which the spare pays; 1: never."""

    alone: float
    spare: float
    odds: float


def split(chains: Sequence[int], lots: Sequence[DueLot]) -> tuple[MadeFor, ...]:
    """Which blank gives whose parts: blanks in order, what is due first from the first.

    Args:
        chains: links of each blank, in the order in which they are made. lots: by due time, the first first.
    Returns: one for each lot; the links of a blank that two of them share are told apart.
    """
    found = list[MadeFor]()
    left = [*chains]
    at = 0
    for lot in lots:
        need, mine = lot.count, list[tuple[int, int]]()
        while need and at < len(left):
            taken = min(need, left[at])
            mine.append((at + 1, taken))
            left[at] -= taken
            need -= taken
            if not left[at]:
                at += 1
        shared = bool(mine) and at < len(left) and mine[-1][0] == at + 1
        found.append(MadeFor(lot.due, lot.count - need, tuple(mine), left[at] if shared else 0))
    return tuple(found)


def scrapped(wanted: CarryWanted) -> Scrapped:
    """What one scrapped link costs, and when a spare one pays.

    Args:
        wanted: the part, its saw, holding and money.
    Returns: both costs, and the odds at which they are equal: spare = odds x alone.
    """
    hands = (wanted.saw_s + wanted.holding_s) / HOUR_S * wanted.person_per_hour
    alone = wanted.mass_kg(wanted.blank_mm(1) + wanted.kerf_mm) * wanted.price_per_kg + hands
    spare = wanted.mass_kg(wanted.link_mm) * wanted.price_per_kg
    return Scrapped(alone, spare, min(spare / alone, 1.0) if alone > 0 else 1.0)
