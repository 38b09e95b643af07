"""The people of the shop file, and the work already promised: [person.NAME] and [[job]]."""

from __future__ import annotations

import math
from collections.abc import Sequence
from datetime import datetime
from decimal import Decimal

from steadyrest.shop.floor import Machine, Person, PromisedPhase, PromisedWork
from steadyrest.shop.shop_fields import DAYS, Fields

WAYS = ("hand", "inspect", "deliver", "drive", "program", "weld")
DAY_H = 24.0
PERSON_KEYS = (
    "name", "hours", "away", "skills", "pace", "spread", "per_hour", "charge_per_hour", "interrupted",
    "longest_day_h", "rest_h",
)  # fmt: skip
JOB_KEYS = ("id", "what", "due", "late_per_hour", "value", "own", "phase")
PHASE_KEYS = ("machine", "who", "duration_s", "spread", "interruptible", "two_in", "max_wait_s", "dries")  # fmt: skip


def people(file: Fields, machines: Sequence[Machine]) -> tuple[Person, ...]:
    """Every person of the file.

    Args:
        file: the whole file.
        machines: the machines they may be able to run.
    Returns: at least one person, in the file's order.
    Raises: BadInput: nobody, or somebody with something wrong, or a machine that nobody can run.
    """
    known = (*(machine.id for machine in machines), *WAYS)
    found = tuple(_person(name, fields, known) for name, fields in file.named("person"))
    if not found:
        raise file.wrong(None, "there is no person.", "Add one as [person.NAME] with hours and skills.")
    group = file.inner("machine")
    for machine in machines:
        if not any(machine.id in person.skills for person in found):
            raise group.inner(machine.id).wrong(
                None, "nobody can run this machine.", f'Add "{machine.id}" to the skills of a person.'
            )
    return found


def _person(name: str, fields: Fields, known: Sequence[str]) -> Person:
    fields.only(PERSON_KEYS)
    longest_h = fields.number("longest_day_h", 0.0, high=DAY_H)
    rest_h = fields.number("rest_h", max(DAY_H - longest_h, 1.0), above=True, high=48)
    week = fields.weekly("hours")
    if not week:
        raise fields.wrong("hours", "this person has no hours.", 'Add hours, such as mon = ["08:00-12:00"].')
    return Person(
        id=name,
        name=fields.text("name", name),
        week=week,
        away=fields.spans("away"),
        skills=fields.texts("skills", among=known),
        pace=fields.number("pace", 1.0, above=True, high=10),
        spread=fields.number("spread", 0.1, high=2),
        per_hour=fields.money("per_hour"),
        charge_per_hour=fields.money("charge_per_hour"),
        interrupted=fields.number("interrupted", 0.0, high=0.8),
        longest_day_s=3600.0 * longest_h if longest_h else math.inf,
        rest_s=3600.0 * rest_h if longest_h else 0.0,
    )


def promised(file: Fields, persons: Sequence[Person], machines: Sequence[Machine]) -> tuple[PromisedWork, ...]:
    """The work already promised.

    Args:
        file: the whole file.
        persons, machines: who and what its phases may name.
    Returns: the jobs in the file's order; none is allowed.
    Raises: BadInput: a job with something wrong, or two of one id.
    """
    return tuple(_job(fields, persons, machines) for fields in file.each("job"))


def _job(fields: Fields, persons: Sequence[Person], machines: Sequence[Machine]) -> PromisedWork:
    fields.only(JOB_KEYS)
    phases = tuple(_phase(phase, persons, machines) for phase in fields.each("phase"))
    if not phases:
        raise fields.wrong(None, "this job has no phase.", "Add what is left to do as [[job.phase]].")
    own = fields.flag("own", False)
    return PromisedWork(
        id=fields.text("id"),
        what=fields.text("what"),
        due=_due(fields),
        late_per_hour=Decimal(0) if own else fields.money("late_per_hour"),
        value=fields.money("value", "0" if own else None),
        phases=phases,
        own=own,
    )


def _due(fields: Fields) -> datetime | tuple[int, int]:
    found = fields.table.get("due")
    if not isinstance(found, str):
        return fields.moment("due", found)
    day, _, clock = found.strip().partition(" ")
    if day.lower() not in DAYS or not clock:
        raise fields.wrong("due", f"{found!r} is not a due time.", 'Write a moment with offset, or "tue 16:00".')
    return DAYS.index(day.lower()), fields.minute("due", clock)


def _phase(fields: Fields, persons: Sequence[Person], machines: Sequence[Machine]) -> PromisedPhase:
    fields.only(PHASE_KEYS)
    machine = fields.text("machine", "", among=("", *(machine.id for machine in machines)))
    who = fields.texts("who", (), among=tuple(person.id for person in persons))
    dries = fields.flag("dries", False)
    if dries and who:
        raise fields.wrong("dries", "somebody is named for it.", "Leave who out: what dries needs nobody.")
    if not machine and not who and not dries:
        raise fields.wrong(None, "this phase needs neither a machine nor a person.",
                           "Name one of them, or say dries = true.")  # fmt: skip
    return PromisedPhase(
        machine=machine or None,
        who=who,
        duration_s=fields.number("duration_s", above=True, high=1e7),
        spread=fields.number("spread", 0.0 if dries else 0.15, high=2),
        elsewhere=dries,
        interruptible=fields.flag("interruptible", False),
        max_wait_s=fields.number("max_wait_s", high=1e7) if "max_wait_s" in fields.table else None,
        two_in=fields.flag("two_in", False),
    )
