"""The work record: what the clock and the ledger hold, day by day, to the cent; and its invoice, once."""

from __future__ import annotations

from datetime import datetime, timedelta
from decimal import Decimal
from fractions import Fraction
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from steadyrest.desk.accounts import charging
from steadyrest.desk.accounts.work_record import work_record, write_spent
from steadyrest.desk.floor import clock
from steadyrest.desk.floor.clock import Said
from steadyrest.desk.place import open_place
from steadyrest.desk.which_shop import OWN
from steadyrest.price.statement.billing import read_billing
from steadyrest.price.statement.hours import parts_of
from steadyrest.price.statement.no_more import no_more_than
from steadyrest.price.statement.said import Entry, Goods, Rounding, StatementSaid, Tax
from steadyrest.price.statement.statement import statement
from steadyrest.store import jobs, ledger
from steadyrest.trouble import BadInput

VIENNA = ZoneInfo("Europe/Vienna")
BILLING = """
[billing]
goods_markup = "0.10"
travel_rate = "0.50"
tax_words = "Sales tax number 00."
[billing.rounding]
unit_h = "0.25"
mode = "up"
per = "day"
[billing.tax]
rate = "0.20"
on = "goods"
[billing.customer."the old mill"]
certificate_until = 2026-12-31
"""


def at(day, hour, minute=0):
    return datetime(2026, 11, day, hour, minute, tzinfo=VIENNA)


@pytest.fixture
def place(tmp_path):
    open_place(tmp_path / "data", None).close()
    own = tmp_path / "data" / OWN
    own.write_text(own.read_text() + BILLING)
    opened = open_place(tmp_path / "data", None)
    yield opened
    opened.close()


@pytest.fixture
def job(place):
    with place.store.writing() as session:
        return jobs.open_job(
            session, customer="the ferry office", what="winch", due=at(30, 12), charging="hours", now=at(24, 8)
        ).number


def tell(place, kind, person, moment, job=None, **more):
    clock.tell(place.store, place.said.shop, Said(kind, person, job=job, at=moment, **more), now=moment)


def test_a_job_of_two_people_and_a_midnight_comes_to_what_is_reckoned_by_hand(place, job):
    tell(place, "start", "ines", at(26, 8), job)
    tell(place, "stop", "ines", at(26, 9, 50))
    tell(place, "start", "jorun", at(27, 19), job)
    tell(place, "note", "jorun", at(27, 23), words="key sheared, new one cut from bar")
    tell(place, "stop", "jorun", at(28, 1))
    write_spent(
        place.store, place.said.shop, job, what="key steel", cost="7.00", distance="", taxable=True, by="jorun",
        at=None, now=at(28, 1),
    )  # fmt: skip
    write_spent(
        place.store, place.said.shop, job, what="to the ferry", cost="", distance="31", taxable=True, by="jorun",
        at=None, now=at(28, 1),
    )  # fmt: skip
    record = work_record(place.store, place.said, job, now=at(28, 2))
    assert [(day.day.day, len(day.rows), len(day.found), len(day.spent)) for day in record.days] == [
        (26, 1, 0, 0), (27, 1, 1, 0), (28, 0, 0, 2),
    ]  # fmt: skip
    # Ines 1 h 50 rounded up to 2 h at 68.00 is 136.00. Jorun 19 to 20 at 74.00, then 5 h after hours at 1.25 x 74.00,
    # the sixth hour of it on Saturday at the same factor: 74.00 + 462.50. Goods 7.00 + 10 % = 7.70, 20 % of it 1.54.
    made = record.statement
    assert (made.labour, made.goods, made.travel, made.tax, made.total) == tuple(
        map(Decimal, ("672.50", "7.70", "15.50", "1.54", "697.24"))
    )
    assert record.rounding == "hours rounded up to 0.25 h, each person's day"


def test_shared_time_is_charged_by_share_and_never_twice(place, job):
    with place.store.writing() as session:
        other = jobs.open_job(
            session, customer="x", what="other", due=at(30, 12), charging="hours", now=at(24, 8)
        ).number
    tell(place, "start", "ambra", at(26, 8), job)
    tell(place, "beside", "ambra", at(26, 9), other)
    tell(place, "stop", "ambra", at(26, 11), other)
    tell(place, "stop", "ambra", at(26, 12))
    hours = [
        sum(line.quantity for line in work_record(place.store, place.said, one, now=at(26, 13)).statement.lines)
        for one in (job, other)
    ]
    assert hours == [3, 1]


def test_the_shares_of_an_entry_add_up_over_a_change_of_factor():
    shared = ((at(26, 17), at(26, 19), Fraction(1, 3)),)
    entry = Entry("1", "labour", "a", at(26, 16), at(26, 20), None, shared)
    (part,) = parts_of(entry, (), VIENNA)
    assert part.hours == 2 + Fraction(2, 3)


