"""A seat with a smooth patch has two levels; a seat worn evenly has no witness: what is named, asked and never sure."""

from __future__ import annotations

from dataclasses import replace

import pytest

from steadyrest.part.ask_next.before_leaving import before_leaving
from steadyrest.part.nominal.name import name_sizes, with_reading
from steadyrest.shop.part import Nominal, Part
from tests.part.nominal.parts import part_of, round_feature


def seat(above: float, below: float | None, *, wear: float = 0.15) -> Part:
    """A seat at a shoulder, with a plain shaft and another beyond it."""
    own = round_feature("F1", above, 0, 20, u=0.02, wear=wear, worn=(2.0, 18.0) if wear else None, measured=above - 0.1)
    diameter = replace(own.sizes[0], below=None if below is None else (below, 0.02))
    own = replace(own, sizes=(diameter, *own.sizes[1:]))
    return part_of(own, round_feature("F2", 40.0, 20, 50), round_feature("F3", 25.0, 50, 80))


def named(part: Part) -> Nominal:
    nominal = name_sizes(part).feature("F1").sizes[0].nominal
    assert nominal is not None
    return nominal


def doubted(part: Part) -> set[str]:
    return {doubt.what.key for doubt in name_sizes(part).doubts}


def test_the_round_size_below_a_smooth_patch_is_the_seats() -> None:
    part = seat(30.31, 30.01)
    assert named(part).value == 30.0
    assert name_sizes(part).feature("F1").sizes[0].estimate == pytest.approx(30.01, abs=0.03)
    assert "doubt.built_or_worn" in doubted(part)


def test_a_round_size_above_keeps_the_seat() -> None:
    part = seat(30.01, 29.71)
    assert named(part).value == 30.0
    assert name_sizes(part).feature("F1").sizes[0].estimate == pytest.approx(30.01, abs=0.03)


@pytest.mark.parametrize(("above", "below"), [(36.37, 36.13), (30.43, 30.17)])
def test_two_levels_of_no_round_size_are_never_sure(above: float, below: float) -> None:
    assert named(seat(above, below)).state != "sure"


def test_naming_again_starts_from_both_levels() -> None:
    once = name_sizes(seat(30.31, 30.01))
    assert name_sizes(once) == once
    read = with_reading(once, "F1", "diameter_mm", 30.302, 0.004).feature("F1").sizes[0].nominal
    assert read is not None
    assert read.value == pytest.approx(30.3, abs=0.01)


@pytest.mark.parametrize("seen", [29.9, 29.8, 29.5])
def test_a_seat_just_under_a_bearing_is_asked_for_even_wear(seen: float) -> None:
    part = seat(seen, None, wear=0.0)
    assert "doubt.worn_evenly" in doubted(part)
    nominal = named(part)
    assert not (nominal.value == 30.0 and nominal.state == "sure")
    assert any(q.feature == "F1" and q.ask.key == "ask.worn_evenly" for q in before_leaving(name_sizes(part)))


def test_a_seat_as_large_as_its_bearing_takes_is_asked_for_nothing() -> None:
    assert "doubt.worn_evenly" not in doubted(seat(30.005, None, wear=0.0))
