"""By when: the new job put into the week that is already promised, and what comes of it over all draws."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from decimal import Decimal

import numpy as np

from steadyrest.promise.answer import HOLDS, JobDraws, Promise
from steadyrest.promise.arrival import Arrival, arrival
from steadyrest.promise.calendars import in_words
from steadyrest.promise.consequences import after_hours, effects, loads, plan_rows
from steadyrest.promise.dispatch import Outcome, dispatch
from steadyrest.promise.durations import WeekDraws, draw, spreads_of
from steadyrest.promise.neck import neck, yes_by
from steadyrest.promise.order import Duties, best_order, by_due, inserted
from steadyrest.promise.shop_week import DAY_S, days_asked, promised_job, route_job, too_long, week_of
from steadyrest.promise.week import Flat, IntArray, Week, WeekJob, arrays
from steadyrest.shop.draws import FloatArray, Luck
from steadyrest.shop.figure import Figure, Reason, because
from steadyrest.shop.floor import Shop
from steadyrest.shop.work import Purchase, Route

QUARTER_S = 900.0
LONGEST_DAYS = 730
TRIES, LEAST_TRIES = 160, 10


@dataclass(frozen=True, slots=True)
class Plan:
    """A week with its draws and the order found: before the new job, and with it (last in `week.jobs`).

    last: the order in which the new job is served after all others.
    """

    week: Week
    flat: Flat
    draws: WeekDraws
    duties: Duties
    order: IntArray
    last: IntArray
    outcome: Outcome
    before: Outcome | None
    now: datetime


def promise(
    route: Route,
    *,
    job_id: str,
    due: datetime,
    now: datetime,
    shop: Shop,
    luck: Luck,
    late_per_hour: Decimal | None = None,
    stop: Callable[[], bool] = lambda: False,
    progress: Callable[[str, float], None] = lambda _what, _share: None,
) -> tuple[Promise, JobDraws]:
    """When this route can be done among the work already promised, with the odds.

    Args:
        route: with at least one step.
        job_id: the new job's; chooses its luck.
        due: aware, later than now.
        now: aware.
        shop: people, machines, suppliers, work already promised.
        luck: how many draws, from which seed; 1000 are enough for ten pegs.
        late_per_hour: what an hour late costs with this job; None: as with the dearest work already promised.
        stop: asked during the search; the best plan so far is then used, all draws are still run.
        progress: told what is being done and how far it is.
    Returns: the promise, and the same draws for the price.
    Raises: ValueError: the route has no steps, or a time is without its offset.
    """
    if not route.steps:
        raise ValueError(f"promise: the route of job {job_id!r} has no steps")
    if due.tzinfo is None or now.tzinfo is None:
        raise ValueError(f"promise: due {due!r} and now {now!r} must carry their offset")
    comes = arrival(route.buy, now=now, shop=shop, luck=luck)
    per_hour = float(late_per_hour if late_per_hour is not None else dearest(shop))
    job = route_job(route, job_id=job_id, release_s=0.0, due_s=(due - now).total_seconds(), weight=per_hour)
    plan = planned(shop, job, comes, now=now, luck=luck, stop=stop, progress=progress)
    progress("what holds it back", 0.9)
    return _said(plan, job, route.buy, comes, due=due, shop=shop, luck=luck), _job_draws(plan)


def dearest(shop: Shop) -> Decimal:
    """What an hour late costs with the dearest work already promised; 1 where nothing is."""
    return max((work.late_per_hour for work in shop.promised), default=Decimal(1)) or Decimal(1)


def planned(
    shop: Shop,
    job: WeekJob,
    comes: Arrival | None,
    *,
    now: datetime,
    luck: Luck,
    stop: Callable[[], bool],
    progress: Callable[[str, float], None],
) -> Plan:
    """The week with the new job in it, looked at far enough ahead that it is done in nearly all draws."""
    others = tuple(promised_job(work, now=now, timezone=shop.timezone) for work in shop.promised if work.phases)
    jobs = (*others, job)
    days = days_asked(jobs, 0.0 if comes is None else float(comes.draws_s.max()))
    while True:
        plan = _searched(shop, jobs, comes, now=now, days=min(days, LONGEST_DAYS), luck=luck, stop=stop,
                         progress=progress)  # fmt: skip
        done = np.isfinite(plan.outcome.finish_s[:, -1]).mean()
        if done > 0.995 or days >= LONGEST_DAYS or too_long(plan.week, job):
            return plan
        days *= 3


def _searched(
    shop: Shop,
    jobs: tuple[WeekJob, ...],
    comes: Arrival | None,
    *,
    now: datetime,
    days: int,
    luck: Luck,
    stop: Callable[[], bool],
    progress: Callable[[str, float], None],
) -> Plan:
    week = week_of(shop, jobs, now=now, days=days)
    flat, draws = arrays(week), draw(week, luck, spreads_of(shop))
    if comes is not None:
        draws.release_s[:, -1] = comes.draws_s
    new, phases = len(jobs) - 1, int(flat.first[-2])
    duties = Duties(np.array([job.due_s for job in jobs]), np.array([job.weight for job in jobs]), days * DAY_S, new)
    tries = max(LEAST_TRIES, TRIES * 28 // days)  # a far horizon makes each try dear
    generator = np.random.default_rng(luck.seed)
    before, order = None, np.array([0], np.int64)
    last = order
    if new:
        progress("the week as promised", 0.1)
        alone = arrays(Week(week.people, week.machines, jobs[:-1]))
        his = WeekDraws(draws.base_s[:, :phases].copy(), draws.person, draws.stop_at[:, :phases].copy(),
                        draws.release_s[:, :-1].copy())  # fmt: skip
        owed = Duties(duties.due_s[:-1], duties.per_hour[:-1], duties.horizon_s)
        kept = best_order(alone, his, owed, by_due(owed), tries=tries, generator=generator, stop=stop)
        before, last = dispatch(alone, his, kept), np.append(kept, new)
        progress("the new job among it", 0.4)
        order = inserted(flat, draws, duties, kept, new, stop)
        order = best_order(flat, draws, duties, order, tries=tries, generator=generator, stop=stop)
    progress("all draws", 0.7)
    return Plan(week, flat, draws, duties, order, last, dispatch(flat, draws, order), before, now)


def finish_at(finish_s: FloatArray, share: float) -> float:
    """The time by which at least this share of the draws is done, s; inf if fewer are."""
    rank = min(finish_s.size, int(np.ceil(share * finish_s.size - 1e-9))) - 1
    return float(np.sort(finish_s)[max(rank, 0)])


def moment_after(now: datetime, after_s: float, *, up_to_s: float = 60.0) -> datetime | None:
    """The moment so long after now, rounded up to the minute (or quarter of an hour); None for never."""
    if not np.isfinite(after_s):
        return None
    at = now + timedelta(seconds=after_s)
    rest = at.timestamp() % up_to_s
    return at + timedelta(seconds=up_to_s - rest) if rest > 1e-6 else at


def _said(
    plan: Plan,
    job: WeekJob,
    buy: Sequence[Purchase],
    comes: Arrival | None,
    *,
    due: datetime,
    shop: Shop,
    luck: Luck,
) -> Promise:
    finish = plan.outcome.finish_s[:, -1]
    odds = float((finish <= job.due_s).mean())
    wanted = shop.terms.wanted_odds
    middle = int(np.argsort(finish, kind="stable")[(finish.size - 1) // 2])
    rows = plan_rows(plan.week, plan.flat, plan.draws, plan.order, middle=middle, now=plan.now)
    holds_back = neck(plan.week, plan.draws, plan.order, wanted=wanted, shop=shop, bought=comes is not None)
    can = moment_after(plan.now, finish_at(finish, wanted), up_to_s=QUARTER_S)
    broken = float((plan.outcome.broken[:, -1] > 0).mean())
    why = _why(plan, job, comes, shop=shop, can=can, wanted=wanted, broken=broken)
    if holds_back is not None:
        why = (holds_back.why, *why)
    return Promise(
        job=job.id,
        due=due,
        finish_p50=moment_after(plan.now, finish_at(finish, 0.5)),
        finish_p90=moment_after(plan.now, finish_at(finish, 0.9)),
        odds=Figure(odds, "1", (because("promise.odds", draws=float(finish.size), kept_odds=odds), *why)),
        wanted_odds=wanted,
        can_promise=can,
        behind_all=_behind_all(plan, wanted),
        others=effects(plan.before, plan.outcome, plan.duties, shop=shop, now=plan.now),
        loads=loads(plan.week, plan.flat, plan.draws, plan.outcome, shop=shop),
        plan=rows,
        order=tuple(plan.week.jobs[int(j)].id for j in plan.order),
        arrival=None if comes is None else comes.likely,
        neck=holds_back,
        yes_by=yes_by(plan.flat, plan.draws, plan.order, job, wanted=wanted, buy=buy, now=plan.now, shop=shop,
                      luck=luck),
        after_hours=after_hours(rows, shop),
        waits_broken_odds=broken,
        seed=luck.seed,
        draws=luck.count,
        timezone=shop.timezone,
        why=why,
    )  # fmt: skip


def _behind_all(plan: Plan, wanted: float) -> datetime | None:
    """The finish at the wanted odds when served last; None if even that breaks a promise (a long hold on a machine)."""
    served_last = dispatch(plan.flat, plan.draws, plan.last).finish_s
    if plan.before is not None:
        due_s = plan.duties.due_s[:-1]
        held = (plan.before.finish_s <= due_s).mean(axis=0) >= HOLDS
        if ((served_last[:, :-1] <= due_s).mean(axis=0) < HOLDS)[held].any():
            return None
    return moment_after(plan.now, finish_at(served_last[:, -1], wanted), up_to_s=QUARTER_S)


def _why(
    plan: Plan,
    job: WeekJob,
    comes: Arrival | None,
    *,
    shop: Shop,
    can: datetime | None,
    wanted: float,
    broken: float,
) -> tuple[Reason, ...]:
    """Reasons for the finish, most telling first."""
    phases = [phase for step in job.steps for phase in step.phases]
    why: list[Reason] = []
    if can is None:
        never = too_long(plan.week, job)
        if never is not None:
            why.append(because("promise.too_long", step=never[0].id, takes_s=never[1].duration_s, longest_s=never[2]))
        else:
            why.append(because("promise.never", days=plan.duties.horizon_s / DAY_S))
    else:
        why.append(because("promise.can", when=in_words(can, shop.timezone), wanted_odds=wanted))
    if comes is not None:
        why += comes.why
    hands = sum(phase.duration_s for phase in phases if phase.who)
    alone = sum(phase.duration_s for phase in phases if not phase.who)
    why.append(because("promise.work", hands_s=hands, alone_s=alone))
    ahead = [plan.week.jobs[int(j)].id for j in plan.order if int(j) != len(plan.week.jobs) - 1]
    place = int(np.flatnonzero(plan.order == len(plan.week.jobs) - 1)[0])
    if place:
        why.append(because("promise.served_after", jobs=", ".join(ahead[:place])))
    if shop.habits.bias != 1.0:
        why.append(because("promise.bias", ratio=shop.habits.bias))
    if broken > 0:
        why.append(because("promise.waits", broken_odds=broken))
    return tuple(why)


def _job_draws(plan: Plan) -> JobDraws:
    first, last = int(plan.flat.first[-2]), int(plan.flat.first[-1])
    n, people = plan.draws.base_s.shape[0], len(plan.week.people)
    person, machine = np.zeros((n, people)), np.zeros((n, len(plan.week.machines)))
    for i in range(first, last):
        # A phase not begun within the calendar still has to be paid for: those it names share it evenly.
        named = plan.flat.who[i] / max(1, plan.flat.who[i].sum())
        by = plan.outcome.by[:, i]
        doer = np.where((by >= 0)[:, None], by[:, None] == np.arange(people), named)
        took = plan.draws.base_s[:, i, None] * plan.draws.person * doer
        person += took
        if plan.flat.machine[i] >= 0:
            machine[:, plan.flat.machine[i]] += took.sum(axis=1) if named.any() else plan.draws.base_s[:, i]
    late = np.zeros(n)
    if plan.before is not None:
        new, old = plan.duties.late(plan.outcome.finish_s)[:, :-1], plan.before.finish_s
        owed = Duties(plan.duties.due_s[:-1], plan.duties.per_hour[:-1], plan.duties.horizon_s)
        late = new.sum(axis=1) - owed.late(old).sum(axis=1)
    for array in (person, machine, late):
        array.flags.writeable = False
    finish = plan.outcome.finish_s[:, -1].copy()
    finish.flags.writeable = False
    return JobDraws(finish, person, machine, late)
