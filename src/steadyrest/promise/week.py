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

IntArray = npt.NDArray[np.int64]
BoolArray = npt.NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class WeekPhase:
    """A stretch of a step. duration_s: as stated (the median). who: ids of whom any one can do it; empty: nobody.

    stop_odds: chance that a run with nobody stops on its way and stands until anyone is in.
    elsewhere: outside the shop; neither its own bias nor the job's difficulty stretches it.
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


@dataclass(frozen=True, slots=True)
class WeekStep:
    id: str
    machine: str | None
    phases: tuple[WeekPhase, ...]


@dataclass(frozen=True, slots=True)
class WeekJob:
    """weight: what an hour late costs."""

    id: str
    release_s: float
    due_s: float
    weight: float
    steps: tuple[WeekStep, ...]


@dataclass(frozen=True, slots=True)
class Presence:
    """A person and the stretches (from, to) they are in, sorted and disjoint; they may touch."""

    id: str
    stretches_s: tuple[tuple[float, float], ...]


@dataclass(frozen=True, slots=True)
class Week:
    """people: in the file's order, which decides who chooses first."""

    people: tuple[Presence, ...]
    machines: tuple[str, ...]
    jobs: tuple[WeekJob, ...]

    def __post_init__(self) -> None:
        people, machines = {p.id for p in self.people}, set(self.machines)
        for job in self.jobs:
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

    first: (J + 1,) where each job's phases begin. machine: (P,) index or -1.
    opens, closes: (P,) first, last of its step.
    who: (P, N). alone: (P,) needs nobody.
    here_from, here_to: (N, S); here_count: (N,). anyone_from, anyone_to: (A,) at least one person is in.
    """

    first: IntArray
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
    return Flat(
        first=np.concatenate(([0], np.cumsum(counts))).astype(np.int64),
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
    )


def _calendar(everyone: Sequence[Sequence[tuple[float, float]]]) -> tuple[FloatArray, FloatArray, IntArray]:
    width = max((len(stretches) for stretches in everyone), default=0) or 1
    begin, stop = np.full((max(1, len(everyone)), width), np.inf), np.full((max(1, len(everyone)), width), np.inf)
    count = np.zeros(max(1, len(everyone)), np.int64)
    for n, stretches in enumerate(everyone):
        count[n] = len(stretches)
        begin[n, : count[n]] = [a for a, _ in stretches]
        stop[n, : count[n]] = [b for _, b in stretches]
    return begin, stop, count


def _anyone(people: Sequence[Presence]) -> list[tuple[float, float]]:
    out: list[tuple[float, float]] = []
    for begin, stop in sorted(stretch for person in people for stretch in person.stretches_s):
        if out and begin <= out[-1][1]:
            out[-1] = (out[-1][0], max(out[-1][1], stop))
        else:
            out.append((begin, stop))
    return out
