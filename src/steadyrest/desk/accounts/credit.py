"""A customer's credit, brought to the decision: what is owed, what is taken and not invoiced, the limit."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from decimal import Decimal
from pathlib import Path

from steadyrest.decide.credit import Credit, with_credit
from steadyrest.desk.accounts.customers import today
from steadyrest.desk.accounts.money import agreed
from steadyrest.desk.accounts.owed import Owes, owes
from steadyrest.desk.plan.plan_part import PlanAnswer
from steadyrest.desk.which_shop import ShopSaid
from steadyrest.price.owed.account import NOTHING
from steadyrest.price.statement.billing import read_billing
from steadyrest.store import customers, jobs, ledger
from steadyrest.store.customers import NOT_SAID
from steadyrest.store.opening import DATABASE, Session, Store, open_store

# Taken and not yet charged: in these states a job's price is money that the customer will owe.
COMING = ("promised", "begun", "ready", "delivered")


def on_credit(answer: PlanAnswer, store: Store, said: ShopSaid, *, now: datetime, but: int | None = None) -> PlanAnswer:
    """The answer with what the customer's credit says.

    Args:
        answer: with its customer.
        store: an open data folder. said: the shop.
        now: aware moment.
        but: number of the job itself, where it is kept already.
    Returns: the same answer where nothing is known of the customer, or no price can be said.
    """
    best = answer.best
    if best is None or best.price is None or answer.customer in ("", NOT_SAID):
        return answer
    with store.reading() as session:
        found = credit(session, said, answer.customer, now=now, but=but)
    if found is None:
        return answer
    return replace(answer, take=with_credit(answer.take, found, best.price.offer.rounded().amount))


def of_folder(answer: PlanAnswer, folder: Path, said: ShopSaid, *, now: datetime) -> PlanAnswer:
    """The same for a data folder that is not open; one that is not there yet knows no customer."""
    if not (folder / DATABASE).exists():
        return answer
    store = open_store(folder)
    try:
        return on_credit(answer, store, said, now=now)
    finally:
        store.close()


def credit(session: Session, said: ShopSaid, name: str, *, now: datetime, but: int | None = None) -> Credit | None:
    """A customer's credit now.

    Args:
        session: a transaction. said: the shop.
        name: the customer's.
        now: aware moment.
        but: a job that is left out.
    Returns: what the decision needs; None where the customer is new and no usual limit is set.
    """
    customer, day = customers.by_name(session, name), today(said, now)
    if customer is None:
        limit = usual_limit(said, name)
        return None if limit is None else Credit(name, NOTHING, NOTHING, 0, NOTHING, limit, NOTHING)
    owed = owes(session, said, customer, day=day)
    terms = owed.about.terms
    return Credit(
        customer=customer.name,
        owed=owed.account.owed - owed.account.held,
        late=sum((one.open for one in owed.late), NOTHING),
        late_days=max(((day - one.charge.due).days for one in owed.late), default=0),
        taken=taken(session, owed, but=but),
        limit=owed.limit,
        deposit=terms.deposit if terms is not None else Decimal(0),
    )


def usual_limit(said: ShopSaid, name: str) -> Decimal | None:
    """The credit of a customer for whom none was set."""
    return read_billing(said.text, said.where).of(name).credit_limit


def taken(session: Session, owed: Owes, *, but: int | None) -> Decimal:
    """What was agreed for the customer's jobs that are taken and have no invoice, less what was paid for them."""
    invoiced = {one.job for one in owed.invoices}
    paid = {one.job: one.held for one in owed.account.deposits}
    coming = NOTHING
    for job in jobs.jobs(session):
        if job.customer != owed.customer.name or job.number in invoiced or job.number == but:
            continue
        if ledger.job_state(ledger.entries(session, job.id)) in COMING:
            coming += (agreed(session, job) or NOTHING) - paid.get(job.number, NOTHING)
    return coming
