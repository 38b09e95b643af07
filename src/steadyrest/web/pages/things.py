"""Things of the shop, and one of them."""

from __future__ import annotations

from dataclasses import dataclass

from steadyrest.web.pages.top import Top


@dataclass(frozen=True, slots=True)
class ThingRow:
    """matter: what is the matter with it, "" for nothing. says: where it is and how. photo: there is one."""

    number: int
    kind: str
    name: str
    matter: str
    says: str
    photo: str


@dataclass(frozen=True, slots=True)
class ThingsPage:
    """matters: those that ask for something. others: (kind, rows). machines: of the shop file. gauges: its ids."""

    top: Top
    guard: str
    touch: str
    matters: tuple[ThingRow, ...]
    others: tuple[tuple[str, tuple[ThingRow, ...]], ...]
    kinds: tuple[str, ...]
    kind: str
    people: tuple[tuple[str, str], ...]
    names: tuple[str, ...]
    trouble: str


@dataclass(frozen=True, slots=True)
class ThingPage:
    """why: of the figure that says when to order. told: what happened to it, newest first. seen: its turn.

    counted, served: which forms it has.
    """

    top: Top
    guard: str
    touches: tuple[str, str]
    row: ThingRow
    facts: tuple[tuple[str, str], ...]
    why: tuple[str, ...]
    told: tuple[str, ...]
    seen: int
    counted: bool
    served: bool
    gone: bool
    people: tuple[tuple[str, str], ...]
    trouble: str
