"""`steadyrest stock nest` by its contract: keys, streams, exit codes."""

from __future__ import annotations

import json
from xml.etree import ElementTree

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from shapely.affinity import rotate, scale, translate
from shapely.geometry import Polygon

from steadyrest.cli.main import status

NEST = """
gap_mm = 3
margin_mm = 5
hole_clear_mm = 4
turns_deg = [0, 90, 180, 270]
may_mirror = true
time_limit_s = 20
[plate]
outline_mm = [[0, 0], [300, 0], [300, 120], [200, 200], [0, 200]]
[[plate.hole]]
outline_mm = [[150, 60], [180, 60], [180, 90], [150, 90]]
[[part]]
id = "angle"
count = 3
outline_mm = [[0, 0], [90, 0], [90, 25], [25, 25], [25, 70], [0, 70]]
[[part]]
id = "tab"
count = 2
outline_mm = [[0, 0], [50, 0], [40, 30], [10, 30]]
"""


def run(capsys, tmp_path, text, *more):
    file = tmp_path / "plate.toml"
    file.write_text(text, encoding="utf-8")
    code = status(["stock", "nest", str(file), "--json", *more])
    out, err = capsys.readouterr()
    return code, out, err


def test_every_part_is_placed_as_the_contract_says_a_place_is_meant(capsys, tmp_path):
    code, out, _ = run(capsys, tmp_path, NEST)
    answer = json.loads(out)
    assert (code, answer["unplaced"]) == (0, [])
    assert sorted(one["part"] for one in answer["placed"]) == ["angle", "angle", "angle", "tab", "tab"]
    rings = {
        "angle": [(0, 0), (90, 0), (90, 25), (25, 25), (25, 70), (0, 70)],
        "tab": [(0, 0), (50, 0), (40, 30), (10, 30)],
    }
    shapes = []
    for one in answer["placed"]:
        shape = Polygon(rings[one["part"]])
        shape = scale(shape, -1, 1, origin=(0, 0)) if one["mirrored"] else shape
        shapes.append(translate(rotate(shape, one["turn_deg"], origin=(0, 0)), one["x_mm"], one["y_mm"]))
    plate = Polygon([(0, 0), (300, 0), (300, 120), (200, 200), (0, 200)])
    hole = Polygon([(150, 60), (180, 60), (180, 90), (150, 90)])
    for k, shape in enumerate(shapes):
        assert plate.contains(shape)
        assert shape.distance(plate.exterior) >= 5 - 0.02
        assert shape.distance(hole) >= 4 - 0.02
        assert all(shape.distance(other) >= 3 - 0.02 for other in shapes[:k])
    assert answer["left_mm2"] >= 0
    assert answer["cautions"]


def test_the_same_file_and_seed_give_the_same_answer(capsys, tmp_path):
    assert run(capsys, tmp_path, NEST, "--seed", "4")[1] == run(capsys, tmp_path, NEST, "--seed", "4")[1]


def test_the_picture_shows_every_part_by_its_numeral(capsys, tmp_path):
    code, _, _ = run(capsys, tmp_path, NEST, "--picture", str(tmp_path / "nest.svg"))
    assert code == 0
    picture = ElementTree.parse(tmp_path / "nest.svg").getroot()
    said = [text.text for text in picture.iter("{http://www.w3.org/2000/svg}text")]
    assert said.count("1") == 3
    assert said.count("2") == 2
    assert any(line and line.startswith("1: angle, 3") for line in said)


