"""Sawing and milling: what limits them; and the list of what never runs alone."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis.strategies import booleans, floats, sampled_from

from steadyrest.shop.floor import Machine, SawLimits
from steadyrest.shop.part import Part
from steadyrest.shop.work import Blank
from steadyrest.stations import alone, saw
from steadyrest.stations.answer import Answer, Ask, State
from steadyrest.stations.mill import answering as mill
from steadyrest.stations.mill.slots import Slot, slot
from steadyrest.stations.mill.spindles import Place
from steadyrest.tables.cutting import saw_rate
from steadyrest.tables.practice import rule, rules
from steadyrest.tables.rows import STANDINGS
from tests.stations.parts import cross_drilled, demo_shop, keyway, lift_shaft, turned


def sawn(diameter: float, *, metal: str = "C45", quantity: int = 1, bar: float = 3000.0, **limits: object) -> Answer:
    shop = demo_shop()
    machine = shop.machine("saw")
    machine = replace(machine, limits=replace(machine.limits, **limits))
    material = shop.material(metal)
    kg = math.pi / 4 * diameter**2 * 1e-9 * material.density_kg_m3
    blank = Blank("round", (diameter,), 200.0, kg * 200, metal, ())
    return saw.answer(Ask(lift_shaft(), (), State(blank, "", bar, kg * bar), material, quantity, shop, machine))


def cut_s(answer: Answer) -> float:
    return answer.steps[0].split[0].value


@settings(deadline=None, max_examples=40)
@given(small=floats(5, 150), more=floats(1, 50))
def test_a_larger_section_takes_longer_by_its_area(small: float, more: float) -> None:
    ratio = ((small + more) / small) ** 2
    by_area_s, really_s = cut_s(sawn(small, bar=900)) * ratio, cut_s(sawn(small + more, bar=900))
    assert by_area_s * (1 - 1e-9) <= really_s <= by_area_s * 1.14  # a thick section wants a slower band besides


@pytest.mark.parametrize("metal", ["C45", "42CrMo4", "1.4301"])
def test_the_rate_lies_in_the_printed_band(metal: str) -> None:
    rate = saw_rate(demo_shop().material(metal).group)
    cm2_min = math.pi / 4 * 5.0**2 / (cut_s(sawn(50, metal=metal)) / 60)
    assert cm2_min <= rate.area_cm2_min.high
    slow = sawn(50, metal=metal, min_band_m_min=5.0, max_band_m_min=rate.band_m_min.middle / 2)
    assert cut_s(slow) == pytest.approx(2 * math.pi / 4 * 25 / rate.area_cm2_min.low * 60, rel=1e-6)


@settings(deadline=None, max_examples=30)
@given(diameter=floats(10, 200))
def test_a_dry_saw_is_never_faster_and_says_no_sooner(diameter: float) -> None:
    wet, dry = sawn(diameter, bar=900), sawn(diameter, bar=900, dry=True)
    assert bool(wet.steps) == bool(dry.steps)
    assert cut_s(dry) >= cut_s(wet) - 1e-9


@pytest.mark.parametrize(
    ("diameter", "teeth", "key"), [(6.0, 60, "saw.teeth_few"), (80.0, 400, "saw.teeth_many"), (40.0, 120, "")]
)
def test_a_disc_has_at_least_three_teeth_in_the_cut_and_not_too_many(diameter: float, teeth: int, key: str) -> None:
    answer = sawn(diameter, bar=900, blade_mm=315.0, blade_teeth=teeth, min_band_m_min=8.0, max_band_m_min=60.0)
    assert {r.key for no in answer.undone for r in no.reasons} == ({key} if key else set())


def test_a_disc_cuts_squarer_than_a_band_and_a_cut_that_facing_does_not_clean_up_is_refused() -> None:
    disc = {"blade_mm": 315.0, "blade_teeth": 120, "min_band_m_min": 8.0, "max_band_m_min": 60.0}
    off = [sawn(60, bar=900, **more).steps[0].limits[3].value for more in ({}, disc)]
    assert off[1] < off[0]
    tall = sawn(400, bar=900, largest_round_mm=500.0, largest_width_mm=500.0, largest_height_mm=500.0, max_load_kg=9e9)
    assert {r.key for no in tall.undone for r in no.reasons} == {"saw.not_square"}


def test_bars_side_by_side_share_hands_but_not_sawing() -> None:
    shop = demo_shop()

    def lot(bundle: int) -> Answer:
        machine = shop.machine("saw")
        machine = replace(machine, limits=replace(machine.limits, bundle=bundle))
        blank = Blank("round", (30.0,), 100.0, 0.6, "C45", ())
        state = State(blank, "", 1500.0, 8.0, 10)
        return saw.answer(Ask(lift_shaft(), (), state, shop.material("C45"), 60, shop, machine))

    one, four = lot(1), lot(4)
    assert cut_s(four) == pytest.approx(cut_s(one))
    assert four.steps[0].split[2].value == pytest.approx(one.steps[0].split[2].value / 4)
    assert lot(100).steps[0].split[2].value == pytest.approx(one.steps[0].split[2].value / 6)  # six bars in all


def test_a_saw_names_every_limit_that_it_is_over() -> None:
    answer = sawn(300, bar=6000)
    keys = {reason.key for no in answer.undone for reason in no.reasons}
    assert {"saw.round", "saw.width", "saw.height", "saw.load"} <= keys
    assert not answer.steps


def test_a_band_too_fast_for_the_metal_is_refused() -> None:
    answer = sawn(50, metal="1.4301", min_band_m_min=200.0, max_band_m_min=400.0)
    assert any(reason.key == "saw.band_fast" for no in answer.undone for reason in no.reasons)


def test_a_saw_that_feeds_itself_may_saw_a_lot_alone_if_the_shop_lets_it() -> None:
    shop = demo_shop()
    machine = shop.machine("saw")
    assert isinstance(machine.limits, SawLimits)
    for feeds, lets, want in ((True, True, True), (True, False, False), (False, True, False)):
        other = replace(machine, may_run_alone=lets, limits=replace(machine.limits, feeds_itself=feeds))
        material = shop.material("C45")
        blank = Blank("round", (50.0,), 200.0, 3.0, "C45", ())
        answer = saw.answer(Ask(lift_shaft(), (), State(blank, "", 3000, 45), material, 5, shop, other))
        assert answer.steps[0].unattended is want


def milled(part: Part, **limits: object) -> Answer:
    shop = demo_shop()
    machine = shop.machine("mill")
    machine = replace(machine, limits=replace(machine.limits, **limits))
    blank = Blank("round", (50.0,), 263.0, 3.2, "C45", ())
    asked = tuple(f.id for f in part.features if f.kind in ("keyway", "flat") or f.id.startswith("H"))
    return mill.answer(Ask(part, asked, State(blank, "", 263, 3.2, 0, True), shop.material("C45"), 1, shop, machine))


def test_a_fitted_keyway_is_milled_with_a_smaller_tool_and_finished_along_its_walls() -> None:
    answer = milled(lift_shaft())
    assert answer.made == ("K1",)
    (step,) = answer.steps
    assert step.tools == ("T3 slot drill 8",)
    assert any(reason.key == "mill.walls" for figure in step.limits for reason in figure.why)
    assert step.hold_points[0].gauge == "gauge_blocks"


def test_a_deep_narrow_keyway_bends_the_tool_out_of_its_limits() -> None:
    shop = demo_shop()
    machine = shop.machine("mill")
    long_tools = tuple(
        replace(tool, length_mm=60.0, max_depth_mm=55.0, made_of="hss")
        for tool in machine.tools
        if tool.kind == "slot drill"
    )
    place = Place(replace(machine, tools=long_tools), machine.limits, shop.material("C45"))  # type: ignore[arg-type]
    found = slot(place, Slot(8.0, 40.0, 50.0, 0.01, exact=True))
    assert found.refused
    assert any(reason.key == "mill.tool_bends" for reason in found.refused)


def test_a_keyway_narrower_than_every_tool_is_refused_tool_by_tool() -> None:
    part = turned([(12.0, 60.0, None)], others=(keyway(4.0, 2.5, (10, 40), on="S1", around=12.0),))
    answer = milled(part)
    (no,) = answer.undone
    cutters = [t for t in demo_shop().machine("mill").tools if t.kind in ("slot drill", "end mill")]
    wide = [tool for tool in cutters if tool.diameter_mm > 4.0 - 2.0 * rule("slot_finish_mm")]
    assert sum(reason.key == "mill.tool_wide" for reason in no.reasons) == len(wide)
    assert no.nearest is not None


def test_cross_holes_and_flats_are_made() -> None:
    assert set(milled(cross_drilled()).made) == {"H1", "P1"}


@settings(deadline=None, max_examples=30)
@given(depth=floats(0.5, 7.9), more=floats(0.01, 6))
def test_a_deeper_slot_never_takes_less_time(depth: float, more: float) -> None:
    shop = demo_shop()
    machine: Machine = shop.machine("mill")
    place = Place(machine, machine.limits, shop.material("C45"))  # type: ignore[arg-type]
    one, two = (slot(place, Slot(12.0, d, 60.0, 0.2, exact=False)) for d in (depth, depth + more))
    assert one.refused or two.refused or two.cut_s >= one.cut_s - 1e-9


@settings(deadline=None, max_examples=60)
@given(
    way=sampled_from(["cut", "thermal", "hot sheet", "weld", "hand-loaded mould"]),
    metal=sampled_from(["C45", "11SMn30", "Ti-2"]),
    roughs=booleans(), proof=booleans(), controlled=booleans(), allowed=booleans(), vacuum=booleans(), oil=booleans(),
    left=floats(0, 2000),
)  # fmt: skip
def test_a_run_is_let_alone_only_if_nothing_of_the_list_applies(
    way: str,
    metal: str,
    roughs: bool,
    proof: bool,
    controlled: bool,
    allowed: bool,
    vacuum: bool,
    oil: bool,
    left: float,
) -> None:
    machine = replace(demo_shop().machine("lathe"), may_run_alone=allowed)
    material = demo_shop().material(metal)
    run = alone.Run(machine, material, way, roughs, proof, 900.0, left, controlled, vacuum, oil)
    fine = way == "cut" and controlled and allowed and not vacuum and not oil and left >= 900 and metal != "Ti-2"
    fine = fine and (proof or not roughs or not material.stringy)
    assert (not alone.bans(run)) == fine


def test_every_rule_of_the_trade_says_where_it_comes_from() -> None:
    assert all(found.standing in STANDINGS and found.note for found in rules().values())
    assert rule("taylor_carbide") == 0.25
