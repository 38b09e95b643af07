"""Files, parts, plans and promises of a job. What a plan says is frozen; which one is chosen may change."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from typing import NewType, TypeVar

from sqlalchemy import Text, cast, func, select

from steadyrest.shop.part import Part
from steadyrest.store import schema
from steadyrest.store.jobs import JobId
from steadyrest.store.opening import Session
from steadyrest.store.rows import add
from steadyrest.store.seals import seal
from steadyrest.store.values import from_json, to_json
from steadyrest.trouble import BadInput

T = TypeVar("T")
PartId = NewType("PartId", int)
PlanId = NewType("PlanId", int)
PromiseId = NewType("PromiseId", int)


@dataclass(frozen=True, slots=True)
class KeptFile:
    """A file as kept: its bytes stand in store.files under `sha256`."""

    sha256: str
    size_bytes: int
    name: str
    kind: str
    kept_at: datetime


@dataclass(frozen=True, slots=True)
class KeptPart:
    id: PartId
    job_id: JobId
    name: str
    revision: int
    file_sha256: str | None
    read_at: datetime
    part: Part


@dataclass(frozen=True, slots=True)
class KeptPlan:
    """A plan as kept. value: JSON text of the plan; values.from_json makes it a plan again."""

    id: PlanId
    job_id: JobId
    part_id: PartId
    seed: int
    made_at: datetime
    chosen: bool
    value: str


@dataclass(frozen=True, slots=True)
class KeptPromise:
    id: PromiseId
    job_id: JobId
    plan_id: PlanId
    made_at: datetime
    due: datetime
    odds: float


def note_file(session: Session, *, sha256: str, size_bytes: int, name: str, kind: str, now: datetime) -> KeptFile:
    """Note a file that store.files keeps; the first name it came under stays.

    Args:
        session: a writing transaction.
        sha256: what store.files.keep returned.
        size_bytes, name, kind: of the file; kind such as "scan", "solid", "paper".
        now: aware moment.
    Returns: the file as kept.
    """
    row = schema.file
    known = session.execute(select(row).where(row.c.sha256 == sha256)).first()
    if known is not None:
        return KeptFile(*known)
    kept = KeptFile(sha256, size_bytes, name, kind, now)
    session.execute(row.insert().values(sha256=sha256, size_bytes=size_bytes, name=name, kind=kind, kept_at=now))
    seal(session, row, sha256)
    return kept


def keep_part(session: Session, *, job_id: JobId, part: Part, file_sha256: str | None, now: datetime) -> KeptPart:
    """Keep a part as the next revision of its name in this job.

    Args:
        session: a writing transaction.
        job_id: the job.
        part: as read.
        file_sha256: the file that it was read from, noted before.
        now: aware moment.
    Returns: the part as kept; revision counts from 1.
    """
    row = schema.part.c
    last = session.execute(select(func.max(row.revision)).where(row.job_id == job_id, row.name == part.name)).scalar()
    revision = (last or 0) + 1
    made = add(
        session,
        schema.part,
        job_id=job_id,
        name=part.name,
        revision=revision,
        file_sha256=file_sha256,
        read_at=now,
        value=to_json(part),
    )
    return KeptPart(PartId(made), job_id, part.name, revision, file_sha256, now, part)


def parts_after(session: Session, last: int, *, most: int) -> tuple[tuple[int, KeptPart | None], ...]:
    """The parts kept after one, oldest first: its id, and the part; None for one that cannot be read any more.

    Args:
        session: a transaction.
        last: id of the last part already known; 0 for none.
        most: how many.
    Returns: parts of every job.
    """
    row = schema.part.c
    found: list[tuple[int, KeptPart | None]] = []
    for kept in session.execute(select(schema.part).where(row.id > last).order_by(row.id).limit(most)):
        try:
            value = from_json(kept.value, Part, where=f"kept part {kept.id} ({kept.name})")
        except BadInput:
            found.append((kept.id, None))
            continue
        about = (PartId(kept.id), JobId(kept.job_id), kept.name, kept.revision, kept.file_sha256, kept.read_at)
        found.append((kept.id, KeptPart(*about, value)))
    return tuple(found)


def parts(session: Session, job_id: JobId) -> tuple[KeptPart, ...]:
    """A job's parts, each revision, oldest first.

    Raises: BadInput: a part was kept by a newer steadyrest, or is damaged.
    """
    row = schema.part.c
    found = session.execute(select(schema.part).where(row.job_id == job_id).order_by(row.id)).all()
    return tuple(
        KeptPart(
            PartId(kept.id),
            job_id,
            kept.name,
            kept.revision,
            kept.file_sha256,
            kept.read_at,
            from_json(kept.value, Part, where=f"kept part {kept.id} ({kept.name})"),
        )
        for kept in found
    )


def keep_plan(session: Session, *, job_id: JobId, part_id: PartId, seed: int, plan: object, now: datetime) -> PlanId:
    """Keep a plan and choose it.

    Args:
        session: a writing transaction.
        job_id, part_id: what it plans.
        seed: of its draws.
        plan: a frozen dataclass.
        now: aware moment.
    Returns: its id.
    """
    made = add(
        session, schema.plan, job_id=job_id, part_id=part_id, seed=seed, made_at=now, chosen=False, value=to_json(plan)
    )
    plan_id = PlanId(made)
    choose_plan(session, plan_id)
    return plan_id


def choose_plan(session: Session, plan_id: PlanId) -> None:
    """Make this plan the one that its job goes by."""
    row = schema.plan
    job_id = session.execute(select(row.c.job_id).where(row.c.id == plan_id)).scalar_one()
    session.execute(row.update().where(row.c.job_id == job_id, row.c.chosen.is_(True)).values(chosen=False))
    session.execute(row.update().where(row.c.id == plan_id).values(chosen=True))


def plans(session: Session, job_id: JobId) -> tuple[KeptPlan, ...]:
    """A job's plans, oldest first."""
    row = schema.plan.c
    found = session.execute(select(schema.plan).where(row.job_id == job_id).order_by(row.id))
    return tuple(KeptPlan(*kept) for kept in found)


