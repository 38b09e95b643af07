"""The page to come in by, filled."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from datetime import datetime

from steadyrest.desk.floor.who import CameIn, PersonKnown
from steadyrest.shop.floor import Shop
from steadyrest.store.people import Device
from steadyrest.units import show_time
from steadyrest.web.at_screen import Screen
from steadyrest.web.pages.signin import DeviceRow, SignInPage
from steadyrest.web.pages.top import Top
from steadyrest.wording.moments import moment

ROLES = {"owner": "owner: may do everything", "hand": "hand"}
# What desk/floor/who.py and web/allowed.py keep from a hand, as a person reads it.
MAY_NOT = (
    "see prices, quotes, invoices and money owed: that is between the owner and the customer",
    "say yes or no to a customer: one person answers for what was said",
    "change the shop's figures: every price and promise follows from them",
    "give or take PINs, or read who changed what",
)


def page(
    shop: Shop, known: Sequence[PersonKnown], screen: Screen, *, guard: str, back: str, came_in: CameIn | None,
    person: str, certificate: bool, now: datetime, calendar: str = "",
) -> SignInPage:  # fmt: skip
    """The page.

    Args:
        shop: whose it is.
        known: everybody. screen: who is at it.
        guard: token for its forms. back: where to go on.
        came_in: what came of the last try. person: whose PIN it was.
        certificate: there is one to put on this device. now: aware moment.
        calendar: the address of their calendar, just made.
    Returns: the page.
    """
    pins = tuple((one.id, one.name) for one in known if one.role is not None)
    who = screen.who
    mine = next((one for one in known if who is not None and who.signed_in and one.id == who.id), None)
    return SignInPage(
        top=Top("Sign in" if mine is None else f"{mine.name} is in", shop.name),
        guard=guard,
        people=pins,
        person=person if person in dict(pins) else "",
        trouble=trouble(came_in, now) if came_in is not None else "",
        back=back,
        is_in=f"{mine.name}, {ROLES[mine.role]}" if mine is not None and mine.role is not None else "",
        open_to_all=not pins,
        certificate=certificate,
        may_not=MAY_NOT if who is not None and not who.is_owner else (),
        devices=tuple(device_row(one, screen.key, shop.timezone) for one in mine.devices) if mine is not None else (),
        calendar=calendar,
    )


def trouble(came_in: CameIn, now: datetime) -> str:
    """Why they are not in."""
    until = came_in.tried.wait_until
    wait = f"Wait {show_time(max(1.0, (until - now).total_seconds()))}, then try again." if until is not None else ""
    if came_in.tried.answer == "wait":
        return f"Too many wrong PINs: this one was not looked at. {wait}"
    return f"This is not the PIN. {wait or 'Try again.'}"


def device_row(one: Device, key: str, zone: str) -> DeviceRow:
    """A device in one line."""
    this = bool(key) and hashlib.sha256(key.encode()).hexdigest().startswith(one.key)
    return DeviceRow(one.key, one.name, f"came in {moment(one.made_at, zone)}, seen {moment(one.seen_at, zone)}", this)
