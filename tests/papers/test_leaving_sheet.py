"""The leaving sheet and its words: cautions always, odds only where they mean something, faults told once."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime

import pytest

from steadyrest.demo import programs
from steadyrest.desk.night.leave import ShopText, leave_bytes
from steadyrest.desk.which_shop import example_text
from steadyrest.papers.leaving_sheet import LeavingSheet, leaving_sheet
from steadyrest.papers.leaving_words import LeavingWords, leaving_words, path_picture, strip_picture
from steadyrest.program.leave import LeavingAnswer
from steadyrest.program.leaving_beside import beside
from steadyrest.shop.figure import because
from steadyrest.wording.say import Reader

NOW = datetime(2026, 11, 27, 18, 40, tzinfo=UTC)
SHOP = ShopText(example_text(), "the example shop", example=True)


def answer_to(text: str, machine: str = "lathe", name: str = "spacers.nc") -> LeavingAnswer:
    return leave_bytes(text.encode(), name, machine=machine, shop=SHOP, progress=lambda *_: None, stop=lambda: False)


def worded(answer: LeavingAnswer) -> LeavingWords:
    return leaving_words(answer, beside(answer), reader=Reader(), checked=NOW, timezone="Europe/Vienna")


@pytest.fixture(scope="module")
def spacers() -> LeavingAnswer:
    return answer_to("\n".join(programs.spacers()))


def test_the_same_answer_makes_the_same_sheet(spacers: LeavingAnswer) -> None:
    aside = beside(spacers)
    sheet = LeavingSheet(
        "a shop", worded(spacers), NOW, "Europe/Vienna", path_picture(spacers, aside, width_mm=180),
        strip_picture(spacers, aside, width_mm=180),
    )  # fmt: skip
    pdf = leaving_sheet(sheet)
    assert pdf.startswith(b"%PDF")
    assert pdf == leaving_sheet(sheet)
    assert leaving_sheet(replace(sheet, path_svg="", strip_svg="", sheet="us-letter")).startswith(b"%PDF")


def test_the_cautions_stand_on_every_answer(spacers: LeavingAnswer) -> None:
    assert len(worded(spacers).cautions) == 3
    assert len(worded(replace(spacers, may_leave="yes", findings=())).cautions) == 3


def test_odds_are_given_for_tools_and_stops_and_not_beside_something_worse(spacers: LeavingAnswer) -> None:
    assert "nine nights in ten" in worded(spacers).parts[0]
    crash = replace(spacers.findings[0], kind="rapid", line=12, cure=None)
    told = worded(replace(spacers, findings=(crash,), may_leave="no"))
    assert told.parts == ("What was found comes first (rapid): odds would say nothing.",)


def test_a_tool_without_a_written_life_is_said_not_to_be_known() -> None:
    program = "%\nG21 G90 G95\nT7777\nG97 S800 M3\nG0 X20. Z2.\nG1 Z-5. F0.1\nM30\n%\n"
    told = worded(answer_to(program, name="other.nc"))
    assert any("T77" in line and "nobody knows" in line for line in told.parts) or "tool missing" in told.parts[0]


def test_a_thousand_faults_of_a_kind_are_a_dozen_rows_and_a_number(spacers: LeavingAnswer) -> None:
    many = tuple(replace(spacers.findings[0], kind="word", line=k, what=because("stop.always")) for k in range(1, 1001))
    told = worded(replace(spacers, findings=many, may_leave="no"))
    assert len(told.findings) == 12
    assert told.more_findings == "988 more of “word”"


def test_the_finishing_tool_relies_on_the_roughing_one(spacers: LeavingAnswer) -> None:
    assert any(line.startswith("T2 relies on T1") for line in worded(spacers).relies)


def test_to_change_a_tool_is_said_once(spacers: LeavingAnswer) -> None:
    assert sum("T1" in line for line in worded(spacers).before_leaving) == 1


def test_nothing_cut_is_said_and_has_no_picture() -> None:
    answer = answer_to("%\nG21 G90\nG0 X100.\nM30\n%\n", name="air.nc")
    assert worded(answer).parts == ("Nothing is cut.",)
    assert path_picture(answer, beside(answer), width_mm=180) == ""
