"""Relations between surfaces of a scan: what holds is found and imposed, a near miss is refused."""

from __future__ import annotations

import numpy as np
import pytest

from steadyrest.part.patch import Patch, PatchGraph
from steadyrest.part.relations.impose import imposed
from steadyrest.part.relations.said import named_relations
from steadyrest.part.relations.standing import vec

NOISE_MM, APART_MM = 0.03, 0.8


def unit(v):
    return np.asarray(v, dtype=float) / np.linalg.norm(v)


def across(axis):
    u = np.cross(axis, (1.0, 0.0, 0.0) if abs(axis[0]) < 0.7 else (0.0, 1.0, 0.0))
    u = unit(u)
    return u, np.cross(axis, u)


def plane(number, at, normal, rng, *, side_mm=30.0):
    """A scanned square: independent points APART_MM apart, the plane of least squares through them."""
    normal = unit(normal)
    u, v = across(normal)
    grid = np.arange(-side_mm / 2, side_mm / 2, APART_MM)
    x, y = (g.ravel() for g in np.meshgrid(grid, grid))
    points = np.asarray(at, dtype=float) + x[:, None] * u + y[:, None] * v
    points = points + NOISE_MM * rng.standard_normal(len(points))[:, None] * normal
    middle = points.mean(axis=0)
    own = np.linalg.eigh(np.cov((points - middle).T))[1][:, 0]
    own = own if own @ normal > 0 else -own
    points.setflags(write=False)
    return Patch(number, "plane", vec(middle), vec(own), area_mm2=side_mm**2, points=points, rms_mm=NOISE_MM)


def bore(number, at, axis, radius_mm, rng, *, long_mm=14.0):
    """A scanned hole, its free fit by least squares."""
    from steadyrest.part.fit.round import Turned, cylinder

    axis = unit(axis)
    u, v = across(axis)
    many = int(2 * np.pi * radius_mm / APART_MM)
    turn, t = np.meshgrid(np.arange(many) * 2 * np.pi / many, np.arange(-long_mm / 2, long_mm / 2, APART_MM))
    r = radius_mm + NOISE_MM * rng.standard_normal(turn.size)
    points = np.asarray(at, dtype=float) + t.ravel()[:, None] * axis
    points = points + (r * np.cos(turn.ravel()))[:, None] * u + (r * np.sin(turn.ravel()))[:, None] * v
    fit = cylinder(points, Turned(np.asarray(at, dtype=float), axis, radius_mm))
    points.setflags(write=False)
    return Patch(
        number, "cylinder", vec(fit.point), vec(fit.axis), fit.radius_mm, inside=True, arc_rad=2 * np.pi,
        along_mm=(-long_mm / 2, long_mm / 2), area_mm2=2 * np.pi * radius_mm * long_mm, u_radius_mm=0.01,
        unworn_mm=fit.radius_mm, u_unworn_mm=0.01, points=points, rms_mm=NOISE_MM,
    )  # fmt: skip


def graph(*patches, **changes):
    about = {"noise_mm": NOISE_MM, "correlation_mm": APART_MM / np.sqrt(2 * np.pi)} | changes
    return PatchGraph(patches, (), True, ((-50.0, -50.0, -50.0), (50.0, 50.0, 50.0)), 1e4, None, 1, **about)


def held(relations, kind):
    return [r for r in relations if r.kind == kind and r.imposed]


def test_walls_that_are_parallel_become_so_exactly_and_others_square() -> None:
    rng = np.random.default_rng(1)
    top, bottom = plane(0, (0, 0, 10), (0, 0, 1), rng), plane(1, (0, 0, -10), (0, 0, -1), rng, side_mm=20)
    side = plane(2, (15, 0, 0), (1, 0, 0), rng, side_mm=12)
    after, relations = imposed(graph(top, bottom, side))
    a, b, c = (np.array(p.axis) for p in after.patches)
    assert a @ b == pytest.approx(-1, abs=1e-10)
    assert a @ c == pytest.approx(0, abs=1e-6)
    assert len(held(relations, "parallel")) == len(held(relations, "square")) == 1
    assert all(r.misfit_mm < 6 * NOISE_MM for r in relations)
    assert all(new.u_axis_rad < 3e-3 for new in after.patches)


def test_a_wall_two_degrees_less_a_bit_off_is_not_made_parallel() -> None:
    rng = np.random.default_rng(2)
    lean = np.radians(1.0)
    a, b = plane(0, (0, 0, 10), (0, 0, 1), rng), plane(1, (0, 0, -10), (np.sin(lean), 0, -np.cos(lean)), rng)
    after, relations = imposed(graph(a, b))
    assert not held(relations, "parallel")
    angle = np.arccos(np.clip(-np.dot(after.patches[0].axis, after.patches[1].axis), -1, 1))
    assert angle == pytest.approx(lean, abs=1e-3)


