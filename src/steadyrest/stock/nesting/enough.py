"""Whether a choice of sheets may hold all parts, before anything is nested: by area, by number, by where each fits.

Parts that fit only on some of the sheets must find their area on those; and a sheet takes no more parts of at least
some area than that area goes into it. Both hold whatever the outlines are: what is refused here cannot be had.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

Choice = tuple[int, ...]
MOST_SETS = 8
HAIR = 1e-9


@dataclass(frozen=True, slots=True)
class Lot:
    """So many equal parts. takes_mm2: at least, of each; fits: for each kind of sheet, whether it may lie on one."""

    takes_mm2: float
    count: int
    fits: tuple[bool, ...]


def may_hold(choice: Choice, there_mm2: Sequence[float], lots: Sequence[Lot]) -> bool:
    """Whether nothing known beforehand speaks against a choice.

    Args:
        choice: how many of each kind of sheet. there_mm2: area of each for parts. lots: what is to lie on them.
    Returns: False only if these sheets surely do not hold all.
    """
    where = dict[frozenset[int], list[Lot]]()
    for lot in lots:
        on = frozenset(k for k, (n, ok) in enumerate(zip(choice, lot.fits, strict=True)) if n and ok)
        if not on:
            return False
        where.setdefault(on, []).append(lot)
    return all(
        _have_room([lot for on, some in where.items() if on <= sheets for lot in some], sheets, choice, there_mm2)
        for sheets in _together(list(where))
    )


def _together(sets: Sequence[frozenset[int]]) -> set[frozenset[int]]:
    """Sets of sheets and what they are joined; of many different ones, each and all."""
    if len(sets) > MOST_SETS:
        return {*sets, frozenset[int]().union(*sets)}
    joined = {frozenset[int]()}
    for one in sets:
        joined |= {one | other for other in joined}
    return joined


def _have_room(lots: Sequence[Lot], sheets: frozenset[int], choice: Choice, there_mm2: Sequence[float]) -> bool:
    """Whether lots that fit nowhere else have area and places enough on these sheets."""
    has = sum(choice[k] * there_mm2[k] for k in sheets)
    if sum(lot.takes_mm2 * lot.count for lot in lots) > has * (1 + HAIR):
        return False
    for least in {lot.takes_mm2 for lot in lots}:
        many = sum(lot.count for lot in lots if lot.takes_mm2 >= least)
        if many > sum(choice[k] * math.floor(there_mm2[k] / least + HAIR) for k in sheets):
            return False
    return True
