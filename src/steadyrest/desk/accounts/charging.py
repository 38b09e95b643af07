"""Papers of what was done: the work record, and the invoice, the same day, from the same record."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date, datetime, timedelta
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction

from steadyrest.desk.accounts import money
from steadyrest.desk.accounts.customers import terms_of, today
from steadyrest.desk.accounts.owed import owes
from steadyrest.desk.accounts.taxed_lines import PRICE, said_of
from steadyrest.desk.accounts.work_record import Day, Row, WorkRecord, agreed_most, said_for, work_record
from steadyrest.desk.floor import clock
from steadyrest.desk.incoming.receipt import their_row
from steadyrest.desk.which_shop import ShopSaid
from steadyrest.papers.charged import Charged, PaperDay, PaperLine, PaperRow, charged
from steadyrest.price.statement.asked import NOT_ROUNDED
from steadyrest.price.statement.said import Goods
from steadyrest.price.statement.statement import Line, Statement, statement
from steadyrest.store import invoices, ledger, plans, touches
from steadyrest.store.invoices import Invoice, InvoiceLine, InvoiceLines
from steadyrest.store.opening import Session, Store
from steadyrest.store.values import to_json
from steadyrest.trouble import BadInput
from steadyrest.units import show_money
from steadyrest.wording import moments

DOUBTS = {"runs": "runs still, not charged yet", "forgotten": "its end is being asked about, not charged yet"}
SHARED = "shared time by share"
RULE = "Where one person worked on two things at once, each counts its share of that time."
BY = "Hours and amounts as entered; whether and how tax is owed is for the owner and the accountant to say."
VERB = "invoice"
RECORD = "Work record"


def record_paper(store: Store, said: ShopSaid, number: int, *, now: datetime, link: str = "") -> bytes:
    """The work record as PDF.

    Args:
        store: an open data folder. said: the shop.
        number: the job's.
        now: aware moment.
        link: where the code on it leads; empty for none.
    Returns: the PDF.
    Raises: BadInput: as in `work_record`.
    """
    record = work_record(store, said, number, now=now)
    return charged(paper_of(record, store.files.read, kind=RECORD, said_as=f"made {made(record)}", link=link))


def paper_of(
    record: WorkRecord, read: Callable[[str], bytes], *, kind: str, said_as: str, link: str = "",
    stated: Statement | None = None, with_days: bool = True, more: tuple[str, ...] = (),
    to_pay: tuple[tuple[str, str], ...] = (), number: int | None = None,
) -> Charged:  # fmt: skip
    """A record as a paper. stated: what is charged, if not the record's own hours. to_pay: rows below the total.

    number: as the paper's title says it; None: the job's.
    """
    stated = stated or record.statement
    names = {person.id: person.name for person in record.shop.people}
    shared = any(row.shared for day in record.days for row in day.rows)
    footing = [*more, f"Counted: {record.rounding}.", *([RULE] if shared and with_days else [])]
    if stated.spared:
        footing.append("No tax: a certificate spares it.")
    footing += [words for words in (record.about.tax_words, record.tax_words) if words]
    return Charged(
        kind=kind,
        shop=record.shop.name,
        number=record.job.number if number is None else number,
        said=said_as,
        what=record.job.what,
        customer=record.about.called or record.job.customer,
        address=record.about.lines,
        to_pay=to_pay,
        made=record.made,
        made_says=made(record),
        theirs=tuple(their_row(one, record.shop, read) for one in record.theirs) if kind == RECORD else (),
        days=tuple(day_of(one, record, read) for one in record.days) if with_days else (),
        lines=tuple(line_of(one, names, spared=stated.spared or not record.billing.tax.rate) for one in stated.lines),
        sums=tuple((name, show_money(amount)) for name, amount in sums(stated) if amount),
        total=show_money(stated.total, stated.currency),
        footing=(*footing, BY),
        link=link,
    )


def made(record: WorkRecord) -> str:
    return moments.day(record.made, record.shop.timezone)


def sums(stated: Statement) -> tuple[tuple[str, Decimal], ...]:
    """The sums of a statement by name."""
    return (
        ("labour", stated.labour), ("machines", stated.machine), ("travel", stated.travel), ("goods", stated.goods),
        ("tax", stated.tax),
    )  # fmt: skip


def day_of(one: Day, record: WorkRecord, read: Callable[[str], bytes]) -> PaperDay:
    zone, currency = record.shop.timezone, record.shop.currency
    at = datetime.combine(one.day, datetime.min.time()).replace(tzinfo=record.made.tzinfo).replace(hour=12)
    return PaperDay(
        day=moments.day(at, zone),
        rows=tuple(PaperRow(r.who, when(r, zone), r.step, hours(r.worked_s), note_of(r)) for r in one.rows),
        found=tuple((f"{f.who}, {moments.moment(f.when, zone)}", f.words or "photo") for f in one.found),
        photos=tuple(read(f.photo) for f in one.found if f.photo),
        spent=tuple((s.what, show_money(s.much, currency) if s.kind == "goods" else f"{s.much:f}") for s in one.spent),
    )


def note_of(row: Row) -> str:
    return DOUBTS.get(row.doubt, SHARED if row.shared else "")


def when(row: Row, zone: str) -> str:
    """From when to when, the day left out where it is the heading's."""
    begin = moments.moment(row.start, zone).split(", ")[1]
    if row.end is None:
        return f"since {begin}"
    last = moments.stretch(row.start, row.end, zone).rsplit(" to ", 1)[1]
    return f"{begin} to {last}"


