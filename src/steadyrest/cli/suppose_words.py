"""What was supposed, as JSON and as words."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from datetime import datetime, timedelta

from steadyrest.cli.answers import Json, number
from steadyrest.cli.promise_words import moment
from steadyrest.desk.week.suppose import SupposedWeek
from steadyrest.promise.answer import HOLDS
from steadyrest.promise.suppose.said import changes_said, way_said
from steadyrest.promise.suppose.supposed import Kept, Way
from steadyrest.shop.figure import because
from steadyrest.units import pegs
from steadyrest.wording.moments import on_the_wall
from steadyrest.wording.say import Reader, say


def suppose_answer(week: SupposedWeek) -> Json:
    """One document: every job before, after, and by each way."""
    answer, now = week.answer, week.asked.now

    def rows(kept: Sequence[Kept]) -> list[Json]:
        return [
            {
                "job": one.job, "odds": one.odds, "late_min": number(one.late_min),
                "late_cost": _money(one.late_money), "finish_p90": moment(now, one.finish_s),
            }
            for one in kept
        ]  # fmt: skip

    return {
        "suppose": [say(changes_said(change, now)) for change in week.changes],
        "before": rows(answer.before),
        "after": rows(answer.after),
        "ways": [
            {
                "do": _does(week, way), "order": list(way.order),
                "cost": _money(float(way.cost)) if way.known else None, "late_cost": _money(way.late_money),
                "jobs": rows(way.jobs),
            }
            for way in answer.ways
        ],
        "yes_by": None if answer.yes_by_s is None else moment(now, answer.yes_by_s),
        "yes_cost": None if answer.yes_cost is None else _money(answer.yes_cost),
        "currency": week.offers.currency,
        "draws": answer.draws,
        "seed": week.seed,
    }  # fmt: skip


def suppose_lines(week: SupposedWeek) -> Iterator[str]:
    """The same in words: what is supposed, what it does, and the best ways."""
    answer, now = week.answer, week.asked.now
    reader = Reader(currency=week.offers.currency)
    before = {one.job: one for one in answer.before}
    for change in week.changes:
        yield f"suppose {say(changes_said(change, now))}"
    for one in answer.after:
        yield f"  {_job(one, before.get(one.job), now)}"
    yield f"  lateness costs {_sum(answer.before)} before, {_sum(answer.after)} then"
    if all(not way.changes for way in answer.ways) and answer.ways[0].money > _total(answer.after) - 0.005:
        yield say(because("suppose.no_gain"))
    for n, way in enumerate(answer.ways, 1):
        cost = f"costs {way.cost}, " if way.known and way.cost else ""
        yield f"{n}. {'; '.join(_does(week, way))}: {cost}lateness then {_money(way.late_money)}"
        for one in way.jobs:
            yield f"  {_job(one, before.get(one.job), now)}"
    if answer.yes_cost is not None:
        yield say(because("suppose.yes_cost", yes_money=answer.yes_cost), reader)
        yield (
            say(because("suppose.too_late"))
            if answer.yes_by_s is None
            else say(because("suppose.yes_by", when=on_the_wall(now + timedelta(seconds=answer.yes_by_s))))
        )


def _does(week: SupposedWeek, way: Way) -> list[str]:
    return [say(reason) for reason in way_said(way, week.answer.order, week.asked.now)]


def _job(one: Kept, before: Kept | None, now: datetime) -> str:
    """Odds before and then; where a promise does not hold, the time that would."""
    was = "new" if before is None else f"kept {pegs(before.odds)} times in 10"
    late = f", {one.late_min:.0f} min late on average" if one.late_min >= 0.5 else ""
    holds = one.odds < HOLDS and math.isfinite(one.finish_s)
    instead = f"; {on_the_wall(now + timedelta(seconds=one.finish_s))} would hold" if holds else ""
    return f"{one.job}: {was}, then {pegs(one.odds)}{late}{instead}"


def _total(kept: Sequence[Kept]) -> float:
    return sum(one.late_money for one in kept)


def _sum(kept: Sequence[Kept]) -> str:
    return _money(_total(kept))


def _money(amount: float) -> str:
    return f"{amount:.2f}"
