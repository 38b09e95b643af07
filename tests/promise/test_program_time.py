"""A step's time from its program: what hands do stays, what the machine does is the program's."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from steadyrest.promise.program_time import StepProgram, estimated_run_s, with_program
from steadyrest.shop.figure import Figure, because
from steadyrest.shop.work import Phase, Step
from steadyrest.stations.phases import Cycle, lot_phases, split

CYCLE = Cycle(cut_s=300.0, travel_s=60.0, hands_s=120.0, estimate_spread=0.2)
LONG = Cycle(cut_s=840.0, travel_s=60.0, hands_s=120.0, estimate_spread=0.2)


def step(quantity: int, *, alone: bool = False, feeds_itself: bool = False, cycle: Cycle = CYCLE) -> Step:
    phases = lot_phases(
        cycle, set_up_s=900.0, quantity=quantity, who=("ada",), alone=alone, prove_out=1.6, feeds_itself=feeds_itself
    )
    return Step("turn", "turn", "lathe", because("hand.hold"), phases, (), (), split=split(cycle, 1.6))


@settings(max_examples=15, deadline=None)
@given(quantity=st.integers(1, 9), each_s=st.floats(30.0, 3000.0), alone=st.booleans(), fed=st.booleans())
def test_a_lot_differs_by_what_its_parts_differ_and_set_up_and_loading_stay(quantity, each_s, alone, fed) -> None:
    # An oracle by another way: the same station asked with the program's run in place of its own.
    was = step(quantity, alone=alone, feeds_itself=fed, cycle=LONG)
    found = with_program(was, StepProgram("a.nc", each_s, 1, 0.02), quantity=quantity)
    shape = [(p.name, bool(p.who)) for p in found.phases]
    assert shape == [(p.name, bool(p.who)) for p in was.phases]
    by_hand = {
        "set up": 900.0,
        "first part": 1.6 * each_s + 120.0,
    }
    for phase in found.phases:
        if phase.name in by_hand:
            assert phase.duration_s.value == pytest.approx(by_hand[phase.name])
        elif phase.name.startswith("load"):
            assert phase.duration_s.value == 120.0
        elif phase.name.startswith("run"):
            assert phase.duration_s.value == pytest.approx(each_s)
        else:
            hands = 120.0 if phase.who else 0.0
            assert phase.duration_s.value == pytest.approx((quantity - 1) * (each_s + hands))
            # By hand: the shares of a part's time, each with its own spread; hands' is a quarter (tables/practice).
            share = hands / (hands + each_s)
            apart = ((share * 0.25) ** 2 + ((1 - share) * 0.02) ** 2) ** 0.5
            assert phase.spread == pytest.approx(min(apart, 0.2))


def test_a_run_of_several_parts_counts_for_each() -> None:
    assert StepProgram("a.nc", 900.0, 3, 0.0).each_s == 300.0
    four, one = StepProgram("a.nc", 4 * 500.0, 4, 0.0), StepProgram("a.nc", 500.0, 1, 0.0)
    takes = [[p.duration_s.value for p in with_program(step(8), p, quantity=8).phases] for p in (four, one)]
    assert takes[0] == takes[1]


def test_the_estimate_that_the_program_replaces_is_said_first() -> None:
    found = with_program(step(3), StepProgram("a.nc", 200.0, 1, 0.02), quantity=3)
    why = found.phases[-1].duration_s.why
    assert why[0] == because("promise.by_program", program="a.nc", each_s=200.0, was_s=360.0)
    assert len(why) > 1


def test_a_step_that_says_no_run_of_its_own_stays_as_it_was() -> None:
    phase = Phase("deburr", Figure(60.0, "s", (because("hand.hold"),)), 0.2, ("ada",), True)
    plain = Step("hand", "hand", None, because("hand.hold"), (phase,), (), ())
    assert estimated_run_s(plain) is None
    assert with_program(plain, StepProgram("a.nc", 5.0, 1, 0.0), quantity=3) is plain
