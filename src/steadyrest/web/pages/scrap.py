"""The scrap bins."""

from __future__ import annotations

from dataclasses import dataclass

from steadyrest.web.pages.top import Top


@dataclass(frozen=True, slots=True)
class BinRow:
    """A bin. says: weight and room; due: it should go now; lines: when a haul pays and why, money. told: its ledger,
    the newest first. seen: its last turn; touches: the forms' marks."""

    name: str
    says: str
    due: str
    lines: tuple[str, ...]
    told: tuple[str, ...]
    seen: int
    touches: tuple[str, str, str]


@dataclass(frozen=True, slots=True)
class ScrapPage:
    """kinds: (key, words) of chips that the table knows. money: whether money is shown and hauls are booked here."""

    top: Top
    guard: str
    rows: tuple[BinRow, ...]
    kinds: tuple[tuple[str, str], ...]
    caution: str
    money: bool
    currency: str
    touch: str
    people: tuple[tuple[str, str], ...]
    trouble: str
