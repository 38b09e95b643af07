"""On which lines of a job tax is owed: as the shop's terms say, unless the owner says otherwise of one.

Hours and roads by their kind, the agreed price as a whole, goods each by itself. What was said is an entry; an invoice
that is issued keeps what held then. Whether tax is owed is for the owner and the accountant to say, never for us.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from steadyrest.desk.floor import clock
from steadyrest.price.statement.billing import Billing
from steadyrest.shop.floor import Shop
from steadyrest.store import ledger, spent, touches
from steadyrest.store.ledger import Entry
from steadyrest.store.opening import Session, Store
from steadyrest.store.spent import Spent
from steadyrest.trouble import BadInput

KIND, VERB = "taxed", "taxed"
WORK, ROADS, PRICE = "labour", "travel", "price"
SAID = {WORK: "the hours", ROADS: "the roads", PRICE: "the price agreed"}


@dataclass(frozen=True, slots=True)
class TaxedLine:
    """A line, or a kind of them. which: labour, travel, price, or an entry of goods by its number."""

    which: str
    says: str
    taxed: bool


def usual(billing: Billing) -> dict[str, bool]:
    """Whether tax is owed on each kind by the shop's terms: a price is as taxed as goods are."""
    return {WORK: billing.tax.on_all, ROADS: billing.tax.on_all, PRICE: True}


def said_of(told: Sequence[Entry], billing: Billing) -> dict[str, bool]:
    """Whether tax is owed on each kind of a job's lines, the last word of each.

    Args:
        told: the job's standing entries. billing: its customer's terms.
    """
    found = usual(billing)
    for one in told:
        if one.kind == KIND and one.body["line"] in found:
            found[str(one.body["line"])] = bool(one.body["taxed"])
    return found


def lines_of(told: Sequence[Entry], costs: Sequence[Spent], billing: Billing) -> tuple[TaxedLine, ...]:
    """What can be said of a job's lines: its kinds, then its goods.

    Args:
        told: the job's standing entries. costs: what it cost besides hours. billing: its customer's terms.
    """
    kinds = said_of(told, billing)
    roads = any(one.kind == spent.TRAVEL for one in costs)
    return (
        *(TaxedLine(which, SAID[which], taxed) for which, taxed in kinds.items() if which != ROADS or roads),
        *(TaxedLine(str(one.entry), one.what, one.taxable) for one in costs if one.kind == spent.GOODS),
    )


def say(
    store: Store, shop: Shop, number: int, which: str, *, taxed: bool, who: str, now: datetime, touch: str = ""
) -> None:
    """Write down whether tax is owed on a line.

    Args:
        store: an open data folder. shop: who works there.
        number: the job's.
        which: labour, travel, price, or the entry of its goods.
        taxed: whether it is owed.
        who: says so.
        now: aware moment.
        touch: of the form, so that it counts once.
    Raises: BadInput: no such job, person or line.
    """
    clock.known_person(shop, who)
    with store.writing() as session:
        if touches.answered(session, touch, verb=VERB) is not None:
            return
        job = clock.job_of(session, number)
        assert job is not None
        if which in SAID:
            body = {"line": which, "taxed": taxed}
            ledger.write_down(session, job_id=job.id, kind=KIND, who=who, happened=now, told=now, body=body)
        else:
            _goods(session, job.id, number, which, taxed=taxed, who=who, now=now)
        touches.keep(session, touch, verb=VERB, answer=which, now=now)


def _goods(
    session: Session, job_id: clock.JobId, number: int, which: str, *, taxed: bool, who: str, now: datetime
) -> None:
    """The entry of goods anew, with the other word on its tax."""
    known = {str(one.entry): one for one in spent.spent_on(session, job_id) if one.kind == spent.GOODS}
    if which not in known:
        names = ", ".join((*SAID, *known))
        raise BadInput(where=f"job {number}", what=f"{which[:20]!r} is no line of it.", do=f"Name one of: {names}.")
    if known[which].taxable != taxed:
        one = replace(known[which], taxable=taxed, who=who)
        spent.note_spent(session, job_id, one, now=now, replaces=known[which].entry)
