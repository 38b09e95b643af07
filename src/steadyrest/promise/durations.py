"""How long everything takes, as rows of draws: drawn = stated x exp(shop + job + person + own).

Each term is a named factor of the shop's Luck, so the same job has the same luck in every plan it is tried in, and a
price drawn from the same factors agrees with the promise draw by draw.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import NamedTuple

import numpy as np

from steadyrest.promise.week import Week, WeekJob, WeekPhase
from steadyrest.shop.draws import FloatArray, Luck
from steadyrest.shop.floor import Shop


@dataclass(frozen=True, slots=True)
class Spreads:
    """Standard deviations of the logarithm, and the usual ratios that time has taught.

    shop_ratio: the shop's usual time against the estimate; shop, job: sd common to everything, and to one job.
    person: each person's (usual ratio, sd); who is not named has (1, person_else).
    """

    shop_ratio: float = 1.0
    shop: float = 0.0
    job: float = 0.0
    person: Mapping[str, tuple[float, float]] = field(default_factory=dict)
    person_else: float = 0.0


class WeekDraws(NamedTuple):
    """n draws of a Week; a tuple, because the compiled dispatch takes it whole.

    base_s: (n, P) without the person's factor. person: (n, N) factors.
    stop_at: (n, P) where on its way a run stops, 0 to 1, or -1. release_s: (n, J).
    stock_s: (n, J) when what is bought for a job is here; 0 where nothing is.
    """

    base_s: FloatArray
    person: FloatArray
    stop_at: FloatArray
    release_s: FloatArray
    stock_s: FloatArray

    def some(self, count: int) -> WeekDraws:
        """The first so many of the draws."""
        return WeekDraws(*(values[:count] for values in self))


def spreads_of(shop: Shop) -> Spreads:
    """What this shop has learned about its own estimates."""
    habits = shop.habits
    people = {person.id: (person.pace / (1.0 - person.interrupted), person.spread) for person in shop.people}
    return Spreads(shop_ratio=habits.bias, shop=habits.bias_spread, job=habits.difficulty_spread, person=people)


def draw(week: Week, luck: Luck, spreads: Spreads) -> WeekDraws:
    """Draws for every phase of the week.

    A phase with neither an own spread nor a person is fixed: a machine's program takes as long as it takes.

    Args:
        week: jobs, steps, phases.
        luck: how many draws, from which seed.
        spreads: how uncertain what is.
    Returns: the draws; release_s is each job's own release in every draw.
    """
    n, rows = luck.count, week.phases()
    base, stop_at = np.empty((n, len(rows))), np.full((n, len(rows)), -1.0)
    shop = math.log(spreads.shop_ratio) + (spreads.shop * luck.normal("shop bias") if spreads.shop else np.zeros(n))
    owners = {job.id: job.belongs or job.id for job in week.jobs}
    jobs = {one: spreads.job * luck.normal(f"job {own}") if spreads.job else np.zeros(n) for one, own in owners.items()}
    for i, (job, name, phase) in enumerate(named(week)):
        if phase.spread == 0 and not phase.who:
            base[:, i] = phase.duration_s
        else:
            own = phase.spread * luck.normal(f"own {name}") if phase.spread else 0.0
            ours = 0.0 if phase.elsewhere else shop + jobs[job.id]
            base[:, i] = phase.duration_s * np.exp(ours + own)
        if phase.stop_odds > 0:
            chance = luck.uniform(f"stop {name}")
            stop_at[:, i] = np.where(chance < phase.stop_odds, chance / phase.stop_odds, -1.0)
    person = np.ones((n, max(1, len(week.people))))
    for k, who in enumerate(week.people):
        ratio, spread = spreads.person.get(who.id, (1.0, spreads.person_else))
        person[:, k] = ratio * np.exp(spread * luck.normal(f"person {who.id}")) if spread else ratio
    release = np.tile(np.array([job.release_s for job in week.jobs], np.float64), (n, 1))
    return WeekDraws(base, person, stop_at, release, np.zeros_like(release))


def named(week: Week) -> tuple[tuple[WeekJob, str, WeekPhase], ...]:
    """Every phase in the arrays' order, with its job and the name of its own luck: job, step and place in the step."""
    return tuple(
        (job, f"{job.id}/{step.id}/{n}", phase)
        for job in week.jobs
        for step in job.steps
        for n, phase in enumerate(step.phases)
    )