def test_two_parallel_walls_get_the_normal_that_fits_both_best() -> None:
    """The outside twin: one direction for both sets of points, each about its own middle, by the least spread."""
    rng = np.random.default_rng(3)
    a, b = plane(0, (0, 0, 10), (0, 0, 1), rng), plane(1, (3, 1, -10), (0, 0, -1), rng, side_mm=16)
    after, relations = imposed(graph(a, b))
    assert len(held(relations, "parallel")) == 1
    spread = sum(np.cov((p.points - p.points.mean(axis=0)).T) * len(p.points) for p in (a, b))
    together = np.linalg.eigh(spread)[1][:, 0]
    # The stand-in for a scanner's drift tilts the small wall less than its noise would alone.
    assert abs(together @ np.array(after.patches[0].axis)) == pytest.approx(1, abs=1e-7)


def test_holes_of_one_size_share_it_and_a_tenth_larger_one_does_not() -> None:
    rng = np.random.default_rng(4)
    holes = [bore(k, (12 * k, 0, 0), (0, 0, 1), 3.3, rng) for k in range(4)]
    odd = bore(4, (0, 20, 0), (0, 0, 1), 3.4, rng)
    after, relations = imposed(graph(*holes, odd))
    radii = [p.radius_mm for p in after.patches]
    free = [p.radius_mm for p in holes]
    assert max(radii[:4]) - min(radii[:4]) < max(free) - min(free)
    assert radii[0] == pytest.approx(3.3, abs=0.006)
    assert radii[4] == pytest.approx(3.4, abs=0.012)
    assert len(held(relations, "equal radius")) == 3
    assert after.patches[0].u_radius_mm < holes[0].u_radius_mm


def test_a_counterbore_and_its_hole_become_one_line() -> None:
    rng = np.random.default_rng(5)
    wide, small = bore(0, (0, 0, 6), (0, 0, 1), 7.5, rng), bore(1, (0, 0, -8), (0, 0, 1), 4.5, rng)
    after, relations = imposed(graph(wide, small))
    a, b = after.patches
    assert len(held(relations, "coaxial")) == 1
    off = np.subtract(b.point, a.point)
    assert np.linalg.norm(np.cross(off, a.axis)) < 1e-3
    aside = bore(1, (0.15, 0, -8), (0, 0, 1), 4.5, rng)
    _, relations = imposed(graph(wide, aside))
    assert not held(relations, "coaxial")


def ring(rng, off_mm=0.0):
    places = [(20 * np.cos(a), 20 * np.sin(a), 0.0) for a in 0.4 + np.arange(6) * np.pi / 3]
    places[2] = (places[2][0] + off_mm, places[2][1], 0.0)
    return [bore(k, at, (0, 0, 1), 3.3, rng) for k, at in enumerate(places)]


def test_a_circle_of_holes_is_evenly_spaced_and_a_shifted_hole_breaks_it() -> None:
    after, relations = imposed(graph(*ring(np.random.default_rng(6))))
    assert len(held(relations, "evenly spaced")) == 1
    at = np.array([p.point for p in after.patches])[:, :2]
    steps = np.linalg.norm(at - np.roll(at, 1, axis=0), axis=1)
    assert steps == pytest.approx([20.0] * 6, abs=0.03)
    assert np.ptp(steps) < 2e-3
    _, relations = imposed(graph(*ring(np.random.default_rng(6), off_mm=0.2)))
    assert not held(relations, "evenly spaced")


def test_a_slot_in_the_middle_is_symmetric_and_one_beside_it_is_not() -> None:
    def walls(rng, middle):
        outer = [plane(0, (30, 0, 0), (1, 0, 0), rng), plane(1, (-30, 0, 0), (-1, 0, 0), rng)]
        return *outer, plane(2, (middle - 6, 0, 0), (1, 0, 0), rng), plane(3, (middle + 6, 0, 0), (-1, 0, 0), rng)

    _, relations = imposed(graph(*walls(np.random.default_rng(7), 0.0)))
    assert len(held(relations, "symmetric")) == 1
    _, relations = imposed(graph(*walls(np.random.default_rng(7), 0.1)))
    assert not held(relations, "symmetric")


def test_an_exact_part_and_a_turned_one_stay_as_they_are() -> None:
    rng = np.random.default_rng(8)
    patches = [plane(0, (0, 0, 10), (0, 0, 1), rng), plane(1, (0, 0, -10), (0, 0, -1), rng)]
    for same in (graph(*patches, noise_mm=0.0), graph(*patches, axis=((0.0, 0.0, 0.0), (0.0, 0.0, 1.0)))):
        assert imposed(same) == (same, ())


def test_relations_are_said_of_features_and_those_without_one_are_left_out() -> None:
    rng = np.random.default_rng(9)
    _, relations = imposed(graph(*ring(rng)))
    said = named_relations(relations, [(k, f"F{k + 1}") for k in range(6)])
    assert len(said) == len(relations)
    assert {name for r in said for name in r.features} == {f"F{k + 1}" for k in range(6)}
    assert all(0 <= r.odds <= 1 for r in said)
    assert named_relations(relations, []) == ()
