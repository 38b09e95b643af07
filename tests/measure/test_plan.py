"""What to measure, with what, and which readings decide."""

from __future__ import annotations

from dataclasses import replace

from hypothesis import given, settings

from steadyrest.measure.decision import accept_mm, decide
from steadyrest.measure.gauges import best_gauge, fitting_gauges
from steadyrest.measure.plan import measuring_plan
from steadyrest.shop.part import Part
from steadyrest.wording.say import say
from tests.stations.parts import demo_shop, lift_shaft, parts, pin, turned


def test_a_bearing_seat_is_taken_with_a_micrometer_and_bounded_inside_its_limits() -> None:
    shop = demo_shop()
    plan = measuring_plan(lift_shaft(), shop, shop.material("C45"))
    seat = next(measure for measure in plan if measure.feature == "S2" and measure.size == "diameter_mm")
    assert seat.own_limits
    assert seat.gauge == "micrometer_50"
    assert seat.accept_mm is not None
    low, high = seat.accept_mm
    assert seat.low_mm < low < high < seat.high_mm
    assert decide(low, (seat.low_mm, seat.high_mm), seat.u_mm - 1e-9) == "proved"


def test_a_warm_seat_is_told_to_cool() -> None:
    shop = demo_shop()
    plan = measuring_plan(lift_shaft(), shop, shop.material("C45"))
    seat = next(measure for measure in plan if measure.feature == "S2" and measure.size == "diameter_mm")
    assert any(note.key == "measure.warm" for note in seat.notes)
    assert "too large" in say(seat.notes[0])


def test_an_open_length_is_taken_with_a_caliper() -> None:
    plan = measuring_plan(lift_shaft(), demo_shop())
    length = next(measure for measure in plan if measure.feature == "S4" and measure.size == "length_mm")
    assert not length.own_limits
    assert "caliper" in (length.gauge or "")


def test_limits_that_no_gauge_decides_say_so() -> None:
    shop = demo_shop()
    poor = replace(shop, gauges=tuple(gauge for gauge in shop.gauges if "caliper" in gauge.id))
    fine = next(m for m in measuring_plan(pin(), poor) if m.feature == "S1" and m.size == "diameter_mm")
    assert fine.accept_mm is None
    assert [why.key for why in fine.why[-2:]] == ["measure.too_coarse", "measure.buy_outside"]


def test_a_size_that_no_gauge_reaches_says_so() -> None:
    big = turned([(600.0, 50.0, None)])
    measure = next(m for m in measuring_plan(big, demo_shop()) if m.size == "diameter_mm")
    assert measure.gauge is None
    assert "measure.no_gauge" in [why.key for why in measure.why]


def test_the_finest_gauge_comes_first() -> None:
    gauges = fitting_gauges(demo_shop(), "outside", 36.5)
    assert gauges[0] == best_gauge(demo_shop(), "outside", 36.5)
    assert [g.u_mm for g in gauges] == sorted(g.u_mm for g in gauges)


@settings(deadline=None, max_examples=40)
@given(part=parts())
def test_bounds_lie_inside_the_limits_and_everything_can_be_said(part: Part) -> None:
    for measure in measuring_plan(part, demo_shop(), demo_shop().material("C45")):
        assert measure.low_mm <= measure.high_mm
        if measure.accept_mm:
            assert measure.low_mm <= measure.accept_mm[0] <= measure.accept_mm[1] <= measure.high_mm
        assert all(say(reason) for reason in (*measure.why, *measure.notes))


def test_a_bore_is_never_taken_with_gauge_blocks_and_a_keyway_may_be() -> None:
    shop = demo_shop()
    assert {gauge.id for gauge in fitting_gauges(shop, "inside", 10.0)} == {"caliper", "small_bore_gauge"}
    assert {gauge.id for gauge in fitting_gauges(shop, "slot", 10.0)} == {"gauge_blocks", "caliper"}


def test_where_a_gauge_leaves_too_little_of_the_limits_the_one_to_borrow_would_leave_enough() -> None:
    shop = demo_shop()
    poor = replace(shop, gauges=tuple(gauge for gauge in shop.gauges if "caliper" in gauge.id))
    fine = next(m for m in measuring_plan(pin(), poor) if m.feature == "S1" and m.size == "diameter_mm")
    borrow = fine.why[-1]
    assert borrow.key == "measure.buy_outside"
    u_mm = float(str(dict(borrow.given)["u"])) / 1000.0
    bounds = accept_mm((fine.low_mm, fine.high_mm), u_mm)
    assert bounds is not None
    assert bounds[1] - bounds[0] >= 0.4 * (fine.high_mm - fine.low_mm)
