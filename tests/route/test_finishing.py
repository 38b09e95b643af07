"""What has to be left for a treatment.

Sources: geometry. Plating of t on both ends of a diameter adds 2 t. On a 60 degree thread each flank moves square to
itself by t, which moves it along the diameter by t / sin 30 = 2 t; both flanks, 4 t (also the rule in every plating
handbook, from memory).
"""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import assume, given, settings
from hypothesis.strategies import floats, sampled_from

from steadyrest.measure.limits import own_limits
from steadyrest.route.best import best_routes
from steadyrest.route.finishing import ON_DIAMETER, ON_PITCH_60_DEG, before, case_to_order, plating_limits
from steadyrest.shop.finish import finishes
from steadyrest.shop.floor import Shop, Vendor
from steadyrest.shop.work import Route
from steadyrest.wording.say import say
from tests.stations.parts import demo_shop, lift_shaft, round_feature, turned


def vendor(way: str) -> Vendor:
    return next(vendor for vendor in demo_shop().vendors if way in vendor.does)


def routes(*wanted: str, metal: str = "42CrMo4", shop: Shop | None = None) -> tuple[Route, ...]:
    floor = shop or demo_shop()
    return best_routes(lift_shaft(), material=floor.material(metal), quantity=2, shop=floor, finishes=finishes(wanted))


def test_a_diameter_moves_by_twice_the_plating_and_a_60_degree_pitch_diameter_by_four_times() -> None:
    assert ON_DIAMETER == 2.0
    assert pytest.approx(2.0 / math.sin(math.radians(30.0))) == ON_PITCH_60_DEG


@settings(deadline=None, max_examples=60)
@given(
    low=floats(5, 100), width=floats(0.005, 0.5), thin=floats(0.001, 0.05), more=floats(0, 0.02),
    times=sampled_from([2.0, 4.0]), side=sampled_from(["outside", "inside"]), share=floats(0, 1), thick=floats(0, 1),
)  # fmt: skip
def test_any_size_within_the_limits_before_and_any_plating_ends_within_those_after(
    low: float, width: float, thin: float, more: float, times: float, side, share: float, thick: float
) -> None:
    before_low, before_high = plating_limits(
        low, low + width, thin_mm=thin, thick_mm=thin + more, times=times, side=side
    )
    assume(before_low <= before_high)
    size = before_low + share * (before_high - before_low)
    moved = times * (thin + thick * more)
    after = size + moved if side == "outside" else size - moved
    assert low - 1e-9 <= after <= low + width + 1e-9


@settings(deadline=None, max_examples=60)
@given(low=floats(5, 100), width=floats(0.01, 0.5), t=floats(0.001, 0.05))
def test_even_plating_only_shifts_the_limits(low: float, width: float, t: float) -> None:
    found = plating_limits(low, low + width, thin_mm=t, thick_mm=t, times=2.0, side="outside")
    assert found == pytest.approx((low - 2 * t, low + width - 2 * t))


def test_limits_narrower_than_the_plating_scatters_are_refused_with_both_numbers() -> None:
    fine = turned([(30.0, 60.0, (29.995, 30.0)), (40.0, 60.0, None)])
    (plated,) = finishes(["plated 12 um"])
    left = before(fine, plated, vendor("plated"))
    assert [no.features for no in left.cannot] == [("S1",)]
    assert "0.005 mm" in say(left.cannot[0].reasons[0])


def test_a_bore_is_made_larger_and_a_shaft_smaller_before_plating() -> None:
    part = replace(
        turned([(40.0, 50.0, (39.95, 40.0))]),
        features=(
            round_feature("S1", "shaft", 40.0, (0.0, 50.0), (39.95, 40.0)),
            round_feature("B1", "bore", 20.0, (0.0, 50.0), (20.0, 20.05)),
        ),
    )
    left = before(part, finishes(["plated 8 um"])[0], vendor("plated"))
    shaft, bore = (own_limits(feature.sizes[0].nominal) for feature in left.part.features)
    assert shaft is not None
    assert bore is not None
    # 8 um with a quarter either way: 6 to 10 um on a surface, 12 to 20 um on the diameter.
    assert shaft == pytest.approx((39.95 - 0.012, 40.0 - 0.020))
    assert bore == pytest.approx((20.0 + 0.020, 20.05 + 0.012))


def test_a_ground_seat_is_turned_oversize_to_limits_that_a_lathe_keeps() -> None:
    left = before(lift_shaft(), finishes(["ground S2"])[0], vendor("ground"))
    low, high = own_limits(left.part.feature("S2").sizes[0].nominal) or (0.0, 0.0)
    assert low == pytest.approx(36.5305 + 0.3)
    assert high - low == pytest.approx(0.05)
    assert own_limits(left.part.feature("S5").sizes[0].nominal) == (36.5145, 36.5305)


def test_a_case_is_ordered_deeper_by_what_the_wheel_takes_off() -> None:
    both = finishes(["case hardened 0.8 mm 60 HRC", "ground S2"])
    why = case_to_order(both, vendor("ground"))
    assert why is not None
    assert dict(why.given)["ask_mm"] == pytest.approx(0.8 + 0.3 / 2)
    assert case_to_order(both[:1], None) is None


def test_the_order_is_rough_heat_finish_harden_grind_plate_and_measured_before_and_after() -> None:
    best = routes("plated 8 um", "ground S2 S5", "hardened 54 HRC", "stress relieved")[0]
    assert [step.id for step in best.steps] == [
        "prepare", "saw", "rough turn-1", "rough turn-2", "stress relieved", "turn-1", "turn-2", "mill", "deburr",
        "inspect before", "hardened", "ground", "plated", "inspect", "deliver",
    ]  # fmt: skip
    assert not best.cannot


def test_roughing_and_finishing_cut_as_long_as_one_visit_but_are_set_up_twice() -> None:
    plain = {step.id: step for step in routes()[0].steps}
    twice = {step.id: step for step in routes("stress relieved")[0].steps}
    for name in ("turn-1", "turn-2"):
        whole, rough, finish = plain[name], twice[f"rough {name}"], twice[name]
        assert rough.split[0].value + finish.split[0].value == pytest.approx(whole.split[0].value)
        assert rough.phases[0] == finish.phases[0] == whole.phases[0]
        assert not rough.makes
        assert not rough.hold_points
        assert finish.makes == whole.makes


def test_what_is_asked_for_and_nobody_does_is_a_no_with_the_way_out() -> None:
    best = routes("hardened 62 HRC", metal="C45")[0]
    (no,) = best.cannot
    assert no.station == "outside"
    assert any("C45 reaches 57 HRC" in say(reason) for reason in no.reasons)
    assert no.nearest is not None
    nobody = replace(demo_shop(), vendors=())
    (no,) = routes("plated 8 um", shop=nobody)[0].cannot
    assert any(reason.key == "outside.nobody" for reason in no.reasons)


def test_money_for_work_sent_out_goes_into_the_route_s_cost() -> None:
    plain, sent = routes()[0], routes("hardened 54 HRC")[0]
    assert plain.cost is not None
    assert sent.cost is not None
    cash = float(sum(step.cash for step in sent.steps if step.station == "outside"))
    assert cash == pytest.approx(79.0)  # the furnace's smallest order, 55, and its freight, 24
    assert sent.cost.value > plain.cost.value + cash
