"""The plate cutter: what it cuts, drills and refuses, with numbers; and that every limit of it counts."""

from __future__ import annotations

import math
from dataclasses import fields, replace
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from steadyrest.shop.figure import Reason, because
from steadyrest.shop.floor import CutterLimits, Machine, Shop
from steadyrest.shop.part import Limits, Part
from steadyrest.shop.work import Blank, SheetCut, Step
from steadyrest.stations.answer import Answer, Ask, State
from steadyrest.stations.plate import answering
from steadyrest.stations.plate.openings import openings, web_mm
from steadyrest.stations.plate.setting import NotCut, Setting, melt_feed_mm_min, setting
from steadyrest.stations.plate.sheet_order import on_sheet
from steadyrest.stock.sheet_choice import sheet_choices
from steadyrest.tables.plate_cutting import WAYS, chart, cut_metal, figures
from steadyrest.wording.say import say
from tests.part.flat.tags import circle, rectangle
from tests.stations.parts import demo_shop
from tests.stations.plate.flats import base_plate, plate_of, two_parts


def cutter(shop: Shop, **changes: object) -> Machine:
    """The demo's plasma table, with other limits."""
    machine = shop.machine("cutter")
    assert isinstance(machine.limits, CutterLimits)
    return replace(machine, limits=replace(machine.limits, **changes))  # type: ignore[arg-type]


def asked(part: Part, *, machine: Machine | None = None, metal: str = "S235", quantity: int = 4) -> Answer:
    """What the station answers for a lot laid on the first sheets that are found."""
    shop = demo_shop()
    machine = machine or shop.machine("cutter")
    material = shop.material(metal)
    limits = machine.limits
    assert isinstance(limits, CutterLimits)
    sheets: tuple[SheetCut, ...] = ()
    found = setting(machine, limits, material, part.size_mm[2])
    if isinstance(found, Setting):
        choices, _ = sheet_choices(
            part, material=material, quantity=quantity, shop=shop, keep=answering.keeps(found),
            largest_mm=limits.table_mm,
        )  # fmt: skip
        sheets = choices[0].sheets if choices else ()
    each_kg = (part.volume_mm3 or 0.0) * 1e-9 * material.density_kg_m3
    blank = Blank("plate", (100.0, part.size_mm[2]), 100.0, each_kg, metal, ())
    names = tuple(feature.id for feature in part.features)
    ask = Ask(part, names, State(blank, "", 0.0, 0.0, sheets=sheets), material, quantity, shop, machine)
    answer = answering.answer(ask)
    _contract(ask, answer)
    return answer


def _contract(ask: Ask, answer: Answer) -> None:
    made, refused = set(answer.made), {name for no in answer.undone for name in no.features}
    assert made | refused == set(ask.features)
    assert not made & refused
    for no in answer.undone:
        assert no.reasons
        for reason in (*no.reasons, *([no.nearest] if no.nearest else [])):
            assert say(reason)
    for step in answer.steps:
        assert not step.unattended
        told: list[Reason] = [step.holding, *step.cautions, *step.notes, *step.unattended_why]
        for figure in (*step.limits, *step.split, *(phase.duration_s for phase in step.phases)):
            assert math.isfinite(figure.value)
            assert figure.value >= 0
            told.extend(figure.why)
        for reason in told:
            assert say(reason)
        assert all(phase.who for phase in step.phases)


def cut_step(answer: Answer) -> Step:
    return next(step for step in answer.steps if step.station == "plate")


def keys(answer: Answer) -> set[str]:
    return {reason.key for no in answer.undone for reason in no.reasons}


def test_what_is_large_enough_is_cut_and_a_small_hole_is_marked_and_drilled() -> None:
    answer = asked(base_plate(6.0, hole_mm=14.0, small_mm=5.0))
    part = base_plate(6.0, hole_mm=14.0, small_mm=5.0)
    small = next(f.id for f in part.features if f.kind == "bore" and f.sizes[0].estimate < 6)
    assert [no.features for no in answer.undone] == [(small,)]
    assert keys(answer) == {"plate.hole_small"}
    assert "plate.marked" in {note.key for note in cut_step(answer).notes}


@given(ratio=st.floats(0.3, 3.0), thickness=st.sampled_from([3.0, 6.0, 10.0]))
@settings(deadline=None, max_examples=20)
def test_a_hole_is_cut_from_the_tables_ratio_on_and_drilled_below(ratio: float, thickness: float) -> None:
    own = figures("plasma")
    diameter = ratio * thickness
    part = plate_of(rectangle(0, 0, 200, 150) + circle(100, 75, diameter / 2.0), thickness)
    least = max(own["hole_ratio"] * thickness, own["least_hole_mm"])
    made = {f.kind for f in part.features if f.id in asked(part).made}
    assert ("bore" in made) == (diameter >= least - 1e-6)


