"""The list before the visitor leaves: short, in the order of what it decides, each with its why."""

from __future__ import annotations

from dataclasses import replace

import pytest

from steadyrest.part.ask_next.before_leaving import MOST, Question, before_leaving
from steadyrest.part.nominal.name import name_sizes, with_reading
from steadyrest.shop.figure import because
from steadyrest.shop.part import Doubt, Part
from steadyrest.wording.say import Reader, say
from tests.part.nominal.parts import UNKNOWN, part_of, round_feature, worn_shaft

PLAIN = part_of(round_feature("F1", 25.0, 0, 40), round_feature("F2", 30.0, 40, 90))


def abouts(part: Part) -> list[str]:
    return [question.about for question in before_leaving(part)]


@pytest.mark.parametrize(
    "part",
    [
        name_sizes(worn_shaft()),
        name_sizes(PLAIN),
        name_sizes(replace(worn_shaft(), broken=True)),
        name_sizes(replace(worn_shaft(), unit=UNKNOWN)),
        name_sizes(replace(worn_shaft(), kind="solid")),
        replace(part_of(round_feature("F1", 8.0, 0, 0, kind="bore")), kind="flat", profile=None),
    ],
    ids=["worn", "plain", "broken", "no unit", "solid", "flat"],
)
def test_the_list_is_short_ordered_worded_and_says_why(part: Part) -> None:
    questions = before_leaving(part)
    assert 2 <= len(questions) <= MOST
    assert [q.worth for q in questions] == sorted((q.worth for q in questions), reverse=True)
    for question in questions:
        assert question.why
        for reader in (Reader("mm"), Reader("in")):
            for reason in (question.ask, *question.why, *question.cautions):
                assert say(reason, reader)


def test_without_a_unit_the_first_question_is_one_size() -> None:
    first = before_leaving(name_sizes(replace(worn_shaft(), unit=UNKNOWN)))[0]
    assert (first.about, first.ask.key, first.gauge) == ("scale", "ask.unit_diameter", "caliper")


def test_what_runs_on_the_worn_seat_comes_before_its_metal() -> None:
    questions = before_leaving(name_sizes(worn_shaft()))
    worn = next(q for q in questions if q.about == "runs on it")
    assert worn.feature == "F4"
    assert questions.index(worn) < [q.about for q in questions].index("metal")


def test_a_scale_check_is_taken_where_nothing_is_worn() -> None:
    scale = next(q for q in before_leaving(name_sizes(worn_shaft())) if q.about == "scale")
    assert scale.feature == "F5"


def test_a_scan_whose_scale_was_read_is_not_asked_for_it_again() -> None:
    part = with_reading(name_sizes(worn_shaft()), "F5", "diameter_mm", 44.99, 0.004)
    assert "scale" not in abouts(part)


def test_a_broken_part_is_asked_for_its_other_half_first() -> None:
    assert abouts(name_sizes(replace(worn_shaft(), broken=True)))[0] == "halves"


def test_the_metal_is_tried_with_cautions() -> None:
    metal = next(q for q in before_leaving(name_sizes(worn_shaft())) if q.about == "metal")
    assert {"metal.mind_eyes", "metal.mind_fire", "metal.mind_chips"} <= {reason.key for reason in metal.cautions}


def test_a_keyed_shaft_is_asked_for_its_hub() -> None:
    mates = [q for q in before_leaving(name_sizes(worn_shaft())) if q.about == "mates"]
    assert "before.hub" in [q.ask.key for q in mates]


def test_a_thread_that_was_not_settled_asks_for_a_pitch_gauge() -> None:
    doubt = Doubt(because("threads.crests_only", pitch_mm=1.5), because("threads.ask_pitch_gauge"))
    questions = before_leaving(name_sizes(replace(PLAIN, doubts=(doubt,))))
    (thread,) = [q for q in questions if q.about == "thread"]
    assert thread.gauge == "pitch gauge"


def test_hints_of_an_earlier_repair_raise_the_question() -> None:
    def repair(part: Part) -> Question:
        return next(q for q in before_leaving(part) if q.about == "repairs")

    mixed = replace(PLAIN, doubts=(Doubt(because("doubt.mixed"), because("ask.mixed")),))
    assert repair(mixed).worth > repair(PLAIN).worth


def test_a_drawing_is_asked_only_what_a_drawing_cannot_say() -> None:
    flat = replace(part_of(round_feature("F1", 8.0, 0, 0, kind="bore")), kind="flat", profile=None)
    assert set(abouts(flat)) == {"thickness", "count and date", "metal"}
    assert not {"scale", "temperature", "repairs", "reading"} & set(abouts(name_sizes(replace(PLAIN, kind="solid"))))


def test_what_is_known_is_left_out() -> None:
    part = name_sizes(worn_shaft())
    left = before_leaving(part, frozenset({("metal", None), ("count and date", None)}))
    assert not {"metal", "count and date"} & {question.about for question in left}


def test_a_small_part_is_not_asked_for_its_temperature() -> None:
    small = part_of(round_feature("F1", 4.0, 0, 40), round_feature("F2", 6.0, 40, 90))
    assert "temperature" not in abouts(small)
    assert "temperature" in abouts(PLAIN)
