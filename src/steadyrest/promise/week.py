"""The week as the dispatch sees it: who is in when, which machines there are, and the jobs as steps and phases.

Times are seconds after now. Steps of a job, and phases of a step, follow one another; a step holds its machine from the
start of its first phase to the end of its last. `arrays` lays the same out flat for the compiled dispatch.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from steadyrest.shop.draws import FloatArray

ONE_IN = ""  # what stands, among the machines, while fewer than two people are in
IntArray = npt.NDArray[np.int64]
BoolArray = npt.NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class WeekPhase:
    """A stretch of a step. duration_s: as stated (the median). who: ids of whom any one can do it; empty: nobody.

    stop_odds: chance that a run with nobody stops on its way and stands until anyone is in.
    elsewhere: outside the shop; neither its own bias nor the job's difficulty stretches it.
    two_in: never alone: it goes on only while two people are in. of: its step in the plan, where work was taken.
    """

    name: str
    duration_s: float
    who: tuple[str, ...]
    interruptible: bool = False
    spread: float = 0.0
    max_wait_s: float | None = None
    hand_over: bool = False
    stop_odds: float = 0.0
    elsewhere: bool = False
    two_in: bool = False
    of: str = ""


@dataclass(frozen=True, slots=True)
class WeekStep:
    """needs_stock: it cannot begin before what is bought is here; desk work can."""

    id: str
    machine: str | None
    phases: tuple[WeekPhase, ...]
    needs_stock: bool = True


@dataclass(frozen=True, slots=True)
class WeekJob:
    """weight: what an hour late costs. after: ids of those that must be done before it begins.

    belongs: id of the job that it is a part of, whose luck it shares; "": it is one of its own.
    own: the shop's own work, which waits for everybody else's.
    """

    id: str
    release_s: float
    due_s: float
    weight: float
    steps: tuple[WeekStep, ...]
    after: tuple[str, ...] = ()
    belongs: str = ""
    own: bool = False

    @property
    def without_stock(self) -> int:
        """How many phases come before the first that needs the stock."""
        wanting = next((n for n, step in enumerate(self.steps) if step.needs_stock), len(self.steps))
        return sum(len(step.phases) for step in self.steps[:wanting])


@dataclass(frozen=True, slots=True)
class Presence:
    """A person and the stretches (from, to) they are in, sorted and disjoint; they may touch.

    longest_s, rest_s, day: of promise/rest.py, for hours that are added; the stretches keep to them already.
    """

    id: str
    stretches_s: tuple[tuple[float, float], ...]
    longest_s: float = math.inf
    rest_s: float = 0.0
    day: tuple[float, float] | None = None


@dataclass(frozen=True, slots=True)
class WeekLimit:
    """What machines share, such as power or air: how much there is, and what each asks while something runs on it."""

    id: str
    allows: float
    asks: tuple[tuple[str, float], ...]


@dataclass(frozen=True, slots=True)
class Down:
    """A machine that stands from one moment to another: what runs on it then goes on afterwards."""

    machine: str
    from_s: float
    to_s: float


@dataclass(frozen=True, slots=True)
class Week:
    """people: in the file's order, which decides who chooses first. limits: what machines share. down: what stands."""

    people: tuple[Presence, ...]
    machines: tuple[str, ...]
    jobs: tuple[WeekJob, ...]
    limits: tuple[WeekLimit, ...] = ()
    down: tuple[Down, ...] = ()

    def __post_init__(self) -> None:
        people, machines = {p.id for p in self.people}, set(self.machines)
        known = {job.id for job in self.jobs}
        for limit in self.limits:
            if any(name not in machines or asks > limit.allows for name, asks in limit.asks):
                raise ValueError(f"Week: limit {limit.id!r}: a machine is unknown or asks for more than there is")
        for stands in self.down:
            if stands.machine not in machines or stands.to_s <= stands.from_s:
                raise ValueError(f"Week: {stands!r}: the machine is unknown, or it stands for no time")
        for job in self.jobs:
            if set(job.after) - known or job.id in job.after:
                raise ValueError(f"Week: job {job.id!r} comes after {job.after!r}")
            if not job.steps or not all(step.phases for step in job.steps):
                raise ValueError(f"Week: job {job.id!r} has a step without phases, or no steps")
            for step in job.steps:
                unknown = {who for phase in step.phases for who in phase.who} - people
                if unknown or (step.machine is not None and step.machine not in machines):
                    raise ValueError(f"Week: job {job.id!r}, step {step.id!r}: unknown {unknown or step.machine!r}")

    def phases(self) -> tuple[tuple[WeekJob, WeekStep, WeekPhase], ...]:
        """Every phase with its job and step, in the order in which the arrays count them."""
        return tuple((job, step, phase) for job in self.jobs for step in job.steps for phase in step.phases)


