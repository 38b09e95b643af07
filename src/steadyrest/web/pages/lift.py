"""May it be lifted, hung, set on the table, towed."""

from __future__ import annotations

from dataclasses import dataclass

from steadyrest.web.pages.top import Top, Worded


@dataclass(frozen=True, slots=True)
class Verdict:
    """says: the answer in few words. may: nothing here speaks against it. figures: each with its reasons."""

    says: str
    may: bool
    figures: tuple[tuple[str, Worded], ...]
    cannot: tuple[str, ...]
    cautions: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class LiftPage:
    """how: which of the four forms was sent; "" for none. typed: what stands in its fields, by their names.

    verdict: its answer; None: nothing was asked, or it could not be meant: then trouble says why."""

    top: Top
    unit: str
    how: str
    typed: dict[str, str]
    verdict: Verdict | None
    trouble: str
