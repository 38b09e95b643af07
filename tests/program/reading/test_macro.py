"""Variables, expressions, jumps and loops. Answers from mathematics and from the rules of NISTIR 6556 (from memory)."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis.strategies import floats

from steadyrest.program.reading.dialect import Dialect, Limits
from steadyrest.program.reading.read import read
from steadyrest.program.run import Run


def run(program: str, **dialect: object) -> Run:
    return read(program.encode(), Dialect(**dialect), limits=Limits(repeats=3000))  # type: ignore[arg-type]


def answer(expression: str, **dialect: object) -> float:
    """What X becomes; never where it was."""
    done = run(f"G21 G90 G0 X-7777\nX{expression}\nM30\n", **dialect)
    assert not done.odds
    return float(done.moves.end_mm[-1, 0])


@pytest.mark.parametrize(
    ("expression", "value"),
    [
        ("[1 + 2 * 3 - 4 / 5]", 6.2), ("[2 ** 3.0]", 8.0), ("[2 * 3 ** 2]", 18.0), ("[1 --3]", 4.0), ("-[2 + 3]", -5.0),
        ("[7 MOD 4]", 3.0), ("[-7 MOD 4]", 1.0), ("[8 - 3 - 2]", 3.0), ("[16 / 4 / 2]", 2.0), ("[2 + -3 * 2]", -4.0),
        ("SIN[30]", 0.5), ("COS[60]", 0.5), ("TAN[45]", 1.0), ("ASIN[0.5]", 30.0), ("ACOS[0.5]", 60.0),
        ("ATAN[1]/[1]", 45.0), ("ATAN[1]/[-1]", 135.0), ("ATAN[-1]/[-1]", -135.0), ("ATAN[1, -1]", 135.0),
        ("SQRT[2]", math.sqrt(2)), ("ABS[-3.5]", 3.5), ("EXP[1]", math.e), ("LN[10]", math.log(10)),
        ("ROUND[0.5]", 1.0), ("ROUND[-0.5]", -1.0), ("ROUND[2.499]", 2.0), ("FIX[2.9]", 2.0), ("FIX[-2.1]", -3.0),
        ("FUP[2.1]", 3.0), ("FUP[-2.9]", -2.0), ("[0 OR 3]", 1.0), ("[1 AND 0]", 0.0), ("[2 XOR 2]", 0.0),
        ("[3 GT 2]", 1.0), ("[3 LE 2]", 0.0), ("[2 EQ 2]", 1.0), ("[2 NE 2]", 0.0), ("[[1 LT 2] AND [2 GE 2]]", 1.0),
        ("SQRT[3 ** 2 + 4 ** 2]", 5.0), ("[2 + ASIN[1 / 2] / ATAN[1]/[1]]", 2.0 + 30.0 / 45.0),
    ],
)  # fmt: skip
def test_an_expression_has_its_value(expression: str, value: float) -> None:
    assert answer(expression) == pytest.approx(value, abs=1e-12)


def test_fix_and_fup_go_by_zero_where_the_machine_does_so() -> None:
    assert answer("FIX[-2.9]", fix_toward_zero=True) == -2.0
    assert answer("FUP[-2.1]", fix_toward_zero=True) == -3.0


@given(a=floats(-1e3, 1e3), b=floats(-1e3, 1e3), c=floats(1.0, 1e3))
def test_arithmetic_is_arithmetic(a: float, b: float, c: float) -> None:
    assert answer(f"[{a:.6f} - {b:.6f} * [{a:.6f} + {c:.6f}] / {c:.6f}]") == pytest.approx(
        round(a, 6) - round(b, 6) * (round(a, 6) + round(c, 6)) / round(c, 6), abs=1e-6
    )


def test_settings_of_a_line_count_from_the_next_line_on() -> None:
    done = run("G21 G0 #1=2.0 X5\n##1 = 0.375\nX#2 #3=7.0\n#3=5.0 X#3\nX#3\nM30\n")
    assert done.moves.end_mm[:, 0].tolist() == [5.0, 0.375, 7.0, 5.0]


def test_a_variable_that_nothing_set_moves_nothing_and_is_told() -> None:
    done = run("G21 G90 G0 X5\nX#7 Y3\nM30\n")
    assert done.moves.end_mm[-1].tolist() == [5.0, 3.0, 0.0]
    assert [(odd.kind, odd.line) for odd in done.odds] == [("variable", 2)]
    assert not run("G21\nIF [#7 EQ #0] GOTO 5\nG0 X1\nN5 M30\n").moves.line.size


@pytest.mark.parametrize("wrong", ["X[1 / 0]", "XSQRT[-1]", "XLN[0]", "#3000=1", "#0=1", "XASIN[2]", "X#[0.5]"])
def test_where_a_control_would_stop_with_an_alarm_the_run_stops(wrong: str) -> None:
    done = run(f"G21 G0 X1\n{wrong}\nX9\nM30\n")
    assert [(odd.kind, odd.line) for odd in done.odds] == [("alarm", 2)]
    assert not done.ended
    assert len(done.moves) == 1


def test_a_while_runs_as_often_as_it_holds() -> None:
    done = run("G21 G91\n#1 = 0\nWHILE [#1 LT 5] DO 1\nG0 X2\n#1 = #1 + 1\nEND 1\nG0 Y1\nM30\n")
    assert done.moves.line.tolist() == [4] * 5 + [7]
    assert done.moves.end_mm[-1].tolist() == [10.0, 1.0, 0.0]
    assert done.ended


def test_loops_stand_within_loops() -> None:
    done = run("G21 G91\n#1=0\nWHILE[#1LT3]DO1\n#2=0\nWHILE[#2LT2]DO2\nG0X1\n#2=#2+1\nEND2\n#1=#1+1\nEND1\nM30\n")
    assert done.moves.line.tolist() == [6] * 6


def test_a_while_that_never_holds_is_passed_over() -> None:
    done = run("G21 G91\nWHILE [1 GT 2] DO 1\nG0 X2\nEND 1\nG0 Y1\nM30\n")
    assert done.moves.line.tolist() == [5]


def test_a_jump_goes_on_or_back_within_its_program() -> None:
    done = run("G21 G91\n#1=0\nN10 G0 X1\n#1=#1+1\nIF[#1 LT 3]GOTO 10\nGOTO 20\nG0 X99\nN0020 M30\n")
    assert done.moves.end_mm[:, 0].tolist() == [1.0, 2.0, 3.0]
    then = run("G21 G91\n#1=4\nIF [#1 EQ 4] THEN #1=6\nG0 X#1\nM30\n")
    assert then.moves.end_mm[-1, 0] == 6.0


@pytest.mark.parametrize(
    "program",
    [
        "G21\nN1 GOTO 1\nM30\n",
        "G21\nWHILE [1 EQ 1] DO 1\nEND 1\nM30\n",
        "G21\nDO 1\nEND 1\nM30\n",
        "G21 G91\nN1 G0 X1\nGOTO 1\nM30\n",
        "G21\nWHILE [1 EQ 1] DO 1\n#1=#1+1\nEND 1\nM30\n",
        "G21\nN1 #1=1\n#1=2\nGOTO 1\nM30\n",
        "G21 G0 X1\nM99\n",
        "G21\nM98 P7\nM30\nO7\nM98 P7\nM99\n",
        "G21\nM98 P7 L9999\nM30\nO7\nM98 P8 L9999\nM99\nO8\nM98 P9 L9999\nM99\nO9\nM99\n",
    ],
)
def test_what_never_ends_is_given_up_and_told(program: str) -> None:
    done = run(program)
    assert "loop" in [odd.kind for odd in done.odds]
    assert not done.ended


def test_a_jump_to_nowhere_is_told() -> None:
    done = run("G21 G0 X1\nGOTO 77\nM30\nO9\nN77\nM99\n")
    assert [(odd.kind, odd.line) for odd in done.odds] == [("subprogram", 2)]


def test_arguments_of_a_call_become_local_variables() -> None:
    """Letters of the widespread macro style: A is #1, B #2, I #4, X #24 (common practice, no source)."""
    done = run("G21 G90\n#1=50\nG65 P100 A1. B2. I3. X4. Z5.\nG0 X#1\nM30\nO100\nG0 X#1 Y#2 Z#4\nG0 X#24 Y#26\nM99\n")
    assert done.moves.end_mm.tolist() == [[1.0, 2.0, 3.0], [4.0, 5.0, 3.0], [50.0, 5.0, 3.0]]


def test_probing_leaves_the_place_where_it_ended() -> None:
    done = run(
        "G21 G90 G54\nG0 X5 Y2\nG31 X9 F50\n#100=#5061\nG0 X[#100 + 1]\nM30\n", offsets_mm={"G54": (100.0, 0.0, 0.0)}
    )
    assert done.moves.skip.tolist() == [False, True, False]
    assert done.moves.end_mm[-1, 0] == 110.0


def test_work_zeros_can_be_read_and_set_as_variables() -> None:
    done = run("G20 G90 G55\n#5241 = 2.0\nG0 X1.0\n#100 = #5241\nX#100\nM30\n")
    assert done.moves.end_mm[:, 0].tolist() == pytest.approx([3 * 25.4, 4 * 25.4])