def test_a_part_too_large_is_an_answer_that_names_it(capsys, tmp_path):
    big = NEST.replace("[[0, 0], [50, 0], [40, 30], [10, 30]]", "[[0, 0], [500, 0], [500, 300]]")
    code, out, _ = run(capsys, tmp_path, big)
    answer = json.loads(out)
    assert (code, answer["unplaced"]) == (0, [{"part": "tab", "count": 2}])
    assert any("tab does not fit" in doubt for doubt in answer["doubts"])


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "empty"),
        (NEST.replace("[40, 30], [10, 30]", "[10, 30], [40, 30]"), "crosses or touches itself"),
        (NEST.replace("[[0, 0], [50, 0], [40, 30], [10, 30]]", "[[0, 0], [50, 0], [0, 0]]"), "2 different points"),
        (NEST.replace("[[0, 0], [50, 0], [40, 30], [10, 30]]", "[[0, 0], [50, 0], [20, 0]]"), "outline"),
        (NEST.replace("[50, 0]", "[50]"), "not a point"),
        (NEST.replace("[50, 0]", "[nan, 0]"), "not a number"),
        (NEST.replace("count = 2", "count = 10000"), "10003 parts"),
        (NEST.replace('"tab"', '"angle"'), "2 times"),
        (NEST.replace("[0, 90, 180, 270]", '"some"'), "turns_deg"),
        (NEST.replace("gap_mm = 3", "gap_mm = -3"), "gap_mm"),
        (NEST.replace("outline_mm = [[0, 0], [300, 0]", "outline = [[0, 0], [300, 0]"), "outline_mm is missing"),
        (NEST.replace("[plate]", "[sheet]"), "plate"),
    ],
)
def test_a_bad_request_is_one_line_and_nothing_on_standard_output(capsys, tmp_path, text, said):
    code, out, err = run(capsys, tmp_path, text)
    assert (code, out, err.count("\n")) == (2, "", 1)
    assert said in err


@settings(max_examples=20, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.data())
def test_no_request_is_our_fault(capsys, tmp_path, data):
    text = NEST.replace("time_limit_s = 20", "time_limit_s = 0.5")
    at = data.draw(st.integers(0, len(text)))
    more = data.draw(st.text(alphabet="0123456789.-e[]{}=\"'\nabxyz_", max_size=8))
    cut = data.draw(st.integers(0, 12))
    code, out, err = run(capsys, tmp_path, text[:at] + more + text[at + cut :])
    assert code in (0, 2)
    assert (out == "") == (code == 2)
    assert code == 0 or err.count("\n") == 1


SHEETS = (
    NEST.replace("[plate]", '[[sheet]]\nid = "full"\ncost = "40"\nheat_number = "H7"')
    .replace("[[plate.hole]]", "[[sheet.hole]]")
    .replace("time_limit_s = 20", 'time_limit_s = 6\ncurrency = "EUR"')
    + """
[[clamp]]
sheet = "full"
outline_mm = [[0, 150], [30, 150], [30, 200], [0, 200]]
[[sheet]]
id = "waste"
count = 2
cost = "70"
outline_mm = [[0, 0], [300, 0], [300, 200], [0, 200]]
"""
)


def test_with_sheets_every_part_says_on_which_it_lies_and_the_cheapest_is_opened(capsys, tmp_path):
    code, out, _ = run(capsys, tmp_path, SHEETS, "--picture", str(tmp_path / "nest.svg"))
    answer = json.loads(out)
    assert (code, answer["unplaced"], answer["doubts"]) == (0, [], [])
    assert {(one["sheet"], one["number"]) for one in answer["placed"]} == {("full", 1)}
    assert (answer["cost"], answer["bound"], answer["gap"], answer["currency"]) == ("40.00", "40.00", "0.00", "EUR")
    [sheet] = answer["sheets"]
    assert Polygon(sheet["left"]["outline_mm"], sheet["left"]["holes_mm"]).area == pytest.approx(sheet["left_mm2"])
    assert sheet["heat_number"] == "H7"
    ElementTree.fromstring((tmp_path / "nest.svg").read_text(encoding="utf-8"))


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        (SHEETS + "[plate]\noutline_mm = [[0, 0], [9, 0], [9, 9]]", "plate and sheets"),
        (SHEETS.replace('sheet = "full"', 'sheet = "fool"'), "Did you mean 'full'"),
        (SHEETS + '[[part]]\nid = "x"\ndue = "soon"\noutline_mm = [[0, 0], [9, 0], [9, 9]]', "no time"),
    ],
)
def test_sheets_that_cannot_be_meant_are_one_line(capsys, tmp_path, wrong, said):
    code, out, err = run(capsys, tmp_path, wrong)
    assert (code, out, err.count("\n")) == (2, "", 1)
    assert said in err
