"""`steadyrest stock` by its contract: keys, streams, exit codes."""

from __future__ import annotations

import json

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from steadyrest.cli.main import status

CARRY = """
[part]
length_mm = 40
face_mm = 1
part_off_mm = 4
count = 10
section = {d_mm = 20}
[material]
density_kg_m3 = 7850
e_mpa = 210000
price_per_kg = "2.00"
[saw]
kerf_mm = 2
person_s = 240
[holding]
grip_mm = 25
person_s = 180
force_n = 150
tip_allowed_mm = 0.05
[money]
person_per_hour = "60.00"
"""
KEEP = """
demands_per_year = 12
discount_per_year = 0.1
hold_per_year = "3.00"
kerf_mm = 2
new_per_mm = "0.05"
saved_each = "4.00"
scrap_per_mm = "0.004"
currency = "EUR"
[[demand]]
length_mm = 100
share = 0.7
[[demand]]
length_mm = 250
share = 0.3
[[piece]]
id = "R1"
length_mm = 90
[[piece]]
id = "R2"
length_mm = 260
"""
CUT = """
kerf_mm = 2.5
end_trim_mm = 5
grip_mm = 60
currency = "EUR"
rest_keep_mm = 500
rest_value_per_mm = "0.008"
[[piece]]
id = "R1"
length_mm = 3000
cost = "31.50"
[[piece]]
id = "R2"
length_mm = 2200
cost = 20
[[part]]
id = "P1"
length_mm = 742.5
count = 4
[[part]]
id = "P2"
length_mm = 300
count = 2
"""


def run(capsys, tmp_path, what, text):
    file = tmp_path / "request.toml"
    file.write_text(text, encoding="utf-8")
    code = status(["stock", what, str(file), "--json"])
    out, err = capsys.readouterr()
    return code, out, err


def test_carry_answers_with_every_option_and_the_chosen_one(capsys, tmp_path):
    code, out, _ = run(capsys, tmp_path, "carry", CARRY)
    answer = json.loads(out)
    assert code == 0
    assert [option["links"] for option in answer["options"]] == list(range(1, 11))
    assert {"links", "chains", "bar_mm", "handling_s", "cost", "tip_mm", "allowed", "limits"} <= set(
        answer["options"][0]
    )
    allowed = [option for option in answer["options"] if option["allowed"]]
    cheapest = min(allowed, key=lambda option: float(option["cost"]))
    assert answer["chosen"]["cost"] == cheapest["cost"]
    assert sum(answer["chosen"]["chains"]) == 10
    assert all(option["limits"] for option in answer["options"] if not option["allowed"])


def test_carry_without_an_allowed_option_chooses_none(capsys, tmp_path):
    code, out, _ = run(capsys, tmp_path, "carry", CARRY.replace("tip_allowed_mm = 0.05", "tip_allowed_mm = 0.0"))
    assert code == 0
    assert json.loads(out)["chosen"] is None


def test_keep_answers_a_value_a_piece(capsys, tmp_path):
    code, out, _ = run(capsys, tmp_path, "keep", KEEP)
    answer = json.loads(out)
    assert code == 0
    assert answer["currency"] == "EUR"
    assert [(piece["id"], piece["keep"]) for piece in answer["pieces"]] == [("R1", False), ("R2", True)]
    assert answer["pieces"][0]["value"] == "0.36"


def test_cut_answers_with_cuts_that_add_up_their_cost_and_how_sure_it_is(capsys, tmp_path):
    code, out, _ = run(capsys, tmp_path, "cut", CUT)
    answer = json.loads(out)
    assert code == 0
    assert {"cuts", "unplaced", "cost", "currency", "proven", "bound", "gap", "doubts"} <= set(answer)
    # Both pieces are needed: 4 x 742.5 + 2 x 300 and seven kerfs are more than one takes with trim and grip.
    lengths, pieces = {"P1": 742.5, "P2": 300.0}, {"R1": (3000, 31.5), "R2": (2200, 20.0)}
    cost = 0.0
    for one in answer["cuts"]:
        length, piece_cost = pieces[one["piece"]]
        assert 7.5 + sum(lengths[part] + 2.5 for part in one["parts"]) + one["rest_mm"] == length
        assert one["rest_mm"] >= 60
        cost += piece_cost - (0.008 * one["rest_mm"] if one["rest_mm"] >= 500 else 0)
    assert sorted(part for one in answer["cuts"] for part in one["parts"]) == ["P1"] * 4 + ["P2"] * 2
    assert answer["cost"] == f"{cost:.2f}"
    assert answer["unplaced"] == []
    assert answer["proven"]
    assert (answer["gap"], answer["currency"]) == ("0.00", "EUR")


