"""Stock cut from several sides, against exact solids of another library (manifold3d: hulls and differences)."""

from __future__ import annotations

import math

import manifold3d
import numpy as np
import pytest
from hypothesis import Phase, given, settings
from hypothesis.strategies import floats, lists, sampled_from, tuples

from steadyrest.program.removal import dexels, heights
from steadyrest.program.removal.blank import BoxBlank, MeshBlank, RoundBlank
from steadyrest.program.removal.lines import lines_of
from steadyrest.program.removal.meet import Met, meet
from steadyrest.program.removal.setting import Setting
from steadyrest.program.removal.tool_shape import tool_shape
from tests.program.removal.paths import Path

QUICK = (Phase.explicit, Phase.generate)
BLOCK = BoxBlank((0.0, 0.0, 0.0), (40.0, 30.0, 24.0))
POINT_RAD = math.radians(118.0)
TOOLS = {
    1: tool_shape(1, "end mill", diameter_mm=10.0),
    2: tool_shape(2, "drill", diameter_mm=8.0, point_rad=POINT_RAD),
    3: tool_shape(3, "ball end mill", diameter_mm=6.0),
    4: tool_shape(4, "end mill", diameter_mm=10.0, edge_mm=2.0),
}
# The spindle's way in the blank: up; along x from the right; along y from the front; from below.
SIDES = {
    (0.0, 0.0, 0.0): Setting(((1, 0, 0), (0, 1, 0), (0, 0, 1)), (0.0, 0.0, 0.0)),
    (0.0, 90.0, 0.0): Setting(((0, 0, 1), (0, 1, 0), (-1, 0, 0)), (0.0, 0.0, 0.0)),
    (90.0, 0.0, 0.0): Setting(((1, 0, 0), (0, 0, -1), (0, 1, 0)), (0.0, 0.0, 0.0)),
    (180.0, 0.0, 0.0): Setting(((1, 0, 0), (0, -1, 0), (0, 0, -1)), (0.0, 0.0, 0.0)),
}


def cut(path: Path, blank=BLOCK, *, fine: float = 0.2) -> Met:
    return meet(path.moves(), blank, TOOLS, machine="mill", resolution_mm=fine, settings=SIDES)


def solid_tool(number: int, at: np.ndarray) -> manifold3d.Manifold:
    """The tool with 100 mm of body over its tip, as a hull of rings."""
    radius = TOOLS[number].radius_mm
    rings = {
        1: [(radius, 0.0)],
        2: [(0.0, 0.0), (radius, radius / math.tan(POINT_RAD / 2.0))],
        3: [(3.0 * math.sin(a), 3.0 - 3.0 * math.cos(a)) for a in np.linspace(0.0, math.pi / 2.0, 33)],
        4: [(3.0 + 2.0 * math.sin(a), 2.0 - 2.0 * math.cos(a)) for a in np.linspace(0.0, math.pi / 2.0, 17)],
    }[number] + [(radius, 100.0)]
    angles = np.linspace(0.0, 2.0 * math.pi, 97)[:-1]
    points = [(r * math.cos(a), r * math.sin(a), z) for r, z in rings for a in angles]
    return manifold3d.Manifold.hull_points(np.array(points) + at)


def exact(cuts, blank=BLOCK) -> float:
    """The volume that straight moves take out of a block: hulls of the tool at both ends, taken away one by one."""
    size = np.subtract(blank.max_mm, blank.min_mm)
    left = manifold3d.Manifold.cube(tuple(size)).translate(blank.min_mm)
    whole = left.volume()
    for number, rotary, start, end in cuts:
        setting = SIDES[rotary]
        back = np.linalg.inv(np.array(setting.turn))
        swept = manifold3d.Manifold.batch_hull(
            [solid_tool(number, back @ np.array(start)), solid_tool(number, back @ np.array(end))]
        )
        turn = np.hstack([np.array(setting.turn, dtype=float), np.zeros((3, 1))])
        left -= swept.transform(turn)
    return whole - left.volume()


def path_of(cuts) -> Path:
    """Moves whose points are named in the blank; each is turned back into its setting's work coordinates."""
    path = Path()
    for number, rotary, start, end in cuts:
        back = np.linalg.inv(np.array(SIDES[rotary].turn))
        path.tool(number)
        path.rotary = np.array(rotary)
        path.at = back @ np.array(start)
        path.rapid()  # the work turns here, and no path is run meanwhile
        path.feed(*(back @ np.array(end)))
    return path


inside = tuples(floats(-4.0, 44.0), floats(-4.0, 34.0), floats(-4.0, 28.0))
cuts = lists(tuples(sampled_from([1, 2, 3, 4]), sampled_from(list(SIDES)), inside, inside), min_size=1, max_size=3)


@settings(max_examples=15, deadline=None, phases=QUICK)
@given(cuts=cuts)
def test_cuts_from_four_sides_take_what_exact_solids_say(cuts) -> None:
    found = cut(path_of(cuts))
    want = exact(cuts)
    # 0.2 mm lines on bodies of a few mm; 96 corners make a tool's circle 0.07 % smaller.
    assert found.removed_mm3.sum() == pytest.approx(want, rel=0.02, abs=25.0)
    assert found.removed_mm3.sum() + found.left.volume_mm3() == pytest.approx(found.blank_mm3, abs=1e-6)


