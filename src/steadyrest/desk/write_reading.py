"""Write a hand reading down: the ledger keeps it, and every size is judged anew with it."""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import datetime

from steadyrest import units
from steadyrest.desk import keeping, plan_part
from steadyrest.desk.which_shop import ShopSaid
from steadyrest.part.nominal.name import with_reading
from steadyrest.part.threads.on_part import thread_nominals
from steadyrest.part.threads.tapers import taper_nominals
from steadyrest.store import ledger, plans
from steadyrest.store.opening import Store
from steadyrest.trouble import BadInput

# One sigma of a hand reading by what it was taken with: common practice, no source.
DEFAULT_U_MM = 0.005
# A reading further off than both of these is another place, another unit or a slip: common practice, no source.
FAR_MM = 1.0
FAR_SHARE = 0.1


@dataclass(frozen=True, slots=True)
class Typed:
    """A reading as typed. feature, size: which size of which feature; text: the reading with its unit or without."""

    feature: str
    size: str
    text: str
    who: str


def write_reading(
    store: Store,
    number: int,
    typed: Typed,
    *,
    said: ShopSaid,
    now: datetime,
    stop: Callable[[], bool],
) -> None:
    """Keep a reading, the part judged anew, and a new plan from it.

    Args:
        store: an open data folder.
        number: the job's.
        typed: the reading.
        said: the shop.
        now: aware moment.
        stop: asked now and then during planning.
    Raises: BadInput: no such job, feature or size; the text is no length; or it is far from what was read.
    """
    kept = keeping.kept_job(store, number)
    answer = kept.answer
    feature = next((one for one in answer.part.features if one.id == typed.feature), None)
    size = feature.size(typed.size) if feature is not None else None
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
    u_mm = reading_u_mm(typed.text, in_inches=written.unit == "in")
    part = with_reading(answer.part, feature.id, typed.size, reading_mm, u_mm)
    part = taper_nominals(thread_nominals(part))  # named by their own rules, after the rest
    if answer.due > now:
        renewed = plan_part.plan(
            part, said=said, metal=answer.material, quantity=answer.quantity, due=answer.due, now=now,
            seed=answer.seed, what=answer.what, progress=lambda _what, _share: None, stop=stop,
        )  # fmt: skip
        renewed = replace(renewed, customer=answer.customer)
    else:
        renewed = replace(answer, part=part)
    with store.writing() as session:
        ledger.write_down(
            session, job_id=kept.job.id, kind="reading", who=typed.who, happened=now, told=now,
            body={"feature": feature.id, "size": typed.size, "reading_mm": reading_mm, "u_mm": u_mm},
        )  # fmt: skip
        before = plans.parts(session, kept.job.id)[-1]
        again = plans.keep_part(session, job_id=kept.job.id, part=part, file_sha256=before.file_sha256, now=now)
        keeping.keep_plan(session, kept.job, again.id, renewed, now=now)


def reading_u_mm(text: str, *, in_inches: bool) -> float:
    """One sigma of a reading as typed: a practised hand's, but never finer than the last digit that was written.

    Args:
        text: as typed.
        in_inches: what its last digit counts.
    Returns: mm; a step of the last digit is taken as spread evenly, 0.29 of the step. A fraction counts in 64ths.
    """
    if "/" in text:
        step_mm = units.MM_PER_IN / 64
    else:
        decimals = re.search(r"[.,]([0-9]+)", text)
        step_mm = 10.0 ** -(len(decimals[1]) if decimals else 0) * (units.MM_PER_IN if in_inches else 1.0)
    return max(DEFAULT_U_MM, step_mm / math.sqrt(12))
