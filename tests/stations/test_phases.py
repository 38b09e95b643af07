"""A lot's phases: set-up, the first part with somebody beside it, the others watched or alone."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis.strategies import booleans, floats, integers

from steadyrest.stations.alone import settled
from steadyrest.stations.phases import Cycle, lot_phases, split


@settings(deadline=None, max_examples=80)
@given(
    cut=floats(1, 5000), travel=floats(0, 500), hands=floats(0, 900), quantity=integers(1, 40), alone=booleans(),
    prove_out=floats(1, 3), changes=integers(0, 3),
)  # fmt: skip
def test_phases_add_up_to_the_lot(
    cut: float, travel: float, hands: float, quantity: int, alone: bool, prove_out: float, changes: int
) -> None:
    cycle = Cycle(cut, travel, hands)
    phases = lot_phases(
        cycle, set_up_s=600, quantity=quantity, who=("ambra",), alone=alone, prove_out=prove_out, edge_changes=changes
    )
    whole = 600 + quantity * (cut + travel + hands) + (prove_out - 1) * (cut + travel) + changes * 180
    assert sum(phase.duration_s.value for phase in phases) == pytest.approx(whole, rel=1e-9)
    assert phases[0].who
    assert phases[1].who
    if not alone:
        assert all(phase.who for phase in phases)


def test_long_runs_are_loaded_by_somebody_and_run_by_nobody() -> None:
    cycle = Cycle(1500, 100, 120)
    phases = lot_phases(cycle, set_up_s=600, quantity=4, who=("ambra",), alone=True, prove_out=1.7)
    assert [bool(phase.who) for phase in phases] == [True, True, True, False, True, False, True, False]
    assert settled(phases, (), 4) == (True, ())


def test_short_runs_are_not_left_and_say_why() -> None:
    phases = lot_phases(Cycle(60, 20, 60), set_up_s=600, quantity=4, who=("ambra",), alone=True, prove_out=1.7)
    runs_alone, why = settled(phases, (), 4)
    assert not runs_alone
    assert why[0].key == "alone.not_worth"


def test_the_split_names_cutting_getting_there_hands_and_the_first_part() -> None:
    cycle = Cycle(100, 20, 60)
    assert [round(figure.value, 6) for figure in split(cycle, 1.5)] == [100, 20, 60, 60]
