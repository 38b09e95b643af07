"""The people of the shop file, and the work already promised: [person.NAME] and [[job]]."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from itertools import pairwise

from steadyrest.shop.floor import Machine, Person, PromisedPhase, PromisedWork
from steadyrest.shop.shop_fields import DAYS, Fields

WAYS = ("hand", "inspect", "deliver", "drive", "program", "weld")
DAY_MIN = 24 * 60
PERSON_KEYS = (
    "name", "hours", "away", "skills", "pace", "spread", "per_hour", "charge_per_hour", "interrupted",
)  # fmt: skip
JOB_KEYS = ("id", "what", "due", "late_per_hour", "value", "phase")
PHASE_KEYS = ("machine", "who", "duration_s", "spread", "interruptible")


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
    return Person(
        id=name,
        name=fields.text("name", name),
        week=_week(fields),
        away=fields.spans("away"),
        skills=fields.texts("skills", among=known),
        pace=fields.number("pace", 1.0, above=True, high=10),
        spread=fields.number("spread", 0.1, high=2),
        per_hour=fields.money("per_hour"),
        charge_per_hour=fields.money("charge_per_hour"),
        interrupted=fields.number("interrupted", 0.0, high=0.8),
    )


def _week(fields: Fields) -> tuple[tuple[int, int, int], ...]:
    """Stretches of the week, sorted; one over midnight is split there."""
    hours = fields.inner("hours")
    hours.only(DAYS)
    found: list[tuple[int, int, int]] = []
    for day, name in enumerate(DAYS):
        for text in hours.texts(name, ()):
            start, dash, end = text.partition("-")
            if not dash:
                raise hours.wrong(name, f"{text!r} is not a stretch of hours.", 'Write it as "08:00-12:00".')
            begin, until = hours.minute(name, start), hours.minute(name, end)
            if begin == until:
                raise hours.wrong(name, f"{text!r} has no length.", 'Write it as "08:00-12:00".')
            if until > begin:
                found.append((day, begin, until))
            else:
                found.append((day, begin, DAY_MIN))
                if until:
                    found.append(((day + 1) % 7, 0, until))
    found.sort()
    for one, two in pairwise(found):
        if one[0] == two[0] and two[1] < one[2]:
            raise hours.wrong(DAYS[two[0]], "two stretches overlap.", "Let one end before the next begins.")
    if not found:
        raise fields.wrong("hours", "this person has no hours.", 'Add hours, such as mon = ["08:00-12:00"].')
    return tuple(found)


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
    return PromisedWork(
        id=fields.text("id"),
        what=fields.text("what"),
        due=_due(fields),
        late_per_hour=fields.money("late_per_hour"),
        value=fields.money("value"),
        phases=phases,
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
    if not machine and not who:
        raise fields.wrong(None, "this phase needs neither a machine nor a person.", "Name one of them.")
    return PromisedPhase(
        machine=machine or None,
        who=who,
        duration_s=fields.number("duration_s", above=True, high=1e7),
        spread=fields.number("spread", 0.15, high=2),
        interruptible=fields.flag("interruptible", False),
    )
