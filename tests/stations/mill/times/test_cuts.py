"""What a mill's cuts must do: more machine is never slower, more work never quicker, and each no names its limits."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis.strategies import floats, integers, sampled_from

from steadyrest.shop.floor import MillLimits, PowerCurve, Tool
from steadyrest.stations.mill import times
from steadyrest.stations.mill.spindles import Place
from steadyrest.stations.mill.taking import Layer, Take
from steadyrest.stations.mill.times.engagement import clearing, engaged, thin_chip, usual_depth
from tests.stations.parts import demo_shop


def tool(number: int, kind: str, diameter: float, **more: object) -> Tool:
    plain = Tool(
        number, kind, "rough", diameter, 4 * diameter + 10, "carbide", 2, 0.0, math.pi / 2, 3 * diameter, 0.0, 12_000.0,
        3600.0, 0.0, False,
    )  # fmt: skip
    return replace(plain, **more)  # type: ignore[arg-type]


DRAWER = (
    tool(1, "face mill", 50.0, teeth=5, max_depth_mm=5.0, length_mm=40.0),
    tool(2, "end mill", 16.0, teeth=4, length_mm=40.0),
    tool(3, "end mill", 8.0, teeth=3), tool(4, "centre drill", 4.0, made_of="hss"),
    tool(5, "drill", 8.5, made_of="hss", max_depth_mm=70.0, length_mm=80.0),
    tool(6, "drill", 9.8, made_of="hss", max_depth_mm=70.0, length_mm=80.0), tool(7, "reamer", 10.0, max_depth_mm=60.0),
    tool(8, "tap", 10.0, made_of="hss", pitch_mm=1.5), tool(9, "boring", 16.0, length_mm=50.0),
    tool(10, "chamfer mill", 10.0, max_depth_mm=3.0), tool(11, "ball mill", 6.0), tool(12, "probe", 4.0),
    tool(13, "thread mill", 7.0, pitch_mm=1.5, max_depth_mm=15.0),
)  # fmt: skip


def place(metal: str = "C45", tools: tuple[Tool, ...] = DRAWER, **limits: object) -> Place:
    machine = demo_shop().machine("mill")
    assert isinstance(machine.limits, MillLimits)
    strong = replace(machine.limits, power=PowerCurve(((0.0, 9e3), (1e4, 9e3))), max_torque_nm=60.0, max_rpm=8_000.0)
    given = replace(strong, **limits)  # type: ignore[arg-type]
    return Place(replace(machine, limits=given, tools=tools), given, demo_shop().material(metal))


def take(cutter: Tool, *, depth: float = 10.0, area: float = 3000.0, open_share: float = 0.0) -> Take:
    around = 4 * math.sqrt(area)
    layer = Layer(depth, area, around * (1 - open_share), open_share, 1, math.sqrt(area), 0.0, around, 4, 0)
    return Take(cutter, (layer,), area, area * depth, min(depth, cutter.length_mm))


@settings(deadline=None, max_examples=40)
@given(
    factor=floats(1, 8), depth=floats(1, 30), open_share=sampled_from([0.0, 0.6]),
    key=sampled_from(["max_torque_nm", "max_force_n", "vise_grip_n", "accel_mm_s2", "max_feed_mm_min"]),
)  # fmt: skip
def test_a_stronger_machine_never_roughs_slower(factor: float, depth: float, open_share: float, key: str) -> None:
    asked = take(DRAWER[1], depth=depth, open_share=open_share)
    limits = place().limits
    strong = place(**{key: getattr(limits, key) * factor})
    assert times.rough(strong, asked).cut_s <= times.rough(place(), asked).cut_s * (1 + 1e-9)


@settings(deadline=None, max_examples=40)
@given(depth=floats(1, 30), area=floats(600, 6000), more=floats(1.0, 3.0), open_share=sampled_from([0.0, 0.6]))
def test_more_to_clear_never_takes_less(depth: float, area: float, more: float, open_share: float) -> None:
    one = times.rough(place(), take(DRAWER[1], depth=depth, area=area, open_share=open_share))
    deeper = times.rough(place(), take(DRAWER[1], depth=depth * more, area=area, open_share=open_share))
    assert deeper.cut_s >= one.cut_s * (1 - 1e-9)


def test_what_bounds_a_roughing_cut_is_said_and_follows_the_machine() -> None:
    asked = take(DRAWER[1], depth=20.0)
    for limits, key in (
        ({"power": PowerCurve(((0.0, 300.0), (1e4, 300.0)))}, "mill.depth_power"),
        ({"max_torque_nm": 0.8}, "mill.depth_torque"),
        ({"max_force_n": 200.0}, "mill.depth_force"),
        ({"vise_grip_n": 900.0}, "mill.depth_grip"),
    ):
        cut = times.rough(place(**limits), asked)  # type: ignore[arg-type]
        assert cut.figures[0].why[0].key == key
    assert times.rough(place(), asked).figures[0].why[0].key == "milling.depth_usual"
    assert times.rough(place(), asked).spread > 0


def test_each_no_of_a_take_is_named() -> None:
    face, mill = DRAWER[0], DRAWER[1]
    assert {r.key for r in times.rough(place(), take(face)).refused} == {"milling.face_closed"}
    deep = replace(take(mill), reach_mm=500.0)
    assert "mill.tool_short" in {r.key for r in times.rough(place(), deep).refused}
    fast = times.rough(place(metal="X40CrMoV5-1", min_rpm=5_000.0), take(mill))
    assert {r.key for r in fast.refused} == {"mill.too_fast"}
    assert not fast.tools


@settings(deadline=None)
@given(share=floats(0.01, 1.0))
def test_practice_goes_deeper_the_less_of_the_cutter_is_engaged(share: float) -> None:
    assert usual_depth(share) >= usual_depth(min(share * 1.1, 1.0))
    assert thin_chip(share) >= thin_chip(min(share * 1.1, 1.0))


def test_a_way_opened_at_full_width_is_no_heavier_than_the_rings() -> None:
    run = clearing(place(max_torque_nm=3.0), DRAWER[1])
    full = engaged(place(max_torque_nm=3.0), DRAWER[1], 1.0)
    assert not hasattr(run, "key")
    assert not hasattr(full, "key")
    assert run.opening <= 1.0  # type: ignore[union-attr]
    assert run.depth.value >= full.depth.value - 1e-9  # type: ignore[union-attr]


@settings(deadline=None, max_examples=30)
@given(depth=floats(2, 60), more=floats(1, 30), through=sampled_from([True, False]))
def test_a_deeper_hole_is_never_quicker(depth: float, more: float, through: bool) -> None:
    def all_s(deep: float) -> float:
        got = times.hole(place(), diameter_mm=8.5, depth_mm=deep, limits_mm=0.4, through=through)
        return got.cut_s + got.travel_s if not got.refused else math.inf

    assert all_s(depth) <= all_s(depth + more) + 1e-9


def test_limits_choose_between_drill_reamer_mill_and_boring_head() -> None:
    def kinds(diameter: float, limits: float) -> list[str]:
        cut = times.hole(place(), diameter_mm=diameter, depth_mm=20.0, limits_mm=limits, through=True)
        return [one.kind for one, _, _ in cut.tools]

    assert kinds(8.5, 0.4) == ["centre drill", "drill"]
    assert kinds(10.0, 0.015) == ["centre drill", "drill", "reamer"]
    assert kinds(25.0, 0.1) == ["end mill"]
    assert kinds(25.0, 0.021)[-1] == "boring"
    fine = times.hole(place(), diameter_mm=25.0, depth_mm=20.0, limits_mm=0.004, through=True)
    assert {"milling.bore_fine", "milling.round_fine", "mill.hole_fine"} <= {r.key for r in fine.refused}


def test_a_blind_flat_bottom_is_not_drilled() -> None:
    cut = times.hole(place(), diameter_mm=20.0, depth_mm=8.0, limits_mm=0.4, through=False, flat_bottom=True)
    assert {one.kind for one, _, _ in cut.tools} <= {"end mill", "boring"}


def test_a_thread_is_drilled_then_tapped_or_milled_and_a_blind_one_needs_room() -> None:
    cut = times.hole(place(), diameter_mm=10.0, depth_mm=30.0, limits_mm=0.4, through=True, thread=(10.0, 1.5, 20.0))
    assert [one.number for one, _, _ in cut.tools][:2] == [4, 5]
    assert cut.tools[-1][0].kind in ("tap", "thread mill")
    tight = times.hole(
        place(tools=DRAWER[:-1]),
        diameter_mm=10.0,
        depth_mm=20.0,
        limits_mm=0.4,
        through=False,
        thread=(10.0, 1.5, 19.0),
    )
    assert "milling.tap_blind" in {r.key for r in tight.refused}
    none = times.hole(place(), diameter_mm=12.0, depth_mm=20.0, limits_mm=0.4, through=True, thread=(12.0, 1.75, 18.0))
    assert {"milling.no_tap", "milling.no_drill"} <= {r.key for r in none.refused}


@settings(deadline=None, max_examples=30)
@given(length=floats(20, 400), width=floats(10, 200), depth=floats(0.3, 8), more=floats(1, 2))
def test_a_larger_face_never_takes_less(length: float, width: float, depth: float, more: float) -> None:
    one = times.face(place(), length_mm=length, width_mm=width, depth_mm=depth)
    longer = times.face(place(), length_mm=max(length, width) * more, width_mm=min(length, width), depth_mm=depth)
    assert longer.cut_s >= one.cut_s - 1e-9


def test_a_wall_that_bends_the_tool_is_finished_slower_or_refused() -> None:
    asked = take(replace(DRAWER[2], length_mm=45.0), depth=15.0)
    loose, tight, none = (times.finish_walls(place(), asked, limits_mm=width) for width in (0.5, 0.03, 0.001))
    assert loose.cut_s < tight.cut_s or tight.refused
    assert {r.key for r in none.refused} == {"mill.tool_bends"}


@settings(deadline=None, max_examples=20)
@given(ra=floats(0.4, 6.3), finer=floats(1, 4))
def test_a_smoother_slope_takes_longer(ra: float, finer: float) -> None:
    def slope(wanted: float) -> times.Cut:
        return times.finish_sloped(place(), tool=DRAWER[10], area_mm2=900.0, height_mm=15.0, ra_um=wanted)

    assert slope(ra / finer).cut_s >= slope(ra).cut_s - 1e-9
    assert times.finish_sloped(place(), tool=DRAWER[1], area_mm2=9.0, height_mm=1.0, ra_um=ra).refused


@settings(deadline=None)
@given(count=integers(1, 5))
def test_cuts_together_add_up(count: int) -> None:
    one = times.chamfer(place(), edge_mm=100.0, width_mm=0.5)
    whole = times.together([one] * count)
    assert whole.cut_s == pytest.approx(count * one.cut_s)
    assert whole.travel_s == pytest.approx(count * one.travel_s)
    assert len(whole.tools) == 1
    refused = times.chamfer(place(), edge_mm=100.0, width_mm=9.0)
    assert times.together([one, refused]).refused == refused.refused


def test_probing_cuts_nothing_and_needs_a_probe() -> None:
    got = times.probe(place(), points=4)
    assert got.cut_s == 0
    assert got.travel_s == pytest.approx(4 * times.probe(place(), points=1).travel_s)
    assert times.probe(place(tools=DRAWER[:5]), points=1).refused


def test_a_tool_bends_over_what_stands_out_of_its_holder() -> None:
    """length_mm may count from the spindle's nose; then stick_out_mm says how much of it bends."""
    held = replace(DRAWER[2], length_mm=120.0, stick_out_mm=25.0)
    long = replace(DRAWER[2], length_mm=120.0)
    short = replace(DRAWER[2], length_mm=25.0)
    asked = replace(take(short, depth=6.0), reach_mm=6.0)
    times_s = [times.rough(place(), replace(asked, tool=one)).cut_s for one in (held, short, long)]
    assert times_s[0] == pytest.approx(times_s[1])
    assert times_s[2] > times_s[0]
