"""The customer's own parts: taken in with a job, with count, weight, damage and a photo; given back with it.

Entries of the job's ledger: what came stays written as it came, so that nobody argues later about a crack.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from steadyrest import units
from steadyrest.desk.floor import clock
from steadyrest.desk.floor.things import kept_photo, note_photo
from steadyrest.shop.floor import Shop
from steadyrest.store import jobs, ledger, touches
from steadyrest.store.opening import Session, Store
from steadyrest.trouble import BadInput
from steadyrest.wording.moments import moment

CAME, BACK, VERB = "their part came", "their part went back", "their part"
LONGEST, MOST = 500, 100_000


@dataclass(frozen=True, slots=True)
class TheirPart:
    """A part of the customer's. entry: that says it came. mass_kg: together, 0 where nobody weighed it.

    damage: as it came; "" where none was seen. photo: its hash, or "". back: when it was given back, or None.
    """

    entry: int
    what: str
    count: int
    mass_kg: float
    damage: str
    photo: str
    who: str
    when: datetime
    back: datetime | None


def take_in(
    store: Store, shop: Shop, number: int, words: Mapping[str, str], photo: bytes, *, who: str, now: datetime,
    touch: str = "",
) -> None:  # fmt: skip
    """Write down that a customer's part came.

    Args:
        store: an open data folder. shop: its unit of weight.
        number: the job's.
        words: what, count, weight, damage, as typed.
        photo: bytes, or none.
        who: says so.
        now: aware moment.
        touch: of the form, so that it counts once.
    Raises: BadInput: no such job, nothing said, no count, no weight, no photo.
    """
    what = " ".join(words.get("what", "").split())
    if not what or len(what) > LONGEST:
        raise BadInput(where="what", what="it is not said what it is.", do=f"Say it in 1 to {LONGEST} signs.")
    count = words.get("count", "").strip() or "1"
    if not (count.isascii() and count.isdecimal() and 1 <= int(count[:9]) <= MOST):
        raise BadInput(where="count", what=f"{count[:20]!r} is no number of parts.", do="Write a whole number.")
    weight = words.get("weight", "").strip()
    mass_kg = units.parse_mass(weight, "lb" if shop.unit == "in" else "kg", "weight") if weight else 0.0
    sha256 = kept_photo(store, photo)
    body = {
        "what": what, "count": int(count), "mass_kg": mass_kg, "damage": words.get("damage", "").strip()[:LONGEST],
        "photo": sha256 or "",
    }  # fmt: skip
    with store.writing() as session:
        if touches.answered(session, touch, verb=VERB) is not None:
            return
        job = clock.job_of(session, number)
        assert job is not None
        note_photo(session, sha256, photo, now=now)
        ledger.write_down(session, job_id=job.id, kind=CAME, who=who, happened=now, told=now, body=body)
        touches.keep(session, touch, verb=VERB, answer=what, now=now)


def give_back(store: Store, number: int, entry: str, *, who: str, now: datetime, touch: str = "") -> None:
    """Write down that a customer's part was given back.

    Raises: BadInput: no such job or part, or it was given back already.
    """
    with store.writing() as session:
        if touches.answered(session, touch, verb=VERB) is not None:
            return
        job = clock.job_of(session, number)
        assert job is not None
        one = next((each for each in of_job(session, job) if str(each.entry) == entry), None)
        if one is None or one.back is not None:
            what = "it was given back already." if one is not None else "there is no such part."
            raise BadInput(where=f"job {number}", what=what, do="Open the page again.")
        ledger.write_down(session, job_id=job.id, kind=BACK, who=who, happened=now, told=now, body={"entry": one.entry})
        touches.keep(session, touch, verb=VERB, answer="back", now=now)


def of_job(session: Session, job: jobs.Job) -> tuple[TheirPart, ...]:
    """The customer's parts of a job, in the order in which they came."""
    told = ledger.standing(ledger.entries(session, job.id))
    back = {int(one.body["entry"] or 0): one.happened for one in told if one.kind == BACK}
    return tuple(
        TheirPart(
            int(one.id), str(one.body["what"]), int(one.body["count"] or 1), float(one.body["mass_kg"] or 0.0),
            str(one.body["damage"]), str(one.body["photo"]), one.who, one.happened, back.get(int(one.id)),
        )
        for one in told
        if one.kind == CAME
    )  # fmt: skip


def parts_of(store: Store, number: int) -> tuple[jobs.Job, tuple[TheirPart, ...]]:
    """A job with the customer's parts. Raises: BadInput: there is no such job."""
    with store.reading() as session:
        job = clock.job_of(session, number)
        assert job is not None
        return job, of_job(session, job)


def in_words(one: TheirPart, shop: Shop) -> str:
    """A part as a receipt has it: how many, what, how heavy, in what state."""
    mass = f", {units.show_mass(one.mass_kg, 'lb' if shop.unit == 'in' else 'kg')}" if one.mass_kg else ""
    damage = f"; damage as it came: {one.damage}" if one.damage else "; no damage seen"
    return f"{one.count} × {one.what}{mass}{damage}"


def told(one: TheirPart, shop: Shop) -> str:
    """When it came, and when it went back."""
    names = {person.id: person.name for person in shop.people}
    back = f"; given back {moment(one.back, shop.timezone)}" if one.back is not None else ""
    return f"taken in {moment(one.when, shop.timezone)}, by {names.get(one.who, one.who)}{back}"
