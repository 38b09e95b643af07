"""Somebody alone: who is watched, how to begin, what is never done."""

from __future__ import annotations

from dataclasses import dataclass

from steadyrest.web.pages.top import Top


@dataclass(frozen=True, slots=True)
class WatchRow:
    """Somebody alone. says: since when, and when they are asked. state: "" or what went wrong. story: what happened."""

    number: int
    name: str
    says: str
    trouble: str
    contact: str
    story: tuple[str, ...]
    touch: str


@dataclass(frozen=True, slots=True)
class RulesForm:
    """What the owner said, in the form's fields. has_password: one is kept."""

    contact: str
    email: str
    every_min: int
    answer_min: int
    host: str
    port: str
    security: str
    user: str
    sender: str
    has_password: bool
    ways: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class AlonePage:
    """watches: who is alone now. offered: who seems to be, by the clock. writes: who is written to, in words."""

    top: Top
    guard: str
    touch: str
    trouble: str
    done: str
    watches: tuple[WatchRow, ...]
    offered: str
    people: tuple[tuple[str, str], ...]
    me: str
    contact: str
    every_min: int
    writes: str
    never: tuple[str, ...]
    cautions: tuple[str, ...]
    rules: RulesForm | None
