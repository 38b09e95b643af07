"""Write a hand reading down: the ledger keeps it, and every size is judged anew with it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import datetime

from steadyrest import units
from steadyrest.desk import keeping, plan_part
from steadyrest.desk.which_shop import ShopSaid
from steadyrest.part.nominal.name import with_reading
from steadyrest.store import ledger, plans
from steadyrest.store.opening import Store
from steadyrest.trouble import BadInput

# One sigma of a hand reading by what it was taken with: common practice, no source.
DEFAULT_U_MM = 0.005


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
    Raises: BadInput: no such job, feature or size; or the text is no length.
    """
    kept = keeping.kept_job(store, number)
    answer = kept.answer
    feature = next((one for one in answer.part.features if one.id == typed.feature), None)
    if feature is None or feature.size(typed.size) is None:
        raise BadInput(
            where=f"job {number}", what=f"there is no {typed.size} of {typed.feature}.", do="Choose a size of the list."
        )
    reading_mm = units.parse_length(typed.text, unit="in" if answer.shop.unit == "in" else "mm")
    part = with_reading(answer.part, feature.id, typed.size, reading_mm, DEFAULT_U_MM)
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
            body={"feature": feature.id, "size": typed.size, "reading_mm": reading_mm, "u_mm": DEFAULT_U_MM},
        )  # fmt: skip
        before = plans.parts(session, kept.job.id)[-1]
        again = plans.keep_part(session, job_id=kept.job.id, part=part, file_sha256=before.file_sha256, now=now)
        keeping.keep_plan(session, kept.job, again.id, renewed, now=now)
