"""`steadyrest form` by its contract: the examples of the docs, keys, streams, exit codes."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from steadyrest.cli.main import status

DOCS = Path(__file__).parents[2] / "docs" / "form.md"
THINNING, HEATING, CLAMP, COOLING = re.findall(r"```toml\n(.*?)```", DOCS.read_text(encoding="utf-8"), re.DOTALL)
SECTION = "section_mm = [[0, 0], [0, -50], [100, -50], [100, 0]]"


def run(capsys, tmp_path, text, *words):
    file = tmp_path / "request.toml"
    file.write_text(text, encoding="utf-8")
    code = status(["form", str(file), *words])
    out, err = capsys.readouterr()
    return code, out, err


def answer(capsys, tmp_path, text):
    code, out, err = run(capsys, tmp_path, text, "--json")
    assert code == 0, err
    assert out.count("\n") == 1
    return json.loads(out)


def funnel(corners=((-40, -40), (40, -40), (40, 40), (-40, 40)), depth=30.0, inner=0.6):
    """A square funnel with a flat floor as STL text."""
    top = [(x, y, 0.0) for x, y in corners]
    low = [(inner * x, inner * y, -depth) for x, y in corners]
    triangles = [(low[0], low[1], low[2]), (low[0], low[2], low[3])]
    for k in range(4):
        n = (k + 1) % 4
        triangles += [(top[k], top[n], low[n]), (top[k], low[n], low[k])]
    lines = ["solid funnel"]
    for triangle in triangles:
        lines += ["facet normal 0 0 0", "outer loop", *(f"vertex {x} {y} {z}" for x, y, z in triangle)]
        lines += ["endloop", "endfacet"]
    return "\n".join([*lines, "endsolid funnel"])


def test_the_docs_trough(capsys, tmp_path):
    found = answer(capsys, tmp_path, THINNING)
    assert set(found) >= {"points", "mean_mm", "min_mm", "answer", "cautions", "doubts"}
    assert [(one["id"], round(one["thickness_mm"], 2)) for one in found["points"]] == [("wall", 1.66), ("floor", 1.91)]
    assert found["mean_mm"] == pytest.approx(1.5)
    assert found["min_mm"] == pytest.approx(0.56, abs=0.005)
    assert found["answer"] == "yes"
    assert answer(capsys, tmp_path, THINNING.replace("least_mm = 0.5", "least_mm = 0.6"))["answer"] == "no"


def test_the_docs_sheet_before_a_heater(capsys, tmp_path):
    found = answer(capsys, tmp_path, HEATING)
    assert (round(found["time_s"], 1), round(found["surface_c"], 1), found["answer"]) == (48.9, 159.3, "yes")
    assert answer(capsys, tmp_path, HEATING.replace("surface_limit_c = 180", "surface_limit_c = 159"))["answer"] == "no"
    never = answer(capsys, tmp_path, HEATING.replace("around_c = 220", "around_c = 150"))
    assert (never["time_s"], never["answer"]) == (None, "no")
    warm = answer(capsys, tmp_path, HEATING.replace("start_c = 20", "start_c = 181"))
    assert (warm["time_s"], warm["surface_c"], warm["answer"]) == (0, 181, "no")


def test_the_docs_four_cups(capsys, tmp_path):
    found = answer(capsys, tmp_path, CLAMP)
    assert (round(found["force_kn"]), found["answer"]) == (3189, "yes")
    assert answer(capsys, tmp_path, CLAMP.replace("press_kn = 4000", "press_kn = 3000"))["answer"] == "no"


def test_the_docs_wall_that_cools(capsys, tmp_path):
    assert round(answer(capsys, tmp_path, COOLING)["time_s"], 1) == 18.3
    assert round(answer(capsys, tmp_path, COOLING.replace('"centre"', '"mean"'))["time_s"], 1) == 13.6
    never = answer(capsys, tmp_path, COOLING.replace("eject_c = 90", "eject_c = 50"))
    assert (never["time_s"], never["answer"]) == (None, "no")
    one_side = answer(capsys, tmp_path, COOLING.replace("sides = 2", "sides = 1"))
    assert one_side["time_s"] == pytest.approx(4 * 18.318, rel=1e-3)


def test_a_mould_from_a_file_in_inches(capsys, tmp_path):
    (tmp_path / "funnel.stl").write_text(funnel([(-1, -1), (1, -1), (1, 1), (-1, 1)], 1.0))
    text = THINNING.replace(SECTION, 'mould = "funnel.stl"\nmould_unit = "in"')
    text = text.replace("[0, -20]", "[0, -20.32, -12.7]").replace("[50, -50]", "[0, 0, -25.4]")
    found = answer(capsys, tmp_path, text)
    area = 1.2**2 + 4 * 0.5 * (2 + 1.2) * (1 + 0.4**2) ** 0.5
    assert found["mean_mm"] == pytest.approx(3 * 4 / area, rel=1e-3)
    assert all(3 > one["thickness_mm"] > found["min_mm"] > 0 for one in found["points"])
    assert found["doubts"] == []


@pytest.mark.parametrize("text", [THINNING, HEATING, CLAMP, COOLING], ids=["thinning", "heating", "clamp", "cooling"])
def test_in_words_every_answer_brings_its_cautions(capsys, tmp_path, text):
    code, out, _ = run(capsys, tmp_path, text)
    assert code == 0
    assert out.startswith(("yes", "no"))
    assert out.count("caution: ") >= 3
    assert "local rules come first" in out


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "empty"),
        ("what = [", "TOML"),
        ('what = "baking"', "not known"),
        ("start_mm = 3", "what is missing"),
        (THINNING.replace("start_mm = 3", "start_mm = 0"), "start_mm"),
        (THINNING.replace('side = "female"', 'side = "male"'), "side"),
        (THINNING.replace(SECTION, ""), "either"),
        (THINNING.replace(SECTION, SECTION + '\nmould = "x.stl"'), "either"),
        ('what = "thinning"\nstart_mm = 3\nmould = "x.stl"\nmould_unit = "mm"', "x.stl"),
        (THINNING.replace("[0, -50], [100", "[0, 50], [100"), "below z = 0"),
        (THINNING.replace("[100, 0]]", "[100, -1]]"), "z = 0"),
        (THINNING.replace("[0, -50], [100, -50]", "[100, -50], [0, -50]"), "crosses"),
        (THINNING.replace("at_mm = [0, -20]", "at_mm = [0, -20, 3, 1]"), "not a point"),
        (THINNING.replace('id = "floor"', 'id = "wall"'), "2 times"),
        (HEATING.replace("faces = 2", "faces = 3"), "faces"),
        (HEATING.replace("around_c = 220", "flux_w_m2 = 5000"), "not both"),
        (HEATING.replace("k_w_mk = 0.25", ""), "k_w_mk is missing"),
        (CLAMP.replace('"disc"', '"star"'), "not known"),
        (CLAMP.replace('"across"', '"along"'), "length_mm is missing"),
        (CLAMP.replace("outside_mm = 90", "outside_mm = 90, inside_mm = 95"), "not smaller"),
        (CLAMP.replace("outside_mm = 90", "outside_mm = 90, window_mm2 = 6400"), "windows"),
        (CLAMP.replace("cavities = 4", "cavities = 0"), "cavities"),
        (COOLING.replace('"centre"', '"edge"'), "not known"),
        (COOLING.replace("melt_c = 230", 'melt_c = "hot"'), "not a number"),
    ],
)
def test_a_bad_request_is_one_line_and_nothing_on_standard_output(capsys, tmp_path, text, said):
    code, out, err = run(capsys, tmp_path, text, "--json")
    assert (code, out, err.count("\n")) == (2, "", 1)
    assert said in err


@pytest.mark.parametrize(
    ("mould", "unit", "said"),
    [
        (funnel(), "", "unit"),
        (funnel(depth=-30.0), "mm", "below z = 0"),
        ("solid nothing\nendsolid nothing", "mm", "mould.stl"),
        ("\0" * 300, "mm", "mould.stl"),
    ],
)
def test_a_bad_mould_is_one_line_and_nothing_on_standard_output(capsys, tmp_path, mould, unit, said):
    (tmp_path / "mould.stl").write_text(mould)
    text = f'what = "thinning"\nstart_mm = 2\nmould = "mould.stl"\nmould_unit = "{unit}"\n'
    code, out, err = run(capsys, tmp_path, text, "--json")
    assert (code, out, err.count("\n")) == (2, "", 1)
    assert said in err


def test_a_key_that_nobody_reads_and_a_point_off_the_mould_are_told(capsys, tmp_path):
    found = answer(capsys, tmp_path, "colour = 3\n" + THINNING.replace("[50, -50]", "[50, -45]"))
    assert any("colour" in doubt for doubt in found["doubts"])
    assert any("floor" in doubt and "off the mould" in doubt for doubt in found["doubts"])


@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.data())
def test_no_request_is_our_fault(capsys, tmp_path, data):
    text = data.draw(st.sampled_from([THINNING, HEATING, CLAMP, COOLING]))
    at = data.draw(st.integers(0, len(text)))
    more = data.draw(st.text(alphabet="0123456789.-e[]{}=,\"'\nabxyz_", max_size=8))
    cut = data.draw(st.integers(0, 12))
    code, out, err = run(capsys, tmp_path, text[:at] + more + text[at + cut :], "--json")
    assert code in (0, 2), err
    assert (out == "") == (code == 2)
    assert code == 0 or err.count("\n") == 1


def test_in_a_trough_a_point_may_say_how_far_along_it_lies(capsys, tmp_path):
    longer = THINNING.replace("at_mm = [50, -50]", "at_mm = [50, 700, -50]")
    assert longer != THINNING
    assert answer(capsys, tmp_path, longer)["points"] == answer(capsys, tmp_path, THINNING)["points"]
