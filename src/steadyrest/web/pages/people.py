"""The people: PINs, roles, devices."""

from __future__ import annotations

from dataclasses import dataclass

from steadyrest.web.pages.signin import DeviceRow
from steadyrest.web.pages.top import Top


@dataclass(frozen=True, slots=True)
class PersonRow:
    """One person. says: role and since when. role: "" without a PIN. me: it is who looks. may_take: it may be taken.

    first: nobody has a PIN, so that this one has to be an owner's.
    """

    id: str
    name: str
    says: str
    role: str
    me: bool
    may_take: bool
    first: bool
    devices: tuple[DeviceRow, ...]


@dataclass(frozen=True, slots=True)
class PeoplePage:
    """rows: everybody. may_not: what a hand does not do."""

    top: Top
    guard: str
    trouble: str
    none_yet: bool
    rows: tuple[PersonRow, ...]
    may_not: tuple[str, ...]
