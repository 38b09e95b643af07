"""Sections of bar, and what they do at the saw. Source: areas of the circle, the regular hexagon and the ring."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis.strategies import floats

from steadyrest.shop.floor import SawLimits
from steadyrest.shop.work import Blank
from steadyrest.stations import saw
from steadyrest.stations.answer import Answer, Ask, State
from steadyrest.stock.section import section_mm2
from tests.stations.blocks import plain_block
from tests.stations.parts import demo_shop


@settings(deadline=None, max_examples=60)
@given(size=floats(1, 300), other=floats(1, 300))
def test_areas_are_those_of_geometry(size: float, other: float) -> None:
    assert section_mm2("round", (size,)) == pytest.approx(math.pi * size**2 / 4)
    # A hexagon is six triangles with the half flats as height and the side 2 h / sqrt 3 as base.
    half = size / 2
    assert section_mm2("hexagon", (size,)) == pytest.approx(6 * half * (2 * half / math.sqrt(3)) / 2)
    assert section_mm2("square", (size,)) == pytest.approx(section_mm2("flat", (size, size)))
    wall = min(size, other) / 2.5
    ring = math.pi / 4 * (size**2 - (size - 2 * wall) ** 2)
    assert section_mm2("tube", (size, wall)) == pytest.approx(ring)


def test_a_shape_that_is_not_known_is_our_own_mistake() -> None:
    with pytest.raises(ValueError, match="angle"):
        section_mm2("angle", (10.0,))


def sawn(shape: str, size_mm: tuple[float, ...], bar_mm: float = 2000.0) -> Answer:
    shop = demo_shop()
    blank = Blank(shape, size_mm, 63.0, 1.0, "C45", ())
    state = State(blank, "bright drawn", bar_mm, 10.0, 5)
    return saw.answer(Ask(plain_block(), (), state, shop.material("C45"), 5, shop, shop.machine("saw")))


@settings(deadline=None, max_examples=60)
@given(width=floats(20, 250), height=floats(10, 200))
def test_sawing_takes_the_time_of_the_section(width: float, height: float) -> None:
    flat, square = sawn("flat", (width, height)), sawn("square", (height,))
    flat_s, square_s = (answer.steps[0].split[0].value for answer in (flat, square))
    assert flat_s / square_s == pytest.approx(width / height)


def test_a_bar_wider_or_higher_than_the_saw_takes_is_refused_with_both_numbers() -> None:
    limits = demo_shop().machine("saw").limits
    assert isinstance(limits, SawLimits)
    for size_mm, key in (((300.0, 20.0), "saw.width"), ((100.0, 230.0), "saw.height")):
        answer = sawn("flat", size_mm)
        assert not answer.steps
        assert [reason.key for no in answer.undone for reason in no.reasons] == [key]


def test_a_long_bar_is_to_be_supported_and_a_short_one_not() -> None:
    long, short = (sawn("flat", (40.0, 20.0), bar).steps[0].cautions for bar in (3000.0, 800.0))
    assert any(reason.key == "caution.saw_support" for reason in long)
    assert not any(reason.key == "caution.saw_support" for reason in short)