def test_too_thick_too_thin_and_a_metal_that_it_does_not_cut_are_refused_with_numbers() -> None:
    assert "plate.too_thick" in keys(asked(base_plate(25.0, hole_mm=60.0)))
    assert "plate.too_thick_for" in keys(asked(base_plate(18.0, hole_mm=60.0)))
    assert "plate.too_thin" in keys(asked(base_plate(0.5)))
    shop = demo_shop()
    assert "plate.not_this_metal" in keys(asked(base_plate(6.0), machine=cutter(shop, way="oxy-fuel"), metal="1.4301"))
    assert "plate.not_this_metal" in keys(asked(base_plate(6.0), metal="POM"))


def test_a_web_too_narrow_leaves_the_smaller_cut_out_to_others() -> None:
    shop = demo_shop()
    found = setting(shop.machine("cutter"), shop.machine("cutter").limits, shop.material("S235"), 6.0)  # type: ignore[arg-type]
    assert isinstance(found, Setting)
    web = web_mm(found)
    for gap, kept in ((web - 0.5, False), (web + 0.5, True)):
        part = plate_of(rectangle(0, 0, 200, 100) + circle(60, 50, 20) + circle(60 + 20 + gap + 12, 50, 12), 6.0)
        opened = openings(part, found, 0.1)
        assert (not opened.drilled) == kept
        assert len(opened.cut) == (3 if kept else 2)


def test_a_size_finer_than_the_cut_edge_is_cut_small_and_finished_afterwards() -> None:
    part = base_plate(6.0, hole_mm=30.0, small_mm=20.0)
    hole = next(f for f in part.features if f.kind == "bore" and f.sizes[0].estimate > 25)
    nominal = hole.sizes[0].nominal
    assert nominal is not None
    fine = replace(nominal, limits=Limits(30.0, 30.05, (Reason("plate.stay"),)))
    other = replace(hole, sizes=(replace(hole.sizes[0], nominal=fine), *hole.sizes[1:]))
    part = replace(part, features=tuple(other if f.id == hole.id else f for f in part.features))
    answer = asked(part)
    assert hole.id not in answer.made
    assert "plate.coarse" in keys(answer)
    assert "plate.cut_small" in {note.key for note in cut_step(answer).notes}


def test_thermal_cutting_is_never_left_alone_and_says_fire_fume_and_eyes() -> None:
    step = cut_step(asked(base_plate(6.0)))
    said = {caution.key for caution in step.cautions}
    assert {"plate.caution_fire", "plate.caution_eyes", "plate.caution_hot", "plate.caution_fume"} <= said
    assert {why.key for why in step.unattended_why} >= {"alone.thermal"}


def test_aluminium_over_water_is_warned_of_hydrogen_and_bad_suction_is_said() -> None:
    shop = demo_shop()
    wet = cut_step(asked(base_plate(6.0), machine=cutter(shop, water_table=True), metal="6082-T6"))
    assert "plate.caution_hydrogen" in {caution.key for caution in wet.cautions}
    bare = cut_step(asked(base_plate(6.0), machine=cutter(shop, extraction=False)))
    assert "plate.caution_no_suction" in {caution.key for caution in bare.cautions}


def test_parts_that_fall_between_the_slats_hang_on_bridges() -> None:
    tiny = plate_of(rectangle(0, 0, 40, 30), 6.0)
    answer = asked(tiny)
    assert all(laid.tabs for sheet in answer.state.sheets for laid in sheet.laid)
    assert "plate.bridges" in {note.key for note in cut_step(answer).notes}
    wide = asked(plate_of(rectangle(0, 0, 400, 300), 6.0))
    assert not any(laid.tabs or laid.tips for sheet in wide.state.sheets for laid in sheet.laid)


def test_every_opening_is_cut_before_the_part_comes_free() -> None:
    part = two_parts()
    answer = asked(part, quantity=5)
    assert part.flat is not None
    limits = demo_shop().machine("cutter").limits
    assert isinstance(limits, CutterLimits)
    from steadyrest.stations.plate.sheet_order import ordered
    from steadyrest.stations.plate.torch import Cut

    by_body: dict[int, list[Cut]] = {}
    for k, outline in enumerate(part.flat.outlines):
        by_body.setdefault(outline.body, []).append(Cut(k, outline.edges[0].start, 1.0, 1.0))
    outside = frozenset(k for k, outline in enumerate(part.flat.outlines) if not outline.inside)
    for sheet in answer.state.sheets:
        order = ordered(sheet, by_body, outside, limits)
        assert len(order.cuts) == sum(len(by_body[laid.body]) for laid in sheet.laid)
        freed: set[int] = set()
        for place, cut in order.cuts:
            assert place not in freed, "nothing is cut in a part that has come free"
            if cut.outline in outside:
                freed.add(place)
        assert len(freed) == len(sheet.laid)


