"""What is owed: by how late, by customer; and the forms by which money is written down."""

from __future__ import annotations

from dataclasses import dataclass

from steadyrest.web.pages.top import Top


@dataclass(frozen=True, slots=True)
class HeapRow:
    """A heap. lost: what of it is likely lost; why: with which share, and from what."""

    name: str
    open: str
    lost: str
    why: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class OwesRow:
    """A customer who owes, or whose money is held. late: "" where nothing is."""

    number: int
    name: str
    owed: str
    late: str
    held: str
    credit: str


@dataclass(frozen=True, slots=True)
class OwedPage:
    """aims: where money may go, as (value, words). open: invoices, open ones and then the newest settled. holders:
    customers whose money is held. any: something is open, so there is a picture. touch: begins each form's mark.
    """

    top: Top
    guard: str
    day: str
    owed: str
    any: bool
    heaps: tuple[HeapRow, ...]
    lost: str
    rows: tuple[OwesRow, ...]
    other: tuple[str, ...]
    aims: tuple[tuple[str, str], ...]
    open: tuple[tuple[int, str], ...]
    jobs: tuple[tuple[int, str], ...]
    holders: tuple[tuple[str, str], ...]
    today: str
    hows: tuple[str, ...]
    people: tuple[tuple[str, str], ...]
    touch: str
    trouble: str
