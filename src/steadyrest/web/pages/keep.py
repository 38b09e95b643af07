"""Keep or scrap: each piece of the rack, and what serves what is usually asked."""

from __future__ import annotations

from dataclasses import dataclass

from steadyrest.web.pages.top import Top


@dataclass(frozen=True, slots=True)
class KeepRow:
    """A piece judged. says: keep or scrap; worth: kept and as scrap, "" where no money is shown; why: in words."""

    label: str
    what: str
    says: str
    worth: str
    why: str
    keep: bool


@dataclass(frozen=True, slots=True)
class RushRow:
    """A size that is asked for. times: how often it was; serves: labels of pieces that could give it now."""

    what: str
    length: str
    times: int
    serves: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class KeepPage:
    """scrap, keep: rows by judgement. rush: what is asked most."""

    top: Top
    scrap: tuple[KeepRow, ...]
    keep: tuple[KeepRow, ...]
    rush: tuple[RushRow, ...]
