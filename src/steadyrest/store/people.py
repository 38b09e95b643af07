"""Who may come in: a PIN or a password for each person, and the devices that came in with one.

Kept are only hashes. Wrong tries make the next one wait, doubling each time, counted apart for the machine itself and
for everywhere else: whoever guesses from afar cannot keep the owner out who stands at it.
"""

from __future__ import annotations

import hashlib
import hmac
import secrets
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Literal

from sqlalchemy import func, select

from steadyrest.store import schema
from steadyrest.store.opening import Session
from steadyrest.trouble import BadInput

FREE_TRIES = 3
LONGEST_WAIT_S = 900
LONGEST_WAIT_HERE_S = 30
SHORTEST_PIN = 4
SHORTEST_PASSWORD = 8
LONGEST = 128
# The cost of one try (RFC 7914): N = 2**14 blocks of r = 8, p = 1: 16 MB.
SCRYPT_N, SCRYPT_R, SCRYPT_P, SCRYPT_MEMORY, HASH_BYTES = 2**14, 8, 1, 2**26, 32
SALT_BYTES = 16
TOKEN_LASTS = timedelta(days=30)
UNREMEMBERED_LASTS = timedelta(hours=12)
SEEN_EVERY = timedelta(minutes=10)
CALENDAR_LASTS = timedelta(days=366)
CALENDAR = "calendar."  # so begins the key of a calendar: it opens calendars and comes in nowhere else


@dataclass(frozen=True, slots=True)
class Tried:
    """What came of a PIN: "right", "wrong", or "wait" (not looked at) until a moment. tries: wrong ones in a row."""

    answer: Literal["right", "wrong", "wait"]
    wait_until: datetime | None = None
    tries: int = 0


@dataclass(frozen=True, slots=True)
class Known:
    """A person who has a PIN. owner: may do what only the owner may."""

    person: str
    owner: bool
    set_at: datetime


@dataclass(frozen=True, slots=True)
class Device:
    """A device that came in. key: the first signs of its token's hash, by which it is called and taken back."""

    key: str
    person: str
    name: str
    made_at: datetime
    seen_at: datetime
    ends_at: datetime


def hashed(pin: str, salt: bytes) -> bytes:
    """The scrypt hash of a PIN or password (RFC 7914), some 16 MB and 50 ms of work a try."""
    return hashlib.scrypt(
        pin.encode(errors="replace"),
        salt=salt,
        n=SCRYPT_N,
        r=SCRYPT_R,
        p=SCRYPT_P,
        maxmem=SCRYPT_MEMORY,
        dklen=HASH_BYTES,
    )


def set_pin(session: Session, *, person: str, pin: str, owner: bool, now: datetime) -> None:
    """Give a person a PIN, or another one; every device that came in with the old one is out.

    Args:
        session: a writing transaction.
        person: the person's id in the shop file.
        pin: four digits at least, or a password of eight signs at least.
        owner: may do what only the owner may.
        now: aware moment.
    Raises: BadInput: a PIN that is no PIN.
    """
    digits = pin.isascii() and pin.isdigit()
    if not (SHORTEST_PIN if digits else SHORTEST_PASSWORD) <= len(pin) <= LONGEST or not pin.isprintable():
        what = "has to be four digits at least, or a password of eight signs at least."
        raise BadInput(where=f"PIN of {person}", what=what, do="Choose another.")
    log_out_everywhere(session, person)
    salt = secrets.token_bytes(SALT_BYTES)
    values = {
        "owner": owner, "salt": salt, "hash": hashed(pin, salt), "set_at": now, "wrong_here": 0, "wrong_afar": 0,
        "wait_here": None, "wait_afar": None,
    }  # fmt: skip
    row = schema.person_pin
    if session.execute(row.update().where(row.c.person == person).values(**values)).rowcount == 0:
        session.execute(row.insert().values(person=person, **values))


def take_pin(session: Session, person: str) -> None:
    """Take a person's PIN back, and every device with it."""
    log_out_everywhere(session, person)
    session.execute(schema.person_pin.delete().where(schema.person_pin.c.person == person))


def anybody(session: Session) -> bool:
    """Whether anybody has a PIN."""
    return bool(session.execute(select(func.count()).select_from(schema.person_pin)).scalar())


def known(session: Session) -> tuple[Known, ...]:
    """Everybody who has a PIN, by id."""
    row = schema.person_pin.c
    found = session.execute(select(row.person, row.owner, row.set_at).order_by(row.person))
    return tuple(Known(one.person, one.owner, one.set_at) for one in found)


def waits_until(session: Session, *, person: str, here: bool, now: datetime) -> datetime | None:
    """Until when no PIN of this person is looked at; None: it is at once. Arguments as in `try_pin`."""
    row = schema.person_pin.c
    column = row.wait_here if here else row.wait_afar
    until = session.execute(select(column).where(row.person == person)).scalar()
    return until if until is not None and now < until else None


