"""Touches that count once: a form sent twice on a bad link writes its entry once, and gets the same answer again."""

from __future__ import annotations

import re
from datetime import datetime, timedelta

from sqlalchemy import select

from steadyrest.store import schema
from steadyrest.store.opening import Session
from steadyrest.trouble import BadInput

TOKEN = re.compile(r"[A-Za-z0-9_-]{8,64}")
REMEMBERED = timedelta(days=30)


def answered(session: Session, token: str, *, verb: str) -> str | None:
    """What a touch brought when it first came; None if it is the first time, or carries no token.

    Args:
        session: a writing transaction; what follows must be kept in it too.
        token: of the form that was sent; "" counts every time.
        verb: what the form is for.
    Returns: the answer kept, or None.
    Raises: BadInput: a token that is none of ours, or of another form.
    """
    if not token:
        return None
    if not TOKEN.fullmatch(token):
        raise BadInput(where="the form", what="its mark is none of ours.", do="Open the page again.")
    row = schema.touch
    found = session.execute(select(row.c.verb, row.c.answer).where(row.c.token == token)).first()
    if found is None:
        return None
    if found.verb != verb:
        raise BadInput(where="the form", what="it was sent for something else before.", do="Open the page again.")
    return str(found.answer)


def keep(session: Session, token: str, *, verb: str, answer: str, now: datetime) -> None:
    """Keep what a touch brought, in the transaction that wrote it; what is older than 30 days is forgotten."""
    if token:
        row = schema.touch
        session.execute(row.delete().where(row.c.made_at < now - REMEMBERED))
        session.execute(row.insert().values(token=token, verb=verb, made_at=now, answer=answer))
