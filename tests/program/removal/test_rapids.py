"""Rapids into stock: each planted fault beside the nearest move that is legal, and neither mistaken for the other."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis.strategies import floats, sampled_from

from steadyrest.program.removal.blank import BoxBlank, RoundBlank
from steadyrest.program.removal.meet import Met, meet
from steadyrest.program.removal.tool_shape import tool_shape
from steadyrest.program.removal.work import MARGIN_MM
from steadyrest.program.run import Plane
from tests.program.removal.paths import Path

BLOCK = BoxBlank((0.0, 0.0, -20.0), (60.0, 40.0, 0.0))
MILL = {
    1: tool_shape(1, "end mill", diameter_mm=10.0, role="rough"),
    2: tool_shape(2, "drill", diameter_mm=8.0, role="drill"),
    3: tool_shape(3, "ball end mill", diameter_mm=6.0),
    4: tool_shape(4, "face mill", diameter_mm=50.0, role="face"),
    5: tool_shape(5, "end mill", diameter_mm=12.0, role="finish"),
    6: tool_shape(6, "touch probe", diameter_mm=6.0, role="probe"),
    7: tool_shape(7, "end mill", diameter_mm=10.0, length_mm=15.0, holder_mm=30.0),
}
BAR = RoundBlank(40.0, (-80.0, 2.0))
LATHE = {
    1: tool_shape(1, "turning", diameter_mm=0.0, role="rough"),
    2: tool_shape(2, "drill", diameter_mm=10.0),
    3: tool_shape(3, "grooving", diameter_mm=0.0, width_mm=3.0),
    4: tool_shape(4, "part-off", diameter_mm=0.0),
    5: tool_shape(5, "boring", diameter_mm=0.0, role="finish"),
    6: tool_shape(6, "threading", diameter_mm=0.0),
}


def milled(path: Path, blank=BLOCK, **more) -> Met:
    return meet(path.moves(), blank, MILL, machine="mill", **{"resolution_mm": 0.25, **more})


def turned(path: Path, blank=BAR) -> Met:
    return meet(path.moves(), blank, LATHE, machine="lathe")


def faults(met: Met) -> list[int]:
    return [int(move) for move in met.rapids_into_stock]


def slot() -> Path:
    return Path().rapid(15, 20).rapid(z=2).feed(z=-5).feed(x=45).rapid(z=2)


def test_a_rapid_across_uncut_metal_is_found_and_how_deep() -> None:
    met = milled(Path().rapid(-10, 20).rapid(z=-3).rapid(x=70))
    assert faults(met) == [2]
    assert met.rapid_mm[2] == pytest.approx(3.0, abs=1e-9)


def test_a_rapid_just_above_the_face_and_one_in_its_plane_are_legal() -> None:
    assert faults(milled(Path().rapid(-10, 20).rapid(z=0.1).rapid(x=70).rapid(z=0).rapid(x=-10))) == []


def test_a_rapid_plunge_into_the_face_is_found_and_one_to_the_face_is_not() -> None:
    assert faults(milled(Path().rapid(30, 20).rapid(z=-0.5))) == [1]
    assert faults(milled(Path().rapid(30, 20).rapid(z=0.0))) == []


def test_a_rapid_through_a_slot_already_cut_is_legal_and_past_its_end_is_not() -> None:
    assert faults(milled(slot().rapid(15, 20).rapid(z=-5).rapid(x=45).rapid(z=2))) == []
    assert faults(milled(slot().rapid(15, 20).rapid(z=-5).rapid(x=46).rapid(z=2))) == [7]
    assert faults(milled(slot().rapid(15, 20).rapid(z=-5.5).rapid(x=45).rapid(z=2))) == [6, 7]


def test_a_wider_tool_through_the_same_slot_is_found() -> None:
    assert faults(milled(slot().tool(5).rapid(15, 20).rapid(z=-4)))[0] == 6


def test_one_fault_is_told_once_and_not_on_the_way_out() -> None:
    assert faults(milled(Path().rapid(30, 20).rapid(z=-4).rapid(z=2).rapid(z=-4).rapid(z=2))) == [1]


def test_a_diagonal_rapid_over_a_corner_is_legal_and_one_through_it_is_not() -> None:
    assert faults(milled(Path(at=(-5.1, -15, -4)).rapid(x=75, y=-5.1))) == []
    assert faults(milled(Path(at=(-20, 10, -4)).rapid(x=10, y=-20, z=-4))) == []
    assert faults(milled(Path(at=(-8, 10, -4)).rapid(x=10, y=-8, z=-4))) == [0]
    # Falling as it goes: over the edge in time, or not.
    assert faults(milled(Path(at=(30, 20, 5)).rapid(x=80, z=-10))) == [0]
    assert faults(milled(Path(at=(30, 20, 30)).rapid(x=80, z=-10))) == []


def test_a_rapid_out_of_a_hole_and_back_into_it_while_pecking_is_legal() -> None:
    for peck in (0.0, 1.7, 3.0):
        assert faults(milled(Path().tool(2).drill(30, 20, r=2, z=-19, peck=peck))) == []
    assert faults(milled(Path().tool(2).drill(30, 20, r=2, z=-15, peck=3.0, clear=-0.5)))


def test_a_rapid_down_a_drilled_hole_is_legal_only_for_a_tool_that_fits() -> None:
    assert faults(milled(Path().tool(2).drill(30, 20, r=2, z=-18).tool(3).rapid(30, 20).rapid(z=-10).rapid(z=5))) == []
    assert faults(milled(Path().tool(2).drill(30, 20, r=2, z=-18).tool(1).rapid(30, 20).rapid(z=-10)))[-1] == 5


def test_a_rapid_into_a_finished_pocket_is_legal_and_into_its_wall_is_not() -> None:
    def pocket() -> Path:
        path = Path().rapid(20, 15).rapid(z=2).feed(z=-6)
        path.feed(x=40).feed(y=25).feed(x=20).feed(y=15).feed(x=40, y=25).feed(y=20).feed(x=20)
        return path.rapid(z=10)

    assert faults(milled(pocket().rapid(30, 20).rapid(z=-6).rapid(x=40, y=25).rapid(x=20).rapid(y=15).rapid(z=2))) == []
    assert faults(milled(pocket().rapid(30, 20).rapid(z=-6).rapid(x=41, y=25)))[-1] == 13
    assert faults(milled(pocket().rapid(14, 20).rapid(z=-6)))[-1] == 12


@settings(max_examples=30, deadline=None)
@given(
    number=sampled_from([1, 3, 5]), radius=floats(1.0, 12.0), deep=floats(-10.0, -0.5), fine=floats(0.1, 1.3),
    at=floats(0.0, 1.0),
)  # fmt: skip
def test_a_rapid_back_along_a_round_finished_wall_is_never_a_fault(number, radius, deep, fine, at) -> None:
    x, y = 30.0 + at, 20.0 - at
    path = Path().tool(number).rapid(x + radius, y).rapid(z=2).feed(z=deep)
    path.arc((x, y, 0), (x + radius, y, deep)).rapid(z=30).rapid(x, y + radius).rapid(z=deep).rapid(z=5)
    path.rapid(x - radius, y).rapid(z=deep).rapid(z=1)
    assert faults(milled(path, resolution_mm=fine)) == []


@settings(max_examples=30, deadline=None)
@given(x=floats(5.0, 55.0), y=floats(5.0, 35.0), deep=floats(0.06, 15.0), fine=floats(0.1, 1.3))
def test_a_plunge_deeper_than_the_margin_is_found_at_any_place_and_resolution(x, y, deep, fine) -> None:
    assert faults(milled(Path().rapid(x, y).rapid(z=-deep), resolution_mm=fine)) == [1]
    assert faults(milled(Path().rapid(x, y).rapid(z=-0.9 * MARGIN_MM), resolution_mm=fine)) == []


def test_a_rapid_over_a_face_milled_down_is_legal_and_was_none_before() -> None:
    low = Path().tool(4).rapid(-30, 10).rapid(z=-2).feed(x=90).feed(y=35).feed(x=-30)
    assert faults(milled(low.tool(1).rapid(-10, 20).rapid(z=-2).rapid(x=70).rapid(z=-2.04).rapid(x=-10))) == []
    assert faults(milled(Path().rapid(-10, 20).rapid(z=-2).rapid(x=70))) == [2]


def test_another_work_offset_counts_from_the_same_block() -> None:
    def at(offset: tuple[float, float, float]) -> list[int]:
        path = Path(offset=(-300.0, -200.0, -400.0)).rapid(15, 20).rapid(z=2).feed(z=-5).feed(x=45).rapid(z=50)
        return faults(milled(path.work(offset).rapid(15, 20).rapid(z=-4).rapid(x=40).rapid(z=5)))

    assert at((-300.0, -200.0, -400.0)) == []
    assert at((-200.0, -200.0, -400.0)) == []
    assert at((-300.0, -200.0, -405.0)) == [6, 7]
    assert at((-300.0, -180.0, -400.0)) == [6, 7]


def test_a_probe_cuts_nothing_may_touch_but_must_not_rush() -> None:
    met = milled(Path().tool(6).rapid(-10, 20).rapid(z=-4).probe(x=5).rapid(x=-10))
    assert met.removed_mm3.sum() == 0.0
    assert met.rapid_mm[2] == 0.0
    assert faults(milled(Path().tool(6).rapid(-10, 20).rapid(z=-4).rapid(x=5))) == [2]


def test_a_longer_tool_comes_down_from_above_and_not_up_through_the_block() -> None:
    # Changed without drawing back first: under its own length the path would begin 25 mm below the face.
    path = Path().length_in_force(60.0).rapid(15, 20).rapid(z=5).tool(2).rapid(30, 20).length_in_force(90.0)
    assert path.at[2] == -25.0
    assert faults(milled(path.rapid(z=5).rapid(x=40))) == []
    low = Path().length_in_force(60.0).rapid(15, 20).rapid(z=5).tool(2).rapid(30, 20).length_in_force(90.0)
    assert faults(milled(low.rapid(z=-5))) == [3]


def test_a_home_that_lies_oddly_to_the_stock_raises_no_alarm_on_the_way_from_it_or_to_it() -> None:
    # Shop files may put machine zero below the table or in the middle of the bar: travel is all they mean by it.
    odd = Path(at=(-100.0, -100.0, -50.0), offset=(100.0, 100.0, 50.0))
    assert faults(milled(odd.rapid(30, 20, 5).feed(z=-3).rapid(z=2).rapid(z=-50).rapid(-100, -100).rapid(30, 20))) == []
    assert faults(milled(Path(at=(-100.0, -100.0, -50.0), offset=(100.0, 100.0, 50.0)).rapid(30, 20, -2))) == [0]
    bar = Path(at=(0.0, 0.0, -60.0), offset=(0.0, 0.0, 60.0)).rapid(x=22, z=1).feed(x=0).rapid(z=5).rapid(x=0, z=-60)
    assert faults(turned(bar)) == []


def test_a_tool_of_unknown_size_raises_no_alarm_that_rests_on_a_guess() -> None:
    met = milled(
        Path().tool(99).rapid(15, 20).rapid(z=2).feed(z=-5).feed(x=45).rapid(z=2).tool(1).rapid(15, 26).rapid(z=-5)
    )
    assert faults(met) == []
    assert [tool.known for tool in met.tools] == [True, False]
    assert faults(milled(Path().tool(99).rapid(15, 20).rapid(z=-5))) == [1]


def test_an_empty_spindle_meets_nothing() -> None:
    met = milled(Path().tool(0).rapid(30, 20).rapid(z=-5))
    assert faults(met) == []
    assert met.removed_mm3.sum() == 0.0


def test_a_holder_in_the_metal_is_told_with_its_depth() -> None:
    met = milled(Path().tool(7).rapid(15, 20).rapid(z=2).feed(z=-14).feed(z=-17))
    assert met.holder_mm[2] == 0.0
    assert met.holder_mm[3] == pytest.approx(2.0, abs=1e-9)


def test_cutting_with_a_standing_spindle_is_told() -> None:
    path = Path().rapid(15, 20).rapid(z=2)
    path.rpm = 0.0
    path.feed(z=-1)
    path.rpm = 900.0
    assert milled(path.feed(z=-2).rapid(z=3)).dead.tolist() == [False, False, True, False, False]


def test_a_stretch_that_cuts_where_another_had_cut_says_so() -> None:
    path = slot().tool(5).rapid(15, 20).rapid(z=2).feed(z=-5).feed(x=45).rapid(z=5).rapid(10, 50).rapid(z=-3).feed(x=20)
    met = milled(path)
    (only,) = met.follows
    assert (met.stretches[only.stretch].tool, met.stretches[only.after].tool, only.move) == (5, 1, 7)
    # Where nothing is left to cut it relies on the other all the same; above the block it does not.
    again = milled(slot().tool(7).rapid(15, 20).rapid(z=-4).feed(x=45).rapid(z=5))
    assert again.removed_mm3[5:].sum() == 0.0
    assert [f.move for f in again.follows] == [7]
    assert milled(slot().tool(7).rapid(15, 20).rapid(z=2).feed(x=45).rapid(z=5)).follows == ()
    apart = milled(Path().rapid(15, 6).rapid(z=2).feed(z=-5).rapid(z=2).tool(5).rapid(40, 30).rapid(z=1).feed(z=-5))
    assert apart.follows == ()


def test_a_break_begins_a_new_stretch_of_the_same_tool() -> None:
    path = slot().rapid(15, 20).rapid(z=1).feed(z=-8)
    met = milled(path, breaks=[5])
    assert [(s.tool, s.first, s.end) for s in met.stretches] == [(1, 0, 5), (1, 5, 8)]
    assert [(f.stretch, f.after, f.move) for f in met.follows] == [(1, 0, 7)]


def test_hundreds_of_stretches_are_told_apart_by_tool_at_least() -> None:
    path = Path()
    for k in range(200):
        path.tool(1 + k % 3).rapid(10 + k % 40, 20).rapid(z=1).feed(z=-1 - k / 50).rapid(z=2)
    met = milled(path)
    assert len(met.stretches) == 200
    assert {met.stretches[f.after].tool for f in met.follows} == {1, 2, 3}


# Lathe


def test_a_rapid_into_the_bar_is_found_and_one_beside_it_is_not() -> None:
    assert faults(turned(Path(at=(50, 0, 50)).rapid(x=18, z=5).rapid(z=-10))) == [1]
    assert faults(turned(Path(at=(50, 0, 50)).rapid(x=20, z=5).rapid(z=-60).rapid(x=50))) == []
    assert faults(turned(Path(at=(50, 0, 50)).rapid(x=20.5, z=2).rapid(x=0))) == []
    assert faults(turned(Path(at=(50, 0, 50)).rapid(x=20.5, z=1.5).rapid(x=5))) == [1]


def test_a_rapid_over_a_turned_stretch_is_legal_and_into_its_shoulder_is_not() -> None:
    path = Path(at=(50, 0, 50)).rapid(x=15, z=3).feed(z=-30).feed(x=21).rapid(z=3).rapid(x=15).rapid(z=-30)
    assert faults(turned(path.rapid(x=50))) == []
    path = Path(at=(50, 0, 50)).rapid(x=15, z=3).feed(z=-30).feed(x=21).rapid(z=3).rapid(x=15).rapid(z=-31)
    assert faults(turned(path)) == [5]


def test_a_rapid_along_the_finished_face_is_legal() -> None:
    path = Path(at=(50, 0, 50)).rapid(x=22, z=0).feed(x=-0.4).rapid(x=22).rapid(x=0).rapid(z=5)
    assert faults(turned(path)) == []
    assert faults(turned(Path(at=(50, 0, 50)).rapid(x=22, z=0).feed(x=-0.4).rapid(x=22).rapid(z=-1).rapid(x=10))) == [4]


def test_facing_a_shoulder_takes_the_ring_before_it() -> None:
    path = Path(at=(50, 0, 50)).rapid(x=21, z=1).feed(x=10).rapid(z=2).rapid(x=21).rapid(z=-1).feed(x=10)
    met = turned(path.rapid(z=2).rapid(x=15).rapid(z=-1).rapid(z=5))
    assert faults(met) == []
    assert met.removed_mm3.sum() == pytest.approx(np.pi * (400 - 100) * 3.0, rel=1e-3)


def test_a_drill_on_the_axis_pecks_without_alarm_and_rushes_with_one() -> None:
    path = Path(at=(0, 0, 50)).tool(2).rapid(z=4)
    for deep in (-3.0, -9.0, -15.0):
        path.feed(z=deep).rapid(z=4).rapid(z=deep + 0.5)
    assert faults(turned(path.feed(z=-21).rapid(z=4))) == []
    assert faults(turned(Path(at=(0, 0, 50)).tool(2).rapid(z=4).feed(z=-3).rapid(z=4).rapid(z=-4))) == [3]


def test_a_boring_bar_enters_the_drilled_hole_and_not_its_wall() -> None:
    def drilled() -> Path:
        return Path(at=(0, 0, 50)).tool(2).rapid(z=4).feed(z=-30).rapid(z=50).tool(5)

    assert faults(turned(drilled().rapid(x=4.9, z=4).rapid(z=-20).rapid(z=4))) == []
    assert faults(turned(drilled().rapid(x=6, z=4).feed(z=-20).rapid(x=5).rapid(z=4).rapid(x=6).rapid(z=-20))) == []
    assert faults(turned(drilled().rapid(x=6, z=4).rapid(z=-20))) == [4]


def test_a_grooving_tool_draws_out_of_its_own_groove_and_must_not_leave_sideways() -> None:
    def groove() -> Path:
        return Path(at=(50, 0, 50)).tool(3).rapid(x=22, z=-20).feed(x=15)

    assert faults(turned(groove().rapid(x=22).rapid(x=15).rapid(x=30))) == []
    assert faults(turned(groove().rapid(z=-30))) == [2]
    assert faults(turned(groove().rapid(x=19, z=2))) == [2]


def test_what_is_parted_off_falls_and_is_no_stock_any_more() -> None:
    path = Path(at=(50, 0, 50)).tool(4).rapid(x=22, z=-40).feed(x=0).rapid(x=22).rapid(z=5).tool(1).rapid(x=10)
    met = turned(path.rapid(z=-35).rapid(x=30))
    assert faults(met) == []
    assert met.fallen_mm3.sum() == pytest.approx(np.pi * 400 * 39.0, rel=1e-3)
    total = met.removed_mm3.sum() + met.fallen_mm3.sum() + met.left.volume_mm3()
    assert total == pytest.approx(met.blank_mm3, abs=1e-6)


def test_a_thread_takes_no_full_round_and_its_rapids_back_are_legal() -> None:
    path = Path(at=(50, 0, 50)).rapid(x=15, z=4).feed(z=-30).feed(x=25).rapid(z=4).tool(6)
    for deep in (14.6, 14.3, 14.08):
        path.rapid(x=deep).feed(z=-25).rapid(x=17).rapid(z=4)
    met = turned(path)
    assert faults(met) == []
    assert met.removed_mm3[4:].sum() == 0.0


@settings(max_examples=30, deadline=None)
@given(radius=floats(2.0, 9.0), z=floats(-60.0, -12.0))
def test_a_rapid_back_along_a_turned_arc_is_never_a_fault(radius, z) -> None:
    # A round shoulder, turned in by an arc in the lathe's plane, then passed again by the chord outside it.
    path = Path(at=(50, 0, 50)).rapid(x=20 - radius, z=3).feed(z=z)
    path.arc((20, 0, z), (20, 0, z - radius), ccw=True, plane=Plane.ZX).rapid(x=22).rapid(z=3).rapid(x=20 - radius)
    assert faults(turned(path.rapid(z=z).rapid(x=22))) == []
