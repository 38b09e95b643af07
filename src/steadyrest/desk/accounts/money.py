"""Write down money: what came, what a credit note or a loss takes off, deposits, what is given back; each an entry.

A touch or a payer's reference that comes twice counts once. A wrong entry is struck by another, never changed.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime
from decimal import ROUND_HALF_UP, Decimal

from steadyrest.desk.accounts.credit_notes import credit_note
from steadyrest.desk.accounts.customers import cents, day_of, find, line, today
from steadyrest.desk.accounts.owed import Owes, owes, stands
from steadyrest.desk.floor import clock
from steadyrest.desk.plan import keeping
from steadyrest.desk.which_shop import ShopSaid
from steadyrest.price.owed.account import NOTHING, Stands
from steadyrest.store import customers, invoices, jobs, ledger, payments, plans, touches
from steadyrest.store.customers import NOT_SAID, Customer
from steadyrest.store.invoices import Invoice
from steadyrest.store.jobs import Job
from steadyrest.store.opening import Session, Store
from steadyrest.store.payments import STRUCK, Payment
from steadyrest.trouble import BadInput
from steadyrest.units import show_money

VERB = "money"
PAID, UNPAID = "paid", "not paid after all"
HOW = ("bank", "cash", "card", "other")


@dataclass(frozen=True, slots=True)
class Said:
    """What is said of money. kind: a word of account.Kind. invoice, job, customer: one of the three says where it goes.

    amount: as typed; "": all that is open, or held, or the share agreed of a deposit. on: the day, "": today. due: by
    when a deposit is asked.
    """

    kind: str
    by: str
    amount: str = ""
    invoice: int | None = None
    job: int | None = None
    customer: str = ""
    on: str = ""
    due: str = ""
    how: str = ""
    reference: str = ""
    words: str = ""
    touch: str = ""


@dataclass(frozen=True, slots=True)
class Aim:
    """Where money goes. at: the invoice as it stands, and as issued, or None."""

    customer: Customer
    job: Job | None
    at: tuple[Invoice, Stands] | None
    owed: Owes


def write(store: Store, said: ShopSaid, told: Said, *, now: datetime) -> tuple[Payment, ...]:
    """Write money down.

    Args:
        store: an open data folder. said: the shop.
        told: what is said.
        now: aware moment.
    Returns: the entries: one, or two where a discount for paying early goes with it.
    Raises: BadInput: no such invoice, job, customer or person; an amount that cannot be; a day to come.
    """
    clock.known_person(said.shop, told.by)
    if told.kind not in RULES:
        raise BadInput(where="kind", what=f"{told.kind[:30]!r} is none.", do=f"Choose: {', '.join(RULES)}.")
    day = day_of(told.on, "on") if told.on else today(said, now)
    if day > today(said, now):
        raise BadInput(where="on", what=f"{day.isoformat()} is still to come.", do="Give the day on which it happened.")
    with store.writing() as session:
        before = touches.answered(session, told.touch, verb=VERB)
        if before is not None:
            return _by_ids(session, before)
        aim = _aim(session, said, told, day)
        plain = Payment(
            aim.customer.id, told.kind, day, NOTHING, said.shop.currency, told.by, now,
            invoice=told.invoice, job=aim.job.number if aim.job is not None and aim.at is None else None,
            how=_how(told), reference=line({"reference": told.reference}, "reference"),
            words=line({"words": told.words}, "words"),
        )  # fmt: skip
        same = _by_reference(aim.owed, plain, told, said.shop.currency)
        if same is not None:
            return (same,)
        made = RULES[told.kind](session, aim, told, plain)
        if told.kind == "credit note":
            made = tuple(_with_paper(store, session, said, aim, one, now=now) for one in made)
        kept = tuple(replace(one, id=payments.keep(session, one)) for one in made)
        _say_whether_paid(session, said, aim, day=day, by=told.by, now=now)
        touches.keep(session, told.touch, verb=VERB, answer=" ".join(str(one.id) for one in kept), now=now)
    return kept


def strike(store: Store, said: ShopSaid, entry: int, *, by: str, words: str, now: datetime, touch: str = "") -> Payment:
    """Strike an entry that is wrong.

    Args:
        store: an open data folder. said: the shop.
        entry: its number.
        by: who says so. words: why.
        now: aware moment.
        touch: the form's mark.
    Returns: the entry that was struck.
    Raises: BadInput: no such entry, struck already, no reason, or its money was used or given back since.
    """
    clock.known_person(said.shop, by)
    why = line({"why": words}, "why", needed=True)
    with store.writing() as session:
        told = payments.entries(session)
        one = next((each for each in told if each.id == entry and each.kind != STRUCK), None)
        if one is None:
            raise BadInput(where=f"entry {entry}", what="there is no such entry of money.", do="Look at the account.")
        if touches.answered(session, touch, verb=VERB) is not None:
            return one
        if one not in payments.standing(told):
            raise BadInput(where=f"entry {entry}", what="it is struck already.", do="Look at the account.")
        day = today(said, now)
        gone = Payment(one.customer_id, STRUCK, day, NOTHING, one.currency, by, now, words=why, replaces=entry)
        payments.keep(session, gone)
        customer = customers.by_number(session, one.customer_id)
        assert customer is not None
        owed = owes(session, said, customer, day=day)
        if owed.account.held < 0 or any(deposit.held < 0 for deposit in owed.account.deposits):
            what = "its money was set off or given back since."
            raise BadInput(where=f"entry {entry}", what=what, do="Strike that entry first.")
        issued = next((each for each in owed.invoices if each.number == one.invoice), None)
        number = issued.job if issued is not None else one.job
        job = jobs.job(session, number) if number is not None else None
        _say_whether_paid(session, said, Aim(customer, job, None, owed), day=day, by=by, now=now)
        touches.keep(session, touch, verb=VERB, answer=str(entry), now=now)
    return one


# ---- where it goes -----------------------------------------------------------------------------------------------


def _aim(session: Session, said: ShopSaid, told: Said, day: date) -> Aim:
    named = [told.invoice is not None, told.job is not None, bool(told.customer.strip())]
    if sum(named) != 1:
        raise BadInput(where=told.kind, what="say where it goes.", do="Name an invoice, a job, or a customer: one.")
    if told.invoice is not None:
        issued = invoices.by_number(session, told.invoice)
        if issued is None:
            do = "Look at what is owed."
            raise BadInput(where=f"invoice {told.invoice}", what="there is no such invoice.", do=do)
        if issued.currency != said.shop.currency:
            what = f"is in {issued.currency}, and the shop now reckons in {said.shop.currency}."
            raise BadInput(where=f"invoice {told.invoice}", what=what, do="Set the shop file's currency back for it.")
        customer = customers.by_number(session, issued.customer_id)
        assert customer is not None
        owed = owes(session, said, customer, day=day)
        at = stands(owed, issued.number)
        assert at is not None
        return Aim(customer, jobs.by_id(session, issued.job_id), (issued, at), owed)
    job = clock.job_of(session, told.job)
    if job is not None and job.customer == NOT_SAID:
        raise BadInput(where=f"job {job.number}", what="it is not said whose it is.", do="Name the customer instead.")
    customer = find(session, job.customer if job is not None else told.customer)
    return Aim(customer, job, None, owes(session, said, customer, day=day))


def _by_reference(owed: Owes, plain: Payment, told: Said, currency: str) -> Payment | None:
    """The same money, written down before under the same reference."""
    if not plain.reference:
        return None
    for one in owed.told:
        if (one.kind, one.reference) == (plain.kind, plain.reference):
            same = (one.invoice, one.job) == (plain.invoice, plain.job)
            if same and (not told.amount or cents(told.amount, currency, "amount") == one.amount):
                return one
            what = f"was written down before, as {show_money(one.amount, one.currency)} (entry {one.id})."
            raise BadInput(where=f"reference {plain.reference}", what=what, do="Strike that entry if it is wrong.")
    return None


def _by_ids(session: Session, answer: str) -> tuple[Payment, ...]:
    wanted = {int(one) for one in answer.split()}
    return tuple(one for one in payments.entries(session) if one.id in wanted)


def _how(told: Said) -> str:
    if told.how and told.how not in HOW:
        raise BadInput(where="how", what=f"{told.how[:20]!r} is none.", do=f"Choose: {', '.join(HOW)}.")
    return told.how


# ---- what each kind asks -----------------------------------------------------------------------------------------


def _received(_session: Session, aim: Aim, told: Said, plain: Payment) -> tuple[Payment, ...]:
    """Money that came; with it the discount, where just that is missing and the day is early enough."""
    if aim.at is None:
        return (replace(plain, amount=cents(told.amount, plain.currency, "amount")),)
    issued, at = aim.at
    early = issued.discount > 0 and issued.discount_until is not None and plain.day <= issued.discount_until
    rest = at.open - issued.discount if early else NOTHING
    amount = cents(told.amount, plain.currency, "amount") if told.amount else at.open
    _something(amount, aim, plain)
    one = replace(plain, amount=amount)
    if early and amount == rest:
        words = f"paid by {issued.discount_until}"
        return one, replace(plain, kind="discount", amount=issued.discount, how="", reference="", words=words)
    return (one,)


def _less(_session: Session, aim: Aim, told: Said, plain: Payment) -> tuple[Payment, ...]:
    """A loss, or what is held set against an invoice: never more than is open."""
    issued, at = _invoice(aim, plain.kind)
    most = at.open if plain.kind == "written off" else min(at.open, aim.owed.account.held)
    amount = cents(told.amount, plain.currency, "amount") if told.amount else most
    _something(amount, aim, plain)
    if amount > most:
        what = f"{show_money(amount)} is more than the {show_money(most)} that can be {plain.kind}."
        raise BadInput(where=f"invoice {issued.number}", what=what, do="Give less.")
    return (replace(plain, amount=amount, words=plain.words or "no reason said"),)


def _credit_note(session: Session, aim: Aim, told: Said, plain: Payment) -> tuple[Payment, ...]:
    """Takes back a charge, even one that is paid: then the money is held for the customer."""
    issued, at = _invoice(aim, plain.kind)
    most = issued.total - at.by.get("credit note", NOTHING) - at.by.get("written off", NOTHING)
    amount = cents(told.amount, plain.currency, "amount") if told.amount else most
    _something(amount, aim, plain)
    if amount > most:
        what = f"{show_money(amount)} is more than the {show_money(most)} that is charged by it still."
        raise BadInput(where=f"invoice {issued.number}", what=what, do="Give less.")
    if not plain.words:
        raise BadInput(where=f"invoice {issued.number}", what="it is not said why.", do="Say it in few words.")
    return (replace(plain, amount=amount, number=payments.next_credit_note(session)),)


def _with_paper(store: Store, session: Session, said: ShopSaid, aim: Aim, one: Payment, *, now: datetime) -> Payment:
    """The credit note with its paper kept."""
    issued, _ = _invoice(aim, one.kind)
    what = aim.job.what if aim.job is not None else ""
    pdf = credit_note(said, aim.owed.about, issued, one, what=what, now=now)
    sha256, name = store.files.keep(pdf), f"credit-note-{one.number}.pdf"
    plans.note_file(session, sha256=sha256, size_bytes=len(pdf), name=name, kind="paper", now=now)
    return replace(one, sha256=sha256)


def _given_back(_session: Session, aim: Aim, told: Said, plain: Payment) -> tuple[Payment, ...]:
    """Money given back: of what is held for the customer, or of a job's deposit."""
    if aim.at is not None:
        raise BadInput(where="given back", what="goes to a customer.", do="Name the customer, or the deposit's job.")
    deposits = {one.job: one.held for one in aim.owed.account.deposits}
    held = deposits.get(plain.job, NOTHING) if plain.job is not None else aim.owed.account.held
    amount = cents(told.amount, plain.currency, "amount") if told.amount else held
    _something(amount, aim, plain)
    if amount > held:
        what = f"only {show_money(max(held, NOTHING), plain.currency)} is held."
        raise BadInput(where="given back", what=what, do="Give back no more.")
    return (replace(plain, amount=amount),)


