"""The nest's pages: drawings on plates of the rack, looked for in the queue, drawn, printed, cut once."""

from __future__ import annotations

import io
import re
import time

import ezdxf
import pytest

from tests.web.conftest import Open
from tests.web.test_rack import come, send, text

ELL = [(0, 0), (120, 0), (120, 40), (40, 40), (40, 90), (0, 90)]


def drawing(points, holes=()) -> bytes:
    made = ezdxf.new()
    made.header["$INSUNITS"] = 4
    space = made.modelspace()
    space.add_lwpolyline(points, close=True)
    for x, y, r in holes:
        space.add_circle((x, y), r)
    out = io.StringIO()
    made.write(out)
    return out.getvalue().encode()


def asked(app: Open, plates, files=(), **words):
    sent = {f"file{k}": (name, data, "image/vnd.dxf") for k, (name, data, _) in enumerate(files, 1)}
    words |= {f"count{k}": str(many) for k, (_, _, many) in enumerate(files, 1)}
    said = {"guard": app.guard, "by": "ines", "plate": list(plates), **words}
    return app.client.post("/nest", data=said, files=sent or {"none": ("", b"", "text/plain")})


def made(app: Open, *args, **words) -> str:
    answer = asked(app, *args, **words)
    assert answer.status_code == 303, answer.text[:3000]
    where = answer.headers["location"]
    for _ in range(2400):
        page = app.client.get(where)
        if page.status_code == 303:  # done: it leads on
            return str(page.headers["location"])
        assert 'class="button" href="' not in page.text, page.text[-2000:]
        time.sleep(0.05)
    raise AssertionError("the nest did not end")


@pytest.fixture(scope="module")
def plate(app: Open) -> str:
    more = {"shape": "plate", "size": "300 x 6", "length": "500", "material": "S235", "place": "stand 3"}
    return come(app, **more, heat_number="H 77", cost="30").rsplit("/", 1)[1]


@pytest.fixture(scope="module")
def nest(app: Open, plate: str) -> str:
    holes = [(20, 20, 9), (100, 20, 2)]
    return made(app, [plate], [("ell.dxf", drawing(ELL, holes), 3)], seconds="4")


def test_a_nest_is_drawn_printed_and_cut_once_and_its_rest_comes_back_with_its_heat(app: Open, plate, nest) -> None:
    other = made(app, [plate], [("square.dxf", drawing([(0, 0), (50, 0), (50, 50), (0, 50)]), 1)], seconds="1")
    page = text(app, nest)
    assert "3 parts on 1 plate of S235, 6 mm thick" in page
    assert "Plasma table, 65 A" in page
    assert "Cross: not cut, drilled afterwards (3 of 4 mm)" in page
    assert "Sparks fly metres and set fires hours later" in page
    svg = app.client.get(f"{nest}/0/narrow-dark.svg")
    assert svg.headers["content-type"] == "image/svg+xml"
    assert app.client.get(f"{nest}/1/wide.svg").status_code == 404
    assert app.client.get(f"{nest}/nest-sheet.pdf").content.startswith(b"%PDF-")
    assert send(app, nest, touch="nest-touch-1").status_code == 303
    assert send(app, nest, touch="nest-touch-1").status_code == 303, "the same touch counts once"
    assert send(app, nest, touch="nest-touch-2").status_code == 422
    told = send(app, other, touch="nest-touch-3")
    assert told.status_code == 422
    assert f"piece {plate}: is gone (gone, Ines" in told.text
    left = re.search(r"what is left is (P\d+)", text(app, f"/rack/{plate}"))
    assert left
    story = text(app, f"/rack/{left[1]}")
    assert "H 77" in story
    assert "stand 3" in story
    assert f"left over of {plate}" in story


@pytest.mark.parametrize(
    ("words", "says"),
    [
        ({"guard": "x"}, "too old"),
        ({"plate": ["R15", "R16"]}, "Choose plates of one metal and one thickness"),
        ({"plate": ["nothing"]}, "there is no plate nothing"),
        ({"plate": []}, "none was chosen"),
        ({"jobs": "<b>"}, "is no job"),
        ({"gap": "wide"}, "gap"),
        ({"seconds": "1e9"}, "cannot be"),
        ({"turns": "loop"}, "is none"),
        ({}, "Choose drawings"),
    ],
)
def test_what_cannot_be_nested_is_told_in_one_line_and_nothing_is_queued(app: Open, words, says: str) -> None:
    answer = asked(app, **({"plates": ["R16"]} if "plate" not in words else {"plates": ()}) | words)
    assert answer.status_code in (403, 422)
    assert says in answer.text.replace("&#39;", "'")
    assert "<b>" not in answer.text


def test_the_plate_of_a_plans_step_goes_out_once_and_its_rest_comes_back(app: Open, tmp_path, monkeypatch) -> None:
    from dataclasses import replace

    from steadyrest.desk.plan import keeping
    from steadyrest.shop.work import Laid, SheetCut

    label = come(app, shape="plate", size="200 x 8", length="400", material="S235", place="stand 4", heat_number="H 78")
    label, real = label.rsplit("/", 1)[1], keeping.kept_job
    plate, rest = ((0, 0), (400, 0), (400, 200), (0, 200)), ((150, 0), (400, 0), (400, 200), (150, 200))
    cut = SheetCut(label, label, 1, 8.0, "H 78", plate, (), (Laid(0, 0, 0, 0),), 8, 8, 0.1, 5.0, rest, 50e3, 80e3)

    def kept(store, number):
        one = real(store, number)
        routes = tuple(replace(each, route=replace(each.route, sheets=(cut,))) for each in one.answer.routes)
        return replace(one, answer=replace(one.answer, routes=routes))

    monkeypatch.setattr(keeping, "kept_job", kept)
    where = f"/jobs/{app.goes}/plates"
    page = text(app, where)
    assert "Left over in one piece: 250 mm × 200 mm over all, 3.12 kg, heat H 78" in page, page
    seen = re.search(r'name="seen" value="(\d+)"', app.client.get(where).text)
    assert seen
    assert send(app, where, plate=label, seen=seen[1], touch="plates-1").status_code == 303
    told = send(app, where, plate=label, seen=seen[1], touch="plates-2")
    assert told.status_code == 422
    assert "is gone (gone, Ines" in told.text
    left = re.search(r"what is left is (P\d+)", text(app, f"/rack/{label}"))
    assert left
    assert "H 78" in text(app, f"/rack/{left[1]}")