def hours(seconds: float) -> str:
    """Hours and minutes: "1:05"."""
    minutes = round(seconds / 60)
    return f"{minutes // 60}:{minutes % 60:02d}"


def line_of(line: Line, names: dict[str, str], *, spared: bool) -> PaperLine:
    much = ""
    if line.unit:
        much = f"{float(line.quantity):.4g} {line.unit} at {float(line.rate):.2f}"
        much += f" x {float(line.factor):g}" if line.factor != 1 else ""
    what = names.get(line.what, line.what) + (f", {line.day}" if line.day else "")
    return PaperLine(what, much, show_money(line.amount), "yes" if line.taxable and not spared else "")


# ---- the invoice -------------------------------------------------------------------------------------------------


def issue_invoice(
    store: Store, said: ShopSaid, number: int, *, by: str, by_hours: bool, now: datetime, touch: str = "",
    again: bool = False,
) -> tuple[Invoice, bytes]:  # fmt: skip
    """Issue an invoice: by the hours of the record, or at the price that was agreed or offered.

    Args:
        store: an open data folder. said: the shop.
        number: the job's.
        by: who issues it.
        by_hours: by the hours; else the price that was promised, or planned.
        now: aware moment.
        touch: the form's mark, so that it counts once.
        again: also where an invoice charges this job already.
    Returns: the invoice as kept, and its PDF.
    Raises: BadInput: no such job or person, work without an end, nothing to charge, or it is charged already.
    """
    clock.known_person(said.shop, by)
    before = kept_by_touch(store, number, touch)
    if before is not None:
        return before, store.files.read(before.sha256)
    with store.reading() as session:  # before all else: what is issued meanwhile is seen by it
        next_number = invoices.next_number(session)
    record = work_record(store, said, number, now=now)
    stated = record.statement if by_hours else at_offer(store, said, record)
    if by_hours and record.doubtful:
        what = f"{len(record.doubtful)} stretches of work have no end yet, or one that is asked about."
        raise BadInput(where=f"job {number}", what=what, do="Set them right on the clock first.")
    if not again:
        not_charged_yet(store, said, record)
    if stated.total <= 0:
        raise BadInput(where=f"job {number}", what="there is nothing to charge.", do="Write down hours or goods first.")
    with store.reading() as session:
        deposit = deposit_held(session, said, record)
    one = charged_as(record, stated, next_number, by=by, day=today(said, now))
    pdf = charged(invoice_paper(record, store.files.read, one, stated, with_days=by_hours, deposit=deposit))
    one = replace(one, sha256=store.files.keep(pdf))
    with store.writing() as session:
        if invoices.next_number(session) == one.number:
            name = f"invoice-{one.number}.pdf"
            plans.note_file(session, sha256=one.sha256, size_bytes=len(pdf), name=name, kind="paper", now=now)
            invoices.keep(session, one)
            touches.keep(session, touch, verb=VERB, answer=str(one.number), now=now)
            return one, pdf
    # Somebody issued one meanwhile, or the same form came twice at one moment: look again at everything.
    return issue_invoice(store, said, number, by=by, by_hours=by_hours, now=now, touch=touch, again=again)


def not_charged_yet(store: Store, said: ShopSaid, record: WorkRecord) -> None:
    """Raises: BadInput: an invoice charges this job already, and was not taken back whole by credit notes."""
    with store.reading() as session:
        owed = owes(session, said, record.about.customer, day=today(said, record.made))
    back = {one.charge.number: one.by.get("credit note", Decimal(0)) for one in owed.account.invoices}
    for one in record.invoices:
        if back.get(one.number, Decimal(0)) < one.total:
            what = f"invoice {one.number} charges it already, {show_money(one.total, one.currency)}."
            do = "Take that back by a credit note, or say that it is charged again (--again)."
            raise BadInput(where=f"job {record.job.number}", what=what, do=do)


