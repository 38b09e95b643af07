"""The answer as a whole: yes, no or yes if, and what stands beside it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from steadyrest.desk.night.leave import ShopText, leave_bytes, machines_of, parse_blank
from steadyrest.program.findings.finding import Finding
from steadyrest.program.leave import Known, LeavingAnswer, leave, may_leave
from steadyrest.shop.draws import Luck
from steadyrest.shop.figure import because
from steadyrest.shop.leaving import BoxBlank, LeavingMachine, LeavingTool, ProgramSaid, RoundBlank
from steadyrest.shop.shop_materials import table_materials
from steadyrest.trouble import BadInput
from steadyrest.wording.say import say
from tests.forward.programs import WRITERS
from tests.scoring.programs import asked

REASON = because("stop.always")
HEAD = "G21 G90 G94 G54\nT1 M6\nS5000 M3\n"
MILL = LeavingMachine(
    name="m", kind="mill", may_run_alone=True, travel_mm=dict.fromkeys("xyz", (-500.0, 500.0)),
    offsets_mm={"G54": (0.0, 0.0, 0.0)}, max_rpm=9000.0, rapid_mm_min=(9000.0,) * 3, accel_mm_s2=900.0,
    tools=(LeavingTool(1, "end mill", "rough", 10.0, 60.0, life_s=3600.0),),
)  # fmt: skip
BLOCK = ProgramSaid("p.nc", blank=BoxBlank((0.0, 0.0, -30.0), (60.0, 60.0, 0.0)))


def answer_to(
    text: str, machine: LeavingMachine = MILL, said: ProgramSaid | None = BLOCK, metal: str = ""
) -> LeavingAnswer:
    metals = {one.id: one for one in table_materials()}
    known = Known(machine, said, metals[metal] if metal else None, Luck(256, 1))
    return leave(text.encode(), "p.nc", known, progress=lambda _what, _share: None, stop=lambda: False)


def kinds(answer: LeavingAnswer) -> list[str]:
    return [one.kind for one in answer.findings]


@given(cures=st.lists(st.booleans(), max_size=6))
def test_yes_needs_no_finding_and_yes_if_a_cure_for_each(cures: Sequence[bool]) -> None:
    found = [Finding("stop", 1, REASON, REASON, REASON if cure else None) for cure in cures]
    assert may_leave(found) == ("yes" if not cures else "yes if" if all(cures) else "no")


def test_nothing_found_on_a_machine_that_may_run_alone_is_a_yes() -> None:
    assert answer_to(HEAD + "G0 Z20.\nM30\n").may_leave == "yes"
    assert answer_to(HEAD + "G0 Z20.\nM30\n", replace(MILL, may_run_alone=False)).may_leave == "no"


def test_cures_stand_first_in_what_to_do_before_leaving_and_each_once() -> None:
    machine = replace(MILL, optional_stop_switch=True)
    answer = answer_to(HEAD + "M1\nG0 Z20.\nM1\nM30\n", machine)
    assert answer.may_leave == "yes if"
    assert [say(one) for one in answer.before_leaving][:1] == ["switch the optional stop off"]
    assert len(answer.before_leaving) == len(set(answer.before_leaving))


def test_a_doubt_does_not_decide_the_answer() -> None:
    answer = answer_to(HEAD + "G0 Z20.\nM30\n", said=None)
    assert answer.may_leave == "yes"
    assert answer.met is None
    assert answer.doubts


def test_while_nobody_knows_the_unit_nothing_that_hangs_on_it_is_told() -> None:
    text = HEAD.replace("G21 ", "") + "G0 X30. Y30.\nG0 Z-5.\nG0 X9999.\nM30\n"
    assert kinds(answer_to(text)) == ["units"]


def test_once_somebody_says_the_unit_everything_is_judged_in_it() -> None:
    text = HEAD.replace("G21 ", "") + "G0 X30. Y30.\nG0 Z-5.\nM30\n"
    known = Known(MILL, BLOCK, None, Luck(256, 1), unit="mm")
    answer = leave(text.encode(), "p.nc", known, progress=lambda _what, _share: None, stop=lambda: False)
    assert sorted(kinds(answer)) == ["rapid", "units"]


def test_the_prohibition_list_stands_before_a_good_program() -> None:
    said = replace(BLOCK, holding="vacuum", coolant="oil")
    answer = answer_to(HEAD + "G0 Z20.\nM30\n", said=said)
    assert answer.may_leave == "no"
    assert kinds(answer) == ["alone", "alone"]


SLOT = HEAD + "G0 X-20. Y30.\nG0 Z-12.\nG1 X80. F{feed}\nG0 Z20.\nM30\n"


@pytest.mark.parametrize(("feed", "too_much"), [(60, False), (6000, True)])
def test_more_power_than_the_spindle_has_is_an_overload(feed: int, too_much: bool) -> None:
    """A full slot of 10 x 12 mm in C45 with 1 kW: Kienzle gives far below it at 60 mm/min, far above it at 6 m/min."""
    from steadyrest.shop.floor import PowerCurve

    machine = replace(MILL, power=PowerCurve(((0.0, 1000.0), (9000.0, 1000.0))))
    text = SLOT.format(feed=feed)
    assert ("overload" in kinds(answer_to(text, machine, metal="C45"))) is too_much
    assert "overload" not in kinds(answer_to(text, machine))


def test_cutting_with_a_dead_spindle_is_found_once_a_tool() -> None:
    text = SLOT.format(feed=300).replace("S5000 M3\n", "")
    assert kinds(answer_to(text)) == ["dead spindle"]


def test_a_program_that_never_ends_and_one_that_breaks_off_are_answers() -> None:
    assert "loop" in kinds(answer_to("G21\nN1 G0 X1.\nGOTO 1\nM30\n"))
    assert kinds(answer_to(HEAD + "G0 Z20.\n")) == ["end"]


@pytest.mark.parametrize("kind", WRITERS)
def test_every_sentence_of_every_planted_fault_can_be_said(kind: str) -> None:
    write, twists = WRITERS[kind]
    for twist in twists:
        answer = asked(write(21, twist))
        for one in answer.findings:
            assert say(one.what)
            assert say(one.do)
        for reason in (*answer.doubts, *answer.cautions, *answer.before_leaving, *answer.left, *answer.time.why):
            assert say(reason)


def test_moves_and_events_add_up_to_the_time() -> None:
    answer = asked(WRITERS["lathe"][0](3, ""))
    assert float(answer.move_s.sum() + answer.event_s.sum()) == pytest.approx(answer.time.value)
    low, high = answer.time_spread_s
    assert low < answer.time.value < high


@pytest.mark.parametrize(
    ("text", "blank"),
    [
        ("box 0,0,-20 100,60,0", BoxBlank((0.0, 0.0, -20.0), (100.0, 60.0, 0.0))),
        ("  round  40.5  -80,2 ", RoundBlank(40.5, (-80.0, 2.0))),
    ],
)
def test_a_blank_is_read_as_it_is_typed(text: str, blank: BoxBlank | RoundBlank) -> None:
    assert parse_blank(text) == blank


@pytest.mark.parametrize("text", ["", "box", "box 0,0 1,1", "round 0 -1,1", "round 40 2,-80", "box 1,1,1 1,2,2"])
def test_what_is_no_blank_is_refused(text: str) -> None:
    with pytest.raises(BadInput, match="--blank"):
        parse_blank(text)


def test_the_desk_knows_the_machines_of_a_whole_shop_file() -> None:
    from steadyrest.desk.night.leave import shop_text

    shop = shop_text(None, None)
    assert shop.example
    assert {machine.kind for machine in machines_of(shop)} == {"mill", "lathe"}
    with pytest.raises(BadInput, match="lathe"):
        leave_bytes(
            b"G21\nM30\n", "p.nc", machine="saw", shop=shop, progress=lambda _what, _share: None, stop=lambda: False
        )


def test_who_says_stop_is_heard() -> None:
    made = WRITERS["mill"][0](1, "")
    with pytest.raises(InterruptedError):
        leave_bytes(
            made.text.encode() * 1, "PART.nc", machine="one", shop=ShopText(made.floor.toml(), "shop.toml"),
            progress=lambda _what, _share: None, stop=lambda: True,
        )  # fmt: skip
