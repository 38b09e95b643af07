"""The request file of `steadyrest promise`: who is in when, which machines there are, the jobs, the policy if any."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from datetime import datetime
from itertools import pairwise
from pathlib import PurePath
from typing import cast

from steadyrest.promise.durations import Spreads
from steadyrest.promise.week import Presence, Week, WeekJob, WeekPhase, WeekStep
from steadyrest.shop.shop_fields import Fields
from steadyrest.shop.shop_text import parsed
from steadyrest.trouble import BadInput

LONGEST_S = 1e9
MOST_PHASES = 20_000


@dataclass(frozen=True, slots=True)
class AskedWeek:
    """A week as a request says it. order: (J,) job indices of the policy, the first choice first; None: no policy.

    due: each job's due time as written.
    """

    now: datetime
    week: Week
    due: tuple[datetime, ...]
    order: tuple[int, ...] | None
    spreads: Spreads

    @property
    def uncertain(self) -> bool:
        """Whether any time is uncertain, or any run may stop."""
        own = any(phase.spread or phase.stop_odds for _, _, phase in self.week.phases())
        people = any(spread > 0 for _, spread in self.spreads.person.values())
        return own or people or max(self.spreads.shop, self.spreads.job, self.spreads.person_else) > 0


def read_week(text: str, where: str) -> AskedWeek:
    """The week that a request file describes.

    Args:
        text: the file's text, TOML.
        where: its name, for messages.
    Returns: the week, in seconds after its own `now`, checked: every person and machine named is there.
    Raises: BadInput: the first thing wrong, with its line, the key and what is allowed.
    """
    name = PurePath(where).name
    if not text.strip():
        raise BadInput(where=name, what="the request is empty.", do="docs/promise.md shows what stands in one.")
    file = parsed(text, name)
    now = file.moment("now", file.table.get("now"))
    people = tuple(_person(row, now) for row in file.each("person"))
    machines = tuple(_name(row) for row in file.each("machine"))
    rows = file.each("job")
    _once(file, "person", [person.id for person in people])
    _once(file, "machine", machines)
    jobs = tuple(_job(row, now, {p.id for p in people}, set(machines)) for row in rows)
    _once(file, "job", [job.id for job in jobs])
    if not jobs:
        raise file.wrong(None, "there is no job.", "Add one as [[job]].")
    week = Week(people, machines, jobs)
    if len(week.phases()) > MOST_PHASES:
        raise file.wrong("job", f"{len(week.phases())} phases are too many.", f"Give at most {MOST_PHASES}.")
    return AskedWeek(
        now=now,
        week=week,
        due=tuple(row.moment("due", row.table.get("due")) for row in rows),
        order=_order(file, jobs),
        spreads=_spreads(file),
    )


def _once(file: Fields, key: str, names: list[str] | tuple[str, ...]) -> None:
    often = Counter(names)
    for row, name in zip(file.each(key), names, strict=True):
        if often[name] > 1:
            raise row.wrong("id", f"{name!r} stands {often[name]} times.", f"Give each {key} its own id.")


def _name(row: Fields, key: str = "id") -> str:
    """An id; a whole number is as good as text."""
    found = row.table.get(key)
    return str(found) if isinstance(found, int) and not isinstance(found, bool) else row.text(key)


def _names(row: Fields, key: str) -> tuple[str, ...]:
    """A list of ids, each once; none where the key is not there."""
    found = row.table.get(key, [])
    if not isinstance(found, list):
        raise row.wrong(key, f"{found!r} is no list.", 'Write ["one", "two"].')
    names: list[str] = []
    for name in cast(list[object], found):
        if isinstance(name, bool) or not isinstance(name, str | int):
            raise row.wrong(key, f"{name!r} is no name.", 'Write ["one", "two"].')
        names.append(str(name))
    return tuple(dict.fromkeys(names))


def _person(row: Fields, now: datetime) -> Presence:
    hours = row.table.get("hours", [])
    if not isinstance(hours, list):
        raise row.wrong("hours", f"{hours!r} is no list.", "Write [[from, to], ..] with moments.")
    found: list[tuple[float, float]] = []
    for given in cast(list[object], hours):
        pair = cast(list[object], given)
        if not isinstance(given, list) or len(pair) != 2:
            raise row.wrong("hours", f"{pair!s} is no stretch.", "Write [from, to] with two moments.")
        begin, end = (row.moment("hours", at) for at in pair)
        if end <= begin:
            raise row.wrong("hours", f"{end.isoformat()} is not after {begin.isoformat()}.", "Write the earlier first.")
        found.append((_after(begin, now), _after(end, now)))
    found.sort()
    for (_, end), (begin, _) in pairwise(found):
        if begin < end:
            raise row.wrong("hours", "two stretches overlap.", "Let each begin when the one before is over.")
    return Presence(_name(row), tuple((max(a, 0.0), b) for a, b in found if b > 0.0))


def _after(moment: datetime, now: datetime) -> float:
    return (moment - now).total_seconds()


def _job(row: Fields, now: datetime, people: set[str], machines: set[str]) -> WeekJob:
    release = row.moment("release", row.table.get("release")) if "release" in row.table else now
    steps = tuple(_step(step, people, machines) for step in row.each("step"))
    if not steps:
        raise row.wrong(None, "it has no steps.", "Add one as [[job.step]] with its [[job.step.phase]].")
    return WeekJob(
        id=_name(row),
        release_s=max(_after(release, now), 0.0),
        due_s=_after(row.moment("due", row.table.get("due")), now),
        weight=row.number("weight", 1.0),
        steps=steps,
    )


def _step(row: Fields, people: set[str], machines: set[str]) -> WeekStep:
    machine = _name(row, "machine") if row.table.get("machine", "") != "" else None
    if machine is not None and machine not in machines:
        raise row.wrong("machine", f"{machine!r} is no machine of the file.", f"Known: {', '.join(sorted(machines))}.")
    phases = tuple(_phase(phase, people) for phase in row.each("phase"))
    if not phases:
        raise row.wrong(None, "it has no phases.", "Add one as [[job.step.phase]].")
    return WeekStep(_name(row), machine, phases)


def _phase(row: Fields, people: set[str]) -> WeekPhase:
    who = _names(row, "who")
    for name in who:
        if name not in people:
            raise row.wrong("who", f"{name!r} is no person of the file.", f"Known: {', '.join(sorted(people))}.")
    return WeekPhase(
        name="",
        duration_s=row.number("duration_s", high=LONGEST_S),
        who=who,
        interruptible=row.flag("interruptible", False),
        spread=row.number("spread", 0.0, high=5.0),
        max_wait_s=row.number("max_wait_s", high=LONGEST_S) if "max_wait_s" in row.table else None,
        hand_over=row.flag("hand_over", False),
        stop_odds=row.number("stop_odds", 0.0, high=1.0),
    )


def _order(file: Fields, jobs: tuple[WeekJob, ...]) -> tuple[int, ...] | None:
    """The policy's order as indices; a job that it does not name comes last, in the file's order."""
    if "policy" not in file.table:
        return None
    policy = file.inner("policy")
    place = {job.id: k for k, job in enumerate(jobs)}
    names = _names(policy, "order")
    for name in names:
        if name not in place:
            raise policy.wrong("order", f"{name!r} is no job of the file.", "Name the jobs by their id.")
    first = [place[name] for name in names]
    named = set(first)
    return (*first, *(k for k in range(len(jobs)) if k not in named))


def _spreads(file: Fields) -> Spreads:
    if "spread" not in file.table:
        return Spreads()
    spread = file.inner("spread")
    return Spreads(job=spread.number("job", 0.0, high=5.0), person_else=spread.number("person", 0.0, high=5.0))
