"""What a machinist does at a turned part's ends: centre holes, hubs in the chuck, keyways in hubs, hexagons, rings."""

from __future__ import annotations

from dataclasses import replace

import pytest

from steadyrest.shop.part import Feature, Part, Stretch
from steadyrest.shop.work import Blank
from steadyrest.stations import sizes
from steadyrest.stations.answer import Answer, Ask, State
from steadyrest.stations.mill.answering import answer as mill
from tests.stations.parts import demo_shop, keyway, lift_shaft, round_feature, size, turned
from tests.stations.test_turn import ask, lathe


def milled(part: Part) -> Answer:
    shop = demo_shop()
    state = State(Blank("round", (40.0,), 60.0, 0.6, "C45", ()), "bright drawn", 60.0, 0.6, sawn=True)
    return mill(Ask(part, tuple(f.id for f in part.features), state, shop.material("C45"), 1, shop,
                    shop.machine("mill")))  # fmt: skip


def with_centre(wide_mm: float, angle_off: float = 0.0) -> Part:
    """A pin with a small countersink and its pilot in its end, as a scan reads a centre hole."""
    part = turned([(35.0, 60.0, None), (45.0, 40.0, None)])
    assert part.profile is not None
    deep = (wide_mm - 2.0) / 2.0 / 0.57735 + angle_off
    cone = Stretch(0.0, deep, wide_mm, 2.0, "C1")
    pilot = Stretch(deep, deep + 2.0, 2.0, 1.9, "C2")
    features = tuple(
        replace(round_feature(name, "bore", s.largest_mm, (s.from_mm, s.to_mm)), kind="cone")
        for name, s in (("C1", cone), ("C2", pilot))
    )
    return replace(
        part, features=(*part.features, *features), profile=replace(part.profile, inside=(cone, pilot))
    )  # fmt: skip


def test_a_centre_hole_is_drilled_with_a_centre_drill_and_not_bored() -> None:
    got = ask(with_centre(5.9), 46.0, lathe())
    assert {"C1", "C2"} <= set(got.made)
    (step,) = [step for step in got.steps if "C1" in step.makes]
    assert "T4 centre drill" in step.tools
    assert not any("boring" in tool for tool in step.tools)


@pytest.mark.parametrize("part", [with_centre(20.0), with_centre(5.9, angle_off=12.0)])
def test_a_countersink_too_wide_or_too_flat_for_a_centre_is_none(part: Part) -> None:
    assert "C1" not in ask(part, 46.0, lathe()).made


def test_behind_a_hub_too_short_to_hold_the_jaws_close_on_the_step_itself() -> None:
    pulley = turned([(65.0, 6.0, None), (43.0, 10.0, None), (65.0, 24.0, None), (45.0, 9.0, None)])
    got = ask(pulley, 65.0, lathe())
    second = got.steps[1]
    given = dict(second.holding.given)
    assert given["diameter_mm"] == 65.0
    assert float(str(given["jaws_mm"])) > 9.0


def test_a_keyway_in_a_hub_is_never_milled_and_the_broach_is_named() -> None:
    key = replace(keyway(6.0, 2.8, (0.0, 40.0), on="B1", around=18.0, fit=False), through=True)
    hub = turned([(50.0, 40.0, None)], bores=((18.0, 0.0, 40.0),), others=(key,))
    got = milled(hub)
    (no,) = [no for no in got.undone if "K1" in no.features]
    assert "K1" not in got.made
    assert no.nearest is not None
    assert no.nearest.key == "mill.buy_broach"
    assert {"width_mm": 6.0, "bore_mm": 18.0}.items() <= dict(no.nearest.given).items()
    blind = replace(key, through=False, along_mm=(0.0, 15.0))
    (no,) = [no for no in milled(turned([(50.0, 40.0, None)], bores=((18.0, 0.0, 40.0),), others=(blind,))).undone
             if "K1" in no.features]  # fmt: skip
    assert no.nearest is not None
    assert no.nearest.key == "mill.buy_slotter"
    assert "K1" in milled(lift_shaft()).made  # on a shaft it is


def test_a_hexagon_is_six_flats_and_takes_longer_than_one() -> None:
    six = Feature("X1", "hexagon", (size("width_mm", 24.0), size("length_mm", 9.0)), (0, 0, 1), (0, 0, 55), (50, 59))
    one = Feature("X1", "flat", (size("depth_mm", 1.9), size("width_mm", 13.9), size("length_mm", 9.0)), (1, 0, 0),
                  (12, 0, 55), (50, 59))  # fmt: skip
    hexagon, flat = (milled(turned([(40.0, 50.0, None), (27.7, 10.0, None)], others=(f,))) for f in (six, one))
    assert "X1" in hexagon.made
    cut, single = (got.steps[0].split[0].value for got in (hexagon, flat))
    assert cut == pytest.approx(6.0 * single, rel=0.1)
    assert [note.key for note in hexagon.steps[0].notes] == ["mill.indexed"]


def test_a_free_ring_about_the_axis_is_turned_with_the_outline_and_a_patch_is_not() -> None:
    ring = Feature("R1", "free", (), (0, 0, 1), (0, 0, 25), (24.0, 26.0), area_mm2=300.0)
    patch = replace(ring, id="R2", at_mm=(15.0, 0, 25), axis=(1, 0, 0), area_mm2=20.0)
    got = ask(turned([(30.0, 50.0, None), (40.0, 20.0, None)], others=(ring, patch)), 42.0, lathe())
    assert "R1" in got.made
    assert "R2" not in got.made


def test_a_scanned_step_beside_its_limits_is_turned_and_held_at_a_size_that_they_allow() -> None:
    part = turned([(34.965, 40.0, (34.975, 35.0)), (45.0, 60.0, None)])
    got = ask(part, 46.0, lathe())
    held = [dict(step.holding.given)["diameter_mm"] for step in got.steps]
    assert held == [46.0, pytest.approx(34.9875)] or held == [46.0, 45.0]
    inside = sizes.within_limits(part).profile
    assert inside is not None
    assert inside.outside[0].largest_mm == pytest.approx(34.9875)
    far = turned([(34.0, 40.0, (34.975, 35.0)), (45.0, 60.0, None)])
    assert sizes.within_limits(far) == far
