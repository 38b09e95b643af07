"""Laws of a sheet drawn into a cavity in three dimensions."""

from __future__ import annotations

import numpy as np
import pytest

from steadyrest.stations.form.bubble import drawn_into
from steadyrest.stations.form.cavity import cavity
from steadyrest.stations.form.sheet import on_mould
from steadyrest.trouble import BadInput


def quiet(what, share):
    """Progress that nobody looks at."""


def never():
    return False


def pan(length, width, depth, draft=0.0):
    """The inside of a box, open above, its rim in z = 0."""
    a, b, d = length / 2, width / 2, draft
    corners = [(-a, -b, 0), (a, -b, 0), (a, b, 0), (-a, b, 0)]
    corners += [(-a + d, -b + d, -depth), (a - d, -b + d, -depth), (a - d, b - d, -depth), (-a + d, b - d, -depth)]
    faces = [
        (0, 1, 5),
        (0, 5, 4),
        (1, 2, 6),
        (1, 6, 5),
        (2, 3, 7),
        (2, 7, 6),
        (3, 0, 4),
        (3, 4, 7),
        (4, 5, 6),
        (4, 6, 7),
    ]
    return np.array(corners, dtype=float), np.array(faces)


def block(length, width, depth, margin=20.0):
    """The same cavity cut into a solid block, as a closed surface."""
    corners, faces = pan(length, width, depth)
    a, b = length / 2 + margin, width / 2 + margin
    more = [(-a, -b, 0), (a, -b, 0), (a, b, 0), (-a, b, 0)]
    more += [(x, y, -depth - margin) for x, y, _ in more]
    outside = [(8 + k, 8 + (k + 1) % 4, 12 + (k + 1) % 4) for k in range(4)]
    outside += [(8 + k, 12 + (k + 1) % 4, 12 + k) for k in range(4)] + [(12, 13, 14), (12, 14, 15)]
    top = [(8 + k, 8 + (k + 1) % 4, (k + 1) % 4) for k in range(4)] + [(8 + k, (k + 1) % 4, k) for k in range(4)]
    return np.concatenate((corners, np.array(more, dtype=float))), np.concatenate((faces, np.array(outside + top)))


def lid(length, width, depth):
    """The cavity's own shape as a solid."""
    corners, faces = pan(length, width, depth)
    return corners, np.concatenate((faces, [(0, 2, 1), (0, 3, 2)]))


def test_the_cavity_is_the_same_as_a_shell_in_a_block_and_as_a_solid():
    for made in (pan, block, lid):
        hollow = cavity(*made(60.0, 40, 20), "mould.stl")
        assert hollow.rim_mm2 == pytest.approx(2400, rel=1e-3)
        assert hollow.area_mm2 == pytest.approx(2400 + 200 * 20, rel=1e-3)


def test_a_floor_whose_triangles_meet_in_its_middle_is_a_floor():
    # Whichever corner of its triangles comes first.
    corners, faces = pan(60.0, 40, 20)
    corners = np.concatenate((corners, [(0.0, 0, -20)]))
    for roll in range(3):
        fan = np.roll([(4, 5, 8), (5, 6, 8), (6, 7, 8), (7, 4, 8)], roll, axis=1)
        hollow = cavity(corners, np.concatenate((faces[:-2], fan)), "mould.stl")
        assert hollow.area_mm2 == pytest.approx(2400 + 200 * 20, rel=1e-3)


def test_a_surface_that_meets_itself_not_to_the_last_digit_is_closed():
    turn = np.linspace(0, 2 * np.pi, 33)  # the last is the first but for rounding
    ring = np.column_stack((30 * np.cos(turn), 30 * np.sin(turn), np.zeros(33)))
    corners = np.concatenate((ring, ring - (0, 0, 20), [(0.0, 0, -20)]))
    faces = [(k, k + 33, k + 34) for k in range(32)] + [(k, k + 34, k + 1) for k in range(32)]
    hollow = cavity(corners, np.array(faces + [(k + 33, 66, k + 34) for k in range(32)]), "mould.stl")
    assert hollow.area_mm2 == pytest.approx(hollow.rim_mm2 + 32 * 60 * np.sin(np.pi / 32) * 20, rel=1e-3)


def test_two_cavities_have_two_rims():
    corners, faces = pan(30.0, 30, 10)
    both = np.concatenate((corners - np.array([40.0, 0, 0]), corners + np.array([40.0, 0, 0])))
    hollow = cavity(both, np.concatenate((faces, faces + len(corners))), "mould.stl")
    assert sorted(round(rim.centroid.x) for rim in hollow.rims) == [-40, 40]
    assert hollow.rim_mm2 == pytest.approx(1800, rel=1e-3)


@pytest.fixture(scope="module")
def box():
    """A box of 60 x 60 x 30, coarsely."""
    hollow = cavity(*pan(60, 60, 30), "mould.stl")
    return hollow, drawn_into(hollow, 1.0, where="mould.stl", progress=quiet, stop=never, coarse=0.35)


def test_none_of_the_sheet_is_lost(box):
    hollow, sheet = box
    assert float(sheet.area_mm2() @ sheet.thick_mm) == pytest.approx(hollow.rim_mm2, rel=1e-3)
    assert float(sheet.area_mm2().sum()) == pytest.approx(hollow.area_mm2, rel=0.03)


def test_a_square_box_is_drawn_alike_on_its_four_sides_and_thinnest_at_its_corners(box):
    _, sheet = box
    sides = np.array([(30.0, 0, -15), (-30, 0, -15), (0, 30, -15), (0, -30, -15)])
    found, off = on_mould(sheet, sides)
    assert found == pytest.approx(found.mean(), rel=0.02)
    assert off.max() < 0.1
    floor, edge = on_mould(sheet, np.array([(0.0, 0, -30)]))[0][0], on_mould(sheet, np.array([(29.0, 0, -30)]))[0][0]
    assert floor > edge > sheet.least_mm
    assert sheet.bridges


def test_a_hole_in_the_mould_is_told():
    corners, faces = pan(60.0, 40, 20)
    with pytest.raises(BadInput, match="hole"):
        drawn_into(
            cavity(corners, faces[:-1], "mould.stl"), 1.0, where="mould.stl", progress=quiet, stop=never, coarse=0.4
        )


@pytest.mark.parametrize("change", [(1, 1, -1), (1, 1, 0)])
def test_a_mould_that_is_not_below_its_rim_is_told(change):
    corners, faces = pan(60.0, 40, 20)
    with pytest.raises(BadInput, match="below z = 0"):
        cavity(corners * change, faces, "mould.stl")


def test_an_open_rim_is_told():
    corners, faces = pan(60.0, 40, 20)
    with pytest.raises(BadInput, match="closed rim"):
        cavity(corners, faces[2:], "mould.stl")


def test_whoever_asks_to_stop_is_heard():
    with pytest.raises(InterruptedError):
        drawn_into(cavity(*pan(60, 60, 40), "m"), 1e-3, where="m", progress=quiet, stop=lambda: True, coarse=0.4)
