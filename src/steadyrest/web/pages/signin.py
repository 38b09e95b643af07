"""The page to come in by, and who is in."""

from __future__ import annotations

from dataclasses import dataclass

from steadyrest.web.pages.top import Top


@dataclass(frozen=True, slots=True)
class DeviceRow:
    """A device that is in. key: by which it is taken back. this: it is the one that shows the page."""

    key: str
    name: str
    says: str
    this: bool


@dataclass(frozen=True, slots=True)
class SignInPage:
    """people: (id, name) of those with a PIN. person: who was chosen. trouble: why they are not in.

    is_in: who is in, in words; "" for nobody. open_to_all: nobody has a PIN yet. devices: of who is in.

    certificate: there is one to put on this device. calendar: the address of their calendar, just made.
    """

    top: Top
    guard: str
    people: tuple[tuple[str, str], ...]
    person: str
    trouble: str
    back: str
    is_in: str
    open_to_all: bool
    certificate: bool
    may_not: tuple[str, ...]
    devices: tuple[DeviceRow, ...]
    calendar: str
