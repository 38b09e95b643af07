"""Each feature has a number of its own, and one surface is one feature."""

from __future__ import annotations

from steadyrest.part.features.draft import Draft, named
from steadyrest.part.read import read
from steadyrest.shop.part import Feature
from tests.part.solid import made


def test_two_features_called_by_one_wall_have_numbers_of_their_own() -> None:
    slots = [Draft(Feature("", "slot", (), (0.0, 0.0, 1.0), (x, 0.0, 0.0)), "slot 7") for x in (0.0, 5.0)]
    carried = Draft(Feature("", "chamfer", (), (0.0, 0.0, 1.0), (9.0, 0.0, 0.0)), "chamfer 8", on="slot 7")
    features, ids = named([*slots, carried])
    assert sorted(feature.id for feature in features) == ["F1", "F2", "F3"]
    assert next(f for f in features if f.kind == "chamfer").on == ids["slot 7"]


def test_the_floor_of_a_blind_cross_hole_is_no_flat() -> None:
    shape = made.cut(made.cylinder(30, 0, 60), made.cylinder(5, 0, 11, axis=(1, 0, 0), start=(-20, 0, 45)))
    part = read(made.step(shape), "pin.step", unit=None, progress=lambda _w, _s: None, stop=lambda: False)
    assert [f.kind for f in part.features if f.kind in ("flat", "bore")] == ["bore"]
