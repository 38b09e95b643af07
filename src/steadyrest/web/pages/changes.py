"""Who changed what."""

from __future__ import annotations

from dataclasses import dataclass

from steadyrest.web.pages.top import Top


@dataclass(frozen=True, slots=True)
class ChangeRow:
    """One entry. what: of which kind. said: what it holds. when: told; happened: if that was another time."""

    who: str
    what: str
    job: int
    said: str
    when: str
    happened: str


@dataclass(frozen=True, slots=True)
class ChangesPage:
    """who: whose alone; people: (id, name) to choose from. older: the address of what was told before; "" for none."""

    top: Top
    who: str
    people: tuple[tuple[str, str], ...]
    rows: tuple[ChangeRow, ...]
    older: str
