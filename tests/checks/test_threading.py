"""Threads on the lathe against the outside: depths, infeeds, passes, torque, pitch diameters."""

from __future__ import annotations

import math

import pytest

from steadyrest.measure.threads import best_wire_mm, over_wires_mm, screw_pitch_limits_mm
from steadyrest.stations import edge
from steadyrest.stations.turn.threads import NUT_HEIGHT, SCREW_HEIGHT
from steadyrest.tables.thread_passes import thread_passes
from steadyrest.tables.threads import find_thread


def test_a_screw_is_cut_0_6134_and_a_nut_0_5413_of_its_pitch_deep() -> None:
    # ISO 724 by d3 = d - 1.226869 P and D1 = d - 1.082532 P (seen in a reprint).
    assert pytest.approx(1.226869 / 2, abs=5e-7) == SCREW_HEIGHT
    assert pytest.approx(1.082532 / 2, abs=5e-7) == NUT_HEIGHT


def test_infeeds_fall_as_a_handbook_prints_them() -> None:
    # Insert makers' worked example, from memory: pitch 1.5, 0.94 deep, 6 passes; the print gives two decimals.
    depths = edge.thread_depths_mm(0.94, passes=6, first_share=0.3)
    assert [round(depth, 2) for depth in depths] == [0.23, 0.42, 0.59, 0.73, 0.84, 0.94]


def test_usual_passes_by_pitch() -> None:
    # Insert makers' tables for ISO metric outside, from memory.
    assert [thread_passes(p) for p in (0.5, 1.0, 1.5, 2.0, 3.0, 4.0, 6.0)] == [4, 5, 6, 8, 12, 14, 16]
    assert thread_passes(1.1) == 6
    assert thread_passes(12.0) == 32


def test_the_chip_of_a_pass_is_what_lies_between_two_grooves() -> None:
    # Closed form: tan 30 (a^2 - b^2) of metal goes; two flanks a / cos 30 wide and half the infeed thick take it,
    # but for the small square of the infeed that both count.
    deep, infeed = 0.9, 0.1
    area = math.tan(math.pi / 6) * (deep**2 - (deep - infeed) ** 2)
    force = edge.thread_force(1000.0, 0.0, deep_mm=deep, infeed_mm=infeed)
    assert force / 1000.0 == pytest.approx(area + math.tan(math.pi / 6) * infeed**2, rel=1e-9)


def test_torque_of_a_tap() -> None:
    # P^2 D kc / 8000 as tap makers print it, from memory: M10 in steel at 2500 MPa takes 7.0 Nm.
    assert edge.tapping_torque_nm(2500.0, diameter_mm=10.0, pitch_mm=1.5) == pytest.approx(7.03, abs=0.005)
    # The metal really cut between D1 and D is 0.2368 P^2 a turn (closed form of the basic profile): within 6 %.
    profile = NUT_HEIGHT * (3 / 4 + 1 / 8) / 2
    assert profile == pytest.approx(0.25, rel=0.06)


@pytest.mark.parametrize(
    ("name", "low", "high"),
    [("M6", 5.212, 5.324), ("M8", 7.042, 7.160), ("M10", 8.862, 8.994), ("M12", 10.679, 10.829),
     ("M20", 18.164, 18.334)],
)  # fmt: skip
def test_pitch_diameter_of_a_6g_screw(name: str, low: float, high: float) -> None:
    # ISO 965-2 6g, from memory; the print rounds tolerances to preferred numbers, so the low end is off by a few um.
    found = screw_pitch_limits_mm(find_thread(name))
    assert found is not None
    assert found[1][1] == pytest.approx(high, abs=0.001)
    assert found[1][0] == pytest.approx(low, abs=0.004)


def test_three_wires() -> None:
    # ISO 68 geometry, as every handbook: best wire 0.57735 P; M = d2 + 3 w - 0.86603 P. M10: w 0.866, M 10.325.
    thread = find_thread("M10")
    assert best_wire_mm(thread.pitch_mm) == pytest.approx(0.57735 * 1.5, abs=1e-5)
    over = over_wires_mm(thread.pitch_diameter_mm, thread.pitch_mm, best_wire_mm(thread.pitch_mm))
    assert over == pytest.approx(9.026 + 3 * 0.86603 - 0.86603 * 1.5, abs=5e-4)
