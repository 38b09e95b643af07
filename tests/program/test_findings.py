"""Every kind of finding: planted faults are found at their line; clean twins and nearest legal variants get a yes."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from steadyrest.program.findings.bar import bar
from steadyrest.program.findings.coolant import coolant
from steadyrest.program.findings.finding import Case, Finding
from steadyrest.program.findings.hold_point import hold_points
from steadyrest.program.findings.speed import speed
from steadyrest.program.findings.stops import stops
from steadyrest.program.findings.tools import missing, worn
from steadyrest.program.findings.travel import travel
from steadyrest.program.run import Odd, Run
from steadyrest.program.timing.machine_time import run_time, timing_of
from steadyrest.shop.leaving import Bar, BarFeed, BoxBlank, LeavingMachine, LeavingTool, ProgramSaid
from tests.forward.programs import WRITERS
from tests.program.hand_runs import run_of
from tests.scoring.programs import CONTRACT_KINDS, asked

TWISTS = [(kind, twist) for kind, (_, twists) in WRITERS.items() for twist in twists]
SEEDS = (11,)


@pytest.mark.parametrize("seed", SEEDS)
@pytest.mark.parametrize(("kind", "twist"), TWISTS)
def test_what_is_planted_is_found_and_nothing_else(kind: str, twist: str, seed: int) -> None:
    made = WRITERS[kind][0](seed, twist)
    answer = asked(made)
    got = [(one.kind, one.line) for one in answer.findings if one.kind in CONTRACT_KINDS]
    if made.wanted is None:
        assert answer.may_leave == "yes"
    else:
        assert answer.may_leave != "yes"
    assert got == ([] if made.wanted is None else [made.wanted])


def test_every_kind_of_the_contract_is_planted() -> None:
    kinds = {made.wanted[0] for kind, twist in TWISTS if (made := WRITERS[kind][0](SEEDS[0], twist)).wanted}
    assert kinds == CONTRACT_KINDS


MILL = LeavingMachine(
    name="m", kind="mill", may_run_alone=True, travel_mm={"x": (-100.0, 100.0), "z": (-50.0, 50.0)},
    offsets_mm={"G54": (0.0, 0.0, 0.0)}, max_rpm=5000.0,
    rapid_mm_min=(6000.0,) * 3, accel_mm_s2=500.0,
)  # fmt: skip


def case(run: Run, machine: LeavingMachine = MILL, said: ProgramSaid | None = None) -> Case:
    return Case(run, run_time(run, timing_of(machine)), machine, said)


def places(found: tuple[Finding, ...]) -> list[int | None]:
    return [one.line for one in found]


def with_tools(*tools: LeavingTool, **changed: object) -> LeavingMachine:
    return replace(MILL, tools=tools, **changed)  # type: ignore[arg-type]


def test_a_stop_that_a_loop_repeats_is_one_finding() -> None:
    run = run_of([("stop", 0.0), ("feed", 1, 0, 0)])
    again = replace(run, events=run.events * 5)
    assert places(stops(case(again))) == [1]


def test_a_switch_is_a_cure_and_a_plain_stop_has_none() -> None:
    machine = replace(MILL, optional_stop_switch=True)
    plain, optional = stops(case(run_of([("stop", 0.0), ("stop", 1.0)]), machine))
    assert plain.cure is None
    assert optional.cure is not None


def test_a_missing_tool_is_told_once_at_its_first_call_and_an_empty_spindle_never() -> None:
    run = run_of([("tool", 9), ("tool", 1), ("tool", 0), ("tool", 9)])
    assert places(missing(case(run, with_tools(LeavingTool(1))))) == [1]


@pytest.mark.parametrize(("left_s", "worn_out"), [(2.0, False), (1.99, True)])
def test_wear_counts_all_repeats_and_exactly_enough_is_enough(left_s: float, worn_out: bool) -> None:
    """Ten cuts of 0.2 s: 1 mm at 600 mm/min without a limit on acceleration is 0.1 s each way."""
    machine = with_tools(LeavingTool(1, life_s=100.0 + left_s, used_s=100.0), accel_mm_s2=math.inf)
    run = run_of([("tool", 1), ("rate", 600.0), *[("feed", x, 0, 0) for _ in range(10) for x in (1, 0)]])
    found = worn(case(run, machine))
    assert bool(found) is worn_out
    assert places(found) == ([None] if worn_out else [])


def test_a_run_longer_than_a_whole_edge_has_no_cure() -> None:
    machine = with_tools(LeavingTool(1, life_s=10.0), LeavingTool(2, life_s=10.0, used_s=9.0), accel_mm_s2=math.inf)
    run = run_of([("rate", 60.0), ("tool", 1), ("feed", 20, 0, 0), ("tool", 2), ("feed", 15, 0, 0)])
    whole, used = worn(case(run, machine))
    assert whole.cure is None
    assert used.cure is not None


def test_staying_outside_the_travel_is_one_finding_and_coming_back_ends_it() -> None:
    path = [("rapid", 120, 0, 0), ("rapid", 130, 9, 0), ("feed", 130, 0, 0), ("rapid", 0, 0, 0), ("rapid", 150, 0, 0)]
    assert places(travel(case(run_of(path)))) == [1, 5]


def test_leaving_often_on_one_side_is_one_cause() -> None:
    path = [("rapid", x, 0, 0) for _ in range(6) for x in (120, 0)]
    assert places(travel(case(run_of(path)))) == [1]


def test_each_axis_and_side_is_judged_and_an_axis_nobody_gave_is_not() -> None:
    path = [("rapid", -101, 0, 0), ("rapid", 0, 9999, 0), ("rapid", 0, 0, -51), ("rapid", 0, 0, 51)]
    assert places(travel(case(run_of(path)))) == [1, 3, 4]


def test_the_very_end_of_the_travel_is_inside() -> None:
    assert travel(case(run_of([("rapid", 100, 0, 50), ("feed", -100, 0, -50)]))) == ()


def test_travel_is_of_the_nose_a_tool_length_above_the_point() -> None:
    run = run_of([("feed", 0, 0, 10)])
    longer = replace(run, moves=replace(run.moves, tool_length_mm=run.moves.tool_length_mm + 45.0))
    assert travel(case(run)) == ()
    assert places(travel(case(longer))) == [1]


def test_under_a_work_zero_that_nobody_placed_travel_is_not_judged() -> None:
    run = run_of([("rapid", 9999, 0, 0)])
    assert travel(case(run, replace(MILL, offsets_mm={}))) == ()
    lost = replace(run, odds=(Odd("offset", 1, (("word", "G58"),)),))
    assert travel(case(lost)) == ()


def test_a_speed_left_from_a_stronger_holder_is_found_where_the_weaker_one_feeds() -> None:
    machine = with_tools(LeavingTool(1), LeavingTool(2, holder_max_rpm=2000.0))
    first = [("tool", 1), ("speed", 4000.0), ("feed", 1, 0, 0)]
    run = run_of([*first, ("tool", 2), ("rapid", 2, 0, 0), ("feed", 3, 0, 0)])
    assert places(speed(case(run, machine))) == [6]
    lowered = run_of([("tool", 1), ("speed", 4000.0), ("tool", 2), ("speed", 2000.0), ("feed", 3, 0, 0)])
    assert speed(case(lowered, machine)) == ()


def test_counter_clockwise_is_as_fast() -> None:
    assert places(speed(case(run_of([("speed", -5001.0)])))) == [1]
    assert speed(case(run_of([("speed", -5000.0)]))) == ()


DRILL = LeavingTool(1, needs_coolant=True)


@pytest.mark.parametrize(
    ("steps", "dry"),
    [
        ([("tool", 1), ("feed", 1, 0, 0)], True),
        ([("tool", 1), ("coolant", 1.0), ("rapid", 2, 0, 0), ("coolant", 0.0), ("feed", 1, 0, 0)], True),
        ([("tool", 1), ("feed", 1, 0, 0), ("coolant", 1.0)], True),
        ([("tool", 1), ("feed", 1, 0, 0), ("coolant", 1.0), ("feed", 2, 0, 0)], False),
        ([("coolant", 1.0), ("tool", 1), ("feed", 1, 0, 0)], False),
        ([("tool", 1), ("rapid", 1, 0, 0)], False),
        ([("tool", 1), ("feed", 1, 0, 0), ("tool", 2), ("tool", 1), ("coolant", 1.0), ("feed", 2, 0, 0)], False),
    ],
)
def test_coolant_is_missed_only_by_a_tool_that_cuts_and_never_gets_it(steps: list[tuple], dry: bool) -> None:
    assert bool(coolant(case(run_of(steps), with_tools(DRILL, LeavingTool(2))))) is dry


@pytest.mark.parametrize(("length_mm", "short"), [(380.0, False), (379.9, True), (50.0, True)])
def test_the_bar_must_hold_all_pulls_and_its_rest(length_mm: float, short: bool) -> None:
    machine = replace(MILL, bar_feed=BarFeed("M70", 80.0))
    run = run_of([("bar", 1.0), ("bar", 2.0), ("bar", 3.0)])
    found = bar(case(run, machine, ProgramSaid("p", bar=Bar(length_mm, 100.0))))
    assert bool(found) is short


SMALL, LARGE = LeavingTool(1, role="rough", diameter_mm=6.0), LeavingTool(2, role="finish", diameter_mm=10.0)
CUT = [("rapid", 0, 0, 2), ("feed", 0, 0, -3), ("feed", 20, 0, -3), ("rapid", 20, 0, 2)]
BESIDE = [("rapid", 0, 30, 2), ("feed", 0, 30, -3), ("feed", 20, 30, -3), ("rapid", 20, 30, 2)]


@pytest.mark.parametrize(
    ("steps", "line"),
    [
        ([("tool", 1), *CUT, ("tool", 2), *CUT], 8),
        ([("tool", 1), *CUT, ("check", 1.0), ("tool", 2), *CUT], None),
        ([("tool", 1), *CUT, ("tool", 2), ("check", 1.0), *CUT], None),
        ([("tool", 1), *CUT, ("check", 0.0), ("tool", 2), *CUT], 9),
        ([("check", 1.0), ("tool", 1), *CUT, ("tool", 2), *CUT], 9),
        ([("tool", 1), *CUT, ("check", 1.0), ("tool", 1), *BESIDE, ("tool", 2), *CUT], None),
        ([("tool", 1), *CUT, ("tool", 2), *BESIDE], None),
        ([("tool", 2), *CUT, ("tool", 1), *CUT], None),
        ([("tool", 1), *CUT, ("tool", 2), *BESIDE, ("check", 1.0), *CUT], None),
    ],
)
def test_a_hold_point_must_stand_between_the_small_rougher_and_the_finisher_where_both_cut(
    steps: list[tuple], line: int | None
) -> None:
    found = hold_points(case(run_of(steps), with_tools(SMALL, LARGE)))
    assert places(found) == ([] if line is None else [line])


def test_roles_and_sizes_decide_whether_a_hold_point_is_owed() -> None:
    steps = [("tool", 1), *CUT, ("tool", 2), *CUT]
    for small, large in (
        (replace(SMALL, diameter_mm=10.0), LARGE),
        (replace(SMALL, role="drill"), LARGE),
        (SMALL, replace(LARGE, role="face")),
    ):
        assert hold_points(case(run_of(steps), with_tools(small, large))) == ()


def test_what_passes_above_the_blank_does_not_cut() -> None:
    over = [("rapid", 0, 0, 2), ("feed", 20, 0, 2)]
    said = ProgramSaid("p", blank=BoxBlank((-10.0, -10.0, -20.0), (40.0, 40.0, 0.0)))
    steps = [("tool", 1), *CUT, ("tool", 2), *over]
    assert hold_points(case(run_of(steps), with_tools(SMALL, LARGE), said)) == ()
