"""No plan is better than the bound says, and what is called proven is the best of all plans."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from steadyrest.promise.search.alone import alone
from steadyrest.promise.search.builder import empty_bench
from steadyrest.promise.search.laid import laid_out
from steadyrest.promise.search.search import least_late
from steadyrest.promise.search.together import together
from steadyrest.promise.week import Presence, Week, WeekJob, WeekPhase, WeekStep
from tests.oracles.every_plan import least

HOUR = 3600.0


def quiet(what: str, share: float) -> None:
    pass


def small_week(seed: int) -> Week:
    """At most seven phases in two to four jobs, two people with gaps in their hours, two machines, tight due times."""
    chance = np.random.default_rng(seed)
    people = []
    for name in ("ana", "bo"):
        edges = np.cumsum(chance.integers(1, 6, 16)) * HOUR
        people.append(Presence(name, tuple((float(a), float(b)) for a, b in edges.reshape(-1, 2))))
    left, jobs = 7, []
    for j in range(int(chance.integers(2, 5))):
        steps = []
        for s in range(int(chance.integers(1, 3))):
            count = min(left, int(chance.integers(1, 3)))
            left -= count
            phases = tuple(
                WeekPhase(
                    f"{k}", float(chance.integers(1, 8)) * HOUR / 4,
                    ((), ("ana",), ("bo",), ("ana", "bo"))[int(chance.integers(0, 4))], bool(chance.random() < 0.5),
                )
                for k in range(count)
            )  # fmt: skip
            if phases:
                steps.append(WeekStep(f"{s}", (None, "m", "m", "n")[int(chance.integers(0, 4))], phases))
        if steps:
            release = float(chance.integers(0, 4)) * HOUR
            due = release + float(chance.integers(0, 10)) * HOUR
            jobs.append(WeekJob(f"{j}", release, due, float(chance.integers(1, 4)), tuple(steps)))
    return Week(tuple(people), ("m", "n"), tuple(jobs))


def told(week: Week) -> tuple[list[list[tuple[float, float]]], list[dict[str, Any]]]:
    """The week in the oracle's words."""
    number = {person.id: n for n, person in enumerate(week.people)}
    jobs = [
        {
            "release": job.release_s, "due": job.due_s, "weight": job.weight,
            "phases": [
                {
                    "step": step.id, "machine": step.machine, "takes": phase.duration_s,
                    "who": [number[name] for name in phase.who], "may pause": phase.interruptible,
                }
                for step in job.steps
                for phase in step.phases
            ],
        }
        for job in week.jobs
    ]  # fmt: skip
    return [list(person.stretches_s) for person in week.people], jobs


def test_of_seven_phases_the_best_of_all_plans_is_found_and_proven() -> None:
    ended = 0
    for seed in range(WEEKS):
        week = small_week(seed)
        best = least(*told(week))
        if best == np.inf:
            continue
        ended += 1
        plan = least_late(week, seed=1, work=8000, progress=quiet, stop=lambda: False)
        assert plan.late_h == pytest.approx(best, abs=1e-6), seed
        assert plan.bound_h == pytest.approx(best, abs=1e-6), seed
        assert plan.proven, seed
    assert ended > WEEKS / 2


def test_what_machines_and_people_are_wanted_for_alone_never_says_too_much() -> None:
    # The same weeks by the bound for many jobs, which tries nothing.
    more = 0
    for seed in range(WEEKS):
        week = small_week(seed)
        best = least(*told(week))
        if best == np.inf:
            continue
        w = laid_out(week)
        by_itself, able = alone(w, empty_bench(w))
        bound = together(w, np.flatnonzero(able), by_itself)
        assert by_itself.sum() - 1e-9 <= bound <= best + 1e-6, seed
        more += bound > by_itself.sum() + 1e-6
    assert more > WEEKS / 20


def test_the_second_of_two_equal_jobs_of_one_person_is_as_late_as_paper_says() -> None:
    # Two jobs of 3 h, both due at 3 h, and 4 h a day: the second has an hour today, two tomorrow (24 h on): 26 h.
    here = ((0.0, 4 * HOUR), (24 * HOUR, 28 * HOUR))
    work = WeekStep("s", None, (WeekPhase("", 3 * HOUR, ("ana",), interruptible=True),))
    jobs = tuple(WeekJob(f"{k}", 0.0, 3 * HOUR, 1.0, (work,)) for k in range(2))
    w = laid_out(Week((Presence("ana", here),), (), jobs))
    by_itself, able = alone(w, empty_bench(w))
    assert by_itself.sum() == 0.0
    assert together(w, np.flatnonzero(able), by_itself) == pytest.approx(26 - 3)


WEEKS = 40