def test_cut_says_what_cannot_be_made_and_exits_0(capsys, tmp_path):
    text = CUT.replace("count = 4", "count = 9") + '[[part]]\nid = "P3"\nlength_mm = 4000\ncount = 2\n'
    code, out, _ = run(capsys, tmp_path, "cut", text)
    answer = json.loads(out)
    assert code == 0
    assert {"part": "P3", "count": 2} in answer["unplaced"]
    made = [part for one in answer["cuts"] for part in one["parts"]]
    left = {one["part"]: one["count"] for one in answer["unplaced"]}
    assert {name: made.count(name) + left.get(name, 0) for name in ("P1", "P2")} == {"P1": 9, "P2": 2}
    assert any("P3" in doubt for doubt in answer["doubts"])


def test_cut_in_words_says_the_same(capsys, tmp_path):
    file = tmp_path / "request.toml"
    file.write_text(CUT, encoding="utf-8")
    assert status(["stock", "cut", str(file)]) == 0
    assert "nothing is cheaper" in capsys.readouterr()[0]


@pytest.mark.parametrize(
    ("what", "text", "said"),
    [
        ("cut", CUT.replace("kerf_mm = 2.5", "kerf_mm = -1"), "kerf_mm"),
        ("cut", CUT.replace("length_mm = 742.5", "length_mm = 0"), "length_mm"),
        ("cut", CUT.replace('"P2"', '"P1"'), "2 times"),
        ("cut", CUT.replace("count = 2", "count = 30000"), "count"),
        ("cut", CUT.replace("cost = 20", 'cost = "dear"'), "amount"),
        ("cut", CUT.replace("kerf_mm = 2.5", ""), "kerf_mm is missing"),
        ("carry", "", "empty"),
        ("carry", CARRY.replace("count = 10", "count = 0"), "count"),
        ("carry", CARRY.replace("count = 10", "count = 2.5"), "whole number"),
        ("carry", CARRY.replace("e_mpa = 210000", ""), "e_mpa is missing"),
        ("carry", CARRY.replace('"60.00"', '"sixty"'), "amount"),
        ("keep", KEEP.replace("share = 0.7", "share = 0.8"), "more than 1"),
        ("keep", KEEP.replace('"R2"', '"R1"'), "2 times"),
        ("keep", "demands_per_year = [", "TOML"),
    ],
)
def test_a_bad_request_is_one_line_and_nothing_on_standard_output(capsys, tmp_path, what, text, said):
    code, out, err = run(capsys, tmp_path, what, text)
    assert (code, out, err.count("\n")) == (2, "", 1)
    assert said in err


def test_a_key_that_nobody_reads_is_told(capsys, tmp_path):
    _, out, _ = run(capsys, tmp_path, "keep", "colour = 3\n" + KEEP)
    assert any("colour" in doubt for doubt in json.loads(out)["doubts"])


@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.data())
def test_no_request_is_our_fault(capsys, tmp_path, data):
    what, text = data.draw(st.sampled_from([("carry", CARRY), ("keep", KEEP), ("cut", "time_limit_s = 2" + CUT)]))
    at = data.draw(st.integers(0, len(text)))
    more = data.draw(st.text(alphabet="0123456789.-e[]{}=\"'\nabxyz_", max_size=8))
    cut = data.draw(st.integers(0, 12))
    code, out, err = run(capsys, tmp_path, what, text[:at] + more + text[at + cut :])
    assert code in (0, 2)
    assert (out == "") == (code == 2)
    assert code == 0 or err.count("\n") == 1


