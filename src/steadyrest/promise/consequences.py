"""What the plan means for everyone else: other promises, hours asked of people and machines, the rows of the plan."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

import numpy as np

from steadyrest.promise.answer import Effect, Load, PlanRow
from steadyrest.promise.dispatch import Outcome, dispatch
from steadyrest.promise.durations import WeekDraws
from steadyrest.promise.order import Duties
from steadyrest.promise.shop_week import due_of
from steadyrest.promise.week import Flat, IntArray, Week
from steadyrest.shop.draws import FloatArray
from steadyrest.shop.figure import Figure, because
from steadyrest.shop.floor import Shop


def effects(before: Outcome | None, after: Outcome, duties: Duties, *, shop: Shop, now: datetime) -> tuple[Effect, ...]:
    """What happens to each promise already given, with the same luck before and after.

    Args:
        before: the week without the new job; None when nothing is promised.
        after: with it, last of the jobs.
        duties: due times and costs, the new job last.
        shop: the work promised.
        now: aware.
    Returns: one effect a promise, in the shop's order.
    """
    if before is None:
        return ()
    late_after, found = duties.late(after.finish_s), []
    others = before.finish_s.shape[1]
    owed = Duties(duties.due_s[:others], duties.per_hour[:others], duties.horizon_s)
    late_before = owed.late(before.finish_s)
    for j, work in enumerate(work for work in shop.promised if work.phases):
        was = float((before.finish_s[:, j] <= duties.due_s[j]).mean())
        will = float((after.finish_s[:, j] <= duties.due_s[j]).mean())
        money = float((late_after[:, j] - late_before[:, j]).mean())
        key = "promise.other_worse" if will < was - 0.005 else "promise.other_same"
        why = because(key, job=work.id, before_odds=was, after_odds=will, late_money=money)
        due = due_of(work, now=now, timezone=shop.timezone)
        found.append(Effect(work.id, work.what, due, was, will, money, (why,)))
    return tuple(found)


def plan_rows(
    week: Week, flat: Flat, draws: WeekDraws, order: IntArray, *, middle: int, now: datetime, new: int = 1
) -> tuple[PlanRow, ...]:
    """Who does what when in one draw; a phase that pauses has a row for each stretch.

    Args:
        week, flat, draws, order: the plan.
        middle: the draw to show.
        now: aware.
        new: how many of the week's jobs, from the last, are the new one's.
    Returns: rows by start, then job.
    """
    one = slice(middle, middle + 1)
    single = WeekDraws(*(values[one] for values in draws))
    trace = dispatch(flat, single, order, traced=0).trace
    places = [(job, step, n, phase) for job in week.jobs for step in job.steps for n, phase in enumerate(step.phases)]
    rows: list[PlanRow] = []
    for phase_at, who, begin, end in trace:
        job, step, n, phase = places[int(phase_at)]
        rows.append(
            PlanRow(
                job=job.belongs or job.id,
                step=step.id,
                phase=n,
                name=phase.name,
                person=week.people[int(who)].id if who >= 0 else None,
                machine=step.machine,
                start=now + timedelta(seconds=round(float(begin))),
                end=now + timedelta(seconds=round(float(end))),
                new=job in week.jobs[len(week.jobs) - new :],
                of=phase.of,
            )
        )
    return tuple(sorted(rows, key=lambda row: (row.start, row.end, row.job, row.step, row.phase)))


def loads(week: Week, flat: Flat, draws: WeekDraws, outcome: Outcome, *, shop: Shop, new: int = 1) -> tuple[Load, ...]:
    """Hours that all work due by the new job's due time asks, against the hours there until then.

    Args:
        week, flat, draws: the new job last.
        outcome: who did what in each draw; work that several could do is shared as it was in the draws.
        shop: unused machines are left out.
        new: how many of the week's jobs, from the last, are the new one's.
    Returns: people in the file's order, then machines that are asked for anything.
    """
    due_s = week.jobs[-1].due_s
    people, machines = np.zeros(len(week.people)), np.zeros(len(week.machines))
    mine_people, mine_machines = np.zeros_like(people), np.zeros_like(machines)
    for j, job in enumerate(week.jobs):
        if job.due_s > due_s:
            continue
        for i in range(int(flat.first[j]), int(flat.first[j + 1])):
            share = _shares(flat, draws, outcome, i)
            people += share
            took = float(share.sum()) if flat.who[i].any() else float(draws.base_s[:, i].mean())
            if flat.machine[i] >= 0:
                machines[flat.machine[i]] += took
            if j >= len(week.jobs) - new:
                mine_people += share
                if flat.machine[i] >= 0:
                    mine_machines[flat.machine[i]] += took
    found: list[Load] = []
    for n, person in enumerate(week.people):
        there = sum(max(0.0, min(b, due_s) - a) for a, b in person.stretches_s if a < due_s)
        why = because("promise.load_person", person=shop.person(person.id).name, asked_s=people[n], there_s=there,
                      mine_s=mine_people[n])  # fmt: skip
        found.append(Load("person", person.id, Figure(float(people[n]), "s", (why,)), there))
    for n, machine in enumerate(week.machines):
        if machines[n] > 0:
            why = because("promise.load_machine", machine=shop.machine(machine).name, asked_s=machines[n],
                          there_s=max(due_s, 0.0), mine_s=mine_machines[n])  # fmt: skip
            found.append(Load("machine", machine, Figure(float(machines[n]), "s", (why,)), max(due_s, 0.0)))
    return tuple(found)


def _shares(flat: Flat, draws: WeekDraws, outcome: Outcome, i: int) -> FloatArray:
    """(N,) mean seconds of each person on phase i; a phase never begun is shared by all it names."""
    people = flat.here_count.size
    if not flat.who[i].any():
        return np.zeros(people)
    by, share = outcome.by[:, i], np.zeros(people)
    for p in range(people):
        share[p] = (draws.base_s[:, i] * draws.person[:, p] * (by == p)).mean()
    never = draws.base_s[:, i] * (by < 0)
    return share + flat.who[i] / flat.who[i].sum() * float(never.mean())


def after_hours(rows: Sequence[PlanRow], shop: Shop) -> float:
    """Share of the new job's hours with people that lie outside the shop's day (its terms), by the plan's rows.

    Args:
        rows: the plan.
        shop: time zone and terms.
    Returns: 0 to 1; 0 when nobody is needed.
    """
    zone, terms = ZoneInfo(shop.timezone), shop.terms
    total = outside = 0.0
    for row in rows:
        if not row.new or row.person is None:
            continue
        at = row.start
        while at < row.end:  # by quarters of an hour, the grain at which people are paid
            to = min(at + timedelta(minutes=15), row.end)
            local = at.astimezone(zone)
            minute = local.hour * 60 + local.minute
            seconds = (to - at).total_seconds()
            total += seconds
            if local.weekday() > 4 or not terms.day_from_min <= minute < terms.day_to_min:
                outside += seconds
            at = to
    return outside / total if total else 0.0
