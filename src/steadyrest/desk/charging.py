"""Papers of what was done: the work record, and the invoice, the same day, from the same record."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import datetime
from decimal import Decimal
from fractions import Fraction
from zoneinfo import ZoneInfo

from steadyrest.desk import clock, keeping
from steadyrest.desk.which_shop import ShopSaid
from steadyrest.desk.work_record import Day, Row, WorkRecord, said_for, work_record
from steadyrest.papers.charged import Charged, PaperDay, PaperLine, PaperRow, charged
from steadyrest.price.statement.asked import NOT_ROUNDED
from steadyrest.price.statement.billing import read_billing
from steadyrest.price.statement.said import Goods
from steadyrest.price.statement.statement import Line, Statement, statement
from steadyrest.store import ledger, plans, spent, touches
from steadyrest.store.opening import Session, Store
from steadyrest.trouble import BadInput
from steadyrest.units import show_money
from steadyrest.wording import moments

DOUBTS = {"runs": "runs still, not charged yet", "forgotten": "its end is being asked about, not charged yet"}
SHARED = "shared time by share"
RULE = "Where one person worked on two things at once, each counts its share of that time."
BY = "Hours and amounts as entered; whether and how tax is owed is for the owner and the accountant to say."
VERB = "invoice"


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
    return charged(paper_of(record, store.files.read, kind="Work record", said_as=f"made {made(record)}", link=link))


def paper_of(
    record: WorkRecord, read: Callable[[str], bytes], *, kind: str, said_as: str, link: str = "",
    stated: Statement | None = None, with_days: bool = True, more: tuple[str, ...] = (),
) -> Charged:  # fmt: skip
    """A record as a paper. stated: what is charged, if it is not the record's own hours."""
    stated = stated or record.statement
    names = {person.id: person.name for person in record.shop.people}
    shared = any(row.shared for day in record.days for row in day.rows)
    footing = [*more, f"Counted: {record.rounding}.", *([RULE] if shared and with_days else [])]
    if stated.spared:
        footing.append("No tax: a certificate spares it.")
    if record.tax_words:
        footing.append(record.tax_words)
    return Charged(
        kind=kind,
        shop=record.shop.name,
        number=record.job.number,
        said=said_as,
        what=record.job.what,
        customer=record.job.customer,
        made=record.made,
        made_says=made(record),
        days=tuple(day_of(one, record, read) for one in record.days) if with_days else (),
        lines=tuple(line_of(one, names) for one in stated.lines),
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


def line_of(line: Line, names: dict[str, str]) -> PaperLine:
    much = ""
    if line.unit:
        much = f"{float(line.quantity):.4g} {line.unit} at {float(line.rate):.2f}"
        much += f" x {float(line.factor):g}" if line.factor != 1 else ""
    what = names.get(line.what, line.what) + (f", {line.day}" if line.day else "")
    return PaperLine(what, much, show_money(line.amount))


# ---- the invoice -------------------------------------------------------------------------------------------------


def issue_invoice(
    store: Store, said: ShopSaid, number: int, *, by: str, by_hours: bool, now: datetime, touch: str = ""
) -> tuple[spent.Invoiced, bytes]:
    """Issue an invoice: by the hours of the record, or at the price that was offered.

    Args:
        store: an open data folder. said: the shop.
        number: the job's.
        by: who issues it.
        by_hours: by the hours; else the price that was promised, or planned.
        now: aware moment.
        touch: the form's mark, so that it counts once.
    Returns: the invoice as kept, and its PDF.
    Raises: BadInput: no such job or person, work whose end is not known yet, or nothing to charge.
    """
    clock.known_person(said.shop, by)
    before = kept_by_touch(store, number, touch)
    if before is not None:
        return before, store.files.read(before.sha256)
    record = work_record(store, said, number, now=now)
    stated = record.statement if by_hours else at_offer(store, said, record)
    if by_hours and record.doubtful:
        what = f"{len(record.doubtful)} stretches of work have no end yet, or one that is asked about."
        raise BadInput(where=f"job {number}", what=what, do="Set them right on the clock first.")
    if stated.total <= 0:
        raise BadInput(where=f"job {number}", what="there is nothing to charge.", do="Write down hours or goods first.")
    while True:
        with store.reading() as session:
            next_number = spent.next_invoice(session)
        paper = paper_of(
            record, store.files.read, kind="Invoice", said_as=f"invoice {next_number}, {made(record)}", stated=stated,
            with_days=by_hours,
        )  # fmt: skip
        pdf = charged(paper)
        sha256 = store.files.keep(pdf)
        with store.writing() as session:
            if spent.next_invoice(session) != next_number:
                if touches.answered(session, touch, verb=VERB) is not None:
                    break  # the same form, sent twice at one moment
                continue  # somebody issued one meanwhile: ours gets the next number
            name = f"invoice-{next_number}.pdf"
            plans.note_file(session, sha256=sha256, size_bytes=len(pdf), name=name, kind="paper", now=now)
            one = spent.Invoiced(next_number, stated.total, stated.currency, sha256, by, now)
            spent.note_invoice(session, record.job.id, one)
            touches.keep(session, touch, verb=VERB, answer=str(next_number), now=now)
        return one, pdf
    return issue_invoice(store, said, number, by=by, by_hours=by_hours, now=now, touch=touch)


def kept_by_touch(store: Store, number: int, touch: str) -> spent.Invoiced | None:
    """The invoice that this touch brought before; None if it is the first time."""
    with store.reading() as session:
        answer = touches.answered(session, touch, verb=VERB)
        return None if answer is None else invoice(session, number, int(answer))


def invoice(session: Session, number: int, invoice_number: int) -> spent.Invoiced:
    """An invoice of a job. Raises: BadInput: there is no such job or invoice."""
    job = clock.job_of(session, number)
    assert job is not None
    found = next((one for one in spent.invoices(session, job.id) if one.number == invoice_number), None)
    if found is None:
        raise BadInput(where=f"invoice {invoice_number}", what="there is no such invoice.", do="Look at the record.")
    return found


def at_offer(store: Store, said: ShopSaid, record: WorkRecord) -> Statement:
    """What is owed at the price that was promised, or else planned; goods and travel are in it."""
    with store.reading() as session:
        promised = [e for e in ledger.standing(ledger.entries(session, record.job.id)) if e.kind == "promised"]
        offered = promised[-1].body.get("offer") if promised else None
        if offered is None:
            kept = keeping.kept(session, record.job)
            best = kept.answer.best if kept is not None else None
            offered = best.price.offer.amount if best is not None and best.price is not None else None
    if offered is None:
        what = "no price was offered for it."
        raise BadInput(where=f"job {record.job.number}", what=what, do="Charge it by the hours.")
    usual = read_billing(said.text, said.where).of(record.job.customer)
    billing = replace(usual, rounding=NOT_ROUNDED)  # a price is a price: no least labour comes on top
    day = record.made.astimezone(ZoneInfo(said.shop.timezone)).date()
    goods = (Goods(f"{record.job.what}, as offered", Fraction(Decimal(str(offered))), Fraction(0), taxable=True),)
    return statement(replace(said_for(said.shop, billing, (), (), day=day), goods=goods))