@settings(max_examples=25, deadline=None, phases=QUICK)
@given(cuts=lists(tuples(sampled_from([1, 2, 3, 4]), inside, inside), min_size=1, max_size=3))
def test_from_above_lines_and_heights_are_the_same(cuts) -> None:
    path = path_of([(number, (0.0, 0.0, 0.0), start, end) for number, start, end in cuts])
    lines = cut(path, fine=0.5).left.tops(0.0)
    field = meet(path.moves(), BLOCK, TOOLS, machine="mill", resolution_mm=0.5).left
    assert lines.heights_mm == pytest.approx(field.heights_mm, abs=1e-5)


def test_a_slot_cut_from_the_side_leaves_a_bridge_over_it() -> None:
    # An end mill of 10 along x from the right at half height, 20 deep: a round tunnel, metal above and below.
    found = cut(path_of([(1, (0.0, 90.0, 0.0), (60.0, 15.1, 12.0), (20.0, 15.1, 12.0))]), fine=0.1)
    assert found.removed_mm3.sum() == pytest.approx(math.pi * 25.0 * 20.0, rel=2e-3)
    row = int(15.1 / 0.1)
    assert found.left.counts[row, -1] == 2
    assert found.left.highs_mm[row, -1, 0] == pytest.approx(7.0, abs=1e-3)
    assert found.left.lows_mm[row, -1, 1] == pytest.approx(17.0, abs=1e-3)


def test_rapids_are_judged_from_every_side_and_undercuts_are_air() -> None:
    tunnel = [(1, (0.0, 90.0, 0.0), (60.0, 15.0, 12.0), (20.0, 15.0, 12.0))]
    path = path_of(tunnel)
    path.rapid(*(np.linalg.inv(np.array(SIDES[0.0, 90.0, 0.0].turn)) @ np.array((60.0, 15.0, 12.0))))
    assert [int(k) for k in cut(path).rapids_into_stock] == []
    deeper = path_of(tunnel)
    deeper.rapid(*(np.linalg.inv(np.array(SIDES[0.0, 90.0, 0.0].turn)) @ np.array((15.0, 15.0, 12.0))))
    assert [int(k) for k in cut(deeper).rapids_into_stock] == [2]
    above = path_of(tunnel)
    above.rotary = np.zeros(3)
    above.at = np.array([30.0, 15.0, 40.0])
    above.rapid()
    above.rapid(z=24.0)
    assert [int(k) for k in cut(above).rapids_into_stock] == []
    assert [int(k) for k in cut(above.rapid(z=20.0)).rapids_into_stock] == [4]


def test_moves_at_an_unknown_position_of_the_rotary_axes_are_left_out_and_said() -> None:
    path = path_of([(1, (0.0, 0.0, 0.0), (20.0, 15.0, 30.0), (20.0, 15.0, 20.0))])
    path.rotary = np.array([0.0, 45.0, 0.0])
    path.feed(z=0.0)
    for found in (cut(path), meet(path.moves(), BLOCK, TOOLS, machine="mill")):
        assert found.unmet.tolist() == [False, False, True]
        assert found.removed_mm3[2] == 0.0


def test_a_mesh_keeps_its_undercuts() -> None:
    ring = manifold3d.Manifold.cylinder(20.0, 10.0, 10.0, 128) - manifold3d.Manifold.cylinder(
        8.0, 6.0, 6.0, 128
    ).translate((0.0, 0.0, 6.0))
    mesh = ring.to_mesh()
    blank = MeshBlank(np.array(mesh.vert_properties[:, :3], dtype=float), np.array(mesh.tri_verts, dtype=np.int64))
    assert lines_of(blank, resolution_mm=0.2).volume_mm3() == pytest.approx(ring.volume(), rel=5e-3)


def test_a_mesh_and_a_bar_of_the_same_shape_are_the_same_stock_seen_from_above() -> None:
    bar = manifold3d.Manifold.cylinder(20.0, 10.0, 10.0, 256).to_mesh()
    blank = MeshBlank(np.array(bar.vert_properties[:, :3], dtype=float), np.array(bar.tri_verts, dtype=np.int64))
    path = Path().tool(1).rapid(0.0, 0.0).rapid(z=21.0).feed(z=14.0).feed(x=20.0)
    one = meet(path.moves(), blank, TOOLS, machine="mill", resolution_mm=0.1)
    two = meet(path.moves(), RoundBlank(20.0, (0.0, 20.0)), TOOLS, machine="mill", resolution_mm=0.1)
    assert one.removed_mm3.sum() == pytest.approx(two.removed_mm3.sum(), rel=2e-3)


def test_both_loops_read_a_tool_alike() -> None:
    names = ("FORM", "RADIUS", "FLAT", "CORNER", "SLOPE", "CUTS", "TEST_RADIUS", "LENGTH", "HOLDER", "BULL")
    assert [getattr(dexels, name) for name in names] == [getattr(heights, name) for name in names]
