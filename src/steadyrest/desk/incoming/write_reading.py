"""Write a hand reading down: it waits its turn in the queue, then every size is judged and all is planned anew with it.

What cannot be a reading is refused at once, on the page where it was typed; planning takes longer than a page may wait.
"""

from __future__ import annotations

import json
import math
import re
from dataclasses import asdict, dataclass, replace
from datetime import datetime
from typing import Any

from steadyrest import units
from steadyrest.desk.accounts import credit
from steadyrest.desk.plan import keeping, plan_part
from steadyrest.desk.which_shop import ShopSaid
from steadyrest.part.ask_next import gauges
from steadyrest.part.nominal.name import with_reading
from steadyrest.part.threads.on_part import thread_nominals
from steadyrest.part.threads.tapers import taper_nominals
from steadyrest.store import ledger, plans, work_queue
from steadyrest.store.opening import Store
from steadyrest.trouble import BadInput
from steadyrest.workers.running import Progress, Stop, Stopped

KIND = "hand reading"
# One sigma of a hand reading by what it was taken with: common practice, no source.
DEFAULT_U_MM = 0.005
# A reading further off than both of these is another place, another unit or a slip: common practice, no source.
FAR_MM = 1.0
FAR_SHARE = 0.1


@dataclass(frozen=True, slots=True)
class Typed:
    """A reading as typed. feature, size: which size of which feature; text: the reading with its unit or without.

    gauge: what it was taken with, a key of `gauges.BY_HAND`; empty where nobody said.
    """

    feature: str
    size: str
    text: str
    who: str
    gauge: str = ""


def hand_in(store: Store, number: int, typed: Typed, *, now: datetime) -> int:
    """Put a reading into the queue; what cannot be one is refused at once.

    Args:
        store: an open data folder.
        number: the job's.
        typed: the reading.
        now: aware moment.
    Returns: the task's id.
    Raises: BadInput: no such job, feature or size; the text is no length; or it is far from what was read.
    """
    kept = keeping.kept_job(store, number)
    read(kept.answer, number, typed)
    name = f"job {number}"
    asked = asdict(typed) | {"job": number, "name": name, "what": kept.answer.what or name, "now": now.isoformat()}
    with store.writing() as session:
        return int(work_queue.ask(session, kind=KIND, asked=json.dumps(asked), now=now))


def work(store: Store, asked: dict[str, Any], *, said: ShopSaid, now: datetime, progress: Progress, stop: Stop) -> int:
    """Do one reading of the queue.

    Args:
        store: an open data folder.
        asked: as it was put in.
        said: the shop.
        now: aware moment.
        progress: told what is being done and how far it is.
        stop: asked now and then; True ends it.
    Returns: the job's number.
    Raises: BadInput: as for `hand_in`. Stopped: stop said so; then nothing is kept.
    """
    typed = Typed(asked["feature"], asked["size"], asked["text"], asked["who"], asked.get("gauge", ""))
    happened = datetime.fromisoformat(asked["now"])
    write_reading(store, asked["job"], typed, said=said, happened=happened, now=now, progress=progress, stop=stop)
    return int(asked["job"])


