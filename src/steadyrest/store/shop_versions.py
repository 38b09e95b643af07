"""Versions of the shop file: its text as it was, who changed it, when and why. Only ever added to."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import select

from steadyrest.store import schema
from steadyrest.store.opening import Session
from steadyrest.store.rows import add

BY_HAND = "by hand"


@dataclass(frozen=True, slots=True)
class ShopVersion:
    """number: counts from 1. told: when it came into force here."""

    number: int
    sha256: str
    text: str
    who: str
    told: datetime
    why: str


def note(session: Session, text: str, *, who: str, why: str, told: datetime) -> ShopVersion:
    """Note a text of the shop file, unless it is the one in force.

    Args:
        session: a writing transaction.
        text: the whole file.
        who, why: changed it; BY_HAND where nobody said.
        told: aware moment.
    Returns: the version in force now.
    """
    sha256 = hashlib.sha256(text.encode()).hexdigest()
    last = latest(session)
    if last is not None and last.sha256 == sha256:
        return last
    number = add(session, schema.shop_version, sha256=sha256, text=text, who=who, told=told, why=why)
    return ShopVersion(number, sha256, text, who, told, why)


def latest(session: Session) -> ShopVersion | None:
    """The version in force; None if there is none yet."""
    row = schema.shop_version
    found = session.execute(select(row).order_by(row.c.id.desc()).limit(1)).first()
    return None if found is None else ShopVersion(*found)


def versions(session: Session) -> tuple[ShopVersion, ...]:
    """Every version, the first first."""
    return tuple(ShopVersion(*one) for one in session.execute(select(schema.shop_version).order_by("id")))
