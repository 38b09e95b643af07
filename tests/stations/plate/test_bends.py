"""Bends of a flat part: planned where the brake can, refused with numbers where it cannot."""

from __future__ import annotations

from dataclasses import fields, replace

import pytest

from steadyrest.shop.floor import BrakeLimits
from steadyrest.shop.part import Part
from steadyrest.shop.work import Blank
from steadyrest.stations import bend
from steadyrest.stations.answer import Answer, Ask, State
from steadyrest.wording.say import say
from tests.part.flat.tags import circle, line, rectangle
from tests.stations.parts import demo_shop
from tests.stations.plate.flats import base_plate, bent_plate, plate_of


def asked(part: Part, **changes: float) -> Answer:
    shop = demo_shop()
    brake = shop.machine("brake")
    assert isinstance(brake.limits, BrakeLimits)
    machine = replace(brake, limits=replace(brake.limits, **changes))
    state = State(Blank("plate", (100.0, part.size_mm[2]), 300.0, 0.7, "S235", ()), "", 0.0, 0.0)
    return bend.answer(Ask(part, (), state, shop.material("S235"), 10, shop, machine))


def keys(answer: Answer) -> set[str]:
    for no in answer.undone:
        assert all(say(reason) for reason in no.reasons)
    return {reason.key for no in answer.undone for reason in no.reasons}


def test_each_line_is_a_bend_and_the_angle_is_asked() -> None:
    part = bent_plate()
    assert part.flat is not None
    found = bend.bends(part.flat)
    assert [(round(one.length_mm), round(one.flange_mm)) for one in found] == [(100, 40), (100, 40)]
    step = asked(part).steps[0]
    assert "bend.ask_angle" in {note.key for note in step.notes}
    assert all(say(note) for note in (*step.notes, *step.cautions, step.holding))


@pytest.mark.parametrize("name", [field.name for field in fields(BrakeLimits)])
def test_every_limit_of_the_brake_can_refuse(name: str) -> None:
    assert asked(bent_plate()).steps
    assert not asked(bent_plate(), **{name: 0.5}).steps


def test_a_short_flange_slips_into_the_die_and_a_hole_at_the_bend_is_told() -> None:
    short = plate_of(rectangle(0, 0, 300, 100) + line(10, 0, 10, 100, "bend"), 3.0)
    assert keys(asked(short)) == {"bend.flange"}
    near = plate_of(rectangle(0, 0, 300, 100) + line(40, 0, 40, 100, "bend") + circle(52, 50, 8), 3.0)
    assert "bend.hole_near" in {note.key for note in asked(near).steps[0].notes}


def test_without_bend_lines_or_a_curved_one_the_brake_says_so() -> None:
    assert keys(asked(base_plate(3.0))) == {"bend.no_lines"}
