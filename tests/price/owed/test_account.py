"""The account: cents add up, heaps add up to what is owed, and the order in which it was told does not matter."""

from __future__ import annotations

import random
from datetime import date, timedelta
from decimal import Decimal

from hypothesis import given, settings
from hypothesis import strategies as st

from steadyrest.price.owed.account import LESSENS, Charge, Move, account
from steadyrest.price.owed.ageing import HEAPS, ageing, heap, late
from steadyrest.price.owed.loss import expected_loss
from steadyrest.tables.owed_loss import lost_shares
from tests.oracles import plain_account

DAY = date(2026, 11, 30)
JOBS = (101, 102, 103)


def money(luck):
    return Decimal(luck.randint(1, 500_000)).scaleb(-2)


def day(luck):
    return DAY - timedelta(days=luck.randint(0, 200))


def book(luck):
    """Invoices of one customer over three jobs, and money of every kind towards them, their jobs, or nothing."""
    charges, moves = [], []
    for number in range(1, luck.randint(1, 5) + 1):
        issued = day(luck)
        due = issued + timedelta(days=luck.choice((0, 14, 30)))
        charges.append(Charge(number, luck.choice(JOBS), issued, due, money(luck)))
    for id_ in range(1, luck.randint(0, 9) + 1):
        kind = luck.choice((*LESSENS, "given back", "deposit asked"))
        aim = (None, luck.choice(JOBS)) if kind == "deposit asked" or luck.random() < 0.5 else (None, None)
        if kind in LESSENS and (kind != "received" or luck.random() < 0.5):
            aim = (luck.choice(charges).number, None)
        moves.append(Move(id_, kind, day(luck), money(luck), *aim))
    return charges, moves


@settings(max_examples=60)
@given(st.integers(0, 2**32))
def test_the_account_adds_up_to_the_cent_in_whatever_order_it_is_told(seed):
    luck = random.Random(seed)
    charges, moves = book(luck)
    made = account(charges, moves)
    open_by, held = plain_account.reckon(
        [(one.number, one.job, int(one.total * 100)) for one in charges],
        [(one.kind, int(one.amount * 100), one.invoice, one.job) for one in moves],
    )
    assert {one.charge.number: one.open * 100 for one in made.invoices} == open_by
    assert made.all_held * 100 == held
    # What was charged is what came and was taken off, what is open still, less what is held and was given back.
    came = sum(one.amount for one in moves if one.kind in LESSENS and one.kind != "set off")
    back = sum(one.amount for one in moves if one.kind == "given back")
    assert sum(one.total for one in charges) + back - came == made.owed - made.all_held
    assert all(one.open >= 0 and one.over >= 0 and (one.settled is None) == (one.open > 0) for one in made.invoices)
    shuffled, others = [*moves], [*charges]
    luck.shuffle(shuffled)
    luck.shuffle(others)
    assert account(others, shuffled) == made


@settings(max_examples=25)
@given(st.integers(0, 2**32), st.integers(-30, 400))
def test_the_heaps_add_up_to_what_is_owed_on_any_day(seed, days):
    made, on = account(*book(random.Random(seed))), DAY + timedelta(days=days)
    heaps = ageing(made.invoices, on)
    assert tuple(heaps) == HEAPS
    assert sum(heaps.values()) == made.owed
    assert sum((one.open for one in late(made.invoices, on)), Decimal(0)) == made.owed - heaps["not due"]
    losses = expected_loss(made.invoices, on)
    assert [one.open for one in losses] == list(heaps.values())
    assert all(0 <= one.expected <= one.open and 0 <= one.share.value <= 1 for one in losses)


def test_an_invoice_is_in_its_heap_by_whole_days_past_its_due_day():
    named = [heap(DAY - timedelta(days=late_days), DAY) for late_days in (-5, 0, 1, 30, 31, 60, 61, 90, 91)]
    assert named == [
        "not due", "not due", "1 to 30 days", "1 to 30 days", "31 to 60 days", "31 to 60 days", "61 to 90 days",
        "61 to 90 days", "over 90 days",
    ]  # fmt: skip


def test_a_deposit_serves_its_own_job_alone_and_counts_from_the_invoices_day():
    charges = [Charge(n, job, DAY, DAY, Decimal("100.00")) for n, job in ((1, 101), (2, 102))]
    made = account(charges, [Move(1, "received", DAY - timedelta(days=9), Decimal("130.00"), job=102)])
    first, second = made.invoices
    assert (first.open, second.open, second.settled) == (Decimal("100.00"), 0, DAY)
    assert (made.owed, made.held, made.all_held) == (Decimal("100.00"), 0, Decimal("30.00"))


def test_a_shop_without_a_past_begins_at_the_table_and_its_own_losses_raise_its_heap_alone():
    open_one = Charge(1, 101, DAY, DAY, Decimal("1000.00"))
    begin = expected_loss(account([open_one], []).invoices, DAY)
    assert [one.share.value for one in begin] == [one.share for one in lost_shares().values()]
    # 20 invoices of weight at 0.01, and one of its own that was paid on time: (20 * 0.01 + 0) / 21.
    paid = Charge(2, 102, DAY, DAY, Decimal("50.00"))
    after = expected_loss(account([open_one, paid], [Move(1, "received", DAY, paid.total, invoice=2)]).invoices, DAY)
    assert after[0].share.value == 0.2 / 21
    assert after[1:] == begin[1:]
    # Written off after 100 days: it passed through every heap. Over 90: (5 * 0.5 + 1) / 6.
    old = Charge(2, 102, DAY - timedelta(days=100), DAY - timedelta(days=100), Decimal("50.00"))
    lost = expected_loss(account([open_one, old], [Move(1, "written off", DAY, old.total, invoice=2)]).invoices, DAY)
    assert lost[4].share.value == 3.5 / 6
    assert lost[0].expected == Decimal("57.14")  # 1000 * (0.2 + 1) / 21