def test_work_whose_end_is_not_known_is_listed_and_not_charged_nor_invoiced(place, job):
    tell(place, "start", "ines", at(26, 8), job)
    record = work_record(place.store, place.said, job, now=at(26, 9))
    assert ([row.doubt for row in record.doubtful], record.statement.total) == (["runs"], 0)
    later = work_record(place.store, place.said, job, now=at(26, 20))
    assert [row.doubt for row in later.doubtful] == ["forgotten"]
    with pytest.raises(BadInput, match="no end yet"):
        charging.issue_invoice(place.store, place.said, job, by="ambra", by_hours=True, now=at(26, 20))


def test_an_invoice_is_numbered_kept_as_it_was_and_a_touch_sent_twice_makes_one(place, job):
    tell(place, "start", "ines", at(26, 8), job)
    tell(place, "stop", "ines", at(26, 9))
    asked = {"by": "ambra", "by_hours": True, "touch": "touch-of-an-invoice"}
    first, pdf = charging.issue_invoice(place.store, place.said, job, now=at(26, 10), **asked)
    again, same = charging.issue_invoice(place.store, place.said, job, now=at(26, 11), **asked)
    assert (first, pdf) == (again, same)
    with pytest.raises(BadInput, match="invoice 1 charges it already"):
        charging.issue_invoice(place.store, place.said, job, by="ambra", by_hours=True, now=at(26, 12))
    second, _ = charging.issue_invoice(
        place.store, place.said, job, by="ambra", by_hours=True, now=at(26, 12), again=True
    )
    assert (first.number, second.number, first.total) == (1, 2, Decimal("68.00"))
    assert place.store.files.read(first.sha256) == pdf
    assert work_record(place.store, place.said, job, now=at(26, 13)).invoices == (first, second)


def test_without_a_price_offered_only_hours_can_be_charged(place, job):
    with pytest.raises(BadInput, match="no price was offered"):
        charging.issue_invoice(place.store, place.said, job, by="ambra", by_hours=False, now=at(26, 10))
    with pytest.raises(BadInput, match="nothing to charge"):
        charging.issue_invoice(place.store, place.said, job, by="ambra", by_hours=True, now=at(26, 10))


def test_a_customers_certificate_spares_the_tax_to_its_last_day(place):
    billings = read_billing(place.said.text, "shop.toml")
    assert billings.of("the  old mill").spared_until is not None
    assert billings.of("somebody").spared_until is None
    with pytest.raises(BadInput, match="there is no such key"):
        read_billing("[billing]\nround = 1\n", "shop.toml")


def test_a_record_is_the_same_told_late_as_told_at_once(place, job):
    late = at(27, 12)
    for kind, moment in (("start", at(26, 8)), ("stop", at(26, 9, 30))):
        clock.tell(place.store, place.said.shop, Said(kind, "ines", job=job, at=moment), now=late)
    once = work_record(place.store, place.said, job, now=late + timedelta(hours=1))
    assert once.statement.labour == Decimal("102.00")


@given(agreed=st.integers(1, 400), hours=st.integers(1, 9))
@settings(max_examples=8, deadline=None)
def test_work_by_the_hour_comes_to_no_more_than_was_agreed(agreed: int, hours: int) -> None:
    said = StatementSaid(
        currency="EUR", zone=VIENNA, date=at(26, 0).date(), rates={"a": Fraction(40)}, windows=(),
        rounding=Rounding(Fraction(0), up=True, by_day=False, minimum_labour=Fraction(0)),
        tax=Tax(Fraction(1, 5), on_all=False, by_line=False, half_even=False), spared_until=None,
        entries=(Entry("1", "labour", "a", at(26, 8), at(26, 8 + hours), None),), travel=(),
        goods=(Goods("steel", Fraction(50), Fraction(0), taxable=True),),
    )  # fmt: skip
    plain, capped = statement(said), no_more_than(said, Decimal(agreed))
    assert capped.total - capped.tax == min(plain.total - plain.tax, Decimal(agreed))
    assert sum(line.amount for line in capped.lines) == capped.total - capped.tax
    assert capped.tax == plain.tax
    assert len(capped.lines) == len(plain.lines) + (plain.total - plain.tax > agreed)


def test_what_was_agreed_by_the_hour_caps_the_invoice_and_is_no_price(place, job):
    tell(place, "start", "ines", at(26, 8), job)
    tell(place, "stop", "ines", at(26, 11))
    with place.store.writing() as session:
        one = jobs.job(session, job)
        ledger.write_down(session, job_id=one.id, kind="promised", who="ambra", happened=at(25, 8), told=at(25, 8),
                          body={"most": "150.00", "price": "150.00"})  # fmt: skip
    with pytest.raises(BadInput, match="taken by the hour"):
        charging.issue_invoice(place.store, place.said, job, by="ambra", by_hours=False, now=at(26, 12))
    issued, _ = charging.issue_invoice(place.store, place.said, job, by="ambra", by_hours=True, now=at(26, 12))
    assert issued.total == Decimal("150.00")
    assert "no more than 150.00 EUR was agreed" in issued.made_of