class Flat(NamedTuple):
    """A Week laid out flat. J jobs, P phases (all jobs, one after the other), N people, S stretches at most.

    A tuple, because the compiled dispatch takes it whole.

    first: (J + 1,) where each job's phases begin. from_stock: (J,) the first phase that waits for bought stock.
    machine: (P,) index or -1.
    opens, closes: (P,) first, last of its step.
    who: (P, N). alone: (P,) needs nobody.
    here_from, here_to: (N, S); here_count: (N,). anyone_from, anyone_to: (A,) at least one person is in.
    after: (J, J) row j: those done before j begins. asks: (machines, L) of each shared limit, allows: (L,).
    down_of: (D,) machine that stands from down_from to down_to, by its begin.
    window: (P,) what stands while the phase may not go on, counted on from the machines; -1: nothing. own: (J,).
    """

    first: IntArray
    from_stock: IntArray
    machine: IntArray
    opens: BoolArray
    closes: BoolArray
    who: BoolArray
    alone: BoolArray
    stated_s: FloatArray
    interruptible: BoolArray
    hand_over: BoolArray
    max_wait_s: FloatArray
    here_from: FloatArray
    here_to: FloatArray
    here_count: IntArray
    anyone_from: FloatArray
    anyone_to: FloatArray
    machines: int
    after: BoolArray
    asks: FloatArray
    allows: FloatArray
    down_of: IntArray
    down_from: FloatArray
    down_to: FloatArray
    window: IntArray
    own: BoolArray


def arrays(week: Week) -> Flat:
    """The week laid out flat for the compiled dispatch.

    Args:
        week: the jobs and who is there.
    Returns: arrays as Flat says.
    """
    rows = week.phases()
    people = {person.id: n for n, person in enumerate(week.people)}
    machines = {machine: n for n, machine in enumerate(week.machines)}
    counts = [sum(len(step.phases) for step in job.steps) for job in week.jobs]
    who = np.zeros((len(rows), max(1, len(people))), np.bool_)
    for i, (_, _, phase) in enumerate(rows):
        who[i, [people[name] for name in phase.who]] = True
    here_from, here_to, here_count = _calendar([person.stretches_s for person in week.people])
    union = _anyone(week.people)
    first = np.concatenate(([0], np.cumsum(counts))).astype(np.int64)
    down = _standing(week)
    return Flat(
        first=first,
        from_stock=first[:-1] + np.array([job.without_stock for job in week.jobs], np.int64),
        machine=np.array([-1 if step.machine is None else machines[step.machine] for _, step, _ in rows], np.int64),
        opens=np.array([n == 0 for job in week.jobs for s in job.steps for n in range(len(s.phases))], np.bool_),
        closes=np.array([n == len(s.phases) - 1 for job in week.jobs for s in job.steps for n in range(len(s.phases))]),
        who=who,
        alone=np.array([not phase.who for _, _, phase in rows], np.bool_),
        stated_s=np.array([phase.duration_s for _, _, phase in rows], np.float64),
        interruptible=np.array([phase.interruptible for _, _, phase in rows], np.bool_),
        hand_over=np.array([phase.hand_over for _, _, phase in rows], np.bool_),
        max_wait_s=np.array([math.inf if p.max_wait_s is None else p.max_wait_s for _, _, p in rows], np.float64),
        here_from=here_from,
        here_to=here_to,
        here_count=here_count,
        anyone_from=np.array([a for a, _ in union], np.float64),
        anyone_to=np.array([b for _, b in union], np.float64),
        machines=len(machines),
        after=np.array([[k.id in j.after for k in week.jobs] for j in week.jobs], np.bool_).reshape(len(counts), -1),
        asks=_asks(week),
        allows=np.array([limit.allows for limit in week.limits], np.float64),
        down_of=np.array([machines.get(name, len(machines)) for _, _, name in down], np.int64),
        down_from=np.array([begin for begin, _, _ in down], np.float64),
        down_to=np.array([stop for _, stop, _ in down], np.float64),
        window=np.array([len(machines) if phase.two_in else -1 for _, _, phase in rows], np.int64),
        own=np.array([job.own for job in week.jobs], np.bool_),
    )


