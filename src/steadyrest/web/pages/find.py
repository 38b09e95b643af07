"""What was found by words, kind by kind."""

from __future__ import annotations

from dataclasses import dataclass

from steadyrest.web.pages.top import Top


@dataclass(frozen=True, slots=True)
class WhereRow:
    """Where words stand. bits: (text, whether it was asked for)."""

    what: str
    bits: tuple[tuple[str, bool], ...]


@dataclass(frozen=True, slots=True)
class HitRow:
    title: str
    address: str
    where: tuple[WhereRow, ...]


@dataclass(frozen=True, slots=True)
class KindRows:
    """kind: in words. more: address of all of them, "" where all are told. full: told at length, and there is more."""

    kind: str
    rows: tuple[HitRow, ...]
    more: str
    full: bool


@dataclass(frozen=True, slots=True)
class FindPage:
    """asked: as typed. only: the one kind that is told, in words, or "". instead: what was looked for instead.

    alone: words that something has, though nothing has all: (word, its address). trouble: what was wrong, or "".
    """

    top: Top
    asked: str
    only: str
    kinds: tuple[KindRows, ...]
    instead: tuple[str, ...]
    alone: tuple[tuple[str, str], ...]
    trouble: str
