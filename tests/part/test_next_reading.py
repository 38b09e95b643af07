"""Which reading to take next."""

from __future__ import annotations

from dataclasses import replace

from steadyrest.part.nominal.name import name_sizes, with_reading
from steadyrest.shop.part import Part
from tests.part.nominal.parts import part_of, round_feature, worn_shaft


def test_the_worn_bearing_seat_is_read_first_beside_its_wear() -> None:
    reading = name_sizes(worn_shaft()).next_reading
    assert reading is not None
    assert reading.feature == "F4"
    assert reading.gauge == "outside micrometer 25-50 mm"
    (where,) = [reason for reason in reading.why if reason.key == "reading.beside_wear"]
    assert dict(where.given) == {"from_mm": 75.0, "to_mm": 79.0}


def test_a_size_that_was_read_is_not_asked_for_again() -> None:
    part: Part = worn_shaft()
    asked: list[str] = []
    for _ in range(3):
        part = name_sizes(part)
        if part.next_reading is None:
            break
        asked.append(part.next_reading.feature)
        value = next(s.nominal.value for s in part.feature(asked[-1]).sizes if s.nominal is not None)
        part = with_reading(part, asked[-1], "diameter_mm", value, 0.004)
    assert len(asked) == len(set(asked))


def test_a_solid_needs_no_reading() -> None:
    assert name_sizes(replace(worn_shaft(), kind="solid")).next_reading is None


def test_the_doubtful_size_is_read_before_the_clear_one() -> None:
    part = part_of(
        round_feature("F1", 30.0, 0, 20, u=0.008),
        round_feature("F2", 47.73, 20, 32, u=0.15),
        round_feature("F3", 25.0, 32, 57, u=0.008),
    )
    reading = name_sizes(part).next_reading
    assert reading is not None
    assert reading.feature == "F2"
