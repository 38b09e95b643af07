"""Each kind on two parts by makers that share nothing (exact.py: kernel solids as STEP; carved.py: another library's
meshes), at the sizes of the print, and a near miss that is refused. docs/kinds.md cites this."""

from __future__ import annotations

from functools import cache

import pytest

from steadyrest.part.read import read
from steadyrest.shop.part import Feature, Part
from tests.part.kinds import carved, exact
from tests.part.solid import made

EXACT_MM, CHORD_MM = 1e-3, 0.03


@cache
def part(maker: str, name: str) -> Part:
    data, ending = (
        (made.step(getattr(exact, name)()), "step")
        if maker == "exact"
        else (carved.stl(getattr(carved, name)()), "stl")
    )
    return read(data, f"{name}.{ending}", unit="mm", progress=lambda *_: None, stop=lambda: False)


def of_kind(maker: str, name: str, kind: str) -> list[Feature]:
    return [one for one in part(maker, name).features if one.kind == kind]


def keys(feature: Feature) -> set[str]:
    return {reason.key for reason in feature.why}


def said(feature: Feature, key: str) -> dict[str, object]:
    (reason,) = [reason for reason in feature.why if reason.key == key]
    return dict(reason.given)


FOUND = [
    ("exact", "shaft_keyed", "keyway", {"width_mm": 10, "depth_mm": 5, "length_mm": 45}, None),
    ("carved", "shaft_keyed", "keyway", {"width_mm": 14, "depth_mm": 5.5, "length_mm": 70}, None),
    ("exact", "hub_keyed", "keyway", {"width_mm": 8, "depth_mm": 3.3}, None),
    ("carved", "hub_keyed", "keyway", {"width_mm": 12, "depth_mm": 3.3}, None),
    ("exact", "nut", "hexagon", {"width_mm": 24}, None),
    ("carved", "nut", "hexagon", {"width_mm": 30}, None),
    ("exact", "bolt", "hexagon", {"width_mm": 30, "length_mm": 12.5}, None),
    ("carved", "bolt", "hexagon", {"width_mm": 19, "length_mm": 7.5}, None),
    ("exact", "threaded", "thread", {"diameter_mm": 16}, ("threads.named", {"name": "M16", "nominal_pitch_mm": 2.0})),
    ("carved", "bolt", "thread", {"diameter_mm": 12}, ("threads.named", {"name": "M12", "nominal_pitch_mm": 1.75})),
    ("exact", "ring_shaft", "groove", {"width_mm": 1.3, "diameter_mm": 23.9},
     ("features.ring_groove", {"diameter_mm": 25.0})),
    ("carved", "ring_shaft", "groove", {"width_mm": 1.85, "diameter_mm": 37.5},
     ("features.ring_groove", {"diameter_mm": 40.0})),
    ("exact", "ring_bore", "groove", {"width_mm": 1.85, "diameter_mm": 42.5},
     ("features.ring_groove", {"diameter_mm": 40.0})),
    ("carved", "ring_bore", "groove", {"width_mm": 1.3, "diameter_mm": 31.4},
     ("features.ring_groove", {"diameter_mm": 30.0})),
    ("exact", "o_ring_piston", "groove", {"width_mm": 4.813, "diameter_mm": 44.31}, ("features.o_ring_groove", {})),
    ("carved", "o_ring_rod", "groove", {"width_mm": 7.201, "diameter_mm": 23.288}, ("features.o_ring_groove", {})),
    ("exact", "v_pulley", "groove", {"width_mm": 16.2, "angle_deg": 34, "depth_mm": 14.5},
     ("features.belt_groove", {"section": "B"})),
    ("carved", "v_pulley", "groove", {"width_mm": 13, "angle_deg": 34, "depth_mm": 12},
     ("features.belt_groove", {"section": "A"})),
]  # fmt: skip


@pytest.mark.parametrize(("maker", "name", "kind", "sizes", "purpose"), FOUND)
def test_a_kind_is_found_at_its_sizes(maker, name, kind, sizes, purpose) -> None:
    (one,) = of_kind(maker, name, kind)
    for size, wanted in sizes.items():
        found = one.size(size)
        assert found is not None
        assert found.estimate == pytest.approx(wanted, abs=EXACT_MM if maker == "exact" else CHORD_MM)
    if purpose is not None:
        key, given = purpose
        assert given.items() <= said(one, key).items()


@pytest.mark.parametrize(("maker", "wide", "deep"), [("exact", 24, 1.5), ("carved", 30, 2.0)])
def test_two_spotfaces_are_named(maker, wide, deep) -> None:
    seats = [one for one in of_kind(maker, "spotfaced", "bore") if "features.spotface" in keys(one)]
    sizes = [(one.sizes[0].estimate, one.size("depth_mm").estimate) for one in seats]
    assert sizes == [pytest.approx((wide, deep), abs=CHORD_MM)] * 2


