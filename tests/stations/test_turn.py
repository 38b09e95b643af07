"""Turning: what more power, a stiffer hold or a finer wish must do, and must not."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis.strategies import floats, sampled_from

from steadyrest.shop.floor import LatheLimits, Machine, PowerCurve
from steadyrest.shop.part import Part
from steadyrest.shop.work import Blank
from steadyrest.stations.answer import Answer, Ask, State
from steadyrest.stations.turn.answering import answer
from steadyrest.stations.turn.beam import Beam
from steadyrest.stock.blank import need
from tests.stations.parts import bush, demo_shop, disc, lift_shaft, long_shaft, pin, spindle, turned


def lathe(**limits: object) -> Machine:
    machine = demo_shop().machine("lathe")
    assert isinstance(machine.limits, LatheLimits)
    return replace(machine, limits=replace(machine.limits, **limits))


def ask(part: Part, raw: float, machine: Machine, *, quantity: int = 1, metal: str = "C45") -> Answer:
    shop = demo_shop()
    assert part.profile is not None
    material = shop.material(metal)
    wants = need(part.profile, shop.habits, as_stock=raw <= part.profile.largest_mm + 0.05)
    mass = math.pi / 4 * raw**2 * wants.length_mm * 1e-9 * material.density_kg_m3
    blank = Blank("round", (raw,), wants.length_mm, mass, metal, ())
    state = State(blank, "bright drawn", wants.length_mm, mass, sawn=True)
    return answer(Ask(part, tuple(f.id for f in part.features), state, material, quantity, shop, machine))


def cut_s(got: Answer) -> float:
    return sum(step.split[0].value for step in got.steps)


@settings(deadline=None, max_examples=25)
@given(factor=floats(1, 10), make=sampled_from([lift_shaft, disc, bush]))
def test_more_power_never_cuts_slower(factor: float, make) -> None:
    part = make()
    assert part.profile is not None
    raw = part.profile.largest_mm + 5
    curve = lathe().limits.power  # type: ignore[union-attr]
    strong = lathe(power=PowerCurve(tuple((rpm, watts * factor) for rpm, watts in curve.points)))
    assert cut_s(ask(part, raw, strong)) <= cut_s(ask(part, raw, lathe())) + 1e-6


@settings(deadline=None, max_examples=25)
@given(raw=floats(46, 80), more=floats(1, 40))
def test_a_thicker_blank_never_takes_less_cutting(raw: float, more: float) -> None:
    assert cut_s(ask(lift_shaft(), raw + more, lathe())) >= cut_s(ask(lift_shaft(), raw, lathe())) - 1e-6


def test_each_machine_limit_is_named_with_the_number_it_is_missed_by() -> None:
    got = ask(long_shaft(), 50.0, lathe(between_centres_mm=200.0, max_load_kg=2.0, spindle_bore_mm=20.0))
    assert not got.steps
    reasons = {reason.key: dict(reason.given) for no in got.undone for reason in no.reasons}
    assert {"turn.between_centres", "turn.load"} <= set(reasons)
    over = reasons["turn.between_centres"]
    assert over["over_mm"] == pytest.approx(float(str(over["has_mm"])) - 200.0)


def test_slender_work_gets_a_centre() -> None:
    got = ask(spindle(), 22.0, lathe())
    assert any(step.holding.key == "turn.hold_centre" for step in got.steps)
    assert any(caution.key == "caution.centre" for step in got.steps for caution in step.cautions)


def test_a_bore_is_drilled_with_the_largest_drill_that_leaves_something_and_bored() -> None:
    got = ask(bush(), 45.0, lathe())
    tools = {tool for step in got.steps for tool in step.tools}
    assert {"T6 drill", "T7 boring"} <= tools
    assert "B1" in got.made


def test_a_bore_deeper_than_every_drill_is_refused_with_the_depths() -> None:
    deep = turned([(40.0, 180.0, None), (50.0, 60.0, None)], bores=((12.0, 0.0, 240.0),))
    got = ask(deep, 55.0, lathe())
    no = next(no for no in got.undone if "B1" in no.features)
    assert any(reason.key == "turn.drill_short" for reason in no.reasons)


def test_a_bore_closed_at_both_ends_is_refused() -> None:
    blind = turned([(40.0, 100.0, None), (50.0, 60.0, None)], bores=((20.0, 30.0, 60.0),))
    got = ask(blind, 55.0, lathe())
    assert any("B1" in no.features and no.reasons[0].key == "turn.bore_closed" for no in got.undone)


def test_limits_narrower_than_the_machine_repeats_are_refused_and_near_them_held() -> None:
    for width, want in ((0.010, "refused"), (0.016, "held"), (0.050, "plain")):
        part = turned([(30.0, 60.0, (29.98, 29.98 + width)), (40.0, 60.0, None)])
        got = ask(part, 45.0, lathe(repeat_mm=0.008))
        held = any(point.feature == "S1" for step in got.steps for point in step.hold_points)
        refused = any("S1" in no.features for no in got.undone)
        assert ("refused" if refused else "held" if held else "plain") == want


def test_work_that_must_not_spring_is_cut_finer_or_refused() -> None:
    def steps(width: float) -> list[tuple[float, float, tuple[float, float] | None]]:
        return [(12.0, 100.0, (11.95, 11.95 + width)), (20.0, 60.0, None)]

    loose, tight = ask(turned(steps(0.3)), 25.0, lathe(repeat_mm=0.001)), ask(
        turned(steps(0.004)), 25.0, lathe(repeat_mm=0.001)
    )  # fmt: skip
    assert "S1" in loose.made
    assert "S1" not in tight.made or cut_s(tight) > cut_s(loose)


def test_roughing_stringy_steel_alone_needs_proof() -> None:
    steel = ask(lift_shaft(), 50.0, lathe(), quantity=5)
    assert all(not step.unattended for step in steel.steps)
    assert any(why.key == "alone.stringy" for step in steel.steps for why in step.unattended_why)


def test_a_hand_lathe_never_runs_alone() -> None:
    got = ask(pin(), 22.0, lathe(controlled=False), quantity=5, metal="11SMn30")
    assert all(any(why.key == "alone.manual" for why in step.unattended_why) for step in got.steps)


def test_free_cutting_steel_runs_alone_after_the_first_part_only() -> None:
    long_run = turned([(30.0, 300.0, None), (60.0, 60.0, None)])
    got = ask(long_run, 90.0, lathe(), quantity=4, metal="11SMn30")
    for step in got.steps:
        assert step.phases[0].who
        assert step.phases[1].name == "first part"
        assert step.phases[1].who


def test_a_short_part_is_parted_off_and_faced_in_soft_jaws() -> None:
    got = ask(pin(), 25.0, lathe())
    assert any("part-off" in tool for tool in got.steps[0].tools)
    assert {"S1", "F1", "F2"} == set(got.made)


@settings(deadline=None, max_examples=50)
@given(length=floats(20, 400), at=floats(0, 1), d=floats(5, 80))
def test_a_centre_never_makes_work_springier(length: float, at: float, d: float) -> None:
    steps = ((length / 2, d), (length / 2, d * 0.8))
    free, held = Beam(steps, 210e3, centre=False), Beam(steps, 210e3, centre=True)
    assert held.spring_mm_n(at * length) <= free.spring_mm_n(at * length) + 1e-15
