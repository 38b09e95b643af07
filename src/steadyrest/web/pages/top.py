"""What stands on every page."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Top:
    """title: of the window. shop: the shop's name. again_s: seconds until the page asks again without script, or 0."""

    title: str
    shop: str
    again_s: int = 0


@dataclass(frozen=True, slots=True)
class Worded:
    """A figure in words, and why it is so."""

    says: str
    why: tuple[str, ...] = ()