def _deposit(session: Session, aim: Aim, told: Said, plain: Payment) -> tuple[Payment, ...]:
    """A deposit asked for a job: the sum said, or the share agreed of what was offered."""
    if aim.job is None or aim.at is not None:
        raise BadInput(where="deposit asked", what="it is not said for which job.", do="Name the job.")
    due = day_of(told.due, "due") if told.due else plain.day
    if told.amount:
        amount = cents(told.amount, plain.currency, "amount")
    else:
        terms, offered = aim.owed.about.terms, agreed(session, aim.job)
        usual = _usual_deposit(session, aim.job)
        if terms is not None and terms.deposit and offered is not None:
            amount = (offered * terms.deposit).quantize(Decimal("0.01"), ROUND_HALF_UP)
        elif usual is not None:
            amount = usual
        else:
            what = "no share was agreed with the customer, or no price was offered."
            raise BadInput(where=f"job {aim.job.number}", what=what, do="Say the amount.")
    return (replace(plain, amount=amount, due=due),)


RULES: Mapping[str, Callable[[Session, Aim, Said, Payment], tuple[Payment, ...]]] = {
    "received": _received, "credit note": _credit_note, "written off": _less, "set off": _less,
    "given back": _given_back, "deposit asked": _deposit,
}  # fmt: skip


