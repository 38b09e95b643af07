"""Who may come in: a PIN for each person, and a token for each device that came in with one.

Kept are only hashes. Wrong tries make the next one wait, doubling each time.
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
SHORTEST_PIN = 4
TOKEN_LASTS = timedelta(days=30)


@dataclass(frozen=True, slots=True)
class Tried:
    """What came of a PIN: "right", "wrong", or "wait" (not looked at) until a moment."""

    answer: Literal["right", "wrong", "wait"]
    wait_until: datetime | None = None


def hashed(pin: str, salt: bytes) -> bytes:
    """The PIN's scrypt hash (RFC 7914), some 16 MB and 50 ms of work a try."""
    return hashlib.scrypt(pin.encode(), salt=salt, n=2**14, r=8, p=1, maxmem=2**26, dklen=32)


def set_pin(session: Session, *, person: str, pin: str, owner: bool, now: datetime) -> None:
    """Give a person a PIN, or another one; every device that came in with the old one is out.

    Args:
        session: a writing transaction.
        person: the person's id in the shop file.
        pin: at least four digits.
        owner: may do what only the owner may.
        now: aware moment.
    Raises: BadInput: a PIN that is no PIN.
    """
    if not (pin.isascii() and pin.isdigit() and SHORTEST_PIN <= len(pin) <= 32):
        raise BadInput(where=f"PIN of {person}", what="has to be 4 to 32 digits.", do="Choose another.")
    log_out_everywhere(session, person)
    salt = secrets.token_bytes(16)
    values = {
        "owner": owner, "salt": salt, "hash": hashed(pin, salt), "set_at": now, "wrong_tries": 0, "wait_until": None,
    }  # fmt: skip
    row = schema.person_pin
    if session.execute(row.update().where(row.c.person == person).values(**values)).rowcount == 0:
        session.execute(row.insert().values(person=person, **values))


def anybody(session: Session) -> bool:
    """Whether anybody has a PIN."""
    return bool(session.execute(select(func.count()).select_from(schema.person_pin)).scalar())


def try_pin(session: Session, *, person: str, pin: str, now: datetime) -> Tried:
    """Try a PIN. Commit whatever the answer: wrong tries have to count.

    Args:
        session: a writing transaction.
        person, pin: as given.
        now: aware moment.
    Returns: right, wrong, or to wait; an unknown person is as wrong, and as slow, as a wrong PIN.
    """
    row = schema.person_pin
    known = session.execute(select(row).where(row.c.person == person)).first()
    if known is None:
        hashed(pin, b"nobody's sixteen")
        return Tried("wrong")
    if known.wait_until is not None and now < known.wait_until:
        return Tried("wait", known.wait_until)
    if hmac.compare_digest(hashed(pin, known.salt), known.hash):
        session.execute(row.update().where(row.c.person == person).values(wrong_tries=0, wait_until=None))
        return Tried("right")
    tries = known.wrong_tries + 1
    wait_s = min(LONGEST_WAIT_S, 2 ** (tries - FREE_TRIES)) if tries >= FREE_TRIES else 0
    until = now + timedelta(seconds=wait_s) if wait_s else None
    session.execute(row.update().where(row.c.person == person).values(wrong_tries=tries, wait_until=until))
    return Tried("wrong", until)


def log_in(session: Session, *, person: str, now: datetime) -> str:
    """A token for a device of this person, after a right PIN.

    Returns: the token, to be kept by the device alone; lasts 30 days.
    """
    token = secrets.token_urlsafe(32)
    row = schema.token
    session.execute(row.delete().where(row.c.ends_at <= now))
    session.execute(row.insert().values(digest=digest(token), person=person, made_at=now, ends_at=now + TOKEN_LASTS))
    return token


def who(session: Session, *, token: str, now: datetime) -> tuple[str, bool] | None:
    """Whose token this is, and whether that is an owner; None if nobody's or no longer."""
    row, person = schema.token.c, schema.person_pin.c
    found = session.execute(
        select(row.person, person.owner).join(schema.person_pin).where(row.digest == digest(token), row.ends_at > now)
    ).first()
    return None if found is None else (found.person, found.owner)


def log_out(session: Session, token: str) -> None:
    """End this token."""
    session.execute(schema.token.delete().where(schema.token.c.digest == digest(token)))


def log_out_everywhere(session: Session, person: str) -> None:
    """End every token of a person."""
    session.execute(schema.token.delete().where(schema.token.c.person == person))


def digest(token: str) -> bytes:
    return hashlib.sha256(token.encode()).digest()
