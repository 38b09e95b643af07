"""Something is not there, or did not work."""

from __future__ import annotations

from dataclasses import dataclass

from steadyrest.web.pages.top import Top


@dataclass(frozen=True, slots=True)
class TroublePage:
    top: Top
    what: str
    do: str
