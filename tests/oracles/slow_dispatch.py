"""The dispatch policy in plain words, one draw at a time, with objects: the twin that the compiled one must agree with.

Imports nothing of the package it judges. Input is plain: people as lists of (from, to); a job as a dict with "release",
"stock" (when what is bought is here), "after" (numbers of jobs done before) and "phases"; a phase as a dict with "job
step" (any hashable), "machine" or None, "who" (person numbers), "stated", "may pause", "hand over", "longest wait",
"takes" (without the person), "stops at" (share of the way, or None), "needs stock", "two in" (only while two are in).
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import Any


@dataclass
class Running:
    phases: list[dict[str, Any]]
    release: float
    stock: float
    after: list[int] = field(default_factory=list)
    place: int = 0
    state: str = "waiting"
    ends: float = math.inf
    left: float = 0.0
    person: int | None = None
    began: list[float] = field(default_factory=list)
    ended: list[float] = field(default_factory=list)
    by: list[int | None] = field(default_factory=list)
    broken: int = 0
    stretches: list[tuple[int, int | None, float, float]] = field(default_factory=list)
    since: float = 0.0

    @property
    def phase(self) -> dict[str, Any]:
        return self.phases[self.place]

    @property
    def over(self) -> bool:
        return self.place == len(self.phases)

    def lacks_stock(self, t: float) -> bool:
        return t < self.stock and any(phase["needs stock"] for phase in self.phases[: self.place + 1])

    def opens_step(self) -> bool:
        return self.place == 0 or self.phases[self.place - 1]["job step"] != self.phase["job step"]

    def closes_step(self) -> bool:
        return self.place + 1 == len(self.phases) or self.phases[self.place + 1]["job step"] != self.phase["job step"]


def stretch_at(stretches: list[tuple[float, float]], t: float) -> tuple[float, float] | None:
    return next(((a, b) for a, b in stretches if a <= t < b), None)


def simulate(
    people: list[list[tuple[float, float]]],
    jobs: list[dict[str, Any]],
    order: list[int],
    factors: list[float],
    standing: list[tuple[Any, float, float]] | None = None,
    shared: list[tuple[float, dict[Any, float]]] | None = None,
) -> list[Running]:
    """Runs one draw. factors: each person's factor on the time of a phase they begin. standing: machine, from, to; of
    one machine they do not overlap. shared: how much there is for all machines, what each asks while it runs."""
    standing, shared = standing or [], shared or []
    work = [Running(job["phases"], job["release"], job["stock"], job.get("after", [])) for job in jobs]
    holder: dict[Any, int] = {}

    def busy(person: int) -> bool:
        return any(job.state == "running" and job.person == person for job in work)

    def stands(number: int, t: float) -> bool:
        return any(machine == work[number].phase["machine"] and a - 1e-6 <= t < b for machine, a, b in standing)

    def alone_from(number: int, t: float) -> float:
        """When fewer than two are in, from t on, for what nobody does alone; for all else never."""
        if not work[number].phase.get("two in"):
            return math.inf
        ends = sorted({t, *(b for stretches in people for _, b in stretches if b > t)})
        return next(at for at in ends if sum(stretch_at(stretches, at) is not None for stretches in people) < 2)

    def too_much(number: int) -> bool:
        own = work[number].phase["machine"]
        on = [own, *(job.phase["machine"] for job in work if job.state == "running")]
        return any(
            asks.get(own, 0.0) > 0 and sum(asks.get(machine, 0.0) for machine in on) > allowed + 1e-6
            for allowed, asks in shared
        )

    def ready(number: int, t: float) -> bool:
        job = work[number]
        if job.over or too_much(number) or not all(work[k].over for k in job.after):
            return False
        if job.state != "waiting" or t < job.release or job.lacks_stock(t):
            return False
        if stands(number, t) or alone_from(number, t) <= t:
            return False
        machine = job.phase["machine"]
        return machine is None or not job.opens_step() or machine not in holder

    def start(number: int, t: float, person: int | None) -> None:
        job = work[number]
        phase = job.phase
        if job.state == "waiting":
            job.left = phase["takes"] * (1.0 if person is None else factors[person])
            job.began.append(t)
            job.by.append(person)
            if job.place and t - job.ended[-1] > job.phases[job.place - 1]["longest wait"] + 1e-6:
                job.broken += 1
            if phase["machine"] is not None and job.opens_step():
                holder[phase["machine"]] = number
        job.state, job.person, job.since = "running", person, t
        if person is None:
            job.ends = t + job.left
            if phase["stops at"] is not None:
                stop = t + phase["stops at"] * job.left
                back = [max(stop, a) for stretches in people for a, b in stretches if b > stop]
                job.ends = min(back, default=math.inf) + (1.0 - phase["stops at"]) * job.left
            for machine, a, b in sorted(standing, key=lambda one: one[1]):
                if machine is not None and machine == phase["machine"] and t < a < job.ends:
                    job.ends += b - a
            job.left = 0.0
        else:
            stretch = stretch_at(people[person], t)
            assert stretch is not None
            now = min(job.left, stretch[1] - t) if phase["may pause"] else job.left
            now = min([now, *(a - t for machine, a, b in standing if machine == phase["machine"] and a > t)])
            now = min(now, alone_from(number, t) - t)
            job.ends = t + now
            job.left -= now

    def finish_what_ends(t: float) -> None:
        for number, job in enumerate(work):
            if job.state != "running" or job.ends > t:
                continue
            job.stretches.append((job.place, job.person, job.since, t))
            if job.left > 1e-6:
                job.state = "paused"
                continue
            job.ended.append(t)
            if job.closes_step() and holder.get(job.phase["machine"]) == number:
                del holder[job.phase["machine"]]
            job.place += 1
            job.state = "waiting"

    moments = {0.0}
    while moments:
        t = min(moments)
        finish_what_ends(t)
        for number in order:
            if ready(number, t) and not work[number].phase["who"]:
                start(number, t, None)
        for person, stretches in enumerate(people):
            stretch = stretch_at(stretches, t)
            if stretch is None or busy(person):
                continue
            for number in order:
                job = work[number]
                again = job.state == "paused" and (job.person == person or job.phase["hand over"])
                again = again and not stands(number, t) and not too_much(number) and alone_from(number, t) > t
                if not (ready(number, t) or again) or person not in job.phase["who"]:
                    continue
                if job.phase["may pause"] or job.phase["stated"] <= min(stretch[1], alone_from(number, t)) - t:
                    start(number, t, person)
                    break
        moments = {job.ends for job in work if job.state == "running" and job.ends < math.inf}
        moments |= {job.release for job in work if job.release > t}
        moments |= {job.stock for job in work if job.stock > t}
        moments |= {b for _, _, b in standing if b > t}
        if not all(job.over for job in work):
            moments |= {a for stretches in people for a, _ in stretches if a > t}
    return work
