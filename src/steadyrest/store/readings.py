"""Readings of finished parts, and what became of parts that were wrong: entries of the job's ledger.

A correction is a new entry that replaces an old one; what stands is what was told last.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Literal, cast

from steadyrest.store import ledger
from steadyrest.store.jobs import JobId
from steadyrest.store.ledger import EntryId
from steadyrest.store.opening import Session

MEASURED, WRONG = "measured", "nonconforming"
Becomes = Literal["use", "rework", "remake", "ask"]
BECOMES: tuple[Becomes, ...] = ("use", "rework", "remake", "ask")


@dataclass(frozen=True, slots=True)
class Reading:
    """One size of one piece of the lot, as measured. piece: its number in the lot, from 1.

    readings_mm: as read. part_c, gauge_c: warmth; None: not said. size_mm, u_mm: at 20 degrees; low_mm, high_mm: the
    limits it was held against. answer: "right", "wrong" or "undecided"; odds: that the true size is inside.
    """

    feature: str
    size: str
    piece: int
    readings_mm: tuple[float, ...]
    gauge: str
    part_c: float | None
    gauge_c: float | None
    size_mm: float
    u_mm: float
    low_mm: float
    high_mm: float
    answer: str
    odds: float


@dataclass(frozen=True, slots=True)
class ReadingKept:
    """A reading with its entry: who told it, when it happened, when we were told, which entry it replaced."""

    entry: EntryId
    reading: Reading
    who: str
    happened: datetime
    told: datetime
    replaces: EntryId | None


@dataclass(frozen=True, slots=True)
class DecisionKept:
    """What becomes of a piece that was not right, in words, by whom."""

    entry: EntryId
    feature: str
    size: str
    piece: int
    becomes: Becomes
    words: str
    who: str
    happened: datetime


def note_reading(
    session: Session, job_id: JobId, one: Reading, *, who: str, happened: datetime, told: datetime,
    replaces: EntryId | None = None,
) -> ReadingKept:  # fmt: skip
    """Write a reading down.

    Args:
        session: a writing transaction.
        job_id: the job's.
        one: what was measured and what it came to.
        who: a person's id.
        happened, told: aware moments.
        replaces: the entry that it corrects.
    Returns: the reading as kept.
    Raises: BadInput: as for ledger.write_down.
    """
    body: dict[str, str | float | int | bool | None] = {
        "feature": one.feature, "size": one.size, "piece": one.piece,
        "readings_mm": " ".join(repr(reading) for reading in one.readings_mm), "gauge": one.gauge,
        "part_c": one.part_c, "gauge_c": one.gauge_c, "size_mm": one.size_mm, "u_mm": one.u_mm, "low_mm": one.low_mm,
        "high_mm": one.high_mm, "answer": one.answer, "odds": one.odds,
    }  # fmt: skip
    made = ledger.write_down(
        session, job_id=job_id, kind=MEASURED, who=who, happened=happened, told=told, body=body, replaces=replaces
    )
    return ReadingKept(made.id, one, who, happened, told, replaces)


def note_decision(
    session: Session, job_id: JobId, *, feature: str, size: str, piece: int, becomes: Becomes, words: str, who: str,
    now: datetime, replaces: EntryId | None = None,
) -> DecisionKept:  # fmt: skip
    """Write down what becomes of a piece that is not right.

    Args:
        session: a writing transaction.
        job_id: the job's.
        feature, size, piece: which size of which piece.
        becomes: use, rework, remake or ask.
        words: why, as somebody said it.
        who: a person's id.
        now: aware moment.
        replaces: the entry that it corrects.
    Returns: the decision as kept.
    """
    body = {"feature": feature, "size": size, "piece": piece, "becomes": becomes, "words": words}
    made = ledger.write_down(
        session, job_id=job_id, kind=WRONG, who=who, happened=now, told=now, body=body, replaces=replaces
    )
    return DecisionKept(made.id, feature, size, piece, becomes, words, who, now)


def readings(session: Session, job_id: JobId) -> tuple[ReadingKept, ...]:
    """Every reading of a job that stands after corrections, in the order in which they were told.

    Args:
        session: a transaction.
        job_id: the job's.
    Returns: readings; of one size of one piece the last is the one that counts.
    """
    found = ledger.standing(ledger.entries(session, job_id))
    return tuple(_reading(one) for one in sorted(found, key=lambda entry: entry.id) if one.kind == MEASURED)


def decisions(session: Session, job_id: JobId) -> tuple[DecisionKept, ...]:
    """Every decision of a job about what was not right, in the order in which they were told."""
    found = ledger.standing(ledger.entries(session, job_id))
    return tuple(_decision(one) for one in sorted(found, key=lambda entry: entry.id) if one.kind == WRONG)


def _reading(entry: ledger.Entry) -> ReadingKept:
    body = entry.body

    def number(name: str) -> float:
        return float(body[name] or 0.0)

    def warmth(name: str) -> float | None:
        found = body[name]
        return None if found is None else float(found)

    one = Reading(
        feature=str(body["feature"]),
        size=str(body["size"]),
        piece=int(body["piece"] or 1),
        readings_mm=tuple(float(text) for text in str(body["readings_mm"]).split()),
        gauge=str(body["gauge"]),
        part_c=warmth("part_c"),
        gauge_c=warmth("gauge_c"),
        size_mm=number("size_mm"),
        u_mm=number("u_mm"),
        low_mm=number("low_mm"),
        high_mm=number("high_mm"),
        answer=str(body["answer"]),
        odds=number("odds"),
    )
    return ReadingKept(entry.id, one, entry.who, entry.happened, entry.told, entry.replaces)


def _decision(entry: ledger.Entry) -> DecisionKept:
    body = entry.body
    return DecisionKept(
        entry=entry.id,
        feature=str(body["feature"]),
        size=str(body["size"]),
        piece=int(body["piece"] or 1),
        becomes=cast(Becomes, str(body["becomes"])),
        words=str(body["words"]),
        who=entry.who,
        happened=entry.happened,
    )
