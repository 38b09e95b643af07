"""The price: money adds up to the cent, and each circumstance moves it the right way."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from steadyrest.price.cash import cash_out
from steadyrest.price.price import Circumstances, Sold, offer_lines, price
from steadyrest.promise.answer import JobDraws
from steadyrest.shop.figure import because
from steadyrest.shop.floor import Material, Piece, Terms
from steadyrest.shop.money import Money
from steadyrest.shop.work import Purchase, Route
from steadyrest.wording.say import Reader, say
from tests.promise.sample_shop import HOUR, TERMS, route, shop

PIECE = Piece("R7", "round", (50.0,), 1000.0, "c45", "bright drawn", "rack 2", "H1", Decimal("40.00"))


def draws(hours: float = 4.0, *, spread: float = 0.25, late: float = 0.0, n: int = 2000) -> JobDraws:
    z = np.random.default_rng(1).permutation((np.arange(n) + 0.5) / n)
    from scipy.special import ndtri

    took = hours * HOUR * np.exp(spread * ndtri(z))
    person, machine = np.zeros((n, 3)), np.zeros((n, 4))
    person[:, 0], machine[:, 1] = took, took / 2
    return JobDraws(took, person, machine, np.full(n, late))


def priced(
    the_draws: JobDraws | None = None, *, the_route: Route | None = None, quantity: int = 1, terms=TERMS, **more
):
    the_shop = replace(shop(), terms=terms, pieces=(PIECE,))
    return price(the_route or route(), the_draws or draws(), shop=the_shop, quantity=quantity, **more)


def total(lines) -> Decimal:
    return sum((line.amount.amount for line in lines), Decimal(0))


def test_cost_is_cash_and_hours_at_what_they_cost_the_shop() -> None:
    # By hand: 4 h of Ada at 40.00 and 2 h of the lathe at 12.00 make 184.00 in the middle; the blank is 268 mm of a
    # bar of 1000 mm for 40.00, 10.72; tools 4.20 and 1.10.
    got = priced()
    assert got.cost_p50.value == pytest.approx(184.00 + 10.72 + 5.30, abs=0.05)
    assert total(got.cash) == Decimal("16.02")
    assert got.cost_p10.value < got.cost_p50.value < got.cost_p90.value
    assert got.cost_p90.value - 16.02 == pytest.approx(184.00 * np.exp(0.25 * 1.28155), rel=0.002)


def test_the_offer_is_the_sum_of_its_lines_by_hand() -> None:
    # 4 h mean 4.127 h at 80.00; lathe 2.063 h at 12.00 and a quarter; cash and a quarter; nobody else offers.
    got = priced(circumstances=Circumstances(rivals=0))
    mean = 4 * np.exp(0.25**2 / 2)
    by_hand = mean * 80 + mean / 2 * 12 * 1.25 + 16.02 * 1.25
    assert float(got.offer.amount) == pytest.approx(by_hand, abs=0.05)
    assert got.won_ratio == 1.0


money = st.floats(0, 1e5, allow_nan=False)


@settings(deadline=None, max_examples=60)
@given(
    labour=money, machines=money, cash=st.integers(0, 10**7), share=st.floats(0, 1), rush=st.booleans(),
    ratio=st.floats(1, 2), least=st.integers(0, 10**7), walk=st.integers(0, 10**7), margin=st.floats(0, 2),
)  # fmt: skip
def test_lines_add_up_to_the_cent_and_never_below_the_smallest_charge_or_the_walk_away(
    labour, machines, cash, share, rush, ratio, least, walk, margin
) -> None:
    terms = Terms(Decimal(least) / 100, margin, 1.3, 1.5, 0.9, 14)
    walk_away = Money(Decimal(walk) / 100, "EUR")
    sold = Sold(labour, machines, 3600.0, Money(Decimal(cash) / 100, "EUR"))
    lines = offer_lines(
        sold, shop=replace(shop(), terms=terms), under=Circumstances(rush, share), ratio=ratio, walk_away=walk_away
    )
    assert all(line.amount == line.amount.rounded() and line.amount.amount > 0 for line in lines)
    assert total(lines) >= max(terms.minimum_charge, walk_away.amount)


@settings(deadline=None, max_examples=12)
@given(hours=st.floats(0.01, 200), spread=st.floats(0, 0.6), late=st.floats(-50, 500), quantity=st.integers(1, 50))
def test_the_offer_is_its_lines_and_not_below_the_walk_away_and_breaks_agree(hours, spread, late, quantity) -> None:
    got = priced(
        draws(hours, spread=spread, late=late, n=200),
        the_route=route(quantity=quantity),
        quantity=quantity,
        route_for=lambda q: route(quantity=q),
    )
    assert got.offer.amount == total(got.lines)
    assert got.offer.amount >= got.walk_away.amount >= total(got.cash)
    assert [b.quantity for b in got.breaks] == sorted({1, 2, 5, 10, quantity})
    assert next(b for b in got.breaks if b.quantity == quantity).total == got.offer


def test_more_parts_cost_more_in_all_and_less_each_and_setting_up_matters_less() -> None:
    got = priced(route_for=lambda q: route(quantity=q))
    totals, eaches = [b.total.amount for b in got.breaks], [b.each.amount for b in got.breaks]
    shares = [b.set_up_share for b in got.breaks]
    assert totals == sorted(totals)
    assert eaches == sorted(eaches, reverse=True)
    assert shares == sorted(shares, reverse=True)
    # Of the sample route 1.85 h do not grow with the quantity and 1.5 h do... plus 0.5 h: 2.35 of 3.85 h at one.
    fixed = 0.1 + 0.5 + 0.6 + 0.4 + 0.75
    assert shares[0] == pytest.approx(fixed / (fixed + 0.1 + 0.7 + 0.3 + 0.4), abs=1e-9)


def test_rush_after_hours_rivals_and_lateness_each_raise_the_right_figure() -> None:
    plain = priced(circumstances=Circumstances())
    assert priced(circumstances=Circumstances(rush=True)).offer.amount > plain.offer.amount
    assert priced(circumstances=Circumstances(after_hours=0.5)).offer.amount > plain.offer.amount
    assert priced(circumstances=Circumstances(rivals=3)).offer.amount > plain.offer.amount
    hurt = priced(draws(late=250.0))
    assert hurt.walk_away.amount - plain.walk_away.amount == Decimal("250.00")
    # An hour is dear once: rush and night together cost the higher factor, not both.
    both = priced(circumstances=Circumstances(rush=True, after_hours=1.0)).offer.amount
    assert both == priced(circumstances=Circumstances(rush=True)).offer.amount


def test_bought_material_costs_what_the_purchases_say() -> None:
    two = (
        Purchase(because("price.bought"), "sallow", Decimal("31.50"), 1000.0, 15.4),
        Purchase(because("price.bought"), "sallow", Decimal("10.005"), 300.0, 4.6),
    )
    lines = cash_out(replace(route(), piece=None, buy=two), shop=shop(), quantity=1)
    assert total(lines) == Decimal("31.50") + Decimal("10.01") + Decimal("5.30")


def test_a_rest_too_short_to_keep_is_paid_for_and_one_worth_keeping_is_not() -> None:
    the_shop = replace(shop(), pieces=(PIECE,))
    kept = cash_out(replace(route(), rest_mm=700.0), shop=the_shop, quantity=1)
    lost = cash_out(replace(route(), rest_mm=100.0), shop=the_shop, quantity=1)
    assert kept[0].amount.amount == Decimal("12.00")
    assert lost[0].amount.amount == Decimal("40.00")


def test_rack_material_without_a_cost_is_paid_by_weight() -> None:
    steel = Material("c45", "C45", (), 2, 7850.0, 1700.0, 0.25, 200.0, 650.0, 210000.0, 1.1e-5, (20, 30), (150, 250),
                     Decimal("2.10"), False, True, ())  # fmt: skip
    lines = cash_out(route(), shop=replace(shop(), materials=(steel,)), quantity=2)
    assert lines[0].amount.amount == Decimal("17.22")  # 2 x 4.1 kg at 2.10


def test_every_reason_of_a_price_has_its_sentence() -> None:
    got = priced(
        draws(0.05, late=30.0), terms=replace(TERMS, minimum_charge=Decimal("300")),
        route_for=lambda q: route(quantity=q),
        circumstances=Circumstances(rush=True, after_hours=0.3, rivals=2),
    )  # fmt: skip
    reasons = [line.what for line in (*got.lines, *got.cash)]
    reasons += [*got.cost_p10.why, *got.cost_p50.why, *got.cost_p90.why, *got.hours.why, *got.walk_away_why]
    reasons += [reason for each in got.breaks for reason in each.why]
    for reason in reasons:
        assert "{" not in say(reason, Reader(currency="EUR"))


def test_no_parts_are_no_price() -> None:
    with pytest.raises(ValueError, match="quantity"):
        priced(quantity=0)
