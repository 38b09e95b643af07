"""By when: the new job put into the week that is already promised, and what comes of it over all draws."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
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
from steadyrest.promise.shop_week import DAY_S, chain_job, days_asked, promised_job, too_long, week_of
from steadyrest.promise.week import Flat, IntArray, Week, WeekJob, arrays
from steadyrest.shop.draws import FloatArray, Luck
from steadyrest.shop.figure import Figure, Reason, because
from steadyrest.shop.floor import Shop
from steadyrest.shop.work import Chain, Route

QUARTER_S = 900.0
LONGEST_DAYS = 730
TRIES, LEAST_TRIES = 160, 10


@dataclass(frozen=True, slots=True)
class Plan:
    """A week with its draws and the order found: before the new job, and with it (last in `week.jobs`).

    last: the order in which the new job is served after all others. new: how many of `week.jobs` the new job is.
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
    new: int = 1


def promise(
    route: Route | Sequence[Chain],
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
        route: with at least one step; or chains of steps, the last of which ends the job and comes after all others.
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
    chains = (Chain(job_id, route.steps, (), route.buy),) if isinstance(route, Route) else tuple(route)
    if not chains or not all(chain.steps for chain in chains):
        raise ValueError(f"promise: the route of job {job_id!r} has no steps")
    if due.tzinfo is None or now.tzinfo is None:
        raise ValueError(f"promise: due {due!r} and now {now!r} must carry their offset")
    comes = Comes(chains, shop, luck)
    per_hour = float(late_per_hour if late_per_hour is not None else dearest(shop))
    due_s = (due - now).total_seconds()
    jobs = tuple(
        chain_job(
            chain.steps, job_id=chain.id, release_s=0.0, due_s=due_s, weight=per_hour if chain is chains[-1] else 0.0,
            after=chain.after, belongs=job_id,
        )
        for chain in chains
    )  # fmt: skip
    plan = planned(shop, jobs, comes, now=now, luck=luck, stop=stop, progress=progress)
    progress("what holds it back", 0.9)
    return _said(plan, jobs, comes, job_id=job_id, due=due, shop=shop, luck=luck), _job_draws(plan)


@dataclass(frozen=True, slots=True)
class Comes:
    """When what the chains of a job wait for is here."""

    chains: tuple[Chain, ...]
    shop: Shop
    luck: Luck

    def all(self, now: datetime) -> Arrival | None:
        """Everything that is bought for the job, ordered now."""
        bought = tuple(dict.fromkeys(one for chain in self.chains for one in chain.buy))
        return arrival(bought, now=now, shop=self.shop, luck=self.luck)

    def draws_s(self, now: datetime) -> FloatArray:
        """(n, chains) seconds after now until it is here; 0 where nothing is bought."""
        found = np.zeros((self.luck.count, len(self.chains)))
        for n, chain in enumerate(self.chains):
            one = arrival(chain.buy, now=now, shop=self.shop, luck=self.luck)
            if one is not None:
                found[:, n] = one.draws_s
        return found


def dearest(shop: Shop) -> Decimal:
    """What an hour late costs with the dearest work already promised; 1 where nothing is."""
    return max((work.late_per_hour for work in shop.promised), default=Decimal(1)) or Decimal(1)


def planned(
    shop: Shop,
    new: tuple[WeekJob, ...],
    comes: Comes,
    *,
    now: datetime,
    luck: Luck,
    stop: Callable[[], bool],
    progress: Callable[[str, float], None],
) -> Plan:
    """The week with the new job in it, looked at far enough ahead that it is done in nearly all draws."""
    others = tuple(promised_job(work, now=now, timezone=shop.timezone) for work in shop.promised if work.phases)
    jobs, here_s = (*others, *new), comes.draws_s(now)
    days = days_asked(jobs, float(here_s.max()))
    while True:
        plan = _searched(shop, jobs, here_s, now=now, days=min(days, LONGEST_DAYS), luck=luck, stop=stop,
                         progress=progress)  # fmt: skip
        done = np.isfinite(plan.outcome.finish_s[:, -1]).mean()
        if done > 0.995 or days >= LONGEST_DAYS or any(too_long(plan.week, job) for job in new):
            return plan
        days *= 3


def _searched(
    shop: Shop,
    jobs: tuple[WeekJob, ...],
    here_s: FloatArray,
    *,
    now: datetime,
    days: int,
    luck: Luck,
    stop: Callable[[], bool],
    progress: Callable[[str, float], None],
) -> Plan:
    week, count = week_of(shop, jobs, now=now, days=days), here_s.shape[1]
    flat, draws = arrays(week), draw(week, luck, spreads_of(shop))
    draws.stock_s[:, -count:] = here_s
    others, phases = len(jobs) - count, int(flat.first[-1 - count])
    new = np.arange(others, len(jobs), dtype=np.int64)
    horizon_s = days * DAY_S
    duties = Duties(np.array([j.due_s for j in jobs]), np.array([j.weight for j in jobs]), horizon_s, len(jobs) - 1)
    tries = max(LEAST_TRIES, TRIES * 28 // days)  # a far horizon makes each try dear
    generator = np.random.default_rng(luck.seed)
    before, order = None, new
    last = order
    if others:
        progress("the week as promised", 0.1)
        alone = arrays(replace(week, jobs=jobs[:others]))
        his = WeekDraws(draws.base_s[:, :phases].copy(), draws.person, draws.stop_at[:, :phases].copy(),
                        draws.release_s[:, :others].copy(), draws.stock_s[:, :others].copy())  # fmt: skip
        owed = Duties(duties.due_s[:others], duties.per_hour[:others], duties.horizon_s)
        kept = best_order(alone, his, owed, by_due(owed), tries=tries, generator=generator, stop=stop)
        before, last = dispatch(alone, his, kept), np.append(kept, new)
        progress("the new job among it", 0.4)
        order = inserted(flat, draws, duties, kept, new, stop)
    if len(jobs) > 1:
        order = best_order(flat, draws, duties, order, tries=tries, generator=generator, stop=stop)
    progress("all draws", 0.7)
    return Plan(week, flat, draws, duties, order, last, dispatch(flat, draws, order), before, now, count)


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
    plan: Plan, new: tuple[WeekJob, ...], coming: Comes, *, job_id: str, due: datetime, shop: Shop, luck: Luck
) -> Promise:
    job, comes = new[-1], coming.all(plan.now)
    finish = plan.outcome.finish_s[:, -1]
    odds = float((finish <= job.due_s).mean())
    wanted = shop.terms.wanted_odds
    middle = int(np.argsort(finish, kind="stable")[(finish.size - 1) // 2])
    rows = plan_rows(plan.week, plan.flat, plan.draws, plan.order, middle=middle, now=plan.now, new=plan.new)
    bought = comes is not None
    holds_back = neck(plan.week, plan.draws, plan.order, wanted=wanted, shop=shop, bought=bought, new=plan.new)
    can = moment_after(plan.now, finish_at(finish, wanted), up_to_s=QUARTER_S)
    until, later_until = _yes_until(plan, job, coming, odds=odds, wanted=wanted, can=can)
    broken = float((plan.outcome.broken[:, -plan.new :] > 0).any(axis=1).mean())
    why = _why(plan, new, comes, shop=shop, can=can, wanted=wanted, broken=broken)
    if holds_back is not None:
        why = (holds_back.why, *why)
    return Promise(
        job=job_id,
        due=due,
        finish_p50=moment_after(plan.now, finish_at(finish, 0.5)),
        finish_p90=moment_after(plan.now, finish_at(finish, 0.9)),
        odds=Figure(odds, "1", (because("promise.odds", draws=float(finish.size), kept_odds=odds), *why)),
        wanted_odds=wanted,
        can_promise=can,
        behind_all=_behind_all(plan, wanted),
        others=effects(plan.before, plan.outcome, plan.duties, shop=shop, now=plan.now),
        loads=loads(plan.week, plan.flat, plan.draws, plan.outcome, shop=shop, new=plan.new),
        plan=rows,
        order=tuple(dict.fromkeys(at.belongs or at.id for at in (plan.week.jobs[int(j)] for j in plan.order))),
        arrival=None if comes is None else comes.likely,
        neck=holds_back,
        yes_by=until,
        after_hours=after_hours(rows, shop),
        waits_broken_odds=broken,
        seed=luck.seed,
        draws=luck.count,
        timezone=shop.timezone,
        why=why,
        later_yes_by=later_until,
    )  # fmt: skip


def _yes_until(
    plan: Plan, job: WeekJob, coming: Comes, *, odds: float, wanted: float, can: datetime | None
) -> tuple[datetime | None, datetime | None]:
    """The latest moments to say yes: to the due time, and, where that is not kept, to the time that can be promised."""

    def until(of: WeekJob) -> datetime | None:
        return yes_by(plan.flat, plan.draws, plan.order, of, wanted=wanted, here_s=coming.draws_s, now=plan.now)

    later = can is not None and odds < wanted
    return until(job), until(replace(job, due_s=(can - plan.now).total_seconds())) if later and can else None


def _behind_all(plan: Plan, wanted: float) -> datetime | None:
    """The finish at the wanted odds when served last; None if even that breaks a promise (a long hold on a machine)."""
    served_last = dispatch(plan.flat, plan.draws, plan.last).finish_s
    if plan.before is not None:
        due_s = plan.duties.due_s[: -plan.new]
        held = (plan.before.finish_s <= due_s).mean(axis=0) >= HOLDS
        if ((served_last[:, : -plan.new] <= due_s).mean(axis=0) < HOLDS)[held].any():
            return None
    return moment_after(plan.now, finish_at(served_last[:, -1], wanted), up_to_s=QUARTER_S)


def _why(
    plan: Plan,
    new: tuple[WeekJob, ...],
    comes: Arrival | None,
    *,
    shop: Shop,
    can: datetime | None,
    wanted: float,
    broken: float,
) -> tuple[Reason, ...]:
    """Reasons for the finish, most telling first."""
    phases = [phase for job in new for step in job.steps for phase in step.phases]
    why: list[Reason] = []
    if can is None:
        never = next((found for job in new if (found := too_long(plan.week, job)) is not None), None)
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
    others = len(plan.week.jobs) - plan.new
    ahead = [plan.week.jobs[int(j)].id for j in plan.order if int(j) < others]
    place = int(np.flatnonzero(plan.order >= others)[0])
    if place:
        why.append(because("promise.served_after", jobs=", ".join(ahead[:place])))
    if shop.habits.bias != 1.0:
        why.append(because("promise.bias", ratio=shop.habits.bias))
    if broken > 0:
        why.append(because("promise.waits", broken_odds=broken))
    return tuple(why)


def _job_draws(plan: Plan) -> JobDraws:
    first, last = int(plan.flat.first[-1 - plan.new]), int(plan.flat.first[-1])
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
        others, old = len(plan.week.jobs) - plan.new, plan.before.finish_s
        new = plan.duties.late(plan.outcome.finish_s)[:, :others]
        owed = Duties(plan.duties.due_s[:others], plan.duties.per_hour[:others], plan.duties.horizon_s)
        late = new.sum(axis=1) - owed.late(old).sum(axis=1)
    for array in (person, machine, late):
        array.flags.writeable = False
    finish = plan.outcome.finish_s[:, -1].copy()
    finish.flags.writeable = False
    return JobDraws(finish, person, machine, late)
