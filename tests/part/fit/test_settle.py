"""The written-out iteration against the plain one of solve.py: cylinders, cones and balls in any pose."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from steadyrest.part.fit import round as rounds
from steadyrest.part.fit.round import Sphere, Turned, turned_slopes
from steadyrest.part.fit.solve import across, solved, tukey, unit

FloatArray = np.ndarray


def moved(surface: Turned, change: FloatArray) -> Turned:
    u, v = across(surface.axis)
    half = surface.half_angle_rad + (float(change[5]) if len(change) > 5 else 0.0)
    return Turned(
        surface.point + change[0] * u + change[1] * v, unit(surface.axis + change[2] * u + change[3] * v),
        float(surface.radius_mm + change[4] / np.cos(surface.half_angle_rad)), half,
    )  # fmt: skip


def seen(many: int, taper: float, seed: int) -> tuple[FloatArray, FloatArray, Turned]:
    """Points of a round wall in any pose, weights, and a start some way off."""
    rng = np.random.default_rng(seed)
    axis = unit(rng.standard_normal(3))
    u, v = across(axis)
    turn, along = rng.uniform(0, 4, many), rng.uniform(-5, 5, many)
    radius = 6 + taper * along + 0.03 * rng.standard_normal(many)
    points = np.outer(radius * np.cos(turn), u) + np.outer(radius * np.sin(turn), v) + np.outer(along, axis) + 2
    start = Turned(points.mean(axis=0) + 0.2 * u, unit(axis + 0.05 * v), 6.3, 0.25 if taper else 0.0)
    return points, tukey(rng.uniform(-1, 1, many), 1.2), start


@pytest.mark.parametrize(("many", "taper"), [(12, 0.0), (300, 0.0), (1500, 0.0), (40, 0.3), (1500, 0.3)])
@pytest.mark.parametrize("weighted", [True, False])
def test_it_settles_where_the_plain_iteration_does(many: int, taper: float, *, weighted: bool) -> None:
    points, weights, start = seen(many, taper, seed=many)
    w = weights if weighted else None
    fit, free = (rounds.cone, 6) if taper else (rounds.cylinder, 5)
    along = float(((points - start.point) @ start.axis).mean())
    first = replace(
        start, point=start.point + along * start.axis, radius_mm=start.radius_mm + along * np.tan(start.half_angle_rad)
    )

    def look(s: Turned) -> tuple[FloatArray, FloatArray]:
        off, slopes = turned_slopes(s, points)
        return off, slopes[:, :free]

    plain, quick = solved(first, look, moved, w, 40), fit(points, start, w, 40)
    assert np.allclose(plain.distances(points), quick.distances(points), atol=1e-9)


def test_a_ball_settles_where_the_plain_iteration_does() -> None:
    rng = np.random.default_rng(2)
    way = rng.standard_normal((80, 3))
    points = 3 + (7 + 0.03 * rng.standard_normal(80))[:, None] * way / np.linalg.norm(way, axis=1)[:, None]
    start = Sphere(np.array([3.3, 2.8, 3.1]), 6.4)

    def look(s: Sphere) -> tuple[FloatArray, FloatArray]:
        away = points - s.centre
        far = np.linalg.norm(away, axis=1)
        return far - s.radius_mm, np.column_stack((-away / far[:, None], -np.ones(80)))

    plain = solved(start, look, lambda s, c: Sphere(s.centre + c[:3], float(s.radius_mm + c[3])))
    assert np.allclose(plain.distances(points), rounds.sphere(points, None, start).distances(points), atol=1e-10)


def test_points_on_one_line_settle_nothing_and_end() -> None:
    line = np.outer(np.arange(20.0), [0.0, 0.0, 1.0])
    found = rounds.cylinder(line, Turned(np.array([1.0, 0.0, 0.0]), np.array([0.0, 0.0, 1.0]), 1.0))
    assert np.isfinite(found.distances(line)).all()
