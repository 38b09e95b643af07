"""Which reading to take next."""

from __future__ import annotations

from dataclasses import replace

from steadyrest.part.nominal.name import name_sizes, with_reading
from steadyrest.shop.figure import because
from steadyrest.shop.part import Feature, Part
from steadyrest.wording.say import say
from tests.part.nominal.parts import part_of, round_feature, size, worn_shaft


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


def thread(name: str, *odds: tuple[str, float]) -> Feature:
    """A thread as its finding leaves it: what it may be, with odds."""
    why = tuple(
        because("threads.named" if k == 0 else "threads.or", name=one, name_odds=share, major_mm=9.9)
        for k, (one, share) in enumerate(odds)
    )
    sizes = (size("diameter_mm", 9.9, 0.05), size("pitch_mm", 1.4, 0.05))
    return replace(round_feature(name, 9.9, 60, 80), kind="thread", sizes=sizes, why=why)


def clear_shaft() -> tuple[Feature, ...]:
    return (round_feature("F1", 30.0, 0, 20, u=0.004), round_feature("F2", 50.0, 20, 60, u=0.004))


def test_a_thread_that_may_be_two_is_read_with_a_pitch_gauge() -> None:
    part = part_of(*clear_shaft(), thread("F3", ("M10", 0.55), ("3/8-16", 0.40)))
    reading = name_sizes(part).next_reading
    assert reading is not None
    assert (reading.feature, reading.gauge) == ("F3", "pitch gauge")
    assert all(say(reason) for reason in reading.why)


def test_a_thread_whose_pitch_was_read_or_that_is_sure_is_left_alone() -> None:
    sure = part_of(*clear_shaft(), thread("F3", ("M10", 0.98)))
    read = thread("F3", ("M10", 0.55), ("3/8-16", 0.40))
    sizes = (read.sizes[0], replace(read.sizes[1], reading=(1.5, 0.01)))
    for part in (sure, part_of(*clear_shaft(), replace(read, sizes=sizes))):
        reading = name_sizes(part).next_reading
        assert reading is None or reading.gauge != "pitch gauge"


def test_of_several_bores_the_one_that_decides_most_is_read() -> None:
    plate = [
        replace(round_feature(f"F{k}", d, 0, 12, kind="bore", u=u), along_mm=None, at_mm=(30.0 * k, 0.0, 0.0))
        for k, (d, u) in enumerate(((12.0, 0.006), (20.27, 0.2), (16.0, 0.006)), 1)
    ]
    part = replace(part_of(*plate), axisymmetric=False, profile=None)
    reading = name_sizes(part).next_reading
    assert reading is not None
    assert (reading.feature, reading.gauge) == ("F2", "three-point bore gauge")
    assert all(say(reason) for reason in reading.why)


def test_a_seat_worn_all_over_is_asked_for_its_mate() -> None:
    part = part_of(
        round_feature("F1", 34.7, 0, 17, wear=0.2, worn=(0.0, 17.0), measured=34.7),
        round_feature("F2", 45.0, 17, 60, u=0.004),
        round_feature("F3", 30.0, 60, 90, u=0.004),
    )
    reading = name_sizes(part).next_reading
    assert reading is not None
    assert (reading.feature, reading.gauge) == ("F1", "its mate's number or bore")
    assert any(reason.key == "reading.ask_mate" for reason in reading.why)
    assert all(say(reason) for reason in reading.why)


def test_a_flat_part_needs_no_reading() -> None:
    hole = replace(round_feature("F1", 9.0, 0, 10, kind="bore", u=0.0), along_mm=None)
    assert name_sizes(part_of(hole, kind="flat")).next_reading is None
