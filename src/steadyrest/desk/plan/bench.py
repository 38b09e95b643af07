"""The bench: the jobs that are not over, each with its plan in short. It is what the app shows first."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from steadyrest.desk.plan import in_short
from steadyrest.desk.plan.in_short import InShort
from steadyrest.store import jobs, states
from steadyrest.store.opening import Store


@dataclass(frozen=True, slots=True)
class OpenJob:
    """A job that is not over, with its plan in short."""

    job: jobs.Job
    plan: InShort
    state: str


@dataclass(frozen=True, slots=True)
class OnBench:
    """here: what is not over. quiet: how many were never answered, and their time is past. over: how many are."""

    here: tuple[OpenJob, ...]
    quiet: int
    over: int


def on_bench(store: Store, *, now: datetime) -> OnBench:
    """The jobs that are not over.

    Args:
        store: an open data folder.
        now: aware moment.
    Returns: the bench, soonest due first.
    """
    with store.reading() as session:
        found = jobs.in_states(session, states.OPEN)
        here = [(job, state) for job, state in found if not jobs.went_quiet(job, state, now=now)]
        short = in_short.of_jobs(session, [job.id for job, _ in here])
        over = states.how_many(session) - len(found)
    told = tuple(OpenJob(job, short[job.id], state) for job, state in here if job.id in short)
    return OnBench(told, len(found) - len(here), over)
