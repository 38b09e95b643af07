"""The route of a flat part: laid out, cut, drilled, bent, broken, measured, delivered; every sheet sound."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.affinity import rotate, translate
from shapely.geometry import Polygon

from steadyrest.route.best import best_routes
from steadyrest.shop.part import Part
from steadyrest.shop.work import Route
from steadyrest.stock.sheet_nests import Keep, Sheet, fill
from steadyrest.stock.sheet_outlines import bodies
from steadyrest.wording.say import say
from tests.part.flat.tags import polyline
from tests.stations.parts import demo_shop
from tests.stations.plate.flats import base_plate, bent_plate, plate_of, two_parts


def routes(part: Part, quantity: int, metal: str = "S235") -> tuple[Route, ...]:
    shop = demo_shop()
    return best_routes(part, material=shop.material(metal), quantity=quantity, shop=shop)


def test_a_flat_part_goes_over_cutter_drill_file_gauge_and_road() -> None:
    part = base_plate(6.0)
    first = routes(part, 5)[0]
    assert [step.station for step in first.steps][:2] == ["prepare", "plate"]
    assert [step.station for step in first.steps][-3:] == ["hand", "inspect", "deliver"]
    made = {name for step in first.steps for name in step.makes}
    assert made == {feature.id for feature in part.features}
    assert not first.cannot
    assert all(say(reason) for reason in first.why)


def test_bend_lines_go_to_the_brake_and_too_thick_a_sheet_is_refused_there() -> None:
    assert "bend" in [step.station for step in routes(bent_plate(3.0), 4)[0].steps]
    thick = routes(bent_plate(6.0), 4)[0]
    assert "bend" not in [step.station for step in thick.steps]
    assert "bend.thickness" in {reason.key for no in thick.cannot for reason in no.reasons}


def test_a_remnant_of_the_rack_keeps_its_heat_number_and_costs_its_share() -> None:
    first = routes(base_plate(6.0), 2)[0]
    piece = next(piece for piece in demo_shop().pieces if piece.id == "R16")
    sheet = first.sheets[0]
    assert (first.piece, sheet.piece, sheet.heat_number) == ("R16", "R16", piece.heat_number)
    assert sheet.rest_mm
    assert any(note.key == "plate.rest_heat" for step in first.steps for note in step.notes)


@pytest.mark.parametrize("quantity", [1, 7, 60, 900])
def test_every_part_lies_on_a_sheet_clear_of_the_others_of_edges_and_of_holes(quantity: int) -> None:
    part = two_parts()
    assert part.flat is not None
    shapes = {body.number: body.shape for body in bodies(part.flat)}
    for route in routes(part, quantity):
        count = sum(sheet.count * len(sheet.laid) for sheet in route.sheets)
        assert count == quantity * len(shapes)
        for sheet in route.sheets:
            plate = Polygon(sheet.outline_mm, sheet.holes_mm)
            placed = [
                translate(rotate(shapes[laid.body], laid.turn_deg, origin=(0.0, 0.0)), laid.x_mm, laid.y_mm)
                for laid in sheet.laid
            ]
            for k, shape in enumerate(placed):
                assert shape.within(plate)
                assert shape.distance(plate.boundary) >= sheet.margin_mm - 0.25
                assert all(shape.distance(other) >= sheet.gap_mm - 0.25 for other in placed[:k])


def test_nothing_is_cut_without_a_thickness_and_the_same_lot_gives_the_same_sheets() -> None:
    assert routes(base_plate(6.0), 6)[0].sheets == routes(base_plate(6.0), 6)[0].sheets
    none = routes(base_plate(40.0), 1)[0]
    assert not none.steps
    assert none.cannot


@given(count=st.integers(1, 400), wide=st.floats(20, 300), high=st.floats(20, 300))
@settings(deadline=None, max_examples=15)
def test_every_part_wanted_is_laid_once_or_the_sheet_is_refused(count: int, wide: float, high: float) -> None:
    from steadyrest.stock.nesting.wanted import NestPart

    part = NestPart("0", count, ((0.0, 0.0), (wide, 0.0), (wide, high), (0.0, high)))
    sheet = Sheet(((0.0, 0.0), (1000.0, 0.0), (1000.0, 500.0), (0.0, 500.0)))
    found = fill((part,), sheet, Keep(8.0, 10.0), rows_only=True)
    assert found is not None
    assert sum(one.count * len(one.placed) for one in found) == count


def test_an_outline_that_crosses_itself_is_refused_by_place() -> None:
    crossed = plate_of(polyline([(0, 0, 0), (100, 100, 0), (100, 0, 0), (0, 60, 0)]), 6.0)
    refused = routes(crossed, 3)[0]
    assert not refused.steps
    assert "plate.no_outline" in {reason.key for no in refused.cannot for reason in no.reasons}