def _usual_deposit(session: Session, job: Job) -> Decimal | None:
    """The deposit that the shop's terms ask of the offer, if any."""
    kept = keeping.kept(session, job)
    best = kept.answer.best if kept is not None else None
    found = best.price.deposit if best is not None and best.price is not None else None
    return found.rounded().amount if found is not None else None


def _invoice(aim: Aim, kind: str) -> tuple[Invoice, Stands]:
    if aim.at is None:
        raise BadInput(where=kind, what="it is not said of which invoice.", do="Name the invoice.")
    return aim.at


def _something(amount: Decimal, aim: Aim, plain: Payment) -> None:
    if amount <= 0:
        where = f"invoice {plain.invoice}" if aim.at is not None else aim.customer.name
        what = "nothing is open." if plain.kind in ("received", "written off", "credit note") else "nothing is held."
        raise BadInput(where=where, what=what, do="Look at the account; say the amount if it is meant.")


def agreed(session: Session, job: Job) -> Decimal | None:
    """The price of a job: as agreed when it was taken, else as offered by its plan; None where there is none."""
    promised = [e for e in ledger.standing(ledger.entries(session, job.id)) if e.kind == "promised"]
    body = promised[-1].body if promised else {}
    said = body.get("price", body.get("offer"))
    if said is not None:
        return Decimal(str(said))
    kept = keeping.kept(session, job)
    best = kept.answer.best if kept is not None else None
    return best.price.offer.rounded().amount if best is not None and best.price is not None else None


# ---- the job's state ---------------------------------------------------------------------------------------------


def _say_whether_paid(session: Session, said: ShopSaid, aim: Aim, *, day: date, by: str, now: datetime) -> None:
    """A delivered job of which nothing is open any more is paid; where that was wrong, it is not after all."""
    if aim.job is None:
        return
    owed = owes(session, said, aim.customer, day=day)
    mine = [one for one in owed.account.invoices if one.charge.job == aim.job.number]
    told = ledger.entries(session, aim.job.id)
    state, paid = ledger.job_state(told), bool(mine) and all(one.open == 0 for one in mine)
    if paid and state == "delivered":
        ledger.write_down(session, job_id=aim.job.id, kind=PAID, who=by, happened=now, told=now)
    elif not paid and state == PAID:
        last = [one for one in ledger.standing(told) if one.kind == PAID][-1]
        ledger.write_down(session, job_id=aim.job.id, kind=UNPAID, who=by, happened=now, told=now, replaces=last.id)
