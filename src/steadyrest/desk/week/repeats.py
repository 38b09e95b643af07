"""Parts that were made before: which time it is, by the file that came, and what repeats teach."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from datetime import datetime

from sqlalchemy import select

from steadyrest.desk.at_hand import AtHand
from steadyrest.desk.week.own_past import WON, own_quotes
from steadyrest.promise.lessons.past import Quote
from steadyrest.promise.lessons.repeats import Made, Repeats, repeats
from steadyrest.promise.lessons.told import Lessons
from steadyrest.store import schema
from steadyrest.store.opening import Session, Store


def times_made(session: Session) -> dict[int, tuple[str, int]]:
    """Which part each job makes, and which time it is; by the very file: what only looks alike is another.

    Args:
        session: a transaction.
    Returns: job's number to (hash of the file, from 1); jobs that were taken, and have one part that came as a file.
    """
    job, part, state = schema.job.c, schema.part.c, schema.job_state.c
    asked = (
        select(job.number, part.file_sha256)
        .join_from(schema.job, schema.part)
        .join(schema.job_state, state.job_id == job.id)
        .where(state.state.in_(WON))
        .order_by(job.number)
    )
    files: dict[int, set[str]] = {}
    for number, name in session.execute(asked):
        files.setdefault(number, set()).add(name or "")
    found: dict[int, tuple[str, int]] = {}
    seen = Counter[str]()
    for number, (file, *more) in files.items():
        if file and not more:
            seen[file] += 1
            found[number] = (file, seen[file])
    return found


MADE: AtHand[tuple[int, tuple[str, int]]] = AtHand()


def made_again(store: Store, told: Lessons, *, now: datetime) -> Repeats | None:
    """What work done again teaches.

    Args:
        store: an open data folder.
        told: what all work teaches.
        now: aware moment.
    Returns: None where no part was made twice.
    """
    times = dict(MADE.of(store, lambda session: tuple(times_made(session).items())))
    spread = math.hypot(told.job_spread, told.own_spread)
    return repeats(made(own_quotes(store, now=now), times), shop=math.log(told.shop.p50), spread=spread)


def made(quotes: Sequence[Quote], times: dict[int, tuple[str, int]]) -> list[Made]:
    """Every time that a part was made, with what it took against its estimate."""
    found: list[Made] = []
    for quote in quotes:
        part = times.get(int(quote.job))
        if part is not None and quote.actual_s:
            found.append(Made(*part, math.log(quote.actual_s / quote.estimate_s)))
    return found
