"""Learn from past jobs, and ask how long new ones take."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from steadyrest.desk.request_file import asked
from steadyrest.promise.lessons.ask import job_hours
from steadyrest.promise.lessons.fit import learn
from steadyrest.promise.lessons.past import Quote, read_new, read_past
from steadyrest.promise.lessons.told import Lessons, lessons, rare_names, why
from steadyrest.shop.draws import quantiles
from steadyrest.shop.figure import Reason

SHARES = (0.05, 0.10, 0.25, 0.50, 0.75, 0.90, 0.95)


@dataclass(frozen=True, slots=True)
class JobHours:
    """One job. work_s: its hours at SHARES. why: what makes the middle differ from the estimate."""

    quote: Quote
    work_s: tuple[float, ...]
    why: tuple[Reason, ...]


@dataclass(frozen=True, slots=True)
class LearnAnswer:
    """The new jobs' hours, what was learned, and what is doubted about the lists."""

    jobs: tuple[JobHours, ...]
    lessons: Lessons
    doubts: tuple[Reason, ...]


def ask_past(past_file: Path, new_file: Path, *, seed: int) -> LearnAnswer:
    """How long new jobs take, by what past ones taught. Nothing is kept: the shop's own figures stay as they are.

    Args:
        past_file: CSV of quotes, won and lost, with the actual times of what was done. new_file: CSV of jobs to ask.
        seed: of the draws.
    Returns: hours of every new job.
    Raises: BadInput: a file cannot be read, or something in it cannot be meant.
    """
    past, new = asked(past_file, read_past), asked(new_file, read_new)
    learned = learn(past.quotes, seed=seed)
    told = lessons(learned, past.quotes, [quote.rivals for quote in new.quotes])
    jobs: list[JobHours] = []
    for begin in range(0, len(new.quotes), 500):  # in batches: draws of ten thousand jobs would fill the memory
        some = new.quotes[begin : begin + 500]
        for quote, hours in zip(some, job_hours(learned, some, seed=seed + begin), strict=True):
            work_s = quantiles(hours, *SHARES)
            jobs.append(JobHours(quote, work_s, why(told, quote, work_s[3])))
    return LearnAnswer(tuple(jobs), told, past.doubts + rare_names(learned, past.quotes) + new.doubts)
