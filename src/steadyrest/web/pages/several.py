"""Put several parts in: a parts list with the files that it names."""

from __future__ import annotations

from dataclasses import dataclass

from steadyrest.web.pages.top import Top


@dataclass(frozen=True, slots=True)
class SeveralPage:
    """trouble: the one line that says what was wrong with the last try, or "". example: a list to begin with."""

    top: Top
    trouble: str
    example: str
    guard: str