def test_a_seat_deeper_than_a_spotface_is_a_counterbore() -> None:
    seats = [one for one in of_kind("exact", "counterbored", "bore") if keys(one) & SEATS]
    assert [keys(one) & SEATS for one in seats] == [{"features.counterbore"}] * 2


SEATS = {"features.spotface", "features.counterbore"}


@pytest.mark.parametrize(("maker", "name", "taper"), [
    ("exact", "tool_shank", "Morse 2"), ("carved", "tool_shank", "Morse 3"),
])  # fmt: skip
def test_a_tool_s_taper_is_named(maker, name, taper) -> None:
    (cone,) = of_kind(maker, name, "cone")
    angle = cone.size("angle_deg")
    assert angle is not None
    assert angle.nominal is not None
    assert (angle.nominal.source, angle.nominal.shown) == ("taper", taper)


def test_a_taper_between_two_of_the_tables_has_no_name() -> None:
    (cone,) = of_kind("exact", "taper_between", "cone")
    angle = cone.size("angle_deg")
    assert angle is not None
    assert angle.nominal is not None
    assert angle.nominal.source == "as modelled"


@pytest.mark.parametrize(("maker", "name", "count", "sizes"), [
    ("exact", "spline_shaft", 8, (7, 36, 40)), ("exact", "spline_hub", 8, (7, 36, 40)),
    ("exact", "spline_six", 6, (6, 23, 26)), ("carved", "spline_shaft", 6, (6, 23, 26)),
])  # fmt: skip
def test_a_splines_keys_are_counted_and_no_gear_is_named(maker, name, count, sizes) -> None:
    toothed = [one for one in part(maker, name).features if one.teeth]
    assert {one.teeth for one in toothed} == {count}
    (told,) = [said(one, "features.spline") for one in toothed if "features.spline" in keys(one)]
    assert [told[k] for k in ("width_mm", "floors_mm", "outside_mm")] == pytest.approx(sizes, abs=CHORD_MM)
    assert not any("features.gear" in key or "belt" in key for one in toothed for key in keys(one))


def test_a_belt_s_pulley_is_counted_and_its_belt_named() -> None:
    (teeth,) = [one for one in part("carved", "pulley").features if one.teeth]
    assert teeth.teeth == 20
    assert said(teeth, "features.belt_pulley")["belt"] == "XL"
    assert "features.spline" not in keys(teeth)


@pytest.mark.parametrize(("maker", "name", "kind"), [
    ("exact", "keyway_too_deep", "keyway"), ("exact", "knuckled", "thread"), ("exact", "square_head", "hexagon"),
    ("exact", "neck", "ring"), ("exact", "v_wide", "belt"),
])  # fmt: skip
def test_a_near_miss_is_refused(maker, name, kind) -> None:
    assert not of_kind(maker, name, kind)
    assert not any(kind in key for one in of_kind(maker, name, "groove") for key in keys(one))


@pytest.mark.parametrize(("maker", "one_end", "corner", "whole"), [
    ("exact", (12, 30, 30), (8, 20, 25), (10, 24, 30)), ("carved", (15, 36, 51), (10, 26, 31), (12, 30, 40)),
])  # fmt: skip
def test_a_pocket_open_on_one_side_or_two_and_one_with_an_island_keep_their_sizes(
    maker, one_end, corner, whole
) -> None:
    def sizes(feature: Feature) -> tuple[float, ...]:
        found = [feature.size(name) for name in ("depth_mm", "width_mm", "length_mm")]
        return tuple(size.estimate for size in found if size is not None)

    (slot,) = of_kind(maker, "open_pockets", "slot")
    assert "features.slot_one_end" in keys(slot)
    assert sizes(slot) == pytest.approx(one_end, abs=CHORD_MM)
    pockets = of_kind(maker, "open_pockets", "pocket")
    open_ = [one for one in pockets if "features.pocket_open" in keys(one)]
    assert [sizes(one) for one in open_] == [pytest.approx(corner, abs=CHORD_MM)]
    assert [sizes(one) for one in pockets if one not in open_] == [pytest.approx(whole, abs=CHORD_MM)]
    assert [one for one in of_kind(maker, "open_pockets", "boss") if "features.island" in keys(one)]


def test_a_step_along_a_whole_edge_is_no_pocket() -> None:
    assert not of_kind("exact", "stepped", "pocket")
    assert not of_kind("exact", "stepped", "slot")
