"""Rounded corners against the tool's nose, rings sunk into faces, and bores against the boring bar."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis.strategies import floats

from steadyrest.shop.figure import because
from steadyrest.shop.floor import Shop, Tool
from steadyrest.shop.part import Feature, Part, Recess
from tests.stations.parts import demo_shop, size, turned
from tests.stations.test_turn_driven_and_fed import refusals, shop_with, turned_on


def with_fillet(radius: float, *, inside: bool = True) -> Part:
    fillet = Feature("R1", "fillet", (size("radius_mm", radius),), (0, 0, 1), (0, 0, 30), (29.5, 30.5), inside=inside)
    return turned([(20.0, 30.0, None), (40.0, 40.0, None)], others=(fillet,))


def by_hand(shop: Shop) -> Shop:
    lathe = shop.machine("lathe")
    lathe = replace(lathe, limits=replace(lathe.limits, controlled=False))
    return replace(shop, machines=tuple(lathe if m.id == "lathe" else m for m in shop.machines))


@settings(deadline=None, max_examples=12)
@given(floats(0.1, 5.0))
def test_a_corner_is_rounded_only_by_a_nose_no_larger_than_it(radius: float) -> None:
    found = turned_on(with_fillet(radius), shop_with())
    smallest = min(t.edge_mm for t in demo_shop().machine("lathe").tools if t.kind == "turning" and t.role == "finish")
    assert ("R1" in found.made) == (smallest <= radius + 0.05)
    if "R1" not in found.made:
        assert f"{smallest:g} mm" in refusals(found, "R1")
        nearest = next(no.nearest for no in found.undone if "R1" in no.features)
        assert nearest is not None
        assert nearest.key == "turn.nose_wanted"


def test_an_outer_edge_may_be_rounded_with_any_nose() -> None:
    assert "R1" in turned_on(with_fillet(0.1, inside=False), shop_with()).made


def test_by_hand_a_corner_gets_the_nose_of_its_tool_and_no_other_radius() -> None:
    assert "R1" in turned_on(with_fillet(0.4), by_hand(shop_with())).made
    found = turned_on(with_fillet(3.0), by_hand(shop_with()))
    assert "by hand a corner gets the nose" in refusals(found, "R1")


def ringed(*, deep: float = 4.0, inner: float = 30.0, outer: float = 40.0) -> Part:
    sizes = (size("width_mm", (outer - inner) / 2.0), size("diameter_mm", outer), size("depth_mm", deep))
    ring = Feature("G1", "groove", sizes, (0, 0, 1), (0, 0, 50 - deep / 2), (50 - deep, 50.0), inside=True)
    part = turned([(60.0, 50.0, None)], others=(ring,))
    assert part.profile is not None
    return replace(part, profile=replace(part.profile, recesses=(Recess(50 - deep, 50.0, inner, outer, True, "G1"),)))


def face_tool(**changed: float) -> Shop:
    shop = demo_shop()
    lathe = shop.machine("lathe")
    groover = next(tool for tool in lathe.tools if tool.kind == "grooving")
    tool: Tool = replace(groover, number=95, width_mm=3.0, max_depth_mm=12.0, face_from_mm=35.0)
    tool = replace(tool, **changed)
    lathe = replace(lathe, tools=(*lathe.tools, tool))
    return replace(shop, machines=tuple(lathe if m.id == "lathe" else m for m in shop.machines))


@pytest.mark.parametrize(
    ("changed", "word"),
    [
        ({"face_from_mm": 0.0}, "no grooving tool for faces"),
        ({"face_from_mm": 45.0}, "rings from 45 mm on; this one is 40 mm outside"),
        ({"max_depth_mm": 3.0}, "reaches 3 mm deep; the groove is 4 mm"),
        ({"width_mm": 6.0}, "is 6 mm wide; the groove is 5 mm"),
    ],
)
def test_a_ring_in_a_face_is_refused_with_numbers_and_the_tool_that_would_do(changed, word: str) -> None:
    found = turned_on(ringed(), face_tool(**changed))
    assert word in refusals(found, "G1")
    nearest = next(no.nearest for no in found.undone if "G1" in no.features)
    assert nearest is not None
    assert nearest.key == "turn.face_groove_tool"


def test_a_ring_in_a_face_is_cut_from_the_end_that_it_opens_to() -> None:
    part = ringed()
    assert "G1" in turned_on(part, face_tool()).made
    step = next(step for step in turned_on(part, face_tool()).steps if "G1" in step.makes)
    face = next(name for name in step.makes if name.startswith("F"))
    assert part.feature(face).axis == (0, 0, 1)


def test_a_ring_open_to_a_bore_is_bored_out() -> None:
    part = ringed(inner=20.0, outer=40.0)
    bored = turned([(60.0, 50.0, None)], bores=((20.0, 0.0, 50.0),), others=(part.feature("G1"),))
    assert part.profile is not None
    assert bored.profile is not None
    bored = replace(bored, profile=replace(bored.profile, recesses=part.profile.recesses))
    assert "G1" in turned_on(bored, shop_with()).made


@pytest.mark.parametrize(
    ("diameter", "depth", "word"), [(24.0, 90.0, "reaches 80 mm; the bore is 90 mm deep"), (14.0, 40.0, "thick")]
)
def test_a_bore_too_deep_or_too_narrow_for_every_bar_is_refused_with_numbers(diameter, depth, word) -> None:
    part = turned([(60.0, 120.0, None)], bores=((diameter, 120.0 - depth, 120.0),))
    limits = (diameter, diameter + 0.2)
    sized = tuple(
        replace(f, sizes=(size("diameter_mm", diameter, limits), *f.sizes[1:])) if f.id == "B1" else f
        for f in part.features
    )
    found = turned_on(replace(part, features=sized), shop_with())
    assert word in refusals(found, "B1")


def knurled(count: float, diameter: float = 20.0) -> Part:
    part = turned([(16.0, 10.0, None), (diameter, 20.0, None), (30.0, 40.0, None)])
    free = replace(part.features[1], kind="free", sizes=(), why=(because("features.lobed", count=count),))
    return replace(part, features=(part.features[0], free, *part.features[2:]))


def with_wheel(*pitches: float) -> Shop:
    shop = demo_shop()
    lathe = shop.machine("lathe")
    one = next(tool for tool in lathe.tools if tool.kind == "grooving")
    wheels = tuple(
        replace(one, number=100 + n, kind="knurl", pitch_mm=pitch, width_mm=8.0) for n, pitch in enumerate(pitches)
    )
    lathe = replace(lathe, tools=(*lathe.tools, *wheels))
    return replace(shop, machines=tuple(lathe if m.id == "lathe" else m for m in shop.machines))


def test_a_knurl_is_turned_half_a_pitch_smaller_and_then_pressed() -> None:
    found = turned_on(knurled(63.0), with_wheel(0.5, 1.0))  # 63 teeth on 20 mm: 0.997 mm
    assert "S2" in found.made
    blanks = [f.value for step in found.steps for f in step.limits if f.why[0].key == "turn.knurl_blank"]
    assert blanks == [pytest.approx(20.0 - 0.5)]
    assert any(reason.key == "caution.knurl" for step in found.steps for reason in step.cautions)


def test_a_knurl_without_its_wheel_is_refused_with_the_pitch_that_would_do() -> None:
    found = turned_on(knurled(63.0), with_wheel(2.0))
    assert "S2" not in found.made
    assert "of 0.997" in refusals(found, "S2")
    nearest = next(no.nearest for no in found.undone if "S2" in no.features)
    assert nearest is not None
    assert nearest.key == "turn.knurl_wanted"


def test_a_knurl_far_out_on_thin_work_is_refused_with_how_far_it_gives_way() -> None:
    part = turned([(8.0, 24.0, None), (16.0, 40.0, None)])
    free = replace(part.features[0], kind="free", sizes=(), why=(because("features.lobed", count=25.0),))
    shop = with_wheel(1.0)
    lathe = shop.machine("lathe")
    bare = replace(lathe, limits=replace(lathe.limits, tailstock=False))  # with a centre it would hold
    shop = replace(shop, machines=tuple(bare if m.id == "lathe" else m for m in shop.machines))
    found = turned_on(replace(part, features=(free, *part.features[1:])), shop)
    assert "gives way by" in refusals(found, "S1")
