"""What of the money owed is likely never paid: the table's shares, corrected by how the shop's own invoices ended."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from decimal import ROUND_HALF_UP, Decimal

from steadyrest.price.owed.account import NOTHING, Stands
from steadyrest.price.owed.ageing import HEAPS, Heap, ageing, heap
from steadyrest.shop.figure import Figure, because
from steadyrest.tables.owed_loss import lost_shares

CENT = Decimal("0.01")


@dataclass(frozen=True, slots=True)
class HeapLoss:
    """One heap. open: to the cent. share: of it likely lost, with its reason. seen: own invoices it learned from."""

    heap: Heap
    open: Decimal
    share: Figure
    seen: int
    expected: Decimal


def expected_loss(invoices: Iterable[Stands], day: date) -> tuple[HeapLoss, ...]:
    """What is likely lost, heap by heap.

    A heap's share is (prior share * weight + sum of the lost shares of its own ended invoices) / (weight + how many).
    An ended invoice counts in its heap on the day it was settled and in every earlier one, for it passed through them.

    Args:
        invoices: all of the shop's, as they stand.
        day: on which it is looked at.
    Returns: every heap, the least late first.
    """
    known = tuple(invoices)
    open_in, past = ageing(known, day), _past(known)
    found: list[HeapLoss] = []
    for at in HEAPS:
        prior, ended = lost_shares()[at], past[at]
        share = (prior.share * prior.weight + sum(ended)) / (prior.weight + len(ended))
        why = because(
            "owed.loss_share", source=prior.source, heap=at, share=f"{100 * share:.1f}",
            prior=f"{100 * prior.share:g}", weight=f"{prior.weight:g}", seen=str(len(ended)),
            lost=f"{sum(ended):.1f}",
        )  # fmt: skip
        expected = (open_in[at] * Decimal(repr(share))).quantize(CENT, ROUND_HALF_UP)
        found.append(HeapLoss(at, open_in[at], Figure(share, "1", (why,)), len(ended), expected))
    return tuple(found)


def _past(invoices: Iterable[Stands]) -> Mapping[Heap, list[float]]:
    """The lost share of each ended invoice, in every heap that it passed through."""
    found: dict[Heap, list[float]] = {name: [] for name in HEAPS}
    for one in invoices:
        if one.settled is None or one.charge.total <= 0 or one.by.get("credit note", NOTHING) >= one.charge.total:
            continue  # one that was credited whole was never owed
        lost = min(float(one.lost / one.charge.total), 1.0)
        for name in HEAPS[: HEAPS.index(heap(one.charge.due, one.settled)) + 1]:
            found[name].append(lost)
    return found
