"""Which program makes a step of a job: said once it was checked; from then on the week counts with its time."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path

from steadyrest.desk.night.release_program import plain_name
from steadyrest.desk.plan import keeping
from steadyrest.program.leave import LeavingAnswer
from steadyrest.promise.program_time import StepProgram, estimated_run_s, with_program
from steadyrest.shop.work import Route
from steadyrest.store import jobs, ledger
from steadyrest.store.opening import Session, Store, open_store
from steadyrest.trouble import BadInput

KIND = "step's program"
TENTHS_SD = 2.5631  # p90 less p10 of a normal, in its sds: 2 x 1.28155
MOST_PARTS = 10_000


@dataclass(frozen=True, slots=True)
class Said:
    """That a checked program makes a step. step: its id, or its number from 1. parts: of one run."""

    job: int
    step: str
    parts: int = 1


@dataclass(frozen=True, slots=True)
class StepTimed:
    """What was written down. number: of the step, from 1. was_s: a part's run as estimated; None: nothing said it."""

    number: int
    step: str
    program: StepProgram
    was_s: float | None


@dataclass(frozen=True, slots=True)
class ProgramUsed:
    """A program that the week counts with. step: its id; machine: it runs on; was_s: a part's run as estimated."""

    job: int
    step: str
    machine: str
    program: StepProgram
    was_s: float | None


def say_program(store: Store, said: Said, answer: LeavingAnswer, *, who: str, now: datetime) -> StepTimed:
    """Write down that this program, as checked, makes a step of a job.

    Args:
        store: an open data folder.
        said: which step.
        answer: of the leaving check; the very file that was judged.
        who: says so.
        now: aware moment.
    Returns: what the week counts with from now on.
    Raises: BadInput: no such job or step, another machine, or no parts.
    """
    where = f"job {said.job}"
    if not 1 <= said.parts <= MOST_PARTS:
        raise BadInput(where=where, what=f"{said.parts} parts a run.", do=f"Give 1 to {MOST_PARTS}.")
    if not answer.time.value > 0:
        raise BadInput(where=plain_name(answer.program), what="nothing in it takes time.", do="Look at the program.")
    with store.writing() as session:
        job = jobs.job(session, said.job)
        kept = keeping.kept(session, job) if job is not None else None
        best = kept.answer.best if kept is not None else None
        if kept is None or best is None:
            raise BadInput(where=where, what="there is no such job with a way to make it.", do="Look at the bench.")
        steps = best.route.steps
        number = next((n for n, one in enumerate(steps, 1) if said.step in (one.id, str(n))), None)
        if number is None:
            do = f"Choose: {', '.join(one.id for one in steps)}."
            raise BadInput(where=where, what=f"it has no step {said.step!r}.", do=do)
        step, machine = steps[number - 1], answer.machine.name
        if step.machine != machine:
            what = f"step {step.id} is not on {machine}, but on {step.machine or 'no machine'}."
            raise BadInput(where=where, what=what, do="Name the step that this program makes, or plan the job anew.")
        low_s, high_s = answer.time_spread_s
        spread = math.log(high_s / low_s) / TENTHS_SD if 0 < low_s <= high_s else 0.0
        good = answer.good_parts.mean if answer.good_parts is not None else None
        program = StepProgram(
            plain_name(answer.program), answer.time.value, said.parts, round(spread, 4), good,
            whole=answer.good_parts.whole if answer.good_parts is not None else None,
            leave=answer.may_leave, holds=sum(one.stops for one in answer.hold_points),
        )  # fmt: skip
        body: dict[str, str | float] = {
            "step": number, "program": program.program, "machine": machine, "sha256": answer.sha256,
            "run_s": program.run_s, "parts": program.parts, "spread": program.spread, "leave": program.leave,
            "holds": program.holds or 0,
        }  # fmt: skip
        if good is not None and program.whole is not None:
            body |= {"good": good, "whole": program.whole}
        ledger.write_down(session, job_id=kept.job.id, kind=KIND, who=who, happened=now, told=now, body=body)
    return StepTimed(number, step.id, program, estimated_run_s(step))


def say_program_in(data: Path, said: Said, answer: LeavingAnswer, *, who: str, now: datetime) -> StepTimed:
    """The same in a data folder that is opened for it. Raises: BadInput: as say_program, or no such folder."""
    store = open_store(data)
    try:
        return say_program(store, said, answer, who=who, now=now)
    finally:
        store.close()


def programs_of(session: Session, job_id: jobs.JobId) -> dict[int, StepProgram]:
    """The programs of a job's steps, by the step's number from 1; the one said last counts."""
    found: dict[int, StepProgram] = {}
    for one in ledger.standing(ledger.entries(session, job_id)):
        if one.kind != KIND:
            continue
        step, name, good = one.body.get("step"), one.body.get("program"), one.body.get("good")
        run_s, parts, spread = (one.body.get(key) for key in ("run_s", "parts", "spread"))
        if isinstance(step, int | float) and isinstance(run_s, int | float) and isinstance(parts, int | float):
            of = float(spread) if isinstance(spread, int | float) else 0.0
            well = float(good) if isinstance(good, int | float) else None
            whole, holds = one.body.get("whole"), one.body.get("holds")
            found[int(step)] = StepProgram(
                str(name), float(run_s), int(parts), of, well,
                whole=float(whole) if isinstance(whole, int | float) else None, leave=str(one.body.get("leave") or ""),
                holds=int(holds) if isinstance(holds, int | float) else None,
            )  # fmt: skip
    return found


def route_by_programs(session: Session, job_id: jobs.JobId, route: Route, *, quantity: int) -> Route:
    """A job's way as planned, with the times of the programs that there are.

    Args:
        session: a transaction.
        job_id: the job.
        route: as planned.
        quantity: parts in the lot.
    Returns: the route.
    """
    programs = programs_of(session, job_id)
    if not programs:
        return route
    steps = tuple(
        with_program(step, programs[number], quantity=quantity) if number in programs else step
        for number, step in enumerate(route.steps, 1)
    )
    return replace(route, steps=steps)


def programs_used(store: Store) -> tuple[ProgramUsed, ...]:
    """Every program that the week counts with.

    Args:
        store: an open data folder.
    Returns: of the jobs taken, by number and step.
    """
    with store.reading() as session:
        found = [
            ProgramUsed(job.number, steps[number - 1].id, steps[number - 1].machine or "", program,
                        estimated_run_s(steps[number - 1]))
            for job, _ in jobs.in_states(session, ledger.TAKEN)
            if (programs := programs_of(session, job.id))
            and (kept := keeping.kept(session, job)) is not None
            and kept.state in ledger.TAKEN
            and (best := kept.answer.best) is not None
            for number, program in sorted(programs.items())
            if number <= len(steps := best.route.steps)
        ]  # fmt: skip
    return tuple(sorted(found, key=lambda one: one.job))