def _asks(week: Week) -> FloatArray:
    found = np.zeros((len(week.machines), len(week.limits)))
    for n, limit in enumerate(week.limits):
        for name, asks in limit.asks:
            found[week.machines.index(name), n] = asks
    return found


def _calendar(everyone: Sequence[Sequence[tuple[float, float]]]) -> tuple[FloatArray, FloatArray, IntArray]:
    width = max((len(stretches) for stretches in everyone), default=0) or 1
    begin, stop = np.full((max(1, len(everyone)), width), np.inf), np.full((max(1, len(everyone)), width), np.inf)
    count = np.zeros(max(1, len(everyone)), np.int64)
    for n, stretches in enumerate(everyone):
        count[n] = len(stretches)
        begin[n, : count[n]] = [a for a, _ in stretches]
        stop[n, : count[n]] = [b for _, b in stretches]
    return begin, stop, count


def _anyone(people: Sequence[Presence]) -> tuple[tuple[float, float], ...]:
    return joined([stretch for person in people for stretch in person.stretches_s])


def joined(stretches_s: Sequence[tuple[float, float]]) -> tuple[tuple[float, float], ...]:
    """The same time as sorted, disjoint stretches.

    Args:
        stretches_s: (from, to) in any order; they may overlap.
    Returns: sorted; those that overlap or touch are one.
    """
    out: list[tuple[float, float]] = []
    for begin, stop in sorted(stretches_s):
        if out and begin <= out[-1][1]:
            out[-1] = (out[-1][0], max(out[-1][1], stop))
        else:
            out.append((begin, stop))
    return tuple(out)


def _standing(week: Week) -> list[tuple[float, float, str]]:
    """When which machine stands: from, to, machine; by its begin, and disjoint for each machine."""
    each = {name: [(one.from_s, one.to_s) for one in week.down if one.machine == name] for name in week.machines}
    if any(phase.two_in for _, _, phase in week.phases()):
        each[ONE_IN] = _fewer_than_two(week.people)
    return sorted((begin, stop, name) for name, stretches in each.items() for begin, stop in joined(stretches))


def two_in(people: Sequence[Presence]) -> tuple[tuple[float, float], ...]:
    """When at least two people are in.

    Args:
        people: who is in when.
    Returns: sorted, disjoint stretches, s.
    """
    steps = sorted(step for person in people for a, b in joined(person.stretches_s) for step in ((a, 1), (b, -1)))
    found: list[tuple[float, float]] = []
    here, since = 0, 0.0
    for at, step in steps:
        if here == 1 and step == 1:
            since = at
        elif here == 2 and step == -1 and at > since:
            found.append((since, at))
        here += step
    return joined(found)


def _fewer_than_two(people: Sequence[Presence]) -> list[tuple[float, float]]:
    """The rest of the time, for ever."""
    there = two_in(people)
    edges = [-math.inf, *(edge for stretch in there for edge in stretch), math.inf]
    return [(max(a, -1.0), b) for a, b in zip(edges[::2], edges[1::2], strict=True) if b > 0]
