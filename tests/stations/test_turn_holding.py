"""How work is held in a lathe: grip at speed, steady, soft jaws, chatter."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis.strategies import booleans, floats

from steadyrest.shop.floor import LatheLimits
from steadyrest.stations.turn.beam import Beam
from steadyrest.stations.turn.holding import grip_at
from steadyrest.tables.practice import rule
from tests.oracles.slow_beam import spring
from tests.stations.parts import bush, disc, lift_shaft, turned
from tests.stations.test_threading import setting
from tests.stations.test_turn import ask, cut_s, lathe


@settings(deadline=None, max_examples=30)
@given(
    long=floats(20, 300), share=floats(0.1, 0.9), thick=floats(8, 60), thin=floats(0.5, 1.0), at=floats(0.05, 0.95),
    centre=booleans(), steady=booleans(),
)  # fmt: skip
def test_a_stepped_bar_springs_as_finite_elements_say(
    long: float, share: float, thick: float, thin: float, at: float, centre: bool, steady: bool
) -> None:
    steps = ((long * share, thick), (long * (1 - share), thick * thin))
    beam = Beam(steps, 210e3, centre, long / 2 if steady else None)
    supports = [*([long / 2] if steady else []), *([long] if centre else [])]
    want = spring(list(steps), 210e3, at * long, supports)
    assert beam.spring_mm_n(at * long) == pytest.approx(want, rel=1e-4, abs=1e-9)


@settings(deadline=None)
@given(rpm=floats(1, 4_000), faster=floats(1, 2))
def test_jaws_hold_less_the_faster_they_turn_and_a_third_at_the_chuck_s_fastest(rpm: float, faster: float) -> None:
    at = setting(lathe())
    assert grip_at(at.hold, at.limits, rpm * faster).value <= grip_at(at.hold, at.limits, rpm).value
    rest = at.hold.grip_n.value
    assert grip_at(at.hold, at.limits, 0.0).value == rest
    # ISO 16156, from memory: the fastest speed is where two thirds of the grip at rest are gone.
    assert grip_at(at.hold, at.limits, at.limits.chuck_max_rpm).value == pytest.approx(rest / 3, rel=2e-3)


def test_a_weak_chuck_cuts_slower_at_speed_and_says_why() -> None:
    weak, fast = lathe(chuck_grip_n=4_000.0), lathe(chuck_grip_n=4_000.0, chuck_max_rpm=8_000.0)
    slow = ask(bush(), 45.0, weak, metal="6082-T6")
    assert cut_s(slow) >= cut_s(ask(bush(), 45.0, fast, metal="6082-T6"))
    said = {reason.key for step in slow.steps for figure in step.limits for reason in figure.why}
    assert "turn.grip_speed" in said


def test_slender_work_needs_a_steady_that_holds_its_diameter() -> None:
    rod = turned([(20.0, 420.0, None), (30.0, 40.0, None)])
    plain = ask(rod, 34.0, lathe())
    assert "turn.slender" in {reason.key for no in plain.undone for reason in no.reasons}
    held = ask(rod, 34.0, lathe(steady_mm=(10.0, 100.0)))
    (step,) = [step for step in held.steps if step.holding.key == "turn.hold_steady"]
    assert "S1" in step.makes
    assert "caution.steady" in {caution.key for caution in step.cautions}
    assert step.phases[0].duration_s.value >= rule("steady_set_s")
    small = ask(rod, 34.0, lathe(steady_mm=(5.0, 15.0)))
    assert "turn.steady_size" in {reason.key for no in small.undone for reason in no.reasons}


def test_a_part_too_slender_for_one_steady_is_refused_with_both_ratios() -> None:
    needle = turned([(8.0, 320.0, None), (12.0, 30.0, None)])
    got = ask(needle, 14.0, lathe(between_centres_mm=1_500.0, steady_mm=(5.0, 100.0)))
    assert "turn.slender_steady" in {reason.key for no in got.undone for reason in no.reasons}


def test_jaws_that_close_on_a_finished_diameter_are_soft_and_bored() -> None:
    got = ask(lift_shaft(), 50.0, lathe())
    notes = [{note.key for note in step.notes} for step in got.steps]
    assert "turn.soft_jaws" not in notes[0]
    assert "turn.soft_jaws" in notes[1]


def test_work_and_bars_that_stand_out_far_are_flagged() -> None:
    limits = lathe().limits
    assert isinstance(limits, LatheLimits)
    long_bar = tuple(replace(tool, length_mm=90.0) if tool.kind == "boring" else tool for tool in lathe().tools)
    got = ask(bush(), 45.0, replace(lathe(), tools=long_bar))
    assert "turn.chatter_bar" in {note.key for step in got.steps for note in step.notes}
    assert "turn.chatter_work" not in {note.key for step in ask(disc(), 155.0, lathe()).steps for note in step.notes}
