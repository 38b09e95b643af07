"""A part that came back, beside the job before."""

from __future__ import annotations

from dataclasses import dataclass

from steadyrest.web.pages.revisions import DifferenceRow
from steadyrest.web.pages.top import Top


@dataclass(frozen=True, slots=True)
class ThenAndNowPage:
    """rows: (what, then, now). differs: the part's; summary: how much of it. notes: (who and when, words, photo).

    programs, fixtures: in words.
    """

    top: Top
    number: int
    before: int
    what: str
    rows: tuple[tuple[str, str, str], ...]
    summary: str
    differs: tuple[DifferenceRow, ...]
    notes: tuple[tuple[str, str, str], ...]
    programs: tuple[str, ...]
    fixtures: tuple[tuple[int, str], ...]