def charged_as(record: WorkRecord, stated: Statement, number: int, *, by: str, day: date) -> Invoice:
    """The invoice that charges a statement, under this number and without its paper yet."""
    names = {person.id: person.name for person in record.shop.people}
    terms = terms_of(record.about, record.billing)
    off = (stated.total * terms.discount).quantize(Decimal("0.01"), ROUND_HALF_UP)
    paper = tuple(line_of(one, names, spared=stated.spared) for one in stated.lines)
    lines = tuple(
        InvoiceLine(shown.what, shown.much, one.amount, one.taxable and not stated.spared)
        for shown, one in zip(paper, stated.lines, strict=True)
    )
    return Invoice(
        number, record.job.id, record.job.number, record.about.customer.id, day, day + timedelta(days=terms.days),
        to_json(InvoiceLines(lines, stated.tax)), stated.total, stated.currency, "", by, record.made, off,
        day + timedelta(days=terms.discount_days) if off else None,
    )  # fmt: skip


def invoice_paper(
    record: WorkRecord, read: Callable[[str], bytes], one: Invoice, stated: Statement, *, with_days: bool,
    deposit: Decimal,
) -> Charged:  # fmt: skip
    """The invoice as its paper: when it is due, what a deposit takes off, how to pay."""
    due = moments.calendar_day(one.due)
    rows: list[tuple[str, str]] = []
    if deposit:
        used = min(deposit, one.total)
        rows.append(("deposit received", show_money(-used)))
        rows.append((f"to pay by {due}", show_money(one.total - used, one.currency)))
    more = [f"Please pay by {due}."]
    if one.discount and one.discount_until:
        until = moments.calendar_day(one.discount_until)
        more.append(f"Paid by {until}, {show_money(one.discount, one.currency)} less is owed.")
    if record.billing.pay_words:
        more.append(record.billing.pay_words)
    return paper_of(
        record, read, kind="Invoice", said_as=f"job {one.job}, {made(record)}", stated=stated,
        with_days=with_days, more=tuple(more), to_pay=tuple(rows), number=one.number,
    )  # fmt: skip


def deposit_held(session: Session, said: ShopSaid, record: WorkRecord) -> Decimal:
    """What was received for a job before any invoice used it."""
    owed = owes(session, said, record.about.customer, day=today(said, record.made))
    held = {one.job: one.held for one in owed.account.deposits}
    return max(held.get(record.job.number, Decimal(0)), Decimal(0))


def kept_by_touch(store: Store, number: int, touch: str) -> Invoice | None:
    """The invoice that this touch brought before; None if it is the first time."""
    with store.reading() as session:
        answer = touches.answered(session, touch, verb=VERB)
        return None if answer is None else invoice(session, number, int(answer))


def invoice(session: Session, number: int, invoice_number: int) -> Invoice:
    """An invoice of a job. Raises: BadInput: there is no such job or invoice."""
    job = clock.job_of(session, number)
    assert job is not None
    found = next((one for one in invoices.of_job(session, job.id) if one.number == invoice_number), None)
    if found is None:
        raise BadInput(where=f"invoice {invoice_number}", what="there is no such invoice.", do="Look at the record.")
    return found


def at_offer(store: Store, said: ShopSaid, record: WorkRecord) -> Statement:
    """What is owed at the price that was agreed, else offered; goods and travel are in it."""
    with store.reading() as session:
        told = ledger.standing(ledger.entries(session, record.job.id))
        offered = money.agreed(session, record.job)
    if agreed_most(told) is not None:
        what = "it was taken by the hour; the amount is only what it will not exceed."
        raise BadInput(where=f"job {record.job.number}", what=what, do="Charge it by the hours.")
    if offered is None:
        what = "no price was offered for it."
        raise BadInput(where=f"job {record.job.number}", what=what, do="Charge it by the hours.")
    billing = replace(record.billing, rounding=NOT_ROUNDED)  # a price is a price: no least labour comes on top
    taxed = said_of(told, billing)[PRICE]
    goods = (Goods(f"{record.job.what}, as offered", Fraction(offered), Fraction(0), taxable=taxed),)
    asked = said_for(said.shop, billing, (), (), day=today(said, record.made), taxed=frozenset())
    return statement(replace(asked, goods=goods))
