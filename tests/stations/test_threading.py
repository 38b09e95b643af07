"""Threads on the lathe: what is cut, how long it takes against a plain clock, and every limit that says no."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis.strategies import booleans, floats, integers, sampled_from

from steadyrest.measure.plan import measuring_plan
from steadyrest.shop.figure import Reason, because
from steadyrest.shop.floor import LatheLimits, Machine, Shop, Tool
from steadyrest.shop.part import Feature, Nominal, Part, Size, Stretch
from steadyrest.shop.work import Blank, Undone
from steadyrest.stations import edge
from steadyrest.stations.answer import Answer, Ask, State
from steadyrest.stations.turn import holding, threading
from steadyrest.stations.turn.answering import answer
from steadyrest.stations.turn.clamping import clamped
from steadyrest.stations.turn.passes import Setting
from steadyrest.stations.turn.threads import SCREW_HEIGHT, Thread
from steadyrest.stock.blank import need
from steadyrest.tables.practice import rule
from steadyrest.tables.thread_passes import thread_passes
from steadyrest.wording.say import say
from tests.oracles.thread_clock import Lathe, clocked, infeeds
from tests.stations.parts import demo_shop, size, turned


def thread(
    name: str, diameter: float, pitch: float, along: tuple[float, float], *, on: str, inside: bool = False,
    starts: int = 1, hand: str = "right", uncertainty: float = 0.0, named: bool = True,
) -> Feature:  # fmt: skip
    length = along[1] - along[0]
    wave = because("threads.wave", turns=float(round(length / pitch / starts)), hand=hand, pitch_mm=pitch, u_um=1.0)
    nominal = Nominal(diameter, name, 0.97, "thread", None, ()) if named else None
    sizes = (
        Size("diameter_mm", diameter, diameter, uncertainty, nominal),
        Size(
            "pitch_mm",
            pitch,
            pitch,
            uncertainty,
            Nominal(pitch, f"{pitch:g} mm", 0.97, "thread", None, ()) if named else None,
        ),
        size("length_mm", length),
    )
    middle = (0.0, 0.0, sum(along) / 2)
    return Feature("T1", "thread", sizes, (0, 0, 1), middle, along, inside=inside, on=on, why=(wave,))


def stud(relief_mm: float = 6.0, **given: object) -> Part:
    """M20 from the end, a relief, a collar."""
    one = thread("M20", 20.0, 2.5, (0.0, 40.0), on="S1", **given)  # type: ignore[arg-type]
    relief = [(16.4, relief_mm, None)] if relief_mm else []
    return turned([(20.0, 40.0, None), *relief, (30.0, 50.0, None)], others=(one,))


def nut(depth: float = 25.0, thread_to: float = 15.0, **given: object) -> Part:
    one = thread("M6", 6.0, 1.0, (0.0, thread_to), on="B1", inside=True, **given)  # type: ignore[arg-type]
    return turned([(40.0, 40.0, None), (50.0, 50.0, None)], bores=((5.0, 0.0, depth),), others=(one,))


def lathe(tools: tuple[Tool, ...] | None = None, **limits: object) -> Machine:
    machine = demo_shop().machine("lathe")
    assert isinstance(machine.limits, LatheLimits)
    return replace(machine, limits=replace(machine.limits, **limits), tools=machine.tools if tools is None else tools)


def with_limit(name: str, value: float) -> Machine:
    machine = lathe()
    return replace(machine, limits=replace(machine.limits, **{name: value}))


def with_tool(number: int, **given: float) -> tuple[Tool, ...]:
    return tuple(replace(t, **given) if t.number == number else t for t in lathe().tools)


def without(*kinds: str) -> tuple[Tool, ...]:
    return tuple(tool for tool in lathe().tools if tool.kind not in kinds)


def asked(part: Part, raw: float, machine: Machine, *, shop: Shop | None = None, metal: str = "C45") -> Answer:
    shop = shop or demo_shop()
    return answer(ask_of(part, raw, machine, shop, metal))


def ask_of(part: Part, raw: float, machine: Machine, shop: Shop, metal: str = "C45") -> Ask:
    assert part.profile is not None
    material = shop.material(metal)
    wants = need(part.profile, shop.habits, as_stock=raw <= part.profile.largest_mm + 0.05)
    mass = math.pi / 4 * raw**2 * wants.length_mm * 1e-9 * material.density_kg_m3
    blank = Blank("round", (raw,), wants.length_mm, mass, metal, ())
    state = State(blank, "bright drawn", wants.length_mm, mass, sawn=True)
    return Ask(part, tuple(f.id for f in part.features), state, material, 1, shop, machine)


def no(got: Answer) -> Undone:
    return next(no for no in got.undone if "T1" in no.features)


def keys(got: Answer) -> set[str]:
    return {reason.key for reason in no(got).reasons}


def given_of(reason: Reason) -> dict[str, float]:
    return {name: value for name, value in reason.given if isinstance(value, float)}


def setting(machine: Machine | None = None) -> Setting:
    machine = machine or lathe()
    part, shop = stud(), demo_shop()
    ask = ask_of(part, 35.0, machine, shop)
    assert part.profile is not None
    assert isinstance(machine.limits, LatheLimits)
    clamping = clamped(ask, machine.limits, need(part.profile, shop.habits, as_stock=False), number=1, raw_mm=35.0)
    hold = holding.holds(ask, machine, machine.limits, clamping)[0][0]
    tool = next(tool for tool in machine.tools if tool.kind == "threading")
    return Setting(machine, machine.limits, ask.material, tool, clamping, hold, 180.0, 1.6, 0.5)


def screw(pitch: float, *, starts: int = 1, left: bool = False, after: float = 20.0, length: float = 40.0) -> Thread:
    return Thread("T1", "", 30.0, pitch, starts, left, False, 0.0, length, math.inf, after, True)


# ---- what is cut ----------------------------------------------------------------------------------------------------


def test_an_outside_thread_with_a_relief_is_cut_after_everything_about_it() -> None:
    got = asked(stud(), 35.0, lathe())
    step = next(step for step in got.steps if "T1" in step.makes)
    assert step.makes[-1] == "T1"
    assert "T13 threading" in step.tools


def test_an_inside_thread_is_tapped_where_there_is_a_tap_of_its_size() -> None:
    got = asked(nut(), 55.0, lathe())
    assert any("T15 tap" in step.tools for step in got.steps)


def test_a_large_inside_thread_is_cut_with_a_bar_in_a_hole_of_the_tap_drill() -> None:
    one = thread("M30", 30.0, 3.5, (0.0, 30.0), on="", inside=True)
    part = turned([(60.0, 40.0, None)], bores=((30.0, 0.0, 40.0),), others=(replace(one, along_mm=(0.0, 30.0)),))
    assert part.profile is not None
    bore = replace(part.profile.inside[0], to_mm=30.0, feature="T1")
    behind = replace(part.profile.inside[0], from_mm=30.0, diameter_from_mm=26.5, diameter_to_mm=26.5, feature=None)
    features = tuple(f for f in part.features if f.id != "B1")
    got = asked(replace(part, features=features, profile=replace(part.profile, inside=(bore, behind))), 65.0,
                lathe(with_tool(14, max_depth_mm=2.5)))  # fmt: skip
    step = next(step for step in got.steps if "T1" in step.makes)
    assert {"T14 threading", "T7 boring"} <= set(step.tools)


def test_a_thread_that_runs_on_along_a_shaft_says_that_its_last_turns_are_not_full() -> None:
    part = turned([(20.0, 50.0, None), (30.0, 50.0, None)], others=(thread("M20", 20.0, 2.5, (0.0, 30.0), on="S1"),))
    got = asked(part, 35.0, lathe())
    assert any(figure.why[0].key == "thread.run_out" for step in got.steps for figure in step.limits)


def mirrored(part: Part) -> Part:
    """The same part, its ends changed over."""
    assert part.profile is not None
    length = part.profile.length_mm

    def over(one: Feature) -> Feature:
        along = (length - one.along_mm[1], length - one.along_mm[0]) if one.along_mm else None
        return replace(one, along_mm=along, at_mm=(one.at_mm[0], one.at_mm[1], length - one.at_mm[2]))

    def turned_over(s: Stretch) -> Stretch:
        return Stretch(length - s.to_mm, length - s.from_mm, s.diameter_to_mm, s.diameter_from_mm, s.feature)

    outside = tuple(turned_over(s) for s in reversed(part.profile.outside))
    inside = tuple(turned_over(s) for s in reversed(part.profile.inside))
    profile = replace(part.profile, outside=outside, inside=inside)
    return replace(part, features=tuple(over(f) for f in part.features), profile=profile)


@pytest.mark.parametrize("make", [stud, nut])
def test_which_end_comes_first_in_the_file_changes_nothing(make: Callable[[], Part]) -> None:
    raw = 35.0 if make is stud else 55.0
    here, there = asked(make(), raw, lathe()), asked(mirrored(make()), raw, lathe())
    assert [set(step.makes) for step in here.steps] == [set(step.makes) for step in there.steps]
    for one, other in zip(here.steps, there.steps, strict=True):
        assert [f.value for f in one.split] == pytest.approx([f.value for f in other.split])


def test_a_thread_at_each_end_is_cut_on_its_own_side_and_held_with_care() -> None:
    far = replace(thread("M20", 20.0, 2.5, (102.0, 132.0), on="S5"), id="T2")
    near = thread("M20", 20.0, 2.5, (0.0, 40.0), on="S1")
    steps = [(20.0, 40.0, None), (16.4, 6.0, None), (30.0, 50.0, None), (16.4, 6.0, None), (20.0, 30.0, None)]
    got = asked(turned([*steps], others=(near, far)), 35.0, lathe())
    assert [{"T1", "T2"} & set(step.makes) for step in got.steps] == [{"T1"}, {"T2"}]


def test_jaws_that_close_on_a_thread_are_told() -> None:
    part = turned([(20.0, 60.0, None)], others=(thread("M20", 20.0, 2.5, (0.0, 60.0), on="S1"),))
    got = asked(part, 25.0, lathe())
    assert "T1" in got.steps[0].makes
    assert any(c.key == "caution.thread_grip" for c in got.steps[1].cautions)


def test_threads_carry_their_cautions() -> None:
    screw_keys = {c.key for step in asked(stud(), 35.0, lathe()).steps for c in step.cautions}
    assert {"caution.thread_fingers", "caution.thread_shoulder"} <= screw_keys
    assert "caution.tap" in {c.key for step in asked(nut(), 55.0, lathe()).steps for c in step.cautions}


# ---- how long -------------------------------------------------------------------------------------------------------


@settings(deadline=None, max_examples=15)
@given(pitch=sampled_from([1.0, 1.5, 2.0, 3.0]), starts=integers(1, 3), length=floats(8, 60), after=floats(4, 40),
       left=booleans())  # fmt: skip
def test_time_is_that_of_every_move_written_out(
    pitch: float, starts: int, length: float, after: float, left: bool
) -> None:
    at = setting()
    wanted = screw(pitch, starts=starts, left=left, after=after, length=length)
    way = threading.single_point(at, at.tool, wanted)
    assert way.tool is not None
    rpm, count = way.cut.rpm, way.cut.passes // starts - 1
    limits = at.limits
    run = threading.one_way(at, wanted, rpm).total_mm
    lathe_ = Lathe(limits.rapid_mm_min[0], limits.rapid_mm_min[1], limits.accel_mm_s2)
    cut, other = clocked(
        lathe_, lead=pitch * starts, rpm=rpm, run=run, height=SCREW_HEIGHT * pitch, lift=rule("retract_mm"),
        passes=count, springs=1, starts=starts,
    )  # fmt: skip
    assert way.cut.cut_s == pytest.approx(cut, rel=0.01)
    assert way.travel_s == pytest.approx(other, rel=0.02)


@given(height=floats(0.2, 4), passes=integers(2, 30))
def test_infeeds_fall_and_end_at_the_root(height: float, passes: int) -> None:
    depths = edge.thread_depths_mm(height, passes=passes, first_share=0.3)
    assert depths == pytest.approx(infeeds(height, passes))
    assert depths[-1] == pytest.approx(height)
    steps = [b - a for a, b in pairwise(depths[1:])]
    assert all(late <= early + 1e-12 for early, late in pairwise(steps))


@settings(deadline=None, max_examples=40)
@given(pitch=floats(0.5, 3.5), after=floats(0, 30), by_hand=booleans(), left=booleans())
def test_the_tool_always_stops_short_of_what_is_beside_the_thread(
    pitch: float, after: float, by_hand: bool, left: bool
) -> None:
    at = setting(lathe(controlled=not by_hand))
    wanted = screw(pitch, after=after, left=left)
    rpm = threading.speed(at, wanted)
    if isinstance(rpm, tuple):
        assert any(reason.key in ("thread.no_stop", "thread.no_start") for reason in rpm)
        return
    slide = rpm.value * pitch / 60.0
    limits = at.limits
    stop = slide * rule("hand_reaction_s") if by_hand else slide**2 / (2.0 * limits.accel_mm_s2)
    assert at.tool.width_mm / 2.0 + stop <= after + 1e-9
    assert limits.min_rpm <= rpm.value <= limits.max_rpm
    assert rpm.value * pitch <= limits.rapid_mm_min[1] + 1e-6


def test_a_weaker_machine_takes_more_passes_and_then_says_no() -> None:
    usual = threading.single_point(setting(), setting().tool, screw(3.0))
    weak = setting(lathe(max_torque_nm=6.0))
    more = threading.single_point(weak, weak.tool, screw(3.0))
    assert usual.cut.passes == thread_passes(3.0) + 1
    assert more.cut.passes > usual.cut.passes
    poor = setting(lathe(max_torque_nm=1.0))
    none = threading.single_point(poor, poor.tool, screw(3.0))
    assert none.tool is None
    heavy = next(reason for reason in none.cut.refused if reason.key == "thread.heavy")
    assert given_of(heavy)["force_n"] > given_of(heavy)["allowed_n"]
    assert any(reason.key == "thread.force_torque" for reason in none.cut.refused)


# ---- every limit that says no ---------------------------------------------------------------------------------------


def test_without_a_threading_tool_the_answer_names_the_tool_to_get() -> None:
    got = asked(stud(), 35.0, lathe(without("threading")))
    assert keys(got) == {"thread.no_tool"}
    assert no(got).nearest == because("thread.buy", name="M20")
    inside = asked(nut(), 55.0, lathe(without("tap", "threading")))
    assert keys(inside) == {"thread.no_tool_inside"}
    assert no(inside).nearest == because("thread.buy_inside", name="M6")


def test_without_room_to_stop_the_answer_names_the_relief_of_the_standard() -> None:
    got = asked(stud(0.0), 35.0, lathe())
    room = next(reason for reason in no(got).reasons if reason.key == "thread.no_stop")
    assert given_of(room)["room_mm"] < given_of(room)["need_mm"]
    nearest = no(got).nearest
    assert nearest is not None
    # DIN 76-1, P 2.5: 3.6 under the thread, 8.7 wide at most (from memory).
    assert given_of(nearest) == pytest.approx({"width_mm": 8.7, "diameter_mm": 16.4})


def test_the_relief_that_was_asked_for_is_enough() -> None:
    assert "T1" in asked(stud(8.7), 35.0, lathe()).made
    assert "T1" in asked(stud(8.7), 35.0, lathe(controlled=False)).made


def test_a_slide_that_cannot_follow_the_slowest_spindle_is_named_with_both_speeds() -> None:
    got = asked(stud(), 35.0, lathe(rapid_mm_min=(5000.0, 100.0)))
    slow = next(reason for reason in no(got).reasons if reason.key == "thread.slide_slow")
    assert given_of(slow)["needs_mm_min"] == pytest.approx(45.0 * 2.5)
    assert given_of(slow)["has_mm_min"] == 100.0


def test_left_hand_and_several_starts_need_a_controlled_lathe() -> None:
    for odd, key in (({"hand": "left"}, "thread.left_by_hand"), ({"starts": 2}, "thread.starts_by_hand")):
        assert "T1" in asked(stud(8.7, **odd), 35.0, lathe()).made
        assert key in keys(asked(stud(8.7, **odd), 35.0, lathe(controlled=False)))


def test_two_starts_take_twice_the_passes() -> None:
    at = setting()
    one = threading.single_point(at, at.tool, screw(1.5))
    two = threading.single_point(at, at.tool, screw(1.5, starts=2))
    assert two.cut.passes == 2 * one.cut.passes
    assert two.cut.feed_mm_rev == 2 * one.cut.feed_mm_rev


def test_a_hole_too_short_for_the_lead_of_the_tap_is_named_with_what_it_lacks() -> None:
    got = asked(nut(depth=16.0), 55.0, lathe())
    blind = next(reason for reason in no(got).reasons if reason.key == "thread.tap_blind")
    assert given_of(blind)["room_mm"] == pytest.approx(1.0)
    assert given_of(blind)["need_mm"] == pytest.approx(3.0)


def test_all_limits_that_a_tool_misses_stand_in_the_refusal() -> None:
    tools = with_tool(15, max_depth_mm=5.0)
    got = asked(nut(depth=16.0), 55.0, lathe(tools, max_torque_nm=3.0))
    assert {"thread.tap_blind", "thread.tap_short", "thread.tap_spindle"} <= keys(got)


def test_a_thread_that_nobody_named_is_asked_for_not_guessed() -> None:
    got = asked(stud(uncertainty=0.05, named=False), 35.0, lathe())
    assert keys(got) == {"thread.unsettled"}
    assert no(got).nearest == because("thread.ask_gauge")


def test_other_forms_are_not_cut_with_a_60_degree_edge() -> None:
    part = turned([(20.0, 40.0, None), (16.0, 6.0, None), (30.0, 50.0, None)],
                  others=(thread("Tr20x4", 20.0, 4.0, (0.0, 40.0), on="S1"),))  # fmt: skip
    assert keys(asked(part, 35.0, lathe())) == {"thread.form"}


def test_a_small_thread_without_room_is_cut_with_the_die_that_lies_on_the_bench() -> None:
    one = thread("M8", 8.0, 1.25, (0.0, 20.0), on="S1")
    part = turned([(8.0, 20.0, None), (16.0, 50.0, None)], others=(one,))
    shop = demo_shop()
    die = replace(lathe().tools[-1], kind="die", diameter_mm=8.0, pitch_mm=1.25)
    machines = tuple(replace(m, tools=(die,)) if m.kind == "bench" else m for m in shop.machines)
    got = asked(part, 20.0, lathe(), shop=replace(shop, machines=machines))
    (step,) = [step for step in got.steps if step.id == "die"]
    assert step.makes == (one.id,)
    assert step.phases[0].who == shop.operators("hand")
    assert not step.unattended
    # 20 / 1.25 = 16 turns.
    assert step.phases[0].duration_s.value == pytest.approx(rule("die_start_s") + 16 * rule("die_turn_s"))
    assert not any(one.id in refused.features for refused in got.undone)
    # Nobody at the bench, or a harder metal than a hand turns a die in: the refusal stays.
    people = tuple(replace(p, skills=tuple(s for s in p.skills if s != "hand")) for p in shop.people)
    alone = asked(part, 20.0, lathe(), shop=replace(shop, machines=machines, people=people))
    assert any(one.id in refused.features for refused in alone.undone)
    # By the handbook's formula, worn: 2 x 1.25^2 x 8 x kc / 8000, which a hand turns.
    metal = shop.material("C45")
    kc = metal.kc11_mpa * 0.05**-metal.mc
    assert 2 * 1.25**2 * 8 * kc / 8000 <= rule("die_torque_nm")


# ---- every number counts --------------------------------------------------------------------------------------------

LIMITS = ("min_rpm", "max_torque_nm", "max_force_n", "accel_mm_s2", "chuck_grip_n", "chuck_max_rpm")


def told(got: Answer) -> tuple[object, ...]:
    ends = tuple((n.features, tuple((r.key, str(r.given)) for r in n.reasons)) for n in got.undone)
    return tuple((step.makes, tuple(round(part.value, 3) for part in step.split)) for step in got.steps), ends


def thread_told(machine: Machine) -> object:
    at = setting(machine)
    way = threading.single_point(at, at.tool, screw(2.5, after=8.0))
    return round(way.cut.cut_s, 4), round(way.travel_s, 4), tuple(str(r) for r in way.cut.refused)


@pytest.mark.parametrize("name", LIMITS)
def test_every_limit_of_the_lathe_counts_for_a_thread(name: str) -> None:
    old = float(getattr(lathe().limits, name))
    assert any(thread_told(with_limit(name, old * factor)) != thread_told(lathe()) for factor in (0.003, 0.05, 50.0))


def test_both_rapids_and_the_control_count_for_a_thread() -> None:
    for index in (0, 1):
        slow = tuple(v * (0.2 if i == index else 1.0) for i, v in enumerate((5000.0, 8000.0)))
        assert thread_told(lathe(rapid_mm_min=slow)) != thread_told(lathe(rapid_mm_min=(5000.0, 8000.0)))
    assert thread_told(lathe(controlled=False)) != thread_told(lathe())


@pytest.mark.parametrize(
    ("number", "name", "value"),
    [(13, "width_mm", 8.0), (13, "max_depth_mm", 0.5), (13, "pitch_mm", 1.5), (13, "holder_max_rpm", 200.0)],
)
def test_every_number_of_a_threading_tool_counts(number: int, name: str, value: float) -> None:
    assert told(asked(stud(), 35.0, lathe(with_tool(number, **{name: value})))) != told(asked(stud(), 35.0, lathe()))


@pytest.mark.parametrize(
    ("name", "value"),
    [("max_depth_mm", 5.0), ("pitch_mm", 0.75), ("diameter_mm", 5.0), ("holder_max_rpm", 100.0)],
)
def test_every_number_of_a_tap_counts(name: str, value: float) -> None:
    assert told(asked(nut(), 55.0, lathe(with_tool(15, **{name: value})))) != told(asked(nut(), 55.0, lathe()))


def test_everything_said_about_threads_can_be_said() -> None:
    answers = (
        asked(stud(), 35.0, lathe()), asked(stud(0.0), 35.0, lathe(controlled=False)), asked(nut(), 55.0, lathe()),
        asked(nut(depth=16.0), 55.0, lathe(max_torque_nm=3.0)), asked(stud(hand="left"), 35.0, lathe(controlled=False)),
    )  # fmt: skip
    for got in answers:
        for refused in got.undone:
            assert all(say(reason) for reason in refused.reasons)
            assert refused.nearest is None or say(refused.nearest)
        assert all(say(reason) for step in got.steps for figure in step.limits for reason in figure.why)


# ---- is it right ----------------------------------------------------------------------------------------------------


def test_an_outside_thread_is_measured_over_three_wires() -> None:
    row = next(row for row in measuring_plan(stud(), demo_shop()) if row.feature == "T1" and row.own_limits)
    assert row.size == "over_wires_mm"
    assert "micrometer" in row.gauge_name
    assert row.accept_mm is not None
    assert row.low_mm < row.accept_mm[0] < row.accept_mm[1] < row.high_mm


def test_a_gauge_for_threads_goes_before_wires_and_is_missed_inside() -> None:
    shop = demo_shop()
    gauge = replace(shop.gauges[0], id="thread_micrometer", name="thread micrometer", measures=("thread",), u_mm=0.004)
    row = next(
        r
        for r in measuring_plan(stud(), replace(shop, gauges=(*shop.gauges, gauge)))
        if r.feature == "T1" and r.own_limits
    )
    assert (row.size, row.gauge) == ("pitch_diameter_mm", "thread_micrometer")
    inside = next(r for r in measuring_plan(nut(), shop) if r.feature == "T1" and r.own_limits)
    assert inside.gauge is None
    assert "measure.no_gauge" in [why.key for why in inside.why]
