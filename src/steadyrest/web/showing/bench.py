"""The bench in words."""

from __future__ import annotations

from collections.abc import Sequence

from steadyrest.desk.incoming.tasks import Seen
from steadyrest.desk.plan.bench import OnBench, OpenJob
from steadyrest.shop.floor import Shop
from steadyrest.units import show_odds
from steadyrest.web.pages.bench import BenchPage, BenchRow, TaskRow
from steadyrest.web.pages.top import Top
from steadyrest.wording.moments import moment

ANSWERS = {"yes": "take it", "no": "do not take it", "yes if": "take it, if"}


def page(shop: Shop, jobs: OnBench, tasks: Sequence[Seen], failed: Sequence[Seen]) -> BenchPage:
    """The bench.

    Args:
        shop: for its name and time zone.
        jobs: those that are not over.
        tasks: waiting or running.
        failed: lately, newest first.
    Returns: the page.
    """
    over = [f"{jobs.over} are over" if jobs.over else "", f"{jobs.quiet} were never answered" if jobs.quiet else ""]
    return BenchPage(
        top=Top("The bench", shop.name),
        jobs=tuple(row(one, shop) for one in jobs.here),
        besides=", ".join(one for one in over if one),
        reading=tuple(TaskRow(seen.id, seen.what, seen.says) for seen in tasks),
        failed=tuple(TaskRow(seen.id, seen.what, seen.trouble) for seen in failed),
    )


def row(one: OpenJob, shop: Shop) -> BenchRow:
    promise = one.plan.promise
    return BenchRow(
        number=one.job.number,
        what=one.job.what,
        due=moment(one.plan.due, shop.timezone),
        answer=ANSWERS[one.plan.take],
        planned=promise is not None,
        pegs=promise.pegs if promise else 0,
        odds=f"{show_odds(promise.odds)}, {promise.state}" if promise else "",
        promise=moment(promise.can_promise, shop.timezone) if promise and promise.can_promise else "",
    )
