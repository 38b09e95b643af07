"""A solid that is a plate goes over the cutter where that is cheaper; the mill makes what the cutter leaves."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from steadyrest.part.read import read
from steadyrest.route.best import best_routes
from steadyrest.route.plate_finishing import cut_out
from steadyrest.shop.figure import because
from steadyrest.shop.floor import CutterLimits, Shop
from steadyrest.shop.part import Feature, Limits, Part
from steadyrest.shop.solid_grid import grid_of
from steadyrest.shop.work import Route
from steadyrest.wording.say import say
from tests.part.solid.made import box, counterbored_plate, cut, cylinder, moved, step
from tests.stations.parts import demo_shop


def solid(shape) -> Part:
    return read(step(shape), "p.step", unit=None, grid=True, progress=lambda _w, _s: None, stop=lambda: False)


def routes(part: Part, *, quantity: int = 2, shop: Shop | None = None) -> tuple[Route, ...]:
    floor = shop or demo_shop()
    return best_routes(part, material=floor.material("S235"), quantity=quantity, shop=floor)


def from_plate(found: tuple[Route, ...]) -> Route:
    return next(route for route in found if any(step.station == "plate" for step in route.steps))


@pytest.fixture(scope="module")
def plate() -> Part:
    return solid(moved(counterbored_plate(10.0), turn_deg=37.0, about=(0.6, 0.8, 0.0)))


@pytest.fixture(scope="module")
def way(plate: Part) -> Route:
    return from_plate(routes(plate))


def test_every_feature_is_made_once_or_refused_with_a_reason(plate: Part, way: Route) -> None:
    made = [name for step in way.steps for name in step.makes]
    refused = [name for no in way.cannot for name in no.features]
    assert sorted({*made, *refused}) == sorted(feature.id for feature in plate.features)
    assert not set(made) & set(refused)
    assert len(made) == len(set(made))
    assert all(say(reason) for no in way.cannot for reason in no.reasons)


def test_the_cutter_makes_what_goes_through_and_the_mill_what_is_sunk(plate: Part, way: Route) -> None:
    maker = {name: step.station for step in way.steps for name in step.makes}
    kinds = {feature.id: feature.kind for feature in plate.features}
    large = next(f.id for f in plate.features if f.kind == "bore" and abs(f.sizes[0].estimate - 20.0) < 0.01)
    sunk = next(f.id for f in plate.features if f.kind == "bore" and abs(f.sizes[0].estimate - 15.0) < 0.01)
    assert maker[large] == "plate"
    assert maker[sunk] == "mill"
    assert {maker[name] for name, kind in kinds.items() if kind == "pocket" and not plate.feature(name).through} == {
        "mill"
    }
    order = [step.station for step in way.steps]
    assert order.index("plate") < order.index("mill") < order.index("inspect")


def test_the_mill_takes_away_no_more_than_what_is_sunk(way: Route) -> None:
    # Counterbore and pocket are 7.4 cm3; cleared from the block it would be half as much again for the window alone.
    mill_s = sum(step.split[0].value for step in way.steps if step.station == "mill" and step.split)
    assert mill_s < 15 * 60


def test_without_a_cutter_it_is_milled(plate: Part) -> None:
    shop = demo_shop()
    bare = replace(shop, machines=tuple(m for m in shop.machines if not isinstance(m.limits, CutterLimits)))
    assert all(step.station != "plate" for route in routes(plate, shop=bare) for step in route.steps)


def test_a_thickness_that_nobody_keeps_is_faced_from_thicker_plate() -> None:
    part = solid(cut(box((0, 0, 0), (120, 80, 9)), cylinder(16, -1, 10, at=(40, 40))))
    found = from_plate(routes(part))
    assert found.blank is not None
    assert found.blank.size_mm[-1] == 10.0
    faced = [note for step in found.steps for note in step.notes if note.key == "route.plate_faced"]
    assert faced
    assert "10" in say(faced[0])


def test_a_thin_disc_is_cut_round() -> None:
    part = solid(cut(cylinder(180, 0, 6), cylinder(60, -1, 7)))
    assert part.axisymmetric
    found = from_plate(routes(part))
    assert not found.cannot
    assert {step.station for step in found.steps if step.makes} == {"plate"}


def test_a_cut_edge_with_close_limits_is_left_with_stock_and_milled() -> None:
    plate = solid(
        cut(box((0, 0, 0), (140, 90, 10)), box((20, 20, -1), (70, 60, 11)), cylinder(20, -1, 11, at=(105, 45)))
    )
    window = next(f for f in plate.features if f.through and f.kind in ("slot", "pocket"))
    first = window.sizes[0]
    assert first.nominal is not None
    close = Limits(first.nominal.value, first.nominal.value + 0.03, (because("plate.stay"),))
    fine = replace(window, sizes=(replace(first, nominal=replace(first.nominal, limits=close)), *window.sizes[1:]))
    part = replace(plate, features=tuple(fine if one is window else one for one in plate.features))
    found = from_plate(routes(part))
    maker = {name: step.station for step in found.steps for name in step.makes}
    assert maker.get(window.id) == "mill"
    plasma = next(step for step in found.steps if step.id == "cut from plate")
    stock = [note for note in plasma.notes if note.key == "plate.edge_stock"]
    assert [dict(note.given)["feature"] for note in stock] == [window.id]


def test_round_a_rim_that_is_left_a_band_stays_to_be_milled_and_the_rest_is_cut_away() -> None:
    filled = np.zeros((60, 40, 4), dtype=np.bool_)
    filled[:, :20] = True  # half of its box
    grid = grid_of(filled, pitch_mm=1.0, origin_mm=(0.0, 0.0, 0.0), frame=((1, 0, 0), (0, 1, 0), (0, 0, 1)))
    edge = Feature("E", "face", (), (0.0, 1.0, 0.0), (30.0, 20.0, 2.0))
    left = cut_out(grid, (edge,), {0: (edge,)}).filled()
    assert not left[:, 20:22].any(), "2 mm along the edge are still to be taken off"
    assert left[:, 22:].all(), "what lies farther out is cut away already"
    assert cut_out(grid, (edge,)).filled().all(), "an edge that the cutter makes leaves nothing"
