"""Who is at the screen, and who may do what: PINs, devices, the two roles.

An owner may do everything. A hand runs the floor: takes parts in, clocks, measures, cuts from the rack, checks
programs. A hand sees no prices and no money owed, and does not change the shop's figures, PINs, or what a customer was
told: one person answers for those. Until somebody has a PIN there is one person, the owner, at this machine.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Literal

from steadyrest.shop.floor import Shop
from steadyrest.store import ledger, people
from steadyrest.store.opening import Session, Store
from steadyrest.store.people import Device, Tried
from steadyrest.trouble import BadInput

Role = Literal["owner", "hand"]
LONGEST_NAME = 40
# Said once, and not at every try: a thousand wrong tries must not fill the record.
SAID_AT = 3
A_CALENDAR = "a calendar"


@dataclass(frozen=True, slots=True)
class Who:
    """The person at the screen. id: as in the shop file, or "owner" where nobody has a PIN yet. signed_in: by a PIN."""

    id: str
    name: str
    role: Role
    signed_in: bool = True

    @property
    def is_owner(self) -> bool:
        """Whether they may do what only the owner may."""
        return self.role == "owner"


OWNER_HERE = Who("owner", "the owner", "owner", signed_in=False)


@dataclass(frozen=True, slots=True)
class PersonKnown:
    """One of the shop's people, or somebody with a PIN who is in its file no more. role: None without a PIN."""

    id: str
    name: str
    role: Role | None
    since: datetime | None
    devices: tuple[Device, ...]


def pins_are_set(store: Store) -> bool:
    """Whether anybody has a PIN, so that everybody has to sign in."""
    with store.reading() as session:
        return people.anybody(session)


def at_screen(store: Store, shop: Shop, *, token: str, now: datetime) -> Who | None:
    """Whose device this is.

    Args:
        store: an open data folder.
        shop: who works there.
        token: the device's; "" for none.
        now: aware moment.
    Returns: the person; the owner where nobody has a PIN; None: nobody who came in.
    """
    with store.reading() as session:
        if not people.anybody(session):
            return OWNER_HERE
        found = people.who(session, token=token, now=now) if token else None
        lately = found is None or people.seen_lately(session, token=token, now=now)
    if found is None:
        return None
    if not lately:
        with store.writing() as session:
            people.see(session, token=token, now=now)
    person, owner = found
    return Who(person, name_of(shop, person), "owner" if owner else "hand")


def name_of(shop: Shop, person: str) -> str:
    """A person's name; their id where the shop file has them no more."""
    return next((one.name for one in shop.people if one.id == person), person)


@dataclass(frozen=True, slots=True)
class CameIn:
    """What came of signing in. token: for the device, where the PIN was right."""

    tried: Tried
    token: str = ""


def sign_in(store: Store, *, person: str, pin: str, device: str, remember: bool, here: bool, now: datetime) -> CameIn:
    """Try to come in.

    Args:
        store: an open data folder.
        person, pin: as given.
        device: what the device is called. remember: for 30 days, and not for 12 hours.
        here: at the machine that serves.
        now: aware moment.
    Returns: the token, or why not.
    """
    with store.reading() as session:
        # Looked at before the write lock is taken: a thousand wrong tries hold nobody else up.
        until = people.waits_until(session, person=person, here=here, now=now)
        known = until is None and any(one.person == person for one in people.known(session))
    if until is not None:
        return CameIn(Tried("wait", until))
    if not known:
        return CameIn(Tried("wrong"))
    with store.writing() as session:
        tried = people.try_pin(session, person=person, pin=pin, now=now, here=here)
        if tried.answer == "right":
            token = people.log_in(session, person=person, now=now, device=named(device), remember=remember)
            said(session, "came in", by=person, now=now, person=person, device=named(device))
            return CameIn(tried, token)
        if tried.answer == "wrong" and tried.tries == SAID_AT:
            place = "here" if here else "afar"
            said(session, "wrong PIN", by=person, now=now, person=person, tries=tried.tries, place=place)
    return CameIn(tried)


def give_calendar_key(store: Store, *, person: str, now: datetime) -> str:
    """A key for this person's calendar program, which cannot type a PIN: it reads calendars and nothing else.

    Args:
        store: an open data folder.
        person: who is in. now: aware moment.
    Returns: the key; it is shown this once.
    """
    with store.writing() as session:
        key = people.calendar_key(session, person=person, now=now, device=A_CALENDAR)
        said(session, "calendar key given", by=person, now=now, person=person)
    return key


