"""A nest on plates of the rack: nothing overlaps, nothing is lost in weight or money, stopping gives the best."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.affinity import rotate, translate
from shapely.geometry import Polygon

from steadyrest.desk.cutting import nest_asked, nest_cut, nest_from_rack
from steadyrest.desk.cutting.nest_asked import Asked
from steadyrest.desk.pieces import piece_in, rack
from steadyrest.desk.pieces.piece_in import New
from steadyrest.desk.place import open_place
from steadyrest.part.flat.thickness import as_plate
from steadyrest.part.read import read
from steadyrest.stock.nested_lot import Drawing, rest_about_its_corner
from steadyrest.trouble import BadInput
from tests.web.test_nest import ELL, drawing
from tests.web.workshop import NOW

PLATE = New(
    "plate", ("300", "6"), "500", "S235", "stand 3", "ines", condition="hot rolled", heat_number="H7", cost="30"
)
ASKED = Asked("ell", (), (), (), "ines", "any", None, None, "", 4.0, "")


@pytest.fixture(scope="module")
def place(tmp_path_factory):
    opened = open_place(tmp_path_factory.mktemp("nest") / "data", None)
    for label in ("N1", "N2"):
        piece_in.come(opened.store, opened.said.shop, replace(PLATE, label=label), unit="mm", now=NOW)
    yield opened
    opened.close()


@pytest.fixture(scope="module")
def ell():
    data = drawing(ELL, [(20, 20, 9), (100, 20, 2)])
    return read(data, "ell.dxf", unit=None, body=None, grid=False, progress=lambda *_: None, stop=lambda: False)


def nested(place, part, count, monkeypatch, *, stop=lambda: False, **more):
    def given_parts(*_args, **_more):
        return (Drawing("ell", as_plate(part, 6.0), count),)

    monkeypatch.setattr(nest_from_rack, "drawings", given_parts)
    asked = replace(ASKED, **more)
    return nest_from_rack.work(
        place.store, asked, shop=place.said.shop, progress=lambda *_: None, stop=stop, workers=None
    )  # fmt: skip


@pytest.fixture(scope="module")
def made(place, ell):
    with pytest.MonkeyPatch.context() as patch:
        return nested(place, ell, 6, patch, plates=("N1",))


def test_parts_keep_their_distance_and_their_holes_too_small_to_cut_are_drilled_where_they_lie(made) -> None:
    (sheet,) = made.sheets
    one = Polygon(ELL)
    on = [
        translate(rotate(one, laid.turn_deg, origin=(0, 0)), laid.x_mm, laid.y_mm) for laid in sheet.cut.laid
    ]  # fmt: skip
    assert len(on) == 6
    near = min(a.distance(b) for k, a in enumerate(on) for b in on[:k])
    assert near >= made.gap.value - 0.25, "a tenth of a millimetre of outline is smoothed away on either side"
    inside = Polygon(sheet.cut.outline_mm).buffer(-made.margin.value + 0.15)
    assert all(inside.covers(each) for each in on)
    assert len(sheet.drills) == 6
    assert all(any(each.contains(Polygon.from_bounds(d.x_mm - 1, d.y_mm - 1, d.x_mm + 1, d.y_mm + 1)) for each in on)
               for d in sheet.drills)  # fmt: skip
    assert len(sheet.order) == 12, "one start for each outline and each hole that is cut"
    starts = [(spot.x_mm, spot.y_mm) for spot in sheet.order if not spot.inside]
    from shapely.geometry import Point

    assert not any(each.contains(Point(at)) for each in on for at in starts), "it pierces in the waste"


def test_what_is_left_and_what_is_used_are_the_plates_weight_and_money(place, made) -> None:
    number = nest_from_rack.keep_nest(place.store, made, name="ell", who="ines", now=NOW)
    assert nest_cut.kept_nest(place.store, number).nest == made
    done = nest_cut.book(place.store, place.said.shop, number, ("N1",), who="ines", now=NOW)
    left = rack.story(place.store, place.said.shop, done.cut["N1"].left).shelved
    (sheet,) = made.sheets
    assert left.mass_kg == pytest.approx(sheet.rest_kg, rel=1e-3)
    assert left.piece.heat_number == "H7"
    assert left.piece.cost == (Decimal(30) * Decimal(sheet.cut.rest_mm2 / sheet.cut.area_mm2)).quantize(Decimal("0.01"))
    with pytest.raises(BadInput, match="already"):
        nest_cut.book(place.store, place.said.shop, number, ("N1",), who="ines", now=NOW)


def test_a_nest_that_is_stopped_at_once_is_an_answer_with_what_it_placed(place, ell, monkeypatch) -> None:
    found = nested(place, ell, 3, monkeypatch, plates=("N2",), stop=lambda: True, seconds=60.0)
    assert found.stopped
    assert sum(line.placed for line in found.lines) == sum(len(one.cut.laid) for one in found.sheets)


def test_a_part_that_fits_on_no_plate_is_named_and_the_others_are_placed(place, ell, monkeypatch) -> None:
    data = drawing([(0, 0), (3000, 0), (3000, 60), (0, 60)])
    long = read(data, "long.dxf", unit=None, body=None, grid=False, progress=lambda *_: None, stop=lambda: False)
    given_parts = (Drawing("long", as_plate(long, 6.0), 1), Drawing("ell", as_plate(ell, 6.0), 1))
    monkeypatch.setattr(nest_from_rack, "drawings", lambda *_args, **_more: given_parts)
    asked = replace(ASKED, plates=("N2",))
    found = nest_from_rack.work(
        place.store, asked, shop=place.said.shop, progress=lambda *_: None, stop=lambda: False
    )  # fmt: skip
    assert [(one.name, one.placed) for one in found.lines] == [("long", 0), ("ell", 1)]
    assert [one.name for one in found.lacking] == ["long"]
    assert ("nest.fits_no_sheet", "long") in {(why.key, dict(why.given).get("part")) for why in found.doubts}


@settings(max_examples=60)
@given(words=st.lists(st.text(max_size=8), min_size=4, max_size=4), file=st.binary(max_size=4))
def test_no_form_does_worse_than_one_line_of_what_is_wrong(place, words, file) -> None:
    jobs, gap, seconds, many = words
    typed = nest_asked.Typed((("a.dxf", file, many),), jobs, ("N2",), "ines", gap=gap, seconds=seconds)
    try:
        asked = nest_asked.asked_of(place.store, place.said.shop, typed)
    except BadInput as told:
        line = told.line()
    else:
        line = "" if asked.gap_mm is None or 0 <= asked.gap_mm <= 500 else "a gap\nthat cannot be"
    assert "\n" not in line


@given(x=st.floats(-500, 500), y=st.floats(-500, 500), hole=st.booleans())
@settings(max_examples=20)
def test_a_rest_is_the_same_wherever_the_plate_had_it(x: float, y: float, hole) -> None:
    def moved(ring):
        return tuple((a + x, b + y) for a, b in ring)

    plate, rest = ((0, 0), (400, 0), (400, 200), (0, 200)), ((100, 0), (400, 0), (400, 200), (100, 200))
    holes = (((150, 50), (200, 50), (200, 90), (150, 90)),) if hole else ()
    outline, inner, size = rest_about_its_corner(moved(rest), (), moved(plate), tuple(map(moved, holes)))
    assert size == pytest.approx((300, 200), abs=0.002)
    assert bool(outline) == hole
    if hole:
        assert Polygon(outline, inner).area == pytest.approx(300 * 200 - 50 * 40, abs=1)