def write_reading(
    store: Store,
    number: int,
    typed: Typed,
    *,
    said: ShopSaid,
    happened: datetime,
    now: datetime,
    progress: Progress,
    stop: Stop,
) -> None:
    """Keep a reading, the part judged anew, and a new plan from it.

    Args:
        store: an open data folder.
        number: the job's.
        typed: the reading.
        said: the shop.
        happened: aware moment at which it was typed.
        now: aware moment.
        progress: told what is being done and how far it is.
        stop: asked now and then during planning.
    Raises: BadInput: no such job, feature or size; the text is no length; or it is far from what was read.
        Stopped: stop said so; then nothing is kept.
    """
    kept = keeping.kept_job(store, number)
    answer = kept.answer
    feature, reading_mm, u_mm = read(answer, number, typed)
    progress("judging every size anew", 0.0)
    part = with_reading(answer.part, feature, typed.size, reading_mm, u_mm)
    part = taper_nominals(thread_nominals(part))  # named by their own rules, after the rest
    if answer.due > now:
        renewed = plan_part.plan(
            part, said=said, metal=answer.material, quantity=answer.quantity, due=answer.due, now=now,
            seed=answer.seed, what=answer.what, asked=answer.finishes,
            progress=lambda what, share: progress(what, 0.1 + 0.9 * share), stop=stop,
        )  # fmt: skip
        renewed = replace(renewed, customer=answer.customer)
        renewed = credit.on_credit(renewed, store, said, now=now, but=number)
    else:
        renewed = replace(answer, part=part)
    if stop():
        raise Stopped
    with store.writing() as session:
        ledger.write_down(
            session, job_id=kept.job.id, kind="reading", who=typed.who, happened=happened, told=now,
            body={"feature": feature, "size": typed.size, "reading_mm": reading_mm, "u_mm": u_mm,
                  "gauge": typed.gauge},
        )  # fmt: skip
        # The file of the plan's own part: a newer revision of the drawing may have come in meanwhile.
        chosen = plans.chosen_plan(session, kept.job.id)
        of = {one.id: one.file_sha256 for one in plans.parts(session, kept.job.id)}[chosen.part_id] if chosen else None
        again = plans.keep_part(session, job_id=kept.job.id, part=part, file_sha256=of, now=now)
        keeping.keep_plan(session, kept.job, again.id, renewed, now=now)


def read(answer: plan_part.PlanAnswer, number: int, typed: Typed) -> tuple[str, float, float]:
    """What was typed, as a reading: the feature's id, mm, and one sigma; BadInput if it is none."""
    if answer.joined is not None:
        raise BadInput(
            where=f"job {number}", what="it is of several parts, whose sizes stand in their own files.",
            do="Read that part by itself, take its reading there, and plan the list anew.",
        )  # fmt: skip
    feature = next((one for one in answer.part.features if one.id == typed.feature), None)
    size = feature.size(typed.size) if feature is not None else None
    if typed.gauge and typed.gauge not in gauges.BY_HAND:
        raise BadInput(
            where="the gauge", what=f"{typed.gauge!r} is not known.", do=f"One of: {', '.join(gauges.BY_HAND)}."
        )
    if feature is None or size is None:
        raise BadInput(
            where=f"job {number}", what=f"there is no {typed.size} of {typed.feature}.", do="Choose a size of the list."
        )
    unit = "in" if answer.shop.unit == "in" else "mm"
    written = units.read_length(typed.text, unit=unit, where="the reading")
    reading_mm = written.mm
    if abs(reading_mm - size.estimate) > max(FAR_MM, FAR_SHARE * abs(size.estimate)):
        shown, expected = (units.show_length(round(mm, 2), unit, fractions=False) for mm in (reading_mm, size.estimate))
        raise BadInput(
            where="the reading", what=f"{shown} is far from the {expected} that was read from the file.",
            do="Check the place and the unit, and write the unit with it, such as 1-7/16 in.",
        )  # fmt: skip
    return feature.id, reading_mm, reading_u_mm(typed.text, in_inches=written.unit == "in", gauge=typed.gauge)


def reading_u_mm(text: str, *, in_inches: bool, gauge: str = "") -> float:
    """One sigma of a reading as typed: its gauge's in a practised hand, but never finer than the last digit written.

    Args:
        text: as typed.
        in_inches: what its last digit counts.
        gauge: what it was taken with, a key of `gauges.BY_HAND`, or empty.
    Returns: mm; a step of the last digit is taken as spread evenly, 0.29 of the step. A fraction counts in 64ths.
    """
    if "/" in text:
        step_mm = units.MM_PER_IN / 64
    else:
        decimals = re.search(r"[.,]([0-9]+)", text)
        step_mm = 10.0 ** -(len(decimals[1]) if decimals else 0) * (units.MM_PER_IN if in_inches else 1.0)
    return max(gauges.BY_HAND.get(gauge, DEFAULT_U_MM), step_mm / math.sqrt(12))
