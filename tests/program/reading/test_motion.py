"""Moves by hand: arcs, homes, zeros, lengths, feeds, speeds, and what the text lacks, beside its legal twin."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis.strategies import floats, sampled_from

from steadyrest.program.reading.dialect import Dialect
from steadyrest.program.reading.read import read
from steadyrest.program.run import EventKind, Motion, Run

TOLERANCE = 0.01
LATHE = {"kind": "lathe", "x_is_diameter": True, "tool_word": "TTOO", "speed_clamp_words": ("G50", "G92")}


def run(program: str, **dialect: object) -> Run:
    return read(program.encode(), Dialect(arc_tolerance_mm=TOLERANCE, **dialect))  # type: ignore[arg-type]


def kinds(done: Run) -> list[tuple[str, int | None]]:
    return [(odd.kind, odd.line) for odd in done.odds]


# ---- units and feed


def test_a_move_before_any_unit_word_is_told_once_and_one_in_the_same_line_is_fine() -> None:
    assert kinds(run("%\n(part)\nG90\nG0 X1\nG0 X2\nG21\nM30\n")) == [("units", 4)]
    assert not run("G0 X1 G21\nM30\n").odds
    assert not run("G90 T1 M6\nS900 M3\nG21\nG0 X1\nM30\n").odds


def test_inches_become_millimetres_everywhere() -> None:
    done = run("G20 G90 G0 X1 Y-2\nG1 Z.5 F10\nG2 X2 I.5\nM30\n")
    assert done.unit == "in"
    assert done.moves.end_mm[0].tolist() == [25.4, -50.8, 0.0]
    assert done.moves.feed_mm_min[1] == pytest.approx(254.0)
    assert done.moves.centre_mm[2, 0] == pytest.approx(38.1)


@pytest.mark.parametrize("cut", ["G1 X5", "G2 X2 I1", "G81 Z-5 R1", "G1 X5 F0"])
def test_the_first_cut_without_a_feed_is_told_once(cut: str) -> None:
    done = run(f"G21 G90\nG0 X0 Y0\n{cut}\nG1 X50\nM30\n")
    assert kinds(done) == [("feed", 3)]
    assert not run(f"G21 G90\nG0 X0 Y0 F100\n{cut.replace(' F0', '')}\nG1 X50\nM30\n").odds
    assert not run(f"G21 G90\nG0 X0 Y0\n{cut.replace(' F0', '')} F80\nM30\n").odds


def test_feed_holds_a_minute_a_turn_or_inverse() -> None:
    done = run("G21 G90 S500 M3\nG94 G1 X10 F200\nG95 X20 F0.1\nG93 X30 F4\nG94 X40\nM30\n")
    assert done.moves.feed_mm_min.tolist() == pytest.approx([200.0, 50.0, 40.0, 200.0])
    assert done.moves.feed_per_turn_mm.tolist() == pytest.approx([0.0, 0.1, 0.0, 0.0])


# ---- arcs


@given(
    radius=floats(0.5, 200.0), first=floats(0.0, 360.0), turn=floats(1.0, 359.0), rise=floats(-20.0, 20.0),
    plane=sampled_from(["G17", "G18", "G19"]), way=sampled_from([2, 3]), by_radius=sampled_from([True, False]),
)  # fmt: skip
@settings(deadline=None, max_examples=150)
def test_an_arc_is_as_long_as_its_angle_says(
    radius: float, first: float, turn: float, rise: float, plane: str, way: int, by_radius: bool
) -> None:
    (a, b, c), (i, j) = {"G17": ("XYZ", "IJ"), "G18": ("ZXY", "KI"), "G19": ("YZX", "JK")}[plane]
    sign = 1.0 if way == 3 else -1.0
    start, end = math.radians(first), math.radians(first + sign * turn)
    ends = f"{a}{radius * math.cos(end):.9f} {b}{radius * math.sin(end):.9f} {c}{rise:.9f}"
    middle = f"{i}{-radius * math.cos(start):.9f} {j}{-radius * math.sin(start):.9f}"
    if by_radius:
        middle = f"R{radius if turn <= 180.0 else -radius:.9f}"
    done = run(
        f"G21 G90 {plane} F100\nG0 {a}{radius * math.cos(start):.9f} {b}{radius * math.sin(start):.9f} {c}0\n"
        f"G{way} {ends} {middle}\nM30\n"
    )
    assert not done.odds
    assert done.moves.length_mm[-1] == pytest.approx(math.hypot(radius * math.radians(turn), rise), rel=1e-3, abs=1e-4)
    reach = np.linalg.norm(done.moves.centre_mm[-1] - done.moves.start_mm[-1])
    assert reach == pytest.approx(radius, abs=max(2e-5, radius * 1e-3))


@pytest.mark.parametrize(
    ("arc", "odd"),
    [
        ("G2 X10 Y0 I5 J0", False),
        ("G2 X10 Y0 I5.004 J0", False),  # radii differ by 0.008, within the tolerance
        ("G2 X10 Y0 I5.006 J0", True),
        ("G3 X10 Y0 I4.5 J0", True),
        ("G2 X10 Y0 R5", False),
        ("G2 X10 Y0.001 R5", False),  # the chord is longer by 5e-8
        ("G2 X10 Y0 R4.9", True),
        ("G2 X10 Y0 R-5", False),
        ("G2 X10 Y0 R-4.99", True),
        ("G2 X10 Y0", True),
        ("G2 R5", True),
        ("G2 I5", False),
        ("G3 J-5 Z-2", False),
        ("G2 X10 Y0 K5", True),
    ],
)
def test_an_arc_that_does_not_close_is_told_and_the_nearest_that_does_is_not(arc: str, odd: bool) -> None:
    for quickly in (True, False):
        done = read(
            f"G21 G90 G0 X0 Y0\nF100\n{arc}\nM30\n".encode(), Dialect(arc_tolerance_mm=TOLERANCE), quickly=quickly
        )
        assert kinds(done) == ([("arc", 3)] if odd else [])


def test_a_circle_without_an_end_is_a_whole_turn() -> None:
    done = run("G21 G90 G0 X10 F100\nG2 I-10\nG3 I-10 Z-6\nM30\n")
    assert done.moves.length_mm[1:].tolist() == pytest.approx([20 * math.pi, math.hypot(20 * math.pi, 6.0)])


def test_turns_of_a_helix_count_where_the_machine_has_a_letter_for_them() -> None:
    done = run("G21 G90 G0 X10 F100\nG2 I-10 Z-6 P3\nM30\n", turns_word="P")
    assert done.moves.turns[-1] == 2.0
    assert done.moves.length_mm[-1] == pytest.approx(math.hypot(60 * math.pi, 6.0))


def test_arc_centres_may_be_absolute() -> None:
    done = run("G21 G90 G90.1 G0 X10 F100\nG2 X-10 I0 J0\nM30\n")
    assert done.moves.length_mm[-1] == pytest.approx(10 * math.pi)
    assert not done.odds


# ---- where things are


def test_moves_stand_in_machine_coordinates_by_the_zero_in_force() -> None:
    zeros = {"G54": (-100.0, -50.0, -200.0), "G55": (-300.0, -50.0, -200.0)}
    done = run("G21 G90 G54 G0 X1 Y2 Z3\nG55 X1\nG52 X10\nX1\nG52 X0\nG53 G0 Z0\nM30\n", offsets_mm=zeros)
    assert done.moves.end_mm.tolist() == [[-99, -48, -197], [-299, -48, -197], [-289, -48, -197], [-289, -48, 0]]
    assert done.moves.offset_mm[:, 0].tolist() == [-100.0, -300.0, -290.0, -300.0]
    assert kinds(run("G21 G56\nG0 X1\nM30\n", offsets_mm=zeros)) == [("offset", 1)]


def test_home_goes_by_way_of_the_named_point_and_takes_only_the_named_axes() -> None:
    zeros = {"G54": (-100.0, -50.0, -200.0)}
    done = run("G21 G90 G0 X0 Y0 Z10\nG91 G28 Z0\nG90 G28 X5 Y5\nG0 X0\nG28\nM30\n", offsets_mm=zeros)
    assert done.moves.end_mm[1:4].tolist() == [[-100, -50, 0], [-95, -45, 0], [0, 0, 0]]
    assert done.moves.end_mm[-1].tolist() == [0, 0, 0]
    assert set(done.moves.motion.tolist()) == {int(Motion.RAPID)}


def test_the_tools_length_lies_between_point_and_nose() -> None:
    dialect = {"offsets_mm": {"G54": (0.0, 0.0, -400.0)}, "tool_length_mm": {7: 120.0}}
    done = run("G21 G90 G43 H7 G0 Z5\nG1 Z-1 F100\nG91 G28 Z0\nG49\nM30\n", **dialect)
    nose = done.moves.end_mm[:, 2] + done.moves.tool_length_mm
    assert done.moves.end_mm[:2, 2].tolist() == [-395.0, -401.0]
    assert nose.tolist() == [-275.0, -281.0, 0.0]
    assert done.moves.length_mm.tolist() == pytest.approx([275.0, 6.0, 281.0])


def test_set_data_moves_a_work_zero() -> None:
    done = run("G21 G90\nG10 L2 P2 X-10 Y-20\nG55 G0 X1\nG10 L20 P2 X0\nX1\nG91 G10 L2 P2 X5\nG90 X0\nM30\n")
    assert done.moves.end_mm[:, 0].tolist() == [-9.0, -8.0, -4.0]
    assert kinds(run("G21\nG10 L50 P1\nM30\n")) == [("word", 2)]


def test_a_preset_gives_the_place_new_coordinates_until_it_is_taken_away() -> None:
    done = run("G21 G90 G0 X50\nG92 X0\nX10\nG92.1\nX10\nM30\n")
    assert done.moves.end_mm[:, 0].tolist() == [50.0, 60.0, 10.0]


def test_the_first_motion_without_a_word_for_it_is_told() -> None:
    assert kinds(run("G21 G90\nX5\nX6\nM30\n")) == [("motion", 2)]


def test_a_turn_of_a_rotary_axis_is_a_row_of_its_own() -> None:
    done = run("G21 G90 G0 X1 A0\nG0 A90\nG1 X5 A120 F100\nG91 A-20\nM30\n")
    assert done.moves.rotary_deg[:, 0].tolist() == [0.0, 90.0, 120.0, 100.0]
    assert done.moves.length_mm.tolist() == [1.0, 0.0, 4.0, 0.0]


@pytest.mark.parametrize("word", ["G43.4 H1", "G68.2 X0 Y0 Z0 I30", "G53.1"])
def test_tilted_planes_are_told_as_unknown_kinematics(word: str) -> None:
    assert kinds(run(f"G21 G0 X1\n{word}\nM30\n")) == [("kinematics", 2)]


# ---- what happens between moves


def test_events_stand_before_the_move_that_follows_them() -> None:
    done = run("G21 G90\nT3 M6\nS1500 M3\nM8\nG0 X1\nM1\nG4 P750\nG4 X2.5\nG0 X2 M9\nM5\nM0\nM30\n")
    told = [(event.kind.name, event.line, event.before, event.value) for event in done.events]
    assert told == [
        ("TOOL_CHANGE", 2, 0, 3.0), ("SPINDLE", 3, 0, 1500.0), ("COOLANT", 4, 0, 1.0), ("STOP", 6, 1, 1.0),
        ("DWELL", 7, 1, 0.75), ("DWELL", 8, 1, 2.5), ("COOLANT", 9, 2, 0.0), ("SPINDLE", 10, 2, 0.0),
        ("STOP", 11, 2, 0.0), ("END", 12, 2, 0.0),
    ]  # fmt: skip


def test_a_tool_waits_in_the_changer_until_the_change_and_home_comes_first() -> None:
    done = run("G21 G90 G0 Z-50\nT4\nG91 G28 Z0 M6\nT5 M1\nG90 G0 X1\nM6\nM6\nM30\n")
    changes = [(event.line, event.before, event.value) for event in done.events if event.kind is EventKind.TOOL_CHANGE]
    assert changes == [(3, 2, 4.0), (6, 3, 5.0)]
    assert done.moves.tool.tolist() == [0, 0, 4]


def test_exact_stop_holds_for_cuts_until_it_is_taken_back_or_for_one_block() -> None:
    done = run("G21 G90 G0 X1\nG61 G1 X2 F100\nX3\nG64 X4\nG9 X5\nX6\nG61\nG0 X7\nM30\n")
    assert done.moves.exact_stop.tolist() == [False, True, True, False, True, False, False]


# ---- turning


def test_a_lathes_x_is_a_diameter_and_i_a_radius() -> None:
    done = run("G21 G18 G90 G95 S500 M3\nG0 X40 Z0 F.2\nG1 Z-20\nG2 X60 Z-30 I10 K0\nG1 U4 W-1\nM30\n", **LATHE)
    assert done.moves.end_mm[:, 0].tolist() == [20.0, 20.0, 30.0, 32.0]
    assert done.moves.centre_mm[2].tolist() == [30.0, 0.0, -20.0]
    assert done.moves.length_mm[2] == pytest.approx(5 * math.pi)
    assert not done.odds


def test_constant_surface_speed_follows_the_diameter_up_to_its_cap() -> None:
    done = run("G21 G90 G95\nG50 S3000\nG96 S150 M3\nG0 X100 Z1\nG1 X50 F.2\nX0\nG97 S800\nX10\nM30\n", **LATHE)
    assert done.moves.rpm.tolist() == pytest.approx([150e3 / (100 * math.pi), 150e3 / (50 * math.pi), 3000.0, 800.0])
    assert done.moves.rpm_cap.tolist() == [3000.0] * 4
    assert done.moves.surface_m_min.tolist() == [150.0, 150.0, 150.0, 0.0]
    assert done.events[0].kind is EventKind.SPEED_CLAMP


@pytest.mark.parametrize("word", ["S0", "S-100"])
def test_a_highest_speed_of_nothing_is_told_and_the_one_before_it_kept(word: str) -> None:
    done = run(f"G21 G90 G95\nG50 S3000\nG96 S150 M3\nG50 {word}\nG0 X100 Z1\nG1 X50 F.2\nM30\n", **LATHE)
    assert [(odd.kind, odd.line) for odd in done.odds] == [("clamp", 4)]
    assert set(done.moves.rpm_cap) == {3000.0}


def test_surface_speed_in_inches_is_feet_a_minute() -> None:
    done = run("G20 G96 S500 M3\nG0 X1\nM30\n", **LATHE)
    assert done.moves.surface_m_min[0] == pytest.approx(152.4)


def test_a_lathes_tool_word_changes_at_once() -> None:
    done = run("G21 T0303\nG0 X1\nT0300\nT0101\nX2\nM30\n", **LATHE)
    assert done.moves.tool.tolist() == [3, 1]
    assert kinds(run("G21\nT3\nM30\n", **LATHE)) == [("word", 2)]


@pytest.mark.parametrize(
    "word", ["G71 U2 R1", "G76 P010060", "G70 P10 Q20", "G72 W2", "G73 U4", "G74 R1", "G92 X20 Z-9 F1"]
)
def test_a_lathes_cycles_without_an_open_source_are_told(word: str) -> None:
    done = run(f"G21 G90 G0 X50 Z2\n{word}\nM30\n", **LATHE)
    assert kinds(done) == [("word", 2)]
    assert len(done.moves) == 1


def test_a_thread_moves_by_its_lead() -> None:
    done = run("G21 G90 G97 S500 M3\nG0 X20 Z2\nG33 Z-20 K1.5\nM30\n", **LATHE)
    assert done.moves.feed_mm_min[-1] == 750.0
    assert done.moves.feed_per_turn_mm[-1] == 1.5