MORE = """
kerf_mm = 2.5
end_trim_mm = 5
grip_mm = 60
rest_keep_mm = 500
rest_value_per_mm = "0.008"
currency = "EUR"
face_mm = 1
[section]
shape = "angle"
size_mm = [60, 60, 6]
material = "S355"
[saw]
cut_s = 60
load_s = 90
stack = 2
person_per_hour = "60"
[[piece]]
id = "R7"
length_mm = 3000
cost = "30"
[[piece]]
id = "R8"
length_mm = 3000
cost = "30"
[[part]]
id = "frame"
length_mm = 500
count = 2
ends_deg = [45, 45]
due = 2
[[part]]
id = "leg"
length_mm = 1200
count = 2
due = 1
"""


def test_cut_with_section_saw_and_mitres_tells_order_weights_and_saw_time_and_prints_the_list(capsys, tmp_path):
    file = tmp_path / "list.toml"
    file.write_text(MORE, encoding="utf-8")
    code = status(["stock", "cut", str(file), "--json", "--paper", str(tmp_path / "c.pdf")])
    answer = json.loads(capsys.readouterr().out)
    assert (code, answer["unplaced"], answer["doubts"]) == (0, [], [])
    steps = [step for bar in answer["cuts"] for step in bar["order"]]
    assert sorted(step["part"] for step in steps) == ["frame", "frame", "leg", "leg"]
    # 60 x 60 x 6 with sharp corners at 7850 kg/m3 is 5.37 kg/m; the whole bar is on the saw first.
    assert answer["cuts"][0]["order"][0]["moved_kg"] == pytest.approx(3.0 * 5.369, rel=1e-3)
    assert answer["saw_s"] == answer["saw_cuts"] * 60 + len(answer["cuts"]) * 90
    assert (tmp_path / "c.pdf").read_bytes().startswith(b"%PDF")


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        (MORE.replace("ends_deg = [45, 45]", "ends_deg = [89, 0]"), "out of range"),
        (MORE.replace("length_mm = 500", "length_mm = 50"), "they meet"),
        (MORE.replace("[60, 60, 6]", "[60, 60]"), "3 sizes"),
        (MORE.replace('"S355"', '"cheese"'), "no material"),
        (MORE.replace("due = 2", "due = 2026-12-04"), "no time"),
    ],
)
def test_more_about_the_saw_that_cannot_be_meant_is_one_line(capsys, tmp_path, wrong, said):
    code, out, err = run(capsys, tmp_path, "cut", wrong)
    assert (code, out, err.count("\n")) == (2, "", 1)
    assert said in err


def test_carry_splits_the_lot_over_its_due_times_and_prices_a_scrapped_link(capsys, tmp_path):
    due = "[[due]]\nat = 2026-12-11\ncount = 6\n[[due]]\nat = 2026-12-04\ncount = 4\n"
    code, out, _ = run(capsys, tmp_path, "carry", CARRY + due)
    answer = json.loads(out)
    assert (code, [(one["due"], one["count"]) for one in answer["lots"]]) == (0, [("2026-12-04", 4), ("2026-12-11", 6)])
    lost = answer["scrapped_link"]
    assert float(lost["spare"]) == pytest.approx(lost["odds"] * float(lost["alone"]), abs=0.01)
    code, out, err = run(capsys, tmp_path, "carry", CARRY + due.replace("6", "7"))
    assert (code, out) == (2, "")
    assert "11 are due, 10 are wanted" in err


def test_haul_says_what_is_due_and_what_is_worth_keeping_apart(capsys, tmp_path):
    asked = 'haul_cost = 60\nbin_m3 = 0.8\n[[heap]]\nid = "brass"\nmetal = "brass"\nprice_per_kg = 3\n'
    code, out, _ = run(capsys, tmp_path, "haul", asked + "there_kg = 2000\nper_year_kg = 900\n")
    answer = json.loads(out)
    [heap] = answer["heaps"]
    assert (code, heap["due"], heap["apart"], heap["worth"]) == (0, True, True, "6000.00")
    code, out, err = run(capsys, tmp_path, "haul", asked.replace('metal = "brass"\n', 'metal = "gold"\n'))
    assert (code, out, err.count("\n")) == (2, "", 1)