def chosen_plan(session: Session, job_id: JobId) -> KeptPlan | None:
    """The plan that this job goes by; None if there is none."""
    row = schema.plan.c
    found = session.execute(select(schema.plan).where(row.job_id == job_id, row.chosen.is_(True))).first()
    return None if found is None else KeptPlan(*found)


@dataclass(frozen=True, slots=True)
class Chosen:
    """The plan that a job goes by, without what it says. seal: which no other plan has; "" if it lost it."""

    plan_id: PlanId
    part_id: PartId
    seal: str


def chosen_of(session: Session, job_ids: Iterable[JobId]) -> dict[JobId, Chosen]:
    """The plans that jobs go by, without what they say; a job without one is left out."""
    plan, seal = schema.plan.c, schema.seal.c
    sealed = (seal.of == "plan") & (seal.row == cast(plan.id, Text))
    joined = schema.plan.outerjoin(schema.seal, sealed)
    asked = select(plan.job_id, plan.id, plan.part_id, seal.digest).select_from(joined).where(plan.chosen.is_(True))
    found: dict[JobId, Chosen] = {}
    of = tuple(job_ids)
    for begin in range(0, len(of), 500):
        for job_id, plan_id, part_id, digest in session.execute(asked.where(plan.job_id.in_(of[begin : begin + 500]))):
            found[JobId(job_id)] = Chosen(PlanId(plan_id), PartId(part_id), digest or "")
    return found


def by_id(session: Session, plan_id: PlanId) -> KeptPlan:
    """The plan of this id, which is there."""
    return KeptPlan(*session.execute(select(schema.plan).where(schema.plan.c.id == plan_id)).one())


def keep_short(session: Session, plan_id: PlanId, version: int, value: str) -> None:
    """Keep a plan in short beside it.

    Args:
        session: a writing transaction.
        plan_id: the plan.
        version, value: of what is kept in short, and what that is.
    """
    asked = "INSERT OR REPLACE INTO plan_short (plan_id, version, value) VALUES (?, ?, ?)"
    session.exec_driver_sql(asked, (int(plan_id), version, value))


def shorts(session: Session, job_ids: tuple[JobId, ...], version: int) -> tuple[tuple[JobId, PlanId, str | None], ...]:
    """The plans that jobs go by, in short.

    Args:
        session: a transaction.
        job_ids: of jobs.
        version: of what is kept in short.
    Returns: (job, plan, what is kept in short, None where that is of another version or missing).
    """
    plan, short = schema.plan.c, schema.plan_short.c
    joined = schema.plan.outerjoin(schema.plan_short, (short.plan_id == plan.id) & (short.version == version))
    asked = select(plan.job_id, plan.id, short.value).select_from(joined).where(plan.chosen.is_(True))
    found: list[tuple[JobId, PlanId, str | None]] = []
    for begin in range(0, len(job_ids), 500):
        rows = session.execute(asked.where(plan.job_id.in_(job_ids[begin : begin + 500])))
        found += ((JobId(job_id), PlanId(plan_id), value) for job_id, plan_id, value in rows)
    return tuple(found)


def without_short(session: Session, version: int, *, most: int) -> tuple[PlanId, ...]:
    """Plans that jobs go by of which nothing is kept in short in this version.

    Args:
        session: a transaction.
        version: of what is kept in short.
        most: how many.
    Returns: their ids.
    """
    asked = (
        "SELECT id FROM plan WHERE chosen = 1 AND id NOT IN (SELECT plan_id FROM plan_short WHERE version = ?) "
        "ORDER BY id DESC LIMIT ?"
    )
    return tuple(PlanId(plan_id) for (plan_id,) in session.exec_driver_sql(asked, (version, most)))


def plan_value(kept: KeptPlan, kind: type[T]) -> T:
    """The plan itself.

    Args:
        kept: as kept.
        kind: the plan's dataclass.
    Returns: the plan.
    Raises: BadInput: kept by a newer steadyrest, or damaged.
    """
    return from_json(kept.value, kind, where=f"kept plan {kept.id}")


def keep_promise(
    session: Session, *, job_id: JobId, plan_id: PlanId, due: datetime, odds: float, now: datetime
) -> KeptPromise:
    """Keep a promise as it was made, for scoring.

    Args:
        session: a writing transaction.
        job_id, plan_id: what was promised on which plan.
        due: the moment promised.
        odds: said then, 0 to 1.
        now: aware moment.
    Returns: the promise as kept.
    """
    made = add(session, schema.promise, job_id=job_id, plan_id=plan_id, made_at=now, due=due, odds=odds)
    return KeptPromise(PromiseId(made), job_id, plan_id, now, due, odds)


def promises(session: Session, job_id: JobId | None = None) -> tuple[KeptPromise, ...]:
    """The promises of a job, or all, oldest first."""
    row = schema.promise.c
    asked = select(schema.promise).order_by(row.id)
    found = session.execute(asked if job_id is None else asked.where(row.job_id == job_id))
    return tuple(KeptPromise(*kept) for kept in found)
