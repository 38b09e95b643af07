"""What a job that was taken still waits for: to be ordered before the cut-off, on its way, or here."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Literal

from steadyrest.desk.plan import keeping
from steadyrest.desk.plan.keeping import KeptJob
from steadyrest.promise.arrival import delivery
from steadyrest.shop.floor import Shop
from steadyrest.shop.work import Purchase
from steadyrest.store import jobs, ledger, touches
from steadyrest.store.opening import Store
from steadyrest.trouble import BadInput

VERB = "bought"
Stage = Literal["nothing", "to order", "ordered", "here"]
SAID: dict[str, Stage] = {"ordered": "ordered", "arrived": "here"}


@dataclass(frozen=True, slots=True)
class Bought:
    """What has to be bought for a job. order_by: the next cut-off that it needs; here: when it is likely to be here.

    Both are None where nothing is bought, or all of it is here.
    """

    stage: Stage
    what: tuple[Purchase, ...]
    order_by: datetime | None
    here: datetime | None


def bought(kept: KeptJob, shop: Shop, *, now: datetime) -> Bought:
    """How far the buying for a job is.

    Args:
        kept: the job with the plan it goes by.
        shop: its suppliers.
        now: aware moment.
    Returns: the stage; what is not ordered comes by the next cut-off, what is by what was said when it was ordered.
    """
    best = kept.answer.best
    buys = best.route.buy if best is not None else ()
    if not buys:
        return Bought("nothing", (), None, None)
    said = [one for one in ledger.standing(kept.entries) if one.kind in SAID]
    if said and said[-1].kind == "arrived":
        return Bought("here", buys, None, None)
    if said:
        here = said[-1].body.get("here")
        return Bought("ordered", buys, None, datetime.fromisoformat(here) if isinstance(here, str) else None)
    order_by, here_at = coming(buys, shop, now=now)
    return Bought("to order", buys, order_by, here_at)


def coming(buys: Sequence[Purchase], shop: Shop, *, now: datetime) -> tuple[datetime | None, datetime | None]:
    """The earliest cut-off and the latest arrival of things ordered now.

    Args:
        buys: what is bought.
        shop: its suppliers; one that is gone from the shop file is passed over.
        now: aware moment.
    Returns: both, None where no supplier is known.
    """
    names = {one.supplier for one in buys}
    each = [
        delivery(one, now=now, timezone=shop.timezone, holidays=shop.holidays)
        for one in shop.suppliers
        if one.id in names
    ]
    if not each:
        return None, None
    return min(cut_off for cut_off, _, _ in each), max(here for _, here, _ in each)


def say_bought(store: Store, number: int, said: str, shop: Shop, *, who: str, now: datetime, touch: str = "") -> None:
    """Write down that what a job needs is ordered, or here.

    Args:
        store: an open data folder.
        number: the job's.
        said: "ordered" or "arrived".
        shop: its suppliers.
        who: says so.
        now: aware moment.
        touch: of the form, so that it counts once.
    Raises: BadInput: no such job, nothing is bought for it, or it is said already.
    """
    if said not in SAID:
        raise BadInput(where=f"job {number}", what="it is not said what happened.", do="Say ordered or arrived.")
    with store.writing() as session:
        if touches.answered(session, touch, verb=VERB) is not None:
            return
        job = jobs.job(session, number)
        kept = keeping.kept(session, job) if job is not None else None
        if kept is None:
            raise BadInput(where=f"job {number}", what="there is no such job.", do="Look at the bench.")
        if kept.state not in ledger.TAKEN:
            raise BadInput(
                where=f"job {number}", what=f"it is {kept.state}.", do="Buy for work that is taken and open."
            )
        far = bought(kept, shop, now=now)
        if far.stage == "nothing" or far.stage == SAID[said] or far.stage == "here":
            raise BadInput(where=f"job {number}", what=f"there is nothing to be {said}.", do="Look at the page anew.")
        body: dict[str, str] = {}
        if said == "ordered" and far.here is not None:
            body["here"] = far.here.isoformat()
        ledger.write_down(session, job_id=kept.job.id, kind=said, who=who, happened=now, told=now, body=body)
        touches.keep(session, touch, verb=VERB, answer=said, now=now)