def sign_out(store: Store, token: str) -> None:
    """End this device's stay."""
    with store.writing() as session:
        people.log_out(session, token)


def everybody(store: Store, shop: Shop, *, now: datetime) -> tuple[PersonKnown, ...]:
    """Everybody, with role and devices.

    Args:
        store: an open data folder.
        shop: who works there.
        now: aware moment.
    Returns: the shop file's people in its order, then those with a PIN whom it has no more.
    """
    with store.reading() as session:
        pins = {one.person: one for one in people.known(session)}
        devices = people.devices(session, now=now)
    ids = (*(one.id for one in shop.people), *(one for one in pins if one not in {p.id for p in shop.people}))
    return tuple(
        PersonKnown(
            one,
            name_of(shop, one),
            ("owner" if pins[one].owner else "hand") if one in pins else None,
            pins[one].set_at if one in pins else None,
            tuple(device for device in devices if device.person == one),
        )
        for one in ids
    )


def give_pin(store: Store, shop: Shop, *, person: str, pin: str, role: Role, by: str, now: datetime) -> None:
    """Give somebody a PIN, or another one; their devices have to come in anew.

    Args:
        store: an open data folder.
        shop: who works there.
        person: the shop file's id.
        pin: as typed. role: what they may do.
        by: who gives it.
        now: aware moment.
    Raises: BadInput: nobody of this name, no PIN, or nobody would be left who may do what an owner may.
    """
    if person not in {one.id for one in shop.people}:
        what = f"there is nobody called {person[:40]!r}."
        raise BadInput(where="the shop file", what=what, do=f"Its people are: {', '.join(p.id for p in shop.people)}.")
    with store.writing() as session:
        if role == "hand":
            an_owner_stays(session, without=person)
        people.set_pin(session, person=person, pin=pin, owner=role == "owner", now=now)
        said(session, "PIN given", by=by, now=now, person=person, role=role)


def take_pin(store: Store, *, person: str, by: str, now: datetime) -> None:
    """Take somebody's PIN back: they are out at once.

    Args:
        store: an open data folder.
        person: who. by: who takes it.
        now: aware moment.
    Raises: BadInput: they have none, or others are left and no owner among them.
    """
    with store.writing() as session:
        pins = {one.person for one in people.known(session)}
        if person not in pins:
            raise BadInput(where=f"PIN of {person[:40]}", what="there is none.", do="See the list.")
        if pins - {person}:
            an_owner_stays(session, without=person)
        people.take_pin(session, person)
        said(session, "PIN taken back", by=by, now=now, person=person)


def take_device_back(store: Store, *, key: str, by: str, now: datetime, only_of: str | None = None) -> str:
    """End a device's stay.

    Args:
        store: an open data folder.
        key: the device's. by: who takes it back.
        now: aware moment.
        only_of: only a device of this person.
    Returns: whose it was.
    Raises: BadInput: there is no such device (any more).
    """
    with store.writing() as session:
        there = {one.key: one for one in people.devices(session, now=now)}
        if key not in there or only_of not in (None, there[key].person):
            raise BadInput(where="the device", what="it is not in any more.", do="See the list.")
        whose = people.take_back(session, key) or ""
        said(session, "device taken back", by=by, now=now, person=whose, device=there[key].name)
    return whose


def an_owner_stays(session: Session, *, without: str) -> None:
    """Raises: BadInput: without this person nobody with a PIN would be an owner."""
    if not any(one.owner for one in people.known(session) if one.person != without):
        what = "nobody would be left who may do what only the owner may."
        raise BadInput(where=f"PIN of {without}", what=what, do="Give another person an owner's PIN first.")


def said(session: Session, kind: str, *, by: str, now: datetime, **body: str | int) -> None:
    """Write it into the shop's record, for who asks later who changed what; never a PIN or a token."""
    ledger.write_down(session, job_id=None, kind=kind, who=by, happened=now, told=now, body=body)


def named(device: str) -> str:
    """What a device is called, as one short line."""
    plain = "".join(sign for sign in device if sign.isprintable())
    return " ".join(plain.split())[:LONGEST_NAME] or "a device"
