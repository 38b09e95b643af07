"""The datum of each clamping, and stops where a later tool relies on what an earlier one cut."""

from __future__ import annotations

from dataclasses import replace

from steadyrest.route.best import best_routes
from steadyrest.shop.part import Part
from steadyrest.shop.work import Step
from steadyrest.wording.say import say
from tests.stations.parts import demo_shop, keyway, lift_shaft, turned


def steps_of(part: Part) -> dict[str, Step]:
    shop = demo_shop()
    return {s.id: s for s in best_routes(part, material=shop.material("C45"), quantity=1, shop=shop)[0].steps}


def test_every_clamping_says_from_where_it_measures() -> None:
    steps = steps_of(lift_shaft())
    for name in ("turn-1", "turn-2", "mill"):
        assert any(note.key.startswith("datum.") for note in steps[name].notes)
    assert any("S3" in say(note) or "gripped" in say(note) for note in steps["turn-2"].notes)


def test_a_keyway_s_depth_is_taken_from_its_shaft_as_it_reads() -> None:
    notes = [say(note) for note in steps_of(lift_shaft())["mill"].notes]
    assert any("depth of K1 is taken from S4" in note for note in notes)


def test_a_seat_that_carries_a_keyway_is_measured_before_it_leaves_the_lathe() -> None:
    # 60 um are wide enough for the lathe not to stop by itself; the keyway relies on them all the same.
    part = turned(
        [(36.0, 60.0, (35.94, 36.0)), (45.0, 40.0, None)],
        others=(keyway(10.0, 5.0, (15.0, 45.0), on="S1", around=36.0),),
    )
    held = [point for step in steps_of(part).values() for point in step.hold_points if point.feature == "S1"]
    assert len(held) == 1
    assert (held[0].low_mm, held[0].high_mm) == (35.94, 36.0)
    assert "mill relies on it" in say(held[0].if_not)


def test_without_anything_that_relies_on_it_no_stop_is_added() -> None:
    part = turned([(36.0, 60.0, (35.94, 36.0)), (45.0, 40.0, None)])
    gripped = {point.feature for step in steps_of(part).values() for point in step.hold_points}
    alone = turned([(36.0, 60.0, None), (45.0, 40.0, None)])
    assert not [point for step in steps_of(alone).values() for point in step.hold_points]
    assert gripped <= {"S1"}


def test_a_stop_stands_once_for_a_feature_that_two_tools_rely_on() -> None:
    shaft = lift_shaft()
    two = replace(
        shaft, features=(*shaft.features, replace(keyway(8.0, 4.0, (50.0, 75.0), on="S2", around=36.5125), id="K2"))
    )
    for step in steps_of(two).values():
        names = [point.feature for point in step.hold_points]
        assert len(names) == len(set(names))
