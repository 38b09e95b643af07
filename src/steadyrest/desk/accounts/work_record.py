"""The work record of a job: day by day what was done, found and decided, and what it comes to, to the cent."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, time
from decimal import Decimal
from fractions import Fraction
from zoneinfo import ZoneInfo

from steadyrest.desk.accounts.customers import about_named, billing_of, today
from steadyrest.desk.accounts.taxed_lines import TaxedLine, lines_of, said_of
from steadyrest.desk.floor import clock
from steadyrest.desk.incoming.their_parts import TheirPart, of_job
from steadyrest.desk.which_shop import ShopSaid
from steadyrest.price.statement.billing import Billing
from steadyrest.price.statement.no_more import no_more_than
from steadyrest.price.statement.said import Entry, Goods, StatementSaid, Travel, Window
from steadyrest.price.statement.statement import Statement, rounding_in_words, statement
from steadyrest.shop.floor import Shop
from steadyrest.store import clock as entries
from steadyrest.store import invoices, jobs, ledger, spent, touches
from steadyrest.store.customers import About
from steadyrest.store.opening import Session, Store
from steadyrest.trouble import BadInput
from steadyrest.units import parse_money

WORKDAYS = frozenset(range(5))
ONE = Fraction(1)
LONGEST = 200
SPENT = "spent"
FARTHEST = Decimal(100_000)


@dataclass(frozen=True, slots=True)
class Row:
    """A stretch of work. who: their name. end: None while it runs. worked_s: shared time by share.

    doubt: why it is not charged yet: "runs", "forgotten", or "".
    """

    who: str
    start: datetime
    end: datetime | None
    step: str
    worked_s: float
    shared: bool
    doubt: str


@dataclass(frozen=True, slots=True)
class Found:
    """What was found, done, decided. photo: hash of a kept file, or ""."""

    who: str
    when: datetime
    words: str
    photo: str


@dataclass(frozen=True, slots=True)
class Day:
    """A local day; work over midnight stands on the day it began."""

    day: date
    rows: tuple[Row, ...]
    found: tuple[Found, ...]
    spent: tuple[spent.Spent, ...]


@dataclass(frozen=True, slots=True)
class WorkRecord:
    """statement: what hours, goods and travel come to. invoices: issued so far. about: the customer, as known now.

    taxed: on which lines tax is owed. theirs: parts of the customer's that came with it.
    """

    job: jobs.Job
    shop: Shop
    made: datetime
    days: tuple[Day, ...]
    statement: Statement
    rounding: str
    tax_words: str
    invoices: tuple[invoices.Invoice, ...]
    about: About
    billing: Billing
    taxed: tuple[TaxedLine, ...] = ()
    theirs: tuple[TheirPart, ...] = ()

    @property
    def doubtful(self) -> tuple[Row, ...]:
        """Work that is not charged yet, because it runs or its end is asked about."""
        return tuple(row for day in self.days for row in day.rows if row.doubt)


def work_record(store: Store, said: ShopSaid, number: int, *, now: datetime) -> WorkRecord:
    """The work record of a job.

    Args:
        store: an open data folder.
        said: the shop, whose [billing] says how it charges.
        number: the job's.
        now: aware moment.
    Returns: the record.
    Raises: BadInput: no such job, or [billing] is wrong somewhere.
    """
    shop = said.shop
    with store.reading() as session:
        job = clock.job_of(session, number)
        assert job is not None
        works = clock.in_words(session, shop, clock.job_works(session, job.id, now=now), now=now)
        told = entries.standing(entries.entries(session, job_id=job.id))
        costs = spent.spent_on(session, job.id)
        issued = invoices.of_job(session, job.id)
        ledger_told = ledger.standing(ledger.entries(session, job.id))
        most = agreed_most(ledger_told)
        theirs = of_job(session, job)
        day = today(said, now)
        billing, about = billing_of(session, said, job.customer, day=day), about_named(session, job.customer)
    kinds = said_of(ledger_told, billing)
    taxed = frozenset(kind for kind, owed in kinds.items() if owed)
    asked = said_for(shop, billing, works, costs, day=day, taxed=taxed)
    stated = statement(asked) if most is None else no_more_than(asked, most)
    return WorkRecord(
        job, shop, now, days(shop, works, told, costs), stated, rounding_in_words(billing.rounding),
        billing.tax_words, issued, about, billing, lines_of(ledger_told, costs, billing), theirs,
    )  # fmt: skip


def agreed_most(told: Sequence[ledger.Entry]) -> Decimal | None:
    """What a job taken by the hour will not exceed, as agreed; None: nothing was, or it has a price.

    Args:
        told: the job's standing entries.
    """
    body = next((one.body for one in reversed(told) if one.kind == "promised"), {})
    return Decimal(str(body["most"])) if "most" in body else None


def said_for(
    shop: Shop, billing: Billing, works: tuple[clock.Work, ...], costs: tuple[spent.Spent, ...], *, day: date,
    taxed: frozenset[str],
) -> StatementSaid:  # fmt: skip
    """What a statement of hours, goods and travel is made from. taxed: kinds that tax is owed on, besides goods."""
    return StatementSaid(
        currency=shop.currency,
        zone=ZoneInfo(shop.timezone),
        date=day,
        rates={person.id: Fraction(person.charge_per_hour) for person in shop.people},
        windows=after_hours(shop),
        rounding=billing.rounding,
        tax=billing.tax,
        spared_until=billing.spared_until,
        entries=tuple(entry_of(work) for work in works),
        travel=tuple(
            Travel(Fraction(one.much), billing.travel_unit, billing.travel_rate)
            for one in costs if one.kind == "travel"
        ),
        goods=tuple(
            Goods(one.what, Fraction(one.much), billing.goods_markup, one.taxable)
            for one in costs if one.kind == "goods"
        ),
        taxed=taxed,
    )  # fmt: skip


def entry_of(work: clock.Work) -> Entry:
    """A stretch as the statement takes it; one that runs, or whose end is asked about, has no end there."""
    one = work.stretch
    shared = tuple((part.start, part.end, part.share) for part in one.shared)
    end = None if work.asked is not None else one.end
    return Entry(str(int(one.begun_by)), "labour", one.person, one.start, end, None, shared)


def after_hours(shop: Shop) -> tuple[Window, ...]:
    """When an hour costs more, by the shop's terms: outside its day, and at the weekend."""
    terms = shop.terms
    factor = Fraction(str(terms.after_hours_factor))
    if factor <= ONE:
        return ()
    opens, closes = (time(at // 60 % 24, at % 60) for at in (terms.day_from_min, terms.day_to_min))
    night = Window(factor, frozenset(), closes, opens, until_midnight=opens == time(0))
    weekend = Window(factor, frozenset(range(7)) - WORKDAYS, None, None)
    return (weekend,) if opens == closes else (night, weekend)


def days(
    shop: Shop, works: tuple[clock.Work, ...], told: tuple[entries.ClockEntry, ...], costs: tuple[spent.Spent, ...]
) -> tuple[Day, ...]:
    """What happened, day by day."""
    zone = ZoneInfo(shop.timezone)
    names = {person.id: person.name for person in shop.people}

    def day_of(at: datetime) -> date:
        return at.astimezone(zone).date()

    found = [
        Found(names.get(one.person, one.person), one.happened, one.words, one.file_sha256 or "")
        for one in told if one.words or one.file_sha256
    ]  # fmt: skip
    rows = [
        Row(
            names.get(work.stretch.person, work.stretch.person), work.stretch.start, work.stretch.end, work.step,
            work.worked_s, bool(work.stretch.shared),
            "forgotten" if work.asked else "runs" if work.stretch.end is None else "",
        )
        for work in works
    ]  # fmt: skip
    dates = {day_of(at) for at in (*(r.start for r in rows), *(f.when for f in found), *(c.when for c in costs))}
    return tuple(
        Day(
            day,
            tuple(row for row in rows if day_of(row.start) == day),
            tuple(one for one in found if day_of(one.when) == day),
            tuple(one for one in costs if day_of(one.when) == day),
        )
        for day in sorted(dates)
    )


# ---- what it cost besides hours ----------------------------------------------------------------------------------


def write_spent(
    store: Store, shop: Shop, number: int, *, what: str, cost: str, distance: str, taxable: bool, by: str,
    at: datetime | None, now: datetime, touch: str = "",
) -> spent.Spent:  # fmt: skip
    """Write down what a job cost besides hours: goods at what they cost, or a road driven.

    Args:
        store: an open data folder.
        shop: who works there.
        number: the job's.
        what: in few words.
        cost, distance: as typed; one of the two.
        taxable: of goods.
        by: who says so.
        at: when; None: now.
        now: aware moment.
        touch: of the form, so that it counts once.
    Returns: what was noted.
    Raises: BadInput: no such job or person, nothing said, neither or both amounts, or no amount.
    """
    clock.known_person(shop, by)
    if not what.strip() or len(what) > LONGEST:
        raise BadInput(where="what", what="it is not said what it was.", do=f"Say it in 1 to {LONGEST} signs.")
    if bool(cost) == bool(distance):
        raise BadInput(where="--cost", what="give either what it cost, or how far.", do="Give one of the two.")
    if cost:
        much = parse_money(cost, shop.currency, "--cost")
    else:
        much = distance_of(distance)
    one = spent.Spent("goods" if cost else "travel", what.strip(), much, taxable, by, at or now)
    with store.writing() as session:
        if touches.answered(session, touch, verb=SPENT) is None:
            note(session, number, one, now=now)
            touches.keep(session, touch, verb=SPENT, answer=str(number), now=now)
    return one


@dataclass(frozen=True, slots=True)
class SpentOn:
    """What was spent, on which job. job: its number."""

    job: int
    what: str
    spent: spent.Spent


def spent_lately(store: Store, *, most: int = 30) -> tuple[SpentOn, ...]:
    """What was spent on jobs lately, the newest first, corrected entries left out.

    Args:
        store: an open data folder.
        most: how many.
    Returns: what was spent.
    """
    with store.reading() as session:
        found = spent.latest(session, most=most)
        known = {job_id: jobs.by_id(session, job_id) for job_id, _ in found}
    return tuple(SpentOn(known[job_id].number, known[job_id].what, one) for job_id, one in found)


def note(session: Session, number: int, one: spent.Spent, *, now: datetime) -> None:
    """Write it down on a job. Raises: BadInput: there is no such job, or it is still to come."""
    job = clock.job_of(session, number)
    assert job is not None
    spent.note_spent(session, job.id, one, now=now)


def distance_of(text: str) -> Decimal:
    """A distance as typed, in the shop's own unit of roads."""
    try:
        found = Decimal(text.strip().replace(",", "."))
    except ArithmeticError:
        found = Decimal(-1)
    if not found.is_finite() or not 0 < found <= FARTHEST:
        raise BadInput(where="--distance", what=f"{text[:40]!r} is no distance.", do="Write it as 34.5.")
    return found