def try_pin(session: Session, *, person: str, pin: str, now: datetime, here: bool = False) -> Tried:
    """Try a PIN. Commit whatever the answer: wrong tries have to count.

    Args:
        session: a writing transaction.
        person, pin: as given.
        now: aware moment.
        here: at the machine that serves, and not from another one.
    Returns: right, wrong, or to wait; an unknown person is as wrong, and as slow, as a wrong PIN.
    """
    row = schema.person_pin
    tried, waits = ("wrong_here", "wait_here") if here else ("wrong_afar", "wait_afar")
    known = session.execute(
        select(row.c.salt, row.c.hash, row.c[tried].label("tries"), row.c[waits].label("until")).where(
            row.c.person == person
        )
    ).first()
    if known is None:
        hashed(pin[:LONGEST], b"nobody's sixteen")
        return Tried("wrong")
    if known.until is not None and now < known.until:
        return Tried("wait", known.until, known.tries)
    if hmac.compare_digest(hashed(pin[: LONGEST + 1], known.salt), known.hash):
        session.execute(row.update().where(row.c.person == person).values({tried: 0, waits: None}))
        return Tried("right")
    tries = known.tries + 1
    longest_s = LONGEST_WAIT_HERE_S if here else LONGEST_WAIT_S
    wait_s = min(longest_s, 2 ** min(tries - FREE_TRIES, 20)) if tries >= FREE_TRIES else 0
    until = now + timedelta(seconds=wait_s) if wait_s else None
    session.execute(row.update().where(row.c.person == person).values({tried: tries, waits: until}))
    return Tried("wrong", until, tries)


def log_in(session: Session, *, person: str, now: datetime, device: str = "", remember: bool = True) -> str:
    """A token for a device of this person, after a right PIN.

    Args:
        session: a writing transaction.
        person: who came in.
        now: aware moment.
        device: what its people call it.
        remember: for 30 days, and not for 12 hours.
    Returns: the token, to be kept by the device alone.
    """
    token = secrets.token_urlsafe(32)
    row = schema.token
    session.execute(row.delete().where(row.c.ends_at <= now))
    ends_at = now + (TOKEN_LASTS if remember else UNREMEMBERED_LASTS)
    session.execute(
        row.insert().values(
            digest=digest(token), person=person, device=device, made_at=now, seen_at=now, ends_at=ends_at
        )
    )
    return token


def calendar_key(session: Session, *, person: str, now: datetime, device: str) -> str:
    """A key with which a calendar program asks for this person's week, for a year.

    Args:
        session: a writing transaction.
        person: whose. now: aware moment.
        device: what its people call it, in the list of devices.
    Returns: the key, to be kept by that program alone.
    """
    key = CALENDAR + secrets.token_urlsafe(32)
    row = {"digest": digest(key), "person": person, "device": device, "made_at": now, "seen_at": now}
    session.execute(schema.token.insert().values(**row, ends_at=now + CALENDAR_LASTS))
    return key


def who(session: Session, *, token: str, now: datetime) -> tuple[str, bool] | None:
    """Whose token this is, and whether that is an owner; None if nobody's or no longer."""
    row, person = schema.token.c, schema.person_pin.c
    found = session.execute(
        select(row.person, person.owner).join(schema.person_pin).where(row.digest == digest(token), row.ends_at > now)
    ).first()
    return None if found is None else (found.person, found.owner)


def seen_lately(session: Session, *, token: str, now: datetime) -> bool:
    """Whether it was noted in the last ten minutes that this token's device is in use."""
    row = schema.token.c
    at = session.execute(select(row.seen_at).where(row.digest == digest(token))).scalar()
    return at is not None and now - at < SEEN_EVERY


def see(session: Session, *, token: str, now: datetime) -> None:
    """Note that this token's device is in use."""
    row = schema.token
    session.execute(row.update().where(row.c.digest == digest(token)).values(seen_at=now))


def devices(session: Session, *, now: datetime) -> tuple[Device, ...]:
    """Every device that is in, by person, the one seen last first."""
    row = schema.token.c
    found = session.execute(select(schema.token).where(row.ends_at > now).order_by(row.person, row.seen_at.desc()))
    return tuple(
        Device(one.digest.hex()[:16], one.person, one.device, one.made_at, one.seen_at, one.ends_at) for one in found
    )


def take_back(session: Session, key: str) -> str | None:
    """End the token of a device. Returns: whose it was; None: there is no such device."""
    row = schema.token
    for one in session.execute(select(row.c.digest, row.c.person)).all():
        if one.digest.hex()[:16] == key:
            session.execute(row.delete().where(row.c.digest == one.digest))
            return str(one.person)
    return None


def log_out(session: Session, token: str) -> None:
    """End this token."""
    session.execute(schema.token.delete().where(schema.token.c.digest == digest(token)))


def log_out_everywhere(session: Session, person: str) -> None:
    """End every token of a person."""
    session.execute(schema.token.delete().where(schema.token.c.person == person))


def digest(token: str) -> bytes:
    return hashlib.sha256(token.encode(errors="replace")).digest()
