"""`steadyrest leave` as others rely on it: keys, exit codes, streams, and the contract's sentences one by one."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from steadyrest.cli.main import status
from tests.forward.programs import FILE, MACHINE, WRITERS

KEYS = {
    "time_s", "tools", "findings", "may_leave", "time_spread_s", "hold_points", "before_leaving", "good_parts",
    "cautions", "doubts",
}  # fmt: skip
MILL = """
[machine.M]
kind = "mill"
may_run_alone = true
travel_mm = {x = [-500, 500], y = [-400, 400], z = [-500, 0]}
offsets_mm.G54 = {x = 0, y = 0, z = -200}
max_rpm = 10000
rapid_mm_min = {x = 12000, y = 12000, z = 6000}
accel_mm_s2 = 1000
corner = "stop"
tool_change_s = 5
arc_tolerance_mm = 0.01
dwell = {P = "ms", X = "s"}
peck_clear_mm = 1
optional_stop_switch = false
hold_point_calls = [9011]
library = [9011]
[[machine.M.tool]]
number = 1
kind = "end mill"
diameter_mm = 10
length_mm = 80
role = "rough"
holder_max_rpm = 9000
life_s = 1000
used_s = 0
needs_coolant = false
[program."P.nc"]
machine = "M"
blank = {shape = "box", min_mm = [0, 0, -20], max_mm = [50, 50, 0]}
"""
HEAD = "%\nO1\nG21 G90 G94 G54\nT1 M6\nS5000 M3\n"


@pytest.fixture
def ask(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Any:
    def asked(text: str | bytes, *words: str, shop: str = MILL, machine: str = "M") -> tuple[int, Any, str]:
        (tmp_path / "shop.toml").write_text(shop, encoding="utf-8")
        program = tmp_path / "P.nc"
        program.write_bytes(text if isinstance(text, bytes) else text.encode())
        named = ("leave", str(program), "--machine", machine, "--shop", str(tmp_path / "shop.toml"), *words)
        code = status([*named, "--json"])
        out, err = capsys.readouterr()
        if code == 0:
            assert out.count("\n") == 1
        else:
            assert out == ""
            assert err.count("\n") == 1
        return code, json.loads(out) if out else None, err

    return asked


def answered(ask: Any, text: str | bytes, *words: str, **given: str) -> dict[str, Any]:
    code, document, err = ask(text, *words, **given)
    assert code == 0, err
    return document


def test_the_answer_has_the_contract_s_keys(ask: Any) -> None:
    document = answered(ask, HEAD + "G0 Z150.\nM30\n%\n")
    assert set(document) >= KEYS
    assert set(document["tools"][0]) >= {"number", "cut_s"}
    assert document["may_leave"] == "yes"
    low, high = document["time_spread_s"]
    assert low < document["time_s"] < high


def test_a_finding_has_kind_line_what_and_do(ask: Any) -> None:
    (finding,) = answered(ask, HEAD + "M0\nM30\n%\n")["findings"]
    assert (finding["kind"], finding["line"]) == ("stop", 6)
    assert finding["what"]
    assert finding["do"]


def test_the_time_is_the_contract_s_worked_by_hand(ask: Any) -> None:
    """5 s of change; rapid Z 195 mm at 100 mm/s: 1.95 + 0.1; feed 5 mm at 5 mm/s: 1.005; 50 mm at 10 mm/s: 5.01."""
    text = HEAD + "G0 Z5.\nG1 Z0. F300\nG1 X50. F600\nG4 P1500\nM30\n%\n"
    document = answered(ask, text)
    cut_s = 1.005 + 5.01
    assert document["time_s"] == pytest.approx(5 + 2.05 + cut_s + 1.5)
    assert document["tools"] == [{"number": 1, "cut_s": pytest.approx(cut_s)}]


def test_lines_count_from_one_with_percent_comments_and_blank_lines(ask: Any) -> None:
    text = "%\n\n(M0)\n; M0\nO7 (x)\n\nG21 G90\n\nM0\nM30\n%\n"
    assert [one["line"] for one in answered(ask, text)["findings"]] == [9]


@pytest.mark.parametrize("ending", ["\n", "\r\n"])
def test_either_kind_of_line_ending_counts_the_same(ask: Any, ending: str) -> None:
    text = ending.join(["%", "O7", "G21 G90", "G0 Z-10.", "M0", "M30", "%", ""])
    assert [one["line"] for one in answered(ask, text)["findings"]] == [5]


def test_a_worn_tool_belongs_to_no_line_and_its_cure_makes_it_yes_if(ask: Any) -> None:
    shop = MILL.replace("used_s = 0", "used_s = 999")
    document = answered(ask, HEAD + "G0 Z5.\nG1 X50. F600\nM30\n", shop=shop)
    assert [(one["kind"], one["line"]) for one in document["findings"]] == [("tool worn", None)]
    assert document["may_leave"] == "yes if"
    assert any("T1" in line for line in document["before_leaving"])


def test_a_machine_that_may_not_run_alone_never_gets_a_yes(ask: Any) -> None:
    document = answered(ask, HEAD + "M30\n", shop=MILL.replace("may_run_alone = true", "may_run_alone = false"))
    assert document["may_leave"] == "no"
    assert [one["kind"] for one in document["findings"]] == ["alone"]


def test_the_other_unit_words_are_the_machine_s_own(ask: Any) -> None:
    shop = MILL.replace('kind = "mill"', 'kind = "mill"\nunit_words = {inch = "G70", metric = "G71"}', 1)
    text = HEAD.replace("G21", "G71") + "G0 Z10.\nM30\n"
    assert answered(ask, text, shop=shop)["may_leave"] == "yes"
    kinds = {one["kind"] for one in answered(ask, HEAD + "G0 Z10.\nM30\n", shop=shop)["findings"]}
    assert kinds >= {"units"}


@pytest.mark.parametrize("limits", ["I1. K2.", "I1. K2. D3."])
def test_a_hold_point_has_both_limits(ask: Any, limits: str) -> None:
    document = answered(ask, HEAD + f"G65 P9011 {limits}\nM30\n")
    assert [point["line"] for point in document["hold_points"]] == [6]


def test_a_program_that_the_shop_file_does_not_name_is_judged_without_its_stock_and_says_so(ask: Any) -> None:
    shop = MILL.replace('"P.nc"', '"Q.nc"')
    document = answered(ask, HEAD + "G0 X25. Y25.\nG0 Z-5.\nM30\n", shop=shop)
    assert document["may_leave"] == "yes"
    assert any("blank" in doubt for doubt in document["doubts"])


def test_a_blank_that_is_typed_counts(ask: Any) -> None:
    shop = MILL.replace('"P.nc"', '"Q.nc"')
    text = HEAD + "G0 X25. Y25.\nG0 Z-5.\nM30\n"
    document = answered(ask, text, "--blank", "box 0,0,-20 50,50,0", shop=shop)
    assert [(one["kind"], one["line"]) for one in document["findings"]] == [("rapid", 7)]


def test_the_same_question_gets_the_same_answer(ask: Any) -> None:
    text = HEAD + "G0 Z5.\nG1 X50. F600\nM30\n"
    assert answered(ask, text, "--seed", "3") == answered(ask, text, "--seed", "3")


@pytest.mark.parametrize(
    "text",
    [b"", b"\x00\x01\x02\xff" * 500, bytes(range(256)) * 30],
    ids=["empty", "noughts", "rubbish"],
)
def test_a_file_that_is_no_program_is_one_line(ask: Any, text: bytes) -> None:
    code, _, err = ask(text)
    assert code == 2
    assert "P.nc" in err


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("--machine", "N"), "Those there are: M"),
        (("--blank", "ball 5"), "--blank"),
        (("--blank", "box 0,0,0 0,5,5"), "--blank"),
        (("--shop", "there-is-none.toml"), "there-is-none.toml"),
    ],
)
def test_a_wrong_word_is_one_line(ask: Any, words: tuple[str, str], told: str) -> None:
    code, _, err = ask(HEAD + "M30\n", *words)
    assert code == 2
    assert told in err


def test_a_program_that_is_not_there_is_one_line(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "shop.toml").write_text(MILL)
    code = status(["leave", str(tmp_path / "none.nc"), "--machine", "M", "--shop", str(tmp_path / "shop.toml")])
    out, err = capsys.readouterr()
    assert (code, out) == (2, "")
    assert "none.nc" in err


def test_without_machine_it_is_asked_for(capsys: pytest.CaptureFixture[str]) -> None:
    assert status(["leave", "P.nc"]) == 2
    assert "--machine" in capsys.readouterr().err


@pytest.mark.parametrize("kind", WRITERS)
def test_words_for_a_person_begin_with_the_answer_and_its_cautions(
    kind: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    made = WRITERS[kind][0](5, "stop M0")
    (tmp_path / "shop.toml").write_text(made.floor.toml())
    (tmp_path / FILE).write_text(made.text)
    shop = ("--shop", str(tmp_path / "shop.toml"))
    assert status(["leave", str(tmp_path / FILE), "--machine", MACHINE, *shop]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert lines[0] == f"May I leave {FILE} running on {MACHINE}? no"
    assert any(line.startswith("  stop: line ") for line in lines)
    assert [line.startswith("  Caution: ") for line in lines[1:4]] == [True] * 3
    assert "door" in " ".join(lines[1:4])


def test_the_finished_part_is_held_against_the_cuts(ask, tmp_path: Path) -> None:
    corners = [(x, y, z) for z in (-20, -3) for y in (0, 50) for x in (0, 50)]
    faces = ["1 3 2", "2 3 4", "5 6 7", "6 8 7", "1 2 5", "2 6 5", "3 7 4", "4 7 8", "1 5 3", "3 5 7", "2 4 6", "4 8 6"]
    text = "".join(f"v {x} {y} {z}\n" for x, y, z in corners) + "".join(f"f {face}\n" for face in faces)
    (tmp_path / "part.obj").write_text(text)
    cut = HEAD + "G0 X-10. Y25. Z5.\nG1 Z-{deep}. F500\nX60.\nG0 Z5.\nM30\n"
    words = ("--part", str(tmp_path / "part.obj"), "--unit", "mm")
    _, right, _ = ask(cut.replace("{deep}", "3"), *words)
    _, wrong, _ = ask(cut.replace("{deep}", "4"), *words)
    assert [one["kind"] for one in right["findings"]] == []
    assert [(one["kind"], one["line"]) for one in wrong["findings"]] == [("gouge", 8)]
    code, nothing, said = ask(cut.replace("{deep}", "3"), "--part", str(tmp_path / "part.obj"))
    assert (code, nothing) == (2, None)
    assert "unit" in said