@pytest.mark.parametrize("way", WAYS)
def test_thicker_plate_is_never_cut_faster(way: str) -> None:
    by_strength: dict[tuple[str, float], list[tuple[float, float, float]]] = {}
    for row in chart(way):
        by_strength.setdefault((row.metal, row.strength), []).append((row.thickness_mm, row.feed_mm_min, row.kerf_mm))
    for rows in by_strength.values():
        rows.sort()
        assert [feed for _, feed, _ in rows] == sorted((feed for _, feed, _ in rows), reverse=True)
        assert [kerf for _, _, kerf in rows] == sorted(kerf for _, _, kerf in rows)


def test_the_chart_never_asks_the_arc_to_melt_more_than_it_can() -> None:
    groups = {"steel": 1, "stainless": 14, "aluminium": 21, "copper": 27}
    for row in chart("plasma"):
        most = melt_feed_mm_min("plasma", row.strength, cut_metal(groups[row.metal]), row.kerf_mm, row.thickness_mm)
        assert most is not None
        assert row.feed_mm_min <= most * 1.001, row


# What stands for a limit, so that it must count somewhere.
OTHER: dict[str, object] = {
    "way": "laser", "table_mm": (150.0, 100.0), "max_thickness_mm": 2.0, "max_load_kg": 0.5, "strength": 45.0,
    "max_feed_mm_min": 500.0, "rapid_mm_min": (900.0, 900.0), "accel_mm_s2": 20.0, "repeat_mm": 5.0,
    "corner_mm": None, "slat_gap_mm": 400.0, "water_table": True, "extraction": False, "supply_w": 2000.0,
    "air_l_min": 20.0, "nozzle_price": Decimal(900), "nozzle_starts": 2.0, "nozzle_h": 0.01,
    "gas_per_hour": Decimal(90), "chart": chart("plasma")[:3],
}  # fmt: skip


def bolted(part: Part) -> Part:
    """The part with its large hole known as that for a bolt M20."""
    hole = next(f for f in part.features if f.kind == "bore" and f.sizes[0].estimate > 15)
    nominal = hole.sizes[0].nominal
    assert nominal is not None
    limits = Limits(22.0, 22.33, (because("limits.bolt_hole_medium", zone="H13", nominal="22 mm", bolt="M20"),))
    other = replace(hole, sizes=(replace(hole.sizes[0], nominal=replace(nominal, limits=limits)), *hole.sizes[1:]))
    return replace(part, features=tuple(other if f.id == hole.id else f for f in part.features))


def test_a_hole_for_a_bolt_is_cut_where_the_bolt_still_goes_through() -> None:
    part = bolted(base_plate(6.0, hole_mm=22.0))
    hole = next(f.id for f in part.features if f.kind == "bore" and f.sizes[0].estimate > 15)
    assert hole in asked(part).made
    assert hole not in asked(part, machine=cutter(demo_shop(), repeat_mm=1.5)).made


@pytest.mark.parametrize("name", [field.name for field in fields(CutterLimits)])
def test_every_limit_of_the_cutter_changes_a_time_a_cost_or_a_refusal(name: str) -> None:
    part = bolted(base_plate(6.0, hole_mm=22.0))
    plain = asked(part)
    changed = asked(part, machine=cutter(demo_shop(), **{name: OTHER[name]}))
    assert (plain.steps, plain.undone) != (changed.steps, changed.undone)


def test_a_setting_is_the_fastest_that_the_machine_has() -> None:
    shop = demo_shop()
    for most in (45.0, 65.0, 85.0, 105.0):
        machine = cutter(shop, strength=most, max_thickness_mm=40.0)
        found = setting(machine, machine.limits, shop.material("S235"), 10.0)  # type: ignore[arg-type]
        assert isinstance(found, Setting)
        assert found.strength <= most
    weak = cutter(shop, strength=20.0)
    refused = setting(weak, weak.limits, shop.material("S235"), 10.0)  # type: ignore[arg-type]
    assert isinstance(refused, NotCut)
    assert {reason.key for reason in refused.reasons} == {"plate.weak"}


def test_a_part_lies_on_the_sheet_where_it_was_laid() -> None:
    answer = asked(base_plate(6.0), quantity=3)
    sheet = answer.state.sheets[0]
    xs, ys = [x for x, _ in sheet.outline_mm], [y for _, y in sheet.outline_mm]
    for laid in sheet.laid:
        for corner in ((0.0, 0.0), (200.0, 0.0), (200.0, 120.0), (0.0, 120.0)):
            x, y = on_sheet(laid, corner)
            assert min(xs) + sheet.margin_mm - 0.2 <= x <= max(xs) - sheet.margin_mm + 0.2
            assert min(ys) + sheet.margin_mm - 0.2 <= y <= max(ys) - sheet.margin_mm + 0.2
