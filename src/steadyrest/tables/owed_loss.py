"""What share of an invoice is commonly never paid, by how late it is: where a shop with no past of its own begins."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from steadyrest.tables.rows import rows


@dataclass(frozen=True, slots=True)
class LostShare:
    """share: of what is open, 0 to 1. weight: it counts as much as so many invoices of the shop's own."""

    share: float
    weight: float
    source: str
    standing: str


@cache
def lost_shares() -> Mapping[str, LostShare]:
    """The prior shares.

    Returns: by the heap's name, the least late first.
    """
    return {
        row.text("heap"): LostShare(
            row.number("lost_share"), row.number("weight"), row.text("source"), row.text("standing")
        )
        for row in rows("owed_loss")
    }
