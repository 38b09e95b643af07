"""What past jobs taught, as the contract prints it and as words."""

from __future__ import annotations

from collections.abc import Iterator

from steadyrest.cli.answers import Json, sentences
from steadyrest.desk.week.learn import SHARES, JobHours, LearnAnswer
from steadyrest.promise.lessons.told import Lessons, Ratio
from steadyrest.units import show_time
from steadyrest.wording.say import say

NAMES = tuple(f"p{round(100 * share):02d}" for share in SHARES)


def lessons_answer(answer: LearnAnswer) -> Json:
    """The contract's section 3 document of `promise --past --ask`."""
    return {
        "jobs": [_job(one) for one in answer.jobs],
        "learned": _learned(answer.lessons),
        "doubts": sentences(answer.doubts),
    }


def _job(one: JobHours) -> Json:
    return {
        "job": one.quote.job,
        "work_s": {name: round(seconds, 1) for name, seconds in zip(NAMES, one.work_s, strict=True)},
        "estimate_s": round(one.quote.estimate_s, 1),
        "why": sentences(one.why),
    }


def _learned(told: Lessons) -> Json:
    return {
        "shop": _ratio(told.shop),
        "stations": {one.name: _ratio(one) for one in told.stations},
        "persons": {one.name: _ratio(one) for one in told.persons},
        "winning": [{"rivals": rivals} | _ratio(one, "jobs") for rivals, one in told.winning],
        "job_spread": round(told.job_spread, 3),
        "step_spread": round(told.own_spread, 3),
        "jobs_done": told.jobs_done,
        "steps_done": told.steps_done,
        "quotes_lost": told.lost,
    }


def _ratio(one: Ratio, counted: str = "steps") -> dict[str, Json]:
    return {"p10": round(one.p10, 3), "p50": round(one.p50, 3), "p90": round(one.p90, 3), counted: one.steps}


def lessons_lines(answer: LearnAnswer) -> Iterator[str]:
    """The same in words: each job, then what was learned, then what is doubted."""
    for one in answer.jobs:
        hours = dict(zip(NAMES, one.work_s, strict=True))
        yield (
            f"{one.quote.job}: half the time within {show_time(hours['p50'])}, nine times in ten within "
            f"{show_time(hours['p90'])}; estimated {show_time(one.quote.estimate_s)}"
        )
        yield from (f"    {say(reason)}" for reason in one.why)
    told = answer.lessons
    yield f"From {told.jobs_done} jobs done and {told.lost} quotes lost:"
    yield f"  the shop {_words(told.shop)}"
    yield from (f"  {one.name} {_words(one)} the shop's ({one.steps} steps)" for one in told.stations)
    yield from (f"  {one.name or 'nobody'} {_words(one)} the shop's ({one.steps} steps)" for one in told.persons)
    yield from (f"  won against {rivals}: {_words(one)} ({one.steps} jobs)" for rivals, one in told.winning)
    yield from (f"  {say(doubt)}" for doubt in answer.doubts)


def _words(one: Ratio) -> str:
    return f"{one.p50:.2f} times ({one.p10:.2f} to {one.p90:.2f})"
