"""Every way over the floor: what a lathe does not make is tried on the mill; what treatments ask is said where it is
done; which edges a lot wears."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis.strategies import floats, integers

from steadyrest.route.best import best_routes
from steadyrest.route.drawer import edges
from steadyrest.route.turned_cells import as_body, cells_of_profile
from steadyrest.shop.finish import finishes
from steadyrest.shop.floor import Shop
from tests.stations.parts import demo_shop, keyway, lift_shaft, turned


def without_lathes() -> Shop:
    shop = demo_shop()
    return replace(shop, machines=tuple(machine for machine in shop.machines if machine.kind != "lathe"))


def test_a_turned_part_that_no_lathe_makes_is_milled_and_the_lathe_s_no_is_kept() -> None:
    part = turned([(40.0, 20.0, None), (25.0, 12.0, None)])
    shop = without_lathes()
    best = best_routes(part, material=shop.material("C45"), quantity=1, shop=shop)[0]
    assert any(step.station == "mill" for step in best.steps)
    assert any(reason.key == "route.milled_whole" for reason in best.why)
    assert "turn.no_lathe" in {reason.key for no in best.refused for reason in no.reasons}


def test_what_the_cells_do_not_show_stays_undone() -> None:
    part = turned([(40.0, 40.0, None)], others=(keyway(8.0, 4.0, (10.0, 30.0), on="S1", around=40.0, fit=False),))
    shop = without_lathes()
    best = best_routes(part, material=shop.material("C45"), quantity=1, shop=shop)[0]
    left = {name for no in best.cannot for name in no.features}
    assert "K1" in left


@settings(deadline=None, max_examples=25)
@given(floats(10, 60), floats(10, 60), floats(5, 40), floats(0.3, 0.9))
def test_cells_of_a_profile_weigh_what_its_stretches_weigh(a: float, b: float, long: float, share: float) -> None:
    part = turned([(a, long, None), (b, long, None)], bores=((share * min(a, b), 0.0, 2 * long),))
    profile = part.profile
    assert profile is not None
    body, _ = as_body(part)
    assert body.grid is not None
    volume = float(body.grid.filled().sum()) * body.grid.pitch_mm**3
    hole = math.pi / 4 * (share * min(a, b)) ** 2 * 2 * long
    exact = math.pi / 4 * (a * a + b * b) * long - hole
    assert volume == pytest.approx(exact, rel=0.06)
    assert body.frame is not None
    np.testing.assert_allclose(np.array(body.frame) @ np.array(body.frame).T, np.eye(3), atol=1e-9)
    assert np.linalg.det(np.array(body.frame)) == pytest.approx(1.0)
    assert body.size_mm == tuple(sorted(body.size_mm, reverse=True))


def test_the_cells_stand_where_the_part_stands() -> None:
    part = turned([(30.0, 50.0, None), (20.0, 10.0, None)])
    assert part.profile is not None
    grid = cells_of_profile(
        part.profile, frame=((0, 0, 1), (1, 0, 0), (0, 1, 0)), size_mm=(60.0, 30.0, 30.0), long=True
    )
    filled = grid.filled()
    for point, inside in (((0, 0, 5), True), ((14, 0, 20), True), ((12, 0, 57), False), ((0, 9, 57), True)):
        cell = tuple(int(value) for value in grid.at(point))
        assert bool(filled[cell]) is inside, point


def test_limits_to_leave_and_centres_for_the_grinder_stand_at_the_lathe() -> None:
    shop = demo_shop()
    asked = finishes(("case hardened 0.6 mm 58 HRC", "ground S2, S5"))
    best = best_routes(lift_shaft(), material=shop.material("16MnCr5"), quantity=1, shop=shop, finishes=asked)[0]
    turning = [step for step in best.steps if step.station == "turn"]
    said = {(reason.key, dict(reason.given).get("feature")) for step in turning for reason in step.notes}
    assert {("outside.leave_grinding", "S2"), ("outside.leave_grinding", "S5"), ("outside.centres", None)} <= said
    for step in turning:
        for reason in step.notes:
            if reason.key == "outside.leave_grinding":
                assert dict(reason.given)["feature"] in step.makes


@given(floats(0, 5000), floats(1, 20000))
def test_fresh_edges_and_what_is_left_carry_the_run_and_one_fewer_does_not(before_s: float, run_s: float) -> None:
    machine = demo_shop().machine("lathe")
    tool = machine.tools[0]
    found = edges(machine, tool.number, before_s=before_s, run_s=run_s)
    used = min(tool.used_s, tool.life_s) + before_s
    left = tool.life_s - math.fmod(used, tool.life_s)
    count = dict(found[0].given)["count"] if found else 0.0
    assert isinstance(count, float)
    assert left + count * tool.life_s >= run_s - 1e-6
    if count:
        assert left + (count - 1) * tool.life_s < run_s + 1e-6


@given(integers(1, 30))
def test_a_tool_that_lasts_asks_for_no_edge(seconds: int) -> None:
    machine = demo_shop().machine("lathe")
    assert edges(machine, machine.tools[0].number, before_s=0.0, run_s=float(seconds)) == ()
